"""Slalom: the highest speed that a driver adapted to the car can sustain in rhythm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from . import _core
from ._assembled import AnyCar, assembled
from ._display import CAUTION, html_table, shown, text_page, warning_text
from ._equality import ByContent
from ._pictures import picture
from .maneuvers import Maneuver
from .run import Run
from .units import Quantity, si

if TYPE_CHECKING:
    import matplotlib.figure

_DEFAULTS: dict[str, Any] = _core.defaults("slalom")


@dataclass(frozen=True)
class Driver:
    """Driver adapted to a car: periodic steering along the course, with weak feedback on top.

    Attributes
    ----------
    speed : float
        Target speed [m/s].
    constant : float
        Constant part of the mean road-wheel angle [rad, left positive].
    amplitudes : list of (float, float)
        Cosine and sine amplitudes of the odd harmonics over the position on the course, as mean
        road-wheel angles [rad]; the position is zero at a cone passed on its left.
    gain : float
        Mean road-wheel angle per steering-wheel angle [-].
    offset : float
        Lateral position half a spacing before a cone passed on its left [m, left positive].
    feedback : float
        Scale of the feedback: a larger value is weaker feedback [m/rad].
    gains : list of float
        Steering-wheel angle per departure of lateral position, lateral velocity, heading, yaw rate
        and hands from the rhythm.
    """

    speed: float
    constant: float
    amplitudes: list[tuple[float, float]]
    gain: float
    offset: float
    feedback: float
    gains: list[float]


class SlalomRun(Run):
    """Record of a slalom driven from a straight approach.

    Attributes
    ----------
    margins : list of float or None
        Clearance at each cone [m]; ``None`` for a cone that was not reached.
    rhythm_margins : (float, float) or None
        Clearances at the two cones of one period of the intended rhythm [m].
    clears : bool
        Whether the car cleared every cone.
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
    return {key: raw[key] for key in ("outcome", "message", "warning", "time")}


class TopSpeed(ByContent):
    """Fastest rhythm of a car through a slalom.

    Attributes
    ----------
    speed : float or None
        Highest speed that can be sustained in rhythm [m/s]; ``None`` if none was found, with the
        reason in `outcome`. A driver who enters with a phase lead and uses it up over eight cones
        can be 3 to 4 % faster, once.
    limited_by : str or None
        Constraint that limits the speed: ``"cone"``, ``"sideslip"``, ``"steering_rate"``,
        ``"steering_lock"``, ``"wheel_lift"`` or ``"power"``.
    driver : Driver or None
        Driver found for this car.
    run : SlalomRun or None
        The course driven by that driver from a straight approach. It does not change `speed`; if
        the car hits a cone, the outcome of the run names it.
    metrics : dict of str to float or None
        Metrics, SI; ``None`` for a metric that this search does not define.
    outcome, message : str
        Outcome of the search, by name and as a sentence.
    warning : str or None
        Warning of a rollover or of wheels that leave the road, in the rhythm or on the course;
        ``None`` without either.
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
        self.warning: str | None = warning_text(raw["warning"])
        if self.warning is None and self.run is not None:
            self.warning = self.run.warning

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

    def _notes(self) -> list[str]:
        return [note for note in (self.warning, CAUTION) if note]

    def __repr__(self) -> str:
        head = f"{self.car}, slalom: {self.message}"
        return text_page(head, self._rows(), (False, True, False), self._notes())

    def _repr_html_(self) -> str:
        head = f"{self.car}, slalom: {self.message}"
        return html_table(head, self._rows(), (False, True, False), " ".join(self._notes()))

    def plot(self) -> matplotlib.figure.Figure:
        """The default figure of the course driven.

        Raises
        ------
        ValueError
            If no course was driven.
        """
        if self.run is None:
            raise ValueError(f"no course was driven: {self.message}")
        return picture(self.run)


@dataclass(frozen=True)
class Slalom(Maneuver):
    """Slalom through cones in a straight line, passed on alternate sides, the first on its left.

    Parameters
    ----------
    cones : int
        Number of cones.
    spacing : float or str
        Distance between cones [m].
    clearance_reserve : float or str
        Required clearance of the rhythm at every cone [m].
    cone_radius : float or str
        Radius of the base of a cone [m].
    hand_rate : float or str
        Maximum angular rate of the steering wheel, approached smoothly [rad/s].
    neuromuscular_lag : float or str
        Time constant of the driver's muscles [s].
    steering_lock : float or str
        Maximum steering-wheel angle to either side, approached smoothly [rad].
    sideslip_guard : float or str
        Maximum sideslip angle allowed by the search [rad].
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].
    harmonics : int
        Number of odd harmonics of the periodic steering.
    step : float or str
        Maximum integration step [s].
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
        """Finds the highest speed that can be sustained in rhythm, then drives the course at it.

        The steering is optimized for this car.

        Raises
        ------
        CarError
            If the car cannot be assembled.
        """
        model = assembled(car)
        raw = _core.slalom(model, self.settings())
        return TopSpeed(self, car.name, raw, model.geometry)

    def run(self, car: AnyCar, speed: Quantity | None = None) -> SlalomRun:
        """Drives the course at a given speed [m/s]. Default: at the highest speed.

        The steering maximizes the smallest clearance of the rhythm at that speed.

        Raises
        ------
        CarError
            If the car cannot be assembled.
        SettingError
            If the speed is out of range.
        """
        model = assembled(car)
        at = None if speed is None else si(speed, "m/s")
        raw = _core.slalom(model, self.settings(), at)
        return SlalomRun(self, car.name, raw, model.geometry)
