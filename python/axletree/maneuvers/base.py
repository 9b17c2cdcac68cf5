"""What every maneuver is: settings that say what is done with a car, and what is measured."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any, ClassVar

from .. import _core
from .._assembled import AnyCar, assembled
from ..run import Run
from ..units import si


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


def with_hands(maneuver: Maneuver) -> dict[str, Any]:
    """The settings with what the hands can do put together."""
    settings = dict(vars(maneuver))
    settings["hands"] = {"rate": settings.pop("hand_rate"), "lag": settings.pop("hand_lag")}
    return settings
