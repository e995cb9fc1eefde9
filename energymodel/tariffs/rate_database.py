"""Tariffs from records of the open US utility rate database.

What the format leaves undefined becomes a named choice, and each choice that was taken is listed
with the tariff: no holidays, hours only, no seasons inside a month, tiers over several periods,
the meaning of a ratchet, units that are missing, no taxes.

References
----------
OpenEI, Utility Rate Database, API version 7, openei.org/services/doc/rest/util_rates.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.tariffs.charges import (
    Block,
    EnergyCharge,
    EnergyPeriod,
    FixedCharge,
    MinimumBill,
    Per,
    ReactiveCharge,
    Rider,
)
from energymodel.tariffs.export import Export, ExportRule
from energymodel.tariffs.rate_choices import RateChoices
from energymodel.tariffs.rate_demand import ImportedDemand, demand_of
from energymodel.tariffs.rate_record import RateRecord, Tier
from energymodel.tariffs.rate_schedule import Schedule, schedule_of
from energymodel.tariffs.rate_tiers import blocks_of
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.windows import Season

_PERIODS = {"$/day": Per.DAY, "$/month": Per.MONTH, "$/year": Per.YEAR}
_FEED_IN = {
    "Net Metering": ExportRule.NET_METERING,
    "Net Billing Instantaneous": ExportRule.NET_BILLING,
    "Net Billing Hourly": ExportRule.HOURLY_NET_BILLING,
    "Buy All Sell All": ExportRule.SELL_ALL,
}
_NOON = timedelta(hours=12)


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportedTariff:
    """A tariff and what had to be chosen to make it.

    Parameters
    ----------
    tariff
        Ready to bill.
    record
        The fields it was made from.
    notices
        Every choice that was taken, every field that is not used.
    """

    tariff: Tariff
    record: RateRecord
    notices: tuple[Notice, ...]


def tariff_from_record(record: RateRecord, choices: RateChoices | None = None) -> ImportedTariff:
    """Make a tariff of a record.

    Parameters
    ----------
    record
        Checked fields.
    choices
        What the database leaves undefined; None: the usual choices.

    Returns
    -------
    ImportedTariff
        With the list of choices.

    Raises
    ------
    InputError
        If a unit is not known or a field cannot be billed.
    ManyFaultsError
        If the record contradicts itself.
    """
    chosen = choices or RateChoices()
    remarks: list[str] = []
    schedule = schedule_of(record.weekday, record.weekend, chosen.season_first_days)
    demand = demand_of(record, chosen)
    tariff = Tariff(
        name=record.texts.get("name") or record.texts.get("label") or "rate",
        utility=record.texts.get("utility", ""),
        source=_source(record),
        conditions=_conditions(record),
        currency=chosen.currency,
        effective=_date(record.start, chosen.zone, remarks),
        expires=_date(record.end, chosen.zone, remarks),
        seasons=_seasons(schedule, demand),
        holidays=chosen.holidays,
        fixed=_fixed(record, remarks),
        energy=_energy(record, schedule, demand, chosen, remarks),
        riders=_riders(record),
        demand=demand.charges,
        reactive=_reactive(record),
        export=_export(record, schedule, remarks),
        minimum=_minimum(record, remarks),
        rounding=chosen.rounding,
    )
    remarks += [*demand.remarks, *_gaps(tariff, record, chosen)]
    notices = (
        *_without_rate(record),
        *(Notice(topic="rate database", text=text) for text in dict.fromkeys(remarks)),
    )
    return ImportedTariff(tariff=tariff, record=record, notices=notices)


def _without_rate(record: RateRecord) -> tuple[Notice, ...]:
    if not record.without_rate:
        return ()
    places = ", ".join(record.without_rate)
    text = f"No rate is given in {places}: it is taken as 0 there, as chosen; energy may be free."
    return (Notice(topic="check", text=text),)


def _source(record: RateRecord) -> str:
    label = record.texts.get("label", "")
    parts = [record.texts.get("source", ""), record.texts.get("uri", "")]
    if label:
        parts.append(f"rate database label {label}")
    return "; ".join(part for part in parts if part)


def _conditions(record: RateRecord) -> str:
    parts = [record.texts.get("sector", ""), record.texts.get("servicetype", "")]
    parts += [f"{key} {value}" for key, value in record.eligibility.items()]
    return ", ".join(part for part in parts if part)


def _date(when: float | str | None, zone: str | None, remarks: list[str]) -> date | None:
    """Local date of a moment stored as local midnight, an hour off where clocks changed."""
    if when is None:
        return None
    if isinstance(when, str):
        try:
            return datetime.fromisoformat(when.strip()).date()
        except ValueError:
            raise InputError(f"{when!r} is not a date", expected="2013-07-01") from None
    moment = datetime.fromtimestamp(when, tz=UTC)
    if zone is None:
        remarks.append(
            "No time zone is given: dates are those of UTC, which hold for local midnight in the"
            " Americas."
        )
        return moment.date()
    return (moment.astimezone(ZoneInfo(zone)).replace(tzinfo=None) + _NOON).date()


def _seasons(schedule: Schedule, demand: ImportedDemand) -> tuple[Season, ...]:
    return tuple({season.name: season for season in (*schedule.seasons, *demand.seasons)}.values())


def _per(units: str, name: str, remarks: list[str]) -> Per:
    if not units:
        remarks.append(f"{name}: no unit is given: $/month is taken.")
        return Per.MONTH
    if units not in _PERIODS:
        raise InputError(f"the unit {units!r}", where=name, expected=", ".join(_PERIODS))
    return _PERIODS[units]


def _fixed(record: RateRecord, remarks: list[str]) -> tuple[FixedCharge, ...]:
    if record.additional_meter:
        remarks.append(
            f"The charge of {record.additional_meter:g} for each further meter is not billed."
        )
    if not record.fixed:
        return ()
    per = _per(record.fixed_units, "Fixed charge", remarks)
    return (FixedCharge(name="Fixed charge", amount=record.fixed, per=per),)


def _minimum(record: RateRecord, remarks: list[str]) -> tuple[MinimumBill, ...]:
    found = []
    if record.minimum:
        per = _per(record.minimum_units, "Minimum charge", remarks)
        found.append(MinimumBill(name="Minimum charge", amount=record.minimum, per=per))
    if record.minimum_year:
        found.append(
            MinimumBill(name="Minimum charge of a year", amount=record.minimum_year, per=Per.YEAR)
        )
    return tuple(found)


def _energy(
    record: RateRecord,
    schedule: Schedule,
    demand: ImportedDemand,
    choices: RateChoices,
    remarks: list[str],
) -> tuple[EnergyCharge, ...]:
    if not record.energy:
        return ()
    several = len(schedule.windows) > 1
    unused = len(record.energy) - len(schedule.windows)
    if unused:
        remarks.append(f"{unused} energy periods are in no schedule and are left out.")
    periods = tuple(
        EnergyPeriod(
            name=f"period {number}" if several else "",
            blocks=blocks_of(record.energy[number], remarks, where=f"energy period {number}"),
            when=windows,
        )
        for number, windows in schedule.windows.items()
    )
    if several and any(len(period.blocks) > 1 for period in periods):
        remarks.append(
            f"Tiers over several periods fill up by {choices.count.value}; the database does not"
            " say how."
        )
    names = [charge.name for charge in demand.charges]
    return (
        EnergyCharge(
            name="Energy",
            periods=periods,
            count=choices.count,
            demand=names[0] if names and _per_kw(periods) else "",
        ),
    )


def _per_kw(periods: tuple[EnergyPeriod, ...]) -> bool:
    return any("kW" in block.per.value for period in periods for block in period.blocks)


def _riders(record: RateRecord) -> tuple[Rider, ...]:
    if not any(record.fuel_adjustments):
        return ()
    prices = record.fuel_adjustments
    return (Rider(name="Fuel adjustment", prices=prices if len(set(prices)) > 1 else prices[:1]),)


def _reactive(record: RateRecord) -> tuple[ReactiveCharge, ...]:
    if not record.reactive_price:
        return ()
    return (ReactiveCharge(name="Reactive demand", price=record.reactive_price),)


def _export(record: RateRecord, schedule: Schedule, remarks: list[str]) -> Export | None:
    if record.feed_in and record.feed_in not in _FEED_IN:
        raise InputError(
            f"the rule {record.feed_in!r}", where="dgrules", expected=", ".join(_FEED_IN)
        )
    sells = any(tier.sell for tiers in record.energy for tier in tiers)
    if not record.feed_in:
        if record.net_metering:
            return Export(rule=ExportRule.NET_METERING)
        if sells:
            remarks.append("Prices for feed-in are given without a rule and are left out.")
        return None
    rule = _FEED_IN[record.feed_in]
    if rule is ExportRule.NET_METERING:
        return Export(rule=rule)
    several = len(schedule.windows) > 1
    periods = tuple(
        EnergyPeriod(
            name=f"period {number}" if several else "",
            blocks=(Block(price=_sell(record.energy[number], number, remarks)),),
            when=windows,
        )
        for number, windows in schedule.windows.items()
    )
    return Export(rule=rule, periods=periods)


def _sell(tiers: tuple[Tier, ...], number: int, remarks: list[str]) -> float:
    given = [tier.sell for tier in tiers if tier.sell is not None]
    if not given:
        remarks.append(f"energy period {number}: no price for feed-in is given: 0 is taken.")
        return 0.0
    if len(set(given)) > 1:
        remarks.append(f"energy period {number}: feed-in takes the price of the first tier.")
    return given[0]


def _gaps(tariff: Tariff, record: RateRecord, choices: RateChoices) -> list[str]:
    remarks = ["The database holds no taxes: add percent lines where they are due."]
    if tariff.needs_clock:
        remarks.append(
            "Schedules have whole hours; an interval takes the period of the hour in which it"
            " starts."
        )
        remarks.append(
            "Holidays are billed as weekends."
            if choices.holidays is not None
            else "The database lists no holidays, and none are chosen."
        )
    if tariff.seasons and not choices.season_first_days:
        remarks.append(
            "Seasons begin on the first of a month; if the tariff sheet breaks them inside one,"
            " give the first days."
        )
    if record.unread:
        remarks.append("Fields that are not used: " + ", ".join(record.unread) + ".")
    return remarks
