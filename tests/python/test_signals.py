"""Long calls: signals are handled while they run, Ctrl-C stops them, other threads go on."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time

import pytest

import axletree as axt

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
