"""Maneuvers that search for a limit: double lane change, acceleration envelope."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .. import _core
from ..units import Quantity
from .base import Maneuver, with_hands

_CHANGE: dict[str, Any] = _core.defaults("double_lane_change")


@dataclass(frozen=True)
class DoubleLaneChange(Maneuver):
    """Double lane change after ISO 3888: highest entry speed at which every cone is cleared.

    Entry and steering are optimized for each car, so that the comparison is between cars and does
    not depend on how well one driver suits each of them.

    Parameters
    ----------
    course : {"obstacle_avoidance", "severe_lane_change"}
        ISO 3888-2 with the throttle released after the entry, or ISO 3888-1 with the throttle held.
    gear : int, optional
        Gear, counted from 1. Default: the highest with at least `least_engine_speed`.
    least_engine_speed : float or str
        Minimum engine speed for the choice of the gear [rad/s].
    clearance_reserve : float or str
        Required clearance at every cone [m].
    hand_rate : float or str
        Maximum angular rate of the steering wheel [rad/s].
    hand_lag : float or str
        Time constant of the driver's arms and hands [s].
    coefficients : int
        Number of coefficients of the steering-wheel angle along the course.
    sideslip_guard : float or str
        Maximum sideslip angle allowed by the search [rad].
    easy_speed : float or str
        Initial speed of the search [m/s].
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    step : float or str
        Maximum integration step [s].
    """

    name: ClassVar[str] = "double_lane_change"
    _units: ClassVar[dict[str, str]] = {
        "least_engine_speed": "rad/s",
        "clearance_reserve": "m",
        "hand_rate": "rad/s",
        "hand_lag": "s",
        "sideslip_guard": "rad",
        "easy_speed": "m/s",
        "step": "s",
    }

    course: str = _CHANGE["course"]
    gear: int | None = _CHANGE["gear"]
    least_engine_speed: Quantity = _CHANGE["least_engine_speed"]
    clearance_reserve: Quantity = _CHANGE["clearance_reserve"]
    hand_rate: Quantity = _CHANGE["hands"]["rate"]
    hand_lag: Quantity = _CHANGE["hands"]["lag"]
    coefficients: int = _CHANGE["coefficients"]
    sideslip_guard: Quantity = _CHANGE["sideslip_guard"]
    easy_speed: Quantity = _CHANGE["easy_speed"]
    friction: float = _CHANGE["friction"]
    step: Quantity = _CHANGE["step"]

    def settings(self) -> dict[str, Any]:
        """The settings as plain SI values, grouped as the core takes them."""
        return with_hands(self)


_ENVELOPE: dict[str, Any] = _core.defaults("acceleration_envelope")


@dataclass(frozen=True)
class AccelerationEnvelope(Maneuver):
    """Maximum steady acceleration in every direction at one speed, from driving to braking.

    Also gives the tire that limits each direction. The samples of its run are directions, not
    times.

    Parameters
    ----------
    speed : float or str
        Speed [m/s].
    directions : int
        Number of directions from forward to backward, both included; odd, so that the lateral
        direction is one of them.
    to_left : bool
        Corner to the left; else to the right.
    power_limited : bool
        Limit driving by the power of the engine too; else by the tires alone.
    exit_share : float
        Share of the maximum lateral acceleration at which the exit acceleration is read [-].
    steering_lock : float or str
        Maximum steering-wheel angle [rad].
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    """

    name: ClassVar[str] = "acceleration_envelope"
    _units: ClassVar[dict[str, str]] = {"speed": "m/s", "steering_lock": "rad"}

    speed: Quantity = _ENVELOPE["speed"]
    directions: int = _ENVELOPE["directions"]
    to_left: bool = _ENVELOPE["to_left"]
    power_limited: bool = _ENVELOPE["power_limited"]
    exit_share: float = _ENVELOPE["exit_share"]
    steering_lock: Quantity = _ENVELOPE["steering_lock"]
    friction: float = _ENVELOPE["friction"]
