"""The comparison as printed: figures of the result, words where it decides, 100 columns."""

from __future__ import annotations

from pathlib import Path

import pytest

from energymodel.report.numbers import Display, money
from energymodel.report.table import basis_lines, closing_lines, print_comparison
from energymodel.study.compare import compare
from energymodel.study.outcome import Comparison, Outcome
from energymodel.units import KWH_PER_MMBTU

SCENARIO = """
currency = "NOK"
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "20 degC", cooling = "24 degC" }
[room.heating]
ua = "90 W/K"
design_temperature = "-9 degC"
balance_temperature = "16 degC"
[room.cooling]
design_load = "2 kW"
design_temperature = "33 degC"
balance_temperature = "20 degC"
[price.electricity]
energy = 1.50
per = "kWh"
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Small heater"
heating = { kind = "electric resistance", capacity = "0.9 kW" }
[[option]]
name = "Inverter"
heating = { kind = "heat pump", unit = "inverter-cold-climate-12" }
cooling = { kind = "heat pump", unit = "inverter-cold-climate-12" }
installed_cost = 30000
[[option]]
name = "Cooling only"
cooling = { kind = "air conditioner", unit = "window-8" }
"""


@pytest.fixture(scope="module")
def demo() -> Comparison:
    return compare()


@pytest.fixture(scope="module")
def kroner(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    file = tmp_path_factory.mktemp("scenario") / "room.toml"
    file.write_text(SCENARIO, "utf-8")
    return compare(file)


def printed(
    comparison: Comparison, capsys: pytest.CaptureFixture[str], *, us: bool, details: bool = False
) -> str:
    print_comparison(comparison, us=us, details=details)
    return capsys.readouterr().out


def rows(text: str, comparison: Comparison) -> list[tuple[Outcome, list[str]]]:
    """Cells of each option, from the line in which its row begins."""
    table = text.partition("────")[2].partition("\n\n")[0].splitlines()[1:]
    begin = [line[31:].split() for line in table if line[31:].strip()]
    return list(zip(comparison.outcomes, begin, strict=True))


@pytest.mark.parametrize("us", [True, False])
def test_every_row_in_the_order_of_the_comparison_shows_its_costs_and_energy(
    demo: Comparison, capsys: pytest.CaptureFixture[str], *, us: bool
) -> None:
    text = printed(demo, capsys, us=us)
    for one, cells in rows(text, demo):
        assert f"{one.service_cost['heating']:,.0f}" in cells
        assert f"{one.yearly_cost:,.0f}" in cells
        assert f"{one.energy_kwh['electricity']:,.0f}" in cells
        assert f"{one.emissions.co2e_kg:,.0f}" in cells
        per_heat = one.cost_per_mmbtu()
        assert per_heat is not None
        shown = f"{per_heat:.2f}" if us else f"{per_heat / KWH_PER_MMBTU:.3f}"
        assert shown in cells
        if one.against_present is not None:
            assert f"{-one.against_present.payback.yearly_saving:+,.0f}" in cells


@pytest.mark.parametrize("details", [False, True])
def test_no_line_is_wider_than_100_columns_and_none_is_coloured(
    demo: Comparison, kroner: Comparison, capsys: pytest.CaptureFixture[str], *, details: bool
) -> None:
    for comparison in (demo, kroner):
        for us in (True, False):
            text = printed(comparison, capsys, us=us, details=details)
            assert max(len(line) for line in text.splitlines()) <= 100
            assert "\x1b" not in text


def test_what_is_there_the_cheapest_and_who_falls_short_are_told_in_words(
    kroner: Comparison, capsys: pytest.CaptureFixture[str]
) -> None:
    text = printed(kroner, capsys, us=False)
    joined = " ".join(text.split())
    assert "Baseboard (there now)" in joined
    assert "Inverter - cheapest" in joined
    assert text.count("- cheapest") == 1
    assert joined.count("does not carry the load") >= 1
    last = [one.name for one in kroner.outcomes if not one.carries]
    assert set(last) == {"Small heater", "Cooling only"}
    assert [one.name for one in kroner.outcomes[-2:]] == last


def test_a_service_that_is_not_given_is_named_so(
    kroner: Comparison, capsys: pytest.CaptureFixture[str]
) -> None:
    found = rows(printed(kroner, capsys, us=False), kroner)
    cells = {one.name: row for one, row in found}
    assert "none" in cells["Baseboard"]
    assert "none" in cells["Cooling only"]
    assert "none" not in cells["Inverter"]


def test_another_currency_is_shown_by_its_code(
    kroner: Comparison, capsys: pytest.CaptureFixture[str]
) -> None:
    text = printed(kroner, capsys, us=False)
    assert "NOK" in text
    assert "$" not in text
    assert "electricity NOK 1.5 per kWh" in text


def test_the_lines_above_name_place_load_and_prices_in_the_readers_units(
    demo: Comparison, kroner: Comparison
) -> None:
    us = "\n".join(basis_lines(demo, Display(us=True)))
    assert "Greensboro, North Carolina, typical year" in us
    assert "heating 9.5 kBtu/h at 15 °F" in us
    assert "propane USD 2.6 per gallon" in us
    si = "\n".join(basis_lines(demo, Display(us=False)))
    assert "heating 2.8 kW at -9.4 °C" in si
    assert "cooling 2.0 kW at 33.0 °C" in "\n".join(basis_lines(kroner, Display(us=False)))


def test_the_answer_comes_first_and_says_what_cooling_adds(demo: Comparison) -> None:
    lines = closing_lines(demo, Display(us=True))
    best, present = demo.cheapest, demo.present
    assert best is not None
    assert present is not None
    assert best.against_present is not None
    saving = round(best.against_present.payback.yearly_saving, -1)
    assert lines[0].startswith(f"{best.name}: about ${saving:.0f} a year less than {present.name}")
    assert "new cooling adds about" in lines[0]
    assert any(line.startswith("If its heat pump fails: January on borrowed") for line in lines)
    assert any("Estimate, not a quotation or guarantee" in line for line in lines)
    assert "licensed electrician" in lines[-1]


def test_written_files_are_counted_with_their_folder(demo: Comparison) -> None:
    files = [Path("result") / name for name in ("annual.csv", "hourly.csv")]
    lines = closing_lines(demo, Display(us=True), files)
    assert "Written: 2 files in result" in lines


def test_promises_are_not_made(demo: Comparison, capsys: pytest.CaptureFixture[str]) -> None:
    # Wording after the US Federal Trade Commission's guidance of 2012 on energy claims (published).
    text = printed(demo, capsys, us=True, details=True).lower()
    for promise in ("up to $", "guaranteed", "pays for itself", "!"):
        assert promise not in text


def test_details_list_every_default_notice_and_source(
    demo: Comparison, capsys: pytest.CaptureFixture[str]
) -> None:
    text = " ".join(printed(demo, capsys, us=True, details=True).split())
    for entry in (*demo.model.defaults, *demo.notices):
        assert " ".join(str(entry).split()) in text
    assert demo.model.weather.source in text
    assert "inverter-cold-climate-12, heating:" in text


def test_money_and_temperatures_are_rounded_for_readers() -> None:
    assert money(1234.5, "USD") == "$1,234"
    assert money(-0.4, "USD") == "$0"
    assert money(99.6, "EUR") == "€100"
    assert Display(us=False).temperature(-0.04) == "0.0 °C"
    assert Display(us=True).temperature(-9.4) == "15 °F"
    assert Display(us=True).heat_flow(3516.85) == "12.0 kBtu/h"
    assert Display(us=False).heat_flow(3516.85) == "3.5 kW"
