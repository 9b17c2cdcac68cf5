"""Figure of a comparison of cars."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from .._display import shown
from .._pictures import picture
from ..tables import Comparison
from . import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

#: Default metrics.
DEFAULT_KEYS = [
    "slalom.top_speed",
    "slalom.roll_angle_largest",
    "slalom.steering_effort",
    "step_steer.yaw_rate_gain",
    "step_steer.yaw_rate_response_time",
    "step_steer.yaw_rate_overshoot",
    "step_steer.lateral_acceleration_response_time",
    "step_steer.roll_angle_gain",
    "step_steer.tb_factor",
    "circle.understeer_gradient",
    "circle.roll_angle_gradient",
    "circle.lateral_acceleration_limit",
]
#: Largest change drawn to scale; larger changes are drawn at this edge with their number [%].
EDGE = 30.0


@picture.register(Comparison)
def draw(comparison: Comparison, keys: Sequence[str] | None = None) -> Figure:
    """Change of each metric from the first car, with the values beside it."""
    have = [metric["key"] for metric in comparison.metrics]
    if keys is not None and (unknown := [key for key in keys if key not in have]):
        raise KeyError(f"{', '.join(unknown)}; metrics of the comparison are {', '.join(have)}")
    chosen = [key for key in (keys or DEFAULT_KEYS) if key in have] or have[:10]
    rows = [have.index(key) for key in chosen]
    names, count = [style.plain(name) for name in comparison.names], len(comparison.names)
    # Table on the left, widths in inches: metric, one column per car, unit.
    first_column, last = 3.1, 0.75
    wide = max(0.95, 0.2 + 0.085 * max(map(len, names)))
    table = first_column + wide * count + last
    figure, (words, axis) = style.figure(
        1,
        2,
        (table + 4.0, 1.2 + 0.3 * len(rows)),
        sharey=True,
        gridspec_kw={"width_ratios": [table, 4.0]},
    )
    words.set_axis_off()
    words.set_xlim(0, table)
    columns = [first_column + wide * (i + 0.9) for i in range(count)]
    for i, (name, at) in enumerate(zip(names, columns, strict=True)):
        words.text(at, -0.9, name, ha="right", fontsize=9, color=style.color(i), weight="bold")
    for line, row in enumerate(rows):
        metric = comparison.metrics[row]
        maneuver, name = metric["key"].split(".", 1)
        label = f"{maneuver.replace('_', ' ')}: {name.replace('_', ' ')}"
        words.text(0.0, line, label, va="center", fontsize=9, color=style.INK)
        for value, at in zip(comparison.values[row], columns, strict=True):
            text, unit = shown(float(value), metric["unit"])
            words.text(at, line, text, ha="right", va="center", fontsize=9, color=style.INK)
        unit = style.factor(metric["unit"])[1]
        words.text(columns[-1] + 0.1, line, unit, va="center", fontsize=8, color="#666666")
    axis.axvline(0, color=style.COLORS[0], linewidth=1.4)
    for car in range(1, count):
        color = style.color(car)
        for line, row in enumerate(rows):
            value, first = comparison.values[row, car], comparison.values[row, 0]
            if not (np.isfinite(value) and np.isfinite(first)) or first == 0:
                continue
            # An increase in magnitude is drawn to the right, for negative values too.
            change = 100 * (value - first) / first
            at = float(np.clip(change, -EDGE, EDGE))
            axis.plot([0, at], [line, line], color=color, linewidth=1.2)
            outside = abs(change) > EDGE
            marker = "o" if not outside else (">" if change > 0 else "<")
            axis.plot([at], [line], marker, color=color, markersize=6)
            if outside:
                axis.annotate(
                    f"{change:+.0f} %",
                    (at, line),
                    xytext=(-8 if change > 0 else 8, 5),
                    textcoords="offset points",
                    ha="right" if change > 0 else "left",
                    fontsize=8,
                    color=color,
                )
    style.dress(axis, f"change from {names[0]} [%]", "")
    axis.tick_params(left=False, labelleft=False)
    axis.spines["left"].set_visible(False)
    reach = [np.abs(np.asarray(line.get_xdata(), dtype=float)).max() for line in axis.lines]
    limit = max(5.0, 1.15 * float(max(reach, default=0.0)))
    axis.set_xlim(-limit, limit)
    axis.set_ylim(len(rows) - 0.4, -1.3)
    note = comparison.rear_end_note()
    if note is not None:
        figure.supxlabel(style.plain(note), x=0.01, ha="left", fontsize=8, color=style.INK)
    return figure
