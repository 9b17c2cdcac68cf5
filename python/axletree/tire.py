"""Tires from measured rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from . import _core
from .units import Quantity, si


@dataclass(frozen=True)
class TireFit:
    """A tire fitted to measured rows.

    Attributes
    ----------
    values : dict of str to float
        Fitted inputs, SI, by their path under a car's ``front.tire`` or ``rear.tire``.
    standard_errors : dict of str to float
        How well each is known; infinite where the rows do not tell it.
    residuals : dict of str to float or None
        Root mean square per channel: fx, fy [N], mz [N m].
    notes : list of str
        What was kept and why, what is hardly known.
    """

    values: dict[str, float]
    standard_errors: dict[str, float]
    residuals: dict[str, float | None]
    notes: list[str]

    def edits(self, end: str) -> dict[str, float]:
        """Changes for ``car.edit`` that put the tire on an end: ``"front"`` or ``"rear"``."""
        if end not in ("front", "rear"):
            raise ValueError(f'an end is "front" or "rear", got {end!r}')
        return {f"{end}.tire.{name}": value for name, value in self.values.items()}


def fit_tire(
    rows: Mapping[str, Sequence[float]],
    unloaded_radius: Quantity = 0.31,
    nominal_load: Quantity = 4000.0,
) -> TireFit:
    """Fits a tire to measured force-slip rows by least squares.

    Parameters
    ----------
    rows : mapping of str to sequence of float
        Columns of equal length (a pandas frame is one): ``load`` [N] and at least one of ``fx``, ``fy``
        [N], ``mz`` [N m]; ``slip_angle`` [rad, positive for a force to the left], ``slip_ratio`` [-], ``camber``
        [rad, top to the right], ``pressure`` [Pa] where they are not zero (220 kPa for the pressure).
    unloaded_radius : float or str
        Of the tire [m]. It is not fitted.
    nominal_load : float or str
        At which friction and stiffness are stated [N].

    Raises
    ------
    TireError
        For rows that are too few, not numbers, or cannot be a tire's.
    """
    columns = {str(name): np.asarray(rows[name], dtype=float) for name in rows}
    known = {"load", "slip_angle", "slip_ratio", "camber", "pressure", "fx", "fy", "mz"}
    if unknown := set(columns) - known:
        raise ValueError(f"unknown columns {sorted(unknown)}; known are {sorted(known)}")
    if "load" not in columns:
        raise ValueError('the rows have no column "load"')
    n = len(columns["load"])

    def column(name: str, default: float) -> list[float]:
        return columns[name].tolist() if name in columns else [default] * n

    def measured(name: str) -> list[float] | None:
        return columns[name].tolist() if name in columns else None

    raw: dict[str, Any] = _core.fit_tire(
        columns["load"].tolist(),
        column("slip_angle", 0.0),
        column("slip_ratio", 0.0),
        column("camber", 0.0),
        column("pressure", 220e3),
        measured("fx"),
        measured("fy"),
        measured("mz"),
        si(unloaded_radius, "m"),
        si(nominal_load, "N"),
    )
    return TireFit(
        {name: value for name, (value, _) in raw["fitted"].items()},
        {name: error for name, (_, error) in raw["fitted"].items()},
        raw["residuals"],
        raw["notes"],
    )
