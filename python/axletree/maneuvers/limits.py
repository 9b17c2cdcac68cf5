"""How fast through a swerve, and how much acceleration in every direction."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .. import _core
from ..units import Quantity
from .base import Maneuver, with_hands

_CHANGE: dict[str, Any] = _core.defaults("double_lane_change")


@dataclass(frozen=True)
class DoubleLaneChange(Maneuver):
    """Double lane change after ISO 3888: the highest entry speed at which every cone is cleared. Entry and
    steering are found for each car, so that cars are compared and not how well one driver suits them.

    Parameters
    ----------
    course : {"obstacle_avoidance", "severe_lane_change"}
        ISO 3888-2, throttle released after the entry; or ISO 3888-1, throttle held.
    gear : int, optional
        Counted from 1; without it, the highest in which the engine turns at `least_engine_speed`.
    least_engine_speed : float or str
        For the choice of the gear [rad/s].
    clearance_reserve : float or str
        Clearance that every cone must be passed with [m].
    hand_rate : float or str
        Largest rate of the steering wheel [rad/s].
    hand_lag : float or str
        Time constant of arms and hands [s].
    coefficients : int
        Number of coefficients of the steering along the course.
    sideslip_guard : float or str
        Largest sideslip angle that the search allows [rad].
    easy_speed : float or str
        Speed that the search starts from [m/s].
    friction : float
        Of the surface, relative to the tires' reference [-].
    step : float or str
        Longest step of the integration [s].
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
        return with_hands(self)


_ENVELOPE: dict[str, Any] = _core.defaults("acceleration_envelope")


@dataclass(frozen=True)
class AccelerationEnvelope(Maneuver):
    """The largest steady acceleration in every direction at one speed, from driving through cornering to
    braking, and which tire ends it. Its run has no time: the samples are directions.

    Parameters
    ----------
    speed : float or str
        Speed [m/s].
    directions : int
        From straight ahead to straight back, both included; odd, so that the side is one of them.
    to_left : bool
        Corner to the left, else to the right.
    power_limited : bool
        Let the engine's power limit driving; without it the tires alone do.
    exit_share : float
        Share of the largest lateral acceleration at which the exit acceleration is read [-].
    steering_lock : float or str
        Largest steering-wheel angle [rad].
    friction : float
        Of the surface, relative to the tires' reference [-].
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
