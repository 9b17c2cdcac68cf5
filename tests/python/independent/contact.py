"""One wheel on the road: its geometry and load, then the force and moment the road puts on it."""

from __future__ import annotations

from dataclasses import dataclass

import casadi as ca


@dataclass
class Footing:
    """Contact of a wheel: directions, contact point, load and slip velocities."""

    axis: ca.SX
    forward: ca.SX
    left: ca.SX
    arm: ca.SX
    inclination: ca.SX
    compression: ca.SX
    load: ca.SX
    rolling_radius: ca.SX
    slip_forward: ca.SX
    slip_left: ca.SX
    transport: ca.SX


def compliant_axis(motion, axis, toe, tilt):
    """The wheel axis after the links have yielded by small turns about z and x of the body."""
    turned = axis + ca.cross(motion.attitude @ ca.vertcat(tilt, 0, toe), axis)
    return turned / ca.sqrt(ca.dot(turned, turned))


def footing(motion, tire, place, axis, carrier_turning, spin):
    """Geometry, load and slip velocities of a wheel with center ``place`` and (compliant) ``axis``.

    The wheel is a disc with its lowest point toward the road as contact. The radial tire force acts
    along the disc's radius there; the load is its component square to the road over cos g, so that
    the work of the load on the sinking wheel is the work of the radial spring.
    """
    up = motion.up
    sine = ca.dot(axis, up)
    cosine = ca.sqrt(1 - sine**2)
    forward = ca.cross(axis, up) / cosine
    left = ca.cross(up, forward)
    # from the wheel center along the disc to the road
    upward_radius = ca.cross(forward, axis)
    loaded_radius = motion.height(place) / cosine
    compression = tire.unloaded_radius - loaded_radius
    arm = -loaded_radius * upward_radius
    velocity = motion.velocity(place)
    at_contact = velocity + ca.cross(carrier_turning, arm)
    compression_rate = -ca.dot(at_contact, up) / cosine
    load = tire.radial_force(compression, compression_rate) / cosine
    rolling_radius = tire.rolling_radius(compression)
    return Footing(
        axis,
        forward,
        left,
        arm,
        sine,
        compression,
        load,
        rolling_radius,
        ca.dot(velocity, forward) - spin * rolling_radius,
        ca.dot(at_contact, left),
        spin * rolling_radius,
    )
