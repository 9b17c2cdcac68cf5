"""The compiled core of axletree: conversions, errors, signals; no physics.

Floats are SI, angles in radians; axes after ISO 8855. People use the package ``axletree``; the functions here
that take a `Model` return plain dicts, which the package dresses.
"""

from collections.abc import Callable, Mapping, Sequence
from os import PathLike
from typing import Any, Final, final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ._fault import Fault
from .tables import Entries

__all__ = [
    "__version__",
    "AxletreeError",
    "CarError",
    "SettingError",
    "EquilibriumError",
    "TireError",
    "Car",
    "Model",
    "examples",
    "parse_quantity",
    "write_quantity",
    "static_sheet",
    "steady_state",
    "linearize",
    "lanes",
    "kinematics",
    "defaults",
    "metrics",
    "channels",
    "check",
    "measure",
    "run",
    "slalom",
    "sweep",
    "compare",
    "fit_tire",
]

__version__: Final[str]

class AxletreeError(Exception):
    """Root of the errors of axletree."""

class CarError(AxletreeError):
    """A car's description is at fault; every fault is reported together.

    Attributes
    ----------
    faults : list of Fault
        One a fault: ``path`` of the entry, ``value`` as written, ``unit`` and ``allowed`` (least, most; in that
        unit), ``line`` in the file, ``message``. What is not known is ``None``.
    origin : str or None
        The file or bundled name.
    """

    faults: list[Fault]
    origin: str | None

class SettingError(AxletreeError):
    """The settings of a maneuver or a study make no sense."""

class EquilibriumError(AxletreeError):
    """The car has no equilibrium at what was asked."""

class TireError(AxletreeError):
    """A tire's description or measured rows are at fault."""

@final
class Car:
    """A car's description. Immutable; `edit` makes a new one. Two cars are equal if every entry is."""

    @classmethod
    def load(cls, name_or_path: str | PathLike[str], /) -> Car:
        """Loads a bundled car by name (see `examples`), or a car file by path.

        Raises
        ------
        CarError
            With every fault of the file.

        >>> Car.load("bramble-solid").name
        'Bramble, solid axle'
        """

    @classmethod
    def from_toml(cls, text: str, /, origin: str | None = None) -> Car:
        """Reads a car from the text of a car file; `origin` names it in faults.

        Raises
        ------
        CarError
            With every fault of the text.
        """

    def to_toml(self) -> str:
        """The text of the car file."""

    def save(self, path: str | PathLike[str], /) -> None:
        """Writes the car file."""

    @staticmethod
    def schema() -> dict[str, Any]:
        """JSON schema (draft 2020-12) of the car file, for editors."""

    @property
    def name(self) -> str:
        """The car's name."""

    @property
    def origin(self) -> str | None:
        """Where the description came from: a file or a bundled name; ``None`` for neither."""

    def __getitem__(self, path: str, /) -> float | str | None:
        """The SI value of one entry by its dotted path; a text for choices, ``None`` for an absent one.

        >>> Car.load("bramble-solid")["rear.bar.outer_diameter"]
        0.022
        """

    def edit(self, changes: Mapping[str, Any], /) -> Car:
        """A new car with entries changed; this one stays as it is.

        Parameters
        ----------
        changes : dict of str to float, str, bool, pint quantity or None
            Dotted path to the new value: a float is SI, a string carries its unit or is a choice, ``None``
            returns the entry to its default.

        Raises
        ------
        CarError
            With every wrong entry.
        TypeError
            For a value of a kind that no entry has.

        >>> Car.load("bramble-solid").edit({"front.tire.pressure": "34 psi"})["front.tire.pressure"] > 234e3
        True
        """

    def with_rear(self, other: Car, /) -> Car:
        """This car on another car's rear end, all of it: linkage, springs, dampers, bar, brakes, tires, axle or
        subframe, differential and the sprung parts that belong to it. Mass, center of gravity, inertia and
        preloads follow."""

    def paths(self) -> Entries:
        """Every editable entry with its value, unit, allowed range and meaning."""

    def differences(self, other: Car, /) -> list[tuple[str, str | None, str | None, str]]:
        """What differs from another car: (path, here, there, meaning)."""

    def assemble(self) -> Model:
        """The car as numbers, ready for the equations."""

    def __eq__(self, other: object, /) -> bool: ...
    def __repr__(self) -> str: ...
    def __reduce__(self) -> tuple[Any, tuple[str, str | None]]: ...

@final
class Model:
    """A car as numbers, ready for the equations. Immutable."""

    @property
    def name(self) -> str:
        """The car's name."""

    @property
    def solid_rear(self) -> bool:
        """Whether the rear end is a solid axle."""

    @property
    def mass(self) -> float:
        """Mass of the whole car [kg]."""

    @property
    def geometry(self) -> dict[str, Any]:
        """Outer measures from the center of mass: ``wheelbase``, ``front_axle``, ``track`` (front, rear),
        ``width``, ``nose``, ``tail`` [m]."""

    @property
    def state_names(self) -> list[str]:
        """Names of the 49 states."""

    def numbers(self) -> dict[str, float]:
        """Every number of the equations by its dotted path, SI."""

    def with_numbers(self, numbers: Mapping[str, float], /) -> Model:
        """The same topology with numbers replaced.

        Raises
        ------
        KeyError
            For a path that does not exist.
        ValueError
            For a number that is not finite.
        """

    def rolling_state(self, speed: float = 0.0) -> NDArray[np.float64]:
        """The car as it stands at rest, rolling straight ahead at a speed [m/s]; shape (49,)."""

    def derivative(
        self,
        state: ArrayLike,
        /,
        steering_wheel: float = 0.0,
        steering_wheel_rate: float = 0.0,
        drive_torque: float = 0.0,
        brake_torque: float = 0.0,
        friction: float = 1.0,
        throttle: float = 0.0,
        gear_ratio: float = 1.0,
        clutch: float = 0.0,
        engine_on: float = 0.0,
    ) -> NDArray[np.float64]:
        """The rate of the state on a flat road; shape (49,).

        Parameters
        ----------
        state : array_like, shape (49,)
            In the order of `state_names`.
        steering_wheel, steering_wheel_rate : float
            Angle of the steering wheel [rad, left positive] and its rate [rad/s].
        drive_torque : float
            Given to the crown wheel besides the engine's [N m, forward positive].
        brake_torque : float
            At all four wheels together [N m, never negative].
        friction : float
            Of the surface, relative to the tires' reference [-].
        throttle : float
            From 0 to 1 [-].
        gear_ratio : float
            Engine speed over propeller-shaft speed [-].
        clutch : float
            Share of the clutch's capacity, from 0 to 1 [-].
        engine_on : float
            1 where engine and clutch are simulated, 0 where they rest and pass no torque [-].

        Raises
        ------
        ValueError
            For a state of another length.
        """

    def __eq__(self, other: object, /) -> bool: ...
    def __repr__(self) -> str: ...
    def __reduce__(self) -> tuple[Any, tuple[Any, ...]]: ...

def examples() -> list[str]:
    """Names of the bundled cars, all of them invented.

    >>> "bramble-solid" in examples()
    True
    """

def parse_quantity(text: str, /) -> tuple[float, str]:
    """A quantity's SI value and SI unit.

    Raises
    ------
    ValueError
        For what is no quantity.

    >>> parse_quantity("24 mm")
    (0.024, 'm')
    """

def write_quantity(si: float, unit: str, /) -> str:
    """An SI value written in a unit.

    Raises
    ------
    ValueError
        For what is no unit.

    >>> write_quantity(0.024, "mm")
    '24 mm'
    """

def static_sheet(model: Model) -> list[tuple[str, str, float, str]]:
    """The static sheet: (key, unit, value, meaning).

    Raises
    ------
    EquilibriumError
        Where the car cannot corner gently at 20 m/s.
    """

def steady_state(
    model: Model,
    speed: float,
    lateral_acceleration: float,
    longitudinal_acceleration: float,
    friction: float,
) -> dict[str, Any]:
    """An equilibrium: ``state``, ``inputs``, ``quantities``, ``wheels``.

    Raises
    ------
    EquilibriumError
        Where there is none.
    """

def linearize(
    model: Model,
    speed: float,
    lateral_acceleration: float,
    longitudinal_acceleration: float,
    friction: float,
) -> dict[str, Any]:
    """The linearization about an equilibrium: ``A``, ``B``, ``C``, ``D``, names with units, ``modes``.

    Raises
    ------
    EquilibriumError
        Where there is no equilibrium.
    """

def kinematics(car: Car, end: str) -> dict[str, Any]:
    """The linkage of one end of a car: figures, curves, compliance, binding, lines for drawing."""

def defaults(name: str) -> dict[str, Any]:
    """Settings of a maneuver with their default values, SI."""

def lanes(course: str, width: float) -> list[tuple[float, float, float, float]]:
    """Lanes of a double lane change for a car of a width [m]: (from, to, right edge, left edge) [m]."""

def metrics(name: str) -> list[dict[str, Any]]:
    """Metrics of a maneuver: name, unit, meaning, source, floor."""

def channels() -> list[tuple[str, str, str, str]]:
    """Every channel that a run can record: (name, unit, frame, meaning)."""

def check(name: str, given: Mapping[str, Any]) -> None:
    """Checks the settings of a maneuver.

    Raises
    ------
    SettingError
        For a setting outside its range.
    TypeError
        For one that does not exist or has the wrong kind.
    """

def measure(model: Model, name: str, given: Mapping[str, Any]) -> dict[str, Any]:
    """Drives a car and measures: ``outcome``, ``message``, ``time``, ``values``. Without the interpreter lock;
    stops for Ctrl-C."""

def run(model: Model, name: str, given: Mapping[str, Any]) -> dict[str, Any]:
    """The same with ``channels``, ``columns`` and their times, ``samples``."""

def slalom(model: Model, given: Mapping[str, Any], speed: float | None = None) -> dict[str, Any]:
    """The fastest rhythm of a car through a slalom, or the best one at a speed [m/s], with the course driven
    after it. Without the interpreter lock; stops for Ctrl-C."""

def sweep(
    car: Car,
    vary: Sequence[tuple[str, Sequence[Any]]],
    design: str,
    asked: Sequence[tuple[str, Mapping[str, Any]]],
    progress: Callable[[float], Any] | None,
    threads: int | None,
) -> dict[str, Any]:
    """A sweep: ``settings``, ``sizes``, ``maneuvers``, ``columns``, ``rows``. Without the interpreter lock; stops
    for Ctrl-C."""

def compare(
    cars: Sequence[tuple[str, Car]],
    asked: Sequence[tuple[str, Mapping[str, Any]]],
    progress: Callable[[float], Any] | None,
    threads: int | None,
) -> dict[str, Any]:
    """A comparison: ``names``, ``maneuvers``, ``columns``, ``values``, ``outcomes``. Without the interpreter lock;
    stops for Ctrl-C."""

def fit_tire(
    load: Sequence[float],
    slip_angle: Sequence[float],
    slip_ratio: Sequence[float],
    camber: Sequence[float],
    pressure: Sequence[float],
    fx: Sequence[float] | None,
    fy: Sequence[float] | None,
    mz: Sequence[float] | None,
    unloaded_radius: float,
    nominal_load: float,
) -> dict[str, Any]:
    """Fits a tire to measured rows: ``fitted``, ``residuals``, ``notes``.

    Raises
    ------
    TireError
        For rows that cannot be a tire's, or are too few.
    """
