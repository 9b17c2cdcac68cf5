"""Long calls: Ctrl-C stops them within a second, and other threads go on meanwhile."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time

import axletree as axt
import pytest

LONG = {
    "slalom": "[axt.Slalom().top_speed(car) for _ in range(50)]",
    "sweep": (
        'axt.sweep(car, {"rear.bar.outer_diameter": axt.span("16 mm", "28 mm", 1000)}, '
        "[axt.StepSteer(), axt.Circle()])"
    ),
    "compare": "axt.compare({str(i): car for i in range(1000)}, [axt.Circle()], threads=2)",
    "step_steer": "axt.StepSteer(step=1e-5, settle=30.0).run(car)",
}


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX systems")
@pytest.mark.parametrize("name", LONG)
def test_interrupt_within_a_second(name):
    program = (
        "import axletree as axt, sys\n"
        'car = axt.Car.load("bramble-solid")\n'
        "print('started', flush=True)\n"
        f"{LONG[name]}\n"
        "print('finished', flush=True)\n"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        assert child.stdout.readline() == "started\n"
        time.sleep(0.7)
        assert child.poll() is None, "it was not long enough to interrupt"
        child.send_signal(signal.SIGINT)
        sent = time.monotonic()
        out, err = child.communicate(timeout=20)
        took = time.monotonic() - sent
    finally:
        child.kill()
    assert "KeyboardInterrupt" in err and "finished" not in out
    # A second, and what it takes the interpreter to end on a busy machine.
    assert took < 1.0 + 0.5, took


def test_other_threads_go_on(solid):
    """The interpreter's lock is released: a second thread counts while a long call runs."""
    done = threading.Event()
    counted = 0

    def work() -> None:
        axt.StepSteer(step=2e-4, settle=10.0).run(solid)
        done.set()

    thread = threading.Thread(target=work)
    started = time.monotonic()
    thread.start()
    while not done.is_set():
        counted += 1
        time.sleep(0.001)
    took = time.monotonic() - started
    thread.join()
    assert took > 0.1, "the call was too short to tell"
    # Held through the call, the lock would let this thread through a few times only.
    assert counted > 0.1 * took / 0.001


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
