"""Figure of a sweep: a metric over a varied entry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from .._pictures import picture
from ..tables import Sweep
from . import style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def _scale(unit: str, values: list[Any]) -> tuple[float, str]:
    """Factor from an SI unit to the displayed unit of an entry, and the label of that unit."""
    if unit == "m" and all(abs(x) < 1 for x in values):
        return 1000.0, "mm"
    if unit == "Pa":
        # Newtons per square meter of a pound-force per square inch.
        return 1 / 6894.757293168361, "psi"
    return style.factor(unit)


def _rows(sweep: Sweep, along: int) -> list[int]:
    """Rows in which an entry varies: all rows of a grid, or the car itself and the entry's rows."""
    if sweep.design == "grid":
        return list(range(len(sweep)))
    first = 1 + sum(sweep.sizes[:along])
    return [0, *range(first, first + sweep.sizes[along])]


@picture.register(Sweep)
def draw(sweep: Sweep, key: str, along: str | None = None) -> Figure:
    """The metric over one entry, with one line per combination of the other entries.

    In a sweep of one entry at a time the car itself has a mark and a line.
    """
    metric = sweep.metric(key)
    paths = [path for path, _, _ in sweep.settings]
    along = along or paths[0]
    if along not in paths:
        raise KeyError(f"{along}; varied entries are {', '.join(paths)}")
    column = paths.index(along)
    chosen = _rows(sweep, column)
    # Cars that could not be built have no values, and an absent entry has no place on the axis.
    built = [
        row for row in chosen if sweep.faults[row] is None and _stated(sweep.points[row][column])
    ]
    settings = [sweep.points[row][column] for row in built]
    words = any(isinstance(value, str) for value in settings)
    unit = sweep.settings[column][1]
    figure, axis = style.figure(1, 1, (6.4, 4.2))
    if words:
        names = list(dict.fromkeys(settings))
        place: dict[Any, float] = {name: float(i) for i, name in enumerate(names)}
        axis.set_xticks(range(len(names)), [style.plain(name) for name in names])
        x_label = along.replace(".", " ").replace("_", " ")
    else:
        factor, name = _scale(unit, settings)
        place = {value: value * factor for value in settings}
        x_label = style.plain_label(along, name)

    groups: dict[tuple[Any, ...], list[int]] = {}
    others = [i for i in range(len(paths)) if i != column and sweep.design == "grid"]
    for row in built:
        groups.setdefault(tuple(sweep.points[row][i] for i in others), []).append(row)
    scale, _ = style.factor(metric["unit"])
    for i, (group, rows) in enumerate(groups.items()):
        names = []
        for other, value in zip(others, group, strict=True):
            word = paths[other].split(".")[-1].replace("_", " ")
            if isinstance(value, str):
                names.append(f"{word} {value}")
            elif _stated(value):
                factor, name = _scale(sweep.settings[other][1], [value])
                names.append(f"{word} {value * factor:.4g} {name}".strip())
        x = np.array([place[sweep.points[row][column]] for row in rows])
        order = np.argsort(x, kind="stable")
        axis.plot(
            x[order],
            (sweep[key][rows] * scale)[order],
            "o" if words else "o-",
            color=style.color(i),
            markersize=4,
            linewidth=1.3,
            label=", ".join(names) or None,
        )
    maneuver, name = key.split(".", 1)
    style.dress(axis, x_label, style.label(name, metric["unit"]))
    if words:
        axis.margins(x=0.2)
    axis.set_title(maneuver.replace("_", " "), fontsize=10, color=style.INK)
    if sweep.design != "grid":
        own = sweep.points[0][column]
        _mark_own(axis, sweep, key, place.get(own) if _stated(own) else None)
    if others or axis.get_legend_handles_labels()[0]:
        axis.legend(frameon=False, fontsize=8)
    _note_missing(axis, sweep[key][chosen])
    return figure


def _stated(value: Any) -> bool:
    """Whether a row has a value of an entry: a word, or a number that is one."""
    return value is not None and (isinstance(value, str) or bool(np.isfinite(value)))


def _mark_own(axis: Axes, sweep: Sweep, key: str, at: float | None) -> None:
    """Marks the car itself, the first row, at its place on the axis, with a line at its value."""
    own = float(sweep[key][0]) * style.factor(sweep.metric(key)["unit"])[0]
    if not np.isfinite(own):
        return
    color, name = style.COLORS[1], "the car as it is"
    line = (0, (4, 3))
    named = name if at is None else None
    axis.axhline(own, color=color, linewidth=0.9, linestyle=line, zorder=1, label=named)
    if at is not None:
        axis.plot([at], [own], "D", color=color, markersize=7, label=name)


def _note_missing(axis: Axes, values: np.ndarray[Any, Any]) -> None:
    """Counts the cars without a value."""
    missing = int(np.sum(~np.isfinite(values)))
    if missing:
        axis.annotate(
            f"{missing} of {len(values)} cars without a value: see outcomes",
            (0.02, 0.02),
            xycoords="axes fraction",
            fontsize=8,
            color=style.INK,
        )
