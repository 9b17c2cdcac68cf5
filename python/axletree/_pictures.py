"""Figures of results, dispatched on the type of the result.

Results know these two functions only. The modules of ``axletree.plot``, which know the results,
register how each type is drawn: a figure for a new type of result is one registered function.
"""

from __future__ import annotations

from functools import singledispatch
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@singledispatch
def picture(result: object, *_: Any) -> Figure:
    """The default figure of a result."""
    raise TypeError(f"no figure is defined for {type(result).__name__}")


@singledispatch
def curves(result: object, *_: Any) -> Figure:
    """The figure of a result's curves."""
    raise TypeError(f"no curves are defined for {type(result).__name__}")
