"""Command line, called as a user calls it."""

from __future__ import annotations

import csv
import subprocess
import sys
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


def test_wrong_arguments():
    with pytest.raises(SystemExit) as caught:
        main(["compare"])
    assert caught.value.code == 2
