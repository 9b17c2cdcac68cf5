"""Settings of maneuvers: what is wrong is told with maneuver, setting, value and unit."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from fractions import Fraction

import numpy as np
import pytest

import axletree as axt

MANEUVERS = [
    axt.StepSteer,
    axt.Circle,
    axt.FrequencyResponse,
    axt.SineWithDwell,
    axt.BrakingInATurn,
    axt.LiftOffInATurn,
    axt.BumpInACorner,
    axt.RoughCorner,
    axt.AccelerationEnvelope,
    axt.Launch,
    axt.CornerExit,
    axt.DoubleLaneChange,
    axt.Slalom,
]
FIELDS = [(kind, field) for kind in MANEUVERS for field in dataclasses.fields(kind)]
#: Settings that are used only beside another one.
BESIDE = {
    ("step_steer", "tolerance"): {"integrator": "adaptive"},
    ("frequency_response", "lateral_acceleration"): {"method": "swept_sine"},
    ("frequency_response", "duration"): {"method": "swept_sine"},
    ("bump_in_a_corner", "slope"): {"shape": "kerb"},
}


def beside(kind, setting):
    if setting == "tolerance":
        return {"integrator": "adaptive"}
    return BESIDE.get((kind.name, setting), {})


@pytest.mark.parametrize(
    ("make", "error", "parts"),
    [
        (lambda: axt.Slalom(step="20 mph"), ValueError, ["slalom.step [s]", "20 mph", "m/s"]),
        (lambda: axt.Circle(radius=float("nan")), ValueError, ["circle.radius [m]", "nan"]),
        (lambda: axt.Circle(range=8.0), TypeError, ["circle.range [m/s^2]", "two values", "8.0"]),
        (lambda: axt.Circle(range=(1.0, "4 kg")), ValueError, ["circle.range [m/s^2]", "4 kg"]),
        (
            lambda: axt.DoubleLaneChange(hand_lag=2.5),
            axt.SettingError,
            ["double_lane_change.hand_lag = 2.5 s"],
        ),
        (
            lambda: axt.BumpInACorner(height=0.5),
            axt.SettingError,
            ["bump_in_a_corner.height = 0.5 m"],
        ),
        (
            lambda: axt.BumpInACorner(shape="kerb", length=-0.2),
            axt.SettingError,
            ["bump_in_a_corner.length = -0.2 m"],
        ),
        (lambda: axt.StepSteer(hold_speed="yes"), TypeError, ["step_steer.hold_speed", "'yes'"]),
        (lambda: axt.Slalom(cones=8.5), TypeError, ["slalom.cones", "8.5"]),
        (lambda: axt.RoughCorner(seed=-1), ValueError, ["rough_corner.seed", "negative"]),
        (lambda: axt.RoughCorner(seed=10**30), ValueError, ["rough_corner.seed", "too large"]),
        (lambda: axt.RoughCorner(road_class="E"), TypeError, ["rough_corner.road_class", "`E`"]),
        (lambda: axt.RoughCorner(road_class=1), TypeError, ["rough_corner.road_class", "a word"]),
        (lambda: axt.BumpInACorner(under="all"), TypeError, ["bump_in_a_corner.under", "`all`"]),
        (
            lambda: axt.DoubleLaneChange(course="chicane"),
            TypeError,
            ["double_lane_change.course", "`chicane`"],
        ),
        (
            lambda: axt.StepSteer(integrator="quick"),
            ValueError,
            ["step_steer.integrator", "'quick'", "adaptive"],
        ),
        (
            lambda: axt.Launch(integrator="adaptive", tolerance=0.1),
            axt.SettingError,
            ["launch.tolerance = 0.1"],
        ),
        (lambda: axt.Launch(shift_time=10**400), ValueError, ["launch.shift_time [s]", "large"]),
        (lambda: axt.Launch(clutch_time=20.0), axt.SettingError, ["launch.clutch_time = 20 s"]),
        (lambda: axt.StepSteer(friction=True), TypeError, ["step_steer.friction", "True"]),
        (lambda: axt.StepSteer(speed=1 + 2j), TypeError, ["step_steer.speed [m/s]", "(1+2j)"]),
        (lambda: axt.StepSteer(speed=np.array([20.0, 30.0])), TypeError, ["step_steer.speed"]),
        # Both settings are known: the constructor refuses what the drive would.
        (
            lambda: axt.StepSteer(window=0.05, steering_wheel_angle=-20.0),
            axt.SettingError,
            ["step_steer.steering_wheel_angle", "settle = 2 s"],
        ),
        (
            lambda: axt.RoughCorner(radius=5.0, window=60.0),
            axt.SettingError,
            ["settle and window", "length of the circle"],
        ),
    ],
)
def test_a_wrong_setting_is_named(make, error, parts):
    with pytest.raises(error) as caught:
        make()
    for part in parts:
        assert part in str(caught.value), caught.value


@pytest.mark.parametrize(("kind", "field"), FIELDS)
@pytest.mark.parametrize("value", ["20 Hz*kg", float("nan"), float("inf"), [], object(), b"1"])
def test_every_setting_is_named_where_its_value_is_no_value(kind, field, value):
    """A wrong unit, a number that is none, an empty list, an object, bytes."""
    with pytest.raises((TypeError, ValueError)) as caught:
        kind(**{field.name: value, **beside(kind, field.name)})
    # A word is a word; one that is unknown is named too.
    assert str(caught.value).startswith(f"{kind.name}.{field.name}"), caught.value


@pytest.mark.parametrize(("kind", "field"), FIELDS)
@pytest.mark.parametrize("value", [1e9, -1e9])
def test_every_setting_out_of_range_is_named(kind, field, value):
    kinds = str(field.type)
    if "bool" in kinds or "str" in kinds:
        return
    if "int" in kinds:
        value = int(value)
    if "tuple" in kinds:
        value = (value, value)
    if field.name in ("seed", "gear") and value > 0:
        # Any road has a number; the gears are those of the car.
        kind(**{field.name: value})
        return
    with pytest.raises((axt.SettingError, ValueError)) as caught:
        kind(**{field.name: value, **beside(kind, field.name)})
    assert f"{kind.name}.{field.name}" in str(caught.value), caught.value


def test_numbers_of_all_kinds_are_settings():
    assert axt.StepSteer(hold_speed=np.True_).hold_speed is True
    assert axt.Circle(to_left=np.bool_(False)).to_left is False
    assert axt.Slalom(cones=np.int64(6)).cones == 6
    assert axt.StepSteer(speed=np.float32(20.0)).speed == 20.0
    assert axt.StepSteer(speed=Fraction(41, 2)).speed == 20.5
    assert axt.StepSteer(friction="90 %").friction == 0.9
    assert axt.Circle(range=np.array([1.0, 3.0])).range == (1.0, 3.0)
    assert axt.Circle(range=["1 m/s^2", 3]).range == (1.0, 3.0)


def test_quantities_are_finite():
    for value in (float("nan"), float("inf"), -float("inf"), np.float64("nan")):
        with pytest.raises(ValueError, match="finite"):
            axt.si(value)
        with pytest.raises(ValueError, match="finite"):
            axt.span(value, 1.0, 3)
        with pytest.raises(ValueError, match="finite"):
            axt.span(0.0, value, 3)
    with pytest.raises(ValueError, match="large"):
        axt.si(10**400)
    with pytest.raises(ValueError, match="without a unit"):
        axt.si("3 m", "")
    for value in (True, np.True_, None, 1j, np.array([1.0]), [1.0], b"1"):
        with pytest.raises(TypeError, match="expected a number"):
            axt.si(value)


def test_a_default_gives_way_to_the_setting_that_replaces_it(solid):
    circle = dataclasses.replace(axt.Circle(), speed=20.0)
    assert circle == axt.Circle(speed=20.0) and circle.radius is None
    launch = dataclasses.replace(axt.Launch(), clutch_time=0.3)
    assert launch == axt.Launch(clutch_time=0.3) and launch.held_slip is None
    # Copies keep the defaults apart from what was given.
    for same in (
        pickle.loads(pickle.dumps(axt.Circle())),
        copy.deepcopy(axt.Circle()),
        dataclasses.replace(axt.Circle()),
    ):
        assert same == axt.Circle() and same.radius == 100.0
        assert dataclasses.replace(same, speed=20.0) == circle
    # Back again, and within the same method.
    assert dataclasses.replace(circle, speed=None) == axt.Circle()
    assert dataclasses.replace(circle, speed=25.0).speed == 25.0
    assert dataclasses.replace(axt.Circle(), radius=50.0).radius == 50.0
    assert repr(axt.Circle()).startswith("Circle(radius=100.0, speed=None")
    # What was given is not dropped.
    for make in (
        lambda: axt.Circle(radius=100.0, speed=20.0),
        lambda: dataclasses.replace(axt.Circle(radius=100.0), speed=20.0),
        lambda: axt.Launch(held_slip=0.1, clutch_time=0.3),
    ):
        with pytest.raises(ValueError, match="exclude each other"):
            make()
    assert circle.measure(solid).outcome == "completed"
