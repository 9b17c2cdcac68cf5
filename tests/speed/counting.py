"""Count of the floating-point operations of one evaluation of the equations.

The functions of :mod:`.compiled` run uncompiled on numbers that count what is done with them. Run
as a process of its own (``python tests/speed count``), because Numba must be switched off before it
is imported.
"""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from pathlib import Path
from typing import ClassVar

import numpy as np

# operations that an elementary function (sine, arc tangent, ...) stands for: what a polynomial to
# double precision with its reduction takes; common practice, no source
ELEMENTARY = 20


class _Number:
    """A number that counts."""

    __slots__ = ("value",)
    tally: ClassVar[dict[str, int]] = {
        "plain": 0,
        "divisions and roots": 0,
        "elementary functions": 0,
    }

    def __init__(self, value):
        self.value = float(value)

    def __float__(self):
        return self.value

    def __neg__(self):
        return _Number(-self.value)

    def __abs__(self):
        return _Number(abs(self.value))

    def __lt__(self, other):
        return self.value < float(other)

    def __gt__(self, other):
        return self.value > float(other)

    def __pow__(self, power):
        self.tally["plain"] += power - 1
        return _Number(self.value**power)


def _counted(name, operation):
    kind = "divisions and roots" if "div" in name else "plain"

    def forward(self, other):
        self.tally[kind] += 1
        return _Number(operation(self.value, float(other)))

    def backward(self, other):
        self.tally[kind] += 1
        return _Number(operation(float(other), self.value))

    setattr(_Number, f"__{name}__", forward)
    setattr(_Number, f"__r{name}__", backward)


for _name, _operation in (
    ("add", lambda a, b: a + b),
    ("sub", lambda a, b: a - b),
    ("mul", lambda a, b: a * b),
    ("truediv", lambda a, b: a / b),
):
    _counted(_name, _operation)


def _numbers(array):
    return np.vectorize(_Number, otypes=[object])(array)


def count(car, state, inputs):
    """Operations of one evaluation: a dict by kind; needs Numba switched off."""
    from . import body_loops, compiled, wheel_loops

    def counted_function(name, kind):
        plain = getattr(math, name)

        def counted(x):
            _Number.tally[kind] += 1
            return _Number(plain(float(x)))

        return counted

    kinds = dict.fromkeys(("sin", "cos", "atan", "tanh"), "elementary functions")
    kinds["sqrt"] = "divisions and roots"
    modules = (compiled, wheel_loops, body_loops)
    plain = [(m, name, getattr(m, name)) for m in modules for name in kinds if hasattr(m, name)]
    work = compiled.work_space()
    work = type(work)(*[_numbers(a) for a in work])
    counting = type(car)(*[_numbers(a) if np.ndim(a) else _Number(a) for a in car])
    out = _numbers(np.zeros(compiled.STATES))
    _Number.tally.update(dict.fromkeys(_Number.tally, 0))
    try:
        for module, name, _ in plain:
            setattr(module, name, counted_function(name, kinds[name]))
        compiled.rates(_numbers(state), _numbers(inputs), counting, work, out)
    finally:
        for module, name, function in plain:
            setattr(module, name, function)
    return dict(_Number.tally), [float(x) for x in out]


def operations(tally):
    """Number of operations, an elementary function as :data:`ELEMENTARY` of them."""
    return (
        tally["plain"] + tally["divisions and roots"] + ELEMENTARY * tally["elementary functions"]
    )


def count_apart(name):
    """The count for a bundled car, by a process without Numba."""
    out = subprocess.run(
        [sys.executable, str(Path(__file__).parent), "count", name],
        env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
        check=True,
        capture_output=True,
        text=True,
    )
    return json.loads(out.stdout)
