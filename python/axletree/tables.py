"""Tables: what people look at, with units, for the terminal, notebooks, pandas and xarray."""

from __future__ import annotations

import html
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ._equality import ByContent
from .units import needs

if TYPE_CHECKING:
    import matplotlib.figure
    import pandas
    import xarray

#: Said beside results.
CAUTION = (
    "A simulation is not a test: approach predicted limits step by step on a closed course, within the "
    "event's rules."
)

#: How SI values are shown: SI unit to (factor, shown unit).
SHOWN = {
    "rad": (180 / math.pi, "deg"),
    "rad/s": (180 / math.pi, "deg/s"),
    "rad*s2/m": (180 / math.pi * 9.80665, "deg/g"),
    "rad*s^2/m": (180 / math.pi * 9.80665, "deg/g"),
    "N*m/rad": (math.pi / 180, "N*m/deg"),
    "rad/m": (180 / math.pi / 1000, "deg/mm"),
    "s*rad": (180 / math.pi, "s*deg"),
}


def lift_warning(outcome: str, metrics: Mapping[str, float | None]) -> str | None:
    """What must be said beside a result that predicts a lifted wheel or a rollover, by metric names."""
    if outcome == "rolled_over":
        return "Warning: the car rolls over."
    if outcome == "two_wheel_lift":
        return "Warning: both wheels of one side leave the road."
    least = metrics.get("wheel_load_least")
    if least is not None and least <= 0.0:
        return "Warning: a wheel leaves the road."
    lift = metrics.get("wheel_lift_lateral_acceleration")
    if lift is not None and math.isfinite(lift):
        return f"Warning: a wheel leaves the road at {abs(lift):.2f} m/s^2 of lateral acceleration."
    return None


def shown(value: float | None, unit: str) -> tuple[str, str]:
    """A value as text in the unit people read, and that unit."""
    factor, name = SHOWN.get(unit, (1.0, unit))
    if value is None or not math.isfinite(value):
        return "—", name
    return f"{value * factor:.4g}", name


def _text(rows: Sequence[Sequence[str]], right: Sequence[bool]) -> str:
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = (
            cell.rjust(width) if r else cell.ljust(width)
            for cell, width, r in zip(row, widths, right)
        )
        lines.append("  ".join(cells).rstrip())
    lines.insert(1, "  ".join("-" * width for width in widths))
    return "\n".join(lines)


def _html(title: str, rows: Sequence[Sequence[str]], right: Sequence[bool], note: str = "") -> str:
    def row(cells: Sequence[str], tag: str) -> str:
        return "".join(
            f'<{tag} style="text-align:{"right" if r else "left"}">{html.escape(cell)}</{tag}>'
            for cell, r in zip(cells, right)
        )

    head = f"<tr>{row(rows[0], 'th')}</tr>"
    body = "".join(f"<tr>{row(cells, 'td')}</tr>" for cells in rows[1:])
    foot = f"<p><small>{html.escape(note)}</small></p>" if note else ""
    return (
        f"<table><caption>{html.escape(title)}</caption><thead>{head}</thead>"
        f"<tbody>{body}</tbody></table>{foot}"
    )


class Sheet(Mapping[str, float]):
    """The static sheet: what a car is before it moves. A mapping from name to SI value.

    Attributes
    ----------
    name : str
        The car's name.
    units, meanings : dict
        SI unit and meaning of every line.
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
        return f"{self.name}\n{_text(self._rows(), (False, True, False, False))}"

    def _repr_html_(self) -> str:
        return _html(self.name, self._rows(), (False, True, False, False))

    def to_pandas(self) -> pandas.DataFrame:
        """One row a line: value (SI), unit, meaning; indexed by name."""
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


class Entries(Sequence[dict[str, Any]]):
    """Every editable entry of a car, as dicts with path, value (SI), written, unit, allowed (SI), choices,
    meaning, reason and is_default."""

    def __init__(self, name: str, entries: Sequence[dict[str, Any]]) -> None:
        self.name = name
        self._entries = list(entries)

    def __getitem__(self, index: Any) -> Any:
        return self._entries[index]

    def __len__(self) -> int:
        return len(self._entries)

    def __contains__(self, path: object) -> bool:
        return any(entry["path"] == path for entry in self._entries) or path in self._entries

    def _rows(self) -> list[list[str]]:
        rows = [["path", "value", "allowed", "meaning"]]
        for entry in self._entries:
            allowed = entry["allowed"]
            if entry["choices"]:
                span = " | ".join(entry["choices"])
            elif allowed is None:
                span = ""
            else:
                from ._core import write_quantity

                low, high = (write_quantity(x, entry["unit"]) for x in allowed)
                span = f"{low} to {high}"
            value = "—" if entry["written"] is None else entry["written"]
            rows.append([entry["path"], value, span, entry["meaning"]])
        return rows

    def __repr__(self) -> str:
        return f"{self.name}\n{_text(self._rows(), (False, True, False, False))}"

    def _repr_html_(self) -> str:
        return _html(self.name, self._rows(), (False, True, False, False))

    def to_pandas(self) -> pandas.DataFrame:
        """One row an entry, indexed by path."""
        pd = needs("pandas", "pandas")
        frame: pandas.DataFrame = pd.DataFrame(self._entries).set_index("path")
        return frame


class Comparison(ByContent):
    """Several cars in the same maneuvers: a value per metric and car, and the difference.

    Attributes
    ----------
    names : list of str
        The cars.
    metrics : list of dict
        What was measured: key, maneuver, name, unit, meaning, source, floor.
    values : ndarray, shape (metrics, cars)
        SI values; NaN where a run gave none, and `outcomes` says why.
    outcomes : dict
        Maneuver to a list of (name, message, time) per car.
    """

    def __init__(
        self,
        names: list[str],
        metrics: list[dict[str, Any]],
        values: list[list[float]],
        outcomes: dict[str, list[tuple[str, str, float]]],
    ) -> None:
        self.names = names
        self.metrics = metrics
        self.values = np.array(values, dtype=float).reshape(len(metrics), len(names))
        self.outcomes = outcomes

    def __getitem__(self, key: str) -> dict[str, float]:
        """Values of one metric by car."""
        for metric, row in zip(self.metrics, self.values):
            if metric["key"] == key:
                return dict(zip(self.names, map(float, row)))
        raise KeyError(key)

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
        for metric, values in zip(self.metrics, self.values):
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
        """What must be said beside the numbers: cars that lift a wheel or roll over."""
        found = []
        for maneuver, endings in self.outcomes.items():
            for i, (name, (outcome, _, _)) in enumerate(zip(self.names, endings)):
                metrics = {
                    metric["name"]: float(self.values[row, i])
                    for row, metric in enumerate(self.metrics)
                    if metric["maneuver"] == maneuver
                }
                if warning := lift_warning(outcome, metrics):
                    found.append(f"{name}, {maneuver}: {warning}")
        return found

    def __repr__(self) -> str:
        notes = "\n".join([*self.warnings(), CAUTION])
        return f"{_text(self._rows(), self._right())}\n{notes}"

    def _repr_html_(self) -> str:
        note = " ".join([*self.warnings(), CAUTION])
        return _html("comparison", self._rows(), self._right(), note)

    def to_pandas(self) -> pandas.DataFrame:
        """Rows: metrics with units (SI); columns: cars, the difference of two, the unit."""
        pd = needs("pandas", "pandas")
        frame: pandas.DataFrame = pd.DataFrame(
            self.values,
            index=pd.Index([m["key"] for m in self.metrics], name="metric"),
            columns=self.names,
        )
        if self._differences():
            frame["difference"] = self.values[:, 1] - self.values[:, 0]
        frame["unit"] = [m["unit"] for m in self.metrics]
        frame.attrs["outcomes"] = {
            maneuver: dict(zip(self.names, (name for name, _, _ in endings)))
            for maneuver, endings in self.outcomes.items()
        }
        return frame

    def plot(self, keys: Sequence[str] | None = None) -> matplotlib.figure.Figure:
        """The cars side by side, each metric relative to the first car."""
        from .plot import comparison

        return comparison.draw(self, keys)


class Sweep(ByContent):
    """A sweep's table: rows in the order of the combinations, each with its outcome.

    Attributes
    ----------
    settings : list of (path, unit, meaning)
        What was varied.
    metrics : list of dict
        What was measured: key, maneuver, name, unit, meaning, source, floor.
    points : list of list
        SI values of the settings, row by row.
    values : ndarray, shape (rows, metrics)
        SI values; NaN where a run gave none, and `outcomes` says why.
    outcomes : dict
        Maneuver to a list of (name, message, time), row by row.
    faults : list
        What kept a row's car from being built, or ``None``.
    """

    def __init__(self, raw: dict[str, Any], design: str) -> None:
        self.settings: list[tuple[str, str, str]] = raw["settings"]
        self.sizes: list[int] = raw["sizes"]
        self.design = design
        self.metrics: list[dict[str, Any]] = raw["columns"]
        rows = raw["rows"]
        self.points: list[list[Any]] = [row["settings"] for row in rows]
        self.values = np.array([row["values"] for row in rows], dtype=float).reshape(
            len(rows), len(self.metrics)
        )
        self.outcomes = {
            maneuver: [row["outcomes"][i] for row in rows]
            for i, maneuver in enumerate(raw["maneuvers"])
        }
        self.faults: list[str | None] = [row["fault"] for row in rows]

    def __len__(self) -> int:
        return len(self.points)

    def __getitem__(self, key: str) -> np.ndarray[Any, np.dtype[Any]]:
        """The column of a metric (``"slalom.top_speed"``) or of a setting (its path), row by row."""
        for i, metric in enumerate(self.metrics):
            if metric["key"] == key:
                return self.values[:, i]
        for i, (path, _, _) in enumerate(self.settings):
            if path == key:
                return np.array([point[i] for point in self.points])
        known = [path for path, _, _ in self.settings] + [m["key"] for m in self.metrics]
        raise KeyError(f"{key}; there are {', '.join(known)}")

    def metric(self, key: str) -> dict[str, Any]:
        """The declaration of a metric."""
        for metric in self.metrics:
            if metric["key"] == key:
                return metric
        raise KeyError(f"{key}; there are {', '.join(m['key'] for m in self.metrics)}")

    def _rows(self) -> list[list[str]]:
        maneuvers = list(self.outcomes)
        units = [SHOWN.get(u, (1.0, u))[1] for _, u, _ in self.settings]
        units += [""] * len(maneuvers)
        units += [SHOWN.get(m["unit"], (1.0, m["unit"]))[1] for m in self.metrics]
        names = [path for path, _, _ in self.settings]
        names += [f"{m}.outcome" for m in maneuvers] + [m["key"] for m in self.metrics]
        rows = [[f"{n} [{u}]" if u else n for n, u in zip(names, units)]]
        for i, point in enumerate(self.points):
            row = [
                x if isinstance(x, str) else shown(x, u)[0]
                for x, (_, u, _) in zip(point, self.settings)
            ]
            row += [self.outcomes[m][i][0] for m in maneuvers]
            row += [shown(float(v), m["unit"])[0] for v, m in zip(self.values[i], self.metrics)]
            rows.append(row)
        return rows

    def warnings(self) -> list[str]:
        """What must be said beside the numbers: rows whose car lifts a wheel or rolls over."""
        found = []
        for maneuver, endings in self.outcomes.items():
            columns = {
                metric["name"]: i
                for i, metric in enumerate(self.metrics)
                if metric["maneuver"] == maneuver
            }
            for row, (outcome, _, _) in enumerate(endings):
                metrics = {name: float(self.values[row, i]) for name, i in columns.items()}
                if warning := lift_warning(outcome, metrics):
                    found.append(f"row {row}, {maneuver}: {warning}")
        return found

    def __repr__(self) -> str:
        rows = self._rows()
        notes = "\n".join([*self.warnings(), CAUTION])
        return f"{_text(rows, [True] * len(rows[0]))}\n{notes}"

    def _repr_html_(self) -> str:
        rows = self._rows()
        note = " ".join([*self.warnings(), CAUTION])
        return _html("sweep", rows, [True] * len(rows[0]), note)

    def to_pandas(self) -> pandas.DataFrame:
        """One row a car: settings, outcomes, metrics (SI). Units in ``attrs["units"]``."""
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
        """A variable a metric over the grid of the settings, units and meanings in the attributes. Only
        for a grid."""
        xr = needs("xarray", "xarray")
        if self.design != "grid":
            raise ValueError("only a grid has axes: this sweep varies one entry at a time")
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
        """A metric over the swept entries."""
        from .plot import sweep

        return sweep.draw(self, key, along)
