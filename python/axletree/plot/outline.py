"""Outline of a car seen from above."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from ..run import Array, Run


def outline(run: Run, at: int) -> Array:
    """Corners of the car's outline at a sample, closed; shape (5, 2) [m, earth]."""
    g = run.geometry
    half = g["width"] / 2
    corners = np.array(
        [
            [g["nose"], half],
            [g["nose"], -half],
            [-g["tail"], -half],
            [-g["tail"], half],
            [g["nose"], half],
        ]
    )
    c, s = np.cos(run["yaw_angle"][at]), np.sin(run["yaw_angle"][at])
    turned: Array = corners @ np.array([[c, s], [-s, c]]) + [run["x"][at], run["y"][at]]
    return turned
