"""Figures of results. Needs matplotlib: ``pip install "axletree[plot]"``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .._pictures import picture
from ..run import Run
from . import (
    circle,
    comparison,
    envelope,
    frequency_response,
    histories,
    lane_change,
    linkage,
    slalom,
    step_steer,
    style,
    sweep,
)

if TYPE_CHECKING:
    import matplotlib.figure

__all__ = [
    "circle",
    "comparison",
    "envelope",
    "frequency_response",
    "histories",
    "lane_change",
    "linkage",
    "run",
    "slalom",
    "step_steer",
    "style",
    "sweep",
]

#: Figures of runs by name of the maneuver; histories over time for all others.
RUNS = {
    "step_steer": step_steer.draw,
    "circle": circle.draw,
    "slalom": slalom.draw,
    "frequency_response": frequency_response.draw,
    "double_lane_change": lane_change.draw,
    "acceleration_envelope": envelope.draw,
}


@picture.register(Run)
def run(run: Run) -> matplotlib.figure.Figure:
    """The default figure of a run.

    Raises
    ------
    ValueError
        If the run has no samples: there is nothing to draw.
    """
    style.with_samples({run.car: run})
    return RUNS.get(run.maneuver.name, histories.draw)(run)
