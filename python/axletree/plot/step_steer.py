"""Figure of a step steer: steering input and response, with the response times."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from . import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..run import Run

ROWS = [
    ("steering_wheel_angle", None),
    ("yaw_rate", "yaw_rate"),
    ("lateral_acceleration", "lateral_acceleration"),
    ("roll_angle", "roll_angle"),
    ("sideslip", "sideslip"),
]


def draw(run: Run) -> Figure:
    """Histories over time; marks at 90 % of the steady value and at the peak, lines at steady."""
    return overlay({run.car: run})


def overlay(runs: dict[str, Run]) -> Figure:
    """Step steers of several cars in one figure.

    Raises
    ------
    ValueError
        If no run has samples: there is nothing to draw.
    """
    given, runs = runs, style.with_samples(runs)
    figure, axes = style.figure(len(ROWS), 1, (7.0, 9.0), sharex=True)
    for i, (name, run) in enumerate(runs.items()):
        color = style.color(i)
        for axis, (channel, metric) in zip(axes, ROWS, strict=True):
            unit = run.channels[channel][0]
            scale, _ = style.factor(unit)
            values = run[channel] * scale
            axis.plot(run.time, values, color=color, linewidth=1.4, label=style.plain(name))
            if metric is not None:
                _mark(axis, run, channel, metric, scale, color)
    for axis, (channel, _) in zip(axes, ROWS, strict=True):
        run = next(iter(runs.values()))
        style.dress(axis, "", style.label(channel, run.channels[channel][0]))
    axes[-1].set_xlabel("time [s]")
    first = next(iter(runs.values()))
    figure.suptitle(
        f"step steer at {first.maneuver.speed:.1f} m/s"  # type: ignore[attr-defined]
        + (f", {style.plain(first.car)}" if len(runs) == 1 else ""),
        fontsize=11,
    )
    if len(runs) > 1:
        axes[0].legend(frameon=False, loc="lower right")
    else:
        axes[1].annotate(
            "● 90 % of steady    ▲ peak    - - steady",
            (1.0, 0.06),
            xycoords="axes fraction",
            ha="right",
            fontsize=8,
            color=style.INK,
        )
    style.name_left_out(figure, given)
    return figure


def _mark(axis: object, run: Run, channel: str, metric: str, scale: float, color: str) -> None:
    steady = run.metrics[f"{metric}_steady"]
    if steady is None:
        return
    # Steady values are changes from straight running.
    steady += float(run[channel][0])
    axis.axhline(steady * scale, color=color, linewidth=0.7, linestyle=(0, (4, 3)))  # type: ignore[attr-defined]
    # Response times start when the steering wheel has turned through half of its step.
    steer = run["steering_wheel_angle"]
    half = (steer[0] + steer[-1]) / 2
    rising = (steer - half) * np.sign(steer[-1] - steer[0])
    index = int(np.argmax(rising >= 0))
    if index == 0:
        return
    share = -rising[index - 1] / (rising[index] - rising[index - 1])
    zero = run.time[index - 1] + share * (run.time[index] - run.time[index - 1])
    for key, marker in ((f"{metric}_response_time", "o"), (f"{metric}_peak_response_time", "^")):
        time = run.metrics.get(key)
        if time is not None:
            at = zero + time
            value = np.interp(at, run.time, run[channel]) * scale
            axis.plot([at], [value], marker, color=color, markersize=5)  # type: ignore[attr-defined]
