"""Corners on uneven roads: a single obstacle, a random road."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .. import _core
from ..units import Quantity
from .base import ADAPTIVE_TOLERANCE, Maneuver, with_integrator

_BUMP: dict[str, Any] = _core.defaults("bump_in_a_corner")


@dataclass(frozen=True)
class BumpInACorner(Maneuver):
    """Obstacle in a steady corner, with steering wheel and throttle held.

    Measures the departure from the path and the wheel loads. Common practice, no standard.

    Parameters
    ----------
    radius : float or str
        Radius of the corner [m].
    lateral_acceleration : float or str
        Lateral acceleration of the steady turn before the obstacle, left positive [m/s^2].
    shape : {"bump", "kerb", "ramp"}
        Up and down; up, level and down; up to a new level.
    height : float or str
        Height of the obstacle, negative for a dip or a drop [m].
    length : float or str
        Length of a bump, of the level part of a kerb, or of the slope of a ramp [m].
    slope : float or str
        Length of each slope of a kerb [m].
    under : {"both", "left", "right", "front_left", "front_right", "rear_left", "rear_right"}
        Wheels that roll over the obstacle.
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    step : float or str
        Maximum integration step [s].
    integrator : {"fixed", "adaptive"}
        Fixed steps, or adaptive steps between the same times; slower, to check the fixed ones.
    tolerance : float
        Relative and absolute tolerance of the adaptive steps [-].
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
    _core_names: ClassVar[dict[str, str]] = {
        "shape.height": "height",
        "shape.length": "length",
        "shape.slope": "slope",
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
    integrator: str = "fixed"
    tolerance: float = ADAPTIVE_TOLERANCE

    def settings(self) -> dict[str, Any]:
        """The settings as plain SI values, grouped as the core takes them."""
        sizes = {"height": self.height, "length": self.length}
        if self.shape == "kerb":
            sizes["slope"] = self.slope
        return with_integrator(
            {
                "radius": self.radius,
                "lateral_acceleration": self.lateral_acceleration,
                "shape": {self.shape: sizes},
                "under": self.under,
                "friction": self.friction,
                "step": self.step,
                "integrator": self.integrator,
                "tolerance": self.tolerance,
            }
        )


_ROUGH: dict[str, Any] = _core.defaults("rough_corner")


@dataclass(frozen=True)
class RoughCorner(Maneuver):
    """Corner on a random road after ISO 8608, with steering wheel and speed held.

    Measures the departure from the path, the variation of the wheel loads and the grip lost by it.
    Compare cars on the same seed.

    Parameters
    ----------
    radius : float or str
        Radius of the corner on a flat road [m].
    lateral_acceleration : float or str
        Steady lateral acceleration on a flat road, left positive [m/s^2].
    road_class : {"A", "B", "C", "D"}
        Road class: very good, good, average or poor.
    seed : int
        Seed of the road; the same seed gives the same road, bit for bit.
    coherence : {"isotropic", "same", "independent"}
        Coherence of the left and right tracks.
    settle, window : float or str
        Means are over `window` [s] that starts `settle` [s] after the roughness is at full height.
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    step : float or str
        Maximum integration step [s].
    integrator : {"fixed", "adaptive"}
        Fixed steps, or adaptive steps between the same times; slower, to check the fixed ones.
    tolerance : float
        Relative and absolute tolerance of the adaptive steps [-].
    """

    name: ClassVar[str] = "rough_corner"
    _units: ClassVar[dict[str, str]] = {
        "radius": "m",
        "lateral_acceleration": "m/s^2",
        "settle": "s",
        "window": "s",
        "step": "s",
    }
    _core_names: ClassVar[dict[str, str]] = {
        "road.class": "road_class",
        "road.seed": "seed",
        "road.coherence": "coherence",
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
    integrator: str = "fixed"
    tolerance: float = ADAPTIVE_TOLERANCE

    def settings(self) -> dict[str, Any]:
        """The settings as plain SI values, grouped as the core takes them."""
        road = dict(_ROUGH["road"])
        road.update({"class": self.road_class, "seed": self.seed, "coherence": self.coherence})
        return with_integrator(
            {
                "radius": self.radius,
                "lateral_acceleration": self.lateral_acceleration,
                "road": road,
                "settle": self.settle,
                "window": self.window,
                "friction": self.friction,
                "step": self.step,
                "integrator": self.integrator,
                "tolerance": self.tolerance,
            }
        )
