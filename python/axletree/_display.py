"""Display of results: units, text and HTML tables, notices."""

from __future__ import annotations

import html
import math
from collections.abc import Mapping, Sequence

#: Notice shown with every result.
CAUTION = (
    "A simulation is not a test: approach predicted limits step by step on a closed course, "
    "within the event's rules."
)

#: Display units: SI unit to (factor, displayed unit).
DISPLAY_UNITS = {
    "rad": (180 / math.pi, "deg"),
    "rad/s": (180 / math.pi, "deg/s"),
    "rad*s2/m": (180 / math.pi * 9.80665, "deg/g"),
    "rad*s^2/m": (180 / math.pi * 9.80665, "deg/g"),
    "N*m/rad": (math.pi / 180, "N*m/deg"),
    "rad/m": (180 / math.pi / 1000, "deg/mm"),
    "s*rad": (180 / math.pi, "s*deg"),
}


def display_unit(unit: str) -> tuple[float, str]:
    """Factor from an SI unit to the displayed unit, and the displayed unit."""
    return DISPLAY_UNITS.get(unit, (1.0, unit))


def shown(value: float | None, unit: str) -> tuple[str, str]:
    """An SI value as text in the displayed unit, and that unit; a dash for a missing value."""
    factor, name = display_unit(unit)
    if value is None or not math.isfinite(value):
        return "—", name
    return f"{value * factor:.4g}", name


def lift_warning(outcome: str, metrics: Mapping[str, float | None]) -> str | None:
    """Warning of a predicted wheel lift or rollover, from the outcome and metrics of a run."""
    if outcome == "rolled_over":
        return "Warning: the car rolls over."
    if outcome == "two_wheel_lift":
        return "Warning: both wheels of one side leave the road."
    least = metrics.get("wheel_load_least")
    if least is not None and least <= 0.0:
        return "Warning: a wheel leaves the road."
    lift = metrics.get("wheel_lift_lateral_acceleration")
    if lift is not None and math.isfinite(lift):
        return f"Warning: a wheel leaves the road at {abs(lift):.2f} m/s^2 of lateral acceleration."
    return None


def text_table(rows: Sequence[Sequence[str]], right: Sequence[bool]) -> str:
    """A table as text. The first row is the header; `right` marks right-aligned columns."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = (
            cell.rjust(width) if r else cell.ljust(width)
            for cell, width, r in zip(row, widths, right, strict=True)
        )
        lines.append("  ".join(cells).rstrip())
    lines.insert(1, "  ".join("-" * width for width in widths))
    return "\n".join(lines)


def html_table(
    title: str, rows: Sequence[Sequence[str]], right: Sequence[bool], note: str = ""
) -> str:
    """A table as HTML with a title and a note below; see `text_table`."""

    def row(cells: Sequence[str], tag: str) -> str:
        return "".join(
            f'<{tag} style="text-align:{"right" if r else "left"}">{html.escape(cell)}</{tag}>'
            for cell, r in zip(cells, right, strict=True)
        )

    head = f"<tr>{row(rows[0], 'th')}</tr>"
    body = "".join(f"<tr>{row(cells, 'td')}</tr>" for cells in rows[1:])
    foot = f"<p><small>{html.escape(note)}</small></p>" if note else ""
    return (
        f"<table><caption>{html.escape(title)}</caption><thead>{head}</thead>"
        f"<tbody>{body}</tbody></table>{foot}"
    )
