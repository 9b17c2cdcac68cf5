"""Warnings and messages: one rule for every maneuver, and a reason for every missing number."""

from __future__ import annotations

import pickle
import re

import numpy as np
import pytest

import axletree as axt

WHEELS = ["front_left", "front_right", "rear_left", "rear_right"]
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
#: Settings with which a wheel of the tall car leaves the road.
HARD = {
    axt.StepSteer: {"lateral_acceleration": 8.0},
    axt.BrakingInATurn: {"lateral_acceleration": 8.0},
    axt.LiftOffInATurn: {"lateral_acceleration": 8.0},
}
#: A warning of one wheel, after the first: name, place, share of the run.
LIFT = re.compile(
    r"the (?P<wheel>\w+ \w+) wheel (?:is off the road from the (?P<start>start)|"
    r"(?:leaves the road )?at (?P<place>-?[\d.]+) (?:s|m/s\^2 of lateral acceleration|"
    r"deg between driving and braking)), off it for (?P<share>less than 0\.1|[\d.]+) %"
)
#: How far before the first sample off the road the place may lie: steps between the samples [s],
#: points of a curve [m/s^2]; the place is told to two digits, a direction in whole degrees.
BETWEEN = {"circle": 0.6, "acceleration_envelope": 0.5}


@pytest.fixture(scope="module")
def tall(solid):
    """A car that lifts a wheel before it slides."""
    return solid.edit(
        {
            "chassis.center_height": "750 mm",
            "front.tire.lateral.friction": 1.3,
            "rear.tire.lateral.friction": 1.3,
            "front.bar.outer_diameter": "34 mm",
        }
    )


def lifted_in_channels(run):
    """For each wheel that is off the road in the channels: first sample and share of the run."""
    if len(run.time) == 0:
        return {}
    if run.maneuver.name == "circle":
        axis = abs(run["lateral_acceleration"])
    elif run.maneuver.name == "acceleration_envelope":
        axis = np.degrees(run["acceleration_direction"])
    else:
        axis = run.time
    found = {}
    for wheel in WHEELS:
        off = run[f"load_{wheel}"] <= 0.0
        if off.any():
            weight = np.abs(np.diff(axis))
            share = np.sum(weight * (off[1:] + 0.0 + off[:-1]) / 2) / abs(axis[-1] - axis[0])
            found[wheel.replace("_", " ")] = (axis[np.argmax(off)], share)
    return found


def lifted_in_warning(run):
    found = {}
    for match in LIFT.finditer(run.warning or ""):
        share = match["share"]
        share = 0.0 if share.startswith("less") else float(share) / 100
        place = run.time[0] if match["start"] else float(match["place"])
        found[match["wheel"]] = (place, share)
    return found


@pytest.mark.parametrize("kind", MANEUVERS)
@pytest.mark.parametrize("car", ["solid", "tall"])
def test_every_maneuver_warns_of_a_load_of_zero(kind, car, request):
    """The warning is what the channels show: the wheel, the place and the share of the run.

    Steps between the samples are observed too, so that a wheel may be named that no sample shows
    off the road, for less than one in a thousand of the run.
    """
    run = kind(**(HARD.get(kind, {}) if car == "tall" else {})).run(request.getfixturevalue(car))
    if kind is axt.FrequencyResponse:
        # A linearization about straight running has no loads that change.
        assert run.warning is None
        return
    channels, warned = lifted_in_channels(run), lifted_in_warning(run)
    assert set(channels) <= set(warned), run.warning
    for wheel, (place, share) in warned.items():
        if wheel not in channels:
            assert share < 2e-3, run.warning
            continue
        first, part = channels[wheel]
        rounding = 0.5 if kind is axt.AccelerationEnvelope else 5e-3
        assert first - BETWEEN.get(kind.name, 0.02) - rounding <= place <= first + rounding
        assert share == pytest.approx(part, abs=1.5e-3), run.warning


def test_the_cars_of_the_last_test_lift_wheels(tall):
    """The rule is tested on runs that break it, in every kind of maneuver that can."""
    for kind in MANEUVERS:
        if kind not in (axt.FrequencyResponse, axt.Launch):
            run = kind(**HARD.get(kind, {})).run(tall)
            assert lifted_in_channels(run), kind.name


def test_rough_ground_and_bumps_warn(solid):
    """The bundled car lifts wheels on rough ground and over a bump."""
    for maneuver in (axt.RoughCorner(), axt.BumpInACorner()):
        run = maneuver.run(solid)
        assert min(run[f"load_{wheel}"].min() for wheel in WHEELS) == 0.0
        told = run.warning
        assert told is not None
        assert told.startswith("Warning: the ") and " wheel leaves the road at " in told
        assert told in repr(run) and told in run._repr_html_()
        # The metrics alone, a sweep and a comparison say the same.
        measured = maneuver.measure(solid)
        assert measured.warning == told and told in repr(measured)
        table = axt.compare({"a": solid, "b": solid}, maneuver)
        assert table.warnings() == [f"{car}, {maneuver.name}: {told}" for car in "ab"]
        sweep = axt.sweep(solid, {"rear.bar.outer_diameter": ["22 mm"]}, maneuver)
        assert sweep.warnings() == [f"row 0, {maneuver.name}: {told}"]
        assert told in repr(sweep) and told in sweep._repr_html_()
        assert pickle.loads(pickle.dumps(run)).warning == told


def test_a_quiet_run_does_not_warn(solid):
    for maneuver in (axt.StepSteer(), axt.Circle(), axt.Launch(), axt.BrakingInATurn()):
        assert maneuver.run(solid).warning is None and maneuver.measure(solid).warning is None
    assert axt.compare({"a": solid}, [axt.StepSteer(), axt.Circle()]).warnings() == []


def test_a_rollover_is_told_with_its_time(solid):
    """A car as tall as a van rolls over in a swerve."""
    van = solid.edit(
        {
            "chassis.center_height": "1100 mm",
            "front.tire.lateral.friction": 1.5,
            "rear.tire.lateral.friction": 1.5,
        }
    )
    run = axt.StepSteer(steering_wheel_angle="200 deg").run(van)
    assert run.outcome in ("rolled_over", "two_wheel_lift")
    over = {"rolled_over": "rolls over", "two_wheel_lift": "are off the road"}[run.outcome]
    assert f"{over} at {run.end_time:.2f} s" in run.warning
    # The wheels that left the road before are named too.
    assert lifted_in_channels(run).keys() == lifted_in_warning(run).keys()


def test_the_course_of_a_slalom_warns_too(tall):
    top = axt.Slalom().top_speed(tall)
    assert top.warning is not None and top.warning in repr(top)
    assert axt.Slalom().measure(tall).warning == top.warning


# ── a missing number has its reason ──────────────────────────────────────────────────────────────


def reasons(message):
    """The reasons in a message, by the name of the metric."""
    first, *rest = message.split("; ")
    assert first == "completed"
    found = {}
    for part in rest:
        names, reason = part.removeprefix("no ").split(": ", 1)
        assert part.startswith("no ") and reason
        found |= dict.fromkeys(names.split(", "), reason)
    return found


#: Settings that leave metrics undefined although the run completes.
SPARSE = [
    axt.StepSteer(lateral_acceleration=0.02),
    axt.StepSteer(settle=0.3, window=0.05),
    axt.Circle(range=(15.0, 20.0)),
    axt.FrequencyResponse(frequencies=(2.0, 3.0)),
    axt.FrequencyResponse(frequencies=(0.1, 0.2)),
    axt.SineWithDwell(amplitude="10 deg"),
    axt.SineWithDwell(),
    axt.BumpInACorner(under="left"),
    axt.BumpInACorner(under="front_left"),
    axt.Launch(distance=1.0),
    axt.AccelerationEnvelope(directions=3, exit_share=0.05),
    axt.BrakingInATurn(),
    axt.LiftOffInATurn(),
    axt.RoughCorner(window=0.2),
]


@pytest.mark.parametrize("maneuver", SPARSE, ids=lambda m: m.name)
def test_a_missing_number_has_its_reason(maneuver, solid, independent):
    for car in (solid, independent):
        measured, run = maneuver.measure(car), maneuver.run(car)
        assert measured.message == run.message
        missing = [name for name, value in measured.items() if value is None]
        if measured.outcome != "completed":
            # The outcome is the reason.
            assert measured.message != "completed"
            continue
        told = reasons(measured.message)
        assert list(told) == missing or set(told) == set(missing)
        assert "no value was found" not in measured.message
        assert all(name in run.message for name in missing)


def test_reasons_are_declared_and_reach_tables(solid):
    table = axt.compare({"a": solid}, axt.Circle())
    ((name, message, _),) = table.outcomes["circle"]
    assert name == "completed"
    assert reasons(message) == {
        "wheel_lift_lateral_acceleration": "no wheel leaves the road up to the limit"
    }
    declared = {metric["name"]: metric["missing"] for metric in axt.Circle.metrics()}
    assert declared["wheel_lift_lateral_acceleration"] in message
    sweep = axt.sweep(solid, {"rear.bar.outer_diameter": ["22 mm", "1 m"]}, axt.Circle())
    (_, first, _), (_, second, _) = sweep.outcomes["circle"]
    assert first == message
    # A car that could not be built says why.
    assert second.startswith("the car could not be built from its description: ")
    assert second.endswith('outer_diameter = "1 m" is out of range (allowed: 0 to 60 mm)')


def test_a_slalom_at_one_speed_has_no_top_speed_and_says_so(solid):
    run = axt.Slalom(cones=4).run(solid, speed=12.0)
    assert run.metrics["top_speed"] is None
    assert reasons(run.message) == {
        "top_speed": "a search at one speed does not look for the highest"
    }


def test_an_angle_of_zero_is_refused():
    """A step of no angle has no response to measure."""
    with pytest.raises(axt.SettingError, match=r"steering_wheel_angle \(magnitude\)"):
        axt.StepSteer(steering_wheel_angle=0.0)
