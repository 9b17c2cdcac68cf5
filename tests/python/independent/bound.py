"""Upper bound on the speed of a car in an endless slalom, over all possible steering.

The library's slalom looks for the best steering of a given form by shooting. Here the steering is
free at every point of the course: the car's equations are collocated over one period (two cones,
passed on either side), with every state, the hands and the driver's foot as unknowns, and IPOPT
maximizes the speed asked for. What comes out bounds from above what the library may find, but for
the error of the grid.

Independent variable is the course position X of O. The period runs from half a spacing before a
cone to whose left the car passes to half a spacing after one to whose right it passes;
:mod:`.radau` has the collocation.

The driver, the same for all cars and as in the library:

- hands: any rate of the steering wheel up to a limit, no lag;
- foot: T = m R ((V - u)/t_p + i/(t_p t_i)) with i' = V - u, held between the driveline's bounds, m
  the car's mass, R the rear wheels' rolling radius at rest, u the forward speed.

A cone is cleared when the side of the car's box stays away from its center by its radius. This is
asked at all Radau points where the cone is alongside the box; the corners are left out, which can
only raise the bound. :func:`clearances` measures afterwards with corners and between the points.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass, replace

import casadi as ca
import numpy as np

from . import car_equations, radau
from .car_equations import STATES
from .corners import SOFT

# the engine is off: its speed, the clutch's twist and the throttle, which come last, rest
MOVING = STATES - 3
HANDS, CRUISE = MOVING, MOVING + 1
LENGTH = MOVING + 2
YAW, PITCH, ROLL, U, V, YAW_RATE = 3, 4, 5, 10, 11, 15
SPIN, CROWN = 20, 45

# what the unknowns are measured in, so that IPOPT sees numbers near one
_SCALES = np.concatenate(
    [
        [1.0, 0.5, 0.02, 0.1, 0.02, 0.05],
        [0.02] * 4,
        [1.0, 0.5, 0.1, 0.2, 0.2, 0.5],
        [0.2] * 4,
        [3.0] * 4,
        [0.01] * 8,
        [0.003] * 8,
        [0.01],
        [0.01, 0.5, 0.02, 0.02, 3.0],
        [1.0, 0.5],
    ]
)
_RATE_SCALE = 5.0


@dataclass
class Course:
    """The slalom, the driver's limits and the box of the car."""

    width: float
    nose: float
    tail: float
    spacing: float = 18.0
    cone_radius: float = 0.18
    reserve: float = 0.0
    hand_rate: float = math.radians(900.0)
    steering_lock: float = math.radians(450.0)
    friction: float = 1.0
    proportional_time: float = 0.5
    integral_time: float = 2.0
    overrun: float = 0.25
    intervals: int = 48


@dataclass
class Bound:
    """The optimum found: speed, states and diagnostics."""

    speed: float
    solved: bool
    status: str
    iterations: int
    seconds: float
    position: np.ndarray
    states: np.ndarray
    hand_rates: np.ndarray
    loads: np.ndarray
    clearances: tuple


def rest_quantities(numbers, solid_rear):
    """``(mass, rolling radius of the rear wheels at rest)``."""
    mass = numbers["chassis.sprung.mass"]
    mass += sum(numbers[f"front.side.{i}.unsprung.mass"] for i in range(2))
    if solid_rear:
        mass += numbers["rear.unsprung.mass"]
    else:
        mass += sum(numbers[f"rear.side.{i}.unsprung.mass"] for i in range(2))
    x = np.zeros(STATES)
    x[2] = numbers["chassis.height"]
    _, loads = car_equations.energy(numbers, solid_rear)(x, car_equations.still())
    radii = []
    for i in range(2):
        tire = f"rear.side.{i}.wheel.tire."
        sink = float(loads[2 + i]) / numbers[tire + "vertical_stiffness"]
        radii.append(numbers[tire + "unloaded_radius"] - numbers[tire + "radius_fraction"] * sink)
    return mass, float(np.mean(radii))


def drive_torque(numbers, push, course, state, speed):
    """Drive torque of the driver, limited to its bounds; ``push`` is m R."""
    missing = speed - state[U]
    asked = push * (missing + state[CRUISE] / course.integral_time) / course.proportional_time
    omega = ca.fmax((state[SPIN + 2] + state[SPIN + 3]) / 2, 1)
    most = ca.fmin(
        numbers["chassis.driveline.peak_torque"], numbers["chassis.driveline.peak_power"] / omega
    )
    limit = ca.if_else(asked < 0, -course.overrun * most, most)
    return asked / (1 + (asked / limit) ** 8) ** 0.125


def whole(state):
    """The car's state, or its rate, from that of the course; states at rest are zero."""
    return ca.vertcat(state[:MOVING], ca.SX.zeros(STATES - MOVING))


def inputs_of(hands, hand_rate, torque, friction):
    """The car's inputs as a column."""
    _, _, _, brake, _, *engine = car_equations.still()
    return ca.vertcat(hands, hand_rate, torque, brake, friction, *engine)


def progress(state):
    """Speed of O along the course."""
    yaw, pitch, roll = state[YAW], state[PITCH], state[ROLL]
    ahead = ca.cos(pitch) * state[U]
    ahead += ca.sin(pitch) * (ca.sin(roll) * state[V] + ca.cos(roll) * state[V + 1])
    left = ca.cos(roll) * state[V] - ca.sin(roll) * state[V + 1]
    return ca.cos(yaw) * ahead - ca.sin(yaw) * left


def _point(numbers, solid_rear, course):
    """``(variables, residual, loads)`` of one Radau point.

    Variables: the states but X, their slopes along X, the rate of the hands, the speed asked for.
    """
    mass, radius = rest_quantities(numbers, solid_rear)
    equations = car_equations.residual(numbers, solid_rear, SOFT)
    unknown_state, unknown_slope = ca.SX.sym("state", LENGTH - 1), ca.SX.sym("slope", LENGTH - 1)
    state, slope = ca.vertcat(0, unknown_state), ca.vertcat(1, unknown_slope)
    hand_rate, speed = ca.SX.sym("hand_rate"), ca.SX.sym("speed")

    missing = speed - state[U]
    torque = drive_torque(numbers, mass * radius, course, state, speed)

    # slopes along X times progress are rates in time
    along = progress(state)
    rate = slope * along
    inputs = inputs_of(state[HANDS], hand_rate, torque, course.friction)
    # the equation of X holds by the choice of progress
    rest, loads = equations(whole(state), whole(ca.vertcat(along, rate[1:])), inputs)
    own = ca.vertcat(rate[HANDS] - hand_rate, rate[CRUISE] - missing)
    residual = ca.vertcat(rest[1:MOVING], own)
    scales = 0.1 / _SCALES[1:]
    # forces and moments over a mass
    scales[9:15], scales[15:19] = 1 / mass, 1 / (0.1 * mass)
    residual *= scales
    return ca.vertcat(unknown_state, unknown_slope, hand_rate, speed), residual, loads


def _guess(numbers, solid_rear, course, position):
    """Initial guess: a sine path and the approximate motion of a car on it."""
    mass, radius = rest_quantities(numbers, solid_rear)
    k = math.pi / course.spacing
    speed = math.sqrt(4.0 * course.friction / 1.2) / k
    amplitude = course.width / 2 + course.cone_radius + 0.2
    y, dy = amplitude * np.cos(k * position), -amplitude * k * np.sin(k * position)
    curvature = -amplitude * k**2 * np.cos(k * position)
    wheelbase = (
        numbers["front.side.0.x.c.0"] - numbers["rear.x.c.0" if solid_rear else "rear.side.0.x.c.0"]
    )
    acceleration = speed**2 * curvature
    z = np.zeros((LENGTH, position.size))
    z[1], z[YAW] = y, dy
    z[2] = numbers["chassis.height"]
    z[ROLL] = 0.006 * acceleration
    half = numbers["front.side.0.y.c.0"]
    # roll to the right is positive and lowers the right side: the right wheel moves in bump
    z[6], z[7] = -half * z[ROLL] * 0.8, half * z[ROLL] * 0.8
    if solid_rear:
        z[9] = -z[ROLL] * 0.8
    else:
        z[8], z[9] = z[6], z[7]
    z[U], z[YAW_RATE] = speed, speed * curvature
    z[SPIN : SPIN + 4] = z[CROWN] = speed / radius
    for i in range(4):
        end = "front" if i < 2 else "rear"
        stiffness = numbers[f"{end}.side.{i % 2}.wheel.tire.y.carcass_stiffness"]
        z[25 + 2 * i] = mass / 4 * acceleration / stiffness
    z[HANDS] = (wheelbase + 0.004 * speed**2) * curvature / numbers["chassis.steering.gain"]
    return z, speed


# weight of the steering's effort and greatest speed over the first one, stage by stage: with much
# weight the optimum is smooth and IPOPT walks to it from far, with the last it lies 1 mm/s below
# the free one
_ROUGH_STAGES = ((1.0, 1.4), (1.0, math.inf), (0.1, math.inf))
# the last stage starts from the optimum before it, multipliers and all
_PUSH = 1e-8
_FINE_STAGES = (
    (0.01, {"mu_init": 1e-3}),
    (
        0.001,
        {
            "mu_init": 1e-5,
            "warm_start_init_point": "yes",
            "warm_start_bound_push": _PUSH,
            "warm_start_bound_frac": _PUSH,
            "warm_start_slack_bound_push": _PUSH,
            "warm_start_slack_bound_frac": _PUSH,
            "warm_start_mult_bound_push": _PUSH,
        },
    ),
)


class _Problem:
    """The slalom on one grid, ready for IPOPT."""

    def __init__(self, point, course, guess, max_iterations, verbose):
        self.course = course
        self.length = length = 2 * course.spacing / course.intervals
        edges = -course.spacing / 2 + length * np.arange(course.intervals)
        self.position = (edges[:, None] + length * radau.POINTS[None, :]).ravel()
        self.grid = grid = radau.Collocation(
            course.intervals, length, LENGTH - 1, _SCALES[1:], _RATE_SCALE
        )
        points, states = grid.points, grid.states
        self.split = split = points * states
        x = ca.MX.sym("x", grid.size)
        locals_ = grid.locals(x)
        values, jacobians, hessians = (
            function.map(points, "thread", 2)
            for function in (point.value, point.jacobian, point.hessian)
        )
        self.loads = ca.Function("loads", [x], [values(locals_)[1]])

        # the cones, and what is wanted: first a path at a moderate speed, then speed
        all_states = ca.reshape((grid.units * x)[:split], states, points)
        clear = _clear_of_cones(course, self.position, all_states[0, :], all_states[YAW - 1, :])
        stage = ca.MX.sym("stage", 2)
        track, weight = stage[0], stage[1]
        off_path = ca.sumsqr(all_states[0, :].T - guess(self.position)[0][1]) / points
        effort = ca.sumsqr(x[split:-1]) / points
        objective = track * off_path - (1 - track) * x[-1] + weight * effort

        # the problem with its derivatives, put together from the points'
        constraints = ca.vertcat(ca.vec(values(locals_)[0]), clear)
        slopes = grid.jacobian(point.jacobian.sparsity_out(0), jacobians(locals_))
        slopes = ca.vertcat(slopes, ca.jacobian(clear, x))
        factor, lam = ca.MX.sym("factor"), ca.MX.sym("lam", constraints.numel())
        by_point = ca.reshape(lam[:split], states, points)
        curvature = grid.hessian(point.hessian.sparsity_out(0), hessians(locals_, by_point))
        curvature += ca.hessian(factor * objective + ca.dot(lam[split:], clear), x)[0]
        self.problem = {"x": x, "p": stage, "f": objective, "g": constraints}
        self.settings = {
            "jac_g": ca.Function(
                "nlp_jac_g", [x, stage], [constraints, slopes], ["x", "p"], ["g", "jac_g_x"]
            ),
            "hess_lag": ca.Function(
                "nlp_hess_l",
                [x, stage, factor, lam],
                [ca.triu(curvature)],
                ["x", "p", "lam_f", "lam_g"],
                ["triu_hess_gamma_x_x"],
            ),
            "print_time": False,
        }
        self.ipopt = {
            "print_level": 5 if verbose else 0,
            "sb": "yes",
            "max_iter": max_iterations,
            "mu_strategy": "monotone",
            "mu_init": 1e-2,
        }
        self.lower = np.zeros(constraints.numel())
        self.upper = np.concatenate([np.zeros(split), np.full(clear.numel(), np.inf)])

    def solver(self, tolerance, **options):
        """IPOPT with a tolerance."""
        settings = {**self.settings, "ipopt": {**self.ipopt, "tol": tolerance, **options}}
        return ca.nlpsol("slalom", "ipopt", self.problem, settings)

    def solve(self, solver, found, stage, slowest, fastest, multipliers=None):
        """One stage from scaled unknowns; ``(scaled unknowns, multipliers)`` found."""
        grid, course = self.grid, self.course
        # limits of the hands, and limits that never bind
        low, high = (np.full((grid.states, grid.points), sign * np.inf) for sign in (-1, 1))
        low[HANDS - 1], high[HANDS - 1] = -course.steering_lock, course.steering_lock
        low[U - 1], high[U - 1] = 3.0, 60.0
        low[YAW - 1], high[YAW - 1] = -1.0, 1.0
        rates = np.full(grid.points, course.hand_rate)
        result = solver(
            x0=found,
            p=stage,
            lbx=grid.pack(low, -rates, slowest) / grid.units,
            ubx=grid.pack(high, rates, fastest) / grid.units,
            lbg=self.lower,
            ubg=self.upper,
            **(multipliers or {}),
        )
        return np.array(result["x"]).ravel(), {"lam_g0": result["lam_g"], "lam_x0": result["lam_x"]}

    def scaled(self, states, rates, speed):
        """Scaled unknowns from states with X, rates of the hands and the speed."""
        return self.grid.pack(states[1:], rates, speed) / self.grid.units

    def unscaled(self, found):
        """``(states with X, rates of the hands, speed)``."""
        states, rates, speed = self.grid.unpack(found * self.grid.units)
        return np.vstack([self.position, states]), rates, float(speed)


class _Point:
    """Residual of one Radau point, with Jacobian and Hessian of its share of the Lagrangian."""

    def __init__(self, numbers, solid_rear, course):
        w, residual, loads = _point(numbers, solid_rear, course)
        multipliers = ca.SX.sym("multipliers", residual.numel())
        jacobian = ca.jacobian(residual, w)
        hessian = ca.hessian(ca.dot(multipliers, residual), w)[0]
        options = {"cse": True}
        self.value = ca.Function("value", [w], [residual, loads], options)
        self.jacobian = ca.Function("jacobian", [w], [jacobian], options)
        self.hessian = ca.Function("hessian", [w, multipliers], [hessian], options)


def slalom_bound(numbers, solid_rear, course, *, max_iterations=250, verbose=False):
    """Maximizes the speed asked for on a course, for a car given by its numbers.

    A grid of half the intervals walks from a sine at a moderate speed to the neighborhood of the
    optimum, the whole grid takes it from there.
    """
    begun = time.perf_counter()
    point = _Point(numbers, solid_rear, course)

    def guess(position):
        return _guess(numbers, solid_rear, course, position)

    half = replace(course, intervals=course.intervals // 2)
    rough, fine = (_Problem(point, c, guess, max_iterations, verbose) for c in (half, course))
    iterations = 0

    # track, then speed up, on the rough grid
    first, speed = guess(rough.position)
    rates = np.gradient(first[HANDS], rough.position) * speed
    found = rough.scaled(first, np.clip(rates, -course.hand_rate, course.hand_rate), speed)
    solver = rough.solver(1e-3)
    for track, weight, slowest, fastest in (
        (1.0, 1e-3, speed, speed),
        *((0.0, weight, 3.0, min(60.0, cap * speed)) for weight, cap in _ROUGH_STAGES),
    ):
        found, _ = rough.solve(solver, found, [track, weight], slowest, fastest)
        iterations += solver.stats()["iter_count"]

    # then on the fine one
    states, rates, speed = rough.unscaled(found)
    between = dense(states, half, 6)
    refined = np.array(
        [np.interp(fine.position, between[0], row, period=2 * course.spacing) for row in between]
    )
    rates = np.interp(fine.position, rough.position, rates, period=2 * course.spacing)
    found, multipliers = fine.scaled(refined, rates, speed), None
    for weight, options in _FINE_STAGES:
        solver = fine.solver(1e-6, **options)
        found, multipliers = fine.solve(solver, found, [0.0, weight], 3.0, 60.0, multipliers)
        iterations += solver.stats()["iter_count"]

    states, rates, speed = fine.unscaled(found)
    return Bound(
        speed=speed,
        solved=bool(solver.stats()["success"]),
        status=solver.stats()["return_status"],
        iterations=iterations,
        seconds=time.perf_counter() - begun,
        position=fine.position,
        states=states,
        hand_rates=rates,
        loads=np.array(fine.loads(found)),
        clearances=clearances(states, course),
    )


def _clear_of_cones(course, position, y, yaw):
    """Clearances of the box's side where a cone is alongside, to be no less than zero."""
    out = []
    for cone, side in ((0.0, 1.0), (course.spacing, -1.0)):
        ahead = cone - position
        for p in np.flatnonzero((ahead > -course.tail) & (ahead < course.nose)):
            left = -ca.sin(yaw[p]) * ahead[p] - ca.cos(yaw[p]) * y[p]
            out.append(-side * left - course.width / 2 - course.cone_radius - course.reserve)
    return ca.vertcat(*out)


def dense(states, course, between=20):
    """Position and all states, ``between`` samples an interval, on the quadratics."""
    count = states.shape[1]
    length = 2 * course.spacing / course.intervals
    fractions = np.arange(between) / between
    weights = radau.interpolation(fractions)
    columns = [states[:, radau.nodes(i, count)] @ weights.T for i in range(course.intervals)]
    out = np.concatenate(columns, axis=1)
    starts = -course.spacing / 2 + length * np.arange(course.intervals)
    out[0] = (starts[:, None] + length * fractions[None, :]).ravel()
    return out


def clearances(states, course):
    """The least clearance at either cone [m], box with corners, densely sampled."""
    samples = dense(states, course)
    out = []
    for cone, side in ((0.0, 1.0), (course.spacing, -1.0)):
        dx, dy, yaw = cone - samples[0], -samples[1], samples[YAW]
        ahead = np.cos(yaw) * dx + np.sin(yaw) * dy
        left = -np.sin(yaw) * dx + np.cos(yaw) * dy
        beside = -side * left - course.width / 2
        beyond = np.maximum(-course.tail - ahead, ahead - course.nose)
        corner = (beside > 0) & (beyond > 0)
        gap = np.where(corner, np.hypot(beside, beyond), np.maximum(beside, beyond))
        out.append(float(gap.min()) - course.cone_radius - course.reserve)
    return tuple(out)
