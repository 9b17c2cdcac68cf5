"""Random cars and states that leave nothing zero, and the mirror image of a car."""

from __future__ import annotations

import re

import numpy as np

from .car_equations import STATES

TWIST = 40
WINDUP, HOUSING, SHAFT_MEAN, SHAFT_DIFFERENCE, CROWN, ENGINE, CLUTCH, THROTTLE = range(41, STATES)

# sizes of what is zero or small in usual cars, by the pattern of the name
_CURVE_SIZES = (0.01, 0.1, 0.5, 2.0, 5.0)
# roll terms of an axle's binding, of second to fourth order, that turn over in the mirror
_ODD_BINDING = (1, 4, 6, 8, 10)
_SURFACE_SIZES = (0.01, 0.05, 0.05, 0.3, 0.3, 0.3, 1.0, 1.0, 1.0, 1.0)


def perturbed(numbers, solid_rear, rng):
    """A car near ``numbers``: every number is changed, left unlike right, and none is zero."""
    out = {}
    for path, value in numbers.items():
        change = rng.uniform(-1, 1)
        curve = re.search(r"\.c\.(\d+)$", path)
        if ".binding." in path:
            out[path] = _binding(path, value, change, rng)
        elif ".driveline." in path:
            out[path] = _driveline(path, value, change, rng)
        elif curve:
            surface = solid_rear and path.startswith("rear.")
            size = (_SURFACE_SIZES if surface else _CURVE_SIZES)[int(curve[1])]
            out[path] = value + size * change
        elif ".compliance." in path:
            size = 2e-7 if ".toe_" in path or ".tilt_" in path else 1e-7
            out[path] = value * (1 + 0.2 * change) + size * rng.uniform(-1, 1)
        elif ".inertia." in path:
            out[path] = value * (1 + 0.05 * change) + 15.0 * rng.uniform(-1, 1)
        elif re.search(r"(center|steering_axis|steering_arm)\.\d$", path):
            out[path] = value + 0.05 * change
        elif path.endswith("carcass_damping_time"):
            out[path] = 1e-3 * (1.1 + change)
        elif path.endswith(".gap"):
            # stops come early, so that they are reached
            out[path] = value * rng.uniform(0.3, 1.0)
        elif path.endswith(".friction_slope"):
            # and so does the floor of friction
            out[path] = value * rng.uniform(0.7, 5.0)
        elif path.endswith((".shape", ".curvature")):
            out[path] = value * (1 + 0.05 * change)
        else:
            out[path] = value * (1 + 0.2 * change)
    _differential(out, rng)
    for path in list(out):
        # displacement matrices are symmetric, axes have unit length
        match = re.search(r"^(.*compliance\.(?:lateral|longitudinal))\.1\.0$", path)
        if match:
            out[path] = out[f"{match[1]}.0.1"]
        match = re.search(r"^(.*steering_axis)\.0$", path)
        if match:
            parts = [f"{match[1]}.{k}" for k in range(3)]
            length = np.sqrt(sum(out[p] ** 2 for p in parts))
            for p in parts:
                out[p] /= length
    return out


def _binding(path, value, change, rng):
    """Binding energies of a few joules; tilt limits within, near or beyond the travels."""
    if path.endswith(".limit"):
        return rng.uniform(0.08, 0.3)
    if path.endswith(".rate"):
        return rng.uniform(500.0, 5000.0)
    if ".tilt_squared." in path:
        return value + 8.0 * change
    return value + 3000.0 * change


def _driveline(path, value, change, rng):
    """Senses and kinds are drawn, the rest is varied around its value or around a usual one."""
    if path.endswith(".propshaft_sense"):
        return float(rng.choice([-1.0, 1.0]))
    if path.endswith(".flexible"):
        return float(rng.choice([0.0, 1.0]))
    if path.endswith(".windup.stiffness"):
        return 20e3 * (1 + 0.5 * change)
    if path.endswith(".windup.damping"):
        return 40.0 * (1 + 0.5 * change)
    if path.endswith(".efficiency"):
        return rng.uniform(0.8, 0.99)
    return value * (1 + 0.2 * change)


def _differential(out, rng):
    """One of the kinds: open, plate type, torque-biasing, locked."""
    gear = "chassis.driveline.differential."
    kinds = {
        "open": (0.0, 0.0, 0.0),
        "plate": (rng.uniform(5, 150), rng.uniform(0.1, 0.7), rng.uniform(0.0, 0.5)),
        "biasing": (rng.uniform(0, 10), *2 * (rng.uniform(0.2, 0.6),)),
        "locked": (1e9, 0.0, 0.0),
    }
    for name, value in zip(
        ("preload", "lock_drive", "lock_coast"), kinds[str(rng.choice(list(kinds)))], strict=True
    ):
        out[gear + name] = float(value)


def _drive_state(x, numbers, ratio, rng):
    """Housing, half shafts, crown wheel, engine and clutch: near each other's speeds, or far."""
    line = "chassis.driveline."
    rear, near = (x[22] + x[23]) / 2, rng.uniform() < 0.6
    x[WINDUP] = rng.uniform(-0.05, 0.05)
    x[HOUSING] = rng.uniform(-3, 3)
    x[SHAFT_MEAN] = rng.uniform(-0.15, 0.2)
    # what the differential holds is within, near, or beyond its bound
    stiffness = numbers[line + "half_shafts.stiffness"]
    through = 2 * abs(stiffness * x[SHAFT_MEAN])
    bound = (
        numbers[line + "differential.preload"] + numbers[line + "differential.lock_drive"] * through
    )
    x[SHAFT_DIFFERENCE] = rng.uniform(-1, 1) * min(2 * bound / stiffness + 0.01, 0.2)
    x[CROWN] = rear + rng.uniform(-1, 1) * (2.0 if near else 30.0)
    x[ENGINE] = ratio * x[CROWN] + rng.uniform(-1, 1) * (20.0 if near else 300.0)
    if rng.uniform() < 0.5:
        # any speed, from turning backward to beyond the limit, and where the limiter works
        share = rng.uniform(-0.05, 1.2) if rng.uniform() < 0.8 else rng.uniform(0.97, 1.0)
        x[ENGINE] = share * numbers[line + "engine.limit"]
    x[CLUTCH] = (
        rng.uniform(-1.5, 1.5)
        * numbers[line + "clutch.capacity"]
        / numbers[line + "clutch.stiffness"]
    )
    x[THROTTLE] = rng.uniform(0, 1)


def state_and_input(numbers, rng):
    """A state and inputs: attitude up to 0.3 rad, wheels loaded or lifted, rolling or sliding."""
    x = np.zeros(STATES)
    wild = rng.uniform() < 0.5
    x[0:2] = rng.uniform(-100, 100, 2)
    x[2] = numbers["chassis.height"] + (
        rng.uniform(-0.03, 0.15) if wild else rng.uniform(-0.03, 0.03)
    )
    x[3] = rng.uniform(-3, 3)
    x[4:6] = rng.uniform(-1, 1, 2) * (0.3 if wild else 0.03)
    x[6:9] = rng.uniform(-0.08, 0.08, 3)
    x[9] = rng.uniform(-0.08, 0.08)
    speed = 10 ** rng.uniform(np.log10(0.5), np.log10(40.0))
    x[10] = speed * (1 if rng.uniform() < 0.9 else -1)
    x[11:13] = rng.uniform(-1, 1, 2) * (0.3 * speed + 0.2)
    x[13:16] = rng.uniform(-1, 1, 3) * 2
    x[16:20] = rng.uniform(-1, 1, 4)
    radius = numbers["front.side.0.wheel.tire.unloaded_radius"]
    rolling = x[10] / radius
    near = rng.uniform() < 0.5
    x[20:24] = rolling * (1 + rng.uniform(-1, 1, 4) * (0.05 if near else 2.0))
    if rng.uniform() < 0.1:
        x[20 + rng.integers(4)] = 0.0
    x[24:32] = rng.uniform(-1, 1, 8) * (0.01 if near else 0.05)
    x[32:41] = rng.uniform(-1, 1, 9) * 0.02
    gears = rng.uniform(0.8, 3.8)
    _drive_state(x, numbers, gears * numbers["chassis.driveline.final_drive"], rng)
    u = np.array(
        [
            rng.uniform(-6, 6),
            rng.uniform(-12, 12),
            rng.uniform(-2000, 3000),
            rng.choice([0.0, rng.uniform(0, 5000)]),
            rng.uniform(0.2, 1.2),
            rng.uniform(0, 1),
            gears,
            rng.choice([0.0, 1.0, rng.uniform(0, 1)]),
            float(rng.choice([0.0, 1.0])),
        ]
    )
    return x, u


def mirrored(numbers, solid_rear):
    """The car's mirror image in the plane y = 0."""
    out = {}
    for path, value in numbers.items():
        target, sign = path, 1.0
        side = re.search(r"\.side\.([01])\.", path)
        if side:
            target = path.replace(f".side.{side[1]}.", f".side.{1 - int(side[1])}.")
        matrix = re.search(r"^(.*\.compliance\.(\w+))\.([01])\.([01])$", path)
        if matrix:
            target = f"{matrix[1]}.{1 - int(matrix[3])}.{1 - int(matrix[4])}"
            sign = -1.0 if matrix[2] in ("toe_longitudinal", "toe_brake") else 1.0
        if re.search(r"(center|steering_axis|steering_arm)\.1$", path) or re.search(
            r"\.inertia\.[35]$", path
        ):
            sign = -1.0
        if path.endswith("propshaft_sense"):
            sign = -1.0
        curve = re.search(r"\.(y|toe|tilt|yaw)\.c\.\d$", path)
        if curve:
            sign = -1.0
        axle_binding = re.search(r"^rear\.binding\..*\.(\d+)$", path)
        if axle_binding and re.search(r"(\.c|tilt_squared)\.\d+$", path):
            sign = -1.0 if int(axle_binding[1]) in _ODD_BINDING else 1.0
            out[target] = sign * value
            continue
        surface = re.search(r"\.c\.(\d)$", path)
        # odd powers of roll turn over
        if solid_rear and path.startswith("rear.") and surface and int(surface[1]) in (2, 4, 7, 9):
            sign = -sign
        out[target] = sign * value
    return {path: out[path] for path in numbers}


def mirrored_state(x, solid_rear):
    """A state (or its derivative) seen in the mirror."""
    m = np.array(x, dtype=float)
    for i in (1, 3, 5, 11, 13, 15):
        m[i] = -x[i]
    for base in (6, 16):
        m[base], m[base + 1] = x[base + 1], x[base]
        if solid_rear:
            m[base + 3] = -x[base + 3]
        else:
            m[base + 2], m[base + 3] = x[base + 3], x[base + 2]
    for first in (20, 22):
        m[first], m[first + 1] = x[first + 1], x[first]
    for first in (24, 28):
        m[first], m[first + 1], m[first + 2], m[first + 3] = (
            x[first + 2],
            -x[first + 3],
            x[first],
            -x[first + 1],
        )
    for first in (32, 34, 36, 38):
        m[first], m[first + 1] = -x[first + 1], -x[first]
    for i in (TWIST, SHAFT_DIFFERENCE):
        m[i] = -x[i]
    return m
