"""Tariff files: read strictly with all faults at once, written back exactly."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.errors import InputError, ManyFaultsError
from energymodel.tariffs.charges import (
    Block,
    BlockCount,
    BlockPer,
    DemandBlock,
    DemandCharge,
    DemandPeriod,
    EnergyCharge,
    EnergyPeriod,
    FixedCharge,
    HourlyPrice,
    Measured,
    MinimumBill,
    Per,
    PercentCharge,
    Ratchet,
    ReactiveCharge,
    Rider,
)
from energymodel.tariffs.export import CreditKept, CreditLeft, Export, ExportRule, SizeStep
from energymodel.tariffs.holiday import HolidayAs, HolidayRule
from energymodel.tariffs.sale_unit import SaleUnit, sale_unit
from energymodel.tariffs.tariff import (
    BaselineAllowance,
    Interruption,
    MonthlyAmounts,
    RoundedWhere,
    Rounding,
    Tariff,
)
from energymodel.tariffs.toml_form import (
    read_tariff,
    tariff_from_toml,
    tariff_to_toml,
    write_tariff,
)
from energymodel.tariffs.windows import WEEKDAYS, DayKind, HourSpan, Season, Span, Window

FLAT = 'name = "flat"\n[[energy]]\nname = "Energy"\nprice = 0.1\n'

money = st.floats(-10, 10, allow_nan=False).map(float)
positive = st.floats(0.001, 1e5, allow_nan=False)
words = st.text("abcdefghij KLMNOP-,.'\"äß", min_size=1, max_size=12).filter(str.strip)
names = st.lists(words, min_size=12, max_size=12, unique=True)
dates = st.dates(date(2000, 1, 1), date(2060, 12, 31))


@st.composite
def _windows(draw: st.DrawFn, season: str, hour: int) -> Window:
    """A window that no other one of the same hour overlaps."""
    days = draw(st.sets(st.sampled_from(list(DayKind)), min_size=1))
    return Window(
        seasons=draw(st.sampled_from([(), (season,)])),
        days=frozenset(days),
        hours=(HourSpan(from_minute=hour * 60, to_minute=hour * 60 + draw(st.integers(1, 60))),),
    )


@st.composite
def _blocks(draw: st.DrawFn) -> tuple[Block, ...]:
    per = draw(st.sampled_from(list(BlockPer)))
    limits = sorted(draw(st.sets(positive, max_size=3)))
    tiers = [Block(price=draw(money), up_to=limit, per=per) for limit in limits]
    return (*tiers, Block(price=draw(money)))


@st.composite
def _energy(draw: st.DrawFn, name: str, season: str) -> EnergyCharge:
    if draw(st.booleans()):
        return EnergyCharge(name=name, periods=(EnergyPeriod(blocks=draw(_blocks())),))
    priced = [
        EnergyPeriod(name=f"p{h}", blocks=draw(_blocks()), when=(draw(_windows(season, h)),))
        for h in draw(st.sets(st.integers(0, 22), min_size=1, max_size=3))
    ]
    count = draw(st.sampled_from([BlockCount.MONTH_TOTAL, BlockCount.EACH_PERIOD]))
    rest = EnergyPeriod(name="rest", blocks=draw(_blocks()))
    return EnergyCharge(name=name, periods=(*priced, rest), count=count)


@st.composite
def _demand(draw: st.DrawFn, name: str, season: str) -> DemandCharge:
    limits = sorted(draw(st.sets(positive, max_size=2)))
    blocks = (
        *(DemandBlock(price=draw(money), up_to_kw=limit) for limit in limits),
        DemandBlock(price=draw(money)),
    )
    ratchet = Ratchet(
        percents=tuple(draw(st.lists(st.floats(0, 100), min_size=12, max_size=12))),
        look_back=draw(st.integers(1, 24)),
        months=tuple(sorted(draw(st.sets(st.integers(1, 12), min_size=1)))),
    )
    when = draw(st.sampled_from([(), (Window(seasons=(season,), days=WEEKDAYS),)]))
    return DemandCharge(
        name=name,
        periods=(DemandPeriod(blocks=blocks, when=when),),
        interval_min=draw(st.sampled_from([15, 30, 60])),
        measured=draw(st.sampled_from(list(Measured))),
        ratchet=draw(st.sampled_from([None, ratchet])),
        minimum_kw=draw(st.sampled_from([0.0, 12.5])),
        at=draw(st.sampled_from([(), (datetime(2024, 7, 16, 17),)])),
    )


@st.composite
def _export(draw: st.DrawFn, name: str) -> Export:
    rule = draw(st.sampled_from(list(ExportRule)))
    netted = rule is ExportRule.NET_METERING
    flat = (EnergyPeriod(blocks=(Block(price=draw(money)),)),)
    return Export(
        name=name,
        rule=rule,
        periods=() if netted else flat,
        size_steps=draw(st.sampled_from([(), (SizeStep(below_kw=10.0, percent=60.0),)])),
        cap_percent=draw(st.sampled_from([None, 120.0])),
        true_up_month=draw(st.integers(1, 12)),
        surplus_price=draw(money),
        kept=draw(st.sampled_from(list(CreditKept))),
        left=draw(st.sampled_from(list(CreditLeft))),
    )


@st.composite
def tariffs(draw: st.DrawFn) -> Tariff:
    name = draw(names)
    season = name[0]
    holidays = HolidayRule(
        country="US",
        only=("Labor Day",),
        dates=(draw(dates),),
        every_year=((12, 24), (2, 29)),
        observed=draw(st.booleans()),
        count_as=draw(st.sampled_from(list(HolidayAs))),
    )
    return Tariff(
        name=draw(words),
        utility=draw(st.sampled_from(["", "a co-operative"])),
        source=draw(words),
        currency=draw(st.sampled_from(["USD", "CAD"])),
        unit=draw(st.sampled_from([SaleUnit(), sale_unit("ccf", factor="1.037 therm/ccf")])),
        effective=draw(dates),
        seasons=(
            Season(
                name=season,
                spans=(
                    Span(from_month=11, from_day=draw(st.integers(1, 30)), to_month=2, to_day=29),
                ),
            ),
        ),
        holidays=draw(st.sampled_from([None, holidays])),
        baseline=(BaselineAllowance(per_day=draw(positive), seasons=(season,)),),
        fixed=(
            FixedCharge(
                name=name[1],
                amount=draw(money),
                per=draw(st.sampled_from(list(Per))),
                seasons=draw(st.sampled_from([(), (season,)])),
            ),
        ),
        energy=(draw(_energy(name[2], season)),),
        riders=(
            Rider(name=name[3], prices=(draw(money),)),
            Rider(name=name[4], prices=tuple(draw(st.lists(money, min_size=12, max_size=12)))),
        ),
        demand=(draw(_demand(name[5], season)),),
        reactive=(ReactiveCharge(name=name[6], price=draw(money), allowance_kvar_per_kw=0.4),),
        export=draw(st.one_of(st.none(), _export(name[7]))),
        minimum=(MinimumBill(name=name[8], amount=draw(positive), of=(name[1],)),),
        percents=(PercentCharge(name=name[9], percent=draw(money), of=(name[2], name[8])),),
        interruptions=(
            Interruption(
                name=name[10],
                when=(draw(_windows(season, 5)),),
                below_c=draw(st.floats(-40, 20)),
                above_c=draw(st.sampled_from([None, -15.0])),
            ),
        ),
        rounding=Rounding(where=draw(st.sampled_from(list(RoundedWhere))), decimals=3),
        monthly_amounts=draw(st.sampled_from(list(MonthlyAmounts))),
    )


@settings(max_examples=40, deadline=None)
@given(tariff=tariffs())
def test_a_tariff_written_and_read_is_the_same_tariff(tariff: Tariff) -> None:
    assert tariff_from_toml(tariff_to_toml(tariff)) == tariff


def test_hourly_prices_keep_their_file_factor_and_adder() -> None:
    tariff = Tariff(
        name="market",
        hourly=(HourlyPrice(name="Market", file="prices.csv", factor=1.05, adder=0.01),),
    )
    assert tariff_from_toml(tariff_to_toml(tariff)) == tariff


def test_all_faults_are_told_at_once_with_their_path() -> None:
    text = """
    name = "faults"
    colour = "red"
    effective = "2024-01-01"
    [seasons]
    summer = "1 May until 31 Oct"
    winter = "31 Feb to 1 Mar"
    [[fixed]]
    name = "Customer charge"
    price = "14.00"
    [[energy]]
    name = "Energy"
    [[energy.period]]
    name = "on-peak"
    price = true
    when = { days = "workdays", hours = "7-11h", sesons = "summer" }
    [[energy.period]]
    name = "off-peak"
    blocks = [{ up_to = "600 therm per month", price = 0.1 }, { up_to = "600 kWh", price = 0.1 }]
    [[demand]]
    name = "Demand"
    price = 5
    blocks = [{ price = 5 }]
    interval = "quarter"
    [export]
    rule = "give away"
    [[percent]]
    name = "Tax"
    """
    with pytest.raises(ManyFaultsError) as refused:
        tariff_from_toml(text, where="rate.toml")
    shown = str(refused.value)
    assert shown.startswith("rate.toml: 15 faults found:")
    for words_ in (
        'effective: "2024-01-01" will not do.\n  expected: a date without quotes',
        'seasons.summer: "1 May until 31 Oct" is not a span of dates',
        "seasons.winter: month 2, day 31 is not a date",
        'fixed[1] ("Customer charge").price: "14.00" is not an amount with its time',
        'energy[1] ("Energy").period[1] ("on-peak").price: true will not do',
        'when[1].days: "workdays" is not a kind of day',
        'when[1].hours: "7-11h" is not a span of hours',
        'when[1].sesons: the key "sesons" is not known here',
        'did you mean "seasons"?',
        "blocks[1].up_to: a limit in therm, and the tariff counts kWh",
        'blocks[2].up_to: "600 kWh" is not the limit of a block',
        'demand[1] ("Demand"): either price or blocks',
        'interval: "quarter" will not do',
        'export.rule: "give away" is not one of the choices',
        'percent[1] ("Tax").percent: this is missing',
        'colour: the key "colour" is not known here',
    ):
        assert words_ in shown, words_


@pytest.mark.parametrize(
    ("text", "words_"),
    [
        ('[[percent]]\nname = "T"\npercent = 1\nof = ["Fuel"]', '"Fuel" is not a charge above it'),
        ('[[fixed]]\nname = "Energy"\nprice = "1 per day"', 'two charges are called "Energy"'),
        (
            '[[fixed]]\nname = "F"\nprice = "1 per day"\nseasons = "spring"',
            'the season "spring" is not defined',
        ),
        (
            '[[energy]]\nname = "E"\nblocks = [{ up_to = "2 x baseline", price = 1 },'
            " { price = 2 }]",
            "blocks of the baseline without",
        ),
        (
            '[[energy]]\nname = "E"\nblocks = [{ up_to = "9 kWh per month", price = 1 }]',
            "the last block has a limit",
        ),
        (
            '[[energy]]\nname = "E"\nblocks = [{ up_to = "9 kWh per day", price = 1 },'
            ' { up_to = "8 kWh per day", price = 1 }, { price = 2 }]',
            "do not rise",
        ),
        (
            '[[energy]]\nname = "E"\n[[energy.period]]\nname = "a"\nprice = 1\n'
            'when = { hours = "7-19" }',
            "0:00 on a Monday (if 1 Jan is one) lies in no period",
        ),
        (
            '[[energy]]\nname = "E"\n[[energy.period]]\nname = "a"\nprice = 1\n'
            'when = { hours = "7-19" }\n[[energy.period]]\nname = "b"\nprice = 1\n'
            'when = { days = "Sat", hours = "18-20" }\n[[energy.period]]\nname = "c"\nprice = 1',
            '18:00 on a Saturday (if 1 Jan is one) lies in "a" and in "b"',
        ),
        (
            '[[energy]]\nname = "E"\n[[energy.period]]\nname = "a"\nprice = 1\n'
            '[[energy.period]]\nname = "b"\nprice = 1',
            "two periods without `when`",
        ),
        ('[[rider]]\nname = "R"\nprice = [1, 2]', "2 prices"),
        (
            '[export]\nrule = "net billing"\nblocks = [{ up_to = "9 kWh per day", price = 1 },'
            " { price = 2 }]",
            "an export price has one block",
        ),
    ],
)
def test_contradictions_are_refused_in_words(text: str, words_: str) -> None:
    with pytest.raises(ManyFaultsError) as refused:
        tariff_from_toml(FLAT + text)
    assert words_ in str(refused.value)


def test_a_tariff_without_charges_or_out_of_time_is_refused() -> None:
    with pytest.raises(ManyFaultsError, match="no charge"):
        tariff_from_toml('name = "empty"')
    with pytest.raises(ManyFaultsError, match="expires before"):
        tariff_from_toml("effective = 2024-01-01\nexpires = 2023-01-01\n" + FLAT)


def test_files_are_read_with_a_byte_order_mark_and_never_overwritten_unasked(
    tmp_path: Path,
) -> None:
    path = tmp_path / "rate.toml"
    path.write_text("\ufeff" + FLAT, encoding="utf-8")
    tariff = read_tariff(path)
    with pytest.raises(InputError, match="this file exists"):
        write_tariff(tariff, path)
    assert read_tariff(write_tariff(tariff, path, replace=True)) == tariff
    assert [one.name for one in tmp_path.iterdir()] == ["rate.toml"]
    with pytest.raises(InputError, match="no folder"):
        write_tariff(tariff, tmp_path / "there" / "rate.toml")


def test_files_that_are_no_tariffs_are_refused_with_the_place(tmp_path: Path) -> None:
    path = tmp_path / "broken.toml"
    path.write_text('name = "x\n')
    with pytest.raises(InputError, match="at line 1"):
        read_tariff(path)
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="not a text file"):
        read_tariff(path)
    with pytest.raises(InputError, match="no such file"):
        read_tariff(tmp_path / "missing.toml")
    with pytest.raises(InputError, match="this is a folder"):
        read_tariff(tmp_path)
    path.write_bytes(b"#" * 2_000_001)
    with pytest.raises(InputError, match="the file is too large"):
        read_tariff(path)
