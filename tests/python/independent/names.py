"""Numbers of the car by their dotted names, as symbols or as plain values."""

from __future__ import annotations

import casadi as ca


class Branch:
    """A view of ``{dotted name: value or symbol}`` below one prefix."""

    def __init__(self, values, prefix=""):
        self.values = values
        self.prefix = prefix

    def __getitem__(self, name):
        """The branch or leaf below ``name``."""
        path = f"{self.prefix}.{name}" if self.prefix else str(name)
        if path in self.values:
            return self.values[path]
        return Branch(self.values, path)

    def __getattr__(self, name):
        if name.startswith("__"):
            raise AttributeError(name)
        return self[name]

    def _leaf(self, name):
        path = f"{self.prefix}.{name}"
        return self.values[path]

    def vector(self, count):
        """The leaves ``0 .. count-1`` as a column."""
        return ca.vertcat(*[self._leaf(i) for i in range(count)])

    def matrix(self, rows=2, columns=2):
        """The leaves ``i.j`` as a matrix."""
        return ca.vertcat(
            *[ca.horzcat(*[self._leaf(f"{i}.{j}") for j in range(columns)]) for i in range(rows)]
        )

    def curve(self, s):
        """A polynomial of a travel ``s``."""
        return sum(self._leaf(f"c.{power}") * s**power for power in range(5))

    def surface(self, h, r):
        """A polynomial of an axle's heave ``h`` and roll ``r``."""
        terms = [1, h, r, h**2, h * r, r**2, h**3, h**2 * r, h * r**2, r**3]
        return sum(self._leaf(f"c.{i}") * term for i, term in enumerate(terms))


def symbols(paths):
    """``(column of symbols, tree)`` for a list of dotted names."""
    column = ca.SX.sym("numbers", len(paths))
    return column, Branch({path: column[i] for i, path in enumerate(paths)})


def constants(numbers):
    """A tree of plain values; terms with zeros fold away in the expressions."""
    return Branch({path: ca.SX(float(value)) for path, value in numbers.items()})
