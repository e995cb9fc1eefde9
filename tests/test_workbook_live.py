"""What follows the blue cells of the workbook is a formula, and how its pages print.

What the formulas give after a change is held against fresh comparisons in
test_workbook_recalculated.py.
"""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from openpyxl.workbook import Workbook

import energymodel
from energymodel.report.workbook.bills import bill_lines
from energymodel.report.workbook.cells import lines_of
from energymodel.report.workbook.workbook import workbook_bytes
from energymodel.study.comparison.cost_range import cost_ranges
from energymodel.study.comparison.outcome import Comparison

SCENARIOS = Path(__file__).parents[1] / "data" / "scenarios"
EXAMPLES = Path(__file__).parents[1] / "data" / "examples"
LIVE = {
    "Options": (
        *("Installed cost", "Heating", "Cooling", "Yearly cost", "Lowest", "Highest"),
        *("Saved on the services", "Sum of its bill lines", "Services there now"),
        *("Highest less likely", "Likely less lowest"),
    ),
    "Money": (
        *("Extra", "Saved", "Simple payback", "Paid back", "Discounted payback, years"),
        *("Life-cycle cost", "Net savings", "Running cost", "Extra investment", "Savings to"),
        *("Adjusted rate", "Internal rate", "Level cost", "Discounted payback in words"),
    ),
    "Ranges": ("At the lowest", "At the highest"),
}
ACCOUNT = "Central heat pump, gas leaves the house"


def _read(content: bytes, *, values: bool = False) -> Workbook:
    """Read only the sheets that a test looks at."""
    return openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=values)


@pytest.fixture(scope="module")
def comparison(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    text = (SCENARIOS / "house.toml").read_text("utf-8")
    text = text.replace("installed_cost = 3900\n", "", 1)
    text += '\n[ranges]\nload = "10 %"\nprice = { electricity = "20 %", natural_gas = "30 %" }\n'
    file = tmp_path_factory.mktemp("live") / "house.toml"
    file.write_text(text, "utf-8")
    return energymodel.compare(file)


@pytest.fixture(scope="module")
def content(comparison: Comparison) -> bytes:
    return workbook_bytes(comparison, us=True)


def _table(book: Workbook, sheet: str) -> list[dict[str, object]]:
    rows = list(book[sheet].iter_rows(5, values_only=True))
    heads = [str(head) for head in rows[0]]
    return [dict(zip(heads, row, strict=True)) for row in rows[1:] if len(row) == len(heads)]


def test_no_figure_that_hangs_on_a_blue_cell_is_a_constant(
    content: bytes, comparison: Comparison
) -> None:
    names = {outcome.name for outcome in comparison.outcomes}
    book, checked = _read(content), 0
    for sheet, headings in LIVE.items():
        for row in _table(book, sheet):
            if row["Option"] not in names:
                continue
            for head, value in row.items():
                if head.startswith(headings) and value not in (None, "", "not given"):
                    assert str(value).startswith("="), (sheet, row["Option"], head, value)
                    checked += 1
    assert checked > 150


def test_cash_flow_has_a_live_row_for_each_installed_cost_and_each_carrier(
    content: bytes, comparison: Comparison
) -> None:
    rows = _table(_read(content), "Cash flow")
    for outcome in comparison.outcomes:
        own = {row["Line"]: row for row in rows if row["Option"] == outcome.name}
        assert set(outcome.energy_kwh) <= set(own)
        assert ("installed cost" in own) == outcome.cost_given
        for line, year in [("installed cost", 0), *((name, 3) for name in outcome.energy_kwh)]:
            if line in own:
                assert str(own[line][f"Year {year}, USD"]).startswith("=-")


def test_charges_of_an_account_that_closes_follow_the_standing_charge(content: bytes) -> None:
    rows = [row for row in _table(_read(content), "Bills") if row["Option"] == ACCOUNT]
    charges = next(row for row in rows if "standing charges" in str(row["Line"]))
    assert "Inputs!" in str(charges["Price, USD per unit"])
    other = next(row for row in rows if "other use" in str(row["Line"]))
    assert "Inputs!" in str(other["Quantity a year, in the unit beside"])
    for row in (charges, other):
        assert all(str(row[f"{month}, USD"]).startswith("=") for month in ("Jan", "Dec"))


def test_energy_that_is_free_has_its_line_so_that_a_price_can_be_entered(
    comparison: Comparison,
) -> None:
    outcome, prices = comparison.outcomes[0], comparison.model.prices
    free = {**prices, "natural gas": replace(prices["natural gas"], per_kwh=0.0)}
    lines = bill_lines(outcome, free)
    assert [line.label for line in lines] == [line.label for line in bill_lines(outcome, prices)]
    gas = next(line for line in lines if line.carrier == "natural gas")
    assert (gas.year, gas.price) == (0.0, 0.0)
    assert gas.quantity.sum() > 0


def test_headlines_are_formulas(content: bytes) -> None:
    book, values = _read(content), _read(content, values=True)
    for sheet in ("Inputs", "Options", "Months", "Money"):
        line = next(book[sheet].iter_rows(2, 2, 1, 1, values_only=True))[0]
        shown = next(values[sheet].iter_rows(2, 2, 1, 1, values_only=True))[0]
        assert str(line).startswith("=")
        assert len(str(shown)) > 30


def test_the_headline_of_money_names_the_option_that_its_table_marks(content: bytes) -> None:
    book = _read(content, values=True)
    line = str(next(book["Money"].iter_rows(2, 2, 1, 1, values_only=True))[0])
    marked = [
        row for row in _table(book, "Money") if "lowest life-cycle cost" in str(row["Remark"])
    ]
    assert len(marked) == 1
    assert line.startswith(f"{marked[0]['Option']} has the lowest life-cycle cost")
    assert "without an installed cost" in line


def test_an_installed_cost_that_is_not_given_is_no_blue_cell(
    content: bytes, comparison: Comparison
) -> None:
    (missing,) = [one.name for one in comparison.outcomes if not one.cost_given]
    book = _read(content, values=True)
    row = next(
        row
        for row in book["Inputs"].iter_rows(6, 60)
        if row[0].value == f"Installed cost: {missing}"
    )
    assert row[1].value == "not given"
    assert row[1].font.color is None or row[1].font.color.rgb != "FF0072B2"
    money = next(row for row in _table(book, "Money") if row["Option"] == missing)
    assert money["Life-cycle cost, USD"] is None
    assert "no installed cost" in str(money["Remark"])


@pytest.mark.parametrize("file", [SCENARIOS / "demo.toml", EXAMPLES / "tariff-house.toml"])
def test_ends_of_the_ranges_are_those_of_the_comparison(file: Path) -> None:
    found = energymodel.compare(file)
    _same_ends(_read(workbook_bytes(found, us=False), values=True), found)


def test_ends_with_loads_and_prices_are_those_of_the_comparison(
    content: bytes, comparison: Comparison
) -> None:
    _same_ends(_read(content, values=True), comparison)


def _same_ends(book: Workbook, comparison: Comparison) -> None:
    rows = {row["Option"]: row for row in _table(book, "Options")}
    for name, ends in cost_ranges(comparison).items():
        row = rows[name]
        low, cost, high = (
            float(str(next(value for head, value in row.items() if head.startswith(begin))))
            for begin in ("Lowest", "Yearly cost", "Highest")
        )
        assert low == pytest.approx(ends.low, rel=1e-9)
        assert high == pytest.approx(ends.high, rel=1e-9)
        assert low <= cost <= high


def _charts(content: bytes) -> dict[str, str]:
    """XML of the charts by their title."""
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        names = [name for name in parts.namelist() if name.startswith("xl/charts/chart")]
        texts = [parts.read(name).decode() for name in names]
    titles = [re.findall(r"<a:t>([^<]*)</a:t>", text)[0] for text in texts]
    return dict(zip(titles, texts, strict=True))


def test_titles_of_charts_of_money_state_no_result(content: bytes) -> None:
    titles = set(_charts(content))
    assert {
        "Yearly cost of each option",
        "Energy cost of each month",
        "Gained so far against what is there now, in present value (discounted)",
    } <= titles


def test_bars_run_from_left_to_right_and_the_first_option_stands_on_top(content: bytes) -> None:
    text = _charts(content)["Yearly cost of each option"]
    category = re.search(r"<c:catAx>.*?</c:catAx>", text, re.S)
    value = re.search(r"<c:valAx>.*?</c:valAx>", text, re.S)
    assert category is not None
    assert value is not None
    assert 'orientation val="maxMin"' in category.group()
    assert 'orientation val="minMax"' in value.group()
    assert "USD a year" in value.group()
    assert "<a:t>" not in category.group()
    # the axis reaches to the highest cost, which a series without colour carries
    assert text.count("<c:ser>") == 2


def _sheet(content: bytes, name: str) -> str:
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        listed = re.findall(r'<sheet name="([^"]+)"', parts.read("xl/workbook.xml").decode())
        return parts.read(f"xl/worksheets/sheet{listed.index(name) + 1}.xml").decode()


def test_of_the_hours_one_day_prints(content: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        text = parts.read("xl/workbook.xml").decode()
    area = re.search(r"Print_Area[^>]*>Hours!\$A\$1:\$[A-Z]+\$(\d+)<", text)
    assert area is not None
    assert int(area.group(1)) == 5 + 24


def test_rows_are_as_high_as_their_wrapped_text(content: bytes) -> None:
    book, text = _read(content, values=True), _sheet(content, "Defaults and sources")
    heights = {
        int(row): float(height)
        for row, height in re.findall(r'<row r="(\d+)"[^>]* ht="([\d.]+)"', text)
    }
    high = 0
    for row in book["Defaults and sources"].iter_rows(6, max_col=4):
        words = [str(cell.value or "") for cell in row]
        longest = max(len(word) / width for word, width in zip(words, (9, 32, 62, 82), strict=True))
        if longest > 1.3:
            assert heights[row[0].row] >= 12.0 * longest * 0.8
            high += 1
    assert high >= 5


def test_lines_of_a_text_are_counted_rather_too_many() -> None:
    assert lines_of("short", 20.0) == 1
    assert lines_of("a b c\nd", 20.0) == 2
    # forty digits in a column of ten: four lines and what the margin takes
    assert lines_of("1" * 40, 10.0) in (4, 5)
    assert lines_of("word " * 20, 26.0, bold=True) >= lines_of("word " * 20, 26.0) >= 4


def test_years_of_the_study_are_in_years(content: bytes) -> None:
    row = next(
        row
        for row in _read(content)["Inputs"].iter_rows(6, 60, values_only=True)
        if row[0] == "Years of the study"
    )
    assert row[1:3] == (15, "years")
