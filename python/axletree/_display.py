"""Display of results: units, text and HTML tables, notices."""

from __future__ import annotations

import html
import math
from collections.abc import Sequence

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


def warning_text(raw: str | None) -> str | None:
    """The warning of a run as a sentence; ``None`` without one."""
    return None if raw is None else f"Warning: {raw}."


def one_line(text: str) -> str:
    """A text without line breaks and other characters that cannot be shown: spaces in place."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def text_page(
    head: str, rows: Sequence[Sequence[str]], right: Sequence[bool], notes: Sequence[str] = ()
) -> str:
    """A table as text below its title and above its notes; see `text_table`."""
    return "\n".join([one_line(head), text_table(rows, right), *notes])


def text_table(rows: Sequence[Sequence[str]], right: Sequence[bool]) -> str:
    """A table as text. The first row is the header; `right` marks right-aligned columns."""
    rows = [[one_line(cell) for cell in row] for row in rows]
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

    def plain(text: str) -> str:
        return html.escape(one_line(text))

    def row(cells: Sequence[str], tag: str) -> str:
        return "".join(
            f'<{tag} style="text-align:{"right" if r else "left"}">{plain(cell)}</{tag}>'
            for cell, r in zip(cells, right, strict=True)
        )

    head = f"<tr>{row(rows[0], 'th')}</tr>"
    body = "".join(f"<tr>{row(cells, 'td')}</tr>" for cells in rows[1:])
    foot = f"<p><small>{html.escape(note)}</small></p>" if note else ""
    return (
        f"<table><caption>{plain(title)}</caption><thead>{head}</thead>"
        f"<tbody>{body}</tbody></table>{foot}"
    )
