"""Cars side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from ..tables import shown
from . import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..tables import Comparison

#: What is shown unless keys are given.
USUAL = [
    "slalom.top_speed",
    "step_steer.yaw_rate_response_time",
    "step_steer.yaw_rate_overshoot",
    "step_steer.lateral_acceleration_response_time",
    "step_steer.lateral_acceleration_overshoot",
    "step_steer.roll_angle_gain",
    "step_steer.tb_factor",
    "circle.understeer_gradient",
    "circle.roll_angle_gradient",
    "circle.lateral_acceleration_limit",
]


def draw(comparison: Comparison, keys: Sequence[str] | None = None) -> Figure:
    """Each metric as bars relative to the first car, with its value."""
    have = [metric["key"] for metric in comparison.metrics]
    chosen = [key for key in (keys or USUAL) if key in have]
    if not chosen:
        chosen = have[:8]
    rows = [have.index(key) for key in chosen]
    count = len(comparison.names)
    figure, axis = style.figure(1, 1, (7.6, 0.9 + 0.34 * len(rows) * max(count, 2) / 1.6))
    height = 0.8 / count
    for car, (name, color) in enumerate(zip(comparison.names, style.COLORS)):
        for line, row in enumerate(rows):
            value, first = comparison.values[row, car], comparison.values[row, 0]
            ratio = 100 * value / first if first else np.nan
            at = line + (car - (count - 1) / 2) * height
            axis.barh(at, ratio, height * 0.9, color=color, label=name if line == 0 else None)
            text, unit = shown(float(value), comparison.metrics[row]["unit"])
            axis.text(
                (ratio if np.isfinite(ratio) else 0) + 1,
                at,
                f"{text} {style.factor(unit)[1]}".strip(),
                va="center",
                fontsize=8,
                color=style.INK,
            )
    axis.axvline(100, color=style.INK, linewidth=0.8)
    axis.set_yticks(range(len(rows)), [key.replace("_", " ").replace(".", ": ") for key in chosen])
    axis.invert_yaxis()
    style.dress(axis, f"relative to {comparison.names[0]} [%]", "")
    axis.grid(axis="y", visible=False)
    low, high = axis.get_xlim()
    axis.set_xlim(0, high * 1.12)
    axis.legend(frameon=False, loc="upper center", bbox_to_anchor=(0.5, 1.0 + 0.55 / len(rows)), ncols=count)
    return figure
