"""Figure of a steady-state circle over lateral acceleration."""

from __future__ import annotations

from typing import TYPE_CHECKING

from . import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..run import Run

ROWS = ["steering_wheel_angle", "roll_angle", "sideslip", "steering_wheel_torque"]


def draw(run: Run) -> Figure:
    """Steer, roll, sideslip and steering torque over lateral acceleration, up to the limit."""
    rows = [channel for channel in ROWS if channel in run.channels]
    figure, axes = style.figure(len(rows), 1, (6.4, 2.1 * len(rows)), sharex=True, squeeze=False)
    across = abs(run["lateral_acceleration"])
    limit = run.metrics.get("lateral_acceleration_limit")
    low, high = run.maneuver.range  # type: ignore[attr-defined]
    for axis, channel in zip(axes[:, 0], rows, strict=True):
        unit = run.channels[channel][0]
        scale, _ = style.factor(unit)
        axis.axvspan(low, high, color="#F2F2F2", zorder=0)
        axis.plot(across, run[channel] * scale, color=style.COLORS[0], linewidth=1.4)
        if limit is not None:
            axis.axvline(abs(limit), color=style.COLORS[1], linewidth=0.9, linestyle=(0, (4, 3)))
        style.dress(axis, "", style.label(channel, unit))
    axes[-1, 0].set_xlabel("lateral acceleration [m/s²]")
    axes[0, 0].set_title(
        f"{style.plain(run.car)}: gray, range of the gradients; dashed, the limit", fontsize=10
    )
    return figure
