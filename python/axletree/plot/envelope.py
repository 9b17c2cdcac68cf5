"""Figure of an acceleration envelope."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from . import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..run import Run

#: Names of the wheels, in the order of the channel ``limiting_wheel``.
WHEELS = ["front left", "front right", "rear left", "rear right"]
MARKS = ["v", "^", "s", "o"]


def draw(run: Run) -> Figure:
    """Driving up, braking down, cornering to the side; the marks give the limiting tire."""
    return overlay({run.car: run})


def overlay(runs: dict[str, Run]) -> Figure:
    """Acceleration envelopes of several cars in one figure.

    Raises
    ------
    ValueError
        If no run has samples: there is nothing to draw.
    """
    given, runs = runs, style.with_samples(runs)
    figure = style.picture((6.0, 8.0))
    axes = figure.subplots()
    seen = set()
    for i, (named, run) in enumerate(runs.items()):
        color, name = style.color(i), style.plain(named)
        across, along = run["acceleration_across"], run["acceleration_along"]
        axes.plot(
            np.abs(across), along, color=color, linewidth=1.4, label=name if len(runs) > 1 else None
        )
        for wheel, mark in enumerate(MARKS):
            here = run["limiting_wheel"] == wheel
            if here.any():
                axes.plot(
                    np.abs(across)[here],
                    along[here],
                    mark,
                    color=color,
                    markersize=5,
                    label=None if wheel in seen else f"{WHEELS[wheel]} tire ends it",
                )
                seen.add(wheel)
    axes.axhline(0.0, color=style.FAINT, linewidth=0.8)
    axes.set_aspect("equal", adjustable="box")
    style.dress(axes, "to the side [m/s²]", "forward [m/s²]")
    axes.set_xlim(left=-0.5)
    axes.legend(frameon=False, fontsize=8, loc="center left", bbox_to_anchor=(0.02, 0.5))
    first = next(iter(runs.values()))
    speed = first.maneuver.speed  # type: ignore[attr-defined]
    figure.suptitle(
        f"acceleration envelope at {speed:.1f} m/s"
        + (f", {style.plain(first.car)}" if len(runs) == 1 else ""),
        fontsize=11,
    )
    style.name_left_out(figure, given)
    return figure
