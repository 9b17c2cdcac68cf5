"""Braking and lifting off in a steady turn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .. import _core
from ..units import Quantity
from .base import ADAPTIVE_TOLERANCE, Maneuver

_BRAKING: dict[str, Any] = _core.defaults("braking_in_a_turn")


@dataclass(frozen=True)
class BrakingInATurn(Maneuver):
    """Braking in a turn after ISO 7975, with the steering wheel held.

    Measures the departures of yaw rate, sideslip and path. The car has no anti-lock system: a wheel
    with more brake torque than grip locks.

    Parameters
    ----------
    radius : float or str
        Radius of the circle [m].
    lateral_acceleration : float or str
        Lateral acceleration of the steady turn before the action, left positive [m/s^2].
    deceleration : float or str
        Deceleration by the brake torque alone if no wheel locks [m/s^2].
    brake_rise : float or str
        Rise time of the brake torque [s].
    declutch : bool
        Open the clutch while braking.
    gear : int, optional
        Gear, counted from 1. Default: the lowest gear with the engine at no more than three
        quarters of its maximum speed.
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    step : float or str
        Maximum integration step [s].
    integrator : {"fixed", "adaptive"}
        Fixed steps, or adaptive steps between the same times; slower, to check the fixed ones.
    tolerance : float
        Relative and absolute tolerance of the adaptive steps [-].
    """

    name: ClassVar[str] = "braking_in_a_turn"
    _units: ClassVar[dict[str, str]] = {
        "radius": "m",
        "lateral_acceleration": "m/s^2",
        "deceleration": "m/s^2",
        "brake_rise": "s",
        "step": "s",
    }

    radius: Quantity = _BRAKING["radius"]
    lateral_acceleration: Quantity = _BRAKING["lateral_acceleration"]
    deceleration: Quantity = _BRAKING["deceleration"]
    brake_rise: Quantity = _BRAKING["brake_rise"]
    declutch: bool = _BRAKING["declutch"]
    gear: int | None = _BRAKING["gear"]
    friction: float = _BRAKING["friction"]
    step: Quantity = _BRAKING["step"]
    integrator: str = "fixed"
    tolerance: float = ADAPTIVE_TOLERANCE


_LIFT: dict[str, Any] = _core.defaults("lift_off_in_a_turn")


@dataclass(frozen=True)
class LiftOffInATurn(Maneuver):
    """Lifting off in a turn after ISO 9816: throttle closed, clutch engaged, steering wheel held.

    Parameters
    ----------
    radius : float or str
        Radius of the circle [m].
    lateral_acceleration : float or str
        Lateral acceleration of the steady turn before the action, left positive [m/s^2].
    gear : int, optional
        Gear, counted from 1. Default: the lowest gear with the engine at no more than three
        quarters of its maximum speed.
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    step : float or str
        Maximum integration step [s].
    integrator : {"fixed", "adaptive"}
        Fixed steps, or adaptive steps between the same times; slower, to check the fixed ones.
    tolerance : float
        Relative and absolute tolerance of the adaptive steps [-].
    """

    name: ClassVar[str] = "lift_off_in_a_turn"
    _units: ClassVar[dict[str, str]] = {"radius": "m", "lateral_acceleration": "m/s^2", "step": "s"}

    radius: Quantity = _LIFT["radius"]
    lateral_acceleration: Quantity = _LIFT["lateral_acceleration"]
    gear: int | None = _LIFT["gear"]
    friction: float = _LIFT["friction"]
    step: Quantity = _LIFT["step"]
    integrator: str = "fixed"
    tolerance: float = ADAPTIVE_TOLERANCE
