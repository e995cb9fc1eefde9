"""Guards: impossible answers and slips of units are flagged by name, sound ones are not."""

from __future__ import annotations

import runpy
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.notices import Notice
from energymodel.scenario.prices import CarrierPrice
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.guards import (
    COOLING_BAND,
    HEATING_BAND,
    best_cop,
    guards,
    season_guard,
)
from energymodel.study.comparison.input_guards import (
    ELECTRICITY_BAND,
    FUEL_BAND,
    load_guard,
    price_guard,
)
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.comparison.slips import BILLS, LOADS, PAYBACKS, PRICES, likely_slips
from energymodel.units import BTU_PER_WH, KWH_PER_THERM

_TOOLS = runpy.run_path(str(Path(__file__).with_name("money_room.py")))
PLACE, NOW = _TOOLS["PLACE"], _TOOLS["NOW"]
run, option, price_for, electricity = (
    _TOOLS[name] for name in ("run", "option", "price_for", "electricity")
)
A5_BILLS = '[money]\nbills_now = "1800 per year"\nother_use_now = "65 per month"\n'


def found(comparison: Comparison, topic: str) -> list[str]:
    return [note.text for note in guards(comparison) if note.topic == topic]


def _a5(folder: Path, keys: str, *, share: float = 0.5, bills: str = A5_BILLS) -> Comparison:
    """Cases sheet, case A5 [F]: $1,800 a year, base $65 a month, heating $1,020, job $8,500."""
    text = PLACE + price_for(1020.0) + bills + NOW.replace('"Now"', '"Electric furnace"')
    return run(folder, text + option(share, keys, name="Heat pump", cost=8500.0))


def test_the_demo_and_a_sound_case_trip_no_guard(tmp_path: Path) -> None:
    assert guards(compare()) == ()
    assert guards(_a5(tmp_path, "")) == ()


def test_a5_four_year_claim_is_flagged_by_name_as_more_than_the_whole_spend(
    tmp_path: Path,
) -> None:
    # Case A5: a payback of 4 years would need $2,125 a year, more than the whole $1,800 bill.
    keys = 'claim = { by = "the installer", payback_years = 4 }'
    (text,) = found(_a5(tmp_path, keys), "claim")
    assert text.startswith("Heat pump, claim of the installer: a payback of 4 years on $8,500")
    assert "needs $2,125 a year saved; Electric furnace costs $1,020 a year now" in text
    assert "by the bills $1,020. It cannot be" in text


def test_a5_claim_is_impossible_with_or_without_the_bills(tmp_path: Path) -> None:
    keys = 'claim = { payback_years = 4, saving = "1,500 per year" }'
    texts = found(_a5(tmp_path, keys, bills=""), "claim")
    assert sum("It cannot be" in text for text in texts) == 2
    assert "a saving of $1,500 a year" in texts[0]


def test_what_must_be_replaced_anyway_makes_a_quick_claim_possible(tmp_path: Path) -> None:
    # $8,500 less a furnace of $4,900 in year 2: 3,600 / 4 = 900 a year, below the $1,020 spent
    keys = "claim = { payback_years = 4 }"
    text = PLACE + price_for(1020.0) + NOW
    anyway = 'replaced_anyway = { name = "furnace", cost = 4900, year = 2 }\n'
    pump = option(0.5, keys, name="Heat pump", cost=8500.0)
    assert "It cannot be" in found(run(tmp_path, text + pump), "claim")[0]
    (softer,) = found(run(tmp_path, text + anyway + pump), "claim")
    assert "$900 a year saved is 1.8 times the $510 of this estimate" in softer


def test_a5_printed_saving_passes_and_one_far_above_the_estimate_is_questioned(
    tmp_path: Path,
) -> None:
    # Case A5: $510 a year, 16.6 years as printed.
    fair = 'claim = { saving = "510 per year", payback_years = 16.6 }'
    assert found(_a5(tmp_path, fair), "claim") == []
    (text,) = found(_a5(tmp_path, 'claim = { saving = "900 per year" }'), "claim")
    assert "$900 a year saved is 1.8 times the $510 of this estimate" in text


@pytest.mark.parametrize(
    ("saving", "printed", "ours", "short"),
    [
        (250, 5_400, "3,750", "1,650"),
        (1_230, 20_200, "18,450", "1,750"),
        (1_000, 16_800, "15,000", "1,800"),
    ],
)
def test_a25_printed_life_total_is_wrong_and_is_flagged_in_a_scenario(
    tmp_path: Path, saving: int, printed: int, ours: str, short: str
) -> None:
    # Cases sheet, case A25 [T]: savings over the life as printed, "annual = mean over 15 years".
    claim = f'claim = {{ saving = "{saving} per year", total = {printed}, years = 15 }}'
    text = PLACE + price_for(4000.0) + NOW + option(1.0 - saving / 4000.0, claim, cost=4500.0)
    (flagged,) = found(run(tmp_path, text), "claim")
    assert f"${printed:,} over 15 years is not the sum of its years, which is ${ours}" in flagged
    assert f"${short} assumes" in flagged
    sound = text.replace(f"total = {printed}", f"total = {15 * saving}")
    assert found(run(tmp_path, sound), "claim") == []


def test_a25_a_saving_and_a_payback_that_belong_to_another_price_are_flagged(
    tmp_path: Path,
) -> None:
    # Case A25: $250 a year and 9.1 years belong to $2,275 (computed), the product costs $4,500.
    keys = 'claim = { saving = "250 per year", payback_years = 9.1 }'
    text = PLACE + price_for(4000.0) + NOW + option(1.0 - 250 / 4000.0, keys, cost=4500.0)
    (flagged,) = found(run(tmp_path, text), "claim")
    assert "belong to a cost of $2,275; the extra cost entered is $4,500" in flagged


def test_a_saving_above_the_displaced_spend_is_flagged_with_its_currency(tmp_path: Path) -> None:
    comparison = _a5(tmp_path, "", bills="")
    present, one = comparison.outcomes
    assert one.against_present is not None
    note = Notice(topic="savings", text="more than is spent")
    payback = replace(one.against_present.payback, yearly_saving=2125.0, notices=(note,))
    wrong = replace(one, against_present=replace(one.against_present, payback=payback))
    (text,) = found(replace(comparison, outcomes=(present, wrong)), "savings")
    assert text.startswith("Heat pump: a saving of $2,125 a year is more than the $1,020")


def test_a_payback_under_a_year_is_flagged_and_a_cost_in_thousands_named(tmp_path: Path) -> None:
    text = PLACE + price_for(1020.0) + NOW + option(0.5, name="Heat pump", cost=4.1)
    (flagged,) = found(run(tmp_path, text), "payback")
    assert "a payback of 0.1 months ($4 extra, $510 a year saved)" in flagged
    assert (
        "1,000 would explain it: if the installed cost is in thousands, it is 8.0 years" in flagged
    )


def test_a_seasonal_cop_of_11_is_an_energy_efficiency_ratio() -> None:
    # Method: EER / 3.412 = COP (economics sheet, section 0: unit definition published).
    notice = season_guard("Unit", "cooling", 11.0, band=COOLING_BAND)
    assert notice is not None
    assert notice.topic == "seasonal COP"
    assert (
        "3.412 would explain it: if a figure in Btu per Wh (EER, SEER, HSPF) was entered as COP"
        in notice.text
    )
    assert "it is COP 3.2" in notice.text
    below = season_guard("Unit", "heating", 0.9, band=HEATING_BAND)
    assert below is not None
    assert "it is COP 3.1" in below.text


@given(st.floats(0.1, 30.0))
def test_a_seasonal_cop_is_flagged_exactly_outside_band_and_limit(cop: float) -> None:
    notice = season_guard("Unit", "heating", cop, band=HEATING_BAND, limit=4.0)
    assert (notice is None) == (1.0 <= cop <= 4.0)
    if notice is not None:
        assert ("physics" in notice.text) == (cop > 4.0)


def test_no_catalogue_unit_beats_the_second_law_over_the_year() -> None:
    for outcome in compare().outcomes:
        for service in ("heating", "cooling"):
            cop = outcome.result.cop_unit(service)
            limit = best_cop(outcome, service)
            assert cop is None or cop < limit
            # 0.70 of the ideal COP lies far above any room's season
            assert limit == np.inf or 5.0 < limit < 25.0


def _price(carrier: str, per: str, kwh: float, energy: float) -> CarrierPrice:
    return CarrierPrice(
        carrier=carrier,
        per_kwh=energy / kwh,
        fixed_per_year=0.0,
        other_uses=True,
        text=f"{energy:g} per {per}",
        per=per,
        kwh_per_unit=kwh,
    )


def test_a_price_of_14_per_kwh_is_in_cents() -> None:
    notice = price_guard(_price("electricity", "kWh", 1.0, 14.0), "USD")
    assert notice is not None
    assert notice.topic == "units"
    assert "The price of electricity, $14.00 per kWh" in notice.text
    assert (
        "100 would explain it: if it is in hundredths (cents), it is $0.14 per kWh" in notice.text
    )
    per_mwh = price_guard(_price("electricity", "kWh", 1.0, 140.0), "EUR")
    assert per_mwh is not None
    assert "1,000 would explain it" in per_mwh.text
    assert "€0.14 per kWh" in per_mwh.text


def test_a_therm_priced_per_kwh_is_named() -> None:
    notice = price_guard(_price("natural gas", "kWh", 1.0, 1.25), "USD")
    assert notice is not None
    assert "29.31 would explain it: if it is the price of a therm, not of a kWh" in notice.text


@pytest.mark.parametrize(
    ("carrier", "per", "kwh", "energy"),
    # Cases sheet, A14, B2, A22 and A1: prices that people pay
    [
        ("electricity", "kWh", 1.0, 0.47),
        ("electricity", "kWh", 1.0, 0.043),
        ("natural gas", "therm", KWH_PER_THERM, 0.67),
        ("natural gas", "therm", KWH_PER_THERM, 2.059),
        ("propane", "gallon", 26.8, 3.55),
        ("heating oil", "gallon", 40.6, 3.91),
        ("wood", "cord", 5861.0, 250.0),
        ("wood", "cord", 5861.0, 0.0),
    ],
)
def test_prices_that_people_pay_trip_no_guard(
    carrier: str, per: str, kwh: float, energy: float
) -> None:
    assert price_guard(_price(carrier, per, kwh, energy), "USD") is None


def test_prices_in_other_currencies_are_not_judged(tmp_path: Path) -> None:
    text = PLACE + electricity(31.0) + NOW
    (flagged,) = found(run(tmp_path, text), "units")
    assert "$31.00 per kWh" in flagged
    assert found(run(tmp_path, 'currency = "JPY"\n' + text), "units") == []


@pytest.mark.parametrize(
    ("kbtu_h", "factor", "meant"),
    [(9.5 * 12, "12", "9.50"), (9.5 / 12, "12", "9.50"), (9.5 * 1000, "1,000", "9.50"),
     (9.5 * BTU_PER_WH * 3, "3.412", "28.5"), (0.0095, "1,000", "9.50")],
)  # fmt: skip
def test_a_design_load_off_by_a_unit_is_flagged_with_the_factor(
    kbtu_h: float, factor: str, meant: str
) -> None:
    # 380 ft2 = 35.3 m2
    notice = load_guard("heating", kbtu_h * 1000.0 / BTU_PER_WH, area_m2=35.3)
    assert notice is not None
    assert f"{factor} would explain it" in notice.text
    assert f"it is {meant.rstrip('0').rstrip('.')}" in notice.text


def test_a23_pull_up_rule_is_wrong_as_a_steady_load_and_is_flagged() -> None:
    # Cases sheet, case A23 [F]: 84,000 Btu/h for an insulated garage of 480 ft2.
    notice = load_guard("heating", 84_000.0 / BTU_PER_WH, area_m2=480.0 * 0.09290304)
    assert notice is not None
    assert "it is 175 Btu/h for each ft2 of floor" in notice.text  # 84,000 / 480
    metric = load_guard("heating", 84_000.0 / BTU_PER_WH, area_m2=480.0 * 0.09290304, units="si")
    assert metric is not None
    assert "it is 552 W for each m2 of floor" in metric.text
    assert "warming up a cold space, is not a steady load" in notice.text
    # our estimate of the steady load, about 4,000 Btu/h
    assert load_guard("heating", 4_000.0 / BTU_PER_WH, area_m2=480.0 * 0.09290304) is None


def test_a_load_in_tons_shows_against_the_heat_pumps_where_the_area_is_not_given(
    tmp_path: Path,
) -> None:
    pump = (
        '[[option]]\nname = "Inverter"\n'
        'heating = { kind = "heat pump", unit = "inverter-standard-12" }\n'
    )
    load = PLACE.replace('ua = "100 W/K"', 'design_load = "9.5 kBtu/h"')
    tons = load.replace("9.5 kBtu/h", "114 kBtu/h")  # 9.5 refrigeration tons
    (flagged,) = found(run(tmp_path, tons + electricity(0.14) + NOW + pump), "units")
    assert "design load of 114 kBtu/h is hardly that of the room: the largest heat pump" in flagged
    assert "12 would explain it: if the number is in kBtu/h and was entered as tons" in flagged
    assert "it is 9.50 kBtu/h" in flagged
    assert found(run(tmp_path, load + electricity(0.14) + NOW + pump), "units") == []


@pytest.mark.parametrize(
    ("bills", "factor", "words"),
    [
        ("85 per year", "12", "the bill is that of one month"),
        ("255 per year", "4", "the bill is that of one quarter"),
        ("1,020 per month", "12", "a year's bill was entered as a month's"),
        ("10.20 per year", "100", "the price is in hundredths (cents)"),
        ("1.02 per year", "1,000", "1,000 times too large"),
    ],
)
def test_bills_that_do_not_fit_the_estimate_name_the_slip(
    tmp_path: Path, bills: str, factor: str, words: str
) -> None:
    comparison = _a5(tmp_path, "", bills=f'[money]\nbills_now = "{bills}"\n')
    (text,) = found(comparison, "bills")
    assert "By load and prices Electric furnace costs $1,020 a year; the bills leave" in text
    assert f"{factor} would explain it: if " in text
    assert words in text
    assert "it is 100% of the bills" in text


@given(st.floats(1e-6, 1e6), st.sampled_from([PRICES, LOADS, BILLS, PAYBACKS]))
def test_a_slip_is_named_only_where_undoing_it_makes_the_value_plausible(
    value: float, slips: tuple[object, ...]
) -> None:
    low, high = ELECTRICITY_BAND
    named = likely_slips(value, (low, high), slips)
    assert all(low <= slip.meant(value) <= high for slip in named)
    if low <= value <= high:
        assert named == ()
    assert FUEL_BAND[0] < ELECTRICITY_BAND[0]


def test_amounts_in_notices_have_separators_and_the_currency(tmp_path: Path) -> None:
    text = 'currency = "NOK"\n' + PLACE + price_for(12_345.0) + NOW
    keys = 'claim = { saving = "20,000 per year" }'
    (flagged,) = found(run(tmp_path, text + option(0.5, keys, cost=50_000.0)), "claim")
    assert "20,000 NOK a year; Now costs 12,345 NOK a year now" in flagged
