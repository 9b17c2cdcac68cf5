"""Step steer of the comparison, and its metrics.

Start: straight running in equilibrium. The steering wheel turns at a constant rate by an angle and
rests; the drive torque is held. Steady values are means over the last second, a response time runs
from half the steering angle to 90 % of the steady value, a peak time to the first maximum above it
after the steering wheel has come to rest: the definitions of the library's ``StepSteer``, written
again.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from .packed import Car, pack

QUANTITIES = ("yaw_rate", "roll_angle", "sideslip")


@dataclass
class Step:
    """Run of one car: its numbers, initial state and inputs."""

    car: Car
    start: np.ndarray
    before: np.ndarray
    change: float
    breaks: np.ndarray

    def inputs(self, time, turning):
        """The nine inputs, while the steering wheel turns or when it rests again."""
        u, rise = self.before.copy(), self.breaks[1]
        if turning:
            u[0] += self.change * time / rise
            u[1] = self.change / rise
        else:
            u[0] += self.change
        return u


def prepare(axt, model, settings):
    """The step of a car by the library's settings."""
    straight = axt.steady_state(model, speed=settings.speed)
    corner = axt.steady_state(
        model, speed=settings.speed, lateral_acceleration=settings.lateral_acceleration
    )
    change = corner.steering_wheel_angle - straight.steering_wheel_angle
    before = np.array([straight.steering_wheel_angle, 0, straight.drive_torque, 0, 1, 0, 1, 0, 0.0])
    rise = abs(change) / settings.steering_rate
    ends = settings.settle, settings.settle + settings.window
    return Step(
        pack(model.numbers()),
        np.array(straight.state),
        before,
        change,
        np.array([0.0, rise, *ends]),
    )


def observed(pitch, roll, velocity, rates):
    """Yaw rate, roll angle and sideslip from states."""
    st, ct, sr, cr = np.sin(pitch), np.cos(pitch), np.sin(roll), np.cos(roll)
    ahead = ct * velocity[0] + st * (sr * velocity[1] + cr * velocity[2])
    left = cr * velocity[1] - sr * velocity[2]
    return (rates[1] * sr + rates[2] * cr) / ct, roll, np.arctan2(left, ahead)


def measure(step, time, seen):
    """Twelve metrics from samples of the three quantities."""
    rise, settle, end = step.breaks[1:]
    out = {}
    # the steering rate jumps at the end of the ramp: one spline on either side
    parts = [time <= rise + 1e-12, time >= rise - 1e-12]
    for name, values in zip(QUANTITIES, seen, strict=True):
        before, after = (CubicSpline(time[part], values[part]) for part in parts)
        steady = after.integrate(settle, end) / (end - settle) - values[0]
        early, late = before.solve(values[0] + 0.9 * steady), after.solve(values[0] + 0.9 * steady)
        reached = [*early[(early > 0) & (early <= rise)], *late[(late > rise) & (late <= end)]]
        peaks = after.derivative().roots()
        peaks = peaks[(peaks > rise) & (peaks < settle)]
        heights = (after(peaks) - values[0]) / steady - 1
        bends = after.derivative(2)(peaks) * steady
        peak = np.flatnonzero((heights > 0) & (bends < 0))[0]
        out[f"{name}_steady"] = steady
        out[f"{name}_response_time"] = min(reached) - rise / 2
        out[f"{name}_peak_response_time"] = peaks[peak] - rise / 2
        out[f"{name}_overshoot"] = heights[peak]
    return out


def largest_error(metrics, reference):
    """The largest relative difference of a metric, and the metric."""
    errors = {name: abs(metrics[name] / value - 1) for name, value in reference.items()}
    # what is no number is no match
    errors = {name: error if np.isfinite(error) else np.inf for name, error in errors.items()}
    worst = max(errors, key=errors.get)
    return errors[worst], worst
