"""The comparison as printed: figures of the result, words where it decides, 100 columns."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.report.comparison import closing
from energymodel.report.comparison.range_words import range_text, rounded_ends, saving_words
from energymodel.report.comparison.table import basis_lines, print_comparison
from energymodel.report.numbers import Display, money
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.cost_range import CostRange, cost_ranges
from energymodel.study.comparison.outcome import Comparison, Outcome
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
    table, start = table_of(text)
    begin = [line[start:].split() for line in table if line[start:].strip()]
    return list(zip(comparison.outcomes, begin, strict=True))


def table_of(text: str) -> tuple[list[str], int]:
    """Lines of the table, and where its first column of numbers begins."""
    heads, _, body = text.partition("────")
    line = heads.splitlines()[-1]
    start = line.index(line.split()[1])
    return body.partition("\n\n")[0].splitlines()[1:], start


def lines_under(comparison: Comparison, *, us: bool, written: tuple[Path, ...] = ()) -> list[str]:
    return closing.closing_lines(comparison, Display(us=us), cost_ranges(comparison), written)


@pytest.mark.parametrize("us", [True, False])
def test_every_row_in_the_order_of_the_comparison_shows_its_costs_and_their_range(
    demo: Comparison, capsys: pytest.CaptureFixture[str], *, us: bool
) -> None:
    text = printed(demo, capsys, us=us)
    ranges = cost_ranges(demo)
    for one, cells in rows(text, demo):
        assert cells[0] == f"{one.service_cost['heating']:,.0f}"
        assert cells[2] == f"{one.yearly_cost:,.0f}"
        found = ranges[one.name]
        if found.high > found.low:
            low, high = (float(end) for end in cells[3].split("-"))
            assert low <= found.low <= one.yearly_cost <= found.high <= high
            assert max(found.low - low, high - found.high) < 10.0
        per_heat = one.cost_per_mmbtu()
        assert per_heat is not None
        shown = f"{per_heat:.2f}" if us else f"{per_heat / KWH_PER_MMBTU:.3f}"
        assert shown in cells
        if one.against_present is not None:
            saving = round(one.against_present.payback.yearly_saving)
            assert (f"{-saving:+,}" if saving else "0") in cells


def test_heat_per_kwh_is_a_title_that_is_true_of_a_burner_as_well(
    demo: Comparison, capsys: pytest.CaptureFixture[str]
) -> None:
    text = printed(demo, capsys, us=True)
    assert "COP" not in text
    heads = text.partition("────")[0]
    assert "per kWh per kWh" in heads
    propane = next(cells for one, cells in rows(text, demo) if one.name.startswith("Propane"))
    # 0.80 of the fuel's higher heating value, times 0.98 in service (computed)
    assert "0.78" in propane


def test_the_details_show_energy_peaks_and_emissions_of_every_option(
    demo: Comparison, capsys: pytest.CaptureFixture[str]
) -> None:
    text = printed(demo, capsys, us=True, details=True)
    table = text.partition("Energy, peaks and emissions")[2].partition("\n\n")[0]
    for one in demo.outcomes:
        line = next(line for line in table.splitlines() if line.startswith(one.name))
        assert f"{one.energy_kwh['electricity']:,.0f}" in line
        assert f"{one.emissions.co2e_kg:,.0f}" in line
        assert f"{one.result.peak_hour_kw:.2f}" in line
    assert "gal propane" in table


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
    table, start = table_of(text)
    joined = " ".join(" ".join(line[:start].strip() for line in table).split())
    assert "Baseboard (there now)" in joined
    assert "Inverter (lowest yearly cost)" in joined
    assert joined.count("lowest yearly cost") == 1
    assert "cheapest" not in text
    assert joined.count("does not carry the heating load") >= 1
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
    assert "electricity NOK 1.50 per kWh" in text


def test_the_lines_above_name_place_load_and_prices_in_the_readers_units(
    demo: Comparison, kroner: Comparison
) -> None:
    us = "\n".join(basis_lines(demo, Display(us=True)))
    assert "Greensboro, North Carolina, typical year" in us
    assert "heating 9.5 kBtu/h at 15 °F" in us
    assert "propane USD 2.60 per gallon" in us
    si = "\n".join(basis_lines(demo, Display(us=False)))
    assert "heating 2.8 kW at -9.4 °C" in si
    assert "cooling 2.0 kW at 33.0 °C" in "\n".join(basis_lines(kroner, Display(us=False)))


def test_the_answer_comes_first_and_says_what_cooling_adds(demo: Comparison) -> None:
    lines = lines_under(demo, us=True)
    best, present = demo.cheapest, demo.present
    assert best is not None
    assert present is not None
    assert best.against_present is not None
    saving = round(best.against_present.payback.yearly_saving, -1)
    assert lines[0].startswith(f"{best.name}: about ${saving:.0f} a year less than {present.name}")
    assert "for the same services (range $3" in lines[0]
    found = cost_ranges(demo)[best.name]
    assert found.saving_low is not None
    assert found.saving_high is not None
    low, high = rounded_ends(found.saving_low, found.saving_high)
    assert f"(range ${low}-${high})" in lines[0]
    assert "new cooling adds about" in lines[0]
    assert any(line.startswith("If its heat pump fails: January on borrowed") for line in lines)
    assert any("Estimate, not a quotation or guarantee" in line for line in lines)
    assert "licensed electrician" in lines[-1]


def test_at_most_six_lines_stand_under_the_table_and_then_the_cautions(
    demo: Comparison, kroner: Comparison
) -> None:
    for comparison in (demo, kroner):
        lines = lines_under(comparison, us=True, written=(Path("result") / "annual.csv",))
        assert len(lines) <= 7
        assert lines[-1].startswith("Cautions: ")


def test_facts_without_a_place_under_the_table_are_counted_and_stand_in_the_details(
    kroner: Comparison, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = lines_under(kroner, us=False)
    monkeypatch.setattr(closing, "MOST_FACTS", 1)
    further = closing.further_lines(kroner, Display(us=False))
    under = lines_under(kroner, us=False)
    assert len(further) == len(whole) - len(under) >= 1
    assert any(f"{len(further)} further fact" in line for line in under)
    text = " ".join(printed(kroner, capsys, us=False, details=True).split())
    for line in further:
        assert f"- {' '.join(line.split())}" in text


def test_the_range_says_what_is_in_it_and_what_is_not(demo: Comparison) -> None:
    line = next(line for line in lines_under(demo, us=True) if line.startswith("Range: "))
    assert "heat pumps in service 0.80 to 1.00 of rated" in line
    assert "one typical year; spread of winters not included" in line


def test_a_range_is_rounded_outwards_and_a_saving_may_change_its_sign() -> None:
    assert rounded_ends(209.2, 256.4) == (200, 260)
    assert rounded_ends(12_345.0, 15_001.0) == (12_300, 15_100)
    assert range_text(500.0, 500.0) == ""
    range_of = CostRange(
        low=1.0,
        likely=2.0,
        high=3.0,
        saving_low=-12.0,
        saving_likely=40.0,
        saving_high=131.0,
        words="",
    )
    assert saving_words(range_of, "USD") == " (range: $20 more to $140 less)"
    costs_more = replace(range_of, saving_low=-131.0, saving_high=-11.0)
    assert saving_words(costs_more, "USD") == " (range $10-$140)"
    assert saving_words(costs_more, "NOK") == " (range 10-140 NOK)"
    nothing = replace(range_of, saving_low=None, saving_high=None)
    assert saving_words(nothing, "USD") == ""


@given(
    low=st.floats(-20_000, 20_000, allow_subnormal=False),
    width=st.floats(0, 20_000, allow_subnormal=False),
)
def test_rounded_ends_always_hold_the_range(low: float, width: float) -> None:
    ends = rounded_ends(low, low + width)
    assert ends[0] <= low
    assert low + width <= ends[1]


def test_written_files_are_counted_with_their_folder(demo: Comparison) -> None:
    files = tuple(Path("result") / name for name in ("annual.csv", "hourly.csv"))
    lines = lines_under(demo, us=True, written=files)
    assert any(line.startswith("Written: 2 files in result. Estimate") for line in lines)


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
