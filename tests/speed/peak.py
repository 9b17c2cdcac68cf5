"""Peak of one core: independent multiply-adds in the widest registers."""

from __future__ import annotations

import time

import numpy as np

CHAIN = 8


def _loop():
    """Loop over an array with a short chain of multiply-adds per element, vectorized by LLVM."""
    from numba import njit

    def loop(a, k, d, count):
        for _ in range(count):
            for j in range(len(a)):
                x = a[j]
                x = x * k + d
                x = x * k + d
                x = x * k + d
                x = x * k + d
                x = x * k + d
                x = x * k + d
                x = x * k + d
                x = x * k + d
                a[j] = x

    return njit(fastmath={"contract"}, nogil=True)(loop)


class Peak:
    """Measures the peak again and again; the machine may be shared."""

    def __init__(self):
        self.loop = _loop()
        self.best = 0.0
        self.measure()

    def burst(self):
        """Runs the loop for about half a second in a thread of its own."""
        self.loop(np.ones(512), 0.999999, 1e-6, 4_000_000)

    def measure(self):
        """Operations a second, two for each multiply-add; the best so far is kept."""
        a, count = np.ones(512), 20_000
        self.loop(a, 0.999999, 1e-6, 1)
        for _ in range(5):
            begun = time.process_time()
            self.loop(a, 0.999999, 1e-6, count)
            spent = time.process_time() - begun
            self.best = max(self.best, 2 * CHAIN * a.size * count / spent)
        return self.best
