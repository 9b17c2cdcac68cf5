"""Fitting of tires to measured data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from . import _core
from .units import Quantity, si


@dataclass(frozen=True)
class TireFit:
    """Tire fitted to measured rows.

    Attributes
    ----------
    values : dict of str to float
        Fitted parameters, SI, by path under a car's ``front.tire`` or ``rear.tire``.
    standard_errors : dict of str to float
        Standard error of each parameter; infinite if the rows do not determine it.
    residuals : dict of str to float or None
        Root-mean-square residual per channel: fx, fy [N], mz [N*m]; ``None`` if not measured.
    notes : list of str
        Parameters that were not fitted, with the reason, and parameters that are poorly determined.
    """

    values: dict[str, float]
    standard_errors: dict[str, float]
    residuals: dict[str, float | None]
    notes: list[str]

    def edits(self, end: str) -> dict[str, float]:
        """Changes for ``car.edit`` that fit the tire to one end, ``"front"`` or ``"rear"``."""
        if end not in ("front", "rear"):
            raise ValueError(f'unknown end {end!r}; expected "front" or "rear"')
        return {f"{end}.tire.{name}": value for name, value in self.values.items()}


def _column(name: str, values: Any) -> np.ndarray[Any, np.dtype[np.float64]]:
    """A column of real numbers; an error names it."""
    try:
        given = np.asarray(values)
        if np.iscomplexobj(given):
            raise TypeError("expected real numbers")  # noqa: TRY301
        column = given.astype(float)
    except OverflowError:
        raise ValueError(f"column {name}: a number is too large") from None
    except (TypeError, ValueError) as error:
        kind = TypeError if isinstance(error, TypeError) else ValueError
        raise kind(f"column {name}: {error}") from None
    if column.ndim != 1:
        raise ValueError(
            f"column {name}: expected one number per row, got {column.ndim} dimensions"
        )
    return column


def fit_tire(
    rows: Mapping[str, Sequence[float]],
    unloaded_radius: Quantity = 0.31,
    nominal_load: Quantity = 4000.0,
) -> TireFit:
    """Fits a tire to measured force-slip rows by least squares.

    Parameters
    ----------
    rows : mapping of str to sequence of float
        Columns of equal length, such as a pandas frame: ``load`` [N] and at least one of ``fx``,
        ``fy`` [N], ``mz`` [N*m]. Optional: ``slip_angle`` [rad, positive for a force to the left,
        the opposite of ISO 8855], ``slip_ratio`` [-], ``camber`` [rad, top to the right], default
        0; ``pressure`` [Pa], default 220 kPa.
    unloaded_radius : float or str
        Unloaded radius of the tire [m]; not fitted.
    nominal_load : float or str
        Load at which friction and stiffness are stated [N].

    Raises
    ------
    TireError
        If there are too few rows, or rows that are not finite or out of a tire's range.
    ValueError
        If a column is unknown, missing, of another length than the others, or no column of numbers.
    TypeError
        If a column holds values that are no real numbers.
    """
    columns = {str(name): _column(str(name), rows[name]) for name in rows}
    known = {"load", "slip_angle", "slip_ratio", "camber", "pressure", "fx", "fy", "mz"}
    if unknown := set(columns) - known:
        raise ValueError(f"unknown columns {sorted(unknown)}; expected some of {sorted(known)}")
    if "load" not in columns:
        raise ValueError('the rows have no column "load"')
    n = len(columns["load"])

    def column(name: str, default: float) -> np.ndarray[Any, np.dtype[np.float64]]:
        return columns[name] if name in columns else np.full(n, default)

    raw: dict[str, Any] = _core.fit_tire(
        columns["load"],
        column("slip_angle", 0.0),
        column("slip_ratio", 0.0),
        column("camber", 0.0),
        column("pressure", 220e3),
        columns.get("fx"),
        columns.get("fy"),
        columns.get("mz"),
        si(unloaded_radius, "m"),
        si(nominal_load, "N"),
    )
    return TireFit(
        {name: value for name, (value, _) in raw["fitted"].items()},
        {name: error for name, (_, error) in raw["fitted"].items()},
        raw["residuals"],
        raw["notes"],
    )
