"""Where the equations have corners, and how to round them for a solver that wants second derivatives.

With ``width`` zero these are the exact functions, which is what the comparison with the library
uses. The bound rounds them over widths that change forces by a few newtons (see ``SOFT``).
"""

from __future__ import annotations

from dataclasses import dataclass

import casadi as ca


@dataclass(frozen=True)
class Rounding:
    """Widths over which corners are rounded: of lengths [m], of damper speeds [m/s], of loads [N], of the
    margin of the slip memory [-], of torques [N m].
    """

    length: float = 0.0
    speed: float = 0.0
    load: float = 0.0
    margin: float = 0.0
    torque: float = 0.0


EXACT = Rounding()
SOFT = Rounding(length=1e-4, speed=2e-3, load=1.0, margin=0.02, torque=2.0)


def above(value, width):
    """The part of a value above zero."""
    if width == 0:
        return ca.fmax(value, 0)
    return (value + ca.sqrt(value**2 + width**2)) / 2


def either(value, positive, negative, width):
    """``positive`` where the value is above zero, else ``negative``."""
    if width == 0:
        return ca.if_else(value > 0, positive, negative)
    share = (1 + value / ca.sqrt(value**2 + width**2)) / 2
    return share * positive + (1 - share) * negative


def between(value, bound, width):
    """A value held between ``-bound`` and ``bound``."""
    if width == 0:
        return ca.fmax(ca.fmin(value, bound), -bound)
    return above(value + bound, width) - above(value - bound, width) - bound
