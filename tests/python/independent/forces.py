"""Applied forces: elastic potential, dissipation, air, road, driveline and brakes.

Everything enters as a potential of the travels or as the virtual power of forces at velocities
that are linear in the seventeen speeds: the ten of the motion, and the absolute speeds of wheels,
rear housing, crown wheel and engine. Which torque reacts where is not written anywhere; it
follows from the speeds between which the torque does its work.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import casadi as ca

from . import binding, driveline
from .contact import compliant_axis, footing
from .corners import EXACT, above, either
from .tire import Loaded, Tire
from .turning import E_X, E_Y, E_Z, about_x, about_y, about_z, rate_of

BRAKE_SPEED = 0.5


@dataclass
class Inputs:
    """Inputs, and the states other than coordinates and speeds: symbols or expressions."""

    steering_wheel: ca.SX
    steering_wheel_rate: ca.SX
    drive_torque: ca.SX
    brake_torque: ca.SX
    friction: ca.SX
    throttle: ca.SX
    gear_ratio: ca.SX
    clutch: ca.SX
    engine_on: ca.SX
    spin: ca.SX
    deflection: ca.SX
    toe: ca.SX
    tilt: ca.SX
    twist: ca.SX
    windup: ca.SX
    housing: ca.SX
    shaft_mean: ca.SX
    shaft_difference: ca.SX
    crown: ca.SX
    engine: ca.SX
    clutch_twist: ca.SX
    throttle_felt: ca.SX


@dataclass
class Applied:
    """Generalized forces and the rates of the other states.

    ``powers`` are those of all forces at the speeds between which they act, by kind; ``losses``
    what is lost, each by a law of its own. ``split`` and ``grip`` are the twists that differential
    and clutch hold, ``through`` the torque of both half shafts.
    """

    powers: dict = field(default_factory=dict)
    losses: dict = field(default_factory=dict)
    spin_rate: list = field(default_factory=list)
    deflection_rate: list = field(default_factory=list)
    toe_rate: list = field(default_factory=list)
    tilt_rate: list = field(default_factory=list)
    twist_rate: ca.SX = None
    drive_rate: list = field(default_factory=list)
    split: driveline.Held = None
    grip: driveline.Held = None
    through: ca.SX = None
    generalized: ca.SX = None
    loads: list = field(default_factory=list)
    compressions: list = field(default_factory=list)
    wheel_forces: list = field(default_factory=list)


def _knuckle_angle(corner, angle):
    """Turn about the steering axis that turns the wheel, seen from above at rest, by an angle.

    The wheel's axis, turned about the steering axis, is to be square to the level direction in
    which the wheel points then: a sine and a cosine of the turn, solved by their phase.
    """
    knuckle = (
        about_z(corner.toe.curve(0))
        @ about_x(corner.tilt.curve(0))
        @ about_y(corner.pitch.curve(0))
    )
    steering_axis, axis = knuckle @ corner.steering_axis.vector(3), knuckle @ E_Y
    ahead = about_z(corner.toe.curve(0) + angle) @ E_X
    still = ca.dot(steering_axis, axis) * steering_axis
    fixed, by_cos = ca.dot(still, ahead), ca.dot(axis - still, ahead)
    by_sin = ca.dot(ca.cross(steering_axis, axis), ahead)
    return ca.atan2(by_sin, by_cos) + ca.acos(-fixed / ca.sqrt(by_cos**2 + by_sin**2))


def steer_angles(tree, inputs):
    """``(angles, rates, accelerations, d angle/d mean)`` of left and right front knuckle.

    The difference of the road wheels' cotangents, ``cot(mean - more) - cot(mean + more)``, is the
    Ackermann number k, so that ``2 sin(2 more) - k cos(2 more) = -k cos(2 mean)``: a sine of
    ``2 more`` with a phase.
    """
    steering = tree.chassis.steering
    mean_now = steering.gain * inputs.steering_wheel + inputs.twist
    mean_rate = steering.gain * inputs.steering_wheel_rate
    mean, k = ca.SX.sym("mean"), steering.ackermann
    more = (ca.atan(k / 2) - ca.asin(k * ca.cos(2 * mean) / ca.sqrt(4 + k**2))) / 2
    angle = ca.vertcat(
        _knuckle_angle(tree.front.side[0], mean + more),
        _knuckle_angle(tree.front.side[1], mean - more),
    )
    slope = ca.jacobian(angle, mean)
    bend = ca.jacobian(slope, mean)
    angles, slopes, bends = ca.substitute([angle, slope, bend], [mean], [mean_now])
    return angles, slopes * mean_rate, bends * mean_rate**2, ca.vertsplit(slopes)


def _lengths(side, travels, solid, i):
    """Compressions of spring and damper, and the bar's travel, of one side of an end."""
    if solid:
        return [
            getattr(side, name).surface(travels[0], travels[1])
            for name in ("spring", "damper", "bar")
        ]
    return [getattr(side, name).curve(travels[i]) for name in ("spring", "damper", "bar")]


def elastic(tree, solid_rear, travels, travel_rates, rounding=EXACT):
    """``(potential, generalized damper forces on the four travels)``."""
    potential, damping = 0, ca.SX.zeros(4)
    for end, solid, own in ((tree.front, False, travels[:2]), (tree.rear, solid_rear, travels[2:])):
        bars = []
        for i in range(2):
            side = end.side[i]
            strut = side.strut
            spring, compression, bar = _lengths(side, own, solid, i)
            bars.append(bar)
            potential += strut.spring.preload * spring + strut.spring.rate * spring**2 / 2
            for stop, travel in ((strut.bump, compression), (strut.droop, -compression)):
                into = above(travel - stop.gap, rounding.length)
                potential += stop.rate * into**2 / 2 + stop.progression * into**3 / 3
            speed = rate_of(compression, travels, travel_rates)
            damper = strut.damper
            force = []
            for way in range(2):
                low, high, inverse_knee = (
                    damper.low[way],
                    damper.high[way],
                    damper.inverse_knee[way],
                )
                force.append(
                    high * speed + (low - high) * speed / ca.sqrt(1 + (speed * inverse_knee) ** 2)
                )
            damping -= ca.gradient(compression, travels) * either(
                speed, force[0], force[1], rounding.speed
            )
            if not solid:
                potential += binding.of_corner(side.binding, own[i])
        if solid:
            potential += binding.of_axle(end.binding, own[0], own[1])
        potential += end.bar_rate * (bars[0] - bars[1]) ** 2 / 2
    return potential, damping


def applied(motion, tree, solid_rear, bodies, wheels, inputs, steer_slopes, rounding=EXACT):
    """All generalized forces, and the rates of spins, deflections, lags."""
    out = Applied()
    speeds = ca.vertcat(motion.speeds, inputs.spin, inputs.housing, inputs.crown, inputs.engine)
    chassis = tree.chassis
    generalized = ca.SX.zeros(speeds.numel())

    def push(kind, force, velocity):
        """Adds the virtual power of a force at a velocity or of a couple at an angular velocity."""
        nonlocal generalized
        generalized += ca.jacobian(velocity, speeds).T @ force
        out.powers[kind] = out.powers.get(kind, 0) + ca.dot(ca.SX(force), velocity)

    def lose(kind, power):
        """Records a loss of power."""
        out.losses[kind] = out.losses.get(kind, 0) + power

    velocities = [motion.velocity(body.center) for body in bodies]
    turnings = [motion.turning(body.orientation) for body in bodies]

    # weight
    for body, velocity in zip(bodies, velocities, strict=True):
        push("weight", -body.mass * chassis.gravity * motion.up, velocity)

    # springs, bars, stops, dampers
    potential, damping = elastic(tree, solid_rear, motion.travels, motion.travel_rates, rounding)
    push("springs", -ca.gradient(potential, motion.travels), motion.travel_rates)
    push("dampers", damping, motion.travel_rates)

    # air, by the velocities of body-fixed points
    air = chassis.air
    forward = motion.body_speeds()[0]
    origin, attitude = motion.origin, motion.attitude
    drag_at = origin + attitude @ ca.vertcat(0, 0, air.drag_height)
    push("air", -air.drag * forward * ca.fabs(forward) * (attitude @ E_X), motion.velocity(drag_at))
    for i in range(2):
        lift_at = origin + attitude @ ca.vertcat(air.lift_x[i], 0, 0)
        push("air", air.lift[i] * forward**2 * (attitude @ E_Z), motion.velocity(lift_at))

    # geometry and load of the four contacts
    ends = (tree.front, tree.front, tree.rear, tree.rear)
    numbers = [end.side[i % 2].wheel for i, end in enumerate(ends)]
    tires = [Tire(number.tire, rounding) for number in numbers]
    feet, loaded = [], []
    for i, wheel in enumerate(wheels):
        axis = compliant_axis(motion, wheel.axis, inputs.toe[i], inputs.tilt[i])
        foot = footing(
            motion, tires[i], wheel.center, axis, turnings[wheel.carrier], inputs.spin[i]
        )
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
            carcass = ca.diag(
                ca.vertcat(*[1 / numbers[i].tire[letter].carcass_stiffness for i in pair])
            )
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

    # the rear housing turns by itself on what it winds up, or with its carrier where that is rigid
    line = chassis.driveline
    body_turning = turnings[0]
    carrier_turning = turnings[wheels[2].carrier] if solid_rear else body_turning
    housing_axis = wheels[2].axis if solid_rear else attitude @ E_Y
    carried = ca.dot(housing_axis, carrier_turning)
    flexible = line.windup.flexible
    housing = flexible * inputs.housing + (1 - flexible) * carried
    # outer ends of the half shafts, as seen from the carrier but with its own turn about the
    # housing's axis
    ends_of_shafts = [
        inputs.spin[i] - ca.dot(feet[i].axis - housing_axis, carrier_turning) for i in (2, 3)
    ]

    # the road's force and moment on each wheel: the part about the axle turns the wheel, the rest
    # the carrier
    on_carrier, forces, brakes = [], [], []
    for i, (wheel, foot) in enumerate(zip(wheels, feet, strict=True)):
        turning = turnings[wheel.carrier]
        slip = loaded[i].slip(zeta[i], zeta_rate[i])
        loaded_radius = tires[i].unloaded_radius - foot.compression
        fx, fy, mz, my = loaded[i].force(slip, foot.transport, loaded_radius)
        force = fx * foot.forward + fy * foot.left + foot.load * motion.up
        moment = ca.cross(foot.arm, force) + mz * motion.up + my * foot.axis
        own = inputs.spin[i] - ca.dot(foot.axis, turning)
        push("road", force, motion.velocity(wheel.center))
        whole = turning + own * foot.axis
        push("road", moment, whole)
        # lost: what slides and turns on the road, and the radial damping
        sliding = motion.velocity(wheel.center) + ca.cross(whole, foot.arm)
        sinking = -ca.dot(sliding, motion.up) / ca.sqrt(1 - foot.inclination**2)
        spring = numbers[i].tire.vertical_stiffness * above(foot.compression, rounding.length)
        damping = foot.load * ca.sqrt(1 - foot.inclination**2) - spring
        lose("tires", damping * sinking - ca.dot(fx * foot.forward + fy * foot.left, sliding))
        lose("tires", -ca.dot(mz * motion.up + my * foot.axis, whole))

        # a brake works between wheel and knuckle, or wheel and housing of a solid axle
        share = chassis.front_brake_share if i < 2 else 1 - chassis.front_brake_share
        relative = ends_of_shafts[i - 2] - housing if solid_rear and i >= 2 else own
        brake = share / 2 * inputs.brake_torque * relative / ca.sqrt(relative**2 + BRAKE_SPEED**2)
        push("brakes", -brake, relative)

        brakes.append(brake)
        on_carrier.append(moment - ca.dot(foot.axis, moment) * foot.axis + brake * foot.axis)
        forces.append(force)
        out.wheel_forces.append((fx, fy, mz))
        out.loads.append(foot.load)
        out.compressions.append(foot.compression)

    # half shafts between crown wheel and wheels; the propeller shaft turns relative to the body
    crown = inputs.crown + housing
    if solid_rear:
        roll = ca.dot(attitude @ E_X, carrier_turning - body_turning)
        crown -= line.propshaft_sense / line.final_drive * roll
    shafts = driveline.half_shafts(
        line, inputs.shaft_mean, inputs.shaft_difference, crown, ends_of_shafts, rounding
    )
    for torque, end in zip((shafts.left, shafts.right), ends_of_shafts, strict=True):
        push("shafts", -torque, crown - end)
    split = out.split = shafts.difference
    out.through = shafts.left + shafts.right
    lose("shafts", 2 * line.half_shafts.damping * shafts.mean_rate**2)
    lose(
        "differential",
        (split.torque * shafts.difference_speed - split.elastic * split.twist_rate) / 2,
    )

    # what holds the housing
    wind = line.windup
    windup_rate = housing - carried
    push(
        "windup",
        -flexible * (wind.stiffness * inputs.windup + wind.damping * windup_rate),
        windup_rate,
    )
    lose("windup", flexible * wind.damping * windup_rate**2)

    # clutch, gears, engine
    ratio = inputs.gear_ratio * line.final_drive
    clutch, engine, on = line.clutch, line.engine, inputs.engine_on
    slipping = inputs.engine - ratio * inputs.crown
    grip = out.grip = driveline.held(
        clutch.stiffness,
        clutch.damping,
        inputs.clutch_twist,
        slipping,
        inputs.clutch * clutch.capacity,
        rounding,
    )
    entering = ratio * grip.torque
    lost = entering - driveline.passed_on(entering, line.efficiency)
    torque = driveline.engine_torque(engine, inputs.engine, inputs.throttle_felt)
    push("clutch", -on * grip.torque, slipping)
    push("gears", -on * lost, inputs.crown)
    push("engine", on * torque, inputs.engine)
    push("drive", inputs.drive_torque, inputs.crown)
    lose("clutch", on * (grip.torque * slipping - grip.elastic * grip.twist_rate))

    # rates of the rotors, and of what is twisted between them
    inertias = [number.spin_inertia for number in numbers]
    out.spin_rate = [generalized[10 + i] / inertias[i] for i in range(4)]
    slack = 1 - flexible
    out.drive_rate = [
        flexible * windup_rate - slack * driveline.FOLLOW * inputs.windup,
        generalized[14] / wind.inertia + slack * driveline.FOLLOW * (carried - inputs.housing),
        shafts.mean_rate,
        split.twist_rate,
        generalized[15] / driveline.crown_inertia(line, ratio),
        generalized[16] / engine.inertia,
        on * grip.twist_rate,
        on * (inputs.throttle - inputs.throttle_felt) / line.throttle_lag,
    ]

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
        about_point = on_carrier[i] + ca.cross(
            wheels[i].center - wheels[i].steering_point, forces[i]
        )
        rack += steer_slopes[i] * ca.dot(wheels[i].steering_axis, about_point)
    out.twist_rate = (chassis.steering.compliance * rack - inputs.twist) / chassis.lag
    out.generalized = generalized[:10]
    return out


def _determinant(matrix):
    """Determinant of a 2 x 2 matrix."""
    return matrix[0, 0] * matrix[1, 1] - matrix[0, 1] * matrix[1, 0]


def _solve2(matrix, column):
    """Solution of a 2 x 2 system in closed form."""
    return ca.vertcat(
        matrix[1, 1] * column[0] - matrix[0, 1] * column[1],
        matrix[0, 0] * column[1] - matrix[1, 0] * column[0],
    ) / _determinant(matrix)
