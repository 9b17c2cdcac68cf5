"""Figures: their content, and a unit on every axis."""

from __future__ import annotations

import importlib

import matplotlib
import numpy as np
import pytest

import axletree as axt

matplotlib.use("Agg")


def drawn(figure, tmp_path):
    """The visible axes of a figure, after rendering it."""
    file = tmp_path / "picture.png"
    figure.savefig(file)
    assert file.stat().st_size > 10_000
    return [axis for axis in figure.axes if axis.axison]


def units_everywhere(axes, pure=()):
    for axis in axes:
        for label in (axis.get_xlabel(), axis.get_ylabel()):
            assert not label or "[" in label or label in pure, label
    assert any(axis.get_xlabel() for axis in axes)


def test_step_steer(step_run, tmp_path):
    axes = drawn(step_run.plot(), tmp_path)
    units_everywhere(axes)
    names = ["steering-wheel angle", "yaw rate", "lateral acceleration", "roll angle", "sideslip"]
    assert [a.get_ylabel().split("[")[0].strip() for a in axes] == names
    # The yaw rate is there, in degrees per second, and its response time is marked on it.
    history = axes[1].lines[0]
    np.testing.assert_allclose(history.get_ydata(), np.degrees(step_run["yaw_rate"]))
    marks = [line for line in axes[1].lines if line.get_marker() == "o"]
    ((at,), (value,)) = marks[0].get_data()
    steady = step_run.metrics["yaw_rate_steady"]
    assert value == pytest.approx(0.9 * np.degrees(steady), rel=0.01)
    assert at > step_run.metrics["yaw_rate_response_time"]


@pytest.mark.parametrize(
    "kind",
    [
        axt.SineWithDwell,
        axt.BrakingInATurn,
        axt.LiftOffInATurn,
        axt.BumpInACorner,
        axt.Launch,
        axt.CornerExit,
    ],
)
def test_histories(kind, solid, tmp_path):
    run = kind().run(solid)
    axes = drawn(run.plot(), tmp_path)
    units_everywhere(axes, pure=("throttle felt",))
    drawn_channel = axes[1].lines[0].get_ydata()
    named = axes[1].get_ylabel().split("[")[0].strip().replace(" ", "_").replace("-", "_")
    degrees = run.channels[named][0] in ("rad", "rad/s")
    expected = np.degrees(run[named]) if degrees else run[named]
    np.testing.assert_allclose(drawn_channel, expected, atol=1e-9)


def test_frequency_response(solid, tmp_path):
    run = axt.FrequencyResponse().run(solid)
    axes = drawn(run.plot(), tmp_path)
    units_everywhere(axes, pure=("roll angle\ngain", "sideslip\ngain"))
    np.testing.assert_allclose(axes[0].lines[0].get_ydata(), run["yaw_rate_response_gain"])
    assert axes[0].lines[0].get_ydata()[0] == pytest.approx(
        run.metrics["yaw_rate_gain_low"], rel=0.01
    )


def test_double_lane_change(independent, tmp_path):
    run = axt.DoubleLaneChange().run(independent)
    axes = drawn(run.plot(), tmp_path)
    units_everywhere(axes)
    lanes = [line for line in axes[0].lines if line.get_linewidth() == 1.8]
    assert len(lanes) == 6


def test_envelope(solid, tmp_path):
    run = axt.AccelerationEnvelope(directions=9).run(solid)
    (axes,) = drawn(run.plot(), tmp_path)
    units_everywhere([axes])
    assert "tire ends it" in " ".join(text.get_text() for text in axes.get_legend().get_texts())


def test_circle(circle_run, tmp_path):
    axes = drawn(circle_run.plot(), tmp_path)
    units_everywhere(axes)
    assert "lateral acceleration" in axes[-1].get_xlabel()
    labels = " ".join(axis.get_ylabel() for axis in axes)
    assert all(word in labels for word in ("steering-wheel angle", "roll angle", "sideslip"))


def test_slalom(solid, tmp_path):
    run = axt.Slalom(cones=4).run(solid, speed=14.0)
    axes = drawn(run.plot(), tmp_path)
    units_everywhere(axes)
    # Cones in their places, one outline each, and the path.
    discs = [patch for patch in axes[1].patches if hasattr(patch, "radius")]
    assert [disc.center[0] for disc in discs] == [0.0, 18.0, 36.0, 54.0]
    outlines = [line for line in axes[1].lines if len(line.get_xdata()) == 5]
    assert len(outlines) == 4
    width = solid["body.width"]
    corners = np.column_stack(outlines[0].get_data())
    assert np.hypot(*(corners[1] - corners[0])) == pytest.approx(width, rel=1e-9)
    # Every outline keeps clear of its cone.
    for disc, line in zip(discs, outlines, strict=True):
        across = np.abs(line.get_ydata())
        assert across.min() > disc.radius
        assert len(set(np.sign(line.get_ydata()))) == 1
    assert axes[0].get_aspect() == 1.0


def test_sweep(grid, tmp_path):
    axes = drawn(grid.plot("step_steer.yaw_rate_response_time"), tmp_path)
    units_everywhere(axes)
    (axis,) = axes
    assert axis.get_xlabel() == "rear bar outer diameter [mm]"
    assert len(axis.lines) == 2 and axis.get_legend() is not None
    np.testing.assert_allclose(axis.lines[0].get_xdata(), [16, 22, 28])
    other = grid.plot("step_steer.yaw_rate_response_time", along="front.tire.pressure").axes[0]
    assert other.get_xlabel() == "front tire pressure [psi]" and len(other.lines) == 3
    with pytest.raises(KeyError):
        grid.plot("slalom.nothing")
    with pytest.raises(KeyError):
        grid.plot("step_steer.yaw_rate_response_time", along="rear")


def test_sweep_notes_missing_values(solid, tmp_path):
    table = axt.sweep(solid, {"rear.bar.outer_diameter": ["20 mm", "3 m"]}, axt.StepSteer())
    (axis,) = drawn(table.plot("step_steer.yaw_rate_gain"), tmp_path)
    assert any("1 of 2 cars" in text.get_text() for text in axis.texts)


def test_one_at_a_time(solid, tmp_path):
    vary = {"rear.bar.outer_diameter": ["20 mm", "24 mm"], "front.tire.pressure": ["30 psi"]}
    table = axt.sweep(solid, vary, axt.StepSteer(), design="one_at_a_time")
    (axis,) = drawn(table.plot("step_steer.yaw_rate_gain"), tmp_path)
    # The car itself is among the rows of every entry, marked and with a line at its value.
    own = table["step_steer.yaw_rate_gain"][0]
    np.testing.assert_allclose(axis.lines[0].get_xdata(), [20, 22, 24])
    assert axis.lines[0].get_ydata()[1] == own
    (legend,) = axis.get_legend().get_texts()
    assert legend.get_text() == "the car as it is"
    mark = axis.lines[-1]
    assert (mark.get_marker(), *mark.get_xdata(), *mark.get_ydata()) == ("D", 22.0, own)
    (axis,) = drawn(table.plot("step_steer.yaw_rate_gain", "front.tire.pressure"), tmp_path)
    assert len(axis.lines[0].get_xdata()) == 2 and axis.lines[-1].get_marker() == "D"
    # A word, and an entry that the car does not have.
    vary = {"rear.differential.type": ["locked", "open"], "gearbox.sixth": [0.8]}
    table = axt.sweep(solid, vary, axt.StepSteer(), design="one_at_a_time")
    (axis,) = drawn(table.plot("step_steer.yaw_rate_gain"), tmp_path)
    assert [tick.get_text() for tick in axis.get_xticklabels()] == ["open", "locked"]
    (axis,) = drawn(table.plot("step_steer.yaw_rate_gain", "gearbox.sixth"), tmp_path)
    assert axis.lines[-1].get_linestyle() == "--"


def test_comparison(table, tmp_path):
    figure = table.plot()
    (axis,) = drawn(figure, tmp_path)
    assert axis.get_xlabel() == "change from solid [%]"
    words = [text.get_text() for text in figure.axes[0].texts]
    assert {"solid", "independent"} <= set(words)
    value = table["step_steer.yaw_rate_response_time"]["solid"]
    assert f"{value:.4g}" in words
    with pytest.raises(KeyError):
        table.plot(["slalom.nothing"])


def test_a_comparison_of_rear_ends_tells_the_balance(table, tmp_path):
    figure = table.plot()
    drawn(figure, tmp_path)
    assert figure.get_supxlabel() == table.rear_end_note()


#: Runs that end before their first sample.
EMPTY = [
    axt.LiftOffInATurn(lateral_acceleration=12.0),
    axt.BrakingInATurn(lateral_acceleration=12.0),
    axt.BumpInACorner(lateral_acceleration=12.0),
    axt.RoughCorner(lateral_acceleration=12.0),
    axt.CornerExit(lateral_acceleration=12.0),
    axt.StepSteer(lateral_acceleration=12.0),
    axt.DoubleLaneChange(friction=0.1),
    axt.Circle(friction=0.02),
    axt.AccelerationEnvelope(friction=0.01),
    axt.FrequencyResponse(speed=99.0, friction=0.01),
    axt.SineWithDwell(speed=99.0),
    axt.Slalom(spacing=3.0),
]


@pytest.mark.parametrize("maneuver", EMPTY, ids=lambda m: m.name)
def test_a_run_without_samples_says_that_there_is_nothing_to_draw(maneuver, solid):
    run = maneuver.run(solid)
    assert len(run.time) == 0 and run.outcome != "completed"
    with pytest.raises(ValueError, match="there is nothing to draw: ") as caught:
        run.plot()
    assert run.message in str(caught.value)


@pytest.mark.parametrize("kind", [axt.StepSteer, axt.LiftOffInATurn])
def test_overlays_name_the_runs_that_they_leave_out(kind, solid, tmp_path):
    module = axt.plot.step_steer if kind is axt.StepSteer else axt.plot.histories
    good, empty = kind().run(solid), kind(lateral_acceleration=12.0).run(solid)
    figure = module.overlay({"empty": empty, "good": good})
    drawn(figure, tmp_path)
    assert figure.get_supxlabel() == f"empty is not drawn: {empty.message}"
    with pytest.raises(ValueError, match="nothing to draw"):
        module.overlay({"empty": empty})
    with pytest.raises(ValueError, match="nothing to draw"):
        module.overlay({})


def test_names_are_drawn_as_they_are(solid, tmp_path):
    """Dollar signs are no formula, an underscore does not hide a curve."""
    name = "_a $\\frac$ b"
    car = solid.edit({"name": name})
    run = axt.StepSteer().run(car)
    drawn(run.plot(), tmp_path)
    figure = axt.plot.step_steer.overlay({name: run, "other": run})
    axes = drawn(figure, tmp_path)
    assert len(axes[0].get_legend().get_texts()) == 2
    table = axt.compare({name: car, "$": solid, "b$": solid}, axt.StepSteer())
    drawn(table.plot(), tmp_path)
    drawn(axt.kinematics(car).plot(), tmp_path)


def test_no_car_is_left_out_of_a_picture(solid, step_run, tmp_path):
    """There are fewer colors than cars."""
    names = [f"car {i}" for i in range(9)]
    table = axt.compare(dict.fromkeys(names, solid), axt.StepSteer())
    figure = table.plot()
    drawn(figure, tmp_path)
    assert set(names) <= {text.get_text() for text in figure.axes[0].texts}
    axes = drawn(axt.plot.step_steer.overlay(dict.fromkeys(names, step_run)), tmp_path)
    assert [text.get_text() for text in axes[0].get_legend().get_texts()] == names


def test_missing_library_names_the_extra(monkeypatch, step_run, grid):
    real = importlib.import_module

    def without(name, *rest):
        if name.split(".")[0] in ("matplotlib", "pandas", "xarray", "tqdm"):
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(importlib, "import_module", without)
    for call, extra in [
        (step_run.plot, "plot"),
        (step_run.to_pandas, "pandas"),
        (grid.to_xarray, "xarray"),
    ]:
        with pytest.raises(ImportError, match=rf"axletree\[{extra}\]"):
            call()
