"""Sweeps and comparisons from Python."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

import axletree as axt

BAR = "rear.bar.outer_diameter"


def test_span():
    values = axt.span("16 mm", "28 mm", 13)
    np.testing.assert_allclose(values, np.linspace(0.016, 0.028, 13), rtol=1e-12)
    assert values[-1] == 0.028
    assert axt.span(1.0, 2.0, 1) == [1.0]
    assert axt.span("-2.5 deg", "0 deg", 2)[0] == pytest.approx(-0.0436332312998582)
    with pytest.raises(ValueError, match="expected m"):
        axt.span("16 mm", "28 kg", 3)
    with pytest.raises(ValueError, match="count is 0"):
        axt.span("16 mm", "28 mm", 0)


def test_rows_are_in_order(solid, grid):
    assert len(grid) == 6 and grid.values.shape == (6, len(axt.StepSteer.metrics()))
    np.testing.assert_allclose(grid[BAR], np.repeat(axt.span("16 mm", "28 mm", 3), 2))
    # A row is what the car with its entries does alone.
    for row in (0, 3):
        bar, pressure = grid.points[row]
        car = solid.edit({BAR: bar, "front.tire.pressure": pressure})
        alone = axt.StepSteer().measure(car)
        assert grid["step_steer.yaw_rate_response_time"][row] == alone["yaw_rate_response_time"]
    gains = grid["step_steer.roll_angle_steady"]
    assert gains[0] > gains[2] > gains[4]


def test_results_do_not_depend_on_threads(solid):
    asked = {BAR: axt.span("16 mm", "28 mm", 5)}
    one = axt.sweep(solid, asked, axt.StepSteer(), threads=1)
    two = axt.sweep(solid, asked, axt.StepSteer(), threads=2)
    assert one == two
    assert one != axt.sweep(solid, {BAR: axt.span("16 mm", "27 mm", 5)}, axt.StepSteer())


def test_cars_that_cannot_be_assembled_keep_their_rows(solid):
    table = axt.sweep(solid, {BAR: ["20 mm", "3 m", 0.024]}, axt.StepSteer())
    assert [name for name, _, _ in table.outcomes["step_steer"]] == [
        "completed",
        "not_built",
        "completed",
    ]
    assert table.faults[0] is None and BAR in table.faults[1] and table.faults[2] is None
    assert np.isnan(table.values[1]).all()
    assert np.isfinite(table["step_steer.yaw_rate_steady"][[0, 2]]).all()
    frame = table.to_pandas()
    assert list(frame["step_steer.outcome"]) == ["completed", "not_built", "completed"]
    # The reason is below the table.
    for shown in (repr(table), table._repr_html_()):
        assert "not_built" in shown and "row 1 not built" in shown
    assert table.faults[1] in repr(table)


def test_reasons_of_many_rows_are_told_once(solid):
    asked = {BAR: [1.0, 2.0, 3.0], "front.tire.pressure": ["30 psi", "32 psi"]}
    table = axt.sweep(solid, asked, axt.StepSteer())
    assert all(table.faults)
    lines = [line for line in repr(table).splitlines() if "not built:" in line]
    assert len(lines) == 3 and lines[0].startswith("rows 0, 1 not built: ")
    many = axt.sweep(solid, {BAR: axt.span(1.0, 2.0, 50)}, axt.StepSteer())
    assert "and 40 more reasons: see faults" in repr(many)


def test_rows_that_were_not_built_keep_what_was_asked_for(solid):
    """The value that was asked for, in SI, stays in the column of its entry."""
    asked = ["20 mm", "1 m", 2.0, "24 kg", "thick", True]
    table = axt.sweep(solid, {BAR: asked}, axt.StepSteer())
    assert table[BAR].dtype == np.float64
    np.testing.assert_array_equal(table[BAR], [0.02, 1.0, 2.0, np.nan, np.nan, np.nan])
    assert [fault is None for fault in table.faults] == [True] + [False] * 5
    assert table.points[1] == [1.0]
    assert table.to_pandas()[BAR].dtype == np.float64
    assert pickle.loads(pickle.dumps(table)) == table
    # Words stay words; one at a time, the other entry is the car's own.
    words = axt.sweep(
        solid,
        {"rear.differential.type": ["locked", "welded"], BAR: ["1 m"]},
        axt.StepSteer(),
        design="one_at_a_time",
    )
    own = ["open", 0.022]
    assert words.points == [own, ["locked", 0.022], ["welded", 0.022], ["open", 1.0]]
    assert words.faults[:2] == [None, None] and "welded" in words.faults[2]


def test_a_gear_that_does_not_exist_is_named(solid):
    for maneuver in (axt.SineWithDwell(gear=100), axt.CornerExit(gear=1000)):
        measured = maneuver.measure(solid)
        assert measured.outcome == "wrong_gear"
        assert measured.message.startswith(f"there is no gear {maneuver.gear}: the gearbox has ")


def test_numbers_that_no_drive_can_follow_are_refused_by_name():
    model = axt.Car.load("bramble-independent").assemble()
    for path, value in {
        "chassis.driveline.windup.damping": 1e12,
        "rear.side.1.wheel.tire.y.stiffness_floor": 0.0,
        "chassis.driveline.engine.inertia": 1e-12,
        "chassis.driveline.throttle_lag": 0.0,
    }.items():
        with pytest.raises(ValueError, match=path.replace(".", r"\.")):
            model.with_numbers({path: value})


def test_steering_too_slow_for_one_car_is_its_outcome(solid):
    """A steering rate that is too slow for the angle of one car is that car's outcome."""
    slow = axt.StepSteer(steering_rate=0.36)
    table = axt.sweep(solid, {"steering.ratio": [10.0, 15.0, 20.0, 25.0]}, slow)
    names = [name for name, _, _ in table.outcomes["step_steer"]]
    assert names == ["completed"] * 3 + ["steering_too_slow"]
    assert table.faults == [None] * 4
    # Alone it is the same outcome, with its numbers.
    measured = axt.StepSteer(steering_rate="10 deg/s").measure(solid)
    assert measured.outcome == "steering_too_slow" and "takes 2.70 s" in measured.message
    # An angle given with the settings is known to be too slow without a car.
    with pytest.raises(axt.SettingError, match="settle"):
        axt.StepSteer(steering_wheel_angle=-20.0)


def test_one_at_a_time(solid):
    table = axt.sweep(
        solid,
        {BAR: ["20 mm", "24 mm"], "front.tire.pressure": ["30 psi"]},
        axt.StepSteer(),
        design="one_at_a_time",
    )
    # The first row is the car itself.
    assert len(table) == 4
    assert table.points[0] == [solid[BAR], solid["front.tire.pressure"]]
    own = axt.StepSteer().measure(solid)
    for name in ("yaw_rate_gain", "roll_angle_gain"):
        assert table[f"step_steer.{name}"][0] == own[name]
    assert table.points[3][0] == solid[BAR] and table.points[1][1] == solid["front.tire.pressure"]
    np.testing.assert_allclose(table[BAR], [solid[BAR], 0.02, 0.024, solid[BAR]])
    assert len(table.to_pandas()) == 4
    with pytest.raises(ValueError, match="grid"):
        table.to_xarray()


def test_a_rise_among_the_rows_is_seen_beside_the_car_itself(solid):
    """Every row may be worse than the car as it is; the table has the car to compare with."""
    asked = {"rear.differential.type": ["locked", "plate"]}
    table = axt.sweep(solid, asked, axt.StepSteer(), design="one_at_a_time")
    assert list(table["rear.differential.type"]) == ["open", "locked", "plate"]
    gain = table["step_steer.yaw_rate_gain"]
    assert gain[0] > gain[1:].max()


def test_choices_can_be_swept(solid):
    table = axt.sweep(solid, {"rear.differential.type": ["open", "locked"]}, axt.StepSteer())
    assert list(table["rear.differential.type"]) == ["open", "locked"]
    turn = table["step_steer.yaw_rate_gain"]
    assert turn[0] > turn[1]
    assert table.to_xarray().sizes == {"rear.differential.type": 2}
    assert table.plot("step_steer.yaw_rate_gain").axes


def test_grid_to_pandas_and_xarray(grid):
    frame = grid.to_pandas()
    assert len(frame) == 6 and frame.attrs["units"][BAR] == "m"
    cube = grid.to_xarray()
    assert dict(cube.sizes) == {BAR: 3, "front.tire.pressure": 2}
    variable = cube["step_steer.yaw_rate_response_time"]
    assert variable.attrs["units"] == "s" and "ISO 7401" in variable.attrs["source"]
    assert cube[BAR].attrs["units"] == "m"
    for i in range(6):
        at = {BAR: frame[BAR][i], "front.tire.pressure": frame["front.tire.pressure"][i]}
        assert float(variable.sel(at)) == frame["step_steer.yaw_rate_response_time"][i]


def test_progress_is_reported(solid):
    told: list[float] = []
    axt.sweep(solid, {BAR: axt.span("16 mm", "28 mm", 6)}, axt.StepSteer(), progress=told.append)
    # a thread tells when it is through with the rows it drives side by side
    assert 1 <= len(told) <= 6 and max(told) == 1.0 and all(0 < share <= 1 for share in told)
    pytest.importorskip("tqdm")
    axt.sweep(solid, {BAR: ["20 mm"]}, axt.StepSteer(), progress=True)


def test_an_exception_of_the_callback_is_raised(solid):
    class EnoughError(Exception):
        pass

    def stop(share: float) -> None:
        raise EnoughError(share)

    with pytest.raises(EnoughError):
        axt.sweep(solid, {BAR: axt.span("16 mm", "28 mm", 40)}, axt.StepSteer(), progress=stop)


@pytest.mark.parametrize(
    ("vary", "maneuvers", "error"),
    [
        ({"no.such.entry": [1.0]}, axt.StepSteer(), axt.CarError),
        ({}, axt.StepSteer(), axt.SettingError),
        ({BAR: []}, axt.StepSteer(), axt.SettingError),
        ({BAR: ["20 mm"]}, [], axt.SettingError),
        ({BAR: ["20 mm"]}, [axt.StepSteer(), axt.StepSteer(speed=20.0)], axt.SettingError),
        ({BAR: ["20 mm"]}, ["slalom"], TypeError),
        ({BAR: ["20 mm"]}, "slalom", TypeError),
        ({BAR: 0.02}, axt.StepSteer(), TypeError),
        ({BAR: "20 mm"}, axt.StepSteer(), TypeError),
        ({BAR: [1j]}, axt.StepSteer(), TypeError),
        ({BAR: [[1.0]]}, axt.StepSteer(), TypeError),
        ({BAR: None}, axt.StepSteer(), TypeError),
        ({5: [1.0]}, axt.StepSteer(), TypeError),
        ([(BAR, ["20 mm"])], axt.StepSteer(), TypeError),
        (BAR, axt.StepSteer(), TypeError),
        ({BAR: ["20 mm"]}, axt.StepSteer, TypeError),
        ({BAR: ["20 mm"]}, None, TypeError),
        ({BAR: [10**400]}, axt.StepSteer(), ValueError),
    ],
)
def test_invalid_requests(solid, vary, maneuvers, error):
    with pytest.raises(error):
        axt.sweep(solid, vary, maneuvers)


def test_other_wrong_requests(solid):
    with pytest.raises(ValueError, match="one_at_a_time"):
        axt.sweep(solid, {BAR: ["20 mm"]}, axt.StepSteer(), design="sideways")
    with pytest.raises(axt.SettingError):
        axt.compare({}, axt.StepSteer())
    for threads in (-1, 0, 1025, 10**9, 10**30):
        with pytest.raises(ValueError, match="1 to 1024 threads"):
            axt.sweep(solid, {BAR: ["20 mm"]}, axt.StepSteer(), threads=threads)
    # No more threads are started than there are rows.
    most = axt.sweep(solid, {BAR: ["20 mm", "22 mm"]}, axt.StepSteer(), threads=1024)
    assert most == axt.sweep(solid, {BAR: ["20 mm", "22 mm"]}, axt.StepSteer(), threads=1)
    many = [0.5 + 1e-4 * i for i in range(1001)]
    with pytest.raises(axt.SettingError, match="1001000 rows; at most 1000000"):
        axt.sweep(
            solid, {"air.drag_area": many, "front.tire.pressure": many[:1000]}, axt.StepSteer()
        )


def test_wrong_kinds_of_cars(solid):
    for cars in ([solid, solid], solid, None, {1: solid}):
        with pytest.raises(TypeError, match="expected"):
            axt.compare(cars, axt.StepSteer())


def test_rear_ends_of_different_kinds_are_told_with_their_balance(solid, independent, table):
    """As bolted on, two rear ends differ in balance: a line below the table says so."""
    shares = [axt.static_sheet(car)["roll_stiffness_front_share"] for car in (solid, independent)]
    assert table.front_shares == shares
    note = (
        f"Front share of roll stiffness: solid {100 * shares[0]:.1f} %, "
        f"independent {100 * shares[1]:.1f} % (not tuned)."
    )
    assert note in repr(table).splitlines() and note in table._repr_html_()
    frame = table.to_pandas()
    assert frame.attrs["roll_stiffness_front_share"]["solid"] == shares[0]
    # Another axle location is another rear end; another bar is not.
    watts = axt.Car.load("bramble-solid-watts")
    assert axt.compare({"a": solid, "b": watts}, axt.StepSteer()).front_shares is not None
    bars = {"thin": solid, "thick": (solid, {BAR: "26 mm"}), "bad": (solid, {BAR: "1 m"})}
    same = axt.compare(bars, axt.StepSteer())
    assert same.front_shares is None and "not tuned" not in repr(same)
    # A car that cannot be built has no balance.
    bad = axt.compare({"a": solid, "b": independent, "c": (solid, {BAR: "1 m"})}, axt.StepSteer())
    assert bad.front_shares == [*shares, None] and "c — (not tuned)" in repr(bad)


def test_no_name_of_a_car_hides_another_column(solid):
    other = solid.edit({BAR: "26 mm"})
    table = axt.compare({"unit": solid, "difference": other}, axt.StepSteer())
    frame = table.to_pandas()
    assert list(frame.columns) == ["unit", "difference", "difference_", "unit_"]
    np.testing.assert_array_equal(frame["unit"], table.values[:, 0])
    np.testing.assert_array_equal(frame["difference"], table.values[:, 1])
    assert frame["unit_"].iloc[0] == "rad"


def test_line_breaks_in_names_do_not_break_tables(solid):
    """A car refuses such a name; a comparison shows it in one line."""
    name = "a\nb\tc\x1b[31m"
    with pytest.raises(axt.CarError, match="control character"):
        solid.edit({"name": name})
    plain = axt.compare({"one": solid, "two": solid}, axt.StepSteer())
    table = axt.compare({name: solid, "two": solid}, axt.StepSteer())
    shown = repr(table)
    assert len(shown.splitlines()) == len(repr(plain).splitlines())
    assert "\t" not in shown and "\x1b" not in shown
    assert "\x1b" not in table._repr_html_()


def test_comparison(independent, table):
    assert table.names == ["solid", "independent"]
    for maneuver in (axt.StepSteer(), axt.Circle()):
        alone = maneuver.measure(independent)
        for name, value in alone.items():
            told = table[f"{maneuver.name}.{name}"]["independent"]
            assert told == value or (np.isnan(told) and value is None)
    assert table.outcomes["step_steer"][0][0] == "completed"
    frame = table.to_pandas()
    row = frame.loc["step_steer.yaw_rate_response_time"]
    assert row["difference"] == pytest.approx(row["independent"] - row["solid"])
    assert row["unit"] == "s"
    text, markup = repr(table), table._repr_html_()
    for metric in table.metrics:
        assert metric["key"] in text and metric["key"] in markup
    assert "difference" in text and "not a test" in text and "not a test" in markup
    with pytest.raises(KeyError):
        table["step_steer.nothing"]


def test_a_car_that_cannot_be_built_keeps_its_column(solid):
    cars = {"good": solid, "bad": (solid, {BAR: "1 m"}), "thick": (solid, {BAR: "26 mm"})}
    table = axt.compare(cars, axt.StepSteer())
    assert table.names == ["good", "bad", "thick"]
    assert [name for name, _, _ in table.outcomes["step_steer"]] == [
        "completed",
        "not_built",
        "completed",
    ]
    assert np.isnan(table.values[:, 1]).all() and np.isfinite(table.values[0, [0, 2]]).all()
    assert table.faults[0] is None and BAR in table.faults[1] and table.faults[2] is None
    for shown in (repr(table), table._repr_html_()):
        assert "not_built" in shown and "bad was not built" in shown and BAR in shown
    assert table.to_pandas().attrs["faults"]["bad"] == table.faults[1]
    # The changes are those of `Car.edit`.
    thick = axt.StepSteer().measure(solid.edit({BAR: "26 mm"}))
    assert table["step_steer.yaw_rate_gain"]["thick"] == thick["yaw_rate_gain"]
    for wrong in ((solid, "26 mm"), (solid,), ("bramble-solid", {})):
        with pytest.raises(TypeError, match="'wrong'"):
            axt.compare({"wrong": wrong}, axt.StepSteer())


def test_a_car_compared_with_itself_differs_in_nothing(solid):
    same = axt.compare({"a": solid, "b": solid.edit({})}, axt.StepSteer())
    assert np.array_equal(same.values[:, 0], same.values[:, 1], equal_nan=True)


def test_three_cars_have_no_difference(solid):
    cars = {str(d): solid.edit({BAR: f"{d} mm"}) for d in (18, 22, 26)}
    table = axt.compare(cars, axt.StepSteer())
    assert "difference" not in table.to_pandas().columns
    assert list(table.to_pandas().columns) == ["18", "22", "26", "unit"]


def test_pickle_and_equality(grid, table):
    assert pickle.loads(pickle.dumps(grid)) == grid
    assert pickle.loads(pickle.dumps(table)) == table


def test_slalom_speed_over_the_bar(solid):
    """The question of the README: slalom speed against the rear bar."""
    grid = axt.sweep(solid, {BAR: ["18 mm", "22 mm", "26 mm"]}, [axt.Slalom(), axt.StepSteer()])
    speeds = grid["slalom.top_speed"]
    assert np.isfinite(speeds).all() and np.ptp(speeds) > 0.005
    assert {name for name, _, _ in grid.outcomes["slalom"]} == {"completed"}
    assert speeds[1] == pytest.approx(axt.Slalom().top_speed(solid).speed, rel=1e-9)
