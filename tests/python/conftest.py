"""Fixtures shared by the tests of the package."""

from __future__ import annotations

import pytest

import axletree as axt


@pytest.fixture(scope="session")
def solid() -> axt.Car:
    return axt.Car.load("bramble-solid")


@pytest.fixture(scope="session")
def independent() -> axt.Car:
    return axt.Car.load("bramble-independent")


@pytest.fixture(scope="session")
def step_run(solid: axt.Car) -> axt.Run:
    return axt.StepSteer().run(solid)


@pytest.fixture(scope="session")
def circle_run(solid: axt.Car) -> axt.Run:
    return axt.Circle().run(solid)


@pytest.fixture(scope="session")
def grid(solid: axt.Car) -> axt.Sweep:
    """A small grid over two entries."""
    return axt.sweep(
        solid,
        {
            "rear.bar.outer_diameter": axt.span("16 mm", "28 mm", 3),
            "front.tire.pressure": ["30 psi", "36 psi"],
        },
        axt.StepSteer(),
    )


@pytest.fixture(scope="session")
def table(solid: axt.Car, independent: axt.Car) -> axt.Comparison:
    return axt.compare(
        {"solid": solid, "independent": independent}, [axt.StepSteer(), axt.Circle()]
    )
