"""Figure of a double lane change: the course from above and histories along it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from .. import _core
from . import style
from .outline import outline

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..run import Run

ROWS = ["steering_wheel_angle", "lateral_acceleration", "sideslip", "speed"]


def draw(run: Run) -> Figure:
    """Lanes, path and outlines of the car from above, and histories along the course."""
    maneuver: Any = run.maneuver
    lanes = _core.lanes(maneuver.course, run.geometry["width"])
    figure, axes = style.figure(
        1 + len(ROWS), 1, (9.6, 8.4), sharex=True, gridspec_kw={"height_ratios": [1.5, 1, 1, 1, 1]}
    )
    above = axes[0]
    for start, end, right, left in lanes:
        for edge in (right, left):
            above.plot([start, end], [edge, edge], color=style.COLORS[1], linewidth=1.8)
    above.plot(run["x"], run["y"], color=style.COLORS[0], linewidth=1.3)
    reached = run["x"][-1]
    for at in np.arange(0.0, lanes[-1][1] + 0.1, 6.0):
        if at <= reached:
            corners = outline(run, int(np.argmin(abs(run["x"] - at))))
            above.plot(corners[:, 0], corners[:, 1], color="#8A8A8A", linewidth=0.7)
    style.dress(above, "", "y, stretched [m]")
    for axis, channel in zip(axes[1:], ROWS, strict=True):
        unit = run.channels[channel][0]
        scale, _ = style.factor(unit)
        axis.plot(run["x"], run[channel] * scale, color=style.COLORS[0], linewidth=1.3)
        for start, end, _, _ in lanes:
            axis.axvspan(start, end, color="#F2F2F2", zorder=0)
        style.dress(axis, "", style.label(channel, unit))
    axes[-1].set_xlabel("along the course [m]", fontsize=9)
    figure.suptitle(f"double lane change, {style.plain(run.car)}: {style.ending(run)}", fontsize=11)
    return figure
