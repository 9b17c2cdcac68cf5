"""Numba's ``njit`` if installed; otherwise functions stay plain Python, for checks only."""

from __future__ import annotations

try:
    from numba import njit as _njit

    COMPILED = True

    def njit(function):
        """Compiles with fast arithmetic, without checks, with calls inlined."""
        return _njit(fastmath=True, error_model="numpy", boundscheck=False, forceinline=True)(
            function
        )

except ImportError:
    COMPILED = False

    def njit(function):
        """Returns the function unchanged."""
        return function
