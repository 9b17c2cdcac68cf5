"""Figures of a linkage: side, rear and plan views, and curves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from .._display import shown
from .._pictures import curves as curves_of
from .._pictures import picture
from ..kinematics import Kinematics
from . import style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from ..kinematics import Axis

#: Views: title, coordinate to the right and its sign, coordinate upward and its sign, labels.
SIDE = ("from the left", 0, -1, 2, 1, "behind the axle line [mm]", "above the road [mm]")
REAR = ("from behind", 1, -1, 2, 1, "right of the center plane [mm]", "above the road [mm]")
PLAN = ("from above", 1, -1, 0, 1, "right of the center plane [mm]", "ahead of the axle line [mm]")

WIDTH = {"link": 2.2, "arm": 2.2, "guide": 1.4, "spring": 1.2, "damper": 1.2, "bar": 1.2}
DASH: dict[str, Any] = {"guide": (0, (5, 2)), "spring": (0, (1, 1)), "damper": (0, (4, 1, 1, 1))}


@picture.register(Kinematics)
def draw(kinematics: Kinematics) -> Figure:
    """Side, rear and plan views.

    Squares are link ends on the body, circles link ends on the axle or the knuckle; crosses are
    instant centers, the dashed line is the roll axis.
    """
    figure = style.picture((9.6, 8.6))
    layout = figure.subplot_mosaic([["side", "rear"], ["notes", "plan"]])
    for name, view in (("side", SIDE), ("rear", REAR), ("plan", PLAN)):
        _view(layout[name], kinematics, view)
    _notes(layout["notes"], kinematics)
    figure.suptitle(f"{style.plain(kinematics.car)}, {kinematics.end} linkage at rest", fontsize=11)
    return figure


def _colors(kinematics: Kinematics) -> dict[str, str]:
    """Color of each part, the same for both parts of a pair."""
    names = [p.name for p in kinematics.pieces if p.kind in ("link", "arm", "guide")]
    parts = dict.fromkeys(_part(name) for name in names)
    return dict(zip(parts, style.COLORS * (1 + len(parts) // len(style.COLORS)), strict=False))


def _part(name: str) -> str:
    return (
        name.removesuffix(" left")
        .removesuffix(" right")
        .removesuffix(", left")
        .removesuffix(", right")
    )


def _view(axes: Axes, kinematics: Kinematics, view: tuple[Any, ...]) -> None:
    title, i, i_sense, j, j_sense, across, upward = view
    colors = _colors(kinematics)

    def at(point: Sequence[float]) -> tuple[float, float]:
        return 1e3 * i_sense * point[i], 1e3 * j_sense * point[j]

    # Wheels: circles from the side, lines from behind and from above.
    x, y, z = kinematics.center
    radius = z
    sides = (-1, 1) if title != "from the left" else (1,)
    for side in sides:
        center = (x, side * (kinematics.half_track if kinematics.solid else abs(y)), z)
        if title == "from the left":
            angle = np.linspace(0, 2 * math.pi, 90)
            across_, up = at(center)
            axes.plot(
                across_ + 1e3 * radius * np.cos(angle),
                up + 1e3 * radius * np.sin(angle),
                color=style.FAINT,
            )
        else:
            half = (radius if j == 0 else 0.0, 0.0, radius if j == 2 else 0.0)
            ends = [tuple(c + s * h for c, h in zip(center, half, strict=True)) for s in (-1, 1)]
            axes.plot(
                *zip(*map(at, ends), strict=True),
                color=style.FAINT,
                linewidth=7,
                solid_capstyle="butt",
            )
    if kinematics.solid and title != "from the left":
        ends = [(x, s * kinematics.half_track, z) for s in (-1, 1)]
        axes.plot(*zip(*map(at, ends), strict=True), color=style.FAINT, linewidth=3)
    if j == 2:
        axes.axhline(0.0, color=style.INK, linewidth=0.8)

    for piece in kinematics.pieces:
        if (
            title == "from the left"
            and min(p[1] for p in piece.points) < -0.01
            and _mirrored(kinematics, piece)
        ):
            continue
        color = colors.get(_part(piece.name), style.INK)
        points = [at(p) for p in piece.points]
        axes.plot(
            *zip(*points, strict=True),
            color=color,
            linewidth=WIDTH[piece.kind],
            linestyle=DASH.get(piece.kind, "-"),
        )
        if piece.kind in ("link", "arm", "guide"):
            for point, fixed in zip(points, piece.fixed, strict=True):
                axes.plot(*point, "s" if fixed else "o", color=color, markersize=4)

    _instants(axes, kinematics, title, at)
    axes.set_aspect("equal", adjustable="datalim")
    style.dress(axes, across, upward)
    axes.set_title(title, fontsize=10)


def _mirrored(kinematics: Kinematics, piece: Any) -> bool:
    """Whether the linkage has the mirror image of a piece."""
    (x, y, z), _ = piece.points
    return any(
        math.isclose(q.points[0][0], x)
        and math.isclose(q.points[0][1], -y)
        and math.isclose(q.points[0][2], z)
        for q in kinematics.pieces
        if q is not piece
    )


def _instants(axes: Axes, kinematics: Kinematics, title: str, at: Any) -> None:
    """Draws instant centers in the planes through the wheels, roll center and roll axis."""
    x, y, _ = kinematics.center
    height = kinematics.figures["roll_center_height"]
    # Instant centers farther than `span` are indicated by a line toward them.
    span, pointer = 2.4, 0.9
    if title == "from behind" and height is not None:
        axes.plot(*at((x, 0.0, height)), "x", color=style.INK, markersize=9, markeredgewidth=2)
        axes.annotate(
            "roll center", at((x, 0.0, height)), (6, 6), textcoords="offset points", fontsize=8
        )
    axis: Axis | None = (
        kinematics.axes.get("heave") if kinematics.solid else kinematics.axes.get("travel")
    )
    if axis is not None and title in ("from the left", "from behind"):
        plane = 1 if title == "from the left" else 0
        value = (0.0 if kinematics.solid else y) if plane == 1 else x
        found = axis.crossing(plane, value)
        if found is not None and not (kinematics.solid and plane == 0):
            near = max(abs(found[0] - x), abs(found[1] - y), abs(found[2])) < span
            if near:
                axes.plot(*at(found), "+", color=style.INK, markersize=11, markeredgewidth=1.6)
                axes.annotate(
                    "instant center", at(found), (6, 6), textcoords="offset points", fontsize=8
                )
            start = at((x, value if plane == 1 else y, 0.0))
            end = at(found)
            if not near:
                share = pointer / max(abs(found[0] - x), abs(found[1] - y), abs(found[2]))
                end = tuple(a + share * (b - a) for a, b in zip(start, end, strict=True))
            axes.plot(
                *zip(start, end, strict=True), color=style.INK, linewidth=0.8, linestyle=(0, (2, 3))
            )
    roll: Axis | None = kinematics.axes.get("roll")
    if roll is not None and title in ("from the left", "from above"):
        ends = [roll.crossing(0, x + far) for far in (-0.4, 0.6)]
        if all(end is not None for end in ends):
            axes.plot(
                *zip(*map(at, ends), strict=True),
                color=style.COLORS[1],
                linewidth=1.0,
                linestyle=(0, (6, 3)),
            )


def _notes(axes: Axes, kinematics: Kinematics) -> None:
    """Writes the legend and the main figures."""
    axes.axis("off")
    lines = [(color, name) for name, color in _colors(kinematics).items()]
    step = 0.055
    for row, (color, name) in enumerate(lines):
        level = 1.0 - step * row
        axes.plot([0.0, 0.08], [level, level], color=color, linewidth=2.2)
        axes.text(0.11, level, name, va="center", fontsize=8)
    row = len(lines) + 1
    keys = [
        "roll_center_height",
        "roll_steer",
        "anti_squat",
        "anti_lift",
        "anti_dive",
        "camber_gain",
    ]
    keys += ["toe_gain", "binding_roll_stiffness", "windup_stiffness", "swing_arm"]
    for key in keys:
        value = kinematics.figures.get(key)
        if value is None:
            continue
        text, unit = shown(value, kinematics.units[key])
        name = key.replace("anti_", "anti-").replace("_", " ")
        line = f"{name}: {text} {unit.strip('-').replace('*', ' ')}"
        axes.text(0.0, 1.0 - step * row, line, va="center", fontsize=8)
        row += 1
    marks = ["■ on the body   ● on the moving part", "x roll center   + instant center"]
    if "roll" in kinematics.axes:
        marks.append("dashed: roll axis of the axle")
    for text in marks:
        row += 1
        axes.text(0.0, 1.0 - step * row, text, va="center", fontsize=8, color=style.INK)
    axes.set_xlim(0, 1)
    axes.set_ylim(0, 1.03)


@curves_of.register(Kinematics)
def curves(kinematics: Kinematics) -> Figure:
    """Curves over travel, heave or roll, and the binding moment or force."""
    if kinematics.solid:
        return _axle_curves(kinematics)
    names = ["toe_in", "camber", "roll_center_height", "forward"]
    figure, axes = style.figure(5, 1, (6.4, 9.4), sharex=True)
    travel = kinematics.curves["travel"] * 1e3
    for axis, name in zip(axes[:-1], names, strict=True):
        unit = kinematics.curves.units[name]
        scale, _ = style.factor(unit)
        axis.plot(travel, kinematics.curves[name] * scale, color=style.COLORS[0], linewidth=1.4)
        style.dress(axis, "", style.label(name, unit))
    _binding(axes[-1], kinematics, "travel", "force")
    axes[-1].set_xlabel("travel, bump positive [mm]")
    figure.suptitle(f"{style.plain(kinematics.car)}, {kinematics.end} linkage", fontsize=11)
    return figure


def _axle_curves(kinematics: Kinematics) -> Figure:
    rows = [
        ("sideways", "heave"),
        ("pinion", "heave"),
        ("steer", "roll"),
        ("roll_center_height", "heave"),
    ]
    figure, axes = style.figure(5, 1, (6.4, 10.4))
    table = kinematics.curves
    for axis, (name, over) in zip(axes[:-1], rows, strict=True):
        other = "roll" if over == "heave" else "heave"
        still = np.abs(table[other]) < 1e-12
        order = np.argsort(table[over][still])
        unit = table.units[name]
        scale, _ = style.factor(unit)
        x = table[over][still][order] * (1e3 if over == "heave" else 180 / math.pi)
        axis.plot(x, table[name][still][order] * scale, color=style.COLORS[0], linewidth=1.4)
        label = (
            "heave, bump positive [mm]"
            if over == "heave"
            else "roll of the axle, left side up [deg]"
        )
        style.dress(axis, label, style.label(name, unit))
    _binding(axes[-1], kinematics, "roll", "moment")
    axes[-1].set_xlabel("roll of the axle, left side up [deg]")
    figure.suptitle(f"{style.plain(kinematics.car)}, {kinematics.end} linkage", fontsize=11)
    return figure


def _binding(axes: Axes, kinematics: Kinematics, over: str, what: str) -> None:
    x = kinematics.binding[over] * (1e3 if over == "travel" else 180 / math.pi)
    axes.plot(x, kinematics.binding[what], color=style.COLORS[1], linewidth=1.4)
    solid = kinematics.binding["solid_energy"] > 0.01 * np.max(
        kinematics.binding["solid_energy"], initial=1e-9
    )
    values = np.where(solid, kinematics.binding[what], np.nan)
    axes.plot(x, values, color=style.COLORS[3], linewidth=3.0, alpha=0.5)
    unit = kinematics.binding.units[what].replace("*", " ")
    style.dress(axes, "", f"binding {what}\n[{unit}], thick: ends\nat their limit")
