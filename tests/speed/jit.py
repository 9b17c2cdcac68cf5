"""Numba's ``njit`` where it is installed; else functions stay plain Python, for checking them only."""

from __future__ import annotations

try:
    from numba import njit as _njit

    COMPILED = True

    def njit(function):
        """Compiles with everything that helps: fast arithmetic, no checks, calls inlined."""
        return _njit(fastmath=True, error_model="numpy", boundscheck=False, forceinline=True)(
            function
        )

except ImportError:
    COMPILED = False

    def njit(function):
        """The function as it is."""
        return function
