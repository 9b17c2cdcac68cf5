"""The two programs that ``tests/speed`` compares with the library give its results.

Short, and without Numba's compiler: the loops run as plain Python.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import numpy as np
import pytest

import axletree as axt

os.environ["NUMBA_DISABLE_JIT"] = "1"
sys.path.insert(0, str(Path(__file__).parents[1]))

from speed import arrays, compiled, counting, page
from speed.contenders import Arrays, Compiled
from speed.maneuver import observed, prepare
from speed.packed import pack


@pytest.fixture(scope="module")
def model():
    return axt.Car.load(page.CAR).assemble()


def test_val_three_right_hand_sides_agree(model):
    """Source: the equations written again in NumPy and in loops, which sum in another order."""
    assert page.compare_rates(model, count=10) < 1e-11
    # with everything that links, differential and housing can do
    varied = {
        "chassis.driveline.windup.flexible": 1.0,
        "chassis.driveline.windup.stiffness": 2e4,
        "chassis.driveline.windup.damping": 50.0,
        "chassis.driveline.differential.preload": 60.0,
        "chassis.driveline.differential.lock_drive": 0.4,
        "chassis.driveline.differential.lock_coast": 0.2,
        "front.side.0.binding.c.0": 2e3,
        "rear.side.1.binding.c.1": 3e3,
        "rear.side.1.binding.solid.0.tilt_squared.0": 40.0,
        "rear.side.1.binding.solid.0.limit": 0.05,
        "rear.side.1.binding.solid.0.rate": 2e3,
    }
    assert page.compare_rates(model.with_numbers(varied), count=10) < 1e-11
    # the numbers matter: one of them changed in one of the three is seen
    x, u = page.random_state(model, np.random.default_rng(2))
    other = pack(model.with_numbers({"rear.bar_rate": 2e4}).numbers())
    ours = model.derivative(x, **dict(zip(page.INPUTS, u, strict=True)))
    assert np.abs(arrays.rates(arrays.ArrayCar(other), x, u) - ours).max() > 1e-3


def test_val_three_runs_agree(model):
    """The first third of a second of the step steer by all three."""
    settings = axt.StepSteer()
    step = prepare(axt, model, settings)
    step.breaks = np.array([0.0, step.breaks[1], 0.3])
    run = settings.run(model)
    # links lag half a millisecond: a longer step is unstable
    loops = Compiled(0.001).run(step)
    _, states = Arrays("RK45", 1e-6).run(step)
    yaw_rates = [
        np.interp(0.3, run.time, run["yaw_rate"]),
        observed(loops[1], loops[2], loops[3:6], loops[6:9])[0][-1],
        observed(states[4], states[5], states[10:13], states[13:16])[0][-1],
    ]
    assert yaw_rates[0] > 0.1
    assert yaw_rates == pytest.approx([yaw_rates[0]] * 3, rel=1e-4)


def test_operations_are_counted(model):
    step = prepare(axt, model, axt.StepSteer())
    tally, rates = counting.count(step.car, step.start, step.inputs(0.0, True))
    out = np.empty(compiled.STATES)
    compiled.rates(step.start, step.inputs(0.0, True), step.car, compiled.work_space(), out)
    assert rates == pytest.approx(out, rel=1e-12, abs=1e-12)
    # four wheels: sines and cosines of toe and tilt, four arc tangents and two sines of the tire,
    # its sense
    assert tally["elementary functions"] >= 4 * 11
    assert counting.operations(tally) > 4000
