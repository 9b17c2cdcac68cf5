"""Elastic energy of the twisted and tilted link ends over the travels."""

from __future__ import annotations

import casadi as ca

ROUNDING = 0.15


def _excess(tilt_squared, limit):
    """Excess of a tilt over its limit, with a quartic between zero and the straight line."""
    x = (tilt_squared - limit**2) / (2 * limit)
    r = ROUNDING * limit
    u = (x + r) / (2 * r)
    return ca.if_else(x < -r, 0, ca.if_else(x > r, x, 2 * r * (u**3 - u**4 / 2)))


def _solid(terms, count, tilt):
    """Energy of the link ends beyond their tilt limit."""
    total = 0
    for i in range(count):
        term = terms[i]
        total += term.rate * _excess(tilt(term.tilt_squared), term.limit) ** 2 / 2
    return total


def of_corner(numbers, s):
    """Energy of one corner over its travel."""

    def powers(c):
        return sum(c[i] * s ** (i + 2) for i in range(3))

    return powers(numbers.c) + _solid(numbers.solid, 3, powers)


def of_axle(numbers, h, r):
    """Energy of a solid axle over heave and roll: all terms of second to fourth order."""

    def terms(c):
        products = [h ** (n - k) * r**k for n in (2, 3, 4) for k in range(n + 1)]
        return sum(c[i] * product for i, product in enumerate(products))

    return terms(numbers.c) + _solid(numbers.solid, 6, terms)
