"""No file depends on itself through others, in Python and in every Rust crate."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from circles.python_files import python_ties
from circles.rust_files import rust_ties
from circles.ties import Circle, circles

ROOT = Path(__file__).resolve().parents[2]
PYTHON = ["python/axletree", "tests/python", "tests/speed"]
CRATES = sorted(manifest.parent.name for manifest in ROOT.glob("crates/*/Cargo.toml"))


@pytest.mark.parametrize("folder", PYTHON)
def test_no_circle_of_python_files(folder):
    ties = python_ties(ROOT / folder)
    assert len(ties.names) > 5
    assert not circles(ties), "\n".join(map(str, circles(ties)))


@pytest.mark.parametrize("crate", CRATES)
def test_no_circle_of_rust_files(crate):
    found = circles(rust_ties(ROOT / "crates" / crate / "src"))
    assert not found, "\n".join(map(str, found))


def test_every_crate_is_seen():
    assert len(CRATES) > 5
    ties = sum(len(rust_ties(ROOT / "crates" / crate / "src").names) for crate in CRATES)
    assert ties > 100


def test_compiled_module_imports_what_its_stub_does():
    """The compiled module imports by name at run time; its stub stands for it in the circles."""
    text = "".join(file.read_text() for file in ROOT.glob("crates/python/src/*.rs"))
    imported = set(re.findall(r'\.import\("axletree\.(\w+)"\)', text))
    assert imported
    stub = python_ties(ROOT / "python" / "axletree").of("axletree/_core.pyi")
    assert {f"axletree/{name}.py" for name in imported} <= set(stub)


def written(folder: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text)
    return folder


def only(found: list[Circle]) -> Circle:
    assert len(found) == 1, list(map(str, found))
    return found[0]


def test_python_circle_by_an_import_in_a_function_is_found(tmp_path):
    package = written(
        tmp_path / "house",
        {
            "__init__.py": "from .low import floor\n",
            "low.py": "def floor():\n    from . import high\n    return high.roof\n",
            "high.py": "import house.middle\n\nroof = house.middle.wall\n",
            "middle.py": "from .low import floor\n\nwall = floor\n",
            "apart.py": "from .middle import wall\n",
        },
    )
    circle = only(circles(python_ties(package)))
    assert circle.files == {"house/low.py", "house/middle.py", "house/high.py"}
    for tie in ("from . import high", "import house.middle", "from .low import floor"):
        assert tie in str(circle)


@pytest.mark.parametrize(
    "line",
    [
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from .high import roof\n",
        "from .sub import inner\n",
        "from . import roof\n",
        "import importlib\nroof = importlib.import_module('house.high')\n",
    ],
    ids=["for types only", "by another file", "by the package", "by importlib"],
)
def test_python_circle_by_other_ways_is_found(tmp_path, line):
    package = written(
        tmp_path / "house",
        {
            "__init__.py": "from .high import roof\n",
            "high.py": "from .low import floor\nroof = 1\n",
            "low.py": line + "\nfloor = 0\n",
            "sub/__init__.py": "from ..high import roof\n",
            "sub/inner.py": "",
        },
    )
    assert "house/low.py" in only(circles(python_ties(package))).files


def test_python_circle_by_a_stub_is_found(tmp_path):
    package = written(
        tmp_path / "house",
        {
            "__init__.py": "",
            "core.pyi": "from .table import Table\n",
            "table.py": "from .core import f\n",
        },
    )
    assert only(circles(python_ties(package))).files == {"house/core.pyi", "house/table.py"}


def test_python_files_of_a_package_without_a_circle(tmp_path):
    package = written(
        tmp_path / "house",
        {
            "__init__.py": "from .a import one\nfrom .sub import two\n",
            "a.py": "one = 1\n# from .b import x\n",
            "b.py": "from . import a\nx = '''\nfrom .sub import two\n'''\n",
            "sub/__init__.py": "from .two import two\n",
            "sub/two.py": "from ..b import x\ntwo = x\n",
        },
    )
    assert circles(python_ties(package)) == []


def crate(folder: Path, files: dict[str, str]) -> list[Circle]:
    return circles(rust_ties(written(folder / "src", files)))


#: A file that needs `crate::high::Roof`; each case below adds the way back.
LOW = "pub struct Floor;\nuse crate::high::Roof;\npub fn f(_: Roof) {}\n"
RUST = {
    "path in a body": (
        "pub struct Roof;\npub fn g() { let x = vec![1]; crate::low::f(x[0]) }\n",
        "crate::low::f",
    ),
    "path in a signature": ("pub struct Roof;\nfn g(_: &'static super::low::Floor) {}\n", "super"),
    "use line": ("pub struct Roof;\nuse crate::{low::{self as l, Floor as F}};\n", "low::Floor"),
    "use in a body": ("pub struct Roof;\nfn g() { use crate::low; low::f(Roof) }\n", "low::f"),
    "re-export": ("pub struct Roof;\nuse crate::Floor;\n", "crate::Floor"),
    "re-export by a glob": ("pub struct Roof;\nuse crate::all::Floor;\n", "crate::all::Floor"),
    "glob": ("pub struct Roof;\nuse crate::low::*;\nfn g(_: Floor) {}\n", "crate::low::Floor"),
    "super in tests": (
        "pub struct Roof;\n#[cfg(test)]\nmod tests { use super::super::low::f; }\n",
        "super::super::low::f",
    ),
    "path in tests": (
        "pub struct Roof;\nmod tests { #[test] fn t() { crate::low::f(super::Roof); } }\n",
        "crate::low::f",
    ),
    "path in a macro": (
        "pub struct Roof;\nmacro_rules! m { () => { $crate::low::f() } }\n",
        "crate::low::f",
    ),
    "path after a raw string": (
        'pub struct Roof;\nfn g() { f(r#"a " b"#); let c = \'"\'; crate::low::f(c) }\n',
        "crate::low::f",
    ),
    "name through another module": ("pub struct Roof;\nuse super::other::Floor;\n", "other::Floor"),
}


@pytest.mark.parametrize(("high", "tie"), RUST.values(), ids=RUST)
def test_rust_circle_is_found(tmp_path, high, tie):
    found = crate(
        tmp_path,
        {
            "lib.rs": "mod high; mod low; mod all; mod other; mod apart;\npub use low::Floor;\n",
            "high.rs": high,
            "low.rs": LOW,
            "all.rs": "pub use crate::low::*;\n",
            "other.rs": "pub(crate) use crate::low::Floor;\n",
            "apart.rs": "use crate::low::Floor;\nfn g(_: crate::high::Roof) {}\n",
        },
    )
    circle = only(found)
    assert circle.files == {"high.rs", "low.rs"}
    assert tie in str(circle) and "crate::high::Roof" in str(circle)


def test_rust_circle_of_a_module_and_its_child_is_found(tmp_path):
    """By a relative path in a body, and a name of the parent."""
    found = crate(
        tmp_path,
        {
            "lib.rs": "mod room;\n",
            "room/mod.rs": "mod shelf;\npub struct Room;\nfn f() { shelf::g(Room) }\n",
            "room/shelf.rs": "use super::Room;\npub fn g(_: Room) {}\n",
        },
    )
    circle = only(found)
    assert circle.files == {"room/mod.rs", "room/shelf.rs"}
    assert "shelf::g" in str(circle) and "super::Room" in str(circle)


def test_rust_circle_by_a_re_export_that_is_used_is_found(tmp_path):
    found = crate(
        tmp_path,
        {
            "lib.rs": "mod room;\n",
            "room.rs": "mod shelf;\npub use shelf::Shelf;\npub struct Room { of: Shelf }\n",
            "room/shelf.rs": "pub struct Shelf;\nfn g(_: super::Room) {}\n",
        },
    )
    assert only(found).files == {"room.rs", "room/shelf.rs"}


def test_rust_circle_by_a_macro_is_found(tmp_path):
    found = crate(
        tmp_path,
        {
            "lib.rs": "#[macro_use]\nmod macros;\nmod user;\n",
            "macros.rs": "macro_rules! make { () => {} }\nfn f() { crate::user::g() }\n",
            "user.rs": "make! { }\npub fn g() {}\n",
        },
    )
    assert "make!" in str(only(found))


def test_rust_files_without_a_circle(tmp_path):
    """Comments, strings, doc links, ``mod`` lines, re-exports and lifetimes tie nothing."""
    found = crate(
        tmp_path,
        {
            "lib.rs": "//! [`crate::low`]\nmod high; mod low; mod room;\npub use high::Roof;\n"
            "pub use room::Shelf;\npub fn top(_: low::Floor) {}\n",
            "low.rs": "//! Below [`crate::high::Roof`] and [Roof](crate::high::Roof).\n"
            "/* crate::high::Roof /* nested */ super::high::Roof */\n"
            "pub struct Floor<'a> { super_: &'a str }\n"
            "pub(in crate::low) fn f() -> char { let _ = \"crate::high::Roof\"; 'c' }\n"
            '#[path = "else/where.rs"]\nmod moved;\n',
            "else/where.rs": "use super::Floor;\n",
            "high.rs": "use crate::low::Floor;\npub struct Roof;\nfn g(_: Floor, _: std::io::E) {}",
            "room/mod.rs": "mod shelf;\npub use shelf::Shelf;\npub struct Room;\n",
            "room/shelf.rs": "pub struct Shelf { of: super::Room, shelf: usize }\n",
        },
    )
    assert found == [], "\n".join(map(str, found))


def test_rust_file_outside_the_module_tree_is_reported(tmp_path):
    with pytest.raises(AssertionError, match="forgotten"):
        crate(tmp_path, {"lib.rs": "", "forgotten.rs": ""})
