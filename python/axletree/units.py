"""Quantities: floats are SI, strings carry their unit, quantities of a units library are accepted."""

from __future__ import annotations

from typing import Any, Union

from . import _core

#: A float in SI units, a string with a unit such as ``"24 mm"``, or a quantity of the pint library.
Quantity = Union[float, str, Any]


def text_of(value: Any) -> Any:
    """A pint quantity as a string with its unit; anything else as it is."""
    if hasattr(value, "magnitude") and hasattr(value, "units"):
        return f"{float(value.magnitude)!r} {value.units:~C}"
    return value


def si(value: Quantity, unit: str | None = None) -> float:
    """The SI value of a quantity.

    Parameters
    ----------
    value : float, str or pint quantity
        A float counts as SI already.
    unit : str, optional
        The SI unit it must have, such as ``"m/s"``.

    Raises
    ------
    ValueError
        For a string that is no quantity, or one of another kind than `unit`.
    TypeError
        For anything else.

    >>> si("24 mm")
    0.024
    >>> round(si("60 mph", "m/s"), 4)
    26.8224
    """
    value = text_of(value)
    if isinstance(value, str):
        number, has = _core.parse_quantity(value)
        if unit is not None and has != _core.parse_quantity(f"1 {unit}")[1]:
            raise ValueError(f'"{value}" is in {has or "no unit"}; expected {unit}')
        return number
    if isinstance(value, bool) or not hasattr(value, "__float__"):
        raise TypeError(f"expected a number or a string with a unit, got {value!r}")
    return float(value)


def needs(extra: str, module: str) -> Any:
    """Imports an optional library, or says which extra brings it."""
    import importlib

    try:
        return importlib.import_module(module)
    except ImportError as error:
        raise ImportError(
            f'this needs {module.split(".")[0]}: pip install "axletree[{extra}]"'
        ) from error
