"""Equality of results by content; NaN equals NaN."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np


def same(a: Any, b: Any) -> bool:
    """Whether two values have equal content, compared element by element."""
    if isinstance(a, np.ndarray) or isinstance(b, np.ndarray):
        both = isinstance(a, np.ndarray) and isinstance(b, np.ndarray)
        if not both or a.dtype != b.dtype:
            return False
        return bool(np.array_equal(a, b, equal_nan=a.dtype.kind == "f"))
    if isinstance(a, float) and isinstance(b, float):
        return a == b or (math.isnan(a) and math.isnan(b))
    if type(a) is not type(b):
        return False
    if isinstance(a, Mapping):
        return list(a) == list(b) and all(same(a[key], b[key]) for key in a)
    if isinstance(a, (list, tuple)):
        return len(a) == len(b) and all(map(same, a, b))
    return bool(a == b)


class ByContent:
    """Base of results that are equal if all their attributes are."""

    def __eq__(self, other: object) -> bool:
        if type(other) is not type(self):
            return NotImplemented
        return same(vars(self), vars(other))

    __hash__ = None  # type: ignore[assignment]
