"""Pictures. Needs matplotlib: ``pip install "axletree[plot]"``."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import matplotlib.figure

    from ..run import Run


def run(run: Run) -> matplotlib.figure.Figure:
    """The usual picture of a run."""
    from . import (
        circle,
        envelope,
        frequency_response,
        histories,
        lane_change,
        slalom,
        step_steer,
    )

    draw = {
        "step_steer": step_steer.draw,
        "circle": circle.draw,
        "slalom": slalom.draw,
        "frequency_response": frequency_response.draw,
        "double_lane_change": lane_change.draw,
        "acceleration_envelope": envelope.draw,
    }
    return draw.get(run.maneuver.name, histories.draw)(run)
