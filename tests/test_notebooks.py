"""The shipped notebooks: their form, and that they run from the first cell to the last."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import nbclient
import nbformat
import pytest

from energymodel.datafiles import shipped_folder

NOTEBOOKS = sorted(shipped_folder("notebooks").glob("*.ipynb"))
OPENING = ("## What you do", "## What you learn", "## What you need")


@pytest.fixture(params=NOTEBOOKS, ids=lambda path: path.stem)
def notebook(request: pytest.FixtureRequest) -> nbformat.NotebookNode:
    return nbformat.read(request.param, as_version=4)


def _code(notebook: nbformat.NotebookNode) -> list[nbformat.NotebookNode]:
    return [cell for cell in notebook.cells if cell.cell_type == "code"]


def test_there_is_a_notebook() -> None:
    assert "compare_a_room" in {path.stem for path in NOTEBOOKS}


def test_a_notebook_opens_with_the_three_headings(notebook: nbformat.NotebookNode) -> None:
    first = notebook.cells[0]
    assert first.cell_type == "markdown"
    places = [first.source.index(heading) for heading in OPENING]
    assert places == sorted(places)


def test_no_outputs_are_stored(notebook: nbformat.NotebookNode) -> None:
    for cell in _code(notebook):
        assert cell.outputs == []
        assert cell.execution_count is None


def test_cells_are_short_and_define_no_functions(notebook: nbformat.NotebookNode) -> None:
    for cell in _code(notebook):
        assert "def " not in cell.source
        assert "lambda" not in cell.source
        assert len(cell.source.splitlines()) <= 20


def test_text_stands_before_every_code_cell(notebook: nbformat.NotebookNode) -> None:
    for before, cell in pairwise(notebook.cells):
        if cell.cell_type == "code":
            assert before.cell_type == "markdown"


@pytest.mark.slow
def test_a_notebook_runs_and_shows_its_pictures(
    notebook: nbformat.NotebookNode, tmp_path: Path
) -> None:
    client = nbclient.NotebookClient(
        notebook,
        timeout=180,
        kernel_name="python3",
        resources={"metadata": {"path": str(tmp_path)}},
    )
    client.execute()
    outputs = [output for cell in _code(notebook) for output in cell.outputs]
    pictures = [one for one in outputs if "image/png" in one.get("data", {})]
    warned = [one.text for one in outputs if one.get("name") == "stderr"]
    assert len(pictures) >= 5
    assert warned == []
    assert list(tmp_path.iterdir()) == []
