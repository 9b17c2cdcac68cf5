"""Fitting a tire from Python."""

from __future__ import annotations

import numpy as np
import pytest

import axletree as axt


def curve(slip, load):
    """Lateral force of a tire whose friction falls with load, by the magic formula.

    Source: shape after Pacejka, Tire and Vehicle Dynamics, ch. 4; the factors here are chosen, not
    measured.
    """
    friction = 1.0 * (1 - 0.1 * (load - 4000) / 4000)
    stiffness = 60000 * np.sin(2 * np.arctan(load / 5600)) / np.sin(2 * np.arctan(4000 / 5600))
    shape, curvature = 1.35, -0.5
    peak = friction * load
    b = stiffness / (shape * peak) * np.tan(slip)
    return peak * np.sin(shape * np.arctan(b - curvature * (b - np.arctan(b))))


@pytest.fixture(scope="module")
def rows():
    slip, load = np.meshgrid(np.linspace(-0.2, 0.2, 41), [2000.0, 4000.0, 6000.0])
    slip, load = slip.ravel(), load.ravel()
    return {"slip_angle": slip, "load": load, "fy": curve(slip, load)}


def test_fit_finds_the_curve_it_was_given(rows):
    fit = axt.fit_tire(rows, unloaded_radius="316 mm", nominal_load=4000.0)
    assert fit.values["lateral.friction"] == pytest.approx(1.0, rel=2e-3)
    assert fit.values["lateral.friction_fall"] == pytest.approx(0.1, rel=2e-2)
    assert fit.values["lateral.stiffness"] == pytest.approx(60000, rel=5e-3)
    assert fit.values["lateral.shape"] == pytest.approx(1.35, rel=1e-2)
    assert fit.residuals["fy"] < 0.003 * np.abs(rows["fy"]).max()
    assert fit.residuals["mz"] is None
    assert all(error < 0.05 for error in fit.standard_errors.values() if error < 1) and fit.notes


def test_a_fitted_tire_goes_on_a_car(solid, rows):
    fit = axt.fit_tire(rows)
    edits = fit.edits("rear")
    assert all(path in solid.paths() for path in edits)
    car = solid.edit(edits)
    for path, value in edits.items():
        assert car[path] == pytest.approx(value)
    limit = axt.Circle().measure(car)["lateral_acceleration_limit"]
    assert limit != axt.Circle().measure(solid)["lateral_acceleration_limit"]
    with pytest.raises(ValueError, match="front"):
        fit.edits("left")


@pytest.mark.parametrize("grip", [1.1, 6.0])
def test_law_a_fit_at_its_limits_goes_on_a_car(solid, grip):
    """A stiffness that grows with load has no peak load; no tire has a grip of 6."""
    load = np.repeat([2000.0, 3500.0, 5000.0], 21)
    angle = np.tile(np.linspace(-0.2, 0.2, 21), 3)
    fy = grip * load * np.sin(1.4 * np.arctan(14 * angle))
    fit = axt.fit_tire({"load": load, "slip_angle": angle, "fy": fy})
    assert any("ended at its limit" in note for note in fit.notes)
    car = solid.edit(fit.edits("front"))
    assert all(car[path] == value for path, value in fit.edits("front").items())


def test_pandas_frames_are_rows(rows):
    pandas = pytest.importorskip("pandas")
    assert axt.fit_tire(pandas.DataFrame(rows)).values == axt.fit_tire(rows).values


@pytest.mark.parametrize(
    ("change", "error"),
    [
        ({"fy": None}, axt.TireError),
        ({"load": [-1.0] * 123}, axt.TireError),
        ({"fy": [float("nan")] * 123}, axt.TireError),
        ({"load": None}, ValueError),
        ({"grip": [1.0] * 123}, ValueError),
        ({"fy": [1.0, 2.0]}, ValueError),
        ({"fy": ["much"] * 123}, ValueError),
    ],
)
def test_invalid_rows(rows, change, error):
    given = {name: column for name, column in {**rows, **change}.items() if column is not None}
    with pytest.raises(error):
        axt.fit_tire(given)
