"""What the lock file holds: licenses, duplicates and sources, read from `cargo metadata`.

Security advisories need a database from the network, which the tests do not have.
"""

import json
import re
import subprocess
from collections import defaultdict
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CRATES_IO = "registry+https://github.com/rust-lang/crates.io-index"

#: Permissive licenses (SPDX). Zlib, BSD and Apache-2.0 ask for their notices beside a binary.
ALLOWED = {
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "MIT",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
}

#: Packages that are compiled in more than one version, and why.
DUPLICATES = {
    "equator": "faer's crates ask for two",
    "equator-macro": "belongs to either equator",
    "nalgebra": "ode_solvers brings 0.34; the library's own is built without std",
    "simba": "belongs to either nalgebra",
    "syn": "procedural macros are between two versions",
}


def cargo(*arguments):
    command = ["cargo", *arguments, "--locked"]
    return subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout


@pytest.fixture(scope="module")
def packages():
    """Packages that a target of the workspace uses; the lock file lists optional ones too."""
    tree = cargo(
        "tree", "--workspace", "--edges", "normal,build,dev", "--prefix", "none", "--format", "{p}"
    )
    built = {tuple(line.split()[:2]) for line in tree.splitlines() if line}
    everything = json.loads(cargo("metadata", "--format-version", "1"))["packages"]
    return [
        package for package in everything if (package["name"], f"v{package['version']}") in built
    ]


def allows(expression):
    """Whether an SPDX expression offers allowed licenses only."""
    words = re.findall(r"\(|\)|[^\s()]+", expression.replace("/", " OR "))
    position = 0

    def choice():
        nonlocal position
        value = both()
        while position < len(words) and words[position] == "OR":
            position += 1
            value = both() or value
        return value

    def both():
        nonlocal position
        value = one()
        while position < len(words) and words[position] == "AND":
            position += 1
            value = one() and value
        return value

    def one():
        nonlocal position
        word = words[position]
        position += 1
        if word == "(":
            value = choice()
            position += 1
            return value
        if words[position : position + 1] == ["WITH"]:
            word = f"{word} WITH {words[position + 1]}"
            position += 2
        return word in ALLOWED

    return choice()


def faults(packages):
    """Everything wrong with a list of packages, in words."""
    found = []
    versions = defaultdict(set)
    for package in packages:
        name, version = package["name"], package["version"]
        versions[name].add(version)
        if package["source"] not in (None, CRATES_IO):
            found.append(f"{name} {version} comes from {package['source']}")
        if package["license"] is None or not allows(package["license"]):
            found.append(f"{name} {version} is licensed {package['license']}")
    for name, several in versions.items():
        if len(several) > 1 and name not in DUPLICATES:
            found.append(f"{name} is compiled in versions {', '.join(sorted(several))}")
    found += [f"{name} is no duplicate any more" for name in DUPLICATES if len(versions[name]) < 2]
    return found


def test_licenses_duplicates_and_sources(packages):
    assert len(packages) > 50
    assert faults(packages) == []


def test_a_stranger_is_found(packages):
    def stranger(**changes):
        package = {"name": "stranger", "version": "1.0.0", "source": CRATES_IO, "license": "MIT"}
        return [*packages, package | changes]

    assert faults(stranger()) == []
    assert "GPL-3.0" in faults(stranger(license="GPL-3.0"))[0]
    assert "GPL-3.0" in faults(stranger(license="MIT AND GPL-3.0"))[0]
    assert "None" in faults(stranger(license=None))[0]
    assert "elsewhere" in faults(stranger(source="git+https://elsewhere"))[0]
    assert "versions" in faults([*stranger(), *stranger(version="2.0.0")[-1:]])[0]
    assert allows("(MIT OR Apache-2.0) AND Unicode-3.0") and allows("Unlicense/MIT")
    assert not allows("(MIT OR GPL-3.0) AND GPL-3.0")
    assert allows("Apache-2.0 WITH LLVM-exception OR GPL-3.0")
