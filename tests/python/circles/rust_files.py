"""Dependences of the Rust files of a crate, from all paths in ``use`` lines and bodies.

A path that starts with ``crate``, ``self`` or ``super``, with a module or with a name from a
``use`` line is resolved to the file that defines the item, through re-exports. A re-export is a
dependence only of a file that mentions the name elsewhere too. ``mod name;`` is none.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from .rust_modules import ROOTED, Module, Use, crate
from .ties import Ties


@dataclass(frozen=True)
class Item:
    """An item, by the file that defines it; ``None`` for an item of another crate."""

    file: Path | None


OUTSIDE = Item(None)
Target = Module | Item | None
#: Names that are being resolved, which break the recursion of a name that stands for itself.
Seen = frozenset[tuple[int | str, ...]]


def rust_ties(source: Path) -> Ties:
    """Dependences between the files of a crate's ``src`` folder."""
    roots = [source / "lib.rs", source / "main.rs", *sorted((source / "bin").glob("*.rs"))]
    ties, read = Ties(), set()
    for root in filter(Path.exists, roots):
        tree = crate(root)
        names = _Names(tree)
        for module in tree.all():
            read.add(module.file)
            for target, name in names.needs(module):
                shown = [str(file.relative_to(source)) for file in (module.file, target)]
                ties.add(*shown, name)
    missed = set(source.rglob("*.rs")) - read
    assert not missed, f"files in no module tree: {sorted(map(str, missed))}"
    return ties


class _Names:
    """Resolution of the paths of a crate."""

    def __init__(self, root: Module) -> None:
        self.root = root
        self.exported = {name: m.file for m in root.all() for name in m.exported}
        self.macros = {name: m.file for m in root.all() for name in m.macros} | self.exported

    def needs(self, module: Module) -> set[tuple[Path, str]]:
        """The files that a module depends on, each with a name that ties it."""
        found: set[tuple[Path, str]] = set()

        def need(target: Target, name: str) -> None:
            if isinstance(target, Item) and target.file is not None:
                found.add((target.file, name))

        for name, use in [*module.bound.items(), *module.inside.items()]:
            if not use.public or name in module.mentioned or name in module.called_macros:
                need(self.resolve(module, use.path), "::".join(use.path))
        for use in module.globs:
            if not use.public:
                for target, name in self._taken(module, use):
                    need(target, "::".join((*use.path, name)))
        for path in module.paths:
            if path[0] in ROOTED or isinstance(self.local(module, path[0]), Module):
                need(self.resolve(module, path), "::".join(path))
        for name in module.called_macros - set(module.bound) - set(module.inside):
            if name in self.macros:
                need(Item(self.macros[name]), f"{name}!")
        return found

    def _taken(self, module: Module, use: Use) -> list[tuple[Target, str]]:
        """The items that a module takes from a ``use path::*``: those whose names it mentions."""
        source = self.resolve(module, use.path)
        if not isinstance(source, Module):
            return [(source, "*")]
        known = [(self.member(source, name), name) for name in sorted(module.mentioned)]
        taken = [(target, name) for target, name in known if target is not None]
        # The names of items made by a macro are unknown: then the module itself counts.
        return taken or [(Item(source.file), "*")]

    def resolve(self, at: Module, path: tuple[str, ...], seen: Seen = frozenset()) -> Target:
        """The module or item that a path names."""
        here: Target = at
        for i, segment in enumerate(path):
            if not isinstance(here, Module):
                # An associated item or a variant.
                return here
            if segment == "crate":
                here = self.root
            elif segment == "super":
                here = here.parent or here
            elif segment != "self":
                found = (
                    self.local(here, segment, seen) if i == 0 else self.member(here, segment, seen)
                )
                if found is None:
                    # Unknown at the start: another crate. Later: made by a macro of that module.
                    found = OUTSIDE if i == 0 else Item(here.file)
                here = found
        return here

    def local(self, module: Module, name: str, seen: Seen = frozenset()) -> Target:
        """The module or item that a name means in the bodies of a module; ``None`` if unknown."""
        if name in module.inside and (id(module), name, "inside") not in seen:
            return self.resolve(
                module, module.inside[name].path, seen | {(id(module), name, "inside")}
            )
        return self.member(module, name, seen)

    def member(self, module: Module, name: str, seen: Seen = frozenset()) -> Target:
        """The module or item of a name in a module; ``None`` if unknown."""
        if (id(module), name) in seen:
            return None
        seen = seen | {(id(module), name)}
        if name in module.children:
            return module.children[name]
        if name in module.items or name in module.macros:
            return Item(module.file)
        if name in module.bound:
            found = self.resolve(module, module.bound[name].path, seen)
            if found is not OUTSIDE or name not in self.macros:
                return found
        for use in module.globs:
            source = self.resolve(module, use.path, seen)
            found = self.member(source, name, seen) if isinstance(source, Module) else None
            if found is not None:
                return found
        if module is self.root and name in self.exported:
            return Item(self.exported[name])
        if name in self.macros:
            # `pub(crate) use name;` below a macro.
            return Item(self.macros[name]) if name in module.bound else None
        return None
