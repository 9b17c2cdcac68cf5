"""Sweeps and comparisons."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from . import _core
from ._optional import needs
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
    all_ = [maneuvers] if isinstance(maneuvers, Maneuver) else list(maneuvers)
    for one in all_:
        if not isinstance(one, Maneuver):
            raise TypeError(f"expected maneuvers, such as axt.StepSteer(), got {one!r}")
    return [(one.name, one.settings()) for one in all_]


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
        ``"one_at_a_time"``: one entry varied at a time, the others at the car's own values.
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
    ValueError
        If the number of threads or the design is not allowed.
    """
    if not isinstance(car, _core.Car):
        raise TypeError(f"expected a Car, got {type(car).__name__} {car!r}")
    for path, values in vary.items():
        if isinstance(values, str):
            raise TypeError(f"expected a list of values for {path}, got the string {values!r}")
    wanted = [(path, [text_of(value) for value in values]) for path, values in vary.items()]
    sizes = [len(values) for _, values in wanted]
    rows = sum(sizes)
    if design == "grid":
        rows = 1
        for size in sizes:
            rows *= size
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
    """
    compared = [(name, _compared(name, car)) for name, car in cars.items()]
    with _Bar(progress, len(cars)) as report:
        raw = _core.compare(compared, _requested(maneuvers), report, _threads(threads))
    return Comparison(
        raw["names"], raw["columns"], raw["values"], raw["outcomes"], raw["faults"]
    )
