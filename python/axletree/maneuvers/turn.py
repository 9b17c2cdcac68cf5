"""What happens to a car in a steady turn when the driver brakes or lifts off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .. import _core
from ..units import Quantity
from .base import Maneuver

_BRAKING: dict[str, Any] = _core.defaults("braking_in_a_turn")


@dataclass(frozen=True)
class BrakingInATurn(Maneuver):
    """Braking in a turn after ISO 7975: how far yaw rate, sideslip and path depart while the steering
    wheel is held. There is no anti-lock system: a wheel that gets too much locks.

    Parameters
    ----------
    radius : float or str
        Radius of the circle [m].
    lateral_acceleration : float or str
        Steady lateral acceleration before, left positive [m/s^2].
    deceleration : float or str
        Deceleration that the brake torque alone would give where no wheel locks [m/s^2].
    brake_rise : float or str
        Time over which the brake torque builds up [s].
    declutch : bool
        Open the clutch while braking.
    gear : int, optional
        Counted from 1; without it, the lowest in which the engine turns at no more than three quarters of
        its highest speed.
    friction : float
        Of the surface, relative to the tires' reference [-].
    step : float or str
        Longest step of the integration [s].
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


_LIFT: dict[str, Any] = _core.defaults("lift_off_in_a_turn")


@dataclass(frozen=True)
class LiftOffInATurn(Maneuver):
    """Lifting off in a turn after ISO 9816: the throttle closes, the clutch stays closed, the steering
    wheel is held.

    Parameters
    ----------
    radius : float or str
        Radius of the circle [m].
    lateral_acceleration : float or str
        Steady lateral acceleration before, left positive [m/s^2].
    gear : int, optional
        Counted from 1; without it, the lowest in which the engine turns at no more than three quarters of
        its highest speed.
    friction : float
        Of the surface, relative to the tires' reference [-].
    step : float or str
        Longest step of the integration [s].
    """

    name: ClassVar[str] = "lift_off_in_a_turn"
    _units: ClassVar[dict[str, str]] = {"radius": "m", "lateral_acceleration": "m/s^2", "step": "s"}

    radius: Quantity = _LIFT["radius"]
    lateral_acceleration: Quantity = _LIFT["lateral_acceleration"]
    gear: int | None = _LIFT["gear"]
    friction: float = _LIFT["friction"]
    step: Quantity = _LIFT["step"]
