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
    """Two routes: the linkage's own rates, and the assembled curves read by virtual work.

    The curves have the exact slopes at rest; their curvatures are fitted over the travel, which
    shows in the roll center's slope.
    """
    if "rear.camber" in linked.paths():
        linked = linked.edit({"rear.camber": "-3 deg", "rear.toe_in": "0.4 deg"})
    k, sheet = axt.kinematics(linked), axt.static_sheet(linked)
    assert k.figures["roll_center_height"] == pytest.approx(
        sheet["roll_center_height_rear"], abs=1e-6
    )
    assert k.figures["anti_squat"] == pytest.approx(sheet["anti_squat_rear"], abs=2e-3)
    assert k.figures["anti_lift"] == pytest.approx(sheet["anti_lift_rear"], abs=2e-3)
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
        # one name, one sign: understeer positive
        assert k.figures["roll_steer"] == pytest.approx(sheet["roll_steer_rear"], rel=1e-6)
        assert k.figures["yaw_by_roll"] == -k.figures["roll_steer"] != 0
    else:
        assert k.figures["toe_gain"] == pytest.approx(sheet["bump_steer_rear"], rel=1e-6)
        assert k.figures["camber_gain"] == pytest.approx(sheet["camber_gain_rear"], rel=1e-6)


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


def drawn(figure, view):
    """Lines of one view of a picture, as (marker, xy) pairs [mm]."""
    axes = next(a for a in figure.axes if a.get_title() == view)
    return [(line.get_marker(), np.column_stack(line.get_data())) for line in axes.get_lines()]


def line_to_center(figure, view, contact):
    """Ends of the dotted line that starts at the contact [mm]."""
    starts = [
        xy
        for _, xy in drawn(figure, view)
        if len(xy) == 2 and np.allclose(xy[0], contact, atol=1e-6)
    ]
    dotted = [xy for xy in starts if not np.allclose(xy[1], contact)]
    assert dotted
    return dotted[-1]


@pytest.mark.parametrize("travel", ["-55 mm", "0 mm", "20 mm", "60 mm"])
def test_drawn_lines_meet_the_roll_center(travel):
    """From behind: the line from the contact to the instant center, cut at the center plane."""
    car = axt.Car.load("bramble-independent").edit(
        {"rear.camber": "-3 deg", "rear.toe_in": "0.4 deg"}
    )
    k = axt.kinematics(car)
    view, figure = k.view(travel), k.plot(travel)
    contact = np.array([-view.contact[1], view.contact[2]]) * 1e3
    start, end = line_to_center(figure, "from behind", contact)
    cut = start[1] + (end[1] - start[1]) * -start[0] / (end[0] - start[0])
    marker = next(xy[0] for mark, xy in drawn(figure, "from behind") if mark == "x")
    assert marker[0] == pytest.approx(0.0, abs=1e-9)
    assert cut == pytest.approx(marker[1], abs=1.0)
    # the marker is at the printed height over the road, which moves with the wheels
    at = si_travel(travel)
    row = np.argmin(np.abs(k.curves["travel"] - at))
    if k.curves["travel"][row] == pytest.approx(at, abs=1e-9):
        height = k.curves["roll_center_height"][row] * 1e3
        assert marker[1] - contact[1] == pytest.approx(height, abs=1e-3)
    # the screw axis, drawn instead, would miss it
    if travel == "0 mm":
        crossing = np.array(k.axes["travel"].crossing(0, view.contact[0])) * 1e3
        off = contact[1] + (crossing[2] - contact[1]) * contact[0] / (contact[0] + crossing[1])
        assert abs(off - marker[1]) > 3.0


def si_travel(text):
    return axt.si(text, "m")


def test_drawn_slope_is_the_printed_anti_lift():
    """From the left: the slope of the line from the contact, over height and wheelbase."""
    car = axt.Car.load("bramble-independent").edit({"rear.camber": "-2 deg"})
    k, sheet = axt.kinematics(car), axt.static_sheet(car)
    view, figure = k.view(), k.plot()
    contact = np.array([-view.contact[0], view.contact[2]]) * 1e3
    start, end = line_to_center(figure, "from the left", contact)
    slope = (end[1] - start[1]) / (start[0] - end[0])
    share = 1 - car["brakes.front_share"]
    printed = 100 * slope * car["wheelbase"] / sheet["center_height"] * share
    assert k.figures["anti_lift"] == pytest.approx(printed, abs=0.01)


def test_views_move_with_the_travel(linked):
    k = axt.kinematics(linked)
    at_rest, moved = k.view(), k.view("30 mm")
    assert at_rest.pieces == k.pieces and at_rest.center == k.center
    assert moved.center[2] - at_rest.center[2] == pytest.approx(0.03, abs=1e-9)
    for a, b in zip(at_rest.pieces, moved.pieces, strict=True):
        assert (a.name, a.kind, a.fixed) == (b.name, b.kind, b.fixed)
        if a.kind == "link":
            lengths = [np.linalg.norm(np.subtract(*piece.points)) for piece in (a, b)]
            assert lengths[0] == pytest.approx(lengths[1], abs=1e-5)
    if k.solid:
        # the roll center lies on the roll axis
        behind, ahead = np.array(moved.roll_axis)
        share = (moved.roll_center[0] - behind[0]) / (ahead[0] - behind[0])
        np.testing.assert_allclose(behind + share * (ahead - behind), moved.roll_center, atol=1e-9)
    with pytest.raises(axt.SettingError):
        k.view("2 m")
    with pytest.raises(ValueError, match="not a finite number"):
        k.view(float("nan"))
    with pytest.raises(ValueError, match="expected m"):
        k.view("30 deg")


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
