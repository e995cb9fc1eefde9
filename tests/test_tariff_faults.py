"""Faults of tariff files: one message each, in the words of the file, at the right key."""

from __future__ import annotations

import pytest

from energymodel.errors import InputError, ManyFaultsError
from energymodel.tariffs.toml_form import tariff_from_toml

FLAT = 'name = "flat"\n[[energy]]\nname = "Energy"\nprice = 0.1\n'


@pytest.mark.parametrize(
    ("text", "words_"),
    [
        ("a = " + "[" * 100_000, "nested too deeply"),
        ("a = " + "1" * 5000, "too many digits"),
        ('[place]\nweather = "w"\n[[option]]\nname = "o"\n', "this is a scenario, not a tariff"),
    ],
)
def test_texts_that_are_no_tariffs_are_told_in_one_message(text: str, words_: str) -> None:
    with pytest.raises(InputError, match=words_) as refused:
        tariff_from_toml(text, where="x.toml")
    assert refused.value.where == "x.toml"


@pytest.mark.parametrize(
    ("holidays", "place", "words_"),
    [
        ('country = "US"\nonly = ["Thanksgiving"]', "holidays.only", "Thanksgiving Day"),
        ('country = "Narnia"', "holidays.country", "there is no list of holidays"),
        ('country = "CA"\nsubdivision = "XX"', "holidays.country", "there is no list"),
        ('only = ["Christmas Day"]', "holidays.only", "without a country"),
        ('every_year = ["31 Feb"]', "holidays.every_year", "is not a date"),
    ],
)
def test_holidays_are_looked_up_when_the_file_is_read(
    holidays: str, place: str, words_: str
) -> None:
    with pytest.raises(ManyFaultsError) as refused:
        tariff_from_toml(f"{FLAT}[holidays]\n{holidays}", where="rate.toml")
    assert str(refused.value).startswith(f"rate.toml: {place}: ")
    assert words_ in str(refused.value)


def test_one_fault_of_the_holidays_does_not_make_their_other_keys_unknown() -> None:
    text = FLAT + '[holidays]\nevery_year = ["Jul 4"]\nobserved = false\ncount_as = "holiday"\n'
    with pytest.raises(ManyFaultsError) as refused:
        tariff_from_toml(text)
    assert [fault.where for fault in refused.value.faults] == ["holidays.every_year"]


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("blocks = [{ up_to = 100, price = 1 }, { price = 2 }]\n", "blocks[1].up_to"),
        ("price = 1\n[[baseline]]\nper_day = 9\n", "baseline[1].per_day"),
        ("price = 1\n[[baseline]]\n", "baseline[1].per_day"),
        ('price = 1\n[[fixed]]\nname = "F"\nprice = { a = 1 }\n', "price"),
    ],
)
def test_a_value_of_the_wrong_kind_is_one_fault_in_the_words_of_the_file(
    text: str, place: str
) -> None:
    with pytest.raises(ManyFaultsError) as refused:
        tariff_from_toml(f'name = "t"\n[[energy]]\nname = "E"\n{text}')
    assert len(refused.value.faults) == 1
    assert refused.value.faults[0].where.endswith(place)
    assert "{" not in refused.value.faults[0].what
