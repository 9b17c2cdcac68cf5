"""Runs the comparison and prints it as a table; takes three to five minutes.

Three ways to drive the same step steer of the same cars:

- this library: ``axletree.sweep`` on one thread, from the car file to the metrics;
- (a) the equations in NumPy, under SciPy's ``solve_ivp``;
- (b) the equations in loops compiled by Numba, in a compiled loop of fixed steps.

For (a) and (b) only the integration is timed; assembled cars, equilibria and metrics they get for
nothing. First all three must agree: the right-hand sides to 1e-9 at random states, the metrics to
0.1 % with a run of (b) in steps of 0.1 ms. (a) gets the fastest method and tolerance that meet the
0.1 %, (b) and the library their largest steps that do; the library's default step has a row too.
Links that yield follow their load with a lag, which the library steps exactly and an explicit
method must resolve: one row more shows (b) with a slower lag, which changes the results. Timings
are processor time on one thread, the best of several rounds in which all take turns.
"""

from __future__ import annotations

import argparse
import math
import time
from dataclasses import replace
from itertools import pairwise

import numpy as np

import axletree as axt

from . import arrays, compiled, counting, jit, studies
from .contenders import Arrays, Compiled, Library
from .maneuver import largest_error, prepare
from .packed import CHASSIS, pack, with_lag

CAR = "bramble-independent"
ENTRY = "rear.bar.outer_diameter"
SMALLEST, LARGEST = "16 mm", "26 mm"
ALLOWED = 1e-3
ROUNDS = 7
LARGEST_STEP = 0.016
SLOW_LAG = 2e-3
INPUTS = (
    *("steering_wheel", "steering_wheel_rate", "drive_torque", "brake_torque", "friction"),
    *("throttle", "gear_ratio", "clutch", "engine_on"),
)


def random_state(model, rng):
    """A state in lively motion and inputs with everything at work."""
    x = np.array(model.rolling_state(rng.uniform(5, 30)))
    scale = np.repeat(
        [0.02, 0.05, 0.02, 2.0, 0.5, 0.3, 3.0, 0.005, 0.01, 0.02],
        [3, 3, 4, 3, 3, 4, 4, 8, 9, 8],
    )
    scale[46] = 200.0
    x += scale * rng.uniform(-1, 1, x.size)
    x[42:44] *= 10
    x[46] = abs(x[46])
    u = np.array(
        [
            *(rng.uniform(-2, 2), rng.uniform(-5, 5), rng.uniform(-500, 500), rng.uniform(0, 2000)),
            *(rng.uniform(0.5, 1), rng.uniform(0, 1), rng.uniform(1, 3), rng.uniform(0, 1)),
            float(rng.integers(2)),
        ]
    )
    return x, u


def compare_rates(model, count=20, seed=1):
    """Largest difference of the right-hand sides, relative to the largest rate of its kind."""
    rng = np.random.default_rng(seed)
    car = pack(model.numbers())
    work, theirs = compiled.work_space(), np.empty(compiled.STATES)
    array_car, worst = arrays.ArrayCar(car), 0.0
    edges = [0, 10, 20, 24, 32, 41, 49]
    for _ in range(count):
        x, u = random_state(model, rng)
        ours = np.asarray(model.derivative(x, **dict(zip(INPUTS, u, strict=True))))
        compiled.rates(x, u, car, work, theirs)
        for other in (arrays.rates(array_car, x, u), theirs):
            for a, b in pairwise(edges):
                size = np.abs(ours[a:b]).max() + 1e-9
                worst = max(worst, np.abs(other[a:b] - ours[a:b]).max() / size)
    return worst


def count(name):
    """Counts operations in a process without Numba, for :func:`.counting.count_apart`."""
    model = axt.Car.load(name).assemble()
    step = prepare(axt, model, axt.StepSteer())
    tally, _ = counting.count(step.car, step.start, step.inputs(0.0, True))
    return tally


def cost(function, calls):
    """Processor time per call, which on one thread does not include other processes."""
    begun = time.process_time()
    for _ in range(calls):
        function()
    return (time.process_time() - begun) / calls


def worst(metrics, references):
    """The largest relative error of a metric over all cars, and the metric."""
    try:
        return max(largest_error(m, r) for m, r in zip(metrics(), references, strict=True))
    except (IndexError, ValueError):
        # no steady state, no peak: the integration went astray
        return math.inf, "none"


def fastest_arrays(steps, references, say):
    """(a): method and tolerance that meet the allowed error on all cars in the least time."""
    found = None
    for method in ("RK45", "LSODA", "DOP853"):
        for tolerance in (1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 1e-6):
            way = Arrays(method, tolerance)
            begun = time.process_time()
            error = worst(lambda way=way: [way.metrics(step) for step in steps], references)
            spent = (time.process_time() - begun) / len(steps)
            if error[0] <= ALLOWED:
                say(
                    f"(a) {method} at {tolerance:g}: {spent:.2f} s, error {error[0]:.1e} ({error[1]})"
                )
                if found is None or spent < found[0]:
                    found = spent, way, error
                break
    return found[1:]


def largest_step(make, measure, references):
    """The largest step that meets the allowed error on all cars: ``(way, error)``."""
    step = LARGEST_STEP
    while step > 1e-4:
        way = make(step)
        error = worst(lambda way=way: measure(way), references)
        if error[0] <= ALLOWED:
            return way, error
        step /= 2**0.125
    raise SystemExit("no step is accurate")


def table(rows, simulated, operations, peak):
    """Rows ``(name, seconds per car, evaluations, error)`` as Markdown, times over the first."""
    yield (
        "| step steer, one core | a car | simulated | evaluations | of the peak | largest error "
        "| times the first |"
    )
    yield "|---|---|---|---|---|---|---|"
    for name, spent, evaluations, error in rows:
        share = operations * evaluations / spent / peak
        yield (
            f"| {name} | {1e3 * spent:.3g} ms | {simulated / spent:,.0f} s/s | {evaluations:,} "
            f"| {100 * share:.2g} % | {100 * error:.2g} % | {spent / rows[0][1]:,.3g} |"
        )


def print_all(lines):
    for line in lines:
        print(line, flush=True)


def main(arguments):
    """The comparison."""
    parser = argparse.ArgumentParser(
        prog="python tests/speed",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--cars", type=int, default=256, help="cars of the library's sweep (256)")
    parser.add_argument("--studies", action="store_true", help="the times of whole studies only")
    parser.add_argument("--quiet", action="store_true", help="the table only")
    options = parser.parse_args(arguments)

    def say(line):
        if not options.quiet:
            print(line, flush=True)

    if not jit.COMPILED:
        raise SystemExit("Numba is not installed: pip install numba scipy")
    from .peak import Peak

    car, settings = axt.Car.load(CAR), axt.StepSteer()
    peak = Peak()
    if options.studies:
        print_all(studies.table(peak))
        return 0

    # equal right-hand sides first
    difference = compare_rates(car.assemble())
    say(f"right-hand sides: largest relative difference {difference:.1e}")
    if difference > 1e-9:
        raise SystemExit("the right-hand sides differ")

    # then equal metrics on three cars of the sweep
    values = axt.span(SMALLEST, LARGEST, 3)
    steps = [prepare(axt, car.edit({ENTRY: value}).assemble(), settings) for value in values]
    references = [Compiled(1e-4).metrics(step) for step in steps]
    names = list(references[0])
    default = Library(car, ENTRY, settings.step)
    error = worst(lambda: default.metrics(values, names), references)
    say(f"library in its steps of {1e3 * default.step:g} ms: error {error[0]:.1e} ({error[1]})")
    if error[0] > ALLOWED:
        raise SystemExit("the library's metrics differ")
    library, library_error = largest_step(
        lambda step: Library(car, ENTRY, step), lambda way: way.metrics(values, names), references
    )
    say(
        f"library, largest step {1e3 * library.step:.2f} ms: error {library_error[0]:.1e} ({library_error[1]})"
    )
    loops, loops_error = largest_step(
        Compiled, lambda way: [way.metrics(step) for step in steps], references
    )
    say(
        f"(b), largest step {1e3 * loops.step:.2f} ms: error {loops_error[0]:.1e} ({loops_error[1]})"
    )
    # what the lag of the links costs an explicit method: the same with one of SLOW_LAG, which
    # changes the results
    slow_steps = [replace(step, car=with_lag(step.car, SLOW_LAG)) for step in steps]
    slow_references = [Compiled(1e-4).metrics(step) for step in slow_steps]
    slow, _ = largest_step(
        Compiled, lambda way: [way.metrics(step) for step in slow_steps], slow_references
    )
    slow_error = worst(lambda: [slow.metrics(step) for step in slow_steps], references)
    in_arrays, arrays_error = fastest_arrays(steps, references, say)

    # timings: all take turns, the peak too, in slices of about as long
    lag = 1e3 * steps[1].car.chassis[CHASSIS.index("lag")]
    many, middle = axt.span(SMALLEST, LARGEST, options.cars), steps[1]
    simulated = settings.settle + settings.window
    # the library goes no further than its own bound of stability
    counts = [way.evaluations(values[1]) for way in (default, library)]
    ways = [
        (
            f"axletree, default, {4e3 * simulated / counts[0]:.2f} ms",
            lambda: default.run(many),
            1,
            options.cars,
        ),
        (
            f"axletree, largest step, {4e3 * simulated / counts[1]:.2f} ms",
            lambda: library.run(many),
            1,
            options.cars,
        ),
        (f"(b) Numba, RK4, {1e3 * loops.step:.2f} ms", lambda: loops.run(middle), 20, 1),
        (
            f"(b) with links that lag {1e3 * SLOW_LAG:g} ms, not {lag:g} ms, {1e3 * slow.step:.2f} ms",
            lambda: slow.run(slow_steps[1]),
            20,
            1,
        ),
        (
            f"(a) NumPy, `solve_ivp` {in_arrays.method}, rtol {in_arrays.tolerance:g}",
            lambda: in_arrays.run(middle),
            1,
            1,
        ),
    ]
    spent = [math.inf] * len(ways)
    for _ in range(ROUNDS):
        peak.measure()
        for i, (_, function, calls, cars) in enumerate(ways):
            spent[i] = min(spent[i], cost(function, calls) / cars)
    evaluations = [*counts, loops.evaluations, slow.evaluations, in_arrays.evaluations]
    errors = [e[0] for e in (error, library_error, loops_error, slow_error, arrays_error)]

    tally = counting.count_apart(CAR)
    operations = counting.operations(tally)
    rows = [(way[0], *rest) for way, *rest in zip(ways, spent, evaluations, errors, strict=True)]
    print()
    print_all(table(rows, simulated, operations, peak.best))
    print()
    print(
        f"One evaluation, as counted in (b): {tally['plain']:,} additions and multiplications, "
        f"{tally['divisions and roots']} divisions and roots, {tally['elementary functions']} elementary "
        f"functions, {operations:,} operations with {counting.ELEMENTARY} for each of these. "
        f"Peak of one core, multiply-adds in the widest registers: {1e-9 * peak.best:.0f} GFLOP/s. "
        f"Errors are of the worst metric, against (b) in steps of 0.1 ms; {100 * ALLOWED:g} % is allowed, and only "
        "the row with another lag, which is another car, exceeds it. "
        f"Library: a sweep of {options.cars} cars, from the car file to the metrics. "
        "(a), (b): integration only."
    )
    if counts[0] > 1.2 * counts[1]:
        # what more steps cost is evaluations and nothing else
        each = (spent[0] - spent[1]) / (counts[0] - counts[1])
        print(
            f"The library's two rows differ by {1e6 * each:.2f} us an evaluation "
            f"({100 * operations / each / peak.best:.0f} % of the peak); the rest, "
            f"{1e3 * (spent[1] - each * counts[1]):.2f} ms a car, is assembling, equilibria and metrics."
        )
    print()
    print_all(studies.table(peak))
    return 0
