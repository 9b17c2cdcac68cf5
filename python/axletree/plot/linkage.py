"""Figures of a linkage: side, rear and plan views, and curves."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
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

    from ..kinematics import LinkageView
    from ..units import Quantity

#: Views: title, coordinate to the right and its sign, coordinate upward and its sign, labels.
SIDE = ("from the left", 0, -1, 2, 1, "behind the axle line [mm]", "above the road [mm]")
REAR = ("from behind", 1, -1, 2, 1, "right of the center plane [mm]", "above the road [mm]")
PLAN = ("from above", 1, -1, 0, 1, "right of the center plane [mm]", "ahead of the axle line [mm]")

WIDTH = {"link": 2.2, "arm": 2.2, "guide": 1.4, "spring": 1.2, "damper": 1.2, "bar": 1.2}
DASH: dict[str, Any] = {"guide": (0, (5, 2)), "spring": (0, (1, 1)), "damper": (0, (4, 1, 1, 1))}


@picture.register(Kinematics)
def draw(kinematics: Kinematics, travel: Quantity = 0.0) -> Figure:
    """Side, rear and plan views at a travel.

    Squares are link ends on the body, circles link ends on the axle or the knuckle; plus signs are
    instant centers, joined to the contact by a dotted line; the dashed line is the roll axis.
    """
    figure = style.picture((9.6, 8.6))
    layout = figure.subplot_mosaic([["side", "rear"], ["notes", "plan"]])
    view = kinematics.view(travel)
    for name, projection in (("side", SIDE), ("rear", REAR), ("plan", PLAN)):
        _view(layout[name], kinematics, view, projection)
    _notes(layout["notes"], kinematics)
    rise = view.center[2] - kinematics.center[2]
    place = "at rest" if abs(rise) < 1e-9 else f"{1e3 * rise:+.0f} mm of travel, figures at rest"
    title = f"{style.plain(kinematics.car)}, {kinematics.end} linkage, {place}"
    figure.suptitle(title, fontsize=11)
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


def _view(
    axes: Axes, kinematics: Kinematics, view: LinkageView, projection: tuple[Any, ...]
) -> None:
    title, i, i_sense, j, j_sense, across, upward = projection
    colors = _colors(kinematics)

    def at(point: Sequence[float]) -> tuple[float, float]:
        return 1e3 * i_sense * point[i], 1e3 * j_sense * point[j]

    _wheels(axes, kinematics, view, title, at)
    if j == 2:
        axes.axhline(1e3 * view.contact[2], color=style.INK, linewidth=0.8)

    for piece in view.pieces:
        if (
            title == "from the left"
            and min(p[1] for p in piece.points) < -0.01
            and _mirrored(view, piece)
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

    _instants(axes, view, title, at)
    axes.set_aspect("equal", adjustable="datalim")
    style.dress(axes, across, upward)
    axes.set_title(title, fontsize=10)


def _wheels(
    axes: Axes, kinematics: Kinematics, view: LinkageView, title: str, at: Callable[..., Any]
) -> None:
    """Draws the wheels: circles from the side, lines from behind and from above, and the axle."""
    x, y, z = view.center
    down = np.subtract(view.contact, view.center)
    radius = float(np.hypot(np.hypot(down[0], down[1]), down[2]))
    if title == "from the left":
        angle = np.linspace(0, 2 * math.pi, 90)
        across, up = at(view.center)
        axes.plot(
            across + 1e3 * radius * np.cos(angle),
            up + 1e3 * radius * np.sin(angle),
            color=style.FAINT,
        )
        return
    hubs = [(x, y + side * kinematics.half_track, z) for side in (1, -1)]
    if not kinematics.solid:
        hubs = [(x, side * y, z) for side in (1, -1)]
    for side, hub in zip((1, -1), hubs, strict=True):
        half = down * (1, side, 1) if title == "from behind" else np.array((radius, 0.0, 0.0))
        ends = [tuple(np.add(hub, half)), tuple(np.subtract(hub, half))]
        axes.plot(
            *zip(*map(at, ends), strict=True),
            color=style.FAINT,
            linewidth=7,
            solid_capstyle="butt",
        )
    if kinematics.solid:
        axes.plot(*zip(*map(at, hubs), strict=True), color=style.FAINT, linewidth=3)


def _mirrored(view: LinkageView, piece: Any) -> bool:
    """Whether the linkage has the mirror image of a piece."""
    (x, y, z), _ = piece.points
    return any(
        math.isclose(q.points[0][0], x)
        and math.isclose(q.points[0][1], -y)
        and math.isclose(q.points[0][2], z)
        for q in view.pieces
        if q is not piece
    )


def _instants(axes: Axes, view: LinkageView, title: str, at: Callable[..., Any]) -> None:
    """Draws instant centers in the planes through the contact, roll center and roll axis."""
    # Instant centers farther than `span` are indicated by a line toward them.
    span, pointer = 2.4, 0.9
    if title == "from behind":
        axes.plot(*at(view.roll_center), "x", color=style.INK, markersize=9, markeredgewidth=2)
        axes.annotate(
            "roll center", at(view.roll_center), (6, 6), textcoords="offset points", fontsize=8
        )
    center = {"from the left": view.center_along, "from behind": view.center_across}.get(title)
    if center is not None:
        far = max(abs(b - a) for a, b in zip(view.contact, center, strict=True))
        start, end = at(view.contact), at(center)
        if far < span:
            axes.plot(*end, "+", color=style.INK, markersize=11, markeredgewidth=1.6)
            axes.annotate("instant center", end, (6, 6), textcoords="offset points", fontsize=8)
        else:
            share = pointer / far
            end = tuple(a + share * (b - a) for a, b in zip(start, end, strict=True))
        axes.plot(
            *zip(start, end, strict=True), color=style.INK, linewidth=0.8, linestyle=(0, (2, 3))
        )
    if view.roll_axis is not None and title in ("from the left", "from above"):
        axes.plot(
            *zip(*map(at, view.roll_axis), strict=True),
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
