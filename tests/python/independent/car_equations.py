"""The 49 rates of change of the car's state, assembled from energies and virtual powers.

The state is the library's flat array: position of O, yaw, pitch, roll, travels (10 coordinates),
velocity of O and angular velocity in body axes, rates of travel (10 speeds), spins (4), deflections
(8), toe (4), tilt (4), twist of the column (1); turn and speed of the rear housing, mean twist of
the half shafts and twist held by the differential, speeds of crown wheel and engine, twist of the
clutch, throttle as felt (8). Inputs are steering wheel angle and rate, drive torque, brake torque,
friction, throttle, gear ratio, share of the clutch, and whether the engine is simulated.
"""

from __future__ import annotations

import casadi as ca

from . import driveline
from .bodies import WheelPlace, bodies_and_wheels, kinetic_energy
from .corners import EXACT
from .forces import Inputs, applied, elastic, steer_angles
from .lagrange import lagrange, poincare
from .motion import BodyMotion, EarthMotion
from .names import constants, symbols
from .tire import Tire
from .turning import E_Y, about_x, about_y, about_z

STATES = 49
INPUTS = 9
# of the states that are neither coordinates nor their speeds
REST = STATES - 20


def still():
    """Zero inputs on the reference surface, without the engine."""
    return [0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 1.0, 0.0, 0.0]


class _Car:
    """Symbols and expressions common to all functions of one topology."""

    def __init__(self, tree, solid_rear, motion, rounding=EXACT):
        self.tree, self.solid_rear, self.motion = tree, solid_rear, motion
        s = ca.SX.sym
        self.input = s("input", INPUTS)
        self.rest = s("rest", REST)
        self.inputs = Inputs(
            *ca.vertsplit(self.input),
            self.rest[:4],
            self.rest[4:12],
            self.rest[12:16],
            self.rest[16:20],
            *ca.vertsplit(self.rest[20:]),
        )
        self.bodies, self.wheels = bodies_and_wheels(
            tree,
            solid_rear,
            motion.travels,
            ca.vertsplit(motion.steer),
            motion.origin,
            motion.attitude,
        )
        ends = (tree.front, tree.front, tree.rear, tree.rear)
        inertias = ca.vertcat(*[end.side[i % 2].wheel.spin_inertia for i, end in enumerate(ends)])
        # the rotors: four wheels, and the rear housing where it winds up
        windup = tree.chassis.driveline.windup
        housing = WheelPlace(self.wheels[2].carrier, None, self.wheels[2].axis)
        if not solid_rear:
            housing = WheelPlace(0, None, motion.attitude @ E_Y)
        self.rotors = [*self.wheels, housing]
        self.inertias = ca.vertcat(inertias, windup.flexible * windup.inertia)
        self.momenta = self.inertias * ca.vertcat(self.inputs.spin, self.inputs.housing)
        angles, rates, accelerations, slopes = steer_angles(tree, self.inputs)
        self.steer = [
            (motion.steer, angles),
            (motion.steer_rate, rates),
            (motion.steer_acceleration, accelerations),
        ]
        self.applied = applied(
            motion, tree, solid_rear, self.bodies, self.wheels, self.inputs, slopes, rounding
        )

    def with_steer(self, expressions):
        """Puts the steer angles in as functions of the steering wheel."""
        return ca.substitute(expressions, [a for a, _ in self.steer], [b for _, b in self.steer])

    def rest_rates(self):
        """Rates of spins, deflections, toe, tilt and twist, driveline."""
        a = self.applied
        lags = (*a.toe_rate, *a.tilt_rate, a.twist_rate)
        return ca.vertcat(*a.spin_rate, *a.deflection_rate, *lags, *a.drive_rate)


def _coordinate_rates(attitude, speeds):
    """Rates of position, yaw, pitch, roll and travels from the speeds in body axes."""
    yaw, pitch, roll = ca.vertsplit(attitude)
    rotation = about_z(yaw) @ about_y(pitch) @ about_x(roll)
    p, q, r = speeds[3], speeds[4], speeds[5]
    turn = q * ca.sin(roll) + r * ca.cos(roll)
    return ca.vertcat(
        rotation @ speeds[:3],
        turn / ca.cos(pitch),
        q * ca.cos(roll) - r * ca.sin(roll),
        p + ca.tan(pitch) * turn,
        speeds[6:],
    )


def _values(numbers):
    """A tree and its column of symbols, from a list of names or a dict of values."""
    if isinstance(numbers, dict):
        return ca.SX(0, 1), constants(numbers)
    return symbols(list(numbers))


def derivative(numbers, solid_rear):
    """CasADi function ``(state, input[, numbers]) -> derivative`` by Lagrange's method.

    ``numbers`` is a dict of values, or a list of dotted names; then the function has a third
    argument with the values in this order.
    """
    column, tree = _values(numbers)
    motion = EarthMotion()
    car = _Car(tree, solid_rear, motion)
    mass_matrix, inertia = lagrange(motion, car.bodies, car.rotors, car.momenta)

    # from second derivatives of coordinates to the rates of the speeds in body axes
    body_speeds = motion.body_speeds()
    accelerations = ca.SX.sym("acceleration", 10)
    body_accelerations = ca.jtimes(
        body_speeds, ca.vertcat(motion.q, motion.speeds), ca.vertcat(motion.speeds, accelerations)
    )

    state = ca.SX.sym("state", STATES)
    parts = car.with_steer([mass_matrix, car.applied.generalized - inertia, car.rest_rates()])
    inner = ca.Function(
        "inner",
        [motion.q, motion.speeds, car.rest, car.input, column],
        [ca.densify(e) for e in parts],
    )
    rates = _coordinate_rates(state[3:6], state[10:20])
    mass, force, rest = inner(state[:10], rates, state[20:], car.input, column)
    solved = _cholesky_solve(mass, force)
    convert = ca.Function("convert", [motion.q, motion.speeds, accelerations], [body_accelerations])
    result = ca.vertcat(rates, convert(state[:10], rates, solved), rest)
    arguments = [state, car.input] + ([column] if column.numel() else [])
    return ca.Function("derivative", arguments, [result])


def residual(numbers, solid_rear, rounding=EXACT):
    """The same equations a second way and unsolved, for collocation.

    CasADi function ``(state, derivative, input[, numbers]) -> (residual 49, loads 4)`` by the
    Euler-Poincare equations in body axes; the residual of the ten speeds is ``M w' + h - Q``.
    """
    column, tree = _values(numbers)
    motion = BodyMotion()
    car = _Car(tree, solid_rear, motion, rounding)
    rate = ca.SX.sym("rate", STATES)
    state = ca.SX.sym("state", STATES)
    accelerations = rate[10:20]
    inertia = poincare(motion, car.bodies, car.rotors, car.momenta, accelerations)
    unbalanced = inertia - car.applied.generalized
    parts = car.with_steer([unbalanced, car.rest_rates(), ca.vertcat(*car.applied.loads)])
    pitch, roll = state[4], state[5]
    up = ca.vertcat(-ca.sin(pitch), ca.cos(pitch) * ca.sin(roll), ca.cos(pitch) * ca.cos(roll))
    inner = ca.Function(
        "inner",
        [
            *(motion.origin_height, motion.up, motion.travels, motion.speeds, accelerations),
            *(car.rest, car.input, column),
        ],
        parts,
    )
    dynamics, rest, loads = inner(
        state[2], up, state[6:10], state[10:20], accelerations, state[20:], car.input, column
    )
    kinematics = _coordinate_rates(state[3:6], state[10:20])
    out = ca.vertcat(rate[:10] - kinematics, dynamics, rate[20:] - rest)
    arguments = [state, rate, car.input] + ([column] if column.numel() else [])
    return ca.Function("residual", arguments, [ca.cse(out), loads])


def energy(numbers, solid_rear):
    """CasADi function ``state, input -> (total energy, loads)``.

    Bodies, spins and other rotors, weight, springs, binding, wind-up, half shafts, clutch and
    tires; a twist that friction does not hold is counted as if it were held.
    """
    column, tree = _values(numbers)
    motion = EarthMotion()
    car = _Car(tree, solid_rear, motion)
    total, loads = _stored(car), ca.vertcat(*car.applied.loads)
    return _of_state("energy", car, column, [total, loads])


def powers(numbers, solid_rear):
    """``(function state, input -> (powers, losses), names of powers, names of losses)``.

    Powers are those of all forces and torques at the speeds between which they act.
    """
    column, tree = _values(numbers)
    car = _Car(tree, solid_rear, EarthMotion())
    out = [ca.vertcat(*d.values()) for d in (car.applied.powers, car.applied.losses)]
    return _of_state("powers", car, column, out), list(car.applied.powers), list(car.applied.losses)


def _stored(car):
    """Kinetic and potential energy."""
    motion, tree = car.motion, car.tree
    velocities = [motion.velocity(body.center) for body in car.bodies]
    turnings = [motion.turning(body.orientation) for body in car.bodies]
    total = kinetic_energy(car.bodies, velocities, turnings)
    total += ca.dot(car.momenta[:4], car.inputs.spin) / 2
    line = tree.chassis.driveline
    total += driveline.stored(line, car.inputs.gear_ratio * line.final_drive, car.inputs)
    for body in car.bodies:
        total += body.mass * tree.chassis.gravity * body.center[2]
    total += elastic(tree, car.solid_rear, motion.travels, motion.travel_rates)[0]
    ends = (tree.front, tree.front, tree.rear, tree.rear)
    for i, end in enumerate(ends):
        stiffness = Tire(end.side[i % 2].wheel.tire).numbers.vertical_stiffness
        total += stiffness * ca.fmax(car.applied.compressions[i], 0) ** 2 / 2
    return total


def _of_state(name, car, column, expressions):
    """A function of state and input from expressions in earth coordinates and their rates."""
    motion = car.motion
    state = ca.SX.sym("state", STATES)
    inner = ca.Function(
        "inner", [motion.q, motion.speeds, car.rest, car.input, column], car.with_steer(expressions)
    )
    rates = _coordinate_rates(state[3:6], state[10:20])
    out = inner.call([state[:10], rates, state[20:], car.input, column])
    arguments = [state, car.input] + ([column] if column.numel() else [])
    return ca.Function(name, arguments, out)


def _cholesky_solve(matrix, column):
    """Solves a symmetric positive definite system, written out."""
    n = column.numel()
    lower = [[None] * n for _ in range(n)]
    for i in range(n):
        for j in range(i + 1):
            rest = matrix[i, j] - sum(lower[i][k] * lower[j][k] for k in range(j))
            lower[i][j] = ca.sqrt(rest) if i == j else rest / lower[j][j]
    y = []
    for i in range(n):
        y.append((column[i] - sum(lower[i][k] * y[k] for k in range(i))) / lower[i][i])
    x = [None] * n
    for i in reversed(range(n)):
        x[i] = (y[i] - sum(lower[k][i] * x[k] for k in range(i + 1, n))) / lower[i][i]
    return ca.vertcat(*x)
