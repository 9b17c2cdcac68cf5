"""A metric over the swept entries."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from . import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..tables import Sweep


def _shown(path: str, unit: str, values: np.ndarray) -> tuple[np.ndarray, str]:
    """Values in a unit people read, and the label."""
    if unit == "m" and np.all(np.abs(values) < 1):
        return values * 1000, f"{path} [mm]"
    if unit == "Pa":
        return values / 6894.757293168, f"{path} [psi]"
    scale, name = style.factor(unit)
    return values * scale, f"{path} [{name}]" if name else path


def draw(sweep: Sweep, key: str, along: str | None = None) -> Figure:
    """The metric over one entry; a line for every combination of the others."""
    metric = sweep.metric(key)
    paths = [path for path, _, _ in sweep.settings]
    along = along or paths[0]
    if along not in paths:
        raise KeyError(f"{along}; swept are {', '.join(paths)}")
    units = {path: unit for path, unit, _ in sweep.settings}
    scale, _ = style.factor(metric["unit"])
    x, x_label = _shown(along, units[along], np.asarray(sweep[along], dtype=float))
    y = sweep[key] * scale
    others = [path for path in paths if path != along]
    figure, axis = style.figure(1, 1, (6.4, 4.2))
    groups: dict[tuple[object, ...], list[int]] = {}
    for row, point in enumerate(sweep.points):
        group = tuple(point[paths.index(path)] for path in others)
        groups.setdefault(group, []).append(row)
    for i, (group, rows) in enumerate(groups.items()):
        names = []
        for path, value in zip(others, group):
            text, name = _shown(path, units[path], np.asarray([value], dtype=float))
            names.append(f"{name.split(' [')[0].split('.')[-1]} {text[0]:.4g}")
        color = style.COLORS[i % len(style.COLORS)]
        order = np.argsort(x[rows])
        axis.plot(
            x[rows][order],
            y[rows][order],
            "o-",
            color=color,
            markersize=4,
            linewidth=1.3,
            label=", ".join(names) or None,
        )
    style.dress(axis, x_label, style.label(key.split(".", 1)[1], metric["unit"]))
    axis.set_title(key.split(".", 1)[0].replace("_", " "), fontsize=11)
    if others:
        axis.legend(frameon=False, fontsize=8)
    missing = int(np.sum(~np.isfinite(y)))
    if missing:
        axis.annotate(
            f"{missing} of {len(y)} cars without a value: see the outcomes",
            (0.02, 0.02),
            xycoords="axes fraction",
            fontsize=8,
        )
    return figure
