"""A recorded run."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from ._equality import ByContent
from .tables import CAUTION, _html, _text, lift_warning, shown
from .units import needs

if TYPE_CHECKING:
    import matplotlib.figure
    import pandas

    from .maneuvers import Maneuver

Array = np.ndarray[Any, np.dtype[np.float64]]


class Run(ByContent):
    """What a car did in a maneuver.

    Attributes
    ----------
    maneuver : Maneuver
        What was asked.
    car : str
        Name of the car.
    outcome : str
        ``"completed"``, or a named reason why the run ended.
    message : str
        The outcome with its numbers.
    end_time : float
        When it ended [s].
    metrics : dict of str to float or None
        Headline numbers, SI; ``None`` where one does not exist for this run.
    time : ndarray, shape (samples,)
        Times of the samples [s].
    channels : dict of str to (unit, frame, meaning)
        The recorded channels; ``run["yaw_rate"]`` is the column of one, shape (samples,).
    """

    def __init__(
        self, maneuver: Maneuver, car: str, raw: Mapping[str, Any], geometry: Mapping[str, Any]
    ) -> None:
        self.maneuver = maneuver
        self.car = car
        self.geometry = dict(geometry)
        self.outcome: str = raw["outcome"]
        self.message: str = raw["message"]
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
            raise KeyError(f"{channel}; recorded are {known}") from None

    def _rows(self) -> list[list[str]]:
        units = self.maneuver.units()
        rows = [["metric", "value", "unit"]]
        for name, value in self.metrics.items():
            rows.append([name, *shown(value, units[name])])
        return rows

    @property
    def warning(self) -> str | None:
        """What must be said beside the numbers: that a wheel lifts or the car rolls over."""
        return lift_warning(self.outcome, self.metrics)

    def _notes(self) -> list[str]:
        return [note for note in (self.warning, CAUTION) if note]

    def __repr__(self) -> str:
        head = f"{self.car}, {self.maneuver.name}: {self.message}"
        notes = "\n".join(self._notes())
        return f"{head}\n{_text(self._rows(), (False, True, False))}\n{notes}"

    def _repr_html_(self) -> str:
        title = f"{self.car}, {self.maneuver.name}: {self.message}"
        return _html(title, self._rows(), (False, True, False), " ".join(self._notes()))

    def to_pandas(self) -> pandas.DataFrame:
        """One column a channel, indexed by time [s]; units in ``attrs["units"]``."""
        pd = needs("pandas", "pandas")
        frame: pandas.DataFrame = pd.DataFrame(self._columns, index=pd.Index(self.time, name="time"))
        frame.attrs["units"] = {name: unit for name, (unit, _, _) in self.channels.items()}
        frame.attrs["outcome"] = self.outcome
        return frame

    def plot(self) -> matplotlib.figure.Figure:
        """The maneuver's usual picture."""
        from . import plot

        return plot.run(self)
