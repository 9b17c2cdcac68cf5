"""Corners on roads that are not flat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .. import _core
from ..units import Quantity
from .base import Maneuver

_BUMP: dict[str, Any] = _core.defaults("bump_in_a_corner")


@dataclass(frozen=True)
class BumpInACorner(Maneuver):
    """An obstacle in a steady corner, steering wheel and throttle held: how far the car is thrown off its
    path, and what the wheels on the road feel. Common practice, no standard.

    Parameters
    ----------
    radius : float or str
        Radius of the corner [m].
    lateral_acceleration : float or str
        Steady lateral acceleration before, left positive [m/s^2].
    shape : {"bump", "kerb", "ramp"}
        Up and down again; up, level, down; up to a new level.
    height : float or str
        Of the obstacle, negative for a dip or a drop [m].
    length : float or str
        Of a bump, of a kerb's level part, of a ramp's slope [m].
    slope : float or str
        Length of a kerb's slopes [m].
    under : {"both", "left", "right", "front_left", "front_right", "rear_left", "rear_right"}
        Which wheels roll over it.
    friction : float
        Of the surface, relative to the tires' reference [-].
    step : float or str
        Longest step of the integration [s].
    """

    name: ClassVar[str] = "bump_in_a_corner"
    _units: ClassVar[dict[str, str]] = {
        "radius": "m",
        "lateral_acceleration": "m/s^2",
        "height": "m",
        "length": "m",
        "slope": "m",
        "step": "s",
    }

    radius: Quantity = _BUMP["radius"]
    lateral_acceleration: Quantity = _BUMP["lateral_acceleration"]
    shape: str = "bump"
    height: Quantity = _BUMP["shape"]["bump"]["height"]
    length: Quantity = _BUMP["shape"]["bump"]["length"]
    slope: Quantity = 0.15
    under: str = _BUMP["under"]
    friction: float = _BUMP["friction"]
    step: Quantity = _BUMP["step"]

    def settings(self) -> dict[str, Any]:
        sizes = {"height": self.height, "length": self.length}
        if self.shape == "kerb":
            sizes["slope"] = self.slope
        return {
            "radius": self.radius,
            "lateral_acceleration": self.lateral_acceleration,
            "shape": {self.shape: sizes},
            "under": self.under,
            "friction": self.friction,
            "step": self.step,
        }


_ROUGH: dict[str, Any] = _core.defaults("rough_corner")


@dataclass(frozen=True)
class RoughCorner(Maneuver):
    """A corner on a random road after ISO 8608, steering wheel and speed held: how far the car strays, how
    the wheel loads vary, and how much grip that costs. Cars are compared on the same seed.

    Parameters
    ----------
    radius : float or str
        Radius of the corner on a flat road [m].
    lateral_acceleration : float or str
        Steady lateral acceleration on a flat road, left positive [m/s^2].
    road_class : {"A", "B", "C", "D"}
        Very good, good, average, poor.
    seed : int
        The same seed gives the same road, bit by bit.
    coherence : {"isotropic", "same", "independent"}
        How alike the left and the right track are.
    settle, window : float or str
        Means are over `window` [s], from `settle` [s] after the full roughness.
    friction : float
        Of the surface, relative to the tires' reference [-].
    step : float or str
        Longest step of the integration [s].
    """

    name: ClassVar[str] = "rough_corner"
    _units: ClassVar[dict[str, str]] = {
        "radius": "m",
        "lateral_acceleration": "m/s^2",
        "settle": "s",
        "window": "s",
        "step": "s",
    }

    radius: Quantity = _ROUGH["radius"]
    lateral_acceleration: Quantity = _ROUGH["lateral_acceleration"]
    road_class: str = _ROUGH["road"]["class"]
    seed: int = _ROUGH["road"]["seed"]
    coherence: str = _ROUGH["road"]["coherence"]
    settle: Quantity = _ROUGH["settle"]
    window: Quantity = _ROUGH["window"]
    friction: float = _ROUGH["friction"]
    step: Quantity = _ROUGH["step"]

    def settings(self) -> dict[str, Any]:
        road = dict(_ROUGH["road"])
        road.update({"class": self.road_class, "seed": self.seed, "coherence": self.coherence})
        return {
            "radius": self.radius,
            "lateral_acceleration": self.lateral_acceleration,
            "road": road,
            "settle": self.settle,
            "window": self.window,
            "friction": self.friction,
            "step": self.step,
        }
