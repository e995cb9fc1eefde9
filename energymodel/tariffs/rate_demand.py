"""Demand fields of a rate record into demand charges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from energymodel.errors import InputError
from energymodel.tariffs.charges import (
    MONTHS,
    DemandBlock,
    DemandCharge,
    DemandPeriod,
    Measured,
    Ratchet,
)
from energymodel.tariffs.rate_choices import RatchetIn, RateChoices, how_to_choose
from energymodel.tariffs.rate_record import DemandFields, RatchetFields, RateRecord, Tier
from energymodel.tariffs.rate_schedule import schedule_of
from energymodel.tariffs.rate_tiers import tier_price
from energymodel.tariffs.windows import Season

KW_PER_HP = 0.745699872
"""Mechanical horsepower, 550 ft lbf/s (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportedDemand:
    """Demand charges of a record.

    Parameters
    ----------
    charges
        Flat, by time of use, coincident.
    seasons
        That their windows name.
    remarks
        Choices that were taken.
    """

    charges: tuple[DemandCharge, ...]
    seasons: tuple[Season, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Unit:
    kw: float
    daily: bool


def demand_of(record: RateRecord, choices: RateChoices) -> ImportedDemand:
    """Make the demand charges of a record.

    Parameters
    ----------
    record
        Checked fields.
    choices
        What the database leaves undefined.

    Returns
    -------
    ImportedDemand
        Without charges that cost nothing.

    Raises
    ------
    InputError
        If a unit is not known or a ratchet is above 100 %.
    """
    remarks: list[str] = []
    charges: list[DemandCharge] = []
    seasons: list[Season] = []
    structures = (
        ("Demand", record.flat_demand),
        ("Time-of-use demand", record.demand),
        ("Coincident demand", record.coincident),
    )
    ratchet = _ratchet(record.ratchet, choices, remarks)
    for name, fields in structures:
        if fields is None or not any(tier_price(t) for tiers in fields.tiers for t in tiers):
            continue
        charge, named = _charge(name, fields, (record, choices), remarks)
        if ratchet is not None and not any(one.ratchet for one in charges):
            charge = _with_ratchet(charge, ratchet)
            remarks.append(f'The ratchet is applied to "{name}".')
        charges.append(charge)
        seasons += named
    if record.coincident is not None and any(one.name == "Coincident demand" for one in charges):
        remarks.append(
            "Coincident demand is billed on the customer's own highest demand in the scheduled"
            " hours: the database does not say when the system peaks."
        )
    if charges and record.demand_window_min is None:
        remarks.append(f"No demand window is given: {choices.demand_window_min} minutes are taken.")
    return ImportedDemand(charges=tuple(charges), seasons=tuple(seasons), remarks=tuple(remarks))


def _with_ratchet(charge: DemandCharge, ratchet: Ratchet) -> DemandCharge:
    return DemandCharge(
        name=charge.name,
        periods=charge.periods,
        interval_min=charge.interval_min,
        measured=charge.measured,
        ratchet=ratchet,
    )


def _unit(written: str, name: str, choices: RateChoices, remarks: list[str]) -> _Unit:
    if not written:
        remarks.append(f"{name}: no unit is given: kW are taken.")
    plain = (written or "kW").strip()
    daily = plain.endswith("daily")
    kind = plain.removesuffix("daily").strip()
    if kind == "kVA":
        remarks.append(f"{name}: kVA become kW with a power factor of {choices.power_factor:g}.")
    sizes = {"kW": 1.0, "hp": KW_PER_HP, "kVA": choices.power_factor}
    if kind not in sizes:
        raise InputError(
            f"the unit {written!r} of demand",
            where=name,
            expected="kW, hp or kVA, each also daily",
        )
    if kind == "hp":
        remarks.append(
            f"{name}: prices per hp become prices per kW, 1 hp = {KW_PER_HP:.4f} kW; bounds too."
        )
    if daily:
        remarks.append(f"{name}: a daily unit bills the highest demand of each day, added up.")
    return _Unit(kw=sizes[kind], daily=daily)


def _charge(
    name: str,
    fields: DemandFields,
    given: tuple[RateRecord, RateChoices],
    remarks: list[str],
) -> tuple[DemandCharge, tuple[Season, ...]]:
    record, choices = given
    unit = _unit(fields.unit, name, choices, remarks)
    schedule = schedule_of(fields.weekday, fields.weekend, choices.season_first_days)
    several = len(schedule.windows) > 1
    periods = tuple(
        DemandPeriod(
            name=f"period {number}" if several else "",
            blocks=_blocks(name, fields.tiers[number], unit),
            when=windows,
        )
        for number, windows in schedule.windows.items()
    )
    window = record.demand_window_min or float(choices.demand_window_min)
    if not window.is_integer():
        raise InputError(f"{window:g} minutes", where="demandwindow", expected="15, 30 or 60")
    charge = DemandCharge(
        name=name,
        periods=periods,
        interval_min=int(window),
        measured=Measured.DAY if unit.daily else Measured.BILL,
    )
    return charge, schedule.seasons


def _blocks(name: str, tiers: Sequence[Tier], unit: _Unit) -> tuple[DemandBlock, ...]:
    blocks = []
    for place, tier in enumerate(tiers):
        last = place == len(tiers) - 1
        if tier.max is None and not last:
            raise InputError("a tier without max that is not the last", where=name)
        limit = None if last or tier.max is None else tier.max * unit.kw
        blocks.append(DemandBlock(price=tier_price(tier) / unit.kw, up_to_kw=limit))
    return tuple(blocks)


def _ratchet(fields: RatchetFields, choices: RateChoices, remarks: list[str]) -> Ratchet | None:
    if fields.look_back_percent > 0:
        return _newer_ratchet(fields, choices, remarks)
    if not any(fields.percentages):
        return None
    remarks.append(
        "The ratchet bills at least the percentage of the billed month times the highest demand of"
        f" the {choices.look_back} bills before; the database does not say how far it looks back."
    )
    return Ratchet(percents=_percents(fields.percentages, choices), look_back=choices.look_back)


def _newer_ratchet(fields: RatchetFields, choices: RateChoices, remarks: list[str]) -> Ratchet:
    look_back = int(fields.look_back_range) or choices.look_back
    months = tuple(m for m, flag in zip(MONTHS, fields.look_back_months, strict=False) if flag)
    remarks.append(
        f"The ratchet remembers the highest demand of {look_back} bills"
        + (" in the flagged months." if months else ".")
    )
    return Ratchet(
        percents=_percents((fields.look_back_percent,), choices),
        look_back=look_back,
        months=months or MONTHS,
    )


def _percents(written: Sequence[float], choices: RateChoices) -> tuple[float, ...]:
    if choices.ratchet_in is RatchetIn.FRACTION and any(value > 1 for value in written):
        raise InputError(
            f"a ratchet of {max(written):g} as a fraction",
            where="demandratchetpercentage",
            expected="0 to 1",
            remedy="if it is written in percent: " + how_to_choose("ratchet=percent"),
        )
    factor = 100.0 if choices.ratchet_in is RatchetIn.FRACTION else 1.0
    percents = tuple(round(value * factor, 9) for value in written)
    return percents if len(set(percents)) > 1 else percents[:1]
