"""Figure of a slalom: the course from above and histories along it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from . import style
from .outline import outline

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from ..run import Array, Run

ROWS = ["steering_wheel_angle", "lateral_acceleration", "sideslip"]


def _course(axis: Axes, run: Run, cones: Array, radius: float) -> None:
    """Draws the path, the bases of the cones and the car's outline at every cone."""
    from matplotlib.patches import Circle as Disc

    axis.plot(run["x"], run["y"], color=style.COLORS[0], linewidth=1.4)
    for cone in cones:
        # A cone that the car did not reach has no outline.
        if run["x"][-1] >= cone:
            corners = outline(run, int(np.argmin(abs(run["x"] - cone))))
            axis.plot(corners[:, 0], corners[:, 1], color="#8A8A8A", linewidth=0.9)
        axis.add_patch(Disc((cone, 0.0), radius, color=style.COLORS[1], zorder=3))


def draw(run: Run) -> Figure:
    """Course from above with the car's outline at every cone, and histories along the course.

    The first four cones are in true proportion; the whole course is stretched laterally.
    """
    maneuver: Any = run.maneuver
    cones = np.arange(maneuver.cones) * maneuver.spacing
    figure, axes = style.figure(
        5,
        1,
        (9.6, 9.0),
        gridspec_kw={"height_ratios": [0.85, 1.1, 1, 1, 1]},
    )
    for axis in axes[2:]:
        axis.sharex(axes[1])
    near, whole = axes[0], axes[1]
    _course(near, run, cones[:4], maneuver.cone_radius)
    near.set_aspect("equal")
    style.dress(near, "", "y [m]")
    last = cones[min(3, len(cones) - 1)]
    near.set_xlim(-0.5 * maneuver.spacing, last + 0.5 * maneuver.spacing)
    near.set_ylim(-2.6, 2.6)
    near.set_title("the first cones in true proportion", fontsize=9, loc="left", color=style.INK)
    _course(whole, run, cones, maneuver.cone_radius)
    whole.set_title("the whole course, y stretched", fontsize=9, loc="left", color=style.INK)
    style.dress(whole, "", "y [m]")
    for axis, channel in zip(axes[2:], ROWS, strict=True):
        unit = run.channels[channel][0]
        scale, _ = style.factor(unit)
        axis.plot(run["x"], run[channel] * scale, color=style.COLORS[0], linewidth=1.3)
        for cone in cones:
            axis.axvline(cone, color=style.FAINT, linewidth=0.7)
        style.dress(axis, "", style.label(channel, unit))
    for axis in axes[1:-1]:
        axis.tick_params(labelbottom=False)
    axes[-1].set_xlabel("along the course [m]", fontsize=9)
    title = f"slalom, {style.plain(run.car)}: {style.ending(run)}"
    figure.suptitle(title, fontsize=11)
    return figure
