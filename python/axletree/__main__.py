"""Command line: ``python -m axletree`` with ``sheet``, ``compare`` or ``sweep``.

Without arguments it compares the two main bundled cars.
"""

from __future__ import annotations

import argparse
import csv
import io
import os
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, TextIO

import axletree as axt

from ._core import parse_quantity
from .tables import Comparison, Sweep, free_name

MANEUVERS = {
    kind.name: kind
    for kind in (
        axt.Slalom,
        axt.StepSteer,
        axt.Circle,
        axt.FrequencyResponse,
        axt.SineWithDwell,
        axt.BrakingInATurn,
        axt.LiftOffInATurn,
        axt.BumpInACorner,
        axt.RoughCorner,
        axt.DoubleLaneChange,
        axt.AccelerationEnvelope,
        axt.CornerExit,
        axt.Launch,
    )
}

#: Default maneuvers.
DEFAULT_MANEUVERS = ["slalom", "step_steer", "circle"]


def _maneuvers(names: Sequence[str]) -> list[axt.Maneuver]:
    return [MANEUVERS[name]() for name in names]


def _cars(paths: Sequence[str]) -> dict[str, axt.Car]:
    """Cars by the name of their file, or by its path where two files have the same name."""
    cars: dict[str, axt.Car] = {}
    for i, path in enumerate(paths):
        if path in paths[:i]:
            raise ValueError(f"the car {path} is given twice")
        name = Path(path).stem
        cars[name if name not in cars else path] = axt.Car.load(path)
    return cars


class Results:
    """Files of a table, written before anything is printed.

    The folder is made and tried before a car is driven.
    """

    def __init__(self, folder: str, name: str) -> None:
        self.folder = Path(folder)
        self.table = self.folder / f"{name}.csv"
        self.picture = self.folder / f"{name}.png"
        self.notes: list[str] = []
        self.folder.mkdir(parents=True, exist_ok=True)
        for path in (self.table, self.picture):
            # Opening for appending tells whether the file can be written, and leaves it as it is.
            existed = path.exists()
            path.open("a").close()
            if not existed:
                path.unlink()

    def write_table(self, rows: Iterable[Iterable[Any]]) -> None:
        """Writes the table as CSV."""
        self._note(self.table)
        with self.table.open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows(rows)

    def draw(self, plot: Callable[[], Any]) -> None:
        """Draws and writes the figure, if matplotlib is installed."""
        try:
            figure = plot()
        except ImportError as error:
            self.notes.append(str(error))
            return
        self._note(self.picture)
        figure.savefig(self.picture)

    def _note(self, path: Path) -> None:
        self.notes.append(f"{'replaced' if path.exists() else 'wrote'} {path}")


def _comparison_rows(table: Comparison) -> Iterator[list[Any]]:
    heads = [free_name(head, table.names) for head in ("metric", "unit")]
    yield [*heads, *table.names]
    for maneuver, endings in table.outcomes.items():
        yield [f"{maneuver}.outcome", "", *(name for name, _, _ in endings)]
    if any(fault is not None for fault in table.faults):
        yield ["fault", "", *(fault or "" for fault in table.faults)]
    for metric, values in zip(table.metrics, table.values, strict=True):
        yield [metric["key"], metric["unit"], *map(float, values)]


def _sweep_rows(table: Sweep) -> Iterator[list[Any]]:
    faults = any(fault is not None for fault in table.faults)
    head = [f"{p} [{u}]" if u else p for p, u, _ in table.settings]
    head += [f"{m}.outcome" for m in table.outcomes]
    head += [f"{m['key']} [{m['unit']}]" for m in table.metrics]
    yield [*head, "fault"] if faults else head
    for i, point in enumerate(table.points):
        outcomes = [endings[i][0] for endings in table.outcomes.values()]
        row = [*point, *outcomes, *map(float, table.values[i])]
        yield [*row, table.faults[i] or ""] if faults else row


def sheet(arguments: argparse.Namespace) -> int:
    """Prints the static sheet of each car."""
    for car in _cars(arguments.cars).values():
        print(axt.static_sheet(car))
        print()
    return 0


def compare(arguments: argparse.Namespace) -> int:
    """Compares cars; writes a figure and a CSV file and prints the table."""
    cars = _cars(arguments.cars)
    results = Results(arguments.out, "comparison")
    table = axt.compare(cars, _maneuvers(arguments.maneuvers))
    results.write_table(_comparison_rows(table))
    results.draw(table.plot)
    print(table, *results.notes, sep="\n")
    return 0


def _span(car: axt.Car, path: str, start: str, stop: str, count: int) -> list[float]:
    """Values of an entry from `start` to `stop`, in the entry's unit."""
    entry = next((entry for entry in car.paths() if entry["path"] == path), None)
    if entry is not None and entry["allowed"] is None:
        raise ValueError(f"{path} is not a number; a sweep needs one")
    # An unknown path is a fault of the sweep, which names the paths that are near.
    unit = None if entry is None else parse_quantity(f"1 {entry['unit']}")[1]
    try:
        first, last = axt.si(start, unit), axt.si(stop, unit)
    except ValueError as error:
        raise ValueError(f"{path}: {error}") from None
    return axt.span(first, last, count)


def sweep(arguments: argparse.Namespace) -> int:
    """Sweeps one entry of a car; writes a figure and a CSV file and prints the table."""
    car = axt.Car.load(arguments.car)
    values = _span(car, arguments.path, arguments.start, arguments.stop, arguments.count)
    maneuvers = _maneuvers(arguments.maneuvers)
    known = [f"{m.name}.{metric['name']}" for m in maneuvers for metric in m.metrics()]
    key = arguments.plot or known[0]
    if key not in known:
        raise ValueError(f"unknown metric {key}; metrics of these maneuvers are {', '.join(known)}")
    results = Results(arguments.out, "sweep")
    table = axt.sweep(car, {arguments.path: values}, maneuvers)
    if all(fault is not None for fault in table.faults):
        reasons = "\n".join(dict.fromkeys(str(fault) for fault in table.faults))
        raise ValueError(f"no car of the sweep could be built:\n{reasons}")
    results.write_table(_sweep_rows(table))
    results.draw(lambda: table.plot(key))
    print(table, *results.notes, sep="\n")
    return 0


def parser() -> argparse.ArgumentParser:
    """Parser of the command line."""
    top = argparse.ArgumentParser(prog="python -m axletree", description=axt.__doc__.split("\n")[0])
    commands = top.add_subparsers(dest="command")

    one = commands.add_parser("sheet", help="print the static sheet of cars")
    one.add_argument("cars", nargs="+", help="bundled names or car files")
    one.set_defaults(call=sheet)

    def maneuvers(to: argparse.ArgumentParser) -> None:
        to.add_argument(
            "-m",
            "--maneuvers",
            nargs="+",
            choices=list(MANEUVERS),
            default=DEFAULT_MANEUVERS,
            help=f"maneuvers to run (default: {' '.join(DEFAULT_MANEUVERS)})",
        )
        to.add_argument(
            "-o",
            "--out",
            default=".",
            help="folder for the figure and the CSV file (default: current)",
        )

    two = commands.add_parser("compare", help="compare cars in maneuvers")
    two.add_argument("cars", nargs="+", help="bundled names or car files")
    maneuvers(two)
    two.set_defaults(call=compare)

    three = commands.add_parser("sweep", help="vary one entry of a car")
    three.add_argument("car", help="bundled name or car file")
    three.add_argument("path", help="path of the entry, such as rear.bar.outer_diameter")
    three.add_argument("start", type=str.strip, help='first value, such as "16 mm"')
    three.add_argument("stop", type=str.strip, help='last value, such as "28 mm"')
    three.add_argument("count", type=int, help="number of values")
    three.add_argument(
        "--plot", help="metric of the figure, such as slalom.top_speed (default: the first)"
    )
    maneuvers(three)
    three.set_defaults(call=sweep)
    return top


#: Exit status of a command that Ctrl-C ended: 128 and the number of the signal, common practice.
INTERRUPTED = 130


def _tolerant(*streams: TextIO) -> None:
    """Makes streams write a question mark for a letter that their encoding lacks."""
    for stream in streams:
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def main(argv: Sequence[str] | None = None) -> int:
    """Runs the command line; returns the exit status."""
    _tolerant(sys.stdout, sys.stderr)
    given = sys.argv[1:] if argv is None else argv
    # A space in front tells a negative quantity from an option.
    given = [f" {word}" if re.match(r"-\.?\d", word) else word for word in given]
    arguments = parser().parse_args(given)
    if arguments.command is None:
        arguments = parser().parse_args(["compare", "bramble-solid", "bramble-independent"])
    try:
        status: int = arguments.call(arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader is gone; nothing more can be printed, not even at the interpreter's end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except (axt.AxletreeError, ValueError, OSError) as error:
        print(error, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("interrupted", file=sys.stderr)
        return INTERRUPTED
    return status


if __name__ == "__main__":
    sys.exit(main())
