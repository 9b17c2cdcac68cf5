"""Recorded runs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from ._display import CAUTION, html_table, shown, text_page, warning_text
from ._equality import ByContent
from ._optional import needs
from ._pictures import picture
from ._settings import ManeuverSettings

if TYPE_CHECKING:
    import matplotlib.figure
    import pandas

Array = np.ndarray[Any, np.dtype[np.float64]]


class Run(ByContent):
    """Record of a car in a maneuver.

    Attributes
    ----------
    maneuver : Maneuver
        The maneuver that was driven.
    car : str
        Name of the car.
    outcome : str
        ``"completed"``, or the reason why the run ended early.
    message : str
        The outcome as a sentence, with its numbers and the reason of every undefined metric.
    warning : str or None
        Warning of a rollover or of wheels that leave the road, each with place and share of the
        run; ``None`` without either. A wheel is off the road where its load is zero.
    end_time : float
        Time at which the run ended [s].
    metrics : dict of str to float or None
        Metrics, SI; ``None`` for a metric that this run does not define.
    time : ndarray, shape (samples,)
        Times of the samples [s].
    channels : dict of str to (unit, frame, meaning)
        Recorded channels; ``run["yaw_rate"]`` is the column of one, shape (samples,).
    """

    def __init__(
        self,
        maneuver: ManeuverSettings,
        car: str,
        raw: Mapping[str, Any],
        geometry: Mapping[str, Any],
    ) -> None:
        self.maneuver = maneuver
        self.car = car
        self.geometry = dict(geometry)
        self.outcome: str = raw["outcome"]
        self.message: str = raw["message"]
        self.warning: str | None = warning_text(raw["warning"])
        self.end_time: float = raw["time"]
        self.metrics: dict[str, float | None] = raw["values"]
        self.time: Array = raw["samples"]
        self.channels = {
            name: (unit, frame, meaning) for name, unit, frame, meaning in raw["channels"]
        }
        self._columns: dict[str, Array] = raw["columns"]

    def __getitem__(self, channel: str) -> Array:
        try:
            return self._columns[channel]
        except KeyError:
            known = ", ".join(self._columns)
            raise KeyError(f"{channel}; recorded channels are {known}") from None

    def _rows(self) -> list[list[str]]:
        units = self.maneuver.units()
        rows = [["metric", "value", "unit"]]
        for name, value in self.metrics.items():
            rows.append([name, *shown(value, units[name])])
        return rows

    def _notes(self) -> list[str]:
        return [note for note in (self.warning, CAUTION) if note]

    def __repr__(self) -> str:
        head = f"{self.car}, {self.maneuver.name}: {self.message}"
        return text_page(head, self._rows(), (False, True, False), self._notes())

    def _repr_html_(self) -> str:
        title = f"{self.car}, {self.maneuver.name}: {self.message}"
        return html_table(title, self._rows(), (False, True, False), " ".join(self._notes()))

    def to_pandas(self) -> pandas.DataFrame:
        """A table with one column per channel, indexed by time [s]; units in ``attrs["units"]``."""
        pd = needs("pandas", "pandas")
        index = pd.Index(self.time, name="time")
        frame: pandas.DataFrame = pd.DataFrame(self._columns, index=index)
        frame.attrs["units"] = {name: unit for name, (unit, _, _) in self.channels.items()}
        frame.attrs["outcome"] = self.outcome
        return frame

    def plot(self) -> matplotlib.figure.Figure:
        """The default figure of the maneuver.

        Raises
        ------
        ValueError
            If the run ended before its first sample: there is nothing to draw.
        """
        return picture(self)
