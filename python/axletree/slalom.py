"""The slalom: the highest speed that can be kept up in rhythm, by a driver adapted to the car."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from . import _core
from ._assembled import AnyCar, assembled
from ._equality import ByContent
from .maneuvers import Maneuver
from .run import Run
from .tables import CAUTION, _html, _text, lift_warning, shown
from .units import Quantity, si

if TYPE_CHECKING:
    import matplotlib.figure

_DEFAULTS: dict[str, Any] = _core.defaults("slalom")


@dataclass(frozen=True)
class Driver:
    """The driver adapted to a car: steering learned over the course, a light hand on top.

    Attributes
    ----------
    speed : float
        Speed asked for [m/s].
    constant : float
        Constant mean road-wheel angle [rad, left positive].
    amplitudes : list of (float, float)
        Cosine and sine amplitude of each odd harmonic of the course's length, as mean road-wheel angles
        [rad]; zero of the length is a cone passed on its left.
    gain : float
        Mean road-wheel angle per steering-wheel angle.
    offset : float
        Lateral position halfway before a cone passed on its left [m, left positive].
    feedback : float
        Strength of the light hand: larger is lighter [m/rad].
    gains : list of float
        Steering-wheel angle by departures of lateral position, lateral velocity, heading, yaw rate and hands.
    """

    speed: float
    constant: float
    amplitudes: list[tuple[float, float]]
    gain: float
    offset: float
    feedback: float
    gains: list[float]


class SlalomRun(Run):
    """A slalom driven from a straight approach.

    Attributes
    ----------
    margins : list of float or None
        Clearance of each cone [m]; ``None`` for cones that were not reached.
    rhythm_margins : (float, float) or None
        Clearances of the two cones in the rhythm that was aimed at [m].
    clears : bool
        Whether every cone was cleared.
    """

    def __init__(
        self, maneuver: Slalom, car: str, raw: Mapping[str, Any], geometry: Mapping[str, Any]
    ) -> None:
        course = raw["course"]
        driven = course if course is not None else {**raw["orbit"], **_ending(raw)}
        super().__init__(maneuver, car, {**driven, "values": raw["values"]}, geometry)
        self.margins: list[float | None] = course["margins"] if course is not None else []
        self.rhythm_margins: tuple[float, float] | None = raw["orbit_margins"]
        self.clears: bool = course is not None and self.outcome == "completed"


def _ending(raw: Mapping[str, Any]) -> dict[str, Any]:
    return {key: raw[key] for key in ("outcome", "message", "time")}


class TopSpeed(ByContent):
    """The fastest rhythm of a car.

    Attributes
    ----------
    speed : float or None
        Speed that can be kept up in rhythm [m/s]; ``None`` where there is none, and `outcome` says why. A driver
        who starts early and spends the phase over eight cones can be 3 to 4 % faster once.
    limited_by : str or None
        ``"cone"``, ``"sideslip"``, ``"steering_rate"``, ``"steering_lock"``, ``"wheel_lift"`` or ``"power"``.
    driver : Driver or None
        The steering found for this car.
    run : SlalomRun or None
        The real course, driven from a straight approach with that steering. It never changes the speed; if it
        is not clean, its outcome names the cone.
    metrics : dict of str to float or None
        Headline numbers, SI.
    outcome, message : str
        How the search ended.
    """

    def __init__(
        self, maneuver: Slalom, car: str, raw: Mapping[str, Any], geometry: Mapping[str, Any]
    ) -> None:
        self.maneuver = maneuver
        self.car = car
        self.speed: float | None = raw["speed"]
        self.limited_by: str | None = raw["limited_by"]
        self.driver = Driver(**raw["driver"]) if raw["driver"] is not None else None
        self.metrics: dict[str, float | None] = raw["values"]
        self.outcome: str = raw["outcome"]
        self.message: str = raw["message"]
        self.periods: int = raw["periods"]
        self.orbit_start: list[float] | None = raw["orbit_start"]
        self.multipliers: list[float] | None = raw["multipliers"]
        has_run = raw["course"] is not None
        self.run = SlalomRun(maneuver, car, raw, geometry) if has_run else None

    def _rows(self) -> list[list[str]]:
        rows = [["", "value", "unit"], ["speed", *shown(self.speed, "m/s")]]
        rows.append(["limited by", self.limited_by or "—", ""])
        if self.run is not None:
            rows.append(["course", self.run.message, ""])
            for i, margin in enumerate(self.run.margins, 1):
                rows.append([f"clearance of cone {i}", *shown(margin, "m")])
        units = self.maneuver.units()
        for name, value in self.metrics.items():
            rows.append([name, *shown(value, units[name])])
        return rows

    @property
    def warning(self) -> str | None:
        """What must be said beside the speed: that a wheel lifts or the car rolls over."""
        return lift_warning(self.outcome, self.metrics)

    def _notes(self) -> list[str]:
        return [note for note in (self.warning, CAUTION) if note]

    def __repr__(self) -> str:
        head = f"{self.car}, slalom: {self.message}"
        notes = "\n".join(self._notes())
        return f"{head}\n{_text(self._rows(), (False, True, False))}\n{notes}"

    def _repr_html_(self) -> str:
        head = f"{self.car}, slalom: {self.message}"
        return _html(head, self._rows(), (False, True, False), " ".join(self._notes()))

    def plot(self) -> matplotlib.figure.Figure:
        """The course that was driven."""
        if self.run is None:
            raise ValueError(f"there is no course to draw: {self.message}")
        return self.run.plot()


@dataclass(frozen=True)
class Slalom(Maneuver):
    """Cones in a straight line, passed on alternate sides, the first on its left.

    Parameters
    ----------
    cones : int
    spacing : float or str
        Distance of the cones [m].
    clearance_reserve : float or str
        Clearance that the rhythm leaves at every cone [m].
    cone_radius : float or str
        Of a cone's base [m].
    hand_rate : float or str
        Greatest rate of the steering wheel in the hands, approached smoothly [rad/s].
    neuromuscular_lag : float or str
        Lag of the muscles [s].
    steering_lock : float or str
        Greatest steering-wheel angle to either side, approached smoothly [rad].
    sideslip_guard : float or str
        Largest sideslip angle that the search allows [rad].
    friction : float
        Of the surface, relative to the tires' reference [-].
    harmonics : int
        Odd harmonics of the learned steering.
    step : float or str
        Longest step of the integration [s].
    """

    name: ClassVar[str] = "slalom"
    _units: ClassVar[dict[str, str]] = {
        "spacing": "m",
        "clearance_reserve": "m",
        "cone_radius": "m",
        "hand_rate": "rad/s",
        "neuromuscular_lag": "s",
        "steering_lock": "rad",
        "sideslip_guard": "rad",
        "step": "s",
    }

    cones: int = _DEFAULTS["cones"]
    spacing: Quantity = _DEFAULTS["spacing"]
    clearance_reserve: Quantity = _DEFAULTS["clearance_reserve"]
    cone_radius: Quantity = _DEFAULTS["cone_radius"]
    hand_rate: Quantity = _DEFAULTS["hand_rate"]
    neuromuscular_lag: Quantity = _DEFAULTS["neuromuscular_lag"]
    steering_lock: Quantity = _DEFAULTS["steering_lock"]
    sideslip_guard: Quantity = _DEFAULTS["sideslip_guard"]
    friction: float = _DEFAULTS["friction"]
    harmonics: int = _DEFAULTS["harmonics"]
    step: Quantity = _DEFAULTS["step"]

    def top_speed(self, car: AnyCar) -> TopSpeed:
        """The highest speed that can be kept up in rhythm, the steering adapted to this car; then the real
        course, driven at that speed.

        Raises
        ------
        CarError
            Where the car cannot be built.
        """
        model = assembled(car)
        raw = _core.slalom(model, self.settings())
        return TopSpeed(self, car.name, raw, model.geometry)

    def run(self, car: AnyCar, speed: Quantity | None = None) -> SlalomRun:
        """At one speed [m/s]: the steering of largest least clearance, and the course driven with it. Without a
        speed, the course at the highest one.

        Raises
        ------
        CarError
            Where the car cannot be built.
        """
        model = assembled(car)
        at = None if speed is None else si(speed, "m/s")
        raw = _core.slalom(model, self.settings(), at)
        if at is not None:
            # At one speed nothing is known of the highest.
            raw["values"]["top_speed"] = None
        return SlalomRun(self, car.name, raw, model.geometry)
