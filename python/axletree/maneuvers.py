"""Maneuvers: settings that say what is done with a car, and what is measured."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from . import _core
from ._assembled import AnyCar, assembled
from .run import Run
from .units import Quantity, si


class Measured(Mapping[str, "float | None"]):
    """Headline numbers of one run: name to SI value, ``None`` where one does not exist.

    Attributes
    ----------
    outcome : str
        ``"completed"``, or a named reason why the run ended.
    message : str
        The outcome with its numbers.
    """

    def __init__(self, raw: Mapping[str, Any]) -> None:
        self.outcome: str = raw["outcome"]
        self.message: str = raw["message"]
        self._values: dict[str, float | None] = raw["values"]

    def __getitem__(self, name: str) -> float | None:
        return self._values[name]

    def __iter__(self) -> Any:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __repr__(self) -> str:
        return f"<{self.outcome}: {self._values}>"


class Maneuver:
    """What every maneuver offers. Settings are checked when it is made."""

    #: Prefix of its metrics in tables.
    name: ClassVar[str] = ""
    #: SI unit of each setting that has one.
    _units: ClassVar[dict[str, str]] = {}

    def __post_init__(self) -> None:
        for field, unit in self._units.items():
            value = getattr(self, field)
            if value is not None:
                object.__setattr__(self, field, si(value, unit))
        _core.check(self.name, self.settings())

    def settings(self) -> dict[str, Any]:
        """The settings as plain SI values."""
        return dataclasses.asdict(self)  # type: ignore[call-overload,no-any-return]

    @classmethod
    def metrics(cls) -> list[dict[str, Any]]:
        """What it measures: name, unit, meaning, source, floor (differences below it are nothing)."""
        return _core.metrics(cls.name)

    @classmethod
    def units(cls) -> dict[str, str]:
        """SI unit of every metric."""
        return {metric["name"]: metric["unit"] for metric in cls.metrics()}

    def measure(self, car: AnyCar) -> Measured:
        """Drives a car; the headline numbers alone, which is what studies use.

        Raises
        ------
        CarError
            Where the car cannot be built. What happens to it on the way is an outcome, not an error.
        """
        return Measured(_core.measure(assembled(car), self.name, self.settings()))

    def run(self, car: AnyCar) -> Run:
        """Drives a car and records every channel.

        Raises
        ------
        CarError
            Where the car cannot be built. What happens to it on the way is an outcome, not an error.
        """
        model = assembled(car)
        raw = _core.run(model, self.name, self.settings())
        return Run(self, car.name, raw, model.geometry)


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
        Longest step of the integration [s].
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
