"""Laws of the parts between engine and wheels: twists held by friction, differential, engine.

Only the laws are here; which speeds the torques act between is in :mod:`.forces`, and the energy
that they store in :func:`stored`.
"""

from __future__ import annotations

from dataclasses import dataclass

import casadi as ca

from .corners import above, between

FORGET = 0.005
FOLLOW = 100.0
DRAG_SPEED = 10.0
LIMITER = 0.03


@dataclass
class Held:
    """State of an elastic, damped twist that friction holds up to a bound.

    Torque, rate of the twist, elastic torque, torque without the bound, and the bound.
    """

    torque: ca.SX
    twist_rate: ca.SX
    elastic: ca.SX
    asked: ca.SX
    bound: ca.SX


def held(stiffness, damping, twist, speed, bound, rounding):
    """Torque of a twist between ends of relative speed ``speed``, and the rate of the twist.

    Twist beyond the bound decays.
    """
    elastic = stiffness * twist
    beyond = twist - between(elastic, bound, rounding.torque) / stiffness
    asked = elastic + damping * speed
    return Held(
        between(asked, bound, rounding.torque), speed - beyond / FORGET, elastic, asked, bound
    )


@dataclass
class Shafts:
    """Torques on the left and right wheels; rates of mean and differential twist."""

    left: ca.SX
    right: ca.SX
    mean_rate: ca.SX
    difference: Held
    difference_speed: ca.SX


def half_shafts(numbers, mean, difference, inner, outer, rounding):
    """Half shafts between a crown wheel at speed ``inner`` and wheels at speeds ``outer``."""
    shaft, gear = numbers.half_shafts, numbers.differential
    left, right = outer
    mean_rate = inner - (left + right) / 2
    one = shaft.stiffness * mean + shaft.damping * mean_rate
    # friction in the differential grows with the torque through it, one way or the other
    most = gear.preload + gear.lock_drive * above(2 * one, rounding.torque)
    most += gear.lock_coast * above(-2 * one, rounding.torque)
    speed = right - left
    split = held(shaft.stiffness, shaft.damping, difference, speed, most, rounding)
    return Shafts(one + split.torque / 2, one - split.torque / 2, mean_rate, split, speed)


def engine_torque(engine, speed, throttle):
    """Torque of the engine: drag, full-throttle curve with limiter, idle control."""
    drag = (
        -(engine.drag[0] + engine.drag[1] * ca.fabs(speed)) * speed / (ca.fabs(speed) + DRAG_SPEED)
    )
    span = (speed - engine.peak_speed) / engine.fall_span
    below = engine.peak_torque - engine.rise * (speed - engine.peak_speed) ** 2
    beyond = engine.peak_torque - engine.fall[0] * span**2 - engine.fall[1] * span**8
    full = ca.if_else(speed < engine.peak_speed, below, beyond)
    # the limiter blends from full torque to drag over the last few percent of the speed, as a cubic
    left = ca.fmin(ca.fmax((engine.limit - speed) / (LIMITER * engine.limit), 0), 1)
    full = drag + (3 * left**2 - 2 * left**3) * (full - drag)
    return drag + throttle * (full - drag) + engine.idle_gain * ca.fmax(engine.idle - speed, 0)


def passed_on(torque, efficiency):
    """Torque after losses, for power flow from the engine and to it."""
    return ca.if_else(torque > 0, torque * efficiency, torque / efficiency)


def crown_inertia(numbers, ratio):
    """Inertia of the parts that turn with the crown wheel; ``ratio`` is engine over crown speed."""
    return numbers.shaft_inertia * numbers.final_drive**2 + numbers.gear_inertia * ratio**2


def stored(numbers, ratio, inputs):
    """Kinetic and elastic energy of housing, shafts, clutch and rotors, with held twists."""
    shaft, wind, engine, clutch = (
        numbers.half_shafts,
        numbers.windup,
        numbers.engine,
        numbers.clutch,
    )
    kinetic = wind.flexible * wind.inertia * inputs.housing**2
    kinetic += crown_inertia(numbers, ratio) * inputs.crown**2
    kinetic += inputs.engine_on * engine.inertia * inputs.engine**2
    elastic = wind.flexible * wind.stiffness * inputs.windup**2
    for sense in (1, -1):
        elastic += shaft.stiffness * (inputs.shaft_mean + sense * inputs.shaft_difference / 2) ** 2
    elastic += inputs.engine_on * clutch.stiffness * inputs.clutch_twist**2
    return (kinetic + elastic) / 2
