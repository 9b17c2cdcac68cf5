"""Makes the pictures of the README: python notebooks/pictures.py"""

from pathlib import Path

import axletree as axt
from axletree.plot import step_steer

FOLDER = Path(__file__).resolve().parent / "pictures"


def main() -> None:
    """Writes slalom.png and step-steer.png beside this file."""
    FOLDER.mkdir(exist_ok=True)
    solid = axt.Car.load("bramble-solid")
    independent = axt.Car.load("bramble-independent")
    top = axt.Slalom(cones=8, spacing="18 m").top_speed(solid)
    top.plot().savefig(FOLDER / "slalom.png")
    runs = {
        name: axt.StepSteer().run(car)
        for name, car in {"solid axle": solid, "independent": independent}.items()
    }
    step_steer.overlay(runs).savefig(FOLDER / "step-steer.png")


if __name__ == "__main__":
    main()
