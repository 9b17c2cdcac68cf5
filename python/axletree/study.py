"""Sweeps and comparisons."""

from __future__ import annotations

import math
import reprlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from . import _core
from ._optional import needs
from .equilibrium import static_sheet
from .maneuvers import Maneuver
from .tables import Comparison, Sweep
from .units import Quantity, si, text_of

#: Progress report: ``True`` draws a bar, a function is called with the completed share, 0 to 1.
Progress = bool | Callable[[float], Any]


def span(start: Quantity, stop: Quantity, count: int) -> list[float]:
    """Evenly spaced SI values from `start` to `stop`, both included.

    >>> [round(x, 6) for x in span("16 mm", "28 mm", 4)]
    [0.016, 0.02, 0.024, 0.028]
    """
    if count < 1:
        raise ValueError(f"count is {count}; a span has at least 1 value")
    start, stop = text_of(start), text_of(stop)
    if isinstance(start, str):
        unit = _core.parse_quantity(start)[1]
        first, last = si(start), si(stop, unit)
    else:
        first, last = si(start), si(stop)
    if count == 1:
        return [first]
    step = (last - first) / (count - 1)
    return [first + i * step for i in range(count - 1)] + [last]


def kind_of(value: object) -> str:
    """The type of a value and the value, cut short."""
    return f"{type(value).__name__} {reprlib.repr(value)}"


class _Bar:
    """Progress report by a bar, by a callback, or not at all."""

    def __init__(self, progress: Progress, rows: int) -> None:
        self.rows = rows
        self.call = progress if callable(progress) else None
        self.bar: Any = None
        if progress is True:
            self.bar = needs("progress", "tqdm.auto").tqdm(total=rows, unit="car")

    def __enter__(self) -> Callable[[float], None] | None:
        if self.bar is None and self.call is None:
            return None
        return self.report

    def report(self, share: float) -> None:
        if self.call is not None:
            self.call(share)
        elif self.bar is not None:
            self.bar.update(round(share * self.rows) - self.bar.n)

    def __exit__(self, *_: object) -> None:
        if self.bar is not None:
            self.bar.close()


def _threads(threads: int | None) -> int | None:
    if threads is not None and not 1 <= threads <= _core.MOST_THREADS:
        raise ValueError(f"threads is {threads}; a study takes 1 to {_core.MOST_THREADS} threads")
    return threads


def _requested(maneuvers: Maneuver | Iterable[Maneuver]) -> list[tuple[str, dict[str, Any]]]:
    """Names and settings of the maneuvers of a study."""
    single = isinstance(maneuvers, Maneuver) or not isinstance(maneuvers, Iterable)
    all_: list[Any] = [maneuvers] if single else list(maneuvers)  # type: ignore[arg-type]
    for one in all_:
        if not isinstance(one, Maneuver):
            raise TypeError(f"expected maneuvers, such as axt.StepSteer(), got {kind_of(one)}")
    return [(one.name, one.settings()) for one in all_]


def _values(path: Any, values: Iterable[Any]) -> list[Any]:
    """The values of one entry to vary."""
    if not isinstance(path, str):
        raise TypeError(f"expected the path of an entry, got {kind_of(path)}")
    if isinstance(values, str) or not isinstance(values, Iterable):
        raise TypeError(f"expected a list of values for {path}, got {kind_of(values)}")
    return [text_of(value) for value in values]


def sweep(
    car: _core.Car,
    vary: Mapping[str, Iterable[Any]],
    maneuvers: Maneuver | Sequence[Maneuver],
    *,
    design: str = "grid",
    progress: Progress = False,
    threads: int | None = None,
) -> Sweep:
    """Sweeps entries of a car.

    Parameters
    ----------
    car : Car
        Description of the car to vary.
    vary : mapping of str to iterable
        Values of each entry, by dotted path: floats (SI), strings with units, choices; see `span`.
    maneuvers : Maneuver or sequence of Maneuver
        Maneuvers that each car is driven through.
    design : str
        ``"grid"``: all combinations of the values, the last entry varying fastest.
        ``"one_at_a_time"``: the car itself, then one entry varied at a time, the others at the
        car's own values.
    progress : bool or callable
        Draw a progress bar (needs tqdm), or call a function with the completed share, 0 to 1.
    threads : int, optional
        Number of threads, 1 to 1024; no more are started than there are rows. Default: the number
        of cores. The results do not depend on it.

    Returns
    -------
    Sweep
        Rows in the order of the combinations. A car that cannot be assembled, or a run that ends
        early, keeps its row with its outcome; `faults` gives the reason why a car could not be
        assembled.

    Raises
    ------
    CarError
        If the car has no entry at a path.
    SettingError
        If there is nothing to vary, or no maneuver, or the same maneuver twice, or more than a
        million rows.
    TypeError
        If an argument or a value is of the wrong kind.
    ValueError
        If `design` or `threads` is none of those allowed.
    """
    if not isinstance(car, _core.Car):
        raise TypeError(f"expected a Car, got {type(car).__name__} {car!r}")
    if not isinstance(vary, Mapping):
        raise TypeError(f"expected values by path, such as {{path: [..]}}, got {kind_of(vary)}")
    wanted = [(path, _values(path, values)) for path, values in vary.items()]
    sizes = [len(values) for _, values in wanted]
    rows = math.prod(sizes) if design == "grid" else 1 + sum(sizes)
    with _Bar(progress, rows) as report:
        raw = _core.sweep(car, wanted, design, _requested(maneuvers), report, _threads(threads))
    return Sweep(raw, design)


#: A car of a comparison: a car, or a car with changes to its entries.
Compared = _core.Car | tuple[_core.Car, Mapping[str, Any]]


def _compared(name: str, car: Compared) -> _core.Car | tuple[_core.Car, dict[str, Any]]:
    """A car of a comparison as the core takes it."""
    base, changes = car if isinstance(car, tuple) and len(car) == 2 else (car, None)
    if not isinstance(base, _core.Car):
        raise TypeError(f"expected a Car for {name!r}, got {type(car).__name__} {car!r}")
    if changes is None:
        return base
    if not isinstance(changes, Mapping):
        raise TypeError(
            f"expected changes by path for {name!r}, got {type(changes).__name__} {changes!r}"
        )
    return base, {path: text_of(value) for path, value in changes.items()}


#: Entries that say of which kind a rear end is.
REAR_KIND = ("rear.type", "rear.links.type", "rear.lateral.type")


def _front_shares(
    compared: list[_core.Car | tuple[_core.Car, dict[str, Any]]],
) -> list[float | None] | None:
    """Front share of roll stiffness of each car, if the kinds of their rear ends differ [-].

    ``None`` for a car that cannot be built or has no static sheet.
    """
    cars: list[_core.Car | None] = []
    for one in compared:
        if not isinstance(one, tuple):
            cars.append(one)
            continue
        base, changes = one
        try:
            cars.append(base.edit(changes))
        except _core.CarError:
            cars.append(None)
    kinds = {tuple(map(_kind(car), REAR_KIND)) for car in cars if car is not None}
    if len(kinds) < 2:
        return None
    return [None if car is None else _front_share(car) for car in cars]


def _kind(car: _core.Car) -> Callable[[str], Any]:
    """The value of an entry of a car; ``None`` where the car has no such entry."""
    known = set(car.keys())
    return lambda path: car[path] if path in known else None


def _front_share(car: _core.Car) -> float | None:
    try:
        return static_sheet(car)["roll_stiffness_front_share"]
    except (_core.CarError, _core.EquilibriumError):
        return None


def compare(
    cars: Mapping[str, Compared],
    maneuvers: Maneuver | Sequence[Maneuver],
    *,
    progress: Progress = False,
    threads: int | None = None,
) -> Comparison:
    """Compares cars in the same maneuvers.

    Parameters
    ----------
    cars : mapping of str to Car or (Car, changes)
        Cars, by the name of their column. With a pair, the car is ``car.edit(changes)``.
    maneuvers : Maneuver or sequence of Maneuver
        Maneuvers that each car is driven through.
    progress, threads
        As for `sweep`.

    Returns
    -------
    Comparison
        One column per car, in the order given. A car whose changes cannot be built keeps its
        column, with the outcome ``"not_built"``; `faults` gives the reason.

    Raises
    ------
    SettingError
        If there is no car, or no maneuver, or the same maneuver twice.
    TypeError
        If an argument is of the wrong kind.
    """
    if not isinstance(cars, Mapping):
        raise TypeError(f"expected cars by name, such as {{name: car}}, got {kind_of(cars)}")
    if wrong := [name for name in cars if not isinstance(name, str)]:
        raise TypeError(f"expected the name of a car, got {kind_of(wrong[0])}")
    compared = [(name, _compared(name, car)) for name, car in cars.items()]
    with _Bar(progress, len(cars)) as report:
        raw = _core.compare(compared, _requested(maneuvers), report, _threads(threads))
    return Comparison(
        raw["names"],
        raw["columns"],
        raw["values"],
        raw["outcomes"],
        raw["faults"],
        raw["warnings"],
        _front_shares([car for _, car in compared]),
    )
