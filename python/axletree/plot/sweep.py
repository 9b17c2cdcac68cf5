"""Figure of a sweep: a metric over a varied entry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from .._pictures import picture
from ..tables import Sweep
from . import style

if TYPE_CHECKING:
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
    """Rows in which an entry varies: all rows of a grid, or those of the entry itself."""
    if sweep.design == "grid":
        return list(range(len(sweep)))
    first = sum(sweep.sizes[:along])
    return list(range(first, first + sweep.sizes[along]))


@picture.register(Sweep)
def draw(sweep: Sweep, key: str, along: str | None = None) -> Figure:
    """The metric over one entry, with one line per combination of the other entries."""
    metric = sweep.metric(key)
    paths = [path for path, _, _ in sweep.settings]
    along = along or paths[0]
    if along not in paths:
        raise KeyError(f"{along}; varied entries are {', '.join(paths)}")
    column = paths.index(along)
    chosen = _rows(sweep, column)
    # Rows of cars that could not be assembled have no values.
    built = [row for row in chosen if sweep.points[row][column] is not None]
    settings = [sweep.points[row][column] for row in built]
    words = any(isinstance(value, str) for value in settings)
    unit = sweep.settings[column][1]
    figure, axis = style.figure(1, 1, (6.4, 4.2))
    if words:
        names = list(dict.fromkeys(settings))
        place: dict[Any, float] = {name: float(i) for i, name in enumerate(names)}
        axis.set_xticks(range(len(names)), names)
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
            elif value is not None:
                factor, name = _scale(sweep.settings[other][1], [value])
                names.append(f"{word} {value * factor:.4g} {name}".strip())
        x = np.array([place[sweep.points[row][column]] for row in rows])
        order = np.argsort(x, kind="stable")
        axis.plot(
            x[order],
            (sweep[key][rows] * scale)[order],
            "o" if words else "o-",
            color=style.COLORS[i % len(style.COLORS)],
            markersize=4,
            linewidth=1.3,
            label=", ".join(names) or None,
        )
    maneuver, name = key.split(".", 1)
    style.dress(axis, x_label, style.label(name, metric["unit"]))
    if words:
        axis.margins(x=0.2)
    axis.set_title(maneuver.replace("_", " "), fontsize=10, color=style.INK)
    if others:
        axis.legend(frameon=False, fontsize=8)
    missing = int(np.sum(~np.isfinite(sweep[key][chosen])))
    if missing:
        axis.annotate(
            f"{missing} of {len(chosen)} cars without a value: see outcomes",
            (0.02, 0.02),
            xycoords="axes fraction",
            fontsize=8,
            color=style.INK,
        )
    return figure
