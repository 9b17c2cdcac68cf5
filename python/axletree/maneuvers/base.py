"""Base class of the maneuvers, and the metrics of one run."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import _core
from .._assembled import AnyCar, assembled
from .._display import warning_text
from .._settings import ManeuverSettings
from ..run import Run

#: Relative and absolute tolerance of adaptive steps [-].
ADAPTIVE_TOLERANCE = 1e-9


class Measured(Mapping[str, "float | None"]):
    """Metrics of one run: name to SI value, ``None`` for a metric that the run does not define.

    Attributes
    ----------
    outcome : str
        ``"completed"``, or the reason why the run ended early.
    message : str
        The outcome as a sentence, with its numbers and the reason of every undefined metric.
    warning : str or None
        Warning of a rollover or of wheels that leave the road; ``None`` without either.
    """

    def __init__(self, raw: Mapping[str, Any]) -> None:
        self.outcome: str = raw["outcome"]
        self.message: str = raw["message"]
        self.warning: str | None = warning_text(raw["warning"])
        self._values: dict[str, float | None] = raw["values"]

    def __getitem__(self, name: str) -> float | None:
        return self._values[name]

    def __iter__(self) -> Any:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __repr__(self) -> str:
        return f"<{self.warning or self.outcome}: {self._values}>"


class Maneuver(ManeuverSettings):
    """Base class of the maneuvers: settings, checked on construction, that a car is driven with."""

    def settings(self) -> dict[str, Any]:
        """The settings as plain SI values, grouped as the core takes them."""
        settings = super().settings()
        return with_integrator(settings) if "integrator" in settings else settings

    def measure(self, car: AnyCar) -> Measured:
        """Runs the maneuver and returns its metrics alone, as studies do.

        A run that ends early is an outcome, not an error.

        Raises
        ------
        CarError
            If the car cannot be assembled.
        """
        return Measured(_core.measure(assembled(car), self.name, self.settings()))

    def run(self, car: AnyCar) -> Run:
        """Runs the maneuver and records every channel.

        A run that ends early is an outcome, not an error.

        Raises
        ------
        CarError
            If the car cannot be assembled.
        """
        model = assembled(car)
        raw = _core.run(model, self.name, self.settings())
        return Run(self, car.name, raw, model.geometry)


def with_integrator(settings: dict[str, Any]) -> dict[str, Any]:
    """The settings of a maneuver with the tolerance as a part of the adaptive integrator."""
    tolerance = settings.pop("tolerance")
    if settings["integrator"] == "adaptive":
        settings["integrator"] = {"adaptive": tolerance}
    return settings


def with_hands(maneuver: Maneuver) -> dict[str, Any]:
    """The settings of a maneuver with those of the driver's hands grouped under ``"hands"``."""
    settings = dict(vars(maneuver))
    settings["hands"] = {"rate": settings.pop("hand_rate"), "lag": settings.pop("hand_lag")}
    return settings
