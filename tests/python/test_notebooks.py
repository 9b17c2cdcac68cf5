"""The notebooks run from a clean kernel and show their figures."""

from __future__ import annotations

from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

FOLDER = Path(__file__).resolve().parents[2] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))


def test_notebooks_are_found():
    assert len(NOTEBOOKS) >= 4


@pytest.mark.parametrize("file", NOTEBOOKS, ids=lambda file: file.stem)
def test_notebook_runs(file, tmp_path):
    notebook = nbformat.read(file, as_version=4)
    nbformat.validate(notebook)
    for cell in notebook.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
    client = NotebookClient(
        notebook,
        timeout=900,
        kernel_name="python3",
        resources={"metadata": {"path": str(tmp_path)}},
    )
    client.execute()
    outputs = [output for cell in notebook.cells for output in cell.get("outputs", [])]
    assert any("image/png" in output.get("data", {}) for output in outputs)
    # Warnings are no part of a study.
    assert not [output for output in outputs if output.get("name") == "stderr"]


@pytest.mark.parametrize("file", NOTEBOOKS, ids=lambda file: file.stem)
def test_notebook_has_the_cautions(file):
    text = "\n".join(
        cell.source
        for cell in nbformat.read(file, as_version=4).cells
        if cell.cell_type == "markdown"
    )
    words = " ".join(text.split())
    for caution in (
        "simulation is not a test",
        "closed course",
        "local law",
        "qualified person",
        "invented",
    ):
        assert caution in words, caution
