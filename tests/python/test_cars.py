"""Descriptions of cars from Python: loading, entries, edits, faults, files."""

from __future__ import annotations

import errno
import os
import pickle
import signal
import subprocess
import sys
import threading
import time
from collections import ChainMap, UserDict
from pathlib import Path
from types import MappingProxyType

import jsonschema
import numpy as np
import pytest

import axletree as axt

PSI = 6894.757293168361


def test_examples_load():
    names = axt.examples()
    assert {"bramble-solid", "bramble-independent"} <= set(names)
    for name in names:
        car = axt.Car.load(name)
        assert car.name and car.origin == name
        assert car.assemble().solid_rear == (car["rear.type"] == "solid")


def test_entries_are_si(solid):
    assert solid["rear.bar.outer_diameter"] == 0.022
    assert solid["front.tire.pressure"] == pytest.approx(32 * PSI, rel=1e-12)
    assert solid["rear.type"] == "solid"


def test_edit_makes_a_new_car(solid):
    stiffer = solid.edit({"rear.bar.outer_diameter": "24 mm", "front.tire.pressure": "34 psi"})
    assert stiffer["rear.bar.outer_diameter"] == 0.024
    assert stiffer["front.tire.pressure"] == pytest.approx(34 * PSI, rel=1e-12)
    assert solid["rear.bar.outer_diameter"] == 0.022
    assert stiffer != solid
    assert solid.edit({"rear.bar.outer_diameter": 0.022}) == solid


def test_floats_strings_and_pint_agree(solid):
    pint = pytest.importorskip("pint")
    units = pint.UnitRegistry()
    entry = "front.spring.rate"
    by_text = solid.edit({entry: "300 lbf/in"})[entry]
    by_pint = solid.edit({entry: units.Quantity(300, "lbf/in")})[entry]
    by_float = solid.edit({entry: by_text})[entry]
    # 300 lbf/in: 300 x 4.4482216152605 N over 0.0254 m, both exact by definition.
    assert by_text == pytest.approx(300 * 4.4482216152605 / 0.0254, rel=1e-12)
    assert by_pint == pytest.approx(by_text, rel=1e-12)
    assert by_float == by_text
    assert axt.si(units.Quantity(60, "mph"), "m/s") == pytest.approx(26.8224, rel=1e-12)
    angle = solid.edit({"front.camber": units.Quantity(-2.5, "deg")})["front.camber"]
    assert angle == pytest.approx(-0.0436332312998582, rel=1e-12)
    pressure = solid.edit({"rear.tire.pressure": units.Quantity(2.2, "bar")})["rear.tire.pressure"]
    assert pressure == pytest.approx(2.2e5, rel=1e-12)


def test_every_fault_is_reported_together(solid):
    with pytest.raises(axt.CarError) as caught:
        solid.edit(
            {
                "rear.bar.outer_diameter": "24 m",
                "front.tire.pressure": "34 parsecs",
                "rear.bar.outer_diametre": "24 mm",
            }
        )
    error = caught.value
    assert isinstance(error, axt.AxletreeError)
    by_path = {fault["path"]: fault for fault in error.faults}
    assert set(by_path) == {
        "rear.bar.outer_diameter",
        "front.tire.pressure",
        "rear.bar.outer_diametre",
    }
    wrong = by_path["rear.bar.outer_diameter"]
    assert wrong.value == wrong["value"] == '"24 m"'
    low, high = wrong.allowed
    assert low < 24 < high and wrong.unit == "mm"
    assert "rear.bar.outer_diameter" in by_path["rear.bar.outer_diametre"]["message"]
    for fault in error.faults:
        assert fault["message"] in str(error)


def test_faults_of_a_file_carry_lines(solid, tmp_path: Path):
    text = solid.to_toml().replace("outer_diameter", "outer_diametre", 1)
    file = tmp_path / "wrong.toml"
    file.write_text(text)
    with pytest.raises(axt.CarError) as caught:
        axt.Car.load(file)
    assert caught.value.origin == str(file)
    lines = text.splitlines()
    fault = next(f for f in caught.value.faults if "outer_diametre" in f["path"])
    assert "outer_diametre" in lines[fault["line"] - 1]


def test_no_such_file():
    with pytest.raises(axt.CarError, match=r"nowhere\.toml"):
        axt.Car.load("nowhere.toml")


@pytest.mark.parametrize(
    "call",
    [
        lambda car: car["no.such.entry"],
        lambda car: car.edit({"no.such.entry": 1.0}),
        lambda car: car.edit({"rear.bar.outer_diameter": float("nan")}),
        lambda car: car.edit({"rear.bar.outer_diameter": -1.0}),
        lambda car: car.edit({"rear.type": "three wheels"}),
        lambda car: axt.Car.from_toml("wheelbase = "),
        lambda car: axt.Car.from_toml("wheelbase = 3"),
    ],
)
def test_invalid_descriptions_raise_car_errors(solid, call):
    with pytest.raises(axt.CarError) as caught:
        call(solid)
    assert caught.value.faults


@pytest.mark.parametrize(
    "call",
    [
        lambda car: car.edit({"rear.bar.outer_diameter": [1, 2]}),
        lambda car: car.edit({"rear.bar.outer_diameter": 1j}),
        lambda car: car.edit([("rear.bar.outer_diameter", 0.02)]),
        lambda car: car.edit({3: 0.02}),
        lambda car: car[3],
        lambda car: axt.Car.load(3),
        lambda car: car.with_rear("bramble-independent"),
        lambda car: axt.Car(),
    ],
)
def test_wrong_kinds_are_type_errors(solid, call):
    with pytest.raises(TypeError):
        call(solid)


def test_any_mapping_edits(solid):
    changes = {"rear.bar.outer_diameter": "24 mm"}
    edited = solid.edit(changes)
    for mapping in (MappingProxyType(changes), UserDict(changes), ChainMap(changes, {})):
        assert solid.edit(mapping) == edited
    for wrong in (list(changes.items()), "rear.bar.outer_diameter", None, 5):
        with pytest.raises(TypeError, match="changes by path"):
            solid.edit(wrong)
    with pytest.raises(TypeError, match="path of an entry, got 5"):
        solid.edit({5: 1.0})
    with pytest.raises(ValueError, match=r"rear\.track: the number is too large"):
        solid.edit({"rear.track": 10**400})
    model = solid.assemble()
    path = "chassis.driveline.throttle_lag"
    numbers = {path: 0.1}
    assert model.with_numbers(MappingProxyType(numbers)) == model.with_numbers(numbers)


def test_a_boolean_of_numpy_is_no_number(solid):
    for flag in (True, np.True_):
        with pytest.raises(axt.CarError):
            solid.edit({"rear.track": flag})


def test_complex_numbers_and_arrays_are_no_numbers(solid):
    for value in (1j, np.complex64(1.5), np.array([1.5]), [1.5]):
        with pytest.raises(TypeError, match=r"rear\.track: expected a number"):
            solid.edit({"rear.track": value})
    for value in (np.float32(1.5), np.array(1.5)):
        assert solid.edit({"rear.track": value})["rear.track"] == 1.5


def test_a_car_is_a_mapping_of_its_entries(solid, independent):
    for car in (solid, independent):
        paths = [entry["path"] for entry in car.paths()]
        assert list(car) == car.keys() == paths and len(car) == len(paths)
        assert dict(car) == {entry["path"]: entry["value"] for entry in car.paths()}
        assert all(path in car for path in paths)
    assert "rear.bar.outer_diameter" in solid and "rear.bar" not in solid
    for other in ("", "rear.bar.colour", 5, None, solid):
        assert other not in solid


def test_file_round_trip(solid, tmp_path: Path):
    edited = solid.edit({"rear.bar.outer_diameter": "24 mm"})
    file = tmp_path / "mine.toml"
    edited.save(file)
    assert axt.Car.load(file) == edited
    assert axt.Car.load(str(file)) == edited
    assert 'outer_diameter = "24 mm"' in file.read_text()


def test_other_rear_end(solid, independent):
    swapped = solid.with_rear(independent)
    assert swapped["rear.type"] == independent["rear.type"]
    assert swapped["front.spring.rate"] == solid["front.spring.rate"]
    model, was = swapped.assemble(), solid.assemble()
    assert not model.solid_rear and was.solid_rear
    # Mass follows from the parts of the other rear end.
    assert model.mass != pytest.approx(was.mass, rel=1e-3)
    assert swapped.with_rear(solid) == solid


def test_paths_list_every_entry(solid):
    entries = solid.paths()
    assert len(entries) > 100
    assert "rear.bar.outer_diameter" in entries
    entry = next(e for e in entries if e["path"] == "rear.bar.outer_diameter")
    assert entry["value"] == 0.022 and entry["written"] == "22 mm" and entry["unit"] == "mm"
    low, high = entry["allowed"]
    assert low < 0.022 < high < 1
    assert entry["meaning"]
    for entry in entries:
        assert solid[entry["path"]] == entry["value"]
        assert entry["meaning"], entry["path"]
        if isinstance(entry["value"], float) and entry["allowed"] is not None:
            assert entry["allowed"][0] - 1e-9 <= entry["value"] <= entry["allowed"][1] * (1 + 1e-9)
    frame = entries.to_pandas()
    assert frame.loc["rear.bar.outer_diameter", "value"] == 0.022
    assert "22 mm" in repr(entries) and "<table" in entries._repr_html_()


def test_schema_accepts_the_bundled_cars(solid):
    tomllib = pytest.importorskip("tomllib")
    schema = axt.Car.schema()
    validator = jsonschema.Draft202012Validator(schema)
    validator.check_schema(schema)
    for name in axt.examples():
        validator.validate(tomllib.loads(axt.Car.load(name).to_toml()))
    broken = tomllib.loads(solid.to_toml())
    broken["wheelbase"] = True
    assert not validator.is_valid(broken)


def test_differences_of_two_cars(solid):
    other = solid.edit({"rear.bar.outer_diameter": "24 mm"})
    ((path, here, there, meaning),) = solid.differences(other)
    assert (path, here, there) == ("rear.bar.outer_diameter", "22 mm", "24 mm") and meaning
    assert solid.differences(solid) == []


def test_pickle_and_repr(solid):
    again = pickle.loads(pickle.dumps(solid))
    assert again == solid and again.origin == solid.origin
    assert solid.name in repr(solid)
    with pytest.raises(axt.CarError) as caught:
        solid["nothing"]
    error = pickle.loads(pickle.dumps(caught.value))
    assert error.faults == caught.value.faults


def test_model_numbers(solid):
    model = solid.assemble()
    numbers = model.numbers()
    assert len(numbers) > 400
    again = pickle.loads(pickle.dumps(model))
    assert again == model and again.geometry == model.geometry
    heavier = model.with_numbers({"chassis.sprung.mass": numbers["chassis.sprung.mass"] + 10})
    assert heavier.mass == pytest.approx(model.mass + 10)
    assert heavier != model
    assert model.with_numbers(numbers) == model
    with pytest.raises(KeyError):
        model.with_numbers({"no.such.number": 1.0})
    with pytest.raises(ValueError, match="finite"):
        model.with_numbers({"chassis.sprung.mass": float("inf")})
    with pytest.raises(TypeError):
        model.with_numbers({"chassis.sprung.mass": "heavy"})


def test_a_pickled_model_names_its_numbers(solid):
    model = solid.assemble()
    restore, (record,) = model.__reduce__()
    assert record["schema"] == 2 and record["rear"] == "solid"
    assert restore(record) == model
    numbers = record["numbers"]
    # The order has no meaning.
    backward = dict(reversed(numbers.items()))
    assert list(backward) != list(numbers)
    assert restore({**record, "numbers": backward}) == model
    # A missing, an unknown and a renamed number are refused by name.
    lacking = {path: x for path, x in numbers.items() if path != "chassis.height"}
    with pytest.raises(ValueError, match=r"lacks chassis\.height"):
        restore({**record, "numbers": lacking})
    with pytest.raises(ValueError, match=r"path chassis\.color"):
        restore({**record, "numbers": {**numbers, "chassis.color": 1.0}})
    renamed = {**lacking, "chassis.center_height": numbers["chassis.height"]}
    with pytest.raises(ValueError, match=r"lacks chassis\.height"):
        restore({**record, "numbers": renamed})
    # So are another schema, records from before there was one, and another topology.
    with pytest.raises(ValueError, match="schema 3"):
        restore({**record, "schema": 3})
    with pytest.raises(ValueError, match="schema 0"):
        restore("a car", True, [1.0], [1.0], [0.0], [3.0])
    with pytest.raises(ValueError, match="lacks rear"):
        restore({**record, "rear": "independent"})


def test_model_rests(solid):
    model = solid.assemble()
    state = model.rolling_state()
    assert state.shape == (len(model.state_names),) == (49,)
    rate = dict(zip(model.state_names, model.derivative(state), strict=True))
    assert max(map(abs, rate.values())) < 1e-6
    # Of a car lifted by a centimeter the wheels fall first: the tires push less.
    lifted = state.copy()
    lifted[model.state_names.index("z")] += 0.01
    rate = dict(zip(model.state_names, model.derivative(lifted), strict=True))
    assert rate["travel_front_left_rate"] < -10 and rate["axle_heave_rate"] < -10
    # Drive torque turns the driveline, whose twist turns the rear wheels.
    driven = dict(zip(model.state_names, model.derivative(state, drive_torque=100.0), strict=True))
    assert driven["driveline_speed"] > 1
    twisted = state.copy()
    twisted[model.state_names.index("shaft_twist_mean")] += 0.01
    driven = dict(zip(model.state_names, model.derivative(twisted), strict=True))
    assert driven["spin_rear_left"] > 1 and abs(driven["spin_front_left"]) < 0.1
    with pytest.raises(ValueError, match="49"):
        model.derivative(state[:40])
    with pytest.raises(TypeError):
        model.derivative("state")


@pytest.mark.parametrize("place", ["", ".", "no/such/folder.toml", "file/below.toml"])
def test_a_save_that_fails_is_an_os_error(solid, tmp_path: Path, place):
    (tmp_path / "file").write_text("text")
    target = tmp_path / place
    with pytest.raises(OSError, match="the file cannot be written") as caught:
        solid.save(target)
    error = caught.value
    assert isinstance(error, axt.CarError) and type(error) is axt.CarFileError
    assert error.origin == str(target) and len(error.faults) == 1
    assert isinstance(error.errno, int)
    again = pickle.loads(pickle.dumps(error))
    assert str(again) == str(error) and again.faults == error.faults
    assert [file.name for file in tmp_path.iterdir()] == ["file"]
    with pytest.raises(axt.CarFileError, match="the path names no file"):
        solid.save("")


def test_a_car_that_is_not_there_is_an_os_error():
    with pytest.raises(OSError, match="the file cannot be read") as caught:
        axt.Car.load("nowhere.toml")
    assert caught.value.errno == errno.ENOENT
    # A file that is there and wrong is none.
    with pytest.raises(axt.CarError) as caught:
        axt.Car.from_toml("wheelbase = 3")
    assert not isinstance(caught.value, OSError)


def test_a_car_that_falls_from_its_ride_height_is_refused(solid):
    with pytest.raises(axt.CarError, match=r"rear wheel a rate of -29\d\d N/m"):
        solid.edit({"rear.spring.body.y": "49 mm"})


def test_messages_hold_no_control_characters(solid):
    bad = "\x1b[31m\nfalse line\x07"
    calls = [
        lambda: solid.edit({"wheelbase": bad}),
        lambda: solid.edit({bad: 1.0}),
        lambda: solid.edit({"name": bad}),
        lambda: solid[bad],
        lambda: axt.Car.load(bad),
        lambda: axt.Car.from_toml(f"name = '{bad}'", bad),
        lambda: axt.si(f"3 {bad}"),
        lambda: axt.si(f"3 m{bad}"),
    ]
    for call in calls:
        with pytest.raises((axt.CarError, ValueError)) as caught:
            call()
        message = str(caught.value)
        faults = getattr(caught.value, "faults", [])
        assert len(message.splitlines()) == 1 + len(faults), message
        assert all(c.isprintable() for c in message.replace("\n", "")), message
        for fault in faults:
            assert (fault.path + (fault.value or "") + fault.message).isprintable()


posix = pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX systems")


@posix
def test_pipes_are_read_and_written(solid, tmp_path: Path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    # Opened for both, a pipe holds what is written until it is read.
    held = os.open(pipe, os.O_RDWR)
    try:
        solid.save(pipe)
        text = os.read(held, 1 << 20).decode()
    finally:
        os.close(held)
    assert axt.Car.from_toml(text) == solid

    def write():
        with Path(pipe).open("w") as file:
            for start in range(0, len(text), 1000):
                file.write(text[start : start + 1000])
                file.flush()
                time.sleep(0.002)

    thread = threading.Thread(target=write)
    thread.start()
    car = axt.Car.load(pipe)
    thread.join()
    assert car == solid and car.origin == str(pipe)
    # A process behind a pipe, as a shell writes it.
    command = f"{sys.executable} -m axletree sheet <(cat {tmp_path / 'car.toml'})"
    solid.save(tmp_path / "car.toml")
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=True)
    assert "wheel_rate_rear" in done.stdout


@posix
@pytest.mark.parametrize("call", ["axt.Car.load({pipe!r})", "car.save({pipe!r})"])
def test_ctrl_c_ends_the_wait_for_a_pipe(tmp_path: Path, call):
    """Nobody is at the other end; other threads run meanwhile."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    program = (
        "import threading, time, axletree as axt\n"
        'car = axt.Car.load("bramble-solid")\n'
        "def tell():\n"
        "    for _ in range(5):\n"
        "        time.sleep(0.02)\n"
        "    print('waiting', flush=True)\n"
        "threading.Thread(target=tell).start()\n" + call.format(pipe=str(pipe))
    )
    child = subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "waiting\n"
    child.send_signal(signal.SIGINT)
    _, told = child.communicate(timeout=20)
    assert told.rstrip().endswith("KeyboardInterrupt")
