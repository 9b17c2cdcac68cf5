"""Dependences of Python files, from all imports: at the top, in functions and for types only.

An import depends on the module that it names, and on a submodule that it takes from a package. From
outside a package it depends on the package's ``__init__.py`` too, which runs first. A stub stands
for its compiled module.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from .ties import Ties


def python_ties(folder: Path) -> Ties:
    """Dependences between the Python files of a package, or of a folder of modules."""
    prefix = (folder.name,) if (folder / "__init__.py").exists() else ()
    files = {
        prefix + _dotted(file.relative_to(folder)): file
        for file in sorted([*folder.rglob("*.py"), *folder.rglob("*.pyi")])
    }
    shown = {name: str(file.relative_to(folder.parent)) for name, file in files.items()}
    ties = Ties()
    for name, file in files.items():
        package = name if file.stem == "__init__" else name[:-1]
        for target, label in _imported(ast.parse(file.read_text()), package):
            for module in _run_by(target, package, files):
                ties.add(shown[name], shown[module], label)
    return ties


def _dotted(file: Path) -> tuple[str, ...]:
    parts = file.with_suffix("").parts
    return parts[:-1] if parts[-1] == "__init__" else parts


def _run_by(
    target: tuple[str, ...], package: tuple[str, ...], files: dict[tuple[str, ...], Path]
) -> Iterator[tuple[str, ...]]:
    """The module that an import names, and the packages around it that do not hold the importer."""
    # The last part may be a name in a module.
    module = target if target in files else target[:-1]
    if module not in files:
        return
    yield module
    for i in range(1, len(module)):
        if module[:i] in files and module[:i] != package[:i]:
            yield module[:i]


def _imported(tree: ast.AST, package: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    """Every imported module or name by its dotted parts, with the text that names it."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield tuple(alias.name.split(".")), f"import {alias.name}"
        elif isinstance(node, ast.ImportFrom):
            around = package[: len(package) - node.level + 1] if node.level else ()
            source = around + tuple(node.module.split(".") if node.module else ())
            for alias in node.names:
                label = f"from {'.' * node.level}{node.module or ''} import {alias.name}"
                yield (*source, alias.name), label
        elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith(
            ("import_module", "__import__")
        ):
            for argument in node.args[:1]:
                if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                    yield tuple(argument.value.split(".")), ast.unparse(node)
