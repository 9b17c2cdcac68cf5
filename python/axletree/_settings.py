"""Settings of a maneuver: checked, in SI units, with the metrics that they lead to."""

from __future__ import annotations

import dataclasses
from typing import Any, ClassVar

from . import _core
from .units import si


class ManeuverSettings:
    """Base of every maneuver: named settings, checked on construction, and declared metrics."""

    #: Name of the maneuver; prefix of its metrics in tables.
    name: ClassVar[str] = ""
    #: SI unit of each setting that is a quantity.
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
        """Metrics of the maneuver: dicts with name, unit, meaning, source and floor.

        Differences smaller than the floor are not significant.
        """
        return _core.metrics(cls.name)

    @classmethod
    def units(cls) -> dict[str, str]:
        """SI unit of every metric."""
        return {metric["name"]: metric["unit"] for metric in cls.metrics()}
