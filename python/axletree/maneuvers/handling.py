"""Standard maneuvers on a level road: step steer, circle, frequency response, sine with dwell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .. import _core
from ..units import Quantity
from .base import ADAPTIVE_TOLERANCE, Maneuver, with_integrator

_STEP: dict[str, Any] = _core.defaults("step_steer")


@dataclass(frozen=True)
class StepSteer(Maneuver):
    """Step steer after ISO 7401.

    From straight running the steering wheel is turned at a given rate to an angle and held.

    Parameters
    ----------
    speed : float or str
        Speed at the start [m/s].
    lateral_acceleration : float or str
        Steady lateral acceleration that determines the steering-wheel angle, left positive [m/s^2].
    steering_wheel_angle : float or str, optional
        Steering-wheel angle, in place of `lateral_acceleration` [rad, left positive].
    steering_rate : float or str
        Angular rate of the steering wheel [rad/s].
    hold_speed : bool
        Hold the speed by the throttle. If false, as in the standard, the throttle keeps its
        straight-running value.
    settle, window : float or str
        Steady values are means over `window` [s] that starts `settle` [s] after the start of
        steering.
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    step : float or str
        Maximum integration step [s], reduced automatically for a stiff driveline or quick tires.
    integrator : {"fixed", "adaptive"}
        Fixed steps, or adaptive steps between the same times; slower, to check the fixed ones.
    tolerance : float
        Relative and absolute tolerance of the adaptive steps [-].
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
    integrator: str = "fixed"
    tolerance: float = ADAPTIVE_TOLERANCE


_CIRCLE: dict[str, Any] = _core.defaults("circle")


@dataclass(frozen=True)
class Circle(Maneuver):
    """Steady-state circle after ISO 4138.

    Measures the gradients of steer, roll, sideslip and steering torque, the limit of lateral
    acceleration, and which axle reaches it first.

    Parameters
    ----------
    radius : float or str, optional
        Constant radius [m]; 100 m unless a speed is given.
    speed : float or str, optional
        Constant speed, in place of a radius [m/s].
    range : (float, float)
        Lateral accelerations between which the gradients are evaluated [m/s^2].
    to_left : bool
        Turn to the left; else to the right.
    steering_lock : float or str
        Maximum steering-wheel angle [rad].
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    """

    name: ClassVar[str] = "circle"
    _units: ClassVar[dict[str, str]] = {
        "radius": "m",
        "speed": "m/s",
        "range": "m/s^2",
        "steering_lock": "rad",
    }

    radius: Quantity | None = None
    speed: Quantity | None = None
    range: tuple[float, float] = tuple(_CIRCLE["range"])
    to_left: bool = _CIRCLE["to_left"]
    steering_lock: Quantity = _CIRCLE["steering_lock"]
    friction: float = _CIRCLE["friction"]

    def __post_init__(self) -> None:
        self._either("radius", "speed", _CIRCLE["method"]["constant_radius"])
        super().__post_init__()

    def settings(self) -> dict[str, Any]:
        """The settings as plain SI values, grouped as the core takes them."""
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
    """Frequency response to the steering wheel after ISO 7401.

    Measures gain and phase of yaw rate, lateral acceleration, roll and sideslip, and the bandwidth.

    Parameters
    ----------
    speed : float or str
        Speed [m/s].
    method : {"linearization", "swept_sine"}
        Exact linearization about straight running, or simulation of the full equations with a sine
        of rising frequency at the steering wheel. Both agree for small amplitudes.
    lateral_acceleration : float or str
        Swept sine: steady lateral acceleration at the amplitude of the steering wheel [m/s^2].
    duration : float or str
        Swept sine: duration [s].
    frequencies : (float, float)
        Lowest and highest frequency [Hz].
    points : int
        Number of frequencies.
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    step : float or str
        Maximum integration step [s].
    integrator : {"fixed", "adaptive"}
        Fixed steps, or adaptive steps between the same times; slower, to check the fixed ones.
    tolerance : float
        Relative and absolute tolerance of the adaptive steps [-].
    """

    name: ClassVar[str] = "frequency_response"
    _units: ClassVar[dict[str, str]] = {
        "speed": "m/s",
        "lateral_acceleration": "m/s^2",
        "duration": "s",
        "frequencies": "Hz",
        "step": "s",
    }
    _choices: ClassVar[dict[str, tuple[str, ...]]] = {
        "method": ("linearization", "swept_sine"),
    }
    _core_names: ClassVar[dict[str, str]] = {
        "method.lateral_acceleration": "lateral_acceleration",
        "method.duration": "duration",
        "lowest frequency": "frequencies, lowest",
        "highest frequency": "frequencies, highest",
    }

    speed: Quantity = _FREQUENCY["speed"]
    method: str = "linearization"
    lateral_acceleration: Quantity = 1.0
    duration: Quantity = 60.0
    frequencies: tuple[float, float] = tuple(_FREQUENCY["frequencies"])
    points: int = _FREQUENCY["points"]
    friction: float = _FREQUENCY["friction"]
    step: Quantity = _FREQUENCY["step"]
    integrator: str = "fixed"
    tolerance: float = ADAPTIVE_TOLERANCE

    def settings(self) -> dict[str, Any]:
        """The settings as plain SI values, grouped as the core takes them."""
        sweep = {
            "lateral_acceleration": self.lateral_acceleration,
            "duration": self.duration,
        }
        return with_integrator(
            {
                "speed": self.speed,
                "method": {"swept_sine": sweep} if self.method == "swept_sine" else self.method,
                "frequencies": list(self.frequencies),
                "points": self.points,
                "friction": self.friction,
                "step": self.step,
                "integrator": self.integrator,
                "tolerance": self.tolerance,
            }
        )


_DWELL: dict[str, Any] = _core.defaults("sine_with_dwell")


@dataclass(frozen=True)
class SineWithDwell(Maneuver):
    """Sine with dwell after ISO 19365.

    Measures whether the car regains stability after a swerve, and its lateral displacement. The car
    has no electronic stability control.

    Parameters
    ----------
    speed : float or str
        Speed at the start [m/s].
    frequency : float or str
        Frequency of the sine [Hz].
    dwell : float or str
        Duration of the pause at the second peak [s].
    to_left : bool
        Start with a turn to the left; else to the right.
    amplitude : float or str, optional
        Amplitude of the steering wheel [rad]. Default: a series of runs with growing amplitude.
    first, increment, last : float
        Series: first amplitude, increment and last amplitude, in multiples of the steering-wheel
        angle at 0.3 g in a slowly increasing steer.
    last_angle, largest_angle : float or str
        Series: the last amplitude is at least `last_angle` and at most `largest_angle` [rad].
    gear : int, optional
        Gear in which the car coasts, counted from 1. Default: the highest.
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    step : float or str
        Maximum integration step [s].
    integrator : {"fixed", "adaptive"}
        Fixed steps, or adaptive steps between the same times; slower, to check the fixed ones.
    tolerance : float
        Relative and absolute tolerance of the adaptive steps [-].
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
    integrator: str = "fixed"
    tolerance: float = ADAPTIVE_TOLERANCE
