"""Whole studies: duration, growth with the number of rows, gain by a second core.

Absolute times beside the machine's own gauge: the peak of multiply-adds on one core, and on two at
once. Another process on the machine takes from both.
"""

from __future__ import annotations

import resource
import threading
import time

import axletree as axt

ENTRY = "rear.bar.outer_diameter"
CARS = "bramble-solid", "bramble-independent"
POINTS = 13


def _sweep(car, rows, maneuver, threads):
    return axt.sweep(car, {ENTRY: axt.span("16 mm", "26 mm", rows)}, maneuver, threads=threads)


def _wall(function):
    begun = time.perf_counter()
    function()
    return time.perf_counter() - begun


def _memory():
    """Peak memory of the process [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def second_core(peak, car, rows, rounds):
    """Gain by a second thread, for multiply-adds and for a sweep; the best of several turns."""

    def both():
        threads = [threading.Thread(target=peak.burst) for _ in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    ways = {
        "one burst": peak.burst,
        "two bursts": both,
        "one thread": lambda: _sweep(car, rows, axt.StepSteer(), 1),
        "two threads": lambda: _sweep(car, rows, axt.StepSteer(), 2),
    }
    best = dict.fromkeys(ways, float("inf"))
    for _ in range(rounds):
        for name, way in ways.items():
            best[name] = min(best[name], _wall(way))
    return 2 * best["one burst"] / best["two bursts"], best["one thread"] / best["two threads"]


def growth(car, rows, rounds):
    """Processor time per row of sweeps on one thread [s], by number of rows; the best of several."""
    best = dict.fromkeys(rows, float("inf"))
    for _ in range(rounds):
        for count in rows:
            begun = time.process_time()
            _sweep(car, count, axt.StepSteer(), 1)
            best[count] = min(best[count], (time.process_time() - begun) / count)
    return best


def table(peak, many=10_000):
    """The lines of the page."""
    cars = {name: axt.Car.load(name) for name in CARS}
    yield "| study | car | threads | time |"
    yield "|---|---|---|---|"
    for name, car in cars.items():
        spent = min(_wall(lambda car=car: axt.Slalom().top_speed(car)) for _ in range(3))
        yield f"| `Slalom().top_speed`, the course driven | {name} | 1 | {spent:.2f} s |"
    for name, car in cars.items():
        spent = min(_wall(lambda car=car: _sweep(car, POINTS, axt.Slalom(), 2)) for _ in range(2))
        yield f"| slalom at {POINTS} rear bars | {name} | 2 | {spent:.2f} s |"
    for name, car in cars.items():
        _sweep(car, 100, axt.StepSteer(), 2)
        before = _memory()
        spent = _wall(lambda car=car: _sweep(car, many, axt.StepSteer(), 2))
        grown = _memory() - before
        yield f"| step steer of {many:,} cars (memory +{grown:.0f} MB) | {name} | 2 | {spent:.1f} s |"
    yield ""
    car = cars[CARS[1]]
    rows = growth(car, (250, 1000, 4000), 3)
    each = ", ".join(f"{1e3 * spent:.3f} ms at {count:,}" for count, spent in rows.items())
    yield f"A row of a step-steer sweep takes {each} rows (processor time on one thread)."
    multiply, sweep = second_core(peak, car, 1000, 5)
    yield (
        f"A second thread makes multiply-adds {multiply:.2f} times as many and a sweep {sweep:.2f} times as fast: "
        f"{sweep / multiply:.2f} of what the second core has."
    )
