"""An invented car in numbers, about 1320 kg, front engine, rear drive, with either rear end.

Made for working on the independent equations without the library; it describes no car, and no test
compares anything with it. Preloads are found so that it stands at rest.
"""

from __future__ import annotations

import math

import numpy as np

from . import car_equations

GRAVITY = 9.80665
TRACK_HALF = 0.735
RADIUS = 0.305
HEIGHT = 0.53
FRONT_X, REAR_X = 1.23, -1.35
MASS = 1320.0


def _curve(out, path, *coefficients):
    for i in range(5):
        out[f"{path}.c.{i}"] = float(coefficients[i]) if i < len(coefficients) else 0.0


def _surface(out, path, **terms):
    order = ["one", "h", "r", "hh", "hr", "rr", "hhh", "hhr", "hrr", "rrr"]
    for i, name in enumerate(order):
        out[f"{path}.c.{i}"] = float(terms.get(name, 0.0))


def _direction(
    out, path, friction, fall, nominal, softness, stiffness_load, shape, curvature, carcass
):
    # the steepness that puts the peak at slip 1
    target = math.tan(math.pi / (2 * shape))
    b = target
    for _ in range(100):
        slope = 1 - curvature * b * b / (1 + b * b)
        b -= (b * (1 - curvature) + curvature * math.atan(b) - target) / slope
    values = {
        "friction_unloaded": friction * (1 + fall),
        "friction_slope": friction * fall / nominal,
        "friction_floor": 0.3 * friction,
        "softness": softness,
        "stiffness_load": stiffness_load,
        "shape": shape,
        "curvature": curvature,
        "steepness": b,
        "normalization": 1 / (b * shape),
        "carcass_stiffness": carcass,
        "stiffness_floor": 0.1 * carcass,
    }
    out.update({f"{path}.{name}": float(value) for name, value in values.items()})


def _wheel(out, path):
    out[f"{path}.spin_inertia"] = 1.1
    tire = f"{path}.tire"
    nominal = 3300.0
    _direction(
        out,
        f"{tire}.x",
        1.06,
        0.08,
        nominal,
        5 * nominal / (2 * 32.2 * nominal * 2.6),
        0.2 / nominal,
        1.65,
        0.614,
        100 * nominal,
    )
    largest = 16.0 * nominal * (1 + 1 / 1.4**2) / (2 / 1.4)
    _direction(
        out,
        f"{tire}.y",
        1.02,
        0.096,
        nominal,
        1.4 * nominal / (2 * largest),
        1 / (1.4 * nominal),
        1.30,
        -0.709,
        30 * nominal,
    )
    out.update(
        {
            f"{tire}.unloaded_radius": RADIUS,
            f"{tire}.radius_fraction": 1 / 3,
            f"{tire}.vertical_stiffness": 190e3,
            f"{tire}.vertical_damping": 150.0,
            f"{tire}.camber_thrust": 0.57,
            f"{tire}.camber_grip_loss": 3.0,
            f"{tire}.camber_stiffness_loss": 5.0,
            f"{tire}.trail_by_root": 0.03 / nominal**0.5,
            f"{tire}.trail_slip": 1 / (3.0 * out[f"{tire}.y.normalization"]),
            f"{tire}.carcass_damping_time": 0.0,
            f"{tire}.rolling_resistance": 0.012,
        }
    )


def _binding(out, path, terms, links):
    """Small energies of a few link ends, one of which runs solid at 0.2 rad of tilt."""
    for i in range(terms):
        out[f"{path}.c.{i}"] = 4000.0 if i == 0 else 500.0
    for j in range(links):
        term = f"{path}.solid.{j}"
        for i in range(terms):
            out[f"{term}.tilt_squared.{i}"] = 8.0 if i == 0 else 0.0
        out[f"{term}.limit"] = 0.2
        out[f"{term}.rate"] = 3000.0 if j == 0 else 0.0


def _driveline(out, path):
    out.update(
        {
            f"{path}.{name}": value
            for name, value in {
                "final_drive": 3.9,
                "propshaft_sense": -1.0,
                "shaft_inertia": 0.008,
                "gear_inertia": 0.03,
                "efficiency": 0.95,
                "throttle_lag": 0.05,
                "differential.preload": 50.0,
                "differential.lock_drive": 0.4,
                "differential.lock_coast": 0.2,
                "half_shafts.stiffness": 6000.0,
                "half_shafts.damping": 20.0,
                "windup.stiffness": 20e3,
                "windup.damping": 40.0,
                "windup.inertia": 1.2,
                "windup.flexible": 1.0,
                "engine.inertia": 0.18,
                "engine.drag.0": 12.0,
                "engine.drag.1": 0.05,
                "engine.idle": 90.0,
                "engine.idle_gain": 1.5,
                "engine.peak_torque": 190.0,
                "engine.peak_speed": 420.0,
                "engine.rise": 5e-4,
                "engine.fall.0": 15.0,
                "engine.fall.1": 10.0,
                "engine.fall_span": 180.0,
                "engine.limit": 700.0,
                "clutch.capacity": 350.0,
                "clutch.stiffness": 1200.0,
                "clutch.damping": 3.0,
                "peak_power": 110e3,
                "peak_torque": 2600.0,
            }.items()
        }
    )


def _strut(out, path, rate, low_bump, low_rebound):
    out[f"{path}.spring.preload"] = 0.0
    out[f"{path}.spring.rate"] = rate
    for i, low in enumerate((low_bump, low_rebound)):
        out[f"{path}.damper.low.{i}"] = low
        out[f"{path}.damper.high.{i}"] = 0.35 * low
        out[f"{path}.damper.inverse_knee.{i}"] = 1 / 0.12
    for name, gap in (("bump", 0.07), ("droop", 0.08)):
        out[f"{path}.{name}.gap"] = gap
        out[f"{path}.{name}.rate"] = 60e3
        out[f"{path}.{name}.progression"] = 3e6


def _compliance(out, path, shared):
    for name, own, other in (
        ("toe_lateral", -2e-7, 0.5e-7),
        ("toe_longitudinal", 0.0, 0.0),
        ("toe_aligning", 5e-6, 0.0),
        ("toe_brake", 0.0, 0.0),
        ("tilt_lateral", 6e-7, 0.0),
        ("lateral", 6e-7, 3e-7 if shared else 0.0),
        ("longitudinal", 2e-6, 0.0),
    ):
        for i in range(2):
            for j in range(2):
                out[f"{path}.{name}.{i}.{j}"] = own if i == j else other
    # left and right of these are mirror images
    for name, value in (("toe_longitudinal", 1.5e-7), ("toe_brake", 3e-7)):
        out[f"{path}.{name}.0.0"], out[f"{path}.{name}.1.1"] = value, -value


def _corner(out, path, i, x, roll_center, camber_gain, steered, rate, low, compression):
    side = 1 if i == 0 else -1
    _curve(out, f"{path}.x", x, -0.03, 0.05)
    _curve(
        out,
        f"{path}.y",
        side * TRACK_HALF,
        side * (roll_center / TRACK_HALF - RADIUS * camber_gain),
        -0.4 * side,
    )
    _curve(out, f"{path}.z", RADIUS - compression - HEIGHT, 1.0)
    _curve(out, f"{path}.toe", 0.001 * -side, -0.03 * side)
    _curve(out, f"{path}.tilt", 0.012 * side, camber_gain * side, 0.8 * side)
    _curve(out, f"{path}.pitch", 0.0, 0.15)
    _curve(out, f"{path}.spring", 0.0, 0.92, 0.3)
    _curve(out, f"{path}.damper", 0.0, 0.92, 0.3)
    _curve(out, f"{path}.bar", 0.0, 0.6)
    _strut(out, f"{path}.strut", rate, *low)
    _binding(out, f"{path}.binding", 3, 3)
    out[f"{path}.unsprung.mass"] = 38.0
    out[f"{path}.unsprung.inertia_diametral"] = 0.9
    out[f"{path}.unsprung.inertia_axial"] = 0.15
    _wheel(out, f"{path}.wheel")
    lean, caster = math.radians(13.0), math.radians(5.0)
    axis = (
        np.array([-math.tan(caster), -side * math.tan(lean), 1.0])
        if steered
        else np.array([0.0, 0.0, 1.0])
    )
    arm = [0.0, -side * 0.06, 0.0] if steered else [0.0, 0.0, 0.0]
    for k, value in enumerate(axis / np.linalg.norm(axis)):
        out[f"{path}.steering_axis.{k}"] = float(value)
        out[f"{path}.steering_arm.{k}"] = float(arm[k])


def numbers(solid_rear):
    """All numbers of the car, by dotted name."""
    out = {}
    half_front = MASS * GRAVITY * -REAR_X / (FRONT_X - REAR_X) / 2
    half_rear = MASS * GRAVITY / 2 - half_front
    sink_front, sink_rear = half_front / 190e3, half_rear / 190e3

    for i in range(2):
        _corner(
            out, f"front.side.{i}", i, FRONT_X, 0.06, 0.9, True, 26e3, (2600.0, 4200.0), sink_front
        )
    out["front.bar_rate"] = 45e3
    _compliance(out, "front.compliance", False)
    if solid_rear:
        axle_mass = 118.0
        _surface(out, "rear.x", one=REAR_X, h=-0.02, hh=0.3)
        _surface(out, "rear.y", r=0.03, h=0.004, hr=0.5, rr=0.2)
        out["rear.z"] = RADIUS - sink_rear - HEIGHT
        _surface(out, "rear.yaw", r=0.04, h=0.001, hr=-0.5)
        _surface(out, "rear.pitch", h=0.3, hh=0.5, rr=0.2)
        out["rear.half_track"] = TRACK_HALF
        for i in range(2):
            side = 1 if i == 0 else -1
            path = f"rear.side.{i}"
            _surface(out, f"{path}.spring", h=0.95, r=side * 0.45, hh=0.2, hr=side * 0.1, rr=0.05)
            _surface(out, f"{path}.damper", h=0.9, r=side * 0.5, hh=0.2)
            _surface(out, f"{path}.bar", h=0.8, r=side * 0.4)
            _strut(out, f"{path}.strut", 26e3, 1900.0, 3300.0)
            _wheel(out, f"{path}.wheel")
        _binding(out, "rear.binding", 12, 6)
        inertia = (25.0, 1.5)
        unsprung = [(axle_mass, (REAR_X, 0.0, out["rear.z"]))]
    else:
        for i in range(2):
            _corner(
                out,
                f"rear.side.{i}",
                i,
                REAR_X,
                0.08,
                0.8,
                False,
                26e3,
                (2000.0, 3400.0),
                sink_rear,
            )
        unsprung = [(38.0, (REAR_X, s * TRACK_HALF, RADIUS - sink_rear - HEIGHT)) for s in (1, -1)]
    if solid_rear:
        out["rear.unsprung.mass"] = axle_mass
        out["rear.unsprung.inertia_diametral"], out["rear.unsprung.inertia_axial"] = inertia
    out["rear.bar_rate"] = 8e3
    _compliance(out, "rear.compliance", True)
    unsprung += [(38.0, (FRONT_X, s * TRACK_HALF, RADIUS - sink_front - HEIGHT)) for s in (1, -1)]

    # the sprung body's center makes O the center of the whole
    sprung_mass = MASS - sum(m for m, _ in unsprung)
    center = -sum(m * np.array(c) for m, c in unsprung) / sprung_mass
    out["chassis.sprung.mass"] = sprung_mass
    for k in range(3):
        out[f"chassis.sprung.center.{k}"] = float(center[k])
    for k, value in enumerate((420.0, 1650.0, 1850.0, 0.0, -30.0, 0.0)):
        out[f"chassis.sprung.inertia.{k}"] = value
    out.update(
        {
            "chassis.height": HEIGHT,
            "chassis.gravity": GRAVITY,
            "chassis.steering.gain": 1 / 15.0,
            "chassis.steering.ackermann": 0.4,
            "chassis.steering.compliance": 6e-5,
            "chassis.front_brake_share": 0.68,
            "chassis.air.drag": 0.45,
            "chassis.air.drag_height": 0.05,
            "chassis.air.lift.0": 0.08,
            "chassis.air.lift.1": 0.12,
            "chassis.air.lift_x.0": FRONT_X,
            "chassis.air.lift_x.1": REAR_X,
            "chassis.lag": 0.01,
        }
    )
    _driveline(out, "chassis.driveline")
    _settle(out, solid_rear)
    return out


def _settle(out, solid_rear):
    """Sets the preloads so that the travels are in equilibrium at rest."""
    residual = car_equations.residual(list(out), solid_rear)
    state = np.zeros(car_equations.STATES)
    state[2] = HEIGHT
    still = car_equations.still()
    paths = [f"front.side.{i}.strut.spring.preload" for i in range(2)]
    paths += [f"rear.side.{i}.strut.spring.preload" for i in range(2)]

    def unbalance():
        left, _ = residual(state, np.zeros(car_equations.STATES), still, list(out.values()))
        return np.array(left).ravel()[16:20]

    base = unbalance()
    matrix = np.zeros((4, 4))
    for j, path in enumerate(paths):
        out[path] = 1.0
        matrix[:, j] = unbalance() - base
        out[path] = 0.0
    for path, value in zip(paths, np.linalg.solve(matrix, -base), strict=True):
        out[path] = float(value)
