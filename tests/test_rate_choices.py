"""What a rate record leaves open: tiers without a rate, horsepower, choices in words."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from energymodel.errors import InputError, ManyFaultsError
from energymodel.tariffs.charges import BlockCount
from energymodel.tariffs.holiday import HolidayRule
from energymodel.tariffs.rate_choice_words import read_choices
from energymodel.tariffs.rate_choices import MissingRate, RatchetIn, RateChoices
from energymodel.tariffs.rate_database import tariff_from_record
from energymodel.tariffs.rate_record import read_record
from energymodel.tariffs.words import tariff_words

# inputs quoted from public data of the database, label 539f6a23ec4f024411ec8bf9
INDUSTRIAL: dict[str, Any] = json.loads(
    (Path(__file__).parent / "rates" / "industrial.json").read_text()
)


@pytest.mark.parametrize(
    "tier", [{"max": 500}, {"max": 500, "adj": 0.01}, {"max": 500, "rate": None}]
)
def test_a_tier_without_a_rate_is_refused_until_zero_is_chosen(tier: dict[str, Any]) -> None:
    # the format's documentation names no default for a rate that is missing (our rule)
    content = {"name": "r", "energyratestructure": [[tier, {"rate": 0.2}]]}
    with pytest.raises(ManyFaultsError) as refused:
        read_record(content, where="rate.json")
    assert "rate.json: energyratestructure[0][0].rate: this is missing" in str(refused.value)
    assert "energymodel tariff rate.json --choose missing-rate=zero" in str(refused.value)
    found = tariff_from_record(read_record(content, missing_rate=MissingRate.ZERO))
    assert found.tariff.energy[0].periods[0].blocks[0].price == tier.get("adj", 0.0)
    assert found.notices[0].topic == "check"
    assert "No rate is given in energyratestructure[0][0]" in found.notices[0].text


def test_a_demand_tier_without_a_rate_is_refused_too() -> None:
    content = {**INDUSTRIAL, "flatdemandstructure": [[{"adj": 1.0}], [{"rate": 1.0}]]}
    with pytest.raises(ManyFaultsError, match=r"flatdemandstructure\[0\]\[0\].rate"):
        read_record(content)


def test_prices_per_horsepower_are_converted_with_a_notice() -> None:
    content = {**INDUSTRIAL, "flatdemandunit": "hp", "flatdemandstructure": [[{"rate": 5.0}]] * 2}
    found = tariff_from_record(read_record(content))
    price = found.tariff.demand[0].periods[0].blocks[0].price
    assert price == pytest.approx(5.0 / 0.745699872)  # 550 ft lbf/s (from memory)
    assert any("1 hp = 0.7457 kW" in notice.text for notice in found.notices)
    assert any("6.70511 per kW" in sentence for sentence in tariff_words(found.tariff))


def test_choices_are_read_in_words() -> None:
    words = ["ratchet=percent", "look-back=3", "tiers=time order", "holidays=CA-ON",
             "season-begins=15 Apr", "season-begins=20 Oct", "power-factor=0.9",
             "missing-rate=zero", "demand-window=30", "currency=CAD"]  # fmt: skip
    assert read_choices(words, zone="America/Toronto") == RateChoices(
        ratchet_in=RatchetIn.PERCENT,
        look_back=3,
        count=BlockCount.TIME_ORDER,
        holidays=HolidayRule(country="CA", subdivision="ON"),
        season_first_days={4: 15, 10: 20},
        power_factor=0.9,
        missing_rate=MissingRate.ZERO,
        demand_window_min=30,
        currency="CAD",
        zone="America/Toronto",
    )


@pytest.mark.parametrize(
    ("word", "fault"),
    [
        ("ratchets=percent", 'did you mean "ratchet"?'),
        ("ratchet=per cent", "fraction, percent"),
        ("look-back=0", "a whole number from 1 to 24"),
        ("power-factor=1.2", "above 0, at most 1"),
        ("holidays=XX", "no list of holidays"),
        ("season-begins=May", "is not a date"),
    ],
)
def test_choices_that_are_none_are_refused(word: str, fault: str) -> None:
    with pytest.raises(InputError) as refused:
        read_choices([word], zone=None)
    assert fault in str(refused.value)
