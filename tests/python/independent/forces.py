"""Applied forces: elastic potential, dissipation, air, road, driveline and brakes.

Everything enters as a potential of the travels or as the virtual power of forces at velocities
that are linear in the ten speeds.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import casadi as ca

from .contact import compliant_axis, footing
from .corners import EXACT, above, either
from .tire import Loaded, Tire
from .turning import E_X, E_Z, rate_of

BRAKE_SPEED = 0.5


@dataclass
class Inputs:
    """What acts from outside, and the states that are no coordinates: symbols or expressions."""

    steering_wheel: ca.SX
    steering_wheel_rate: ca.SX
    drive_torque: ca.SX
    brake_torque: ca.SX
    friction: ca.SX
    spin: ca.SX
    deflection: ca.SX
    toe: ca.SX
    tilt: ca.SX
    twist: ca.SX


@dataclass
class Applied:
    """Generalized forces and the rates of the states that are no speeds."""

    power: list = field(default_factory=list)
    spin_rate: list = field(default_factory=list)
    deflection_rate: list = field(default_factory=list)
    toe_rate: list = field(default_factory=list)
    tilt_rate: list = field(default_factory=list)
    twist_rate: ca.SX = None
    generalized: ca.SX = None
    loads: list = field(default_factory=list)
    compressions: list = field(default_factory=list)
    wheel_forces: list = field(default_factory=list)


def steer_angles(tree, inputs):
    """``(angles, rates, accelerations, d angle/d mean)`` of left and right front wheel."""
    steering = tree.chassis.steering
    mean = steering.gain * inputs.steering_wheel + inputs.twist
    mean_rate = steering.gain * inputs.steering_wheel_rate
    angles, rates, accelerations, slopes = [], [], [], []
    for sense in (1, -1):
        more = sense * steering.ackermann
        angles.append(mean + more * mean**2)
        slopes.append(1 + 2 * more * mean)
        rates.append(slopes[-1] * mean_rate)
        accelerations.append(2 * more * mean_rate**2)
    return ca.vertcat(*angles), ca.vertcat(*rates), ca.vertcat(*accelerations), slopes


def _lengths(side, tree_end, travels, solid, i):
    """Compressions of spring and damper, and the bar's travel, of one side of an end."""
    if solid:
        return [getattr(side, name).surface(travels[0], travels[1]) for name in ("spring", "damper", "bar")]
    return [getattr(side, name).curve(travels[i]) for name in ("spring", "damper", "bar")]


def elastic(tree, solid_rear, travels, travel_rates, rounding=EXACT):
    """``(potential, generalized damper forces on the four travels)``."""
    potential, damping = 0, ca.SX.zeros(4)
    for end, solid, own in ((tree.front, False, travels[:2]), (tree.rear, solid_rear, travels[2:])):
        bars = []
        for i in range(2):
            side = end.side[i]
            strut = side.strut
            spring, compression, bar = _lengths(side, end, own, solid, i)
            bars.append(bar)
            potential += strut.spring.preload * spring + strut.spring.rate * spring**2 / 2
            for stop, travel in ((strut.bump, compression), (strut.droop, -compression)):
                into = above(travel - stop.gap, rounding.length)
                potential += stop.rate * into**2 / 2 + stop.progression * into**3 / 3
            speed = rate_of(compression, travels, travel_rates)
            damper = strut.damper
            force = []
            for way in range(2):
                low, high, inverse_knee = damper.low[way], damper.high[way], damper.inverse_knee[way]
                force.append(high * speed + (low - high) * speed / ca.sqrt(1 + (speed * inverse_knee) ** 2))
            damping -= ca.gradient(compression, travels) * either(speed, force[0], force[1], rounding.speed)
        potential += end.bar_rate * (bars[0] - bars[1]) ** 2 / 2
    return potential, damping


def applied(motion, tree, solid_rear, bodies, wheels, inputs, steer_slopes, rounding=EXACT):
    """All generalized forces, and the rates of spins, deflections, lags."""
    out = Applied()
    speeds = motion.speeds
    chassis = tree.chassis
    generalized = ca.SX.zeros(10)

    def push(force, velocity):
        """Adds the virtual power of a force at a velocity (or of a couple at an angular velocity)."""
        nonlocal generalized
        generalized += ca.jacobian(velocity, speeds).T @ force

    velocities = [motion.velocity(body.center) for body in bodies]
    turnings = [motion.turning(body.orientation) for body in bodies]

    # weight
    for body, velocity in zip(bodies, velocities, strict=True):
        push(-body.mass * chassis.gravity * motion.up, velocity)

    # springs, bars, stops, dampers
    potential, damping = elastic(tree, solid_rear, motion.travels, motion.travel_rates, rounding)
    generalized += ca.vertcat(ca.SX.zeros(6), damping - ca.gradient(potential, motion.travels))

    # air, by the velocities of body-fixed points
    air = chassis.air
    forward = motion.body_speeds()[0]
    origin, attitude = motion.origin, motion.attitude
    drag_at = origin + attitude @ ca.vertcat(0, 0, air.drag_height)
    push(-air.drag * forward * ca.fabs(forward) * (attitude @ E_X), motion.velocity(drag_at))
    for i in range(2):
        lift_at = origin + attitude @ ca.vertcat(air.lift_x[i], 0, 0)
        push(air.lift[i] * forward**2 * (attitude @ E_Z), motion.velocity(lift_at))

    # geometry and load of the four contacts
    ends = (tree.front, tree.front, tree.rear, tree.rear)
    numbers = [end.side[i % 2].wheel for i, end in enumerate(ends)]
    tires = [Tire(number.tire, rounding) for number in numbers]
    feet, loaded = [], []
    for i, wheel in enumerate(wheels):
        axis = compliant_axis(motion, wheel.axis, inputs.toe[i], inputs.tilt[i])
        foot = footing(motion, tires[i], wheel.center, axis, turnings[wheel.carrier], inputs.spin[i])
        feet.append(foot)
        loaded.append(Loaded(tires[i], foot.load, foot.inclination, inputs.friction))

    # the slip that the deflections of the two wheels of an end remember together
    zeta = [[None, None] for _ in range(4)]
    zeta_rate = [[None, None] for _ in range(4)]
    rate = [[None, None] for _ in range(4)]
    for first, end in ((0, tree.front), (2, tree.rear)):
        pair = (first, first + 1)
        lengths = [None, None]
        for way, (letter, matrix) in enumerate((("x", "longitudinal"), ("y", "lateral"))):
            compliance = getattr(end.compliance, matrix).matrix()
            carcass = ca.diag(ca.vertcat(*[1 / numbers[i].tire[letter].carcass_stiffness for i in pair]))
            stiffness = ca.diag(ca.vertcat(*[loaded[i].memory_stiffness(way) for i in pair]))
            lengths[way] = (compliance + carcass) @ stiffness
            e = ca.vertcat(*[inputs.deflection[2 * i + way] for i in pair])
            remembered = _solve2(lengths[way], e)
            for j, i in enumerate(pair):
                zeta[i][way] = remembered[j]
        for j, i in enumerate(pair):
            drive = loaded[i].drive([feet[i].slip_forward, feet[i].slip_left], feet[i].transport)
            # the length on which a wheel's own memory changes while its neighbor's deflection rests
            own = [_determinant(lengths[way]) / lengths[way][1 - j, 1 - j] for way in range(2)]
            rate[i] = loaded[i].deflection_rate(zeta[i], drive, feet[i].transport, own)
        for way in range(2):
            change = _solve2(lengths[way], ca.vertcat(*[rate[i][way] for i in pair]))
            for j, i in enumerate(pair):
                zeta_rate[i][way] = change[j]
    for i in range(4):
        out.deflection_rate += rate[i]

    # the road's force and moment on each wheel: the part about the axle turns the wheel, the rest the carrier
    axial, on_carrier, forces, brakes = [], [], [], []
    for i, (wheel, foot) in enumerate(zip(wheels, feet, strict=True)):
        turning = turnings[wheel.carrier]
        slip = loaded[i].slip(zeta[i], zeta_rate[i])
        loaded_radius = tires[i].unloaded_radius - foot.compression
        fx, fy, mz, my = loaded[i].force(slip, foot.transport, loaded_radius)
        force = fx * foot.forward + fy * foot.left + foot.load * motion.up
        moment = ca.cross(foot.arm, force) + mz * motion.up + my * foot.axis
        about_axle = ca.dot(foot.axis, moment)

        share = chassis.front_brake_share if i < 2 else 1 - chassis.front_brake_share
        relative = inputs.spin[i] - ca.dot(foot.axis, turning)
        brake = share / 2 * inputs.brake_torque * relative / ca.sqrt(relative**2 + BRAKE_SPEED**2)

        couple = moment - about_axle * foot.axis + brake * foot.axis
        push(force, motion.velocity(wheel.center))
        push(couple, turning)
        axial.append(about_axle - brake)
        brakes.append(brake)
        on_carrier.append(couple)
        forces.append(force)
        out.wheel_forces.append((fx, fy, mz))
        out.loads.append(foot.load)
        out.compressions.append(foot.compression)

    # driveline: an open or locked differential on the body or on the axle
    driveline = chassis.driveline
    axial = [axial[0], axial[1], axial[2] + inputs.drive_torque / 2, axial[3] + inputs.drive_torque / 2]
    left, right = numbers[2].spin_inertia, numbers[3].spin_inertia
    lock = driveline.locked * (left * axial[3] - right * axial[2]) / (left + right)
    body_turning = turnings[0]
    for i, sense in ((2, 1), (3, -1)):
        axial[i] += sense * lock
        shaft = inputs.drive_torque / 2 + sense * lock
        housing = turnings[wheels[i].carrier] if solid_rear else body_turning
        push(-shaft * feet[i].axis, housing)
    if solid_rear:
        couple = driveline.propshaft_sense * inputs.drive_torque / driveline.final_drive
        along = attitude @ E_X
        push(couple * along, turnings[wheels[2].carrier] - body_turning)
    out.spin_rate = [axial[i] / numbers[i].spin_inertia for i in range(4)]

    # links yield, with one lag
    for first, end in ((0, tree.front), (2, tree.rear)):
        pair = (first, first + 1)
        yields = end.compliance
        fx, fy, mz = (ca.vertcat(*[out.wheel_forces[i][k] for i in pair]) for k in range(3))
        torque = ca.vertcat(*[brakes[i] for i in pair])
        toe = (
            yields.toe_lateral.matrix() @ fy
            + yields.toe_longitudinal.matrix() @ fx
            + yields.toe_aligning.matrix() @ mz
            + yields.toe_brake.matrix() @ torque
        )
        tilt = yields.tilt_lateral.matrix() @ fy
        for j, i in enumerate(pair):
            out.toe_rate.append((toe[j] - inputs.toe[i]) / chassis.lag)
            out.tilt_rate.append((tilt[j] - inputs.tilt[i]) / chassis.lag)

    # and so do rack and column, under the moment about the steering axes
    rack = 0
    for i in range(2):
        about_point = on_carrier[i] + ca.cross(wheels[i].center - wheels[i].steering_point, forces[i])
        rack += steer_slopes[i] * ca.dot(wheels[i].steering_axis, about_point)
    out.twist_rate = (chassis.steering.compliance * rack - inputs.twist) / chassis.lag
    out.generalized = generalized
    return out


def _determinant(matrix):
    """Of a 2 x 2 matrix."""
    return matrix[0, 0] * matrix[1, 1] - matrix[0, 1] * matrix[1, 0]


def _solve2(matrix, column):
    """A 2 x 2 system in closed form."""
    return ca.vertcat(
        matrix[1, 1] * column[0] - matrix[0, 1] * column[1],
        matrix[0, 0] * column[1] - matrix[1, 0] * column[0],
    ) / _determinant(matrix)
