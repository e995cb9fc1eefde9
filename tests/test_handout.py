"""The customer's page: what it says, in which words, with which numbers."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from energymodel.errors import InputError
from energymodel.report.handout.handout import make_sheet, page_data, write_handout
from energymodel.report.handout.numbers import rounded_range
from energymodel.report.handout.payback import PaybackRange
from energymodel.report.handout.sheet import HandoutSettings, Sheet
from energymodel.scenario.changes import changed
from energymodel.scenario.files import read_scenario
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison

DAY = date(2026, 11, 24)
# Room, prices and options are invented.
ROOM = """
title = "A room"
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "9.5 kBtu/h"
design_temperature = "15 degF"
balance_temperature = "60 degF"
[price.electricity]
energy = 0.14
per = "kWh"
source = "bill of October"
date = "2026-11-01"
[price.natural_gas]
energy = 1.20
per = "therm"
"""
BASEBOARD = '[[option]]\nname = "Baseboard"\nheating = { kind = "electric resistance" }\n'
FURNACE = """[[option]]
name = "Furnace"
installed_cost = 2900
heating = { kind = "furnace", fuel = "natural gas", afue = 0.95, ducts = { efficiency = 0.9 } }
"""
INVERTER = """[[option]]
name = "Inverter"
installed_cost = 3600
heating = { kind = "heat pump", unit = "inverter-standard-12" }
"""
WINDOW = """[[option]]
name = "Window unit"
cooling = { kind = "air conditioner", unit = "window-8" }
[room.cooling]
design_load = "7 kBtu/h"
design_temperature = "91 degF"
balance_temperature = "68 degF"
"""
PRESENT = "present = true\n"


def run(folder: Path, *parts: str) -> Comparison:
    file = folder / "room.toml"
    file.write_text("\n".join(parts), "utf-8")
    return compare(file)


def sheet_of(comparison: Comparison, *, us: bool = True, **settings: Any) -> Sheet:
    return make_sheet(comparison, us=us, settings=HandoutSettings(day=DAY, **settings))


def data_of(comparison: Comparison, **settings: Any) -> dict[str, Any]:
    return page_data(sheet_of(comparison, **settings))


def texts(value: Any) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [text for key, item in value.items() if key != "words" for text in texts(item)]
    return [text for item in value for text in texts(item)] if isinstance(value, list) else []


@pytest.fixture(scope="module")
def demo() -> Comparison:
    return compare()


@pytest.fixture(scope="module")
def page(demo: Comparison, tmp_path_factory: pytest.TempPathFactory) -> str:
    file = tmp_path_factory.mktemp("page") / "room.pdf"
    assert write_handout(demo, file, us=True, replace=False) == ()
    return " ".join(" ".join(one.extract_text() for one in PdfReader(file).pages).split())


def test_every_option_and_its_low_likely_and_high_can_be_searched_in_the_pdf(
    demo: Comparison, page: str
) -> None:
    rows = data_of(demo)["options"]["rows"]
    assert [row["name"] for row in rows] == [one.name for one in demo.outcomes]
    for row, outcome in zip(rows, demo.outcomes, strict=True):
        assert outcome.name in page
        assert f"{row['low']} {row['likely']} {row['high']}" in page
        # to the nearest 10 (computed from the comparison)
        assert int(row["likely"].replace(",", "")) == round(outcome.yearly_cost / 10) * 10
        low, high = (int(row[key].replace(",", "")) for key in ("low", "high"))
        assert low <= outcome.yearly_cost + 5
        assert outcome.yearly_cost - 5 <= high


def test_the_page_holds_all_that_a_customer_must_be_told(page: str) -> None:
    # NEEDS section 3: content of the hand-out, points 1 to 11
    for head in (
        "The question", "Estimate, not a quotation or guarantee", "The room and its load",
        "Prices used", "Cost in a year", "Heating", "Cooling", "Bills together",
        "break-even COP", "Same yearly cost at", "Coldest day", "Mild weather", "In a power cut",
        "Simple payback", "Discounted", "Left out and not checked", "Cautions",
        "licensed or qualified person decides", "How to check it next winter", "Defaults used",
        "Sources", "million Btu", "Page 1 of 2", "Page 2 of 2",
    ):  # fmt: skip
        assert head in page, head


@pytest.mark.parametrize(("us", "language"), [(True, "en"), (False, "en"), (True, "es")])
def test_forbidden_words_are_on_no_page(demo: Comparison, us: bool, language: str) -> None:
    found = " ".join(texts(page_data(sheet_of(demo, us=us, language=language)))).lower()
    for word in ("up to", "pays for itself", "guaranteed", "!", "hasta", "garantizad", "¡"):
        assert word not in found
    # FTC, "Make your claims crystal clear" (2012): nothing is promised
    assert re.sub("not a quotation or guarantee|no es cotización ni garantía", "", found).count(
        "garant" if language == "es" else "guarant"
    ) == (0)


def test_a_saving_is_always_a_range(demo: Comparison) -> None:
    data = data_of(demo)
    sentence = next(text for text in data["answer"]["sentences"] if "less than now" in text)
    low, high = re.findall(r"between \$([\d,]+) and \$([\d,]+) less", sentence)[0]
    assert int(low) < int(high)
    saving = next(one for one in data["answer"]["figures"] if "Less than now" in one["label"])
    assert saving["values"] == [f"${low}", "$370", f"${high}"]  # likely: 366 (computed)
    for text in texts(data):
        assert not re.search(r"(save|less)s? (about |likely )?\$[\d,]+ a year\b(?!.*between)", text)


def test_what_cannot_vary_is_said_to_have_a_wider_range_than_shown(tmp_path: Path) -> None:
    sealed = BASEBOARD.replace("Baseboard", "Sealed") + "load_factor = 0.85\ninstalled_cost = 500\n"
    sentences = data_of(run(tmp_path, ROOM, BASEBOARD + PRESENT, sealed, WINDOW))["answer"]
    text = " ".join(sentences["sentences"])
    assert "Sealed would likely cost about $440 a year" in text
    assert "its true range is wider" in text


def test_a_present_option_that_stays_cheapest_is_not_talked_down(tmp_path: Path) -> None:
    comparison = run(tmp_path, ROOM, FURNACE + PRESENT, BASEBOARD + "installed_cost = 500\n")
    data = data_of(comparison)
    assert "Not shown to save" in " ".join(data["answer"]["sentences"])
    assert [one["label"] for one in data["answer"]["figures"]] == ["Cost in a year"]


def test_a_saving_that_may_be_a_loss_is_told_both_ways(tmp_path: Path) -> None:
    price = ROOM.replace("energy = 1.20", "energy = 1.27")
    furnace = FURNACE + PRESENT
    data = data_of(
        run(tmp_path, price, furnace, INVERTER, '[ranges]\nprice = { electricity = "30 %" }')
    )
    text = " ".join(data["answer"]["sentences"])
    assert re.search(
        r"may cost less than now, about the same or more: between \$\d+ more and", text
    )
    values = next(
        one["values"] for one in data["answer"]["figures"] if "below zero" in one["label"]
    )
    assert values[0].startswith("\u2212$")


def test_an_option_that_does_not_carry_the_load_has_no_payback(tmp_path: Path) -> None:
    big = ROOM.replace("9.5 kBtu/h", "30 kBtu/h")
    data = data_of(run(tmp_path, big, BASEBOARD + PRESENT, INVERTER))
    row = next(row for row in data["buy"]["rows"] if row[0] == "Inverter")
    assert "short of heat" in row
    assert not any("years" in cell for cell in row)
    assert any("kWh stay missing" in text for text in data["cold"]["sentences"])


def test_the_flip_price_makes_both_options_cost_the_same(tmp_path: Path) -> None:
    run(tmp_path, ROOM, FURNACE + PRESENT, INVERTER)
    scenario = read_scenario(tmp_path / "room.toml")
    pair = data_of(compare(scenario))["flips"]["pairs"][0]
    cell = next(row[2] for row in pair["rows"] if row[0].startswith("price of electricity"))
    price = float(re.findall(r"\$([\d.]+) ", cell)[0])
    there = compare(changed(scenario, {"price.electricity.energy": price}))
    costs = [outcome.like_cost for outcome in there.outcomes]
    # the price is printed to a tenth of a cent
    assert costs[0] == pytest.approx(costs[1], rel=0.01)


def test_prices_stand_with_unit_date_and_source(tmp_path: Path) -> None:
    data = data_of(run(tmp_path, ROOM, BASEBOARD + PRESENT, INVERTER, FURNACE))
    electricity, gas = data["prices"]
    assert (electricity["price"], electricity["date"]) == ("$0.14 per kWh", "2026-11-01")
    assert electricity["source"] == "bill of October"
    assert (gas["price"], gas["date"], gas["source"]) == (
        "$1.20 per therm", "not stated", "not stated",
    )  # fmt: skip


def test_a_default_is_marked_where_it_was_used_and_not_where_it_was_given(tmp_path: Path) -> None:
    assumed = data_of(run(tmp_path, ROOM, BASEBOARD + PRESENT, INVERTER))
    assert "rated efficiency†" in assumed["range"][0]
    assert "†" in dict(assumed["room"])["How it was found"]
    stated = ROOM.replace("balance_temp", 'gains = "excluded"\nbalance_temp')
    ranges = "[ranges]\nheat_pump_in_service = { low = 0.8, high = 0.95 }\n"
    given_all = data_of(run(tmp_path, stated, BASEBOARD + PRESENT, INVERTER, ranges))
    assert given_all["range"][0].replace("\u00a0", " ") == (
        "The range runs over heat pumps at 80 % to 95 % of their rated efficiency."
    )
    assert "†" not in dict(given_all["room"])["How it was found"]


def test_a_typical_year_alone_is_said_not_to_hold_the_spread_of_winters(demo: Comparison) -> None:
    assert "One typical year: the spread of winters is not in the range." in data_of(demo)["range"]


def test_names_day_question_and_paper_come_from_the_scenario_and_the_caller(
    tmp_path: Path,
) -> None:
    table = (
        '[handout]\nprepared_for = "A. Customer"\nprepared_by = "B. Engineer"\n'
        'date = 2026-05-01\nquestion = "Is it worth it?"\npaper = "a4"\nserves = "one room"\n'
        'load_source = "sheet of May"\n'
    )
    comparison = run(tmp_path, ROOM, BASEBOARD + PRESENT, INVERTER, table)
    own = page_data(make_sheet(comparison, us=True, settings=HandoutSettings()))
    assert own["head"]["date"] == "May 1, 2026"
    assert own["head"]["for"] == "Prepared for A. Customer"
    assert (own["question"]["text"], own["paper"]) == ("Is it worth it?", "a4")
    assert dict(own["room"])["How it was found"] == "sheet of May"
    other = data_of(comparison, prepared_for="C. Other", paper="us-letter")
    assert other["head"]["for"] == "Prepared for C. Other"
    assert other["head"]["by"] == "Prepared by B. Engineer"
    assert (other["head"]["date"], other["paper"]) == ("November 24, 2026", "us-letter")


def test_without_a_date_the_page_has_todays(demo: Comparison) -> None:
    today = date.today()
    data = page_data(make_sheet(demo, us=True, settings=HandoutSettings()))
    assert data["day"] in ([today.year, today.month, today.day], [DAY.year, DAY.month, DAY.day])
    assert str(today.year) in data["head"]["date"]


def test_paper_follows_the_units_where_none_is_named(demo: Comparison) -> None:
    assert page_data(sheet_of(demo, us=True))["paper"] == "us-letter"
    assert page_data(sheet_of(demo, us=False))["paper"] == "a4"
    with pytest.raises(InputError, match="legal"):
        data_of(demo, paper="legal")


@pytest.mark.parametrize(
    ("currency", "amount"), [("EUR", "€520"), ("NOK", "520\u00a0NOK"), ("USD", "$520")]
)
def test_money_stands_in_the_currency_of_the_scenario(
    tmp_path: Path, currency: str, amount: str
) -> None:
    head = f'currency = "{currency}"\n'
    sentences = data_of(run(tmp_path, head + ROOM, BASEBOARD + PRESENT, INVERTER))["answer"]
    assert amount in " ".join(sentences["sentences"])


def test_an_incentive_is_dated_and_may_end(tmp_path: Path) -> None:
    rebate = (
        'incentives = [{ name = "Rebate", amount = 400, source = "letter", as_of = 2026-02-01,'
        " ends = 2026-12-31 }]\n"
        'replaced_anyway = { name = "fuse box", cost = 300, year = 2 }\nnote = "south wall"\n'
    )
    notes = " ".join(
        data_of(run(tmp_path, ROOM, BASEBOARD + PRESENT, INVERTER + rebate))["buy"]["notes"]
    )
    assert "Rebate $400" in notes
    assert "source: letter, as of February 1, 2026; ends December 31, 2026" in notes
    assert "It may end or change." in notes
    assert "fuse box, $300, must be replaced in any case in year 2" in notes
    assert "Inverter: south wall" in notes


def test_a_room_that_is_only_cooled_has_no_coldest_day(tmp_path: Path) -> None:
    room = re.sub(r"\[room.heating\].*?\[price.elec", "[price.elec", ROOM, flags=re.S)
    split = INVERTER.replace("heating =", "cooling =")
    window = WINDOW.replace('"Window unit"\n', '"Window unit"\n' + PRESENT)
    data = data_of(run(tmp_path, room, split, window))
    assert data["cold"]["head"] == ""
    assert data["options"]["heating"] is False


def test_cautions_follow_what_the_options_are(tmp_path: Path) -> None:
    plain = " ".join(texts(data_of(run(tmp_path, ROOM, BASEBOARD + PRESENT, WINDOW))["lists"]))
    assert "refrigerant" not in plain.lower()
    assert "carbon monoxide" not in plain
    burning = " ".join(
        texts(data_of(run(tmp_path, ROOM, BASEBOARD + PRESENT, FURNACE, INVERTER))["lists"])
    )
    assert "carbon monoxide" in burning
    assert "Refrigerant work: a certified technician." in burning


def test_ten_options_leave_a_word_on_the_two_that_have_no_place(tmp_path: Path) -> None:
    more = [INVERTER.replace('"Inverter"', f'"Inverter {number}"') for number in range(9)]
    data = data_of(run(tmp_path, ROOM, BASEBOARD + PRESENT, *more))
    assert len(data["options"]["rows"]) == 8
    assert data["options"]["more"] == "and 2 more, see energymodel compare --details"
    assert data["options"]["rows"][0]["marks"] == "there now"


@given(
    low=st.floats(-20_000, 20_000, allow_subnormal=False),
    widths=st.tuples(st.floats(0, 5_000), st.floats(0, 5_000)),
)
def test_rounded_ranges_hold_the_true_ones(low: float, widths: tuple[float, float]) -> None:
    likely, high = low + widths[0], low + sum(widths)
    first, middle, last = rounded_range(low, likely, high)
    assert first <= middle <= last
    if first < last:
        assert first <= low
        assert high <= last


@given(
    extra=st.floats(1, 20_000),
    savings=st.tuples(*[st.floats(1, 2_000)] * 3).map(sorted),
)
def test_payback_is_extra_cost_over_saving_at_both_ends(extra: float, savings: list[float]) -> None:
    low, likely, high = savings
    years = PaybackRange(extra=extra, savings=(low, likely, high)).years
    # simple payback: 10 CFR 436.23 (quoted), nothing discounted
    assert years == pytest.approx((extra / high, extra / likely, extra / low))


def test_a_payback_without_a_saving_is_never() -> None:
    assert PaybackRange(extra=100.0, savings=(-5.0, 0.0, 20.0)).years == (5.0, None, None)
    assert PaybackRange(extra=0.0, savings=(0.0, 1.0, 2.0)).at_once
    assert PaybackRange(extra=-10.0, savings=(-1.0, 1.0, 2.0)).dearer_to_run
