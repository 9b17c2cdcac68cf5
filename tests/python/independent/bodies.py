"""Place and orientation of every body, as functions of the generalized coordinates.

Coordinates: position of O in earth axes, yaw, pitch and roll, four travels; besides them the steer
angles of the front wheels, which the driver prescribes as functions of time. ``frame`` decides in
which axes the places come out: with the true attitude in earth axes, with the identity in body
axes.
"""

from __future__ import annotations

from dataclasses import dataclass

import casadi as ca

from .turning import E_Y, about, about_x, about_y, about_z


@dataclass
class Body:
    """A rigid body: mass, center, orientation and inertia.

    ``inertia`` is a full tensor in the body's own axes; or ``revolution = (diametral, axial)`` with
    its axis of revolution along the body's own y.
    """

    mass: ca.SX
    center: ca.SX
    orientation: ca.SX
    inertia: ca.SX | None = None
    revolution: tuple | None = None


@dataclass
class WheelPlace:
    """A wheel: index of its carrier, center, axis, and the steering axis of a steered wheel."""

    carrier: int
    center: ca.SX
    axis: ca.SX
    steering_axis: ca.SX | None = None
    steering_point: ca.SX | None = None


def _corner(corner, s, steer, place, turn):
    """Knuckle and wheel of one corner; ``place`` and ``turn`` transform from b to the frame."""
    base = ca.vertcat(corner.x.curve(s), corner.y.curve(s), corner.z.curve(s))
    knuckle = (
        about_z(corner.toe.curve(s))
        @ about_x(corner.tilt.curve(s))
        @ about_y(corner.pitch.curve(s))
    )
    # the steering axis is fixed in the knuckle carrier: turn about it, with its point held still
    if steer is None:
        center, steered, axis, point = base, knuckle, None, None
    else:
        own_axis, arm = corner.steering_axis.vector(3), corner.steering_arm.vector(3)
        steered = knuckle @ about(own_axis, steer)
        point = base + knuckle @ arm
        center = point - steered @ arm
        axis = knuckle @ own_axis
    unsprung = corner.unsprung
    body = Body(
        unsprung.mass,
        place(center),
        turn(steered),
        revolution=(unsprung.inertia_diametral, unsprung.inertia_axial),
    )
    wheel = WheelPlace(
        -1,
        place(center),
        turn(steered) @ E_Y,
        None if axis is None else turn(axis),
        None if point is None else place(point),
    )
    return body, wheel


def bodies_and_wheels(tree, solid_rear, travels, steers, origin, attitude):
    """All bodies (sprung first) and the four wheels.

    ``origin`` and ``attitude`` are those of the frame b: where O is, and the matrix from b.
    """

    def place(point):
        return origin + attitude @ point

    def turn(matrix):
        return attitude @ matrix

    sprung = tree.chassis.sprung
    xx, yy, zz, xy, xz, yz = [sprung.inertia[i] for i in range(6)]
    tensor = ca.vertcat(ca.horzcat(xx, xy, xz), ca.horzcat(xy, yy, yz), ca.horzcat(xz, yz, zz))
    bodies = [Body(sprung.mass, place(sprung.center.vector(3)), attitude, inertia=tensor)]
    wheels = []

    def add(body, new_wheels):
        bodies.append(body)
        for wheel in new_wheels:
            wheel.carrier = len(bodies) - 1
            wheels.append(wheel)

    for i in range(2):
        body, wheel = _corner(tree.front.side[i], travels[i], steers[i], place, turn)
        add(body, [wheel])
    if not solid_rear:
        for i in range(2):
            body, wheel = _corner(tree.rear.side[i], travels[2 + i], None, place, turn)
            add(body, [wheel])
    else:
        axle, heave, roll = tree.rear, travels[2], travels[3]
        center = ca.vertcat(
            axle.x.surface(heave, roll), axle.y.surface(heave, roll), axle.z + heave
        )
        pose = (
            about_z(axle.yaw.surface(heave, roll))
            @ about_x(roll)
            @ about_y(axle.pitch.surface(heave, roll))
        )
        half = axle.half_track * (pose @ E_Y)
        unsprung = axle.unsprung
        body = Body(
            unsprung.mass,
            place(center),
            turn(pose),
            revolution=(unsprung.inertia_diametral, unsprung.inertia_axial),
        )
        axis = turn(pose) @ E_Y
        add(
            body,
            [
                WheelPlace(-1, place(center + half), axis),
                WheelPlace(-1, place(center - half), axis),
            ],
        )
    return bodies, wheels


def kinetic_energy(bodies, velocities, rates):
    """Kinetic energy of all bodies, from velocities of centers and angular velocities."""
    energy = 0
    for body, v, w in zip(bodies, velocities, rates, strict=True):
        energy += body.mass * ca.dot(v, v) / 2
        if body.inertia is not None:
            own = body.orientation.T @ w
            energy += ca.dot(own, body.inertia @ own) / 2
        else:
            diametral, axial = body.revolution
            along = ca.dot(w, body.orientation @ E_Y)
            energy += diametral * (ca.dot(w, w) - along**2) / 2 + axial * along**2 / 2
    return energy
