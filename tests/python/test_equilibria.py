"""Static sheet, steady states and linearization from Python."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

import axletree as axt

G = 9.80665


def test_static_sheet(solid):
    sheet = axt.static_sheet(solid)
    loads = [sheet[f"load_{w}"] for w in ("front_left", "front_right", "rear_left", "rear_right")]
    assert sum(loads) == pytest.approx(sheet["mass"] * G, rel=1e-6)
    for key in [
        "wheel_rate_front",
        "ride_frequency_rear",
        "damping_ratio_front",
        "roll_stiffness_rear",
        "roll_stiffness_front_share",
        "roll_center_height_rear",
        "anti_squat_rear",
        "anti_dive_front",
        "roll_steer_rear",
        "camber_gain_front",
    ]:
        assert np.isfinite(sheet[key]) and sheet.units[key] and sheet.meanings[key], key
    assert sheet["unsprung_mass_rear"] > 100
    assert dict(sheet) == dict(axt.static_sheet(solid)) and sheet == axt.static_sheet(solid)
    assert pickle.loads(pickle.dumps(sheet)) == sheet


def test_stiffer_rear_bar_shows_in_the_sheet(solid):
    stiffer = axt.static_sheet(solid.edit({"rear.bar.outer_diameter": "26 mm"}))
    base = axt.static_sheet(solid)
    assert stiffer["roll_stiffness_bar_rear"] > base["roll_stiffness_bar_rear"] * 1.3
    assert stiffer["roll_stiffness_front_share"] < base["roll_stiffness_front_share"]
    assert stiffer["roll_stiffness_bar_front"] == base["roll_stiffness_bar_front"]
    assert stiffer["roll_gradient"] < base["roll_gradient"]


def test_sheet_as_table(solid):
    sheet = axt.static_sheet(solid)
    frame = sheet.to_pandas()
    assert frame.loc["mass", "value"] == sheet["mass"] and frame.loc["mass", "unit"] == "kg"
    assert list(frame.index) == list(sheet)
    text, markup = repr(sheet), sheet._repr_html_()
    for key in sheet:
        assert key in text and key in markup
    assert markup.count("<tr>") == len(sheet) + 1


def test_steady_state(solid):
    trim = axt.steady_state(solid, speed=20.0, lateral_acceleration=6.0)
    assert trim["speed"] == pytest.approx(20.0, rel=1e-9)
    assert trim["lateral_acceleration"] == pytest.approx(6.0, rel=1e-9)
    # In steady motion the yaw rate is lateral acceleration over forward velocity.
    assert trim["yaw_rate"] * trim["forward_velocity"] == pytest.approx(6.0, rel=1e-6)
    # In a left turn the body leans to the right and the right wheels carry more.
    assert trim["roll"] > 0 and trim.steering_wheel_angle > 0
    wheels = trim.wheels
    assert wheels["front_right"]["load"] > wheels["front_left"]["load"]
    assert wheels["rear_right"]["load"] > wheels["rear_left"]["load"]
    # It is an equilibrium of the equations.
    model = solid.assemble()
    rate = model.derivative(
        trim.state, steering_wheel=trim.steering_wheel_angle, drive_torque=trim.drive_torque
    )
    assert np.abs(rate[6:]).max() < 1e-6
    assert np.abs(model.derivative(trim.state)[6:]).max() > 0.1
    assert "roll" in repr(trim) and "<table" in trim._repr_html_()
    right = axt.steady_state(solid, speed=20.0, lateral_acceleration=-6.0)
    assert right["roll"] < 0
    assert axt.steady_state(solid, "72 km/h", "6 m/s^2")["roll"] == trim["roll"]


def test_steady_state_while_speeding_up(solid):
    trim = axt.steady_state(solid, speed=20.0, longitudinal_acceleration=1.0)
    hold = axt.steady_state(solid, speed=20.0)
    assert trim["longitudinal_acceleration"] == pytest.approx(1.0, rel=1e-6)
    # Force for a mass, at the wheel's radius of about 0.3 m, and a little for the wheels' inertia.
    more = trim.drive_torque - hold.drive_torque
    assert 0.95 < more / (solid.assemble().mass * 0.31) < 1.15
    assert trim.wheels["rear_left"]["load"] > hold.wheels["rear_left"]["load"]


def test_no_equilibrium_is_an_error(solid):
    with pytest.raises(axt.EquilibriumError, match="the last one found"):
        axt.steady_state(solid, speed=20.0, lateral_acceleration=15.0)
    with pytest.raises(axt.EquilibriumError):
        axt.steady_state(solid, speed=-3.0)
    with pytest.raises(ValueError, match="expected m/s"):
        axt.steady_state(solid, speed="20 kg")
    with pytest.raises(TypeError):
        axt.steady_state(solid, speed=None)
    with pytest.raises(TypeError):
        axt.steady_state("bramble-solid", speed=20.0)


def test_linearization(solid):
    lin = axt.linearize(solid, speed=25.0)
    n = len(lin.state_names)
    assert lin.A.shape == (n, n) == (49, 49) and lin.B.shape == (n, 4)
    assert lin.C.shape == (len(lin.output_names), n) and lin.D.shape == (len(lin.output_names), 4)
    assert lin.state_names == solid.assemble().state_names
    # Columns of A are derivatives of the rate: compared with central differences of the equations.
    model = solid.assemble()
    trim = axt.steady_state(solid, speed=25.0)
    np.testing.assert_allclose(lin.state, trim.state, atol=1e-12)
    for name in ("velocity_y", "rate_z", "roll"):
        i, h = lin.state_names.index(name), 1e-5
        up, down = trim.state.copy(), trim.state.copy()
        up[i] += h
        down[i] -= h
        inputs = {"drive_torque": trim.drive_torque, "steering_wheel": trim.steering_wheel_angle}
        slope = (model.derivative(up, **inputs) - model.derivative(down, **inputs)) / (2 * h)
        np.testing.assert_allclose(lin.A[:, i], slope, rtol=1e-4, atol=1e-4 * np.abs(slope).max())
    yaw = lin.output_names.index("yaw_rate")
    assert lin.C[yaw, lin.state_names.index("rate_z")] == pytest.approx(1.0, abs=1e-2)


def test_modes_are_the_eigenvalues_of_a(solid):
    lin = axt.linearize(solid, speed=25.0)
    modes = lin.modes()
    eigenvalues = np.linalg.eigvals(lin.A)
    for mode in modes:
        assert mode.name
        assert mode.frequency == pytest.approx(
            abs(mode.eigenvalue) / (2 * np.pi), rel=1e-9, abs=1e-12
        )
        if abs(mode.eigenvalue) > 1e-3:
            assert np.abs(eigenvalues - mode.eigenvalue).min() < 1e-5 * abs(mode.eigenvalue)
            ratio = -mode.eigenvalue.real / abs(mode.eigenvalue)
            assert mode.damping == pytest.approx(ratio, abs=1e-9)
        assert sum(mode.shares.values()) == pytest.approx(1.0, rel=1e-6)
    names = [mode.name for mode in modes]
    assert any("yaw" in name for name in names) and any("roll" in name for name in names)
    assert modes == lin.modes()
    assert all(name in repr(lin) for name in names)
    again = pickle.loads(pickle.dumps(lin))
    assert np.array_equal(again.A, lin.A) and again.modes() == modes


def test_utilization_is_the_channel_of_that_name(solid):
    run = axt.Circle(speed=20.0).run(solid)
    k = len(run["speed"]) // 2
    trim = axt.steady_state(
        solid, speed=run["speed"][k], lateral_acceleration=run["lateral_acceleration"][k]
    )
    for wheel in ("front_left", "front_right", "rear_left", "rear_right"):
        name = f"utilization_{wheel}"
        assert 0.05 < run[name][k] < 0.95
        assert trim[name] == pytest.approx(run[name][k], abs=1e-5)
