"""Import of optional libraries."""

from __future__ import annotations

import importlib
from typing import Any


def needs(extra: str, module: str) -> Any:
    """Imports an optional library.

    Parameters
    ----------
    extra : str
        Extra of this package that installs the library.
    module : str
        Module to import.

    Raises
    ------
    ImportError
        If the library is not installed; the message names the extra.
    """
    try:
        return importlib.import_module(module)
    except ImportError as error:
        library = module.split(".", maxsplit=1)[0]
        raise ImportError(
            f'{library} is not installed: run pip install "axletree[{extra}]"'
        ) from error
