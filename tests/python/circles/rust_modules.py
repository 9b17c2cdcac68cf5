"""Module tree of a Rust crate: the items, ``use`` lines and paths of each module."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from .rust_tokens import Token, tokens

#: Keywords followed by the name of an item.
ITEMS = ("fn", "struct", "enum", "union", "trait", "type", "const", "static")
#: First segments of a path that name a module relative to the crate or to the module.
ROOTED = ("crate", "self", "super")
OPEN, CLOSE = ("{", "(", "["), ("}", ")", "]")


@dataclass(frozen=True)
class Use:
    """A name that a ``use`` line binds: the path it stands for, and whether others may use it."""

    path: tuple[str, ...]
    public: bool


@dataclass
class Module:
    """A module: a file, or a block ``mod name { }`` in one."""

    name: str
    file: Path
    parent: Module | None
    children: dict[str, Module] = field(default_factory=dict)
    #: Names of items defined here.
    items: set[str] = field(default_factory=set)
    #: Names of macros defined here; the exported ones belong to the crate.
    macros: set[str] = field(default_factory=set)
    exported: set[str] = field(default_factory=set)
    #: Names bound by ``use`` lines of the module, and of function bodies.
    bound: dict[str, Use] = field(default_factory=dict)
    inside: dict[str, Use] = field(default_factory=dict)
    #: Modules whose names are all used: ``use path::*``.
    globs: list[Use] = field(default_factory=list)
    #: Paths of two or more segments, and single names, in item signatures and bodies.
    paths: set[tuple[str, ...]] = field(default_factory=set)
    mentioned: set[str] = field(default_factory=set)
    called_macros: set[str] = field(default_factory=set)

    def all(self) -> Iterator[Module]:
        """The module and all below it."""
        yield self
        for child in self.children.values():
            yield from child.all()


def crate(root: Path) -> Module:
    """The module tree of a crate from its ``lib.rs``, ``main.rs`` or program file."""
    module = Module("crate", root, None)
    _read(module, root.parent)
    return module


def _read(module: Module, folder: Path) -> None:
    """Reads the file of a module; `folder` holds the files of its children."""
    _Reader(tokens(module.file.read_text()), module, folder).read()


class _Reader:
    """Reads the tokens of one file into its module and the modules in it."""

    def __init__(self, given: list[Token], module: Module, folder: Path) -> None:
        self.tokens = given
        self.at = 0
        # The open scopes: the module of each, its folder, and whether items belong to the module.
        self.scopes: list[tuple[Module, Path, bool]] = [(module, folder, True)]

    def text(self, offset: int = 0) -> str:
        """Text of a token near the current one; empty beyond the ends and for strings."""
        i = self.at + offset
        given = self.tokens[i] if 0 <= i < len(self.tokens) else None
        return "" if given is None or given.kind == "string" else given.text

    def is_name(self, offset: int = 0) -> bool:
        i = self.at + offset
        return 0 <= i < len(self.tokens) and self.tokens[i].kind == "ident"

    @property
    def module(self) -> Module:
        return self.scopes[-1][0]

    @property
    def among_items(self) -> bool:
        return self.scopes[-1][2]

    def read(self) -> None:
        while self.at < len(self.tokens):
            if not self.is_name():
                self._bracket()
            elif self.text() == "mod" and self.is_name(1):
                self._module()
            elif self.text() == "use" and self.text(1) != "<":
                self._use()
            elif self.text() == "pub" and self.text(1) == "(" and self.text(2) in (*ROOTED, "in"):
                self.at += self._length(1) + 1
            elif self.text() == "macro_rules" and self.text(1) == "!":
                self._macro()
            else:
                self._name()

    def _bracket(self) -> None:
        """Opens and closes scopes. Items in the braces of a macro call belong to the module."""
        if self.text() in OPEN:
            called = self.text(-1) == "!" and self.is_name(-2)
            module, folder, among = self.scopes[-1]
            self.scopes.append((module, folder, among and called))
        elif self.text() in CLOSE:
            self.scopes.pop()
        self.at += 1

    def _length(self, offset: int) -> int:
        """Number of tokens of the bracketed group that starts at an offset."""
        depth, i = 0, offset
        while True:
            depth += (self.text(i) in OPEN) - (self.text(i) in CLOSE)
            i += 1
            if depth == 0:
                return i - offset

    def _attributes(self) -> list[list[Token]]:
        """The attributes before the item at the current token, each as its tokens."""
        found, end = [], self.at
        while end > 0:
            last = self.tokens[end - 1]
            if last.text in ("pub", "unsafe") and last.kind == "ident":
                end -= 1
            elif last.text in (")", "]") and last.kind == "punct":
                start, depth = end, 0
                while depth or start == end:
                    start -= 1
                    given = self.tokens[start]
                    if given.kind == "punct":
                        depth += (given.text in CLOSE) - (given.text in OPEN)
                if last.text == "]":
                    found.append(self.tokens[start:end])
                    start -= 1
                end = start
            else:
                break
        return found

    def _module(self) -> None:
        name, here = self.text(1), self.module
        folder = self.scopes[-1][1]
        if self.text(2) == "{":
            child = here.children.setdefault(name, Module(name, here.file, here))
            self.scopes.append((child, folder / name, True))
        else:
            child = Module(name, _file_of(name, folder, self._attributes(), here.file), here)
            here.children[name] = child
            of_folder = child.file.stem in ("mod", name)
            below = child.file.parent
            _read(child, below if child.file.stem == "mod" or not of_folder else below / name)
        self.at += 3

    def _macro(self) -> None:
        name = self.text(2)
        exported = any(t.text == "macro_export" for group in self._attributes() for t in group)
        (self.module.exported if exported else self.module.macros).add(name)
        self.at += 3

    def _use(self) -> None:
        public = self.text(-1) == "pub" or (self.text(-1) == ")" and self._is_restricted())
        self.at += 1
        for path, name in self._tree(()):
            use = Use(path, public)
            if name == "*":
                self.module.globs.append(use)
            elif name != "_":
                (self.module.bound if self.among_items else self.module.inside)[name] = use
            else:
                # A trait used for its methods alone.
                self.module.bound[f"_ as {'::'.join(path)}"] = Use(path, False)

    def _is_restricted(self) -> bool:
        """Whether the bracket that ends before the current token belongs to ``pub``."""
        i = -1
        while self.text(i) != "(":
            i -= 1
        return self.text(i - 1) == "pub"

    def _tree(self, before: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
        """The leaves of a ``use`` tree, each as a path and the name it binds."""
        path = before
        while True:
            if self.text() == "{":
                self.at += 1
                while self.text() != "}":
                    yield from self._tree(path)
                    self.at += self.text() == ","
                self.at += 1
                return
            if self.text() == "::":
                path = path or ("",)
                self.at += 1
                continue
            if self.text() == "*":
                self.at += 1
                yield path, "*"
                return
            segment = self.text()
            self.at += 1
            if segment != "self" or not path:
                path = (*path, segment)
            if self.text() != "::":
                break
        name = path[-1]
        if self.text() == "as":
            name = self.text(1)
            self.at += 2
        yield path, name

    def _name(self) -> None:
        """Reads an item's name, or a path, or a single name in a body."""
        here, first = self.module, self.text()
        if first in ITEMS and self.is_name(1) and self.among_items:
            here.items.add(self.text(1))
        before = self.text(-1)
        segments = [first]
        while self.text(1) == "::" and self.is_name(2):
            segments.append(self.text(2))
            self.at += 2
        after = self.text(1)
        self.at += 1
        if before in (".", "::", "fn"):
            return
        if after == "!" and len(segments) == 1:
            here.called_macros.add(first)
        if len(segments) > 1:
            here.paths.add(tuple(segments))
        # A lower-case name is a field or a variable unless it is called.
        if first[0].isupper() or after in ("(", "!") or len(segments) > 1:
            here.mentioned.add(first)


def _file_of(name: str, folder: Path, attributes: list[list[Token]], parent: Path) -> Path:
    """The file of a module declared by ``mod name;``."""
    for group in attributes:
        if any(t.text == "path" and t.kind == "ident" for t in group):
            return parent.parent / next(t.text for t in group if t.kind == "string")
    for file in (folder / f"{name}.rs", folder / name / "mod.rs"):
        if file.exists():
            return file
    raise FileNotFoundError(f"no file for `mod {name};` of {parent}")
