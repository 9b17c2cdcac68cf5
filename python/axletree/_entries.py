"""Table of the editable entries of a car."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from ._display import html_table, text_page
from ._optional import needs

if TYPE_CHECKING:
    import pandas


class Entries(Sequence[dict[str, Any]]):
    """Editable entries of a car.

    A sequence of dicts with path, value (SI), written (text in the file), unit, allowed (SI),
    choices, meaning, reason and is_default. A path is ``in`` it if the car has that entry.
    """

    def __init__(
        self,
        name: str,
        entries: Sequence[dict[str, Any]],
        write_quantity: Callable[[float, str], str],
    ) -> None:
        self.name = name
        self._entries = list(entries)
        self._write_quantity = write_quantity

    def __getitem__(self, index: Any) -> Any:
        return self._entries[index]

    def __len__(self) -> int:
        return len(self._entries)

    def __contains__(self, path: object) -> bool:
        return any(entry["path"] == path for entry in self._entries) or path in self._entries

    def _allowed(self, entry: dict[str, Any]) -> str:
        """The allowed choices or range as text."""
        if entry["choices"]:
            return " | ".join(entry["choices"])
        if entry["allowed"] is None:
            return ""
        low, high = (self._write_quantity(x, entry["unit"]) for x in entry["allowed"])
        return f"{low} to {high}"

    def _rows(self) -> list[list[str]]:
        rows = [["path", "value", "allowed", "meaning"]]
        for entry in self._entries:
            value = "—" if entry["written"] is None else entry["written"]
            rows.append([entry["path"], value, self._allowed(entry), entry["meaning"]])
        return rows

    def __repr__(self) -> str:
        return text_page(self.name, self._rows(), (False, True, False, False))

    def _repr_html_(self) -> str:
        return html_table(self.name, self._rows(), (False, True, False, False))

    def to_pandas(self) -> pandas.DataFrame:
        """A table with one row per entry, indexed by path."""
        pd = needs("pandas", "pandas")
        frame: pandas.DataFrame = pd.DataFrame(self._entries).set_index("path")
        return frame
