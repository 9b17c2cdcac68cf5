"""(b) The car's equations in loops over the wheels, compiled by Numba.

Every wheel is visited twice: geometry, contact and load first, then, when what the wheels of an end
share is known, forces and the share in the equations of motion. The mass matrix is an arrow: four
travels hang on the six speeds of the body and on nothing else, so they are eliminated and six
equations are left.
"""

from __future__ import annotations

from collections import namedtuple
from math import ceil, cos, sin

import numpy as np

from .body_loops import body, driveline, lags, solve, weigh
from .jit import njit
from .vectors import dot
from .wheel_loops import grip, memory, place, push

STATES, INPUTS = 49, 9

Work = namedtuple(
    "Work",
    [
        *("center", "by_travel", "turn_by_travel", "axis", "turned", "forward", "left", "arm"),
        *("rate", "bias", "turn_bias", "steer_axis", "steer_arm"),
        *("inclination", "load", "transport", "slip", "radius", "sliding", "tire", "stiffness"),
        *(
            "zeta",
            "zeta_rate",
            "lengths",
            "force",
            "brake",
            "axial",
            "reaction",
            "left_side",
            "right_side",
        ),
        *("side", "diagonal", "travel_force", "bar"),
    ],
)


def work_space():
    """Arrays that the stages share."""
    vectors = [np.zeros((4, 3)) for _ in range(13)]
    rest = [
        *(np.zeros(4), np.zeros(4), np.zeros(4), np.zeros((4, 2)), np.zeros(4), np.zeros(4)),
        *(np.zeros((4, 8)), np.zeros((4, 2))),
        *(
            np.zeros((4, 2)),
            np.zeros((4, 2)),
            np.zeros((2, 2, 2, 2)),
            np.zeros((4, 3)),
            np.zeros(4),
        ),
        *(np.zeros(4), np.zeros((4, 3)), np.zeros((6, 6)), np.zeros(6)),
        *(np.zeros((4, 6)), np.zeros(4), np.zeros(4), np.zeros((4, 2))),
    ]
    return Work(*vectors, *rest)


@njit
def rates(x, u, car, w, dx):
    """The rates of all 49 states into ``dx``."""
    v, om = (x[10], x[11], x[12]), (x[13], x[14], x[15])
    sy, cy, st, ct, sr, cr = sin(x[3]), cos(x[3]), sin(x[4]), cos(x[4]), sin(x[5]), cos(x[5])
    k = (-st, ct * sr, ct * cr)
    # places and attitude
    ahead, left, up = ct * v[0] + st * (sr * v[1] + cr * v[2]), cr * v[1] - sr * v[2], dot(k, v)
    dx[0], dx[1], dx[2] = cy * ahead - sy * left, sy * ahead + cy * left, up
    turn = om[1] * sr + om[2] * cr
    dx[3], dx[4], dx[5] = turn / ct, om[1] * cr - om[2] * sr, om[0] + st / ct * turn
    for i in range(4):
        dx[6 + i] = x[16 + i]

    for i in range(4):
        place(i, x, u, car, w, k, om, v)
        grip(i, u, car, w)
    memory(0, x, dx, car, w)
    memory(1, x, dx, car, w)
    for i in range(4):
        push(i, x, u, car, w, k)
    couple = driveline(x, u, dx, car, w, om)
    body(car, w, k, om, v, couple)
    for i in range(4):
        weigh(i, x, car, w, k)
    for end in range(2):
        a, b = 2 * end, 2 * end + 1
        bar = car.bar_rate[end] * (w.bar[a, 0] - w.bar[b, 0])
        w.travel_force[a] -= bar * w.bar[a, 1]
        w.travel_force[b] += bar * w.bar[b, 1]
    solve(dx, w)
    for i in range(4):
        dx[20 + i] = w.axial[i] / car.spin_inertia[i]
    lags(dx, x, car, w)


@njit
def act(t, before, change, rise, u):
    """Inputs of the step steer: the steering wheel turns at a constant rate, the rest is held."""
    for i in range(INPUTS):
        u[i] = before[i]
    if t < rise:
        u[0] += change * t / rise
        u[1] = change / rise
    else:
        u[0] += change


@njit
def look(history, row, t, x):
    """Keeps what the metrics need: time, pitch, roll, velocity, angular velocity."""
    history[row, 0], history[row, 1], history[row, 2] = t, x[4], x[5]
    for i in range(6):
        history[row, 3 + i] = x[10 + i]


@njit
def drive(start, before, change, breaks, step, car, w, history):
    """Integrates by fixed Runge-Kutta steps from break to break; returns the number of samples."""
    x, y, u = start.copy(), start.copy(), np.empty(INPUTS)
    k1, k2, k3, k4 = np.empty(STATES), np.empty(STATES), np.empty(STATES), np.empty(STATES)
    rise, row = breaks[1], 0
    for part in range(len(breaks) - 1):
        begin, span = breaks[part], breaks[part + 1] - breaks[part]
        count = int(ceil(span / step - 1e-9))
        h = span / count
        for i in range(count):
            t = begin + i * h
            look(history, row, t, x)
            row += 1
            # at the end of the ramp the rate is still that of the ramp
            late = min(t + h, breaks[part + 1] - 1e-12)
            act(t, before, change, rise, u)
            rates(x, u, car, w, k1)
            act(t + 0.5 * h, before, change, rise, u)
            for j in range(STATES):
                y[j] = x[j] + 0.5 * h * k1[j]
            rates(y, u, car, w, k2)
            for j in range(STATES):
                y[j] = x[j] + 0.5 * h * k2[j]
            rates(y, u, car, w, k3)
            act(late, before, change, rise, u)
            for j in range(STATES):
                y[j] = x[j] + h * k3[j]
            rates(y, u, car, w, k4)
            for j in range(STATES):
                x[j] += h / 6 * (k1[j] + 2 * (k2[j] + k3[j]) + k4[j])
    look(history, row, breaks[-1], x)
    return row + 1
