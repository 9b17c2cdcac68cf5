"""Settings of a maneuver: checked, in SI units, with the metrics that they lead to."""

from __future__ import annotations

import dataclasses
import operator
import reprlib
from collections.abc import Callable, Iterable
from typing import Any, ClassVar

import numpy as np

from . import _core
from .units import si


class DefaultValue(float):
    """Default of a setting that another setting can replace; it gives way to that one."""


def _quantity(value: Any, unit: str) -> float:
    return value if isinstance(value, DefaultValue) else si(value, unit)


def _pair(value: Any, unit: str) -> tuple[float, float]:
    pair = list(value) if isinstance(value, Iterable) and not isinstance(value, str) else []
    if len(pair) != 2:
        raise TypeError(f"expected two values, the lower and the higher, got {reprlib.repr(value)}")
    return si(pair[0], unit), si(pair[1], unit)


def _flag(value: Any, _: str) -> bool:
    if isinstance(value, (bool, np.bool_)):
        return bool(value)
    raise TypeError(f"expected True or False, got {reprlib.repr(value)}")


def _whole(value: Any, _: str) -> int:
    if isinstance(value, (bool, np.bool_)) or not hasattr(value, "__index__"):
        raise TypeError(f"expected a whole number, got {reprlib.repr(value)}")
    number = operator.index(value)
    if number < 0:
        raise ValueError("the number is negative")
    if number >= 2**63:
        raise ValueError("the number is too large")
    return number


def _word(value: Any, _: str) -> str:
    if isinstance(value, str):
        return str(value)
    raise TypeError(f"expected a word, got {reprlib.repr(value)}")


def _among(word: Any, choices: tuple[str, ...] | None) -> None:
    """Checks a word; without choices every word is allowed."""
    if choices is not None and word not in choices:
        known = " or ".join(f'"{choice}"' for choice in choices)
        raise ValueError(f"unknown choice {reprlib.repr(word)}; expected {known}")


#: Reader of a setting by its annotation, from the value given and the SI unit.
_READERS: dict[str, Callable[[Any, str], Any]] = {
    "Quantity": _quantity,
    "float": _quantity,
    "tuple[float, float]": _pair,
    "bool": _flag,
    "int": _whole,
    "str": _word,
}


#: Allowed words of settings that the core does not know, for every maneuver that has them.
_CHOICES = {"integrator": ("fixed", "adaptive")}
#: Names of settings in the core that differ, with their names here.
_CORE_NAMES = {"hands.rate": "hand_rate", "hands.lag": "hand_lag", "integrator": "tolerance"}


class ManeuverSettings:
    """Base of every maneuver: named settings, checked on construction, and declared metrics.

    Raises
    ------
    TypeError
        If a setting is unknown or of the wrong kind.
    ValueError
        If a setting is not a finite number or has the wrong unit.
    SettingError
        If a setting is out of range.
    """

    #: Name of the maneuver; prefix of its metrics in tables.
    name: ClassVar[str] = ""
    #: SI unit of each setting that is a quantity with a unit.
    _units: ClassVar[dict[str, str]] = {}
    #: Allowed words of this maneuver's settings that the core does not know.
    _choices: ClassVar[dict[str, tuple[str, ...]]] = {}
    #: Names of this maneuver's settings in the core that differ, with their names here.
    _core_names: ClassVar[dict[str, str]] = {}

    def __post_init__(self) -> None:
        for field in dataclasses.fields(self):  # type: ignore[arg-type]
            value = getattr(self, field.name)
            kind, _, optional = str(field.type).partition(" | ")
            if value is None and optional:
                continue
            object.__setattr__(self, field.name, self._read(field.name, kind, value))
        try:
            _core.check(self.name, self.settings())
        except (_core.SettingError, TypeError, ValueError) as error:
            raise type(error)(self._renamed(str(error))) from None

    def _read(self, setting: str, kind: str, value: Any) -> Any:
        """The value of a setting; an error names the setting and its unit."""
        unit = self._units.get(setting, "")
        try:
            read = _READERS[kind](value, unit)
            _among(read, {**_CHOICES, **self._choices}.get(setting))
        except (TypeError, ValueError) as error:
            kind_of = TypeError if isinstance(error, TypeError) else ValueError
            shown = f" [{unit}]" if unit else ""
            raise kind_of(f"{self.name}.{setting}{shown}: {error}") from None
        return read

    def _renamed(self, text: str) -> str:
        """A message of the core with the names of the settings here."""
        for core, here in {**_CORE_NAMES, **self._core_names}.items():
            text = text.replace(f"{self.name}.{core}", f"{self.name}.{here}")
        return text

    def _either(self, first: str, other: str, default: float) -> None:
        """Chooses one of two settings that exclude each other; the first has a default.

        Raises
        ------
        ValueError
            If both are given.
        """
        given = [
            setting
            for setting in (first, other)
            if not isinstance(getattr(self, setting), (DefaultValue, type(None)))
        ]
        if len(given) == 2:
            raise ValueError(f"{self.name}: {first} and {other} exclude each other; give one")
        chosen = given[0] if given else first
        for setting in (first, other):
            if setting != chosen:
                object.__setattr__(self, setting, None)
        if not given:
            object.__setattr__(self, first, DefaultValue(default))

    def settings(self) -> dict[str, Any]:
        """The settings as plain SI values."""
        return dataclasses.asdict(self)  # type: ignore[call-overload,no-any-return]

    @classmethod
    def metrics(cls) -> list[dict[str, Any]]:
        """Metrics of the maneuver: dicts with name, unit, meaning, source, floor and missing.

        Differences smaller than the floor are not significant. ``missing`` is the reason why a
        completed run may leave the metric undefined.
        """
        return _core.metrics(cls.name)

    @classmethod
    def units(cls) -> dict[str, str]:
        """SI unit of every metric."""
        return {metric["name"]: metric["unit"] for metric in cls.metrics()}
