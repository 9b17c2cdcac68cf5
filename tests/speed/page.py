"""Runs the comparison and prints it as a table.

Three ways to drive the same step steer of the same cars:

- this library: ``axletree.sweep`` on one thread, from the car file to the metrics;
- (a) the equations in NumPy, under SciPy's ``solve_ivp``;
- (b) the equations in loops compiled by Numba, in a compiled loop of fixed steps.

For (a) and (b) only the integration is timed; assembled cars, equilibria and metrics they get for nothing.
First all three must agree: the right-hand sides to 1e-9 at random states, the metrics to 0.1 % with a run of
(b) in steps of 0.1 ms. (a) gets the fastest method and tolerance that meet the 0.1 %, (b) the largest step that
does. All timings are the best of several, on one core, and beside each other.
"""

from __future__ import annotations

import argparse
import math
import time

import axletree as axt
import numpy as np

from . import arrays, compiled, counting
from .contenders import Arrays, Compiled
from .maneuver import largest_error, prepare
from .packed import pack

CAR = "bramble-independent"
ENTRY = "rear.bar.outer_diameter"
SMALLEST, LARGEST = "16 mm", "26 mm"
ALLOWED = 1e-3
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
    """The largest difference of the three right-hand sides, over the largest rate of the state's kind."""
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
            for a, b in zip(edges[:-1], edges[1:], strict=True):
                size = np.abs(ours[a:b]).max() + 1e-9
                worst = max(worst, np.abs(other[a:b] - ours[a:b]).max() / size)
    return worst


def count(name):
    """What a process without Numba does for :func:`.counting.count_apart`."""
    model = axt.Car.load(name).assemble()
    step = prepare(axt, model, axt.StepSteer())
    tally, _ = counting.count(step.car, step.start, step.inputs(0.0, True))
    return tally


def best_of(function, repeats):
    """The shortest time of a call."""
    times = []
    for _ in range(repeats):
        begun = time.perf_counter()
        function()
        times.append(time.perf_counter() - begun)
    return min(times)


def fastest_arrays(steps, references, say):
    """(a): method and tolerance that meet the allowed error on all cars in the least time."""
    found = None
    for method in ("RK45", "LSODA", "DOP853"):
        for tolerance in (1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 1e-6):
            way = Arrays(method, tolerance)
            begun = time.perf_counter()
            try:
                errors = [
                    largest_error(way.metrics(step), reference)
                    for step, reference in zip(steps, references, strict=True)
                ]
            except (IndexError, ValueError):
                continue
            spent = (time.perf_counter() - begun) / len(steps)
            if max(errors)[0] <= ALLOWED:
                say(f"(a) {method} at {tolerance:g}: {spent:.2f} s, error {max(errors)[0]:.1e}")
                if found is None or spent < found[0]:
                    found = spent, way, max(errors)
                break
    return found[1:]


def largest_step(steps, references, say):
    """(b): the largest step that meets the allowed error on all cars."""
    step = 0.016
    while step > 1e-4:
        way = Compiled(step)
        try:
            errors = [
                largest_error(way.metrics(s), reference)
                for s, reference in zip(steps, references, strict=True)
            ]
        except (IndexError, ValueError):
            errors = [(math.inf, "no steady state")]
        if max(errors)[0] <= ALLOWED:
            say(f"(b) step {1e3 * step:.3f} ms: error {max(errors)[0]:.1e} ({max(errors)[1]})")
            return way, max(errors)
        step /= 2**0.125
    raise SystemExit("no step of (b) is accurate")


def main(arguments):
    """The comparison."""
    parser = argparse.ArgumentParser(prog="python tests/speed", description=__doc__.splitlines()[0])
    parser.add_argument("--cars", type=int, default=400, help="cars of the library's sweep")
    parser.add_argument("--quiet", action="store_true", help="the table only")
    options = parser.parse_args(arguments)

    def say(line):
        if not options.quiet:
            print(line, flush=True)

    from .peak import Peak

    car, settings = axt.Car.load(CAR), axt.StepSteer()
    peak = Peak()

    # equal right-hand sides first
    worst = compare_rates(car.assemble())
    say(f"right-hand sides: largest relative difference {worst:.1e}")
    if worst > 1e-9:
        raise SystemExit("the right-hand sides differ")

    # then equal metrics on three cars of the sweep
    values = axt.span(SMALLEST, LARGEST, 3)
    models = [car.edit({ENTRY: value}).assemble() for value in values]
    steps = [prepare(axt, model, settings) for model in models]
    references = [Compiled(1e-4).metrics(step) for step in steps]
    ours = [settings.run(model).metrics for model in models]
    our_error = max(
        largest_error({name: mine[name] for name in reference}, reference)
        for mine, reference in zip(ours, references, strict=True)
    )
    say(f"library, step {1e3 * settings.step:g} ms: error {our_error[0]:.1e} ({our_error[1]})")
    if our_error[0] > ALLOWED:
        raise SystemExit("the library's metrics differ")
    array_way, array_error = fastest_arrays(steps, references, say)
    compiled_way, compiled_error = largest_step(steps, references, say)

    # timings, beside each other in time, the peak among them
    per_run = {"library": math.inf, "a": math.inf, "b": math.inf}
    diameters = axt.span(SMALLEST, LARGEST, options.cars)
    run = settings.run(models[1])
    evaluations = {"library": 4 * (len(run.time) - 1)}
    for _ in range(5):
        peak.measure()
        spent = best_of(lambda: axt.sweep(car, {ENTRY: diameters}, settings, threads=1), 1)
        per_run["library"] = min(per_run["library"], spent / options.cars)
        per_run["a"] = min(per_run["a"], best_of(lambda: array_way.run(steps[1]), 1))
        per_run["b"] = min(per_run["b"], best_of(lambda: compiled_way.run(steps[1]), 20))
    evaluations["a"], evaluations["b"] = array_way.evaluations, compiled_way.evaluations

    tally = counting.count_apart(CAR)
    operations = counting.operations(tally)
    simulated = settings.settle + settings.window
    names = {
        "library": f"axletree, `sweep` of {options.cars} cars",
        "a": f"(a) NumPy, `solve_ivp` {array_way.method}, rtol {array_way.tolerance:g}",
        "b": f"(b) Numba, RK4, {1e3 * compiled_way.step:.2f} ms",
    }
    errors = {"library": our_error, "a": array_error, "b": compiled_error}
    print()
    print(
        "| step steer, one core | a car | simulated | evaluations | of the FMA peak | largest error | time |"
    )
    print("|---|---|---|---|---|---|---|")
    for key, name in names.items():
        spent = per_run[key]
        share = operations * evaluations[key] / spent / peak.best
        print(
            f"| {name} | {1e3 * spent:.3g} ms | {simulated / spent:,.0f} s/s | {evaluations[key]:,} "
            f"| {100 * share:.2g} % | {100 * errors[key][0]:.2g} % | {spent / per_run['library']:,.3g} |"
        )
    print()
    print(
        f"One evaluation: {tally['plain']:,} additions and multiplications, "
        f"{tally['divisions and roots']} divisions and roots, {tally['elementary functions']} elementary "
        f"functions, {operations:,} operations with {counting.ELEMENTARY} for each of these. "
        f"FMA peak of one core: {1e-9 * peak.best:.0f} GFLOP/s."
    )
    print("Library: car file to metrics. (a), (b): integration only.")
    return 0
