"""Functions with corners, rounded for a solver that needs second derivatives.

With ``width`` zero these are the exact functions, which is what the comparison with the library
uses. The bound rounds them over widths that change forces by a few newtons (see ``SOFT``).
"""

from __future__ import annotations

from dataclasses import dataclass

import casadi as ca


@dataclass(frozen=True)
class Rounding:
    """Widths over which corners are rounded.

    Of lengths [m], damper speeds [m/s], loads [N], the margin of the slip memory [-] and torques
    [N*m].
    """

    length: float = 0.0
    speed: float = 0.0
    load: float = 0.0
    margin: float = 0.0
    torque: float = 0.0


EXACT = Rounding()
SOFT = Rounding(length=1e-4, speed=2e-3, load=1.0, margin=0.02, torque=2.0)


def above(value, width):
    """The positive part of a value, zero below."""
    if width == 0:
        return ca.fmax(value, 0)
    return (value + ca.sqrt(value**2 + width**2)) / 2


def either(value, positive, negative, width):
    """``positive`` for a value above zero, else ``negative``."""
    if width == 0:
        return ca.if_else(value > 0, positive, negative)
    share = (1 + value / ca.sqrt(value**2 + width**2)) / 2
    return share * positive + (1 - share) * negative


def between(value, bound, width):
    """A value limited to ``-bound`` to ``bound``."""
    if width == 0:
        return ca.fmax(ca.fmin(value, bound), -bound)
    return above(value + bound, width) - above(value - bound, width) - bound
