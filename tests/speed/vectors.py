"""Vectors as tuples of three, which Numba keeps in registers."""

from __future__ import annotations

from .jit import njit


@njit
def add(a, b):
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


@njit
def sub(a, b):
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


@njit
def times(a, s):
    return (a[0] * s, a[1] * s, a[2] * s)


@njit
def along(a, b, s):
    """A + b s."""
    return (a[0] + b[0] * s, a[1] + b[1] * s, a[2] + b[2] * s)


@njit
def dot(a, b):
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@njit
def cross(a, b):
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


@njit
def get(a, i):
    """Row ``i`` of an array."""
    return (a[i, 0], a[i, 1], a[i, 2])


@njit
def put(a, i, v):
    a[i, 0], a[i, 1], a[i, 2] = v[0], v[1], v[2]
