"""A tariff in plain words, one sentence per charge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from energymodel.tariffs.charges import (
    MONTHS,
    Block,
    BlockCount,
    BlockPer,
    DemandBlock,
    DemandCharge,
    EnergyCharge,
    EnergyPeriod,
    FixedCharge,
    HourlyPrice,
    Measured,
    MinimumBill,
    PercentCharge,
    Ratchet,
    ReactiveCharge,
    Rider,
)
from energymodel.tariffs.export import Export, ExportRule
from energymodel.tariffs.holiday import HolidayAs, HolidayRule
from energymodel.tariffs.split_seasons import (
    DEMAND_BY_DAYS,
    LIMITS_OF_THE_BILL,
    LIMITS_OF_THE_SEASON,
    NO_RATCHET_OUTSIDE,
    is_seasonal,
    leaves_dates_out,
)
from energymodel.tariffs.tariff import Charge, Interruption, RoundedWhere, Tariff
from energymodel.tariffs.toml_amounts import shown_number, temperature_text
from energymodel.tariffs.toml_words import (
    date_text,
    days_words,
    hours_text,
    span_text,
)
from energymodel.tariffs.windows import EVERY_DAY, MONTH_NAMES, Window, with_leap_day


def tariff_words(tariff: Tariff) -> tuple[str, ...]:
    """Describe a tariff.

    Parameters
    ----------
    tariff
        The record.

    Returns
    -------
    tuple of str
        Full sentences, in the order of the bill.
    """
    return (
        *_calendar(tariff),
        *(sentence for charge in tariff.charges() for sentence in _charge(charge, tariff)),
        *(_interruption(rule) for rule in tariff.interruptions),
        _rounding(tariff),
    )


def _calendar(tariff: Tariff) -> Iterator[str]:
    too = with_leap_day(tariff.seasons)
    for season in tariff.seasons:
        spans = " and ".join(span_text(span) for span in season.spans)
        leap = ", 29 Feb too" if season.name in too else ""
        yield f"Season {season.name}: {spans}{leap}."
    if tariff.holidays is not None:
        yield _holidays(tariff.holidays)
    for allowance in tariff.baseline:
        inside = f" in {' and '.join(allowance.seasons)}" if allowance.seasons else ""
        yield f"Baseline: {shown_number(allowance.per_day)} {tariff.unit.name} a day{inside}."


def _holidays(rule: HolidayRule) -> str:
    days = []
    if rule.country:
        place = "-".join(part for part in (rule.country, rule.subdivision) if part)
        days.append(", ".join(rule.only) if rule.only else f"the public list of {place}")
    days += [str(day) for day in rule.dates]
    days += [date_text(month, day) for month, day in rule.every_year]
    billed = {
        HolidayAs.WEEKEND: "billed as weekends",
        HolidayAs.ORDINARY_DAY: "billed as the day of the week they fall on",
        HolidayAs.HOLIDAY: "days of their own kind",
    }[rule.count_as]
    return f"Holidays ({', '.join(days) or 'none'}): {billed}."


def _charge(charge: Charge, tariff: Tariff) -> Iterator[str]:
    unit = tariff.unit.name
    match charge:
        case FixedCharge():
            inside = f", in {' and '.join(charge.seasons)}" if charge.seasons else ""
            yield f"{charge.name}: {_money(charge.amount)} a {charge.per.value}{inside}."
        case EnergyCharge():
            yield from _energy(charge, tariff)
        case HourlyPrice():
            yield _hourly(charge, unit)
        case Rider():
            yield _rider(charge, unit)
        case DemandCharge():
            yield from _demand(charge, tariff)
        case ReactiveCharge():
            yield _reactive(charge)
        case Export():
            yield from _export(charge, unit)
        case MinimumBill():
            of = ", ".join(charge.of) or "everything above"
            least = f"{_money(charge.amount)} a {charge.per.value}"
            yield f"{charge.name}: at least {least} in all, counting {of}."
        case PercentCharge():
            of = ", ".join(charge.of) or "everything above"
            yield f"{charge.name}: {shown_number(charge.percent)} % of {of}."


def _money(amount: float) -> str:
    digits = shown_number(amount)
    whole, _, part = digits.partition(".")
    return f"{whole}.{part:0<2}" if "e" not in digits else digits


def _when(windows: Sequence[Window]) -> str:
    if not windows:
        return "all other hours"
    return "; ".join(_window(window) for window in windows)


def _window(window: Window) -> str:
    words = []
    if window.seasons:
        words.append(" and ".join(window.seasons))
    if window.days != EVERY_DAY:
        words.append(" and ".join(days_words(window.days)))
    if window.hours:
        words.append(" and ".join(hours_text(span) for span in window.hours) + " h")
    return " ".join(words) or "always"


def _limit(block: Block, unit: str) -> str:
    amount = shown_number(block.up_to or 0.0)
    match block.per:
        case BlockPer.BASELINE:
            return f"{amount} times the baseline"
        case BlockPer.KW:
            return f"{amount} {unit} per billed kW"
        case BlockPer.KW_AND_DAY:
            return f"{amount} {unit} per billed kW and day"
    return f"{amount} {unit} a {block.per.value}"


def _blocks(blocks: Sequence[Block], unit: str) -> str:
    if len(blocks) == 1:
        return f"{_money(blocks[0].price)} per {unit}"
    parts = [
        f"{_money(block.price)} up to {_limit(block, unit)}" for block in blocks if block.up_to
    ]
    return f"{', '.join(parts)}, {_money(blocks[-1].price)} above, per {unit}"


def _period_lines(name: str, periods: Sequence[EnergyPeriod], unit: str) -> Iterator[str]:
    for period in periods:
        label = f"{name}, {period.name}" if period.name else name
        when = f"; {_when(period.when)}" if len(periods) > 1 or period.when else ""
        yield f"{label}: {_blocks(period.blocks, unit)}{when}."


def _energy(charge: EnergyCharge, tariff: Tariff) -> Iterator[str]:
    yield from _period_lines(charge.name, charge.periods, tariff.unit.name)
    tiered = any(len(period.blocks) > 1 for period in charge.periods)
    if tiered and len(charge.periods) > 1:
        how = {
            BlockCount.MONTH_TOTAL: "the use of all periods fills the blocks together",
            BlockCount.TIME_ORDER: "blocks fill hour by hour from the first day of the bill",
            BlockCount.EACH_PERIOD: "each period fills blocks of its own",
        }[charge.count]
        if is_seasonal(charge, tariff) and charge.count is not BlockCount.TIME_ORDER:
            of_each = charge.count is BlockCount.EACH_PERIOD
            how += f"; {LIMITS_OF_THE_SEASON if of_each else LIMITS_OF_THE_BILL}"
        yield f"{charge.name}: {how}."


def _hourly(charge: HourlyPrice, unit: str) -> str:
    words = f"a price of its own for every hour, per {unit}"
    if charge.factor != 1.0:
        words += f", times {shown_number(charge.factor)}"
    if charge.adder:
        words += f", plus {_money(charge.adder)}"
    return f"{charge.name}: {words}."


def _rider(rider: Rider, unit: str) -> str:
    if len(set(rider.prices)) == 1:
        return f"{rider.name}: {_money(rider.prices[0])} per {unit}."
    by_month = ", ".join(f"{MONTH_NAMES[m - 1]} {_money(rider.price_of(m))}" for m in MONTHS)
    return f"{rider.name}, per {unit}: {by_month}."


def _demand_price(blocks: Sequence[DemandBlock]) -> str:
    if len(blocks) == 1:
        return f"{_money(blocks[0].price)} per kW"
    parts = [
        f"{_money(block.price)} up to {shown_number(block.up_to_kw)} kW"
        for block in blocks
        if block.up_to_kw is not None
    ]
    return f"{', '.join(parts)}, {_money(blocks[-1].price)} above, per kW"


def _demand(charge: DemandCharge, tariff: Tariff) -> Iterator[str]:
    over = {
        Measured.BILL: "of the bill",
        Measured.CALENDAR_MONTH: "of the calendar month",
        Measured.DAY: "of each day, added up",
    }[charge.measured]
    what = f"the highest {charge.interval_min} minutes {over}"
    if charge.at:
        what = f"the mean in {len(charge.at)} hours of the system's peak"
    for period in charge.periods:
        label = f"{charge.name}, {period.name}" if period.name else charge.name
        when = f"; {_when(period.when)}" if len(charge.periods) > 1 or period.when else ""
        yield f"{label}: {_demand_price(period.blocks)} of {what}{when}."
    if charge.ratchet is not None:
        yield f"{charge.name}: {_ratchet(charge.ratchet)}."
    if charge.minimum_kw:
        yield f"{charge.name}: at least {shown_number(charge.minimum_kw)} kW are billed."
    if is_seasonal(charge, tariff) and charge.measured is not Measured.DAY:
        yield f"{charge.name}: {DEMAND_BY_DAYS}."
    if charge.ratchet is not None and leaves_dates_out(charge, tariff):
        yield f"{charge.name}: {NO_RATCHET_OUTSIDE}."


def _ratchet(ratchet: Ratchet) -> str:
    shares = sorted(set(ratchet.percents))
    share = shown_number(shares[0]) if len(shares) == 1 else f"{shares[0]:g} to {shares[-1]:g}"
    inside = ""
    if ratchet.months != MONTHS:
        inside = " in " + ", ".join(MONTH_NAMES[month - 1] for month in ratchet.months)
    return f"at least {share} % of the highest of the {ratchet.look_back} bills before{inside}"


def _reactive(charge: ReactiveCharge) -> str:
    above = ""
    if charge.allowance_kvar_per_kw:
        above = f" above {shown_number(charge.allowance_kvar_per_kw)} kvar per kW"
    return f"{charge.name}: {_money(charge.price)} per kvar{above}."


_RULES = {
    ExportRule.NET_METERING: "what is fed in is taken off the use of the bill, period by period,"
    " in energy; what is left is kept for later bills",
    ExportRule.NET_BILLING: "nothing is set off: what the meter counts in costs its price, what it"
    " counts out earns the export price",
    ExportRule.HOURLY_NET_BILLING: "in and out are set off within each hour; the net of the hour"
    " costs its price or earns the export price",
    ExportRule.SELL_ALL: "all use is bought at its price, all generation sold at the export price",
}


def _export(export: Export, unit: str) -> Iterator[str]:
    month = MONTH_NAMES[export.true_up_month - 1]
    yield f"{export.name}: {export.rule.value}, settled with the bill in which {month} ends."
    yield f"{export.name}: {_RULES[export.rule]}."
    if export.rule is ExportRule.NET_METERING:
        yield f"{export.name}: {_money(export.surplus_price)} per {unit} that is left then."
    else:
        yield from _period_lines(export.name, export.periods, unit)
        if export.of:
            yield f"{export.name}: the credit pays {', '.join(export.of)} only."
        yield f"{export.name}: credit that is left then is {export.left.value}."
    for step in export.size_steps:
        share, size = shown_number(step.percent), shown_number(step.below_kw)
        yield f"{export.name}: {share} % for generators below {size} kW (exactly {size} is above)."
    if export.cap_percent is not None:
        cap = shown_number(export.cap_percent)
        yield f"{export.name}: at most {cap} % of the use of the year before."


def _interruption(rule: Interruption) -> str:
    words = [_when(rule.when)] if rule.when else []
    if rule.below_c is not None:
        words.append(f"outdoors at or below {temperature_text(rule.below_c)}")
    if rule.above_c is not None:
        words.append(f"outdoors at or above {temperature_text(rule.above_c)}")
    return f"{rule.name}: no supply {', '.join(words) or 'at any time'}."


def _rounding(tariff: Tariff) -> str:
    where = "each line" if tariff.rounding.where is RoundedWhere.EACH_LINE else "the total only"
    return (
        f"Rounding: {where}, to {tariff.rounding.decimals} decimals, half away from zero; amounts a"
        f" month are due {tariff.monthly_amounts.value}."
    )
