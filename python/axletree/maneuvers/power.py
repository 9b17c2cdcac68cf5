"""Where power goes down: the launch."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .. import _core
from ..units import Quantity
from .base import Maneuver

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
        method = (
            {"dumped_clutch": self.clutch_time}
            if self.clutch_time is not None
            else {"held_slip": self.held_slip}
        )
        return {
            "distance": self.distance,
            "method": method,
            "engine_speed": self.engine_speed,
            "shift_share": self.shift_share,
            "shift_time": self.shift_time,
            "hands": {"rate": self.hand_rate, "lag": self.hand_lag},
            "friction": self.friction,
            "step": self.step,
        }
