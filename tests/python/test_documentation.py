"""Documentation agrees with the code: stubs, examples, links, names."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
import re
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

import axletree as axt

ROOT = Path(__file__).resolve().parents[2]
MODULES = [
    name
    for _, name, _ in pkgutil.walk_packages(axt.__path__, "axletree.")
    if name not in ("axletree.__main__", "axletree._core")
]


@pytest.mark.parametrize("module", ["axletree", *MODULES])
def test_docstring_examples(module):
    found = doctest.testmod(importlib.import_module(module), verbose=False)
    assert found.failed == 0


def test_docstring_examples_of_the_stub():
    """The examples of the compiled module are in its stub."""
    text = (Path(axt.__file__).parent / "_core.pyi").read_text()
    parser, runner = doctest.DocTestParser(), doctest.DocTestRunner()
    count = 0
    for block in re.findall(r'"""(.*?)"""', text, flags=re.DOTALL):
        names = {name: getattr(axt._core, name) for name in dir(axt._core)}
        test = parser.get_doctest(inspect.cleandoc(block), names, "_core.pyi", None, 0)
        count += len(test.examples)
        runner.run(test)
    assert count >= 6 and runner.summarize(verbose=False).failed == 0


def test_stub_agrees_with_the_compiled_module(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "mypy.stubtest", "axletree._core"],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_types(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--cache-dir", str(tmp_path), "-p", "axletree"],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_everything_public_is_documented():
    for name in axt.__all__:
        thing = getattr(axt, name)
        if name == "__version__":
            continue
        assert inspect.getdoc(thing), name
        if inspect.isclass(thing):
            for member, value in vars(thing).items():
                if not member.startswith("_") and callable(value):
                    assert inspect.getdoc(value), f"{name}.{member}"


def test_one_wheel_serves_every_python():
    """The compiled module uses only the stable interface."""
    name = Path(axt._core.__file__).name
    if sysconfig.get_config_var("EXT_SUFFIX").endswith(".so"):
        assert name == "_core.abi3.so"


def readme_blocks() -> list[str]:
    return re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(), flags=re.DOTALL)


def test_readme_examples(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    blocks = readme_blocks()
    assert blocks
    names: dict[str, object] = {}
    for block in blocks:
        exec(compile(block, "README.md", "exec"), names)
    assert names["top"].speed > 10
    assert (tmp_path / "rear-bar.png").exists()


def test_readme_links_lead_somewhere():
    text = (ROOT / "README.md").read_text()
    links = re.findall(r"\]\(([^)#]+)\)", text.replace("\n", " "))
    assert any(link.endswith(".png") for link in links)
    for link in links:
        assert link.startswith("http") or (ROOT / link).exists(), link


def test_readme_has_the_cautions():
    text = (ROOT / "README.md").read_text()
    for words in (
        "simulation is not a test",
        "closed course",
        "class rules",
        "qualified person",
        "local law",
    ):
        assert words in text, words


def test_paths_named_for_contributors_exist():
    text = (ROOT / "DEVELOPERS.md").read_text()
    named = re.findall(r"`((?:crates|python|tests|notebooks|\.ci)/[\w./-]*)`", text)
    assert len(named) > 5
    for path in named:
        assert (ROOT / path).exists(), path
