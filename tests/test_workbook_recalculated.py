"""The workbook recalculated by LibreOffice (a general-purpose program) after blue cells changed.

What the pages then say is held against a fresh comparison of the scenario with the same changes.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import openpyxl
import pytest
import tomlkit
from openpyxl.workbook import Workbook

import energymodel
from energymodel.report.workbook.workbook import write_workbook
from energymodel.study.comparison.cost_range import cost_ranges
from energymodel.study.comparison.money import AgainstPresent, option_money
from energymodel.study.comparison.outcome import Comparison

SCENARIOS = Path(__file__).parents[1] / "data" / "scenarios"
OFFICE = shutil.which("soffice")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(OFFICE is None, reason="LibreOffice (soffice) is not installed"),
]
# Invented: a study with everything that hangs on a blue cell.
MONEY = {
    "study_years": 20,
    "discount_rate": 0.05,
    "rates": "nominal",
    "inflation": 0.02,
    "escalation": {"electricity": 0.03},
}
RANGES = {
    "load": "15 %",
    "price": {"electricity": {"low": 0.10, "high": 0.20}, "propane": "30 %"},
}
EXTRAS = {
    "Inverter 12 kBtu/h, standard": {
        "lasts_years": 12,
        "upkeep": "60 per year",
        "loan": {"interest": 0.07, "years": 7},
    },
    "Propane wall heater + window unit": {"lasts_years": 15, "residual": "straight line"},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A scenario, and what is changed in it: price keys, options, rate."""

    name: str
    prices: Mapping[str, Mapping[str, float]]
    installed: Mapping[str, float]
    discount_rate: float


CASES = (
    Case(
        name="house",
        prices={
            "electricity": {"energy": 0.07},
            "natural_gas": {"energy": 2.4, "fixed": 300.0},
        },
        installed={
            "Dual fuel: two-stage heat pump, furnace": 2100.0,
            "Old gas furnace + central AC": 350.0,
            "Central heat pump, gas leaves the house": 5200.0,
        },
        discount_rate=0.045,
    ),
    Case(
        name="demo",
        prices={"electricity": {"energy": 0.17}, "propane": {"energy": 1.1}},
        installed={
            "Inverter 12 kBtu/h, standard": 2100.0,
            "Propane wall heater + window unit": 400.0,
            "Packaged through-wall heat pump": 5000.0,
            "Electric baseboard": 100.0,
        },
        discount_rate=0.0,
    ),
)


def _scenario(case: Case) -> tomlkit.TOMLDocument:
    table = tomlkit.parse((SCENARIOS / f"{case.name}.toml").read_text("utf-8"))
    if case.name == "demo":
        table["money"], table["ranges"] = MONEY, RANGES
        for option in table["option"]:
            option.update(EXTRAS.get(str(option["name"]), {}))
    return table


def _run(table: tomlkit.TOMLDocument, folder: Path, name: str) -> Comparison:
    file = folder / f"{name}.toml"
    file.write_text(tomlkit.dumps(table), "utf-8")
    return energymodel.compare(file)


def _changed(case: Case, table: tomlkit.TOMLDocument) -> None:
    for carrier, values in case.prices.items():
        for key, value in values.items():
            table["price"][carrier][key] = f"{value} per year" if key == "fixed" else value
    for option in table["option"]:
        if option["name"] in case.installed:
            option["installed_cost"] = case.installed[option["name"]]
    table.setdefault("money", {})["discount_rate"] = case.discount_rate


def _blue(case: Case) -> dict[str, float]:
    wanted = {f"Installed cost: {name}": cost for name, cost in case.installed.items()}
    wanted["Discount rate"] = case.discount_rate
    for carrier, values in case.prices.items():
        noun = carrier.replace("_", " ")
        wanted |= {
            f"{'Standing charge' if key == 'fixed' else 'Price'} of {noun}": value
            for key, value in values.items()
        }
    return wanted


def _change_cells(book: Workbook, case: Case) -> None:
    wanted = _blue(case)
    for row in book["Inputs"].iter_rows(6, 60):
        if row[0].value in wanted:
            assert row[1].font.color.rgb == "FF0072B2", f"{row[0].value} is not blue"
            row[1].value = wanted.pop(str(row[0].value))
    assert not wanted


def _recalculated(book: Workbook, folder: Path, name: str) -> Workbook:
    """Save formulas without results, so that all are worked out anew."""
    file, out = folder / f"{name}.xlsx", folder / "out"
    book.save(file)
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = [str(OFFICE), profile, "--headless", "--convert-to", "xlsx", "--outdir", str(out)]
    subprocess.run([*command, str(file)], check=True, capture_output=True, timeout=600)
    return openpyxl.load_workbook(out / file.name, data_only=True)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Results:
    """A workbook as written, the same recalculated, and recalculated after changes."""

    stored: Workbook
    same: Workbook
    changed: Workbook
    fresh: Comparison
    fresh_book: Workbook


@pytest.fixture(scope="module", params=CASES, ids=lambda case: case.name)
def results(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Results:
    case, folder = request.param, tmp_path_factory.mktemp(request.param.name)
    table = _scenario(case)
    file = write_workbook(
        _run(table, folder, "before"), folder / "before.xlsx", us=True, replace=False
    )
    same = _recalculated(openpyxl.load_workbook(file), folder, "same")
    book = openpyxl.load_workbook(file)
    _change_cells(book, case)
    changed = _recalculated(book, folder, "changed")
    _changed(case, table)
    fresh = _run(table, folder, "after")
    other = write_workbook(fresh, folder / "after.xlsx", us=True, replace=False)
    return Results(
        stored=openpyxl.load_workbook(file, data_only=True),
        same=same,
        changed=changed,
        fresh=fresh,
        fresh_book=openpyxl.load_workbook(other, data_only=True),
    )


def _rows(book: Workbook, sheet: str) -> dict[str, dict[str, object]]:
    """Cells by option and heading."""
    page = book[sheet]
    heads = [str(cell.value) for cell in page[5]]
    rows = {}
    for row in page.iter_rows(6, values_only=True):
        if row[0] is None:
            break
        rows[str(row[0])] = dict(zip(heads, row, strict=True))
    return rows


def _cell(rows: Mapping[str, Mapping[str, object]], name: str, heading: str) -> object:
    return next(value for head, value in rows[name].items() if head.startswith(heading))


def _number(rows: Mapping[str, Mapping[str, object]], name: str, heading: str) -> float:
    value = _cell(rows, name, heading)
    assert isinstance(value, int | float), (name, heading, value)
    return float(value)


def test_every_stored_result_is_what_the_formula_gives(results: Results) -> None:
    wrong, checked = [], 0
    for page in results.stored:
        other = results.same[page.title]
        for row in page.iter_rows():
            for cell in row:
                found, stored = other[cell.coordinate].value, cell.value
                if isinstance(stored, int | float) and not isinstance(stored, bool):
                    checked += 1
                    if found != pytest.approx(stored, rel=1e-9, abs=1e-7):
                        wrong.append((page.title, cell.coordinate, stored, found))
                elif isinstance(stored, str) and stored != (found or ""):
                    wrong.append((page.title, cell.coordinate, stored, found))
    assert not wrong, wrong[:10]
    assert checked > 100_000


def test_costs_and_ranges_follow_the_blue_cells(results: Results) -> None:
    rows, ranges = _rows(results.changed, "Options"), cost_ranges(results.fresh)
    for outcome in results.fresh.outcomes:
        name, found = outcome.name, ranges[outcome.name]
        for heading, expected in (
            ("Yearly cost", outcome.yearly_cost),
            ("Sum of its bill lines", outcome.yearly_cost),
            ("Charges and other use", outcome.account_cost),
            ("Lowest", found.low),
            ("Highest", found.high),
            ("Highest less likely", found.high - found.likely),
            ("Likely less lowest", found.likely - found.low),
        ):
            assert _number(rows, name, heading) == pytest.approx(expected, rel=1e-6, abs=1e-6)
        against = outcome.against_present
        if against is not None and outcome.comparable:
            saving = _number(rows, name, "Saved on the services")
            assert saving == pytest.approx(against.payback.yearly_saving, rel=1e-6, abs=1e-6)


def test_measures_follow_the_blue_cells(results: Results) -> None:
    rows, compared = _rows(results.changed, "Money"), 0
    for option in option_money(results.fresh):
        against = option.against_present
        assert _number(rows, option.name, "Life-cycle cost") == pytest.approx(
            option.cost.total, rel=1e-6
        )
        assert _number(rows, option.name, "Level cost") == pytest.approx(
            option.equivalent_annual_cost, rel=1e-6
        )
        if against is None:
            continue
        compared += 1
        for heading, value in _expected(against).items():
            found = _cell(rows, option.name, heading)
            if value is None:
                assert isinstance(found, str), (option.name, heading, found)
            else:
                assert found == pytest.approx(value, rel=1e-6, abs=1e-6), (option.name, heading)
        words = against.measures.discounted_payback.words
        assert _cell(rows, option.name, "Discounted payback in words") == words
    assert compared >= 4


def _expected(against: AgainstPresent) -> dict[str, float | None]:
    measures = against.measures
    return {
        "Extra at the start": against.extra_at_start,
        "Saved in a year": against.yearly_saving,
        "Simple payback": against.simple.years,
        "Paid back year by year": against.payback_years,
        "Discounted payback": measures.discounted_payback.years,
        "Net savings": measures.net_savings,
        "Savings to investment": measures.saving_to_investment.value,
        "Adjusted rate": _shown(measures.adjusted_return.value),
        "Internal rate": _shown(measures.rate_of_return.rate),
    }


def _shown(rate: float | None) -> float | None:
    """Nine tenths of the money lost every year is no return, here as in the terminal."""
    return rate if rate is not None and rate >= -0.9 else None


def test_headlines_and_remarks_follow_the_blue_cells(results: Results) -> None:
    for sheet, place in (
        ("Inputs", "A2"),
        ("Options", "A2"),
        ("Months", "A2"),
        ("Money", "A1"),
        ("Money", "A2"),
    ):
        found, expected = (
            book[sheet][place].value for book in (results.changed, results.fresh_book)
        )
        assert found == expected
    assert results.changed["Money"]["A2"].value != results.stored["Money"]["A2"].value
    for sheet in ("Options", "Money"):
        before, after = (_rows(one, sheet) for one in (results.changed, results.fresh_book))
        for name in before:
            marks = [_cell(rows, name, "Remark") or "" for rows in (before, after)]
            assert marks[0] == marks[1]
