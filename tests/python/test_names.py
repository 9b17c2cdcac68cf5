"""A name of the Rust crates names one thing in the whole workspace."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
# The compiled module has classes of Python's names; what tests share is not published.
LEFT_OUT = {"python", "test-support"}

TYPE = r"^\s*pub(?:\([a-z]+\))? (?:struct|enum|trait|type|union) (\w+)"
ITEM = r"^pub (?:const fn|unsafe fn|fn|const|static) (\w+)"
UNIT_TESTS = r"(?ms)^#\[cfg\(test\)\]\s*(?:#\[[^\]]*\]\s*)*mod \w+ \{.*?^\}"


def doubles(crates: Path) -> dict[str, list[str]]:
    """Names defined more than once, with the files that define them."""
    places: dict[str, list[str]] = {}
    for file in sorted(crates.glob("*/src/**/*.rs")):
        if file.relative_to(crates).parts[0] in LEFT_OUT:
            continue
        text = re.sub(UNIT_TESTS, "", file.read_text())
        for pattern in (TYPE, ITEM):
            for name in re.findall(pattern, text, re.MULTILINE):
                places.setdefault(name, []).append(str(file.relative_to(crates)))
    assert places
    return {name: files for name, files in places.items() if len(files) > 1}


def test_a_name_names_one_thing():
    assert doubles(ROOT / "crates") == {}


def test_a_second_meaning_is_found(tmp_path):
    for crate, text in {
        "one": "pub struct Row;\npub fn solve() {}\n",
        "two": "    pub(crate) enum Row {}\n#[cfg(test)]\nmod tests {\n    pub struct Column;\n}\n",
        "three": "pub const fn solve() {}\npub struct Column;\n    pub fn row() {}\n",
        "python": "pub struct Row;\n",
    }.items():
        folder = tmp_path / crate / "src"
        folder.mkdir(parents=True)
        (folder / "lib.rs").write_text(text)
    assert doubles(tmp_path) == {
        "Row": ["one/src/lib.rs", "two/src/lib.rs"],
        "solve": ["one/src/lib.rs", "three/src/lib.rs"],
    }
