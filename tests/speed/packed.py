"""The numbers of a car with independent rear suspension, as arrays over its wheels.

Order of the wheels everywhere: front left, front right, rear left, rear right.
"""

from __future__ import annotations

from collections import namedtuple

import numpy as np

CURVES = ("x", "y", "z", "toe", "tilt", "pitch", "spring", "damper", "bar")
DIRECTION = (
    *(
        "friction_unloaded",
        "friction_slope",
        "friction_floor",
        "softness",
        "stiffness_load",
        "shape",
    ),
    *("curvature", "steepness", "normalization", "carcass_stiffness", "stiffness_floor"),
)
TIRE = (
    *(
        "unloaded_radius",
        "radius_fraction",
        "vertical_stiffness",
        "vertical_damping",
        "camber_thrust",
    ),
    *("camber_grip_loss", "camber_stiffness_loss", "trail_by_root", "trail_slip"),
    *("carcass_damping_time", "rolling_resistance"),
)
STOP = ("gap", "rate", "progression")
COMPLIANCE = (
    *("toe_lateral", "toe_longitudinal", "toe_aligning", "toe_brake", "tilt_lateral"),
    *("lateral", "longitudinal"),
)
CHASSIS = (
    *("gravity", "steering.gain", "steering.ackermann", "steering.compliance", "front_brake_share"),
    *(
        "air.drag",
        "air.drag_height",
        "air.lift.0",
        "air.lift.1",
        "air.lift_x.0",
        "air.lift_x.1",
        "lag",
    ),
)
DRIVELINE = (
    *("final_drive", "shaft_inertia", "gear_inertia", "efficiency", "throttle_lag"),
    *("differential.preload", "differential.lock_drive", "differential.lock_coast"),
    *("half_shafts.stiffness", "half_shafts.damping"),
    *("windup.stiffness", "windup.damping", "windup.inertia", "windup.flexible"),
    *("engine.inertia", "engine.drag.0", "engine.drag.1", "engine.idle", "engine.idle_gain"),
    *("engine.peak_torque", "engine.peak_speed", "engine.rise", "engine.fall.0", "engine.fall.1"),
    *("engine.fall_span", "engine.limit"),
    *("clutch.capacity", "clutch.stiffness", "clutch.damping"),
)

Car = namedtuple(
    "Car",
    [
        "curve",  # 4 wheels x 9 curves x 5 powers of travel
        "spring",  # 4 x (preload, rate)
        "damper",  # 4 x (bump, rebound) x (low, high, inverse knee)
        "stop",  # 4 x (bump, droop) x (gap, rate, progression)
        "binding",  # 4 x 3 powers, from the square
        "tilt_squared",  # 4 x 3 links x 3 powers
        "tilt_limit",  # 4 x 3
        "tilt_rate",  # 4 x 3
        "unsprung",  # 4 x (mass, diametral, axial inertia)
        "spin_inertia",  # 4
        "direction",  # 4 x (along, across) x numbers of a direction
        "tire",  # 4 x numbers of a tire
        "axis",  # 4 x 3, steering axis
        "plate",  # 4 x 5, from the angle of a wheel on a turn plate to the turn of its knuckle
        "arm",  # 4 x 3, from wheel center to steering axis
        "bar_rate",  # 2 ends
        "compliance",  # 2 ends x 7 x of wheel x by wheel
        "mass",  # of the sprung body
        "center",  # 3
        "inertia",  # 3 x 3, about its own center
        "base",  # 6 x 6, inertia matrix of the sprung body about O
        "chassis",
        "driveline",
    ],
)


def skew(a):
    """Matrix of the cross product with ``a``."""
    return np.array([[0.0, -a[2], a[1]], [a[2], 0.0, -a[0]], [-a[1], a[0], 0.0]])


def turn_plate(of, wheel):
    """Wheel axis, turned about the steering axis, along the direction in which the wheel points.

    At rest, in axes of the wheel's toe. With that direction at an angle from the one at rest: the
    axis itself by the sine; its part along the steering axis by cosine and sine; the other part,
    turned by a right angle, by cosine and sine.
    """
    tilt, pitch = of(f"{wheel}.tilt.c", [0])[0], of(f"{wheel}.pitch.c", [0])[0]
    about_x = np.array(
        [[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]]
    )
    about_y = np.array(
        [[np.cos(pitch), 0, np.sin(pitch)], [0, 1, 0], [-np.sin(pitch), 0, np.cos(pitch)]]
    )
    axis = about_x @ about_y @ of(f"{wheel}.steering_axis", range(3))
    own = about_x[:, 1]
    part, turned = (axis @ own) * axis, np.cross(axis, own)
    return np.array([own[1], part[0], part[1], turned[0], turned[1]])


def pack(numbers):
    """Arrays from the numbers by dotted name."""

    def of(prefix, names):
        return np.array([numbers[f"{prefix}.{name}"] for name in names])

    def wheels(get):
        return np.array([get(f"{end}.side.{i}") for end in ("front", "rear") for i in range(2)])

    mass, center = numbers["chassis.sprung.mass"], of("chassis.sprung.center", range(3))
    xx, yy, zz, xy, xz, yz = of("chassis.sprung.inertia", range(6))
    inertia = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])
    moment = mass * skew(center)
    base = np.block([[mass * np.eye(3), -moment], [moment, inertia - moment @ skew(center)]])
    return Car(
        curve=wheels(lambda w: [of(f"{w}.{curve}.c", range(5)) for curve in CURVES]),
        spring=wheels(lambda w: of(f"{w}.strut.spring", ("preload", "rate"))),
        damper=wheels(
            lambda w: [
                of(f"{w}.strut.damper", (f"low.{i}", f"high.{i}", f"inverse_knee.{i}"))
                for i in range(2)
            ]
        ),
        stop=wheels(lambda w: [of(f"{w}.strut.{stop}", STOP) for stop in ("bump", "droop")]),
        binding=wheels(lambda w: of(f"{w}.binding.c", range(3))),
        tilt_squared=wheels(
            lambda w: [of(f"{w}.binding.solid.{i}.tilt_squared", range(3)) for i in range(3)]
        ),
        tilt_limit=wheels(lambda w: of(f"{w}.binding.solid", [f"{i}.limit" for i in range(3)])),
        tilt_rate=wheels(lambda w: of(f"{w}.binding.solid", [f"{i}.rate" for i in range(3)])),
        unsprung=wheels(
            lambda w: of(f"{w}.unsprung", ("mass", "inertia_diametral", "inertia_axial"))
        ),
        spin_inertia=wheels(lambda w: numbers[f"{w}.wheel.spin_inertia"]),
        direction=wheels(lambda w: [of(f"{w}.wheel.tire.{way}", DIRECTION) for way in "xy"]),
        tire=wheels(lambda w: of(f"{w}.wheel.tire", TIRE)),
        axis=wheels(lambda w: of(f"{w}.steering_axis", range(3))),
        plate=wheels(lambda w: turn_plate(of, w)),
        arm=wheels(lambda w: of(f"{w}.steering_arm", range(3))),
        bar_rate=np.array([numbers[f"{end}.bar_rate"] for end in ("front", "rear")]),
        compliance=np.array(
            [
                [
                    [
                        [numbers[f"{end}.compliance.{kind}.{i}.{j}"] for j in range(2)]
                        for i in range(2)
                    ]
                    for kind in COMPLIANCE
                ]
                for end in ("front", "rear")
            ]
        ),
        mass=mass,
        center=center,
        inertia=inertia,
        base=base,
        chassis=of("chassis", CHASSIS),
        driveline=of("chassis.driveline", DRIVELINE),
    )


def with_lag(car, lag):
    """The same car with another time constant of the links that yield."""
    chassis = car.chassis.copy()
    chassis[CHASSIS.index("lag")] = lag
    return car._replace(chassis=chassis)
