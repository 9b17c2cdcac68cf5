"""Properties over drawn settings, edits, quantities and tables.

Whatever is given, only the documented exceptions are raised, and nothing that was given is lost.
The draws are those of a fixed seed: a failure comes again, and no database is kept.
"""

from __future__ import annotations

import copy
import dataclasses
import json
import math
import pickle
from collections.abc import Callable
from html.parser import HTMLParser
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st

import axletree as axt
from axletree import _core

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
WHEELS = ["front_left", "front_right", "rear_left", "rear_right"]
BAR = "rear.bar.outer_diameter"
CARS = {name: axt.Car.load(name) for name in axt.examples()}
UNITS = sorted({entry["unit"] for car in CARS.values() for entry in car.paths()} - {""})
#: What a wrong value or a value out of range raises.
DOCUMENTED = (TypeError, ValueError, axt.SettingError)


def fixed(examples: int) -> settings:
    """Settings of a test of so many draws, the same in every run."""
    return settings(
        max_examples=examples,
        derandomize=True,
        database=None,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
    )


def attempt(call: Callable[[], Any]) -> tuple[Any, Exception | None]:
    """The result of a call, and the documented exception that it raised."""
    try:
        return call(), None
    except (TypeError, ValueError, axt.AxletreeError) as error:
        return None, error


#: Numbers of every kind and size, texts, containers, objects.
anything = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.sampled_from([10**400, -(10**400), 2**63, -(2**63) - 1, 10**5000]),
    st.floats(),
    st.complex_numbers(),
    st.fractions(),
    st.decimals(),
    st.text(max_size=8),
    st.binary(max_size=4),
    st.sampled_from(["20 mm", "3 deg", "60 mph", "1 s", "5 kg", "-1 m", "nan m", "1e999 m", "mm"]),
    st.sampled_from(
        [
            np.float64(2.0),
            np.float32("nan"),
            np.int64(3),
            np.uint64(2**64 - 1),
            np.True_,
            np.array(2.0),
            np.array([1.0, 2.0]),
            np.array([]),
            np.complex128(1 + 2j),
            np.datetime64("2000-01-01"),
            np.str_("1 m"),
        ]
    ),
    st.lists(st.floats(), max_size=3),
    st.tuples(st.floats(), st.floats()),
    st.dictionaries(st.text(max_size=3), st.floats(), max_size=2),
    st.builds(object),
    st.just(float),
)
#: Names as people write them, and as nobody should.
names = st.one_of(
    st.text(max_size=12),
    st.sampled_from(["a\nb", "$x$", "_hidden", "unit", "difference", "metric", "<b>", "—", "\x1b"]),
)


# ── settings ─────────────────────────────────────────────────────────────────────────────────────


@st.composite
def requests(draw: st.DrawFn) -> tuple[type[axt.Maneuver], dict[str, Any]]:
    """A maneuver and some of its settings with values of any kind."""
    kind = draw(st.sampled_from(MANEUVERS))
    fields = [field.name for field in dataclasses.fields(kind)]
    chosen = draw(st.lists(st.sampled_from(fields), unique=True, min_size=1, max_size=3))
    near = st.floats(0.0, 30.0)
    return kind, {name: draw(st.one_of(anything, near, near)) for name in chosen}


@fixed(600)
@given(requests())
@example((axt.Launch, {"shift_time": 10**400}))
@example((axt.Circle, {"range": 8.0}))
@example((axt.Slalom, {"step": "20 mph"}))
def test_a_maneuver_is_made_or_its_setting_is_named(asked):
    kind, given_ = asked
    maneuver, error = attempt(lambda: kind(**given_))
    if error is not None:
        text = str(error)
        named = any(f"{kind.name}.{name}" in text for name in given_)
        both = text.startswith(f"{kind.name}: ") and "exclude each other" in text
        # Settings that contradict others name one of the two.
        assert named or both or "must be below" in text, text
        return
    # A maneuver that was made is whole: plain settings, equal copies, its own representation.
    json.dumps(maneuver.settings(), allow_nan=False)
    assert pickle.loads(pickle.dumps(maneuver)) == copy.deepcopy(maneuver) == maneuver
    assert dataclasses.replace(maneuver) == maneuver
    assert eval(repr(maneuver), vars(axt)) == maneuver
    # Numbers arrive as they were given.
    for name, value in given_.items():
        read = getattr(maneuver, name)
        if isinstance(value, float):
            assert read == value


# ── quantities ───────────────────────────────────────────────────────────────────────────────────


@fixed(500)
@given(anything, st.sampled_from([None, "", "m", "m/s", "rad", "N*m/rad"]))
@example(10**400, "m")
@example(float("nan"), None)
def test_a_quantity_is_a_finite_number_or_an_error(value, unit):
    number, error = attempt(lambda: axt.si(value, unit))
    if error is not None:
        assert type(error) in (TypeError, ValueError) and str(error)
        return
    assert type(number) is float and math.isfinite(number)
    if isinstance(value, (int, float)):
        assert number == float(value)


@fixed(500)
@given(st.text(max_size=20))
@example("1e400 m")
@example("1 m^99999999999999999999")
@example("٣ m")
@example("1 \x00")
def test_any_text_is_a_quantity_or_a_value_error(text):
    number, error = attempt(lambda: axt.si(text))
    if error is not None:
        assert type(error) is ValueError and str(error)
        return
    assert math.isfinite(number)


@fixed(400)
@given(st.floats(-1e12, 1e12), st.sampled_from(UNITS))
def test_writing_and_reading_a_quantity_is_exact(value, unit):
    """What is written in a unit is read as the same number, to the last bit."""
    text = _core.write_quantity(value, unit)
    number, _ = _core.parse_quantity(text)
    assert number == value
    # Without a unit a number is itself.
    assert axt.si(repr(value)) == value == axt.si(value)


@fixed(200)
@given(st.floats(-1e9, 1e9), st.floats(-1e9, 1e9), st.integers(1, 60))
def test_a_span_keeps_its_ends(start, stop, count):
    values = axt.span(start, stop, count)
    assert len(values) == count and values[0] == start
    if count > 1:
        assert values[-1] == stop
        steps = np.diff(values)
        assert np.all(steps >= 0) if stop >= start else np.all(steps <= 0)


# ── edits ────────────────────────────────────────────────────────────────────────────────────────


def allowed_values(entry: dict[str, Any]) -> st.SearchStrategy[Any]:
    """Values of an entry that its declaration allows."""
    if entry["choices"]:
        return st.sampled_from(entry["choices"])
    if entry["allowed"] is not None:
        low, high = entry["allowed"]
        return st.one_of(st.floats(low, high), st.sampled_from([low, high]))
    return st.text(max_size=12)


@st.composite
def edits(draw: st.DrawFn, odd: bool) -> tuple[str, dict[str, Any]]:
    """A bundled car and changes to a few of its entries; odd ones have values of any kind."""
    name = draw(st.sampled_from(sorted(CARS)))
    entries = {entry["path"]: entry for entry in CARS[name].paths()}
    chosen = draw(st.lists(st.sampled_from(sorted(entries)), unique=True, min_size=1, max_size=4))
    values = {path: allowed_values(entries[path]) for path in chosen}
    if odd:
        values = {path: st.one_of(anything, value) for path, value in values.items()}
    changes = {path: draw(value) for path, value in values.items()}
    if odd and draw(st.booleans()):
        changes[draw(st.text(max_size=12))] = draw(anything)
    return name, changes


@fixed(400)
@given(edits(odd=True))
@example(("bramble-solid", {BAR: 10**400}))
@example(("bramble-solid", {"": None}))
def test_an_edit_gives_a_car_or_its_faults(asked):
    name, changes = asked
    car = CARS[name]
    before = car.to_toml()
    edited, error = attempt(lambda: car.edit(changes))
    if isinstance(error, axt.CarError):
        assert error.faults and all(fault.message for fault in error.faults)
    elif error is not None:
        # The value that is none is named by its path.
        assert any(path in str(error) for path in changes), error
    assert car.to_toml() == before
    if edited is not None:
        assert axt.Car.from_toml(edited.to_toml()) == edited


@fixed(300)
@given(edits(odd=False))
def test_an_edit_changes_what_was_asked_and_nothing_else(asked):
    name, changes = asked
    car = CARS[name]
    edited, error = attempt(lambda: car.edit(changes))
    if error is not None:
        # Entries that contradict each other.
        assert isinstance(error, axt.CarError) and error.faults
        return
    for path, value in changes.items():
        assert edited[path] == value
    moved = {path for path, *_ in car.differences(edited)}
    assert moved <= set(changes)
    kept = [path for path in car if path in edited and path not in changes]
    assert all(edited[path] == car[path] for path in kept if path not in moved)
    for again in (
        axt.Car.from_toml(edited.to_toml()),
        pickle.loads(pickle.dumps(edited)),
        edited.edit({}),
    ):
        assert again == edited
    # Back to where it was.
    back = edited.edit({path: car[path] for path in changes if path in edited})
    assert all(back[path] == car[path] for path in changes if path in back and path in car)


# ── runs ─────────────────────────────────────────────────────────────────────────────────────────

#: Maneuvers that take milliseconds, with settings from all over their ranges.
quick = st.one_of(
    st.builds(
        axt.StepSteer,
        speed=st.floats(2.0, 60.0),
        lateral_acceleration=st.floats(0.02, 12.0),
        steering_rate=st.floats(0.1, 50.0),
        settle=st.floats(0.2, 2.0),
        window=st.floats(0.05, 1.0),
        friction=st.floats(0.05, 2.0),
        hold_speed=st.booleans(),
    ),
    st.builds(axt.Circle, radius=st.floats(5.0, 500.0), to_left=st.booleans()),
    st.builds(axt.Circle, speed=st.floats(2.0, 60.0), friction=st.floats(0.05, 2.0)),
    st.builds(axt.FrequencyResponse, speed=st.floats(2.0, 60.0), points=st.integers(3, 40)),
    st.builds(
        axt.BumpInACorner,
        radius=st.floats(20.0, 200.0),
        height=st.floats(-0.2, 0.2),
        lateral_acceleration=st.floats(0.1, 9.0),
        shape=st.sampled_from(["bump", "kerb", "ramp"]),
    ),
    st.builds(axt.BrakingInATurn, deceleration=st.floats(0.0, 15.0), gear=st.integers(0, 9)),
    st.builds(axt.Launch, distance=st.floats(1.0, 30.0), held_slip=st.floats(0.0, 1.0)),
)


@fixed(120)
@given(quick, edits(odd=False))
def test_a_run_has_numbers_or_reasons_and_warns_by_its_channels(maneuver, asked):
    """On cars drawn from all over the allowed ranges, if they can be built."""
    name, changes = asked
    model, error = attempt(lambda: CARS[name].edit(changes).assemble())
    assert error is None or isinstance(error, axt.CarError)
    assume(model is not None)
    run = maneuver.run(model)
    assert run.outcome and run.message
    assert list(run.metrics) == [metric["name"] for metric in maneuver.metrics()]
    for metric, value in run.metrics.items():
        if value is None:
            assert run.outcome != "completed" or f"{metric}" in run.message, run.message
        else:
            assert math.isfinite(value)
    assert "no value was found" not in run.message
    for channel in run.channels:
        assert len(run[channel]) == len(run.time)
        assert np.all(np.isfinite(run[channel])), channel
    lifted = [w for w in WHEELS if f"load_{w}" in run.channels and (run[f"load_{w}"] <= 0).any()]
    for wheel in lifted:
        assert f"{wheel.replace('_', ' ')} wheel" in (run.warning or ""), run.message
    if run.outcome == "rolled_over":
        assert "rolls over" in run.warning
    assert len(repr(run).splitlines()) == 4 + len(run.metrics) + (run.warning is not None)
    assert pickle.loads(pickle.dumps(run)) == run


# ── tables ───────────────────────────────────────────────────────────────────────────────────────


class Cells(HTMLParser):
    """Number of cells of a table."""

    def __init__(self) -> None:
        super().__init__()
        self.count = 0

    def handle_starttag(self, tag: str, _: list[tuple[str, str | None]]) -> None:
        self.count += tag in ("td", "th")


def cells(markup: str) -> int:
    parser = Cells()
    parser.feed(markup)
    return parser.count


#: Values of a bar: some can be built, some cannot.
bars = st.one_of(st.floats(0.010, 0.040), st.floats(-1.0, 1.0), st.sampled_from(["20 mm", "9 kg"]))


@fixed(40)
@given(
    st.dictionaries(names, st.one_of(st.none(), bars), min_size=1, max_size=4),
    st.sampled_from(sorted(CARS)),
)
@example({"unit": None, "difference": 0.02}, "bramble-solid")
def test_a_comparison_keeps_every_car(changes, base):
    cars = {
        name: CARS[base] if bar is None else (CARS[base], {BAR: bar})
        for name, bar in changes.items()
    }
    table = axt.compare(cars, axt.StepSteer())
    assert table.names == list(cars)
    (outcomes,) = table.outcomes.values()
    for i, (outcome, message, _) in enumerate(outcomes):
        fault = table.faults[i]
        assert (outcome == "not_built") == (fault is not None)
        if fault is not None:
            assert np.isnan(table.values[:, i]).all() and fault.splitlines()[-1].strip() in message
        elif outcome == "completed":
            values = zip(table.metrics, table.values[:, i], strict=True)
            assert all(metric["name"] in message for metric, v in values if np.isnan(v))
    # No car is lost in any form of the table.
    frame = table.to_pandas()
    extra = 2 if len(cars) == 2 else 1
    assert list(frame.columns)[: len(cars)] == list(cars)
    assert len(set(frame.columns)) == len(cars) + extra
    np.testing.assert_array_equal(frame[list(cars)].to_numpy(float), table.values)
    rows = 1 + 1 + len(table.metrics)
    assert cells(table._repr_html_()) == rows * (len(cars) + extra + (len(cars) == 2) * 0 + 1)
    lines = repr(table).splitlines()
    assert len(lines) >= rows + 2 and lines[1].startswith("---")
    assert pickle.loads(pickle.dumps(table)) == table


@fixed(40)
@given(
    st.lists(bars, min_size=1, max_size=4),
    st.lists(st.floats(1e5, 4e5), min_size=1, max_size=2),
    st.sampled_from(["grid", "one_at_a_time"]),
)
def test_a_sweep_keeps_every_row(diameters, pressures, design):
    car = CARS["bramble-solid"]
    vary = {BAR: diameters, "front.tire.pressure": pressures}
    table = axt.sweep(car, vary, axt.StepSteer(), design=design)
    if design == "grid":
        asked = [(bar, pressure) for bar in diameters for pressure in pressures]
    else:
        own = (car[BAR], car["front.tire.pressure"])
        asked = [own, *((bar, own[1]) for bar in diameters), *((own[0], p) for p in pressures)]
    assert len(table) == len(asked) == len(table.faults)
    (outcomes,) = table.outcomes.values()
    for row, (bar, pressure) in enumerate(asked):
        fault = table.faults[row]
        assert (fault is not None) == (outcomes[row][0] == "not_built")
        changes = {BAR: bar, "front.tire.pressure": pressure}
        alone, error = attempt(lambda: axt.StepSteer().measure(car.edit(changes)))  # noqa: B023
        if error is not None:
            assert fault is not None and np.isnan(table.values[row]).all()
            continue
        expected = [np.nan if value is None else value for value in alone.values()]
        np.testing.assert_array_equal(table.values[row], expected)
        assert outcomes[row][1] == alone.message
        assert table.points[row][1] == pressure
    columns = 2 + 1 + len(table.metrics)
    assert table.to_pandas().shape == (len(asked), columns)
    rows = len(asked) + 1
    assert cells(table._repr_html_()) == rows * columns
    reasons = [fault for fault in table.faults if fault is not None]
    assert all(fault in repr(table) for fault in reasons)
    assert pickle.loads(pickle.dumps(table)) == table
    if design == "grid" and len(set(diameters)) == len(diameters):
        assert table.to_xarray().sizes == {
            BAR: len(diameters),
            "front.tire.pressure": len(pressures),
        }


@fixed(60)
@given(anything, anything, anything)
@example([("a", [1])], axt.StepSteer(), "grid")
def test_studies_of_nonsense_raise_documented_errors(first, maneuvers, last):
    car = CARS["bramble-solid"]
    wrong = (*DOCUMENTED, axt.CarError)
    with pytest.raises(wrong):
        axt.sweep(car, first, maneuvers)
    with pytest.raises(wrong):
        axt.compare(first, maneuvers)
    with pytest.raises(wrong):
        axt.sweep(car, {BAR: first}, maneuvers)
    with pytest.raises(wrong):
        axt.sweep(car, {BAR: [0.02]}, [], design=last)
    with pytest.raises(wrong):
        axt.compare({"a": first}, axt.StepSteer())


# ── cars at rest, tires ──────────────────────────────────────────────────────────────────────────


@fixed(60)
@given(edits(odd=False), st.floats(0.0, 60.0), st.floats(-12.0, 12.0))
def test_a_car_at_rest_is_told_or_its_fault(asked, speed, across):
    name, changes = asked
    car, error = attempt(lambda: CARS[name].edit(changes))
    assume(error is None)
    for result, error in (
        attempt(lambda: axt.static_sheet(car)),
        attempt(lambda: axt.steady_state(car, speed, across)),
        attempt(lambda: axt.linearize(car, speed, across)),
        attempt(lambda: axt.kinematics(car, "front")),
        attempt(lambda: axt.kinematics(car, "rear")),
    ):
        if error is None:
            assert repr(result) and pickle.loads(pickle.dumps(result)) == result
        else:
            assert isinstance(error, (axt.CarError, axt.EquilibriumError, axt.SettingError))
            assert str(error)


@fixed(60)
@given(
    st.dictionaries(
        st.sampled_from(["load", "slip_angle", "slip_ratio", "fx", "fy", "mz", "pressure", "x"]),
        st.one_of(anything, st.lists(st.floats(-1e4, 1e4), min_size=3, max_size=12)),
        max_size=4,
    ),
    anything,
)
@example({"load": [10**400], "fy": [1.0]}, 0.3)
@example({"load": "abc", "fy": [1.0]}, 0.3)
@example({"load": [[1.0], [2.0]], "fy": [1.0, 2.0]}, 0.3)
@example({"load": np.array(2.0), "fy": np.array(2.0)}, 0.3)
def test_rows_of_nonsense_fit_no_tire(rows, radius):
    fit, error = attempt(lambda: axt.fit_tire(rows, radius))
    assert fit is None or all(map(math.isfinite, fit.values.values()))
    assert error is None or str(error)
