"""The 41 rates of change of the car's state, assembled from energies and virtual powers.

The state is the library's flat array: position of O, yaw, pitch, roll, travels (10 coordinates),
velocity of O and angular velocity in body axes, rates of travel (10 speeds), spins (4), deflections
(8), toe (4), tilt (4), twist (1). Inputs are steering wheel angle and rate, drive torque, brake torque
and friction.
"""

from __future__ import annotations

import casadi as ca

from .bodies import bodies_and_wheels, kinetic_energy
from .corners import EXACT
from .forces import Inputs, applied, elastic, steer_angles
from .lagrange import lagrange, poincare
from .motion import BodyMotion, EarthMotion
from .names import constants, symbols
from .tire import Tire

STATES = 41
INPUTS = 5


class _Car:
    """Symbols and expressions common to all functions of one topology."""

    def __init__(self, tree, solid_rear, motion, rounding=EXACT):
        self.tree, self.solid_rear, self.motion = tree, solid_rear, motion
        s = ca.SX.sym
        self.input = s("input", INPUTS)
        self.rest = s("rest", 21)
        sw, sw_rate, drive, brake, friction = ca.vertsplit(self.input)
        self.inputs = Inputs(
            sw,
            sw_rate,
            drive,
            brake,
            friction,
            self.rest[:4],
            self.rest[4:12],
            self.rest[12:16],
            self.rest[16:20],
            self.rest[20],
        )
        self.bodies, self.wheels = bodies_and_wheels(
            tree, solid_rear, motion.travels, ca.vertsplit(motion.steer), motion.origin, motion.attitude
        )
        ends = (tree.front, tree.front, tree.rear, tree.rear)
        inertias = ca.vertcat(*[end.side[i % 2].wheel.spin_inertia for i, end in enumerate(ends)])
        self.spin_inertias = inertias
        self.momenta = inertias * self.inputs.spin
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
        """Rates of spins, deflections, toe, tilt and twist."""
        a = self.applied
        return ca.vertcat(*a.spin_rate, *a.deflection_rate, *a.toe_rate, *a.tilt_rate, a.twist_rate)


def _coordinate_rates(attitude, speeds):
    """Rates of position, yaw, pitch, roll and travels from the speeds in body axes."""
    from .turning import about_x, about_y, about_z

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

    ``numbers`` is a dict of values, or a list of dotted names; then the function has a third argument with
    the values in this order.
    """
    column, tree = _values(numbers)
    motion = EarthMotion()
    car = _Car(tree, solid_rear, motion)
    mass_matrix, inertia = lagrange(motion, car.bodies, car.wheels, car.momenta)

    # from second derivatives of coordinates to the rates of the speeds in body axes
    body_speeds = motion.body_speeds()
    accelerations = ca.SX.sym("acceleration", 10)
    body_accelerations = ca.jtimes(
        body_speeds, ca.vertcat(motion.q, motion.speeds), ca.vertcat(motion.speeds, accelerations)
    )

    state = ca.SX.sym("state", STATES)
    parts = car.with_steer([mass_matrix, car.applied.generalized - inertia, car.rest_rates()])
    inner = ca.Function(
        "inner", [motion.q, motion.speeds, car.rest, car.input, column], [ca.densify(e) for e in parts]
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

    CasADi function ``(state, derivative, input[, numbers]) -> (residual 41, loads 4)`` by the Euler-Poincare
    equations in body axes; the residual of the ten speeds is ``M w' + h - Q``.
    """
    column, tree = _values(numbers)
    motion = BodyMotion()
    car = _Car(tree, solid_rear, motion, rounding)
    rate = ca.SX.sym("rate", STATES)
    state = ca.SX.sym("state", STATES)
    accelerations = rate[10:20]
    inertia = poincare(motion, car.bodies, car.wheels, car.momenta, accelerations)
    unbalanced = inertia - car.applied.generalized
    parts = car.with_steer([unbalanced, car.rest_rates(), ca.vertcat(*car.applied.loads)])
    pitch, roll = state[4], state[5]
    up = ca.vertcat(-ca.sin(pitch), ca.cos(pitch) * ca.sin(roll), ca.cos(pitch) * ca.cos(roll))
    inner = ca.Function(
        "inner",
        [motion.origin_height, motion.up, motion.travels, motion.speeds, accelerations]
        + [car.rest, car.input, column],
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
    """CasADi function ``state, input -> (total energy, loads)``: bodies, spins, weight, springs and tires."""
    column, tree = _values(numbers)
    motion = EarthMotion()
    car = _Car(tree, solid_rear, motion)
    velocities = [motion.velocity(body.center) for body in car.bodies]
    turnings = [motion.turning(body.orientation) for body in car.bodies]
    total = kinetic_energy(car.bodies, velocities, turnings)
    total += ca.dot(car.momenta, car.inputs.spin) / 2
    for body in car.bodies:
        total += body.mass * tree.chassis.gravity * body.center[2]
    total += elastic(tree, solid_rear, motion.travels, motion.travel_rates)[0]
    ends = (tree.front, tree.front, tree.rear, tree.rear)
    for i, end in enumerate(ends):
        stiffness = Tire(end.side[i % 2].wheel.tire).numbers.vertical_stiffness
        total += stiffness * ca.fmax(car.applied.compressions[i], 0) ** 2 / 2
    state = ca.SX.sym("state", STATES)
    total, loads = car.with_steer([total, ca.vertcat(*car.applied.loads)])
    inner = ca.Function("inner", [motion.q, motion.speeds, car.rest, car.input, column], [total, loads])
    rates = _coordinate_rates(state[3:6], state[10:20])
    out = inner(state[:10], rates, state[20:], car.input, column)
    arguments = [state, car.input] + ([column] if column.numel() else [])
    return ca.Function("energy", arguments, list(out))


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
