"""A fault in the description of a car."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Fault:
    """A fault in one entry of a car's description; ``fault["path"]`` is ``fault.path``.

    Attributes
    ----------
    path : str
        Dotted path of the entry; empty for a fault of the whole file.
    value : str or None
        Value as written.
    unit : str or None
        Unit of the allowed range.
    allowed : (float, float) or None
        Smallest and largest allowed value [in `unit`].
    line : int or None
        Line in the file, counted from 1.
    message : str
        Full description of the fault.
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
