"""Kinematics of linkages from Python: figures, curves, binding, pictures."""

from __future__ import annotations

import pickle

import matplotlib
import numpy as np
import pytest

import axletree as axt

matplotlib.use("Agg")

LINKED = ["bramble-solid", "bramble-solid-located", "bramble-solid-watts", "bramble-independent"]


@pytest.fixture(params=LINKED)
def linked(request):
    return axt.Car.load(request.param)


def test_figures_are_those_of_the_static_sheet(linked):
    """Two routes: the linkage's own rates, and the assembled curves read by virtual work."""
    k, sheet = axt.kinematics(linked), axt.static_sheet(linked)
    assert k.figures["roll_center_height"] == pytest.approx(
        sheet["roll_center_height_rear"], abs=5e-4
    )
    assert k.figures["anti_squat"] == pytest.approx(sheet["anti_squat_rear"], abs=0.5)
    assert k.figures["roll_center_slope"] == pytest.approx(
        sheet["roll_center_slope_rear"], abs=0.03
    )
    if k.solid:
        bound = k.figures["binding_roll_stiffness"]
        assert sheet["roll_stiffness_binding_rear"] == pytest.approx(bound, rel=0.03)
        share = sheet["roll_stiffness_binding_rear"] / sheet["roll_stiffness_rear"]
        assert sheet["binding_share_rear"] == pytest.approx(share)
        assert k.figures["walk_by_heave"] == pytest.approx(sheet["lateral_walk_rear"], abs=1e-3)
        assert k.figures["pinion_by_heave"] == pytest.approx(sheet["pinion_gain_rear"], rel=0.01)


def test_roll_center_slope_is_that_of_the_file(solid):
    sheet = axt.static_sheet(solid)
    written = solid["front.geometry.roll_center_slope"]
    assert sheet["roll_center_slope_front"] == pytest.approx(written, abs=1e-3)


def test_curves_agree_with_the_figures(linked):
    k = axt.kinematics(linked)
    c = k.curves
    if k.solid:
        still = np.abs(c["roll"]) < 1e-12
        heave, pinion = c["heave"][still], c["pinion"][still]
        slope = np.polyfit(heave, pinion, 4)[-2]
        assert slope == pytest.approx(k.figures["pinion_by_heave"], rel=2e-2)
    else:
        slope = np.polyfit(c["travel"], c["camber"], 4)[-2]
        assert slope == pytest.approx(k.figures["camber_gain"], rel=2e-2)
    assert set(c.units) == set(c)
    assert len(c.to_pandas()) == len(c["roll_center_height"])
    assert all(error >= 0 for _, error in k.fit_errors.values()) and k.fit_errors


def test_binding_is_odd_and_grows(solid):
    k = axt.kinematics(solid)
    roll, moment = k.binding["roll"], k.binding["moment"]
    np.testing.assert_allclose(moment, -moment[::-1], atol=1e-6 * np.abs(moment).max())
    middle = len(roll) // 2
    slope = (moment[middle + 1] - moment[middle - 1]) / (roll[middle + 1] - roll[middle - 1])
    assert slope == pytest.approx(k.figures["binding_roll_stiffness"], rel=0.02)


def test_one_edit_swaps_the_material(solid):
    """Rubber binds less than polyurethane, spherical ends least (common practice, no source)."""
    stiffness = [
        axt.kinematics(solid.edit({"rear.links.material": m})).figures["binding_roll_stiffness"]
        for m in ("spherical", "rubber", "polyurethane")
    ]
    assert stiffness[0] < 0.1 * stiffness[1] and stiffness[1] * 2 < stiffness[2]


def test_pieces_are_at_the_hardpoints(solid):
    k = axt.kinematics(solid)
    lower = next(p for p in k.pieces if p.name.startswith("lower link") and p.points[0][1] > 0)
    written = tuple(solid[f"rear.links.lower.body.{axis}"] for axis in "xyz")
    assert any(np.allclose(point, written) for point in lower.points)
    assert all(
        p.fixed[0] != p.fixed[1] for p in k.pieces if p.kind == "link" and "Watt" not in p.name
    )


def test_display_and_pickle(linked, tmp_path):
    k = axt.kinematics(linked)
    assert pickle.loads(pickle.dumps(k)) == k
    assert "roll_center_height" in repr(k) and "<table" in k._repr_html_()
    assert set(k.units) == set(k.meanings) == set(k.figures)
    for figure in (k.plot(), k.plot_curves()):
        figure.savefig(tmp_path / "picture.png")
        assert (tmp_path / "picture.png").stat().st_size > 10_000
    views = [a for a in k.plot().axes if a.get_title().startswith("from")]
    assert len(views) == 3
    assert all("[mm]" in a.get_xlabel() and "[mm]" in a.get_ylabel() for a in views)


def test_ends_without_links(linked):
    with pytest.raises(ValueError, match=r"no .side."):
        axt.kinematics(linked, end="side")
    with pytest.raises(TypeError, match="Car"):
        axt.kinematics("bramble-solid")
    coefficients = [end for end in ("front", "rear") if f"{end}.links.type" not in linked.paths()]
    for end in coefficients:
        with pytest.raises(axt.SettingError, match=r"links\.type"):
            axt.kinematics(linked, end=end)
