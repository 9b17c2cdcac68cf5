"""Quantities: floats in SI units, strings with a unit, pint quantities."""

from __future__ import annotations

import math
import numbers
import reprlib
from typing import Any

import numpy as np

from . import _core

#: A float in SI units, a string with a unit such as ``"24 mm"``, or a pint quantity.
Quantity = float | str | Any


def text_of(value: Any) -> Any:
    """A pint quantity as a string with its unit; any other value unchanged."""
    if hasattr(value, "magnitude") and hasattr(value, "units"):
        return f"{float(value.magnitude)!r} {value.units:~C}"
    return value


def _is_number(value: Any) -> bool:
    """Whether a value is one real number; a boolean is none."""
    if isinstance(value, (bool, np.bool_)) or getattr(value, "shape", ()) != ():
        return False
    if isinstance(value, numbers.Complex) and not isinstance(value, numbers.Real):
        return False
    return hasattr(value, "__float__") or hasattr(value, "__index__")


def si(value: Quantity, unit: str | None = None) -> float:
    """The SI value of a quantity.

    Parameters
    ----------
    value : float, str or pint quantity
        A float is taken as an SI value.
    unit : str, optional
        Required SI unit, such as ``"m/s"``; empty for a pure number. A float is not checked.

    Raises
    ------
    ValueError
        If a string is not a quantity, its dimension is not that of `unit`, or a number is not
        finite.
    TypeError
        If the value is neither a number nor a string nor a pint quantity.

    >>> si("24 mm")
    0.024
    >>> round(si("60 mph", "m/s"), 4)
    26.8224
    """
    value = text_of(value)
    if isinstance(value, str):
        number, has = _core.parse_quantity(value)
        if unit is not None and has != _core.parse_quantity(f"1 {unit}")[1]:
            raise ValueError(
                f'"{value}" is in {has or "no unit"}; expected {unit or "a number without a unit"}'
            )
        return number
    if not _is_number(value):
        raise TypeError(f"expected a number or a string with a unit, got {reprlib.repr(value)}")
    try:
        number = float(value)
    except OverflowError:
        raise ValueError("the number is too large") from None
    if not math.isfinite(number):
        raise ValueError(f"{number} is not a finite number")
    return number
