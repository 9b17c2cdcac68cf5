"""Compiled core of axletree, used through the package ``axletree``.

Floats are SI values, angles in radians; axes after ISO 8855. The functions that take a `Model`
return plain dicts, which the package converts to its own types.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from os import PathLike
from typing import Any, Final, final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ._entries import Entries
from ._fault import Fault

__all__ = [
    "MOST_THREADS",
    "AxletreeError",
    "Car",
    "CarError",
    "CarFileError",
    "EquilibriumError",
    "Model",
    "SettingError",
    "TireError",
    "__version__",
    "channels",
    "check",
    "compare",
    "defaults",
    "examples",
    "fit_tire",
    "kinematics",
    "lanes",
    "linearize",
    "linkage_view",
    "measure",
    "metrics",
    "parse_quantity",
    "run",
    "slalom",
    "static_sheet",
    "steady_state",
    "sweep",
    "write_quantity",
]

__version__: Final[str]

#: Threads of one study, at most.
MOST_THREADS: Final[int]

class AxletreeError(Exception):
    """Base class of all errors that axletree raises."""

class CarError(AxletreeError):
    """The description of a car is invalid; all faults are reported together.

    Attributes
    ----------
    faults : list of Fault
        Faults, each with the ``path`` of the entry, ``value`` as written, ``unit``, ``allowed``
        (smallest, largest; in that unit), ``line`` in the file and ``message``; ``None`` for an
        unknown item.
    origin : str or None
        File path or bundled name of the car.
    """

    faults: list[Fault]
    origin: str | None

class CarFileError(CarError, OSError):
    """A car file cannot be read or written.

    ``errno`` is the error number of the operating system, where there is one.
    """

class SettingError(AxletreeError):
    """A setting of a maneuver or a study is invalid."""

class EquilibriumError(AxletreeError):
    """The car has no equilibrium in the requested condition."""

class TireError(AxletreeError):
    """The description of a tire, or the measured rows to fit, are invalid."""

@final
class Car:
    """Description of a car. Immutable; `edit` returns a changed copy.

    Two cars are equal if all their entries are.
    """

    @classmethod
    def load(cls, name_or_path: str | PathLike[str], /) -> Car:
        """Loads a bundled car by name (see `examples`), or a car file by path.

        A pipe is waited for, as in ``sheet <(command)`` on the command line.

        Raises
        ------
        CarFileError
            If the file cannot be read.
        CarError
            If the file is invalid, with all its faults.

        >>> Car.load("bramble-solid").name
        'Bramble, solid axle'
        """

    @classmethod
    def from_toml(cls, text: str, /, origin: str | None = None) -> Car:
        """Reads a car from the text of a car file; errors name it by `origin`.

        Raises
        ------
        CarError
            If the text is invalid, with all its faults.
        """

    def to_toml(self) -> str:
        """The text of the car file: every written entry, as it was written.

        Comments of the file that the car was loaded from are lost.
        """

    def save(self, path: str | PathLike[str], /) -> None:
        """Writes the car file, as `to_toml` gives it: without the comments of the old one.

        A file of that name is replaced as a whole: a save that fails or is interrupted leaves it
        as it was. Its permissions stay; of a symbolic link, the file behind it is replaced.

        Raises
        ------
        CarFileError
            If the file cannot be written; it is a `CarError` and an `OSError`.
        """

    @staticmethod
    def schema() -> dict[str, Any]:
        """JSON schema (draft 2020-12) of the car file, for editors."""

    @property
    def name(self) -> str:
        """The car's name."""

    @property
    def origin(self) -> str | None:
        """Source of the description: a file path or a bundled name; ``None`` for neither."""

    def __getitem__(self, path: str, /) -> float | str | None:
        """The SI value of the entry at a dotted path.

        Text for a choice, ``None`` for an absent entry.

        Raises
        ------
        CarError
            If the car has no entry at this path.

        >>> Car.load("bramble-solid")["rear.bar.outer_diameter"]
        0.022
        """

    def __contains__(self, path: object, /) -> bool:
        """Whether the car has an entry at a path."""

    def __iter__(self) -> Iterator[str]:
        """Iterates over the paths of all entries."""

    def __len__(self) -> int:
        """Number of entries."""

    def keys(self) -> list[str]:
        """Paths of all entries, in the order of `paths`.

        >>> "rear.bar.outer_diameter" in Car.load("bramble-solid").keys()
        True
        """

    def edit(self, changes: Mapping[str, Any], /) -> Car:
        """Returns a car with changed entries; this car is not changed.

        Parameters
        ----------
        changes : mapping of str to float, str, bool, pint quantity or None
            New values by dotted path: a float is an SI value, a string carries its unit or is a
            choice, ``None`` restores the default.

        Raises
        ------
        CarError
            If entries are unknown or out of range; all are reported.
        TypeError
            If the changes are no mapping, or a value is none of these types.
        ValueError
            If a number is too large for a float.

        >>> car = Car.load("bramble-solid").edit({"rear.bar.outer_diameter": "25 mm"})
        >>> car["rear.bar.outer_diameter"]
        0.025
        """

    def with_rear(self, other: Car, /) -> Car:
        """Returns this car with the complete rear end of another car.

        The rear end is linkage, springs, dampers, bar, brakes, tires, axle or subframe,
        differential and the sprung parts that belong to it. Mass, center of gravity, inertia and
        preloads are computed anew.
        """

    def paths(self) -> Entries:
        """Table of all editable entries: value, unit, allowed range, meaning."""

    def differences(self, other: Car, /) -> list[tuple[str, str | None, str | None, str]]:
        """Entries that differ from another car's: (path, value here, value there, meaning)."""

    def assemble(self) -> Model:
        """Computes the numbers of the equations of motion from the description."""

    def __eq__(self, other: object, /) -> bool: ...
    def __repr__(self) -> str: ...
    def __reduce__(self) -> tuple[Any, tuple[str, str | None]]: ...

@final
class Model:
    """Assembled car: the numbers of the equations of motion. Immutable."""

    @property
    def name(self) -> str:
        """The car's name."""

    @property
    def solid_rear(self) -> bool:
        """Whether the rear axle is solid."""

    @property
    def mass(self) -> float:
        """Mass of the car [kg]."""

    @property
    def geometry(self) -> dict[str, Any]:
        """Dimensions of the car [m].

        ``wheelbase``, ``track`` (front, rear), ``width``; distances from the center of mass to the
        front axle, ``front_axle``, and to the ends of the body, ``nose`` and ``tail``.
        """

    @property
    def state_names(self) -> list[str]:
        """Names of the 49 states."""

    def numbers(self) -> dict[str, float]:
        """The numbers of the equations by dotted path, SI."""

    def with_numbers(self, numbers: Mapping[str, float], /) -> Model:
        """Returns a car of the same topology with some numbers replaced.

        Raises
        ------
        KeyError
            If there is no number at a path.
        ValueError
            If a number is not finite.
        """

    def rolling_state(self, speed: float = 0.0) -> NDArray[np.float64]:
        """State at static ride height, rolling straight ahead at a speed [m/s]; shape (49,)."""

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
        """Time derivative of the state on a flat road; shape (49,).

        Parameters
        ----------
        state : array_like, shape (49,)
            State, in the order of `state_names`.
        steering_wheel, steering_wheel_rate : float
            Steering-wheel angle [rad, left positive] and its rate [rad/s].
        drive_torque : float
            Torque at the crown wheel in addition to that of the engine [N*m, forward positive].
        brake_torque : float
            Brake torque at all four wheels together [N*m, not negative].
        friction : float
            Friction of the surface, relative to the tires' reference surface [-].
        throttle : float
            Throttle opening, 0 to 1 [-].
        gear_ratio : float
            Ratio of engine speed to propeller-shaft speed [-].
        clutch : float
            Share of the capacity of the clutch, 0 to 1 [-].
        engine_on : float
            1 to simulate engine and clutch, 0 to hold them at rest without torque [-].

        Raises
        ------
        ValueError
            If the state does not have 49 values.
        """

    def __eq__(self, other: object, /) -> bool: ...
    def __repr__(self) -> str: ...
    def __reduce__(self) -> tuple[Any, tuple[Any, ...]]: ...

def examples() -> list[str]:
    """Names of the bundled cars, which are all invented.

    >>> "bramble-solid" in examples()
    True
    """

def parse_quantity(text: str, /) -> tuple[float, str]:
    """Parses a quantity into its SI value and SI unit.

    Raises
    ------
    ValueError
        If the text is not a number with a unit.

    >>> parse_quantity("24 mm")
    (0.024, 'm')
    """

def write_quantity(si: float, unit: str, /) -> str:
    """Formats an SI value in a given unit.

    Raises
    ------
    ValueError
        If the unit is unknown.

    >>> write_quantity(0.024, "mm")
    '24 mm'
    """

def static_sheet(model: Model) -> list[tuple[str, str, float, str]]:
    """Static sheet: a list of (key, unit, value, meaning).

    Raises
    ------
    EquilibriumError
        If the car has no steady state in a gentle corner at 20 m/s.
    """

def steady_state(
    model: Model,
    speed: float,
    lateral_acceleration: float,
    longitudinal_acceleration: float,
    friction: float,
) -> dict[str, Any]:
    """Steady state: ``state``, ``inputs``, ``quantities``, ``wheels``.

    Raises
    ------
    EquilibriumError
        If no such steady state exists.
    """

def linearize(
    model: Model,
    speed: float,
    lateral_acceleration: float,
    longitudinal_acceleration: float,
    friction: float,
) -> dict[str, Any]:
    """Linearization about a steady state: ``A``, ``B``, ``C``, ``D``, names with units, ``modes``.

    Raises
    ------
    EquilibriumError
        If no such steady state exists.
    """

def kinematics(car: Car, end: str) -> dict[str, Any]:
    """Kinematics of a linkage: figures, curves, compliance, binding."""

def linkage_view(car: Car, end: str, travel: float) -> dict[str, Any]:
    """Linkage at a travel [m]: lines to draw, contact, roll center, instant centers."""

def defaults(name: str) -> dict[str, Any]:
    """Default settings of a maneuver, SI."""

def lanes(course: str, width: float) -> list[tuple[float, float, float, float]]:
    """Lanes of a double lane change by car width [m]: (from, to, right edge, left edge) [m]."""

def metrics(name: str) -> list[dict[str, Any]]:
    """Metrics of a maneuver: name, unit, meaning, source, floor, missing."""

def channels() -> list[tuple[str, str, str, str]]:
    """All channels that a run can record: (name, unit, frame, meaning)."""

def check(name: str, given: Mapping[str, Any]) -> None:
    """Checks the settings of a maneuver.

    Raises
    ------
    SettingError
        If a setting is out of range.
    TypeError
        If a setting is unknown or has the wrong type.
    """

def measure(model: Model, name: str, given: Mapping[str, Any]) -> dict[str, Any]:
    """Runs a maneuver: ``outcome``, ``message``, ``warning``, ``time``, ``values``.

    Releases the interpreter lock; Ctrl-C stops it.
    """

def run(model: Model, name: str, given: Mapping[str, Any]) -> dict[str, Any]:
    """Runs a maneuver and records it: as `measure`, with ``channels``, ``columns``, ``samples``."""

def slalom(model: Model, given: Mapping[str, Any], speed: float | None = None) -> dict[str, Any]:
    """Finds the fastest rhythm through a slalom, or that of largest clearance at a speed [m/s].

    Includes the course driven with it. Releases the interpreter lock; Ctrl-C stops it.
    """

def sweep(
    car: Car,
    vary: Sequence[tuple[str, Sequence[Any]]],
    design: str,
    asked: Sequence[tuple[str, Mapping[str, Any]]],
    progress: Callable[[float], Any] | None,
    threads: int | None,
) -> dict[str, Any]:
    """Sweeps entries of a car: ``settings``, ``sizes``, ``columns``.

    By row ``points``, ``values`` and ``faults``; by maneuver ``outcomes`` and ``warnings``.
    Releases the interpreter lock; Ctrl-C stops it.
    """

def compare(
    cars: Sequence[tuple[str, Car | tuple[Car, dict[str, Any]]]],
    asked: Sequence[tuple[str, Mapping[str, Any]]],
    progress: Callable[[float], Any] | None,
    threads: int | None,
) -> dict[str, Any]:
    """Compares cars: ``names``, ``columns``, ``values``, ``outcomes`` by maneuver, ``faults``.

    Also ``warnings`` by maneuver and car.
    Releases the interpreter lock; Ctrl-C stops it.
    """

def fit_tire(
    load: NDArray[np.float64],
    slip_angle: NDArray[np.float64],
    slip_ratio: NDArray[np.float64],
    camber: NDArray[np.float64],
    pressure: NDArray[np.float64],
    fx: NDArray[np.float64] | None,
    fy: NDArray[np.float64] | None,
    mz: NDArray[np.float64] | None,
    unloaded_radius: float,
    nominal_load: float,
) -> dict[str, Any]:
    """Fits a tire to measured rows: ``fitted``, ``residuals``, ``notes``.

    Raises
    ------
    TireError
        If there are too few rows, or rows that are not finite or out of a tire's range.
    """
