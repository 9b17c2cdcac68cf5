"""Rotations and, by automatic differentiation, the angular velocities that belong to them."""

from __future__ import annotations

import casadi as ca

E_X = ca.DM([1, 0, 0])
E_Y = ca.DM([0, 1, 0])
E_Z = ca.DM([0, 0, 1])


def about_x(angle):
    """Turn about x, right-handed."""
    c, s = ca.cos(angle), ca.sin(angle)
    return ca.vertcat(ca.horzcat(1, 0, 0), ca.horzcat(0, c, -s), ca.horzcat(0, s, c))


def about_y(angle):
    """Turn about y, right-handed."""
    c, s = ca.cos(angle), ca.sin(angle)
    return ca.vertcat(ca.horzcat(c, 0, s), ca.horzcat(0, 1, 0), ca.horzcat(-s, 0, c))


def about_z(angle):
    """Turn about z, right-handed."""
    c, s = ca.cos(angle), ca.sin(angle)
    return ca.vertcat(ca.horzcat(c, -s, 0), ca.horzcat(s, c, 0), ca.horzcat(0, 0, 1))


def about(axis, angle):
    """Turn about a unit vector (Rodrigues)."""
    cross = ca.skew(axis)
    return ca.SX.eye(3) + ca.sin(angle) * cross + (1 - ca.cos(angle)) * (cross @ cross)


def rate_of(expression, coordinates, rates):
    """Time derivative of an expression of the coordinates."""
    flat = ca.reshape(expression, -1, 1)
    return ca.reshape(ca.jtimes(flat, coordinates, rates), *expression.shape)


def angular_velocity(rotation, coordinates, rates):
    """Angular velocity of ``rotation``, in the axes it turns to: the vector of R' R^T."""
    spin = rate_of(rotation, coordinates, rates) @ rotation.T
    return ca.vertcat(
        (spin[2, 1] - spin[1, 2]) / 2, (spin[0, 2] - spin[2, 0]) / 2, (spin[1, 0] - spin[0, 1]) / 2
    )
