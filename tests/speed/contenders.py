"""The library's sweep of a step steer, and the two programs compared with it."""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp

import axletree as axt

from . import arrays, compiled
from .maneuver import measure, observed

SAMPLE = 0.004


class Arrays:
    """(a) NumPy under ``solve_ivp``, by one of its methods at one of its tolerances."""

    def __init__(self, method, tolerance):
        self.method, self.tolerance = method, tolerance
        self.evaluations = 0

    def run(self, step):
        """Samples of time and state."""
        car = arrays.ArrayCar(step.car)
        x, times, states = step.start, [], []
        self.evaluations = 0
        for begin, end in zip(step.breaks[:-1], step.breaks[1:], strict=True):
            samples = np.linspace(begin, end, int(np.ceil((end - begin) / SAMPLE)) + 1)
            turning = begin == 0
            found = solve_ivp(
                lambda t, y, turning=turning: arrays.rates(car, y, step.inputs(t, turning)),
                (begin, end),
                x,
                self.method,
                t_eval=samples,
                rtol=self.tolerance,
                atol=self.tolerance * 1e-3,
            )
            x = found.y[:, -1]
            times.append(found.t[:-1])
            states.append(found.y[:, :-1])
            self.evaluations += found.nfev
        return np.append(np.concatenate(times), end), np.column_stack([*states, x])

    def metrics(self, step):
        """The run's metrics."""
        time, x = self.run(step)
        return measure(step, time, observed(x[4], x[5], x[10:13], x[13:16]))


class Compiled:
    """(b) Numba with a fixed step of the classical Runge-Kutta method."""

    def __init__(self, step):
        self.step = step
        self.work = compiled.work_space()
        self.evaluations = 0

    def run(self, step):
        """Samples of what the metrics need."""
        spans = np.diff(step.breaks)
        rows = int(sum(np.ceil(spans / self.step))) + 2
        history = np.empty((rows, 9))
        count = compiled.drive(
            step.start,
            step.before,
            step.change,
            step.breaks,
            self.step,
            step.car,
            self.work,
            history,
        )
        self.evaluations = 4 * (count - 1)
        return history[:count].T

    def metrics(self, step):
        """The run's metrics."""
        h = self.run(step)
        return measure(step, h[0], observed(h[1], h[2], h[3:6], h[6:9]))


class Library:
    """The library: a sweep over one entry of a car, on one thread, in steps of a length."""

    def __init__(self, car, entry, step):
        self.car, self.entry = car, entry
        self.settings = axt.StepSteer(step=step)
        self.step = step

    def run(self, values):
        """The sweep's table."""
        return axt.sweep(self.car, {self.entry: values}, self.settings, threads=1)

    def metrics(self, values, names):
        """A dict of the metrics of each value."""
        table = self.run(values)
        return [{name: table[f"step_steer.{name}"][i] for name in names} for i in range(len(table))]

    def evaluations(self, value):
        """Four a step."""
        run = self.settings.run(self.car.edit({self.entry: value}))
        return 4 * (len(run.time) - 1)
