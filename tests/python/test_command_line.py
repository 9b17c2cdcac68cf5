"""Command line, called as a user calls it."""

from __future__ import annotations

import csv
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

import axletree as axt
from axletree.__main__ import main


def call(*arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "axletree", *arguments],
        cwd=cwd,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )


def test_no_argument_compares_the_bundled_cars(tmp_path):
    done = call(cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "slalom.top_speed" in done.stdout and "difference" in done.stdout
    assert "not a test" in done.stdout
    assert {file.name for file in tmp_path.iterdir()} == {"comparison.csv", "comparison.png"}
    assert (tmp_path / "comparison.png").read_bytes().startswith(b"\x89PNG")
    with (tmp_path / "comparison.csv").open() as file:
        rows = {row["metric"]: row for row in csv.DictReader(file)}
    solid = axt.StepSteer().measure(axt.Car.load("bramble-solid"))
    told = float(rows["step_steer.yaw_rate_response_time"]["bramble-solid"])
    assert told == solid["yaw_rate_response_time"]
    assert rows["step_steer.yaw_rate_response_time"]["unit"] == "s"
    assert rows["slalom.outcome"]["bramble-solid"] == "completed"


def test_sheet(capsys):
    assert main(["sheet", "bramble-solid", "bramble-independent"]) == 0
    out = capsys.readouterr().out
    assert out.count("roll_center_height_rear") == 2
    mass = axt.static_sheet(axt.Car.load("bramble-solid"))["mass"]
    assert any(line.split()[:3] == ["mass", f"{mass:.4g}", "kg"] for line in out.splitlines())


def test_compare_files(tmp_path, capsys, solid):
    file = tmp_path / "mine.toml"
    solid.edit({"rear.bar.outer_diameter": "26 mm"}).save(file)
    asked = ["compare", "bramble-solid", str(file), "-m", "step_steer", "-o", str(tmp_path / "out")]
    assert main(asked) == 0
    assert "mine" in capsys.readouterr().out
    assert (tmp_path / "out" / "comparison.csv").exists()


def test_sweep(tmp_path, capsys):
    asked = ["sweep", "bramble-solid", "rear.bar.outer_diameter", "16 mm", "28 mm", "3"]
    assert (
        main([*asked, "-m", "step_steer", "-o", str(tmp_path), "--plot", "step_steer.tb_factor"])
        == 0
    )
    assert "not a test" in capsys.readouterr().out
    with (tmp_path / "sweep.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert [float(row["rear.bar.outer_diameter [m]"]) for row in rows] == pytest.approx(
        [0.016, 0.022, 0.028]
    )
    assert (tmp_path / "sweep.png").exists()


@pytest.mark.parametrize(
    "asked",
    [
        ["sheet", "no-such-car"],
        ["sweep", "bramble-solid", "no.such.entry", "1", "2", "2", "-m", "step_steer"],
        [
            "sweep",
            "bramble-solid",
            "rear.bar.outer_diameter",
            "1 mm",
            "2 kg",
            "2",
            "-m",
            "step_steer",
        ],
        [
            "sweep",
            "bramble-solid",
            "rear.bar.outer_diameter",
            "16 mm",
            "18 mm",
            "2",
            "-m",
            "step_steer",
            "--plot",
            "x.y",
        ],
    ],
)
def test_errors_are_printed_without_a_traceback(asked, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(asked) == 1
    assert capsys.readouterr().err.strip()


SWEEP = ["sweep", "bramble-solid", "rear.bar.outer_diameter"]


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ([*SWEEP, "16", "28"], "expected m"),
        ([*SWEEP, "16 kg", "28 kg"], "is in kg; expected m"),
        ([*SWEEP, "160 mm", "280 mm"], "is out of range"),
        (["sweep", "bramble-solid", "name", "1", "2"], "name is not a number"),
        (["sweep", "bramble-solid", "rear.type", "1", "2"], "rear.type is not a number"),
    ],
)
def test_a_sweep_of_no_car_fails(asked, told, tmp_path, capsys):
    assert main([*asked, "3", "-m", "step_steer", "-o", str(tmp_path)]) == 1
    out, err = capsys.readouterr()
    assert out == "" and told in err
    assert list(tmp_path.iterdir()) == []


def test_a_sweep_of_some_cars_tells_the_reasons(tmp_path, capsys):
    asked = [*SWEEP, "20 mm", "180 mm", "3", "-m", "step_steer", "-o", str(tmp_path)]
    assert main(asked) == 0
    out = capsys.readouterr().out
    assert "not_built" in out and "row 1 not built" in out and "row 2 not built" in out
    with (tmp_path / "sweep.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert [bool(row["fault"]) for row in rows] == [False, True, True]
    assert "out of range" in rows[2]["fault"]


def test_negative_values_need_no_space(tmp_path):
    for start, stop in (("-3deg", "-1deg"), ("-3 deg", "-.5deg"), ("-3e0deg", "1deg")):
        asked = ["sweep", "bramble-solid", "front.camber", start, stop, "2", "-m", "step_steer"]
        assert main([*asked, "-o", str(tmp_path)]) == 0
        with (tmp_path / "sweep.csv").open() as file:
            first = next(csv.DictReader(file))
        assert float(first["front.camber [rad]"]) == pytest.approx(-0.0523598775)


@pytest.mark.parametrize("encoding", ["latin-1", "ascii", "cp437"])
def test_any_terminal_shows_a_table(encoding, tmp_path, solid):
    """An encoding without a dash, and a name with letters that it lacks."""
    file = tmp_path / "Käfer.toml"
    solid.edit({"name": "Käfer"}).save(file)
    asked = ["compare", "bramble-solid", str(file), "-m", "circle", "-o", str(tmp_path)]
    done = subprocess.run(
        [sys.executable, "-m", "axletree", *asked],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert b"circle.understeer_gradient" in done.stdout and b"?" in done.stdout
    assert (tmp_path / "comparison.png").exists() and (tmp_path / "comparison.csv").exists()


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX systems")
def test_files_are_written_though_nobody_reads(tmp_path):
    """The reader of the output is gone before the table is printed."""
    read, write = os.pipe()
    os.close(read)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "axletree", "compare", "bramble-solid", "-m", "step_steer"],
            cwd=tmp_path,
            stdout=write,
            stderr=subprocess.PIPE,
            text=True,
            timeout=300,
            check=False,
        )
    finally:
        os.close(write)
    assert done.returncode == 1 and done.stderr == ""
    assert {file.name for file in tmp_path.iterdir()} == {"comparison.csv", "comparison.png"}


def test_a_folder_that_cannot_be_written_is_told_before_a_car_is_driven(
    tmp_path, monkeypatch, capsys
):
    monkeypatch.setattr(axt, "compare", lambda *_: pytest.fail("a car was driven"))
    monkeypatch.setattr(axt, "sweep", lambda *_: pytest.fail("a car was driven"))
    blocked = tmp_path / "file"
    blocked.write_text("no folder")
    (tmp_path / "folder" / "comparison.csv").mkdir(parents=True)
    for folder in (blocked, blocked / "below", tmp_path / "folder"):
        assert main(["compare", "bramble-solid", "-o", str(folder)]) == 1
        assert capsys.readouterr().err
    assert main([*SWEEP, "16 mm", "20 mm", "2", "-o", str(blocked)]) == 1
    assert blocked.read_text() == "no folder"


def test_replaced_files_are_named(tmp_path, capsys):
    asked = ["compare", "bramble-solid", "-m", "step_steer", "-o", str(tmp_path)]
    for word in ("wrote", "replaced"):
        assert main(asked) == 0
        out = capsys.readouterr().out
        for name in ("comparison.csv", "comparison.png"):
            assert f"{word} {tmp_path / name}" in out


@pytest.mark.parametrize("command", [["compare", "-m", "step_steer"], ["sheet"]])
def test_a_car_given_twice_is_an_error(command, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main([command[0], "bramble-solid", "bramble-solid", *command[1:]]) == 1
    assert "bramble-solid is given twice" in capsys.readouterr().err


def test_cars_of_the_same_file_name_are_kept_apart(tmp_path, capsys, solid):
    files = [tmp_path / folder / "unit.toml" for folder in "ab"]
    for file in files:
        file.parent.mkdir()
        solid.save(file)
    asked = ["compare", *map(str, files), "-m", "step_steer", "-o", str(tmp_path)]
    assert main(asked) == 0
    assert str(files[1]) in capsys.readouterr().out
    with (tmp_path / "comparison.csv").open() as file:
        head, *_ = csv.reader(file)
    assert head == ["metric", "unit_", "unit", str(files[1])]


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX systems")
def test_ctrl_c_leaves_no_traceback(tmp_path):
    asked = [*SWEEP, "16 mm", "28 mm", "100000", "-m", "circle"]
    program = (
        "import sys; from axletree.__main__ import main; print(1, flush=True); "
        f"sys.exit(main({asked!r}))"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", program],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert child.stdout.readline() == "1\n"
        time.sleep(1.0)
        child.send_signal(signal.SIGINT)
        # The timeout guards against a hang; it is no measure.
        _, err = child.communicate(timeout=300)
    finally:
        child.kill()
    assert err == "interrupted\n" and child.returncode == 130


def test_wrong_arguments():
    with pytest.raises(SystemExit) as caught:
        main(["compare"])
    assert caught.value.code == 2
