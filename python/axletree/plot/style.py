"""Style of the figures: dark lines on white, thin frames, a unit on every axis."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from .._display import display_unit, one_line
from .._optional import needs

if TYPE_CHECKING:
    from collections.abc import Mapping

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from ..run import Run

#: Colors distinct in gray and for color-blind readers (after Okabe and Ito, 2008, from memory).
COLORS = ["#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9"]
INK = "#222222"
FAINT = "#B8B8B8"


def figure(
    rows: int, columns: int, size: tuple[float, float], **options: Any
) -> tuple[Figure, Any]:
    """A figure with a grid of axes, independent of pyplot."""
    drawn = picture(size)
    return drawn, drawn.subplots(rows, columns, **options)


def picture(size: tuple[float, float]) -> Figure:
    """An empty figure of a given size [inches], displayed by notebooks without pyplot."""
    needs("plot", "matplotlib")
    from matplotlib.figure import Figure

    class Picture(Figure):
        def _repr_png_(self) -> bytes:
            file = io.BytesIO()
            self.savefig(file, format="png")
            return file.getvalue()

    return Picture(figsize=size, dpi=110, layout="constrained")


def dress(axes: Axes, x: str, y: str) -> None:
    """Labels the axes, removes half of the frame and adds a grid."""
    axes.set_xlabel(x, fontsize=9)
    axes.set_ylabel(y, fontsize=9)
    axes.tick_params(labelsize=9)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.grid(color="#E6E6E6", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.margins(x=0.02)


def color(number: int) -> str:
    """The color of a curve or a car, by its number; colors repeat."""
    return COLORS[number % len(COLORS)]


def plain(text: str) -> str:
    """A name as it is: without line breaks, not read as a formula, not hidden from the legend."""
    text = one_line(text).replace("$", r"\$")
    return f" {text}" if text.startswith("_") else text


def ending(run: Run) -> str:
    """The outcome of a run as a sentence, without the reasons of undefined metrics."""
    return run.message.partition("; ")[0]


def with_samples(runs: Mapping[str, Run]) -> dict[str, Run]:
    """The runs that have samples.

    Raises
    ------
    ValueError
        If no run has any: there is nothing to draw.
    """
    found = {name: run for name, run in runs.items() if len(run.time) > 0}
    if not found:
        reasons = "; ".join(dict.fromkeys(run.message for run in runs.values()))
        raise ValueError(f"there is nothing to draw: {reasons or 'no run is given'}")
    return found


def name_left_out(figure: Figure, runs: Mapping[str, Run]) -> None:
    """Names the runs without samples below the figure, with their outcomes."""
    texts = [
        f"{plain(name)} is not drawn: {run.message}"
        for name, run in runs.items()
        if len(run.time) == 0
    ]
    if texts:
        figure.supxlabel("\n".join(texts), fontsize=8, color=INK)


def factor(unit: str) -> tuple[float, str]:
    """Factor from an SI unit to the displayed unit, and the label of that unit."""
    scale, name = display_unit(unit)
    return scale, {"m/s^2": "m/s²", "N*m": "N m", "-": ""}.get(name, name)


def label(text: str, unit: str) -> str:
    """An axis label with its unit."""
    name = factor(unit)[1]
    words = text.replace("_", " ").replace("steering wheel", "steering-wheel")
    joint = "\n" if len(words) > 14 else " "
    return f"{words}{joint}[{name}]" if name else words


def plain_label(path: str, unit: str) -> str:
    """An axis label from the dotted path of an entry and the displayed unit."""
    words = path.replace(".", " ").replace("_", " ")
    return f"{words} [{unit}]" if unit else words
