"""Figure of histories over time, for maneuvers without a figure of their own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from . import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..run import Run

LOADS = tuple(f"load_{wheel}" for wheel in ("front_left", "front_right", "rear_left", "rear_right"))
TURN = ["speed", "longitudinal_acceleration", "yaw_rate", "lateral_acceleration", "sideslip"]

SHAFTS = ("shaft_torque_left", "shaft_torque_right")
RIMS = ("rim_speed_rear_left", "rim_speed_rear_right", "speed")

#: Common names of channels that share their axes.
SHARED: dict[str | tuple[str, ...], str] = {
    LOADS: "load",
    SHAFTS: "shaft torque",
    RIMS: "rim speed",
}
#: Channels drawn for each maneuver; channels in a tuple share their axes.
ROWS: dict[str, list[str | tuple[str, ...]]] = {
    "sine_with_dwell": [
        "steering_wheel_angle",
        "yaw_rate",
        "lateral_acceleration",
        "sideslip",
        "roll_angle",
    ],
    "braking_in_a_turn": list(TURN),
    "lift_off_in_a_turn": list(TURN),
    "corner_exit": [
        "throttle_felt",
        "steering_wheel_angle",
        RIMS,
        "lateral_acceleration",
        "longitudinal_acceleration",
        "sideslip",
    ],
    "launch": [RIMS, "longitudinal_acceleration", SHAFTS, LOADS],
    "bump_in_a_corner": [LOADS, "yaw_rate", "lateral_acceleration", "sideslip"],
    "rough_corner": [LOADS, "yaw_rate", "lateral_acceleration", "roll_angle"],
}


def draw(run: Run) -> Figure:
    """The channels of the maneuver over time; channels that share their axes differ in color."""
    return overlay({run.car: run})


def overlay(runs: dict[str, Run]) -> Figure:
    """Histories of several cars in one figure, with one row per channel.

    Raises
    ------
    ValueError
        If no run has samples: there is nothing to draw.
    """
    given, runs = runs, style.with_samples(runs)
    first = next(iter(runs.values()))
    rows = [row for row in ROWS[first.maneuver.name] if _first(row) in first.channels]
    if len(runs) > 1:
        rows = [part for row in rows for part in ((row,) if isinstance(row, str) else row)]
    figure, axes = style.figure(
        len(rows), 1, (7.0, 1.6 + 1.5 * len(rows)), sharex=True, squeeze=False
    )
    for axis, row in zip(axes[:, 0], rows, strict=True):
        parts = (row,) if isinstance(row, str) else row
        unit = first.channels[parts[0]][0]
        scale, _ = style.factor(unit)
        for i, (name, run) in enumerate(runs.items()):
            for j, channel in enumerate(parts):
                color = style.color(i if len(parts) == 1 else j)
                label = style.plain(name) if len(parts) == 1 else _short(channel, row)
                axis.plot(run.time, run[channel] * scale, color=color, linewidth=1.2, label=label)
        if len(parts) > 1:
            axis.legend(frameon=False, fontsize=8, ncols=4, loc="upper right")
        style.dress(axis, "", style.label(SHARED.get(row, parts[0]), unit))
    axes[-1, 0].set_xlabel("time [s]")
    title = first.maneuver.name.replace("_", " ")
    figure.suptitle(title + (f", {style.plain(first.car)}" if len(runs) == 1 else ""), fontsize=11)
    if len(runs) > 1:
        axes[0, 0].legend(frameon=False, loc="best", fontsize=8)
    style.name_left_out(figure, given)
    return figure


def _short(channel: str, row: str | tuple[str, ...]) -> str:
    return channel.removeprefix(SHARED[row].replace(" ", "_") + "_").replace("_", " ")


def _first(row: str | tuple[str, ...]) -> str:
    return row if isinstance(row, str) else row[0]
