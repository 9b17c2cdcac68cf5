"""Sweeps and comparisons."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Union

from . import _core
from .maneuvers import Maneuver
from .tables import Comparison, Sweep
from .units import Quantity, needs, si, text_of

#: ``True`` draws a bar, a function is called with the share that is done, from 0 to 1.
Progress = Union[bool, Callable[[float], Any]]


def span(start: Quantity, stop: Quantity, count: int) -> list[float]:
    """`count` evenly spaced SI values from `start` to `stop`, both included.

    >>> [round(x, 6) for x in span("16 mm", "28 mm", 4)]
    [0.016, 0.02, 0.024, 0.028]
    """
    if count < 1:
        raise ValueError(f"a span has at least one value, got count = {count}")
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
    """A progress bar, or whatever was asked for in its place."""

    def __init__(self, progress: Progress, rows: int) -> None:
        self.rows = rows
        self.call = progress if callable(progress) else None
        self.bar: Any = None
        if progress is True:
            self.bar = needs("progress", "tqdm.auto").tqdm(total=rows, unit="car")

    def __enter__(self) -> Callable[[float], None] | None:
        if self.bar is None and self.call is None:
            return None
        return self.tell

    def tell(self, share: float) -> None:
        if self.call is not None:
            self.call(share)
        elif self.bar is not None:
            self.bar.update(round(share * self.rows) - self.bar.n)

    def __exit__(self, *_: object) -> None:
        if self.bar is not None:
            self.bar.close()


def _threads(threads: int | None) -> int | None:
    if threads is not None and threads < 1:
        raise ValueError(f"a study needs at least one thread, got threads = {threads}")
    return threads


def _asked(maneuvers: Maneuver | Iterable[Maneuver]) -> list[tuple[str, dict[str, Any]]]:
    all_ = [maneuvers] if isinstance(maneuvers, Maneuver) else list(maneuvers)
    for one in all_:
        if not isinstance(one, Maneuver):
            raise TypeError(f"expected maneuvers such as StepSteer(), got {one!r}")
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
    vary : mapping of str to iterable
        Dotted path to the values it takes: floats (SI), strings with units, choices; see `span`.
    maneuvers : Maneuver or sequence of Maneuver
        What each car is driven through.
    design : str
        ``"grid"``: every value with every other, the last entry fastest. ``"one_at_a_time"``: one entry after
        the other, the rest as the car has it.
    progress : bool or callable
        Draw a bar (needs tqdm), or call a function with the share that is done, some rows at a time.
    threads : int, optional
        As many as the machine has cores where not given. The results do not depend on it.

    Returns
    -------
    Sweep
        Rows in the order of the combinations. A car that cannot be built, or a run that ends early, keeps its
        row with its outcome; `faults` says why a car could not be built.

    Raises
    ------
    CarError
        For a path that does not exist.
    SettingError
        For a maneuver whose settings make no sense.
    """
    if not isinstance(car, _core.Car):
        raise TypeError(f"expected a Car, got {type(car).__name__} {car!r}")
    for path, values in vary.items():
        if isinstance(values, str):
            raise TypeError(f"{path} needs a list of values, got {values!r}")
    wanted = [(path, [text_of(value) for value in values]) for path, values in vary.items()]
    sizes = [len(values) for _, values in wanted]
    rows = sum(sizes)
    if design == "grid":
        rows = 1
        for size in sizes:
            rows *= size
    with _Bar(progress, rows) as tell:
        raw = _core.sweep(car, wanted, design, _asked(maneuvers), tell, _threads(threads))
    return Sweep(raw, design)


def compare(
    cars: Mapping[str, _core.Car],
    maneuvers: Maneuver | Sequence[Maneuver],
    *,
    progress: Progress = False,
    threads: int | None = None,
) -> Comparison:
    """Drives several cars through the same maneuvers and puts what they did side by side.

    Parameters
    ----------
    cars : mapping of str to Car
        Names of the columns and the cars.
    maneuvers : Maneuver or sequence of Maneuver
    progress, threads
        As for `sweep`.

    Raises
    ------
    CarError
        Where a car cannot be built.
    SettingError
        For a maneuver whose settings make no sense.
    """
    for name, car in cars.items():
        if not isinstance(car, _core.Car):
            raise TypeError(f"expected a Car for {name!r}, got {type(car).__name__} {car!r}")
    with _Bar(progress, len(cars)) as tell:
        raw = _core.compare(list(cars.items()), _asked(maneuvers), tell, _threads(threads))
    return Comparison(
        raw["names"], raw["columns"], raw["values"], dict(zip(raw["maneuvers"], raw["outcomes"]))
    )
