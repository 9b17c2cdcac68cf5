"""Maneuvers under power: corner exit, launch."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .. import _core
from ..units import Quantity
from .base import ADAPTIVE_TOLERANCE, Maneuver, with_hands, with_integrator

_EXIT: dict[str, Any] = _core.defaults("corner_exit")


@dataclass(frozen=True)
class CornerExit(Maneuver):
    """Corner exit in the least time, with one full opening of the throttle.

    The place of the opening and the steering along the way are optimized for each car, so that the
    comparison is between cars and does not depend on how well one driver suits each of them.

    Parameters
    ----------
    radius : float or str
        Radius of the corner [m].
    lateral_acceleration : float or str
        Steady lateral acceleration at the start, left positive [m/s^2].
    turn : float or str
        Angle of the corner from the start to the straight [rad].
    straight : float or str
        Length of the straight after the corner, over which time and speed are measured [m].
    half_width : float or str
        Maximum distance of the car's center of mass from the center line of the track [m].
    sideslip_guard : float or str
        Maximum sideslip angle [rad].
    opening : float or str
        Distance over which the throttle opens from steady to wide open [m].
    gear : int, optional
        Gear, counted from 1. Default: the lowest gear with the engine at no more than three
        quarters of its maximum speed.
    hand_rate : float or str
        Maximum angular rate of the steering wheel [rad/s].
    hand_lag : float or str
        Time constant of the driver's arms and hands [s].
    coefficients : int
        Number of coefficients of the steering-wheel angle along the way.
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    step : float or str
        Maximum integration step [s].
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
        """The settings as plain SI values, grouped as the core takes them."""
        return with_hands(self)


_LAUNCH: dict[str, Any] = _core.defaults("launch")


@dataclass(frozen=True)
class Launch(Maneuver):
    """Launch from rest over a distance: time, wheel slip and oscillations of the driveline.

    Parameters
    ----------
    distance : float or str
        Distance [m].
    held_slip : float, optional
        Slip of the faster driven wheel, held by the throttle [-]. The default method.
    clutch_time : float or str, optional
        Alternative method: open throttle, with the clutch closed over this time [s].
    engine_speed : float or str
        Engine speed at the start, with the clutch open [rad/s].
    shift_share : float
        Share of the maximum engine speed at which the next gear is engaged [-].
    shift_time : float or str
        Duration of a gear change, without torque [s].
    hand_rate : float or str
        Maximum angular rate of the steering wheel [rad/s].
    hand_lag : float or str
        Time constant of the driver's arms and hands [s].
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    step : float or str
        Maximum integration step [s].
    integrator : {"fixed", "adaptive"}
        Fixed steps, or adaptive steps between the same times; slower, to check the fixed ones.
    tolerance : float
        Relative and absolute tolerance of the adaptive steps [-].
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
    _core_names: ClassVar[dict[str, str]] = {
        "method.held_slip": "held_slip",
        "method.dumped_clutch": "clutch_time",
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
    integrator: str = "fixed"
    tolerance: float = ADAPTIVE_TOLERANCE

    def __post_init__(self) -> None:
        self._either("held_slip", "clutch_time", _LAUNCH["method"]["held_slip"])
        super().__post_init__()

    def settings(self) -> dict[str, Any]:
        """The settings as plain SI values, grouped as the core takes them."""
        settings = with_hands(self)
        slip, time = settings.pop("held_slip"), settings.pop("clutch_time")
        settings["method"] = {"held_slip": slip} if time is None else {"dumped_clutch": time}
        return with_integrator(settings)
