"""The shipped notebooks: their form, and that they run from the first cell to the last."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import nbclient
import nbformat
import pytest

from energymodel.datafiles import shipped_folder

NOTEBOOKS = sorted(shipped_folder("notebooks").glob("*.ipynb"))
OPENING = ("## What you do", "## What you learn", "## What you need")
FEWEST_PICTURES = {
    "energy_auditor": 6,
    "method_and_checks": 9,
    "sales_engineer": 0,  # its picture is in the form
    "tariff_analyst": 6,
}
WRITES = {"energy_auditor": ["audited-house.pdf"]}
WIDGET = "application/vnd.jupyter.widget-view+json"


@pytest.fixture(params=NOTEBOOKS, ids=lambda path: path.stem)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param.stem)


@pytest.fixture
def notebook(name: str) -> nbformat.NotebookNode:
    return nbformat.read(shipped_folder("notebooks") / f"{name}.ipynb", as_version=4)


def _code(notebook: nbformat.NotebookNode) -> list[nbformat.NotebookNode]:
    return [cell for cell in notebook.cells if cell.cell_type == "code"]


def test_there_are_four_notebooks_one_for_each_reader_and_one_for_the_method() -> None:
    assert {path.stem for path in NOTEBOOKS} == set(FEWEST_PICTURES)


def test_a_notebook_opens_with_the_three_headings(notebook: nbformat.NotebookNode) -> None:
    first = notebook.cells[0]
    assert first.cell_type == "markdown"
    places = [first.source.index(heading) for heading in OPENING]
    assert places == sorted(places)


def test_no_outputs_are_stored(notebook: nbformat.NotebookNode) -> None:
    for cell in _code(notebook):
        assert cell.outputs == []
        assert cell.execution_count is None


def test_cells_are_short_and_define_nothing(notebook: nbformat.NotebookNode) -> None:
    for cell in _code(notebook):
        assert re.search(r"\b(def|class|lambda)\b", cell.source) is None
        assert len(cell.source.splitlines()) <= 20


def test_text_stands_before_every_code_cell(notebook: nbformat.NotebookNode) -> None:
    for before, cell in pairwise(notebook.cells):
        if cell.cell_type == "code":
            assert before.cell_type == "markdown"


def test_money_in_the_text_is_not_read_as_a_formula(notebook: nbformat.NotebookNode) -> None:
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            assert "$" not in cell.source


def test_the_last_cell_checks_results(notebook: nbformat.NotebookNode) -> None:
    assert notebook.cells[-1].cell_type == "code"
    assert notebook.cells[-1].source.count("np.testing.assert_") >= 3


def test_code_is_folded_away_from_the_sales_engineer_and_the_form_is_one_line() -> None:
    notebook = nbformat.read(shipped_folder("notebooks") / "sales_engineer.ipynb", as_version=4)
    for cell in _code(notebook):
        assert cell.metadata["jupyter"]["source_hidden"] is True
    form = _code(notebook)[0].source.split()
    assert " ".join(form) == "from energymodel.form import form form()"


def test_the_auditor_edits_one_cell_of_plain_values() -> None:
    notebook = nbformat.read(shipped_folder("notebooks") / "energy_auditor.ipynb", as_version=4)
    house, *others = _code(notebook)
    values = [line.partition(" = ")[2] for line in house.source.splitlines() if line]
    assert all(re.match(r"""(\[\]|".*"|[\d.]+)(\s+#.*|)$""", value) for value in values)
    named = {line.partition(" = ")[0] for line in house.source.splitlines() if line}
    used = "\n".join(cell.source for cell in others)
    assert [name for name in named if re.search(rf"\b{name}\b", used) is None] == []
    assert "details=False)" not in used.partition("print_house(")[2].splitlines()[0]


@pytest.mark.slow
def test_a_notebook_runs_and_shows_its_pictures(
    name: str, notebook: nbformat.NotebookNode, tmp_path: Path
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
    forms = [one for one in outputs if WIDGET in one.get("data", {})]
    warned = [one.text for one in outputs if one.get("name") == "stderr"]
    assert len(pictures) >= FEWEST_PICTURES[name]
    assert len(forms) == (1 if name == "sales_engineer" else 0)
    assert warned == []
    assert sorted(path.name for path in tmp_path.iterdir()) == WRITES.get(name, [])
