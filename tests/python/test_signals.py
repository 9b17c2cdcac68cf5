"""Long calls: signals are handled while they run, Ctrl-C stops them, other threads go on."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import threading
import time

import numpy as np
import pytest

import axletree as axt


def measured(count: int) -> dict[str, np.ndarray]:
    """Rows of a tire rig, each at another pressure and inclination."""
    random = np.random.default_rng(3)
    load = random.uniform(1500.0, 6500.0, count)
    angle, ratio = random.uniform(-0.2, 0.2, (2, count))
    slip = np.hypot(angle, ratio) + 1e-9
    force = 1.1 * load * np.sin(1.4 * np.arctan(14.0 * slip)) / slip
    return {
        "load": load,
        "slip_angle": angle,
        "slip_ratio": ratio,
        "camber": random.uniform(-0.05, 0.05, count),
        "pressure": random.uniform(150e3, 270e3, count),
        "fx": force * ratio + random.normal(0.0, 50.0, count),
        "fy": force * angle + random.normal(0.0, 50.0, count),
    }


#: Calls that last many times the interval at which signals are polled, on any machine.
LONG = {
    "slalom": lambda car: axt.Slalom(step=2e-4).top_speed(car),
    "sweep": lambda car: axt.sweep(
        car,
        {"rear.bar.outer_diameter": axt.span("16 mm", "28 mm", 4000)},
        [axt.StepSteer(), axt.Circle()],
    ),
    "compare": lambda car: axt.compare({str(i): car for i in range(4000)}, axt.Circle(), threads=2),
    "step_steer": lambda car: axt.StepSteer(step=1e-5, settle=30.0).measure(car),
    "combinations": lambda car: axt.sweep(
        car,
        {
            "air.drag_area": [0.5 + 1e-5 * i for i in range(1000)],
            "front.tire.pressure": [2e5 + i for i in range(1000)],
        },
        axt.StepSteer(),
        threads=1,
    ),
    "changed_cars": lambda car: axt.compare(
        {str(i): (car, {"air.drag_area": 0.5 + 1e-5 * i}) for i in range(4000)}, axt.Circle()
    ),
    "fit": lambda car: axt.fit_tire(measured(200_000)),
}
#: Signals sent one after another; one or two may be handled before a call begins.
SIGNALS = 10

posix = pytest.mark.skipif(os.name != "posix", reason="signals of POSIX systems")


@posix
@pytest.mark.parametrize("name", LONG)
def test_signals_are_handled_during_the_call(name, solid):
    """A signal is sent when the one before was handled; the last one raises and stops the call.

    A call that does not poll for signals handles at most one more at its end, whatever its
    duration.
    """
    handled = 0
    over = threading.Event()

    def handle(*_):
        nonlocal handled
        handled += 1
        if handled == SIGNALS:
            raise KeyboardInterrupt

    def send():
        for i in range(SIGNALS):
            os.kill(os.getpid(), signal.SIGINT)
            while handled == i and not over.is_set():
                time.sleep(0.001)

    sender = threading.Thread(target=send)
    before = signal.signal(signal.SIGINT, handle)
    try:
        sender.start()
        with pytest.raises(KeyboardInterrupt):
            LONG[name](solid)
    finally:
        over.set()
        sender.join()
        signal.signal(signal.SIGINT, before)
    assert handled == SIGNALS


@posix
def test_ctrl_c_ends_a_program():
    program = (
        "import axletree as axt\n"
        'car = axt.Car.load("bramble-solid")\n'
        "print('started', flush=True)\n"
        "while True:\n"
        "    axt.StepSteer(step=1e-5, settle=30.0).measure(car)\n"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        assert child.stdout.readline() == "started\n"
        child.send_signal(signal.SIGINT)
        # The timeout guards against a hang; it is no measure.
        _, err = child.communicate(timeout=300)
    finally:
        child.kill()
    assert "KeyboardInterrupt" in err
    assert child.returncode != 0


def run_alone(program: str, interrupted_at: str | None = None) -> tuple[int, str]:
    """Runs a program in a process group of its own, which a hang does not outlive.

    Sends SIGINT once the program has printed a line. Returns the exit code and stderr.
    """
    begin = (
        "import os, sys, multiprocessing\n"
        "import axletree as axt\n"
        "car = axt.Car.load('bramble-solid')\n"
        "bars = {'rear.bar.outer_diameter': ['20 mm', '22 mm', '24 mm']}\n"
        "steer = axt.StepSteer()\n"
        "def sweep(_=None):\n"
        "    table = axt.sweep(car, bars, steer)\n"
        "    return [name for name, _, _ in table.outcomes['step_steer']]\n"
        "done = ['completed'] * 3\n"
    )
    child = subprocess.Popen(
        [sys.executable, "-W", "ignore", "-c", begin + program],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        if interrupted_at is not None:
            assert child.stdout.readline().strip() == interrupted_at
            child.send_signal(signal.SIGINT)
        # The timeout guards against a hang; it is no measure.
        _, err = child.communicate(timeout=300)
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child.pid, signal.SIGKILL)
    return child.returncode, err


@posix
def test_a_forked_child_studies():
    """A child forked after a study has none of the parent's threads, and studies all the same."""
    forked = (
        "assert sweep() == done\n"
        "child = os.fork()\n"
        "right = sweep() == done\n"
        "table = axt.compare({'a': car, 'b': car}, steer)\n"
        "right = right and table.outcomes['step_steer'][1][0] == 'completed'\n"
        "if child == 0:\n"
        "    os._exit(0 if right else 3)\n"
        "_, status = os.waitpid(child, 0)\n"
        "sys.exit(os.waitstatus_to_exitcode(status) or not right)\n"
    )
    assert run_alone(forked) == (0, "")
    pooled = (
        "assert sweep() == done\n"
        "with multiprocessing.get_context('fork').Pool(2) as pool:\n"
        "    assert pool.map(sweep, range(4)) == [done] * 4\n"
    )
    assert run_alone(pooled) == (0, "")


@posix
def test_a_progress_callback_may_start_a_study():
    program = (
        "rows = axt.span('16 mm', '28 mm', 130)\n"
        "inner = []\n"
        "table = axt.sweep(\n"
        "    car, {'rear.bar.outer_diameter': rows}, steer,\n"
        "    progress=lambda _: inner.append(sweep())\n"
        ")\n"
        "assert len(table) == 130 and inner and all(one == done for one in inner)\n"
    )
    assert run_alone(program) == (0, "")


@posix
def test_ctrl_c_ends_the_calls_of_a_progress_callback():
    """Only the main thread hears a signal: a call out of a callback stops with the outer one."""
    program = (
        "def forever(_):\n"
        "    print('called', flush=True)\n"
        "    while True:\n"
        "        axt.StepSteer(step=1e-5, settle=30.0).measure(car)\n"
        "axt.sweep(car, bars, steer, progress=forever)\n"
    )
    code, err = run_alone(program, interrupted_at="called")
    assert code != 0 and "KeyboardInterrupt" in err


def test_a_fine_run_is_recorded_at_so_many_points(solid):
    """A step a thousand times shorter makes no table a thousand times longer."""
    run = axt.StepSteer(step=1e-5, settle=1.0, window=0.5).run(solid)
    assert 50_000 < len(run.time) <= 100_001
    assert run.time[-1] == pytest.approx(1.5)
    usual = axt.StepSteer(settle=1.0, window=0.5).measure(solid)
    for name in ("yaw_rate_steady", "yaw_rate_response_time"):
        assert run.metrics[name] == pytest.approx(usual[name], rel=2e-3)


def test_other_threads_go_on(solid):
    """A long call releases the interpreter lock: this thread counts while another one is in it."""
    begun = done = False

    def work() -> None:
        nonlocal begun, done
        maneuver = axt.StepSteer(step=2e-4, settle=10.0)
        begun = True
        maneuver.measure(solid)
        done = True

    thread = threading.Thread(target=work)
    thread.start()
    while not begun:
        time.sleep(0)
    counted = 0
    while not done:
        counted += 1
        time.sleep(0)
    thread.join()
    # If the call kept the lock, this thread would count once or twice.
    assert counted > 100


def test_cars_in_several_threads_give_the_same(solid, independent):
    alone = [axt.StepSteer().measure(car) for car in (solid, independent)]
    found: dict[int, object] = {}

    def work(i: int) -> None:
        found[i] = axt.StepSteer().measure((solid, independent)[i % 2])

    threads = [threading.Thread(target=work, args=(i,)) for i in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert all(found[i] == alone[i % 2] for i in range(8))
