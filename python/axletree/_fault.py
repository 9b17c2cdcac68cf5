"""One fault of a car's description."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Fault:
    """What is wrong with one entry of a car's description; ``fault["path"]`` works as ``fault.path`` does.

    Attributes
    ----------
    path : str
        Dotted path of the entry; empty where the fault is of the whole file.
    value : str or None
        What was read, as written.
    unit : str or None
        Unit in which the range is stated.
    allowed : (float, float) or None
        Least and largest value allowed [in `unit`].
    line : int or None
        Line in the file, from 1.
    message : str
        All of it in a sentence.
    """

    path: str
    value: str | None
    unit: str | None
    allowed: tuple[float, float] | None
    line: int | None
    message: str

    def __getitem__(self, name: str) -> Any:
        try:
            return vars(self)[name]
        except KeyError:
            raise KeyError(f"{name}; a fault has {', '.join(vars(self))}") from None
