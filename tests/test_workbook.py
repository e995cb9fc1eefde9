"""The workbook, read back with openpyxl (a general-purpose library): sums, form, refusals."""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils import range_boundaries
from openpyxl.workbook import Workbook

import energymodel
from energymodel.errors import InputError
from energymodel.report.workbook.workbook import workbook_bytes, write_workbook
from energymodel.study.comparison.outcome import Comparison

SHEETS = (
    *("Inputs", "Weather", "Load", "Options", "Hours", "Months", "Bills", "Ranges", "Cash flow"),
    *("Money", "Defaults and sources"),
)
CELL = r"(?:'([^']+)'|(\w+))?!?\$?([A-Z]{1,3})\$?(\d+)"


@pytest.fixture(scope="module")
def comparison() -> Comparison:
    house = Path(__file__).parents[1] / "data" / "scenarios" / "house.toml"
    return energymodel.compare(house)


@pytest.fixture(scope="module")
def content(comparison: Comparison) -> bytes:
    return workbook_bytes(comparison, us=True)


@pytest.fixture(scope="module")
def formulas(content: bytes) -> Workbook:
    return openpyxl.load_workbook(io.BytesIO(content))


@pytest.fixture(scope="module")
def values(content: bytes) -> Workbook:
    return openpyxl.load_workbook(io.BytesIO(content), data_only=True)


def _formulas(book: Workbook) -> list[tuple[str, str, str]]:
    return [
        (sheet.title, cell.coordinate, cell.value)
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell.value, str) and cell.value.startswith("=")
    ]


def _column(book: Workbook, sheet: str, heading: str, name: str) -> float:
    """Number of an option in the column whose heading begins so."""
    page = book[sheet]
    heads = {str(cell.value): cell.column for cell in page[5] if cell.value is not None}
    column = next(place for head, place in heads.items() if head.startswith(heading))
    row = next(cell.row for cell in page["A"] if cell.value == name)
    return float(page.cell(row, column).value)


def test_the_sheets_stand_in_the_order_of_the_calculation(formulas: Workbook) -> None:
    assert tuple(formulas.sheetnames) == SHEETS


def test_headings_and_first_column_stay_in_sight_and_no_cells_are_merged(
    formulas: Workbook,
) -> None:
    for sheet in formulas:
        assert sheet.freeze_panes is not None
        assert not sheet.merged_cells.ranges
        row, column = (
            range_boundaries(sheet.freeze_panes)[1],
            range_boundaries(sheet.freeze_panes)[0],
        )
        assert row == 6
        assert column >= 2


def test_charts_are_native_and_nothing_is_a_macro(formulas: Workbook, content: bytes) -> None:
    drawn = {sheet.title for sheet in formulas if sheet._charts}
    assert drawn == {"Weather", "Load", "Options", "Months", "Money"}
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        assert not [name for name in parts.namelist() if "vba" in name.lower()]


def test_every_formula_has_its_value_beside_it(formulas: Workbook, values: Workbook) -> None:
    found = _formulas(formulas)
    assert len(found) > 2000
    missing = [
        place
        for sheet, place, _ in found
        if not isinstance(values[sheet][place].value, int | float | str)
    ]
    # COP of a month without use, a year in which nothing is paid back: no value
    assert len(missing) < 0.25 * len(found)


def test_sums_are_those_of_the_cells_they_name(formulas: Workbook, values: Workbook) -> None:
    checked = 0
    for sheet, place, text in _formulas(formulas):
        match = re.fullmatch(r"=SUM\((?:(\w+)!)?(\$?[A-Z]+\$?\d+:\$?[A-Z]+\$?\d+)\)", text)
        if match is None:
            continue
        left, top, right, bottom = range_boundaries(match.group(2).replace("$", ""))
        page = values[match.group(1) or sheet]
        cells = page.iter_rows(top, bottom, left, right, values_only=True)
        total = sum(one for row in cells for one in row if isinstance(one, int | float))
        assert values[sheet][place].value == pytest.approx(total, rel=1e-9, abs=1e-6), (
            sheet,
            place,
        )
        checked += 1
    assert checked > 300


def test_differences_products_and_links_give_what_they_name(
    formulas: Workbook, values: Workbook
) -> None:
    def number(sheet: str, match: re.Match[str]) -> float:
        page = values[match.group(1) or match.group(2) or sheet]
        return float(page[f"{match.group(3)}{match.group(4)}"].value or 0.0)

    checked = 0
    for sheet, place, text in _formulas(formulas):
        plain = text[1:]
        if not re.fullmatch(rf"{CELL}(?:[-+*]{CELL})*", plain):
            continue
        if isinstance(values[sheet][place].value, str):
            continue  # the name of an option again
        worked = re.sub(CELL, lambda match, at=sheet: f"({number(at, match)!r})", plain)
        expected = float(eval(worked, {"__builtins__": {}}))  # numbers and signs alone
        assert values[sheet][place].value == pytest.approx(expected, rel=1e-9, abs=1e-6), place
        checked += 1
    assert checked > 500


def test_months_are_the_sums_of_the_hours(formulas: Workbook, values: Workbook) -> None:
    hours = list(values["Hours"].iter_rows(6, 8765, values_only=True))
    checked = 0
    for sheet, place, text in _formulas(formulas):
        match = re.fullmatch(
            r"=SUMIFS\(Hours!\$([A-Z]+)\$6:\$\1\$8765,Hours!\$B\$6:\$B\$8765,(\d+)\)", text
        )
        if match is None or checked >= 120:
            continue
        column = range_boundaries(f"{match.group(1)}1")[0] - 1
        total = sum(float(row[column] or 0.0) for row in hours if row[1] == int(match.group(2)))
        assert values[sheet][place].value == pytest.approx(total, rel=1e-9, abs=1e-6)
        checked += 1
    assert checked == 120


def test_costs_are_those_of_the_comparison(values: Workbook, comparison: Comparison) -> None:
    for outcome in comparison.outcomes:
        found = _column(values, "Options", "Yearly cost", outcome.name)
        assert found == pytest.approx(outcome.yearly_cost, rel=1e-12)
        assert _column(values, "Options", "Sum of its bill lines", outcome.name) == pytest.approx(
            outcome.yearly_cost, rel=1e-9
        )
        like = outcome.against_present
        if like is not None:
            saved = _column(values, "Money", "Saved in a year", outcome.name)
            assert saved == pytest.approx(like.payback.yearly_saving, rel=1e-9)


def test_headings_name_their_units(formulas: Workbook) -> None:
    for sheet in ("Options", "Hours", "Months", "Money", "Weather", "Load", "Ranges"):
        heads = [str(cell.value) for cell in formulas[sheet][5] if cell.value is not None]
        units = [head for head in heads if ", " in head]
        assert len(units) >= len(heads) / 2, (sheet, heads)


def test_the_same_comparison_gives_the_same_file(comparison: Comparison, content: bytes) -> None:
    assert workbook_bytes(comparison, us=True) == content


def test_names_that_look_like_formulas_stay_text(tmp_path: Path) -> None:
    demo = Path(__file__).parents[1] / "data" / "scenarios" / "demo.toml"
    text = demo.read_text("utf-8")
    hostile = '=1+1 & "<b>" @x'
    text = text.replace('name = "Electric baseboard"', f"name = '{hostile}'")
    file = tmp_path / "room.toml"
    file.write_text(text, "utf-8")
    target = write_workbook(
        energymodel.compare(file), tmp_path / "book.xlsx", us=False, replace=False
    )
    book = openpyxl.load_workbook(target)
    cells = [cell for row in book["Options"].iter_rows() for cell in row if cell.value == hostile]
    assert cells
    assert {cell.data_type for cell in cells} <= {"s", "f"}
    raw = zipfile.ZipFile(target).read("xl/worksheets/sheet4.xml").decode()
    assert "<f>1+1" not in raw
    with pytest.raises(InputError, match="exists"):
        write_workbook(energymodel.compare(file), target, us=False, replace=False)


def test_a_path_that_cannot_be_a_workbook_is_refused(
    comparison: Comparison, tmp_path: Path
) -> None:
    with pytest.raises(InputError, match=r"\.xlsx"):
        write_workbook(comparison, tmp_path / "book.ods", us=True, replace=False)
    with pytest.raises(InputError, match="no folder"):
        write_workbook(comparison, tmp_path / "none" / "book.xlsx", us=True, replace=False)
    assert not list(tmp_path.iterdir())
