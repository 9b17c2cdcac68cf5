"""Standard maneuvers on a level road: steps, circles, frequency response, sine with dwell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .. import _core
from ..units import Quantity, si
from .base import Maneuver


_STEP: dict[str, Any] = _core.defaults("step_steer")


@dataclass(frozen=True)
class StepSteer(Maneuver):
    """Step steer after ISO 7401: straight running, then the steering wheel turned at a given rate to an
    angle and held.

    Parameters
    ----------
    speed : float or str
        Speed at the start [m/s].
    lateral_acceleration : float or str
        Steady lateral acceleration the angle is chosen for, left positive [m/s^2].
    steering_wheel_angle : float or str, optional
        The step's angle instead [rad, left positive].
    steering_rate : float or str
        Rate of the steering wheel [rad/s].
    hold_speed : bool
        Hold the speed with the throttle. As the standard has it, the throttle is held at its straight-running
        value.
    settle, window : float or str
        Steady values are means over `window` [s], from `settle` [s] after the start of steering.
    friction : float
        Of the surface, relative to the tires' reference [-].
    step : float or str
        Longest step of the integration [s]; a stiff driveline or quick tires make it shorter.
    """

    name: ClassVar[str] = "step_steer"
    _units: ClassVar[dict[str, str]] = {
        "speed": "m/s",
        "lateral_acceleration": "m/s^2",
        "steering_wheel_angle": "rad",
        "steering_rate": "rad/s",
        "settle": "s",
        "window": "s",
        "step": "s",
    }

    speed: Quantity = _STEP["speed"]
    lateral_acceleration: Quantity = _STEP["lateral_acceleration"]
    steering_wheel_angle: Quantity | None = _STEP["steering_wheel_angle"]
    steering_rate: Quantity = _STEP["steering_rate"]
    hold_speed: bool = _STEP["hold_speed"]
    settle: Quantity = _STEP["settle"]
    window: Quantity = _STEP["window"]
    friction: float = _STEP["friction"]
    step: Quantity = _STEP["step"]


_CIRCLE: dict[str, Any] = _core.defaults("circle")


@dataclass(frozen=True)
class Circle(Maneuver):
    """Steady-state circle after ISO 4138: gradients of steer, roll, sideslip and steering torque, the limit,
    and which axle reaches it first.

    Parameters
    ----------
    radius : float or str, optional
        Radius that is held [m]; 100 m unless a speed is given.
    speed : float or str, optional
        Speed that is held instead [m/s].
    range : (float, float)
        Lateral accelerations between which gradients are evaluated [m/s^2].
    to_left : bool
    steering_lock : float or str
        Largest steering-wheel angle [rad].
    friction : float
        Of the surface, relative to the tires' reference [-].
    """

    name: ClassVar[str] = "circle"
    _units: ClassVar[dict[str, str]] = {"radius": "m", "speed": "m/s", "steering_lock": "rad"}

    radius: Quantity | None = None
    speed: Quantity | None = None
    range: tuple[float, float] = tuple(_CIRCLE["range"])
    to_left: bool = _CIRCLE["to_left"]
    steering_lock: Quantity = _CIRCLE["steering_lock"]
    friction: float = _CIRCLE["friction"]

    def __post_init__(self) -> None:
        if self.radius is not None and self.speed is not None:
            raise ValueError("a circle holds a radius or a speed, not both")
        if self.radius is None and self.speed is None:
            object.__setattr__(self, "radius", _CIRCLE["method"]["constant_radius"])
        low, high = self.range
        object.__setattr__(self, "range", (si(low, "m/s^2"), si(high, "m/s^2")))
        super().__post_init__()

    def settings(self) -> dict[str, Any]:
        method = (
            {"constant_speed": self.speed}
            if self.speed is not None
            else {"constant_radius": self.radius}
        )
        return {
            "method": method,
            "range": list(self.range),
            "to_left": self.to_left,
            "steering_lock": self.steering_lock,
            "friction": self.friction,
        }


_FREQUENCY: dict[str, Any] = _core.defaults("frequency_response")


@dataclass(frozen=True)
class FrequencyResponse(Maneuver):
    """Frequency response to the steering wheel after ISO 7401: gain and phase of yaw rate, lateral
    acceleration, roll and sideslip, and the bandwidth.

    Parameters
    ----------
    speed : float or str
        Speed [m/s].
    method : {"linearization", "swept_sine"}
        From the exact linearization about straight running, or from a sine of rising frequency at the
        steering wheel, driven with the full equations. For small amplitudes both agree.
    lateral_acceleration : float or str
        Swept sine: lateral acceleration that its amplitude would give if held [m/s^2].
    duration : float or str
        Swept sine: time that it takes [s].
    frequencies : (float, float)
        Lowest and highest frequency [Hz].
    points : int
        Number of frequencies.
    friction : float
        Of the surface, relative to the tires' reference [-].
    step : float or str
        Longest step of the integration [s].
    """

    name: ClassVar[str] = "frequency_response"
    _units: ClassVar[dict[str, str]] = {
        "speed": "m/s",
        "lateral_acceleration": "m/s^2",
        "duration": "s",
        "step": "s",
    }

    speed: Quantity = _FREQUENCY["speed"]
    method: str = "linearization"
    lateral_acceleration: Quantity = 1.0
    duration: Quantity = 60.0
    frequencies: tuple[float, float] = tuple(_FREQUENCY["frequencies"])
    points: int = _FREQUENCY["points"]
    friction: float = _FREQUENCY["friction"]
    step: Quantity = _FREQUENCY["step"]

    def __post_init__(self) -> None:
        if self.method not in ("linearization", "swept_sine"):
            raise ValueError(
                f'method is {self.method!r}; it is "linearization" or "swept_sine"'
            )
        low, high = self.frequencies
        object.__setattr__(self, "frequencies", (si(low, "Hz"), si(high, "Hz")))
        super().__post_init__()

    def settings(self) -> dict[str, Any]:
        sweep = {
            "lateral_acceleration": self.lateral_acceleration,
            "duration": self.duration,
        }
        return {
            "speed": self.speed,
            "method": {"swept_sine": sweep} if self.method == "swept_sine" else self.method,
            "frequencies": list(self.frequencies),
            "points": self.points,
            "friction": self.friction,
            "step": self.step,
        }


_DWELL: dict[str, Any] = _core.defaults("sine_with_dwell")


@dataclass(frozen=True)
class SineWithDwell(Maneuver):
    """Sine with dwell after ISO 19365: whether the car calms down after a swerve, and how far it moves
    aside. There is no electronic stability control: the runs show what the car does without.

    Parameters
    ----------
    speed : float or str
        Speed at the start [m/s].
    frequency : float or str
        Of the sine [Hz].
    dwell : float or str
        Time for which the second peak is held [s].
    to_left : bool
        First turn to the left.
    amplitude : float or str, optional
        Amplitude of the steering wheel [rad]; without it, a series of runs with growing amplitude.
    first, increment, last : float
        The series: first amplitude, increment and last amplitude, in multiples of the angle that gives
        0.3 g in a slowly increasing steer.
    last_angle, largest_angle : float or str
        The series goes on to at least and at most these angles [rad].
    gear : int, optional
        Gear in which the car coasts, counted from 1; the highest if not given.
    friction : float
        Of the surface, relative to the tires' reference [-].
    step : float or str
        Longest step of the integration [s].
    """

    name: ClassVar[str] = "sine_with_dwell"
    _units: ClassVar[dict[str, str]] = {
        "speed": "m/s",
        "frequency": "Hz",
        "dwell": "s",
        "amplitude": "rad",
        "last_angle": "rad",
        "largest_angle": "rad",
        "step": "s",
    }

    speed: Quantity = _DWELL["speed"]
    frequency: Quantity = _DWELL["frequency"]
    dwell: Quantity = _DWELL["dwell"]
    to_left: bool = _DWELL["to_left"]
    amplitude: Quantity | None = _DWELL["amplitude"]
    first: float = _DWELL["first"]
    increment: float = _DWELL["increment"]
    last: float = _DWELL["last"]
    last_angle: Quantity = _DWELL["last_angle"]
    largest_angle: Quantity = _DWELL["largest_angle"]
    gear: int | None = _DWELL["gear"]
    friction: float = _DWELL["friction"]
    step: Quantity = _DWELL["step"]
