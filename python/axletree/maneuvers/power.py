"""Where power goes down: out of a corner, and from rest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .. import _core
from ..units import Quantity
from .base import Maneuver, with_hands

_EXIT: dict[str, Any] = _core.defaults("corner_exit")


@dataclass(frozen=True)
class CornerExit(Maneuver):
    """Out of a steady corner in the least time, the throttle opened once and wholly. Where it opens and the
    steering along the way are found for each car, so that cars are compared and not how well one driver
    suits them.

    Parameters
    ----------
    radius : float or str
        Radius of the corner [m].
    lateral_acceleration : float or str
        Steady lateral acceleration at the start, left positive [m/s^2].
    turn : float or str
        How far the corner still turns from the start [rad].
    straight : float or str
        Length of the straight behind it over which time and speed are taken [m].
    half_width : float or str
        How far the car's center of mass may be from the middle of the track [m].
    sideslip_guard : float or str
        Largest sideslip angle [rad].
    opening : float or str
        Distance over which the throttle goes from steady to wide open [m].
    gear : int, optional
        Counted from 1; without it, the lowest in which the engine turns at no more than three quarters of
        its highest speed.
    hand_rate : float or str
        Largest rate of the steering wheel [rad/s].
    hand_lag : float or str
        Time constant of arms and hands [s].
    coefficients : int
        Number of coefficients of the steering.
    friction : float
        Of the surface, relative to the tires' reference [-].
    step : float or str
        Longest step of the integration [s].
    """

    name: ClassVar[str] = "corner_exit"
    _units: ClassVar[dict[str, str]] = {
        "radius": "m",
        "lateral_acceleration": "m/s^2",
        "turn": "rad",
        "straight": "m",
        "half_width": "m",
        "sideslip_guard": "rad",
        "opening": "m",
        "hand_rate": "rad/s",
        "hand_lag": "s",
        "step": "s",
    }

    radius: Quantity = _EXIT["radius"]
    lateral_acceleration: Quantity = _EXIT["lateral_acceleration"]
    turn: Quantity = _EXIT["turn"]
    straight: Quantity = _EXIT["straight"]
    half_width: Quantity = _EXIT["half_width"]
    sideslip_guard: Quantity = _EXIT["sideslip_guard"]
    opening: Quantity = _EXIT["opening"]
    gear: int | None = _EXIT["gear"]
    hand_rate: Quantity = _EXIT["hands"]["rate"]
    hand_lag: Quantity = _EXIT["hands"]["lag"]
    coefficients: int = _EXIT["coefficients"]
    friction: float = _EXIT["friction"]
    step: Quantity = _EXIT["step"]

    def settings(self) -> dict[str, Any]:
        return with_hands(self)


_LAUNCH: dict[str, Any] = _core.defaults("launch")


@dataclass(frozen=True)
class Launch(Maneuver):
    """From rest over a distance as fast as the rear tires let the car go, and how the driveline shakes.

    Parameters
    ----------
    distance : float or str
        Distance [m].
    held_slip : float, optional
        Slip of the faster driven wheel that the foot holds [-]; the default.
    clutch_time : float or str, optional
        Instead: throttle open, the clutch closed over this time [s].
    engine_speed : float or str
        Engine speed at the start, the clutch open [rad/s].
    shift_share : float
        Share of the highest engine speed at which the next gear is taken [-].
    shift_time : float or str
        Time without torque while a gear is changed [s].
    hand_rate : float or str
        Largest rate of the steering wheel [rad/s].
    hand_lag : float or str
        Time constant of arms and hands [s].
    friction : float
        Of the surface, relative to the tires' reference [-].
    step : float or str
        Longest step of the integration [s].
    """

    name: ClassVar[str] = "launch"
    _units: ClassVar[dict[str, str]] = {
        "distance": "m",
        "clutch_time": "s",
        "engine_speed": "rad/s",
        "shift_time": "s",
        "hand_rate": "rad/s",
        "hand_lag": "s",
        "step": "s",
    }

    distance: Quantity = _LAUNCH["distance"]
    held_slip: float | None = None
    clutch_time: Quantity | None = None
    engine_speed: Quantity = _LAUNCH["engine_speed"]
    shift_share: float = _LAUNCH["shift_share"]
    shift_time: Quantity = _LAUNCH["shift_time"]
    hand_rate: Quantity = _LAUNCH["hands"]["rate"]
    hand_lag: Quantity = _LAUNCH["hands"]["lag"]
    friction: float = _LAUNCH["friction"]
    step: Quantity = _LAUNCH["step"]

    def __post_init__(self) -> None:
        if self.held_slip is not None and self.clutch_time is not None:
            raise ValueError("a launch holds a slip or closes the clutch over a time, not both")
        if self.held_slip is None and self.clutch_time is None:
            object.__setattr__(self, "held_slip", _LAUNCH["method"]["held_slip"])
        super().__post_init__()

    def settings(self) -> dict[str, Any]:
        settings = with_hands(self)
        slip, time = settings.pop("held_slip"), settings.pop("clutch_time")
        settings["method"] = {"held_slip": slip} if time is None else {"dumped_clutch": time}
        return settings
