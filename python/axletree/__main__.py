"""Command line: ``python -m axletree`` with ``sheet``, ``compare`` or ``sweep``.

Without arguments it compares the two main bundled cars.
"""

from __future__ import annotations

import argparse
import csv
import sys
from collections.abc import Sequence
from pathlib import Path

import axletree as axt

from .tables import Comparison, Sweep

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
    cars: dict[str, axt.Car] = {}
    for path in paths:
        name = Path(path).stem
        cars[name if name not in cars else path] = axt.Car.load(path)
    return cars


def _write_comparison(table: Comparison, path: Path) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["metric", "unit", *table.names])
        for maneuver, endings in table.outcomes.items():
            writer.writerow([f"{maneuver}.outcome", "", *(name for name, _, _ in endings)])
        for metric, values in zip(table.metrics, table.values, strict=True):
            writer.writerow([metric["key"], metric["unit"], *map(float, values)])


def _write_sweep(table: Sweep, path: Path) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        head = [f"{p} [{u}]" if u else p for p, u, _ in table.settings]
        head += [f"{m}.outcome" for m in table.outcomes]
        head += [f"{m['key']} [{m['unit']}]" for m in table.metrics]
        writer.writerow(head)
        for i, point in enumerate(table.points):
            outcomes = [endings[i][0] for endings in table.outcomes.values()]
            writer.writerow([*point, *outcomes, *map(float, table.values[i])])


def _picture(figure: object, path: Path) -> None:
    figure.savefig(path)  # type: ignore[attr-defined]
    print(f"wrote {path}")


def sheet(arguments: argparse.Namespace) -> None:
    """Prints the static sheet of each car."""
    for car in _cars(arguments.cars).values():
        print(axt.static_sheet(car))
        print()


def compare(arguments: argparse.Namespace) -> None:
    """Compares cars; prints the table and writes a figure and a CSV file."""
    table = axt.compare(_cars(arguments.cars), _maneuvers(arguments.maneuvers))
    print(table)
    folder = Path(arguments.out)
    folder.mkdir(parents=True, exist_ok=True)
    _write_comparison(table, folder / "comparison.csv")
    print(f"wrote {folder / 'comparison.csv'}")
    try:
        figure = table.plot()
    except ImportError as error:
        print(error, file=sys.stderr)
        return
    _picture(figure, folder / "comparison.png")


def sweep(arguments: argparse.Namespace) -> None:
    """Sweeps one entry of a car; prints the table and writes a figure and a CSV file."""
    car = axt.Car.load(arguments.car)
    values = axt.span(arguments.start, arguments.stop, arguments.count)
    maneuvers = _maneuvers(arguments.maneuvers)
    known = [f"{m.name}.{metric['name']}" for m in maneuvers for metric in m.metrics()]
    key = arguments.plot or known[0]
    if key not in known:
        raise ValueError(f"unknown metric {key}; metrics of these maneuvers are {', '.join(known)}")
    table = axt.sweep(car, {arguments.path: values}, maneuvers)
    print(table)
    folder = Path(arguments.out)
    folder.mkdir(parents=True, exist_ok=True)
    _write_sweep(table, folder / "sweep.csv")
    print(f"wrote {folder / 'sweep.csv'}")
    try:
        figure = table.plot(key)
    except ImportError as error:
        print(error, file=sys.stderr)
        return
    _picture(figure, folder / "sweep.png")


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
    three.add_argument("start", help='first value, such as "16 mm"')
    three.add_argument("stop", help='last value, such as "28 mm"')
    three.add_argument("count", type=int, help="number of values")
    three.add_argument(
        "--plot", help="metric of the figure, such as slalom.top_speed (default: the first)"
    )
    maneuvers(three)
    three.set_defaults(call=sweep)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Runs the command line; returns the exit status."""
    arguments = parser().parse_args(argv)
    if arguments.command is None:
        arguments = parser().parse_args(["compare", "bramble-solid", "bramble-independent"])
    try:
        arguments.call(arguments)
    except (axt.AxletreeError, ValueError, OSError) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
