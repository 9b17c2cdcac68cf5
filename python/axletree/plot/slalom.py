"""The slalom from above."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from . import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..run import Run


def draw(run: Run) -> Figure:
    """Course with cones, path and the car's outline at every cone; steering, lateral acceleration and
    sideslip along the course."""
    maneuver = run.maneuver
    cones = np.arange(maneuver.cones) * maneuver.spacing  # type: ignore[attr-defined]
    figure, axes = style.figure(
        4, 1, (10.0, 8.0), sharex=True, gridspec_kw={"height_ratios": [1.6, 1, 1, 1]}
    )
    top = axes[0]
    x, y, yaw = run["x"], run["y"], run["yaw_angle"]
    geometry = run.geometry
    half = geometry["width"] / 2
    corners = np.array(
        [
            [geometry["nose"], half],
            [geometry["nose"], -half],
            [-geometry["tail"], -half],
            [-geometry["tail"], half],
            [geometry["nose"], half],
        ]
    )
    # Where the car's corners have been, and the car at every cone.
    for cone in cones:
        at = int(np.argmin(abs(x - cone)))
        c, s = np.cos(yaw[at]), np.sin(yaw[at])
        outline = corners @ np.array([[c, s], [-s, c]]) + [x[at], y[at]]
        top.plot(outline[:, 0], outline[:, 1], color=style.FAINT, linewidth=1.0)
    top.plot(x, y, color=style.COLORS[0], linewidth=1.4)
    top.scatter(
        cones,
        np.zeros_like(cones),
        s=28,
        color=style.COLORS[1],
        zorder=3,
        label="cone",
    )
    style.dress(top, "", "y [m]")
    for axis, channel in zip(
        axes[1:], ["steering_wheel_angle", "lateral_acceleration", "sideslip"]
    ):
        unit = run.channels[channel][0]
        scale, _ = style.factor(unit)
        axis.plot(x, run[channel] * scale, color=style.COLORS[0], linewidth=1.3)
        for cone in cones:
            axis.axvline(cone, color=style.FAINT, linewidth=0.7)
        style.dress(axis, "", style.label(channel, unit))
    axes[-1].set_xlabel("along the course [m]")
    figure.suptitle(f"slalom, {run.car}: {run.message}", fontsize=11)
    return figure
