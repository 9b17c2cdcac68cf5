"""Draws the picture of the README: `python tests/readme/picture.py`, beside this file."""

from __future__ import annotations

from pathlib import Path

import axletree as axt
import numpy as np
from axletree.plot import style

FILE = Path(__file__).with_name("picture.png")
BAR = "rear.bar.outer_diameter"


def main() -> None:
    cars = {
        "solid axle": axt.Car.load("bramble-solid"),
        "independent": axt.Car.load("bramble-independent"),
    }
    figure, axes = style.figure(1, 3, (12.0, 3.7))
    step = axt.StepSteer()
    for (name, car), color in zip(cars.items(), style.COLORS):
        run = step.run(car)
        for axis, channel in zip(axes, ["yaw_rate", "roll_angle"]):
            change = np.degrees(run[channel] - run[channel][0])
            axis.plot(run.time, change, color=color, linewidth=1.6, label=name)
        grid = axt.sweep(car, {BAR: axt.span("14 mm", "28 mm", 8)}, axt.Slalom())
        speed = grid["slalom.top_speed"] * 3.6
        axes[2].plot(grid[BAR] * 1000, speed, "o-", color=color, markersize=4, linewidth=1.6)
    for axis in axes[:2]:
        axis.set_xlim(-0.05, 1.5)
    style.dress(axes[0], "time [s]", "yaw rate [deg/s]")
    style.dress(axes[1], "time [s]", "roll angle [deg]")
    style.dress(axes[2], "rear bar outer diameter [mm]", "speed in rhythm [km/h]")
    titles = ["step steer: the yaw rate", "step steer: the roll", "slalom, cones 18 m apart"]
    for axis, title in zip(axes, titles):
        axis.set_title(title, fontsize=10, loc="left", color=style.INK)
    axes[0].legend(frameon=False, loc="lower right", fontsize=9)
    figure.savefig(FILE, dpi=110)
    print(f"wrote {FILE}")


if __name__ == "__main__":
    main()
