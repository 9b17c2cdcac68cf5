"""Figure of a frequency response: gain and phase over frequency."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from . import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..run import Run

ROWS = ["yaw_rate", "lateral_acceleration", "roll_angle", "sideslip"]
TICKS = [0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0]


def draw(run: Run) -> Figure:
    """Gain (left) and phase (right) of each response to the steering wheel."""
    return overlay({run.car: run})


def overlay(runs: dict[str, Run]) -> Figure:
    """Frequency responses of several cars in one figure.

    Raises
    ------
    ValueError
        If no run has samples: there is nothing to draw.
    """
    given, runs = runs, style.with_samples(runs)
    figure, axes = style.figure(len(ROWS), 2, (8.0, 9.0), sharex=True)
    for i, (named, run) in enumerate(runs.items()):
        color, name = style.color(i), style.plain(named)
        for (left, right), response in zip(axes, ROWS, strict=True):
            gain, phase = run[f"{response}_response_gain"], run[f"{response}_response_phase"]
            left.semilogx(run["frequency"], gain, color=color, linewidth=1.4, label=name)
            right.semilogx(
                run["frequency"], phase * 180 / math.pi, color=color, linewidth=1.4, label=name
            )
    first = next(iter(runs.values()))
    for (left, right), response in zip(axes, ROWS, strict=True):
        unit = first.channels[f"{response}_response_gain"][0]
        shown = "" if unit == "-" else f" [{unit.replace('*', ' ').replace('^2', '²')}]"
        style.dress(left, "", f"{response.replace('_', ' ')}\ngain{shown}")
        style.dress(right, "", "phase [deg]")
    for left, _ in axes:
        left.set_ylim(bottom=0.0)
    low, high = first["frequency"][0], first["frequency"][-1]
    ticks = [f for f in TICKS if low * 0.999 <= f <= high * 1.001]
    for axis in axes[-1]:
        axis.set_xlabel("frequency [Hz]")
        axis.set_xticks(ticks, [f"{f:g}" for f in ticks])
        axis.minorticks_off()
    speed = first.maneuver.speed  # type: ignore[attr-defined]
    figure.suptitle(
        f"response to the steering wheel at {speed:.1f} m/s"
        + (f", {style.plain(first.car)}" if len(runs) == 1 else ""),
        fontsize=11,
    )
    if len(runs) > 1:
        axes[0, 0].legend(frameon=False, fontsize=8)
    style.name_left_out(figure, given)
    return figure
