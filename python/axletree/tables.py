"""Tables of results with units, for the terminal, notebooks, pandas and xarray."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ._display import (
    CAUTION,
    display_unit,
    html_table,
    one_line,
    shown,
    text_page,
    text_table,
    warning_text,
)
from ._entries import Entries
from ._equality import ByContent
from ._optional import needs
from ._pictures import picture

if TYPE_CHECKING:
    import matplotlib.figure
    import pandas
    import xarray

__all__ = ["Comparison", "Entries", "Sheet", "Sweep"]


def free_name(name: str, taken: Sequence[str]) -> str:
    """A name that is not taken: the name itself, or with underscores behind it."""
    while name in taken:
        name += "_"
    return name


class Sheet(Mapping[str, float]):
    """Static sheet: quantities of a car at rest. A mapping from name to SI value.

    Attributes
    ----------
    name : str
        Name of the car.
    units, meanings : dict
        SI unit and meaning of every quantity.
    """

    def __init__(self, name: str, rows: Sequence[tuple[str, str, float, str]]) -> None:
        self.name = name
        self._values = {key: value for key, _, value, _ in rows}
        self.units = {key: unit for key, unit, _, _ in rows}
        self.meanings = {key: meaning for key, _, _, meaning in rows}

    def __getitem__(self, key: str) -> float:
        return self._values[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def _rows(self) -> list[list[str]]:
        rows = [["quantity", "value", "unit", "meaning"]]
        for key, value in self._values.items():
            number, unit = shown(value, self.units[key])
            rows.append([key, number, unit, self.meanings[key]])
        return rows

    def __repr__(self) -> str:
        return text_page(self.name, self._rows(), (False, True, False, False))

    def _repr_html_(self) -> str:
        return html_table(self.name, self._rows(), (False, True, False, False))

    def to_pandas(self) -> pandas.DataFrame:
        """A table with one row per quantity: value (SI), unit, meaning; indexed by name."""
        pd = needs("pandas", "pandas")
        frame: pandas.DataFrame = pd.DataFrame(
            {
                "value": self._values,
                "unit": self.units,
                "meaning": self.meanings,
            },
            index=list(self._values),
        )
        frame.index.name = "quantity"
        frame.attrs["car"] = self.name
        return frame


class Comparison(ByContent):
    """Comparison of cars in the same maneuvers: a value per metric and car.

    Two cars have a column with their difference too.

    Attributes
    ----------
    names : list of str
        Names of the cars.
    metrics : list of dict
        Metrics: key, maneuver, name, unit, meaning, source, floor.
    values : ndarray, shape (metrics, cars)
        SI values; NaN for an undefined metric, with the reason in `outcomes`.
    outcomes : dict
        Outcomes per car: maneuver to a list of (name, message, time). The message of a completed
        run has the reason of every undefined metric.
    faults : list
        Reason per car why it could not be built, or ``None``.
    front_shares : list of float or None, or None
        Front share of the roll stiffness of each car whose rear ends are of different kinds [-];
        ``None`` where they are of one kind.
    """

    def __init__(
        self,
        names: list[str],
        metrics: list[dict[str, Any]],
        values: list[list[float]],
        outcomes: dict[str, list[tuple[str, str, float]]],
        faults: list[str | None],
        warnings: dict[str, list[str | None]],
        front_shares: list[float | None] | None,
    ) -> None:
        self.names = names
        self.metrics = metrics
        self.values = np.array(values, dtype=float).reshape(len(metrics), len(names))
        self.outcomes = outcomes
        self.faults = faults
        self.front_shares = front_shares
        self._warnings = warnings

    def __getitem__(self, key: str) -> dict[str, float]:
        """Values of one metric by car."""
        for metric, row in zip(self.metrics, self.values, strict=True):
            if metric["key"] == key:
                return dict(zip(self.names, map(float, row), strict=True))
        known = ", ".join(metric["key"] for metric in self.metrics)
        raise KeyError(f"{key}; metrics of the comparison are {known}")

    def _differences(self) -> bool:
        return len(self.names) == 2

    def _rows(self) -> list[list[str]]:
        head = ["metric", *self.names]
        if self._differences():
            head.append("difference")
        rows = [[*head, "unit"]]
        for maneuver, endings in self.outcomes.items():
            cells = [f"{maneuver}.outcome", *(name for name, _, _ in endings)]
            if self._differences():
                cells.append("")
            rows.append([*cells, ""])
        for metric, values in zip(self.metrics, self.values, strict=True):
            cells = [metric["key"]]
            unit = ""
            for value in values:
                number, unit = shown(float(value), metric["unit"])
                cells.append(number)
            if self._differences():
                change = float(values[1] - values[0])
                small = abs(change) < metric["floor"]
                cells.append("0" if small else shown(change, metric["unit"])[0])
            rows.append([*cells, unit])
        return rows

    def _right(self) -> list[bool]:
        return [False, *([True] * (len(self.names) + self._differences())), False]

    def warnings(self) -> list[str]:
        """Warnings of cars that lift a wheel or roll over, each with place and share of the run."""
        return [
            f"{one_line(name)}, {maneuver}: {warning_text(warning)}"
            for maneuver, warnings in self._warnings.items()
            for name, warning in zip(self.names, warnings, strict=True)
            if warning is not None
        ]

    def rear_end_note(self) -> str | None:
        """Front share of roll stiffness of rear ends of different kinds; ``None`` for one kind.

        Rear ends as they are bolted on differ in balance: the verdict may be that of the bars.
        """
        if self.front_shares is None:
            return None
        shares = ", ".join(
            f"{one_line(name)} {'—' if share is None else f'{100 * share:.1f} %'}"
            for name, share in zip(self.names, self.front_shares, strict=True)
        )
        return f"Front share of roll stiffness: {shares} (not tuned)."

    def _notes(self) -> list[str]:
        rear_ends = self.rear_end_note()
        notes = [] if rear_ends is None else [rear_ends]
        return [*notes, *self._reasons(), *self.warnings(), CAUTION]

    def _reasons(self) -> list[str]:
        """Reasons of the cars that could not be built."""
        faults = zip(self.names, self.faults, strict=True)
        return [
            f"{one_line(name)} was not built: {fault}"
            for name, fault in faults
            if fault is not None
        ]

    def __repr__(self) -> str:
        return "\n".join([text_table(self._rows(), self._right()), *self._notes()])

    def _repr_html_(self) -> str:
        return html_table("comparison", self._rows(), self._right(), " ".join(self._notes()))

    def to_pandas(self) -> pandas.DataFrame:
        """A table with one row per metric: SI values by car, difference of two cars, unit.

        Where a car is called ``"difference"`` or ``"unit"``, the column of that name has an
        underscore behind it. Outcomes, faults and front shares of roll stiffness are in ``attrs``.
        """
        pd = needs("pandas", "pandas")
        frame: pandas.DataFrame = pd.DataFrame(
            self.values,
            index=pd.Index([m["key"] for m in self.metrics], name="metric"),
            columns=self.names,
        )
        if self._differences():
            difference = self.values[:, 1] - self.values[:, 0]
            frame[free_name("difference", self.names)] = difference
        frame[free_name("unit", self.names)] = [m["unit"] for m in self.metrics]
        frame.attrs["outcomes"] = {
            maneuver: dict(zip(self.names, (name for name, _, _ in endings), strict=True))
            for maneuver, endings in self.outcomes.items()
        }
        frame.attrs["faults"] = dict(zip(self.names, self.faults, strict=True))
        if self.front_shares is not None:
            shares = dict(zip(self.names, self.front_shares, strict=True))
            frame.attrs["roll_stiffness_front_share"] = shares
        return frame

    def plot(self, keys: Sequence[str] | None = None) -> matplotlib.figure.Figure:
        """A figure of the metrics of each car, relative to the first car.

        Parameters
        ----------
        keys : sequence of str, optional
            Keys of the metrics, such as ``"slalom.top_speed"``. Default: a selection.
        """
        return picture(self, keys)


#: Reasons of cars that were not built, shown below a sweep at most.
SHOWN_FAULTS = 10


class Sweep(ByContent):
    """Results of a sweep: one row per combination of values, each with its outcome.

    The first row of a sweep of one entry at a time is the car itself.

    Attributes
    ----------
    settings : list of (path, unit, meaning)
        Entries that were varied.
    metrics : list of dict
        Metrics: key, maneuver, name, unit, meaning, source, floor.
    points : list of list
        SI values of the varied entries, by row; those asked for where the car could not be
        assembled, NaN where they hold no quantity of the entry's kind.
    values : ndarray, shape (rows, metrics)
        SI values; NaN for an undefined metric, with the reason in `outcomes`.
    outcomes : dict
        Outcomes by row: maneuver to a list of (name, message, time). The message of a completed run
        has the reason of every undefined metric.
    faults : list of str or None
        Reason why the car of a row could not be assembled, or ``None``.
    """

    def __init__(self, raw: dict[str, Any], design: str) -> None:
        self.settings: list[tuple[str, str, str]] = raw["settings"]
        self.sizes: list[int] = raw["sizes"]
        self.design = design
        self.metrics: list[dict[str, Any]] = raw["columns"]
        self.points: list[list[Any]] = raw["points"]
        self.values: np.ndarray[Any, np.dtype[np.float64]] = raw["values"]
        self.outcomes: dict[str, list[tuple[str, str, float]]] = raw["outcomes"]
        self.faults: list[str | None] = raw["faults"]
        self._warnings: dict[str, list[str | None]] = raw["warnings"]

    def __len__(self) -> int:
        return len(self.points)

    def __getitem__(self, key: str) -> np.ndarray[Any, np.dtype[Any]]:
        """The column of a metric (``"slalom.top_speed"``) or of a varied entry (its path)."""
        for i, metric in enumerate(self.metrics):
            if metric["key"] == key:
                return self.values[:, i]
        for i, (path, _, _) in enumerate(self.settings):
            if path == key:
                return np.array([point[i] for point in self.points])
        known = [path for path, _, _ in self.settings] + [m["key"] for m in self.metrics]
        raise KeyError(f"{key}; columns of the sweep are {', '.join(known)}")

    def metric(self, key: str) -> dict[str, Any]:
        """The declaration of a metric."""
        for metric in self.metrics:
            if metric["key"] == key:
                return metric
        known = ", ".join(m["key"] for m in self.metrics)
        raise KeyError(f"{key}; metrics of the sweep are {known}")

    def _rows(self) -> list[list[str]]:
        maneuvers = list(self.outcomes)
        units = [display_unit(u)[1] for _, u, _ in self.settings]
        units += [""] * len(maneuvers)
        units += [display_unit(m["unit"])[1] for m in self.metrics]
        names = [path for path, _, _ in self.settings]
        names += [f"{m}.outcome" for m in maneuvers] + [m["key"] for m in self.metrics]
        rows = [[f"{n} [{u}]" if u else n for n, u in zip(names, units, strict=True)]]
        for i, point in enumerate(self.points):
            row = [
                x if isinstance(x, str) else shown(x, u)[0]
                for x, (_, u, _) in zip(point, self.settings, strict=True)
            ]
            row += [self.outcomes[m][i][0] for m in maneuvers]
            row += [
                shown(float(v), m["unit"])[0]
                for v, m in zip(self.values[i], self.metrics, strict=True)
            ]
            rows.append(row)
        return rows

    def warnings(self) -> list[str]:
        """Warnings of rows whose car lifts a wheel or rolls over, each with place and share."""
        return [
            f"row {row}, {maneuver}: {warning_text(warning)}"
            for maneuver, warnings in self._warnings.items()
            for row, warning in enumerate(warnings)
            if warning is not None
        ]

    def _reasons(self) -> list[str]:
        """Reasons of the rows whose car could not be built; rows with the same reason together."""
        rows: dict[str, list[int]] = {}
        for row, fault in enumerate(self.faults):
            if fault is not None:
                rows.setdefault(fault, []).append(row)
        reasons = [
            f"row{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers[:5]))}"
            f"{', ...' if len(numbers) > 5 else ''} not built: {fault}"
            for fault, numbers in rows.items()
        ]
        if len(reasons) > SHOWN_FAULTS:
            left = len(reasons) - SHOWN_FAULTS
            reasons[SHOWN_FAULTS:] = [f"and {left} more reasons: see faults"]
        return reasons

    def __repr__(self) -> str:
        rows = self._rows()
        notes = [*self._reasons(), *self.warnings(), CAUTION]
        return "\n".join([text_table(rows, [True] * len(rows[0])), *notes])

    def _repr_html_(self) -> str:
        rows = self._rows()
        note = " ".join([*self._reasons(), *self.warnings(), CAUTION])
        return html_table("sweep", rows, [True] * len(rows[0]), note)

    def to_pandas(self) -> pandas.DataFrame:
        """A table with one row per car: varied entries, outcomes, metrics (SI).

        Units are in ``attrs["units"]``.
        """
        pd = needs("pandas", "pandas")
        columns: dict[str, Any] = {path: self[path] for path, _, _ in self.settings}
        for maneuver, endings in self.outcomes.items():
            columns[f"{maneuver}.outcome"] = [name for name, _, _ in endings]
        for i, metric in enumerate(self.metrics):
            columns[metric["key"]] = self.values[:, i]
        frame: pandas.DataFrame = pd.DataFrame(columns)
        frame.attrs["units"] = {path: unit for path, unit, _ in self.settings} | {
            m["key"]: m["unit"] for m in self.metrics
        }
        return frame

    def to_xarray(self) -> xarray.Dataset:
        """A dataset with one variable per metric over the grid of the varied entries.

        Units and meanings are in the attributes.

        Raises
        ------
        ValueError
            If the sweep is not a grid.
        """
        xr = needs("xarray", "xarray")
        if self.design != "grid":
            raise ValueError(
                'to_xarray needs a sweep with design="grid"; this one varies one entry at a time'
            )
        paths = [path for path, _, _ in self.settings]
        shape = tuple(self.sizes)
        coordinates = {}
        for axis, (path, unit, meaning) in enumerate(self.settings):
            column = self[path].reshape(shape)
            index = [0] * len(shape)
            index[axis] = slice(None)  # type: ignore[call-overload]
            coordinates[path] = (path, column[tuple(index)], {"units": unit, "long_name": meaning})
        variables = {
            m["key"]: (
                paths,
                self.values[:, i].reshape(shape),
                {"units": m["unit"], "long_name": m["meaning"], "source": m["source"]},
            )
            for i, m in enumerate(self.metrics)
        }
        for maneuver, endings in self.outcomes.items():
            names = np.array([name for name, _, _ in endings]).reshape(shape)
            variables[f"{maneuver}.outcome"] = (paths, names, {})
        cube: xarray.Dataset = xr.Dataset(variables, coords=coordinates)
        return cube

    def plot(self, key: str, along: str | None = None) -> matplotlib.figure.Figure:
        """A figure of one metric over one varied entry.

        Parameters
        ----------
        key : str
            Key of the metric, such as ``"slalom.top_speed"``.
        along : str, optional
            Path of the entry. Default: the first.
        """
        return picture(self, key, along)
