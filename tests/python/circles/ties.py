"""Dependences between files, and the circles in them."""

from __future__ import annotations

from collections import defaultdict, deque
from dataclasses import dataclass, field
from itertools import pairwise


@dataclass
class Ties:
    """Dependences: file to the files it depends on, each with the names that tie them."""

    names: dict[str, dict[str, set[str]]] = field(default_factory=lambda: defaultdict(dict))

    def add(self, source: str, target: str, name: str) -> None:
        """Adds a dependence; a file does not depend on itself."""
        if source != target:
            self.names[source].setdefault(target, set()).add(name)

    def of(self, source: str) -> dict[str, set[str]]:
        """The files that a file depends on, with the names that tie them."""
        return self.names.get(source, {})

    def path(self, start: str, end: str) -> list[str] | None:
        """The shortest chain of dependences between two files, or around from a file to itself."""
        before: dict[str, str] = {}
        queue = deque([start])
        while queue:
            file = queue.popleft()
            for target in sorted(self.of(file)):
                if target not in before:
                    before[target] = file
                    queue.append(target)
        if end not in before:
            return None
        chain = [end, before[end]]
        while chain[-1] != start:
            chain.append(before[chain[-1]])
        return chain[::-1]


@dataclass(frozen=True)
class Circle:
    """Files that all depend on each other."""

    files: frozenset[str]
    text: str

    def __str__(self) -> str:
        return self.text


def circles(ties: Ties) -> list[Circle]:
    """The largest sets of files that all depend on each other."""
    found: list[Circle] = []
    for file in sorted(ties.names):
        if any(file in circle.files for circle in found):
            continue
        around = ties.path(file, file)
        if around is None:
            continue
        members = {
            other for other in ties.names if ties.path(file, other) and ties.path(other, file)
        }
        found.append(Circle(frozenset(members), _described(ties, around, members)))
    return found


def _described(ties: Ties, around: list[str], members: set[str]) -> str:
    """A shortest way around with the names that tie it, then the other ties of the members."""

    def line(a: str, b: str) -> str:
        return f"  {a} -> {b}: {', '.join(sorted(ties.of(a)[b]))}"

    way = list(pairwise(around))
    pairs = [(a, b) for a in sorted(members) for b in sorted(ties.of(a)) if b in members]
    others = [pair for pair in pairs if pair not in way]
    lines = [f"circle of {len(members)} files:", *(line(*pair) for pair in way)]
    if others:
        lines += ["further ties:", *(line(*pair) for pair in others)]
    return "\n".join(lines)
