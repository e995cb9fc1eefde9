"""Records of the open US utility rate database: JSON, or one row of its flat CSV export.

Field names are the database's own. This module reads and checks them; what they mean for a bill is
:mod:`energymodel.tariffs.rate_database`'s.

References
----------
OpenEI, Utility Rate Database, API version 7, openei.org/services/doc/rest/util_rates (request part
published, response fields quoted from public copies).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TypeAlias

from energymodel.errors import InputError, ManyFaultsError
from energymodel.tariffs.parsed_table import Faults, Table
from energymodel.tariffs.rate_choices import MissingRate, how_to_choose
from energymodel.tariffs.rate_fields import has_charge, tiers_without_rate

Grid: TypeAlias = tuple[tuple[int, ...], ...]
"""Period of each month (12 rows) and hour (24), counted from 0."""
Tiers: TypeAlias = "tuple[tuple[Tier, ...], ...]"

_TEXTS = (
    "label", "utility", "name", "uri", "eiaid", "supercedes", "supersedes", "sector",
    "servicetype", "description", "source", "sourceparent", "basicinformationcomments",
    "country",
)  # fmt: skip
_ELIGIBILITY = (
    "peakkwcapacitymin", "peakkwcapacitymax", "peakkwcapacityhistory",
    "peakkwhusagemin", "peakkwhusagemax", "peakkwhusagehistory",
    "voltageminimum", "voltagemaximum", "voltagecategory", "phasewiring",
)  # fmt: skip
_REMARKS = ("energycomments", "demandcomments", "fixedchargecomments", "dgrulescomments")


@dataclass(frozen=True, slots=True, kw_only=True)
class Tier:
    """One tier of one period.

    Parameters
    ----------
    rate, adj
        Money per unit; the price is their sum.
    max
        Cumulative upper bound; None on the last tier.
    unit
        Unit of the bound as written; empty: not given.
    sell
        Money per kWh fed in; None: not given.
    """

    rate: float
    adj: float = 0.0
    max: float | None = None
    unit: str = ""
    sell: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandFields:
    """One demand structure with its schedules.

    Parameters
    ----------
    tiers
        By period.
    weekday, weekend
        Period of each month and hour.
    unit
        Unit as written; empty: not given.
    """

    tiers: Tiers
    weekday: Grid
    weekend: Grid
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RatchetFields:
    """Ratchet as written.

    Parameters
    ----------
    percentages
        `demandratchetpercentage`: twelve numbers; empty: none.
    look_back_percent, look_back_range, look_back_months
        Of newer exports; 0 and empty: none.
    """

    percentages: tuple[float, ...] = ()
    look_back_percent: float = 0.0
    look_back_range: float = 0.0
    look_back_months: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RateRecord:
    """A record with its fields checked for type and shape.

    Parameters
    ----------
    texts
        Identity and remarks, by field name.
    eligibility
        Limits on who may have the rate, by field name, as written.
    start, end
        Unix seconds, or a date as text; None: not given.
    fixed, fixed_units
        Fixed charge of the first meter and its unit as written.
    additional_meter
        Fixed charge of each further meter; None: not given.
    minimum, minimum_units, minimum_year
        Minimum charge, its unit as written, and minimum of a year.
    energy
        Tiers by period.
    weekday, weekend
        Energy period of each month and hour.
    fuel_adjustments
        Money per kWh by month; empty: none.
    feed_in, net_metering
        `dgrules`, and the older `usenetmetering`.
    flat_demand, demand, coincident
        Demand structures; None: not there.
    demand_window_min
        Minutes; None: not given.
    ratchet
        As written.
    reactive_price
        Money per kVAR; None: not given.
    unread
        Names of fields that are not read.
    without_rate
        Places of tiers that have no rate and were taken at 0, by choice.
    """

    texts: Mapping[str, str]
    eligibility: Mapping[str, str]
    start: float | str | None
    end: float | str | None
    fixed: float | None
    fixed_units: str
    additional_meter: float | None
    minimum: float | None
    minimum_units: str
    minimum_year: float | None
    energy: Tiers
    weekday: Grid
    weekend: Grid
    fuel_adjustments: tuple[float, ...]
    feed_in: str
    net_metering: bool
    flat_demand: DemandFields | None
    demand: DemandFields | None
    coincident: DemandFields | None
    demand_window_min: float | None
    ratchet: RatchetFields
    reactive_price: float | None
    unread: tuple[str, ...]
    without_rate: tuple[str, ...] = ()


def read_record(
    content: Mapping[str, object],
    *,
    where: str = "record",
    missing_rate: MissingRate = MissingRate.REFUSE,
) -> RateRecord:
    """Check the fields of one record.

    Parameters
    ----------
    content
        Parsed JSON of one item.
    where
        Name for messages.
    missing_rate
        What a tier without a rate means.

    Returns
    -------
    RateRecord
        Every field that bills need.

    Raises
    ------
    InputError
        If it holds no charge.
    ManyFaultsError
        With every field of the wrong type or shape.
    """
    faults: Faults = []
    known = {key: value for key, value in content.items() if value is not None}
    table = Table(known, path="", faults=faults)
    if not has_charge(known):
        said = known.get("error")
        raise InputError(
            f"the answer is an error: {said}" if isinstance(said, str) else "no rate is in it",
            where=where,
            expected="a record with energyratestructure, or another of its charges",
        )
    record = _record(table)
    bare = tuple(tiers_without_rate(known))
    if missing_rate is MissingRate.REFUSE:
        for place in bare:
            table.fault(
                f"{place}.rate",
                "this is missing",
                expected="money per unit",
                remedy="if it is 0: "
                + how_to_choose("missing-rate=zero", file=where.partition(",")[0]),
            )
    if faults:
        raise ManyFaultsError(faults, where=where)
    return replace(record, without_rate=bare)


def _record(table: Table) -> RateRecord:
    energy = _tiers(table, "energyratestructure")
    for key in ("approved", "is_default", *_REMARKS):
        table.has(key)
    return RateRecord(
        texts={key: _plain(table, key) for key in _TEXTS if table.has(key)},
        eligibility={key: _plain(table, key) for key in _ELIGIBILITY if table.has(key)},
        start=_when(table, "startdate"),
        end=_when(table, "enddate"),
        fixed=_either(table, "fixedchargefirstmeter", "fixedmonthlycharge"),
        fixed_units=_units(table, "fixedchargefirstmeter", "fixedchargeunits"),
        additional_meter=_optional(table, "fixedchargeeaaddl"),
        minimum=_either(table, "mincharge", "minmonthlycharge"),
        minimum_units=_units(table, "mincharge", "minchargeunits"),
        minimum_year=_optional(table, "annualmincharge"),
        energy=energy,
        weekday=_grid(table, "energyweekdayschedule", len(energy)),
        weekend=_grid(table, "energyweekendschedule", len(energy)),
        fuel_adjustments=_twelve(table, "fueladjustmentsmonthly"),
        feed_in=table.text("dgrules"),
        net_metering=table.flag("usenetmetering", default=False),
        flat_demand=_flat_demand(table),
        demand=_demand(table, "demandrate", ("demandweekdayschedule", "demandweekendschedule")),
        coincident=_demand(
            table, "coincidentrate", ("coincidentrateschedule", "coincidentrateschedule")
        ),
        demand_window_min=_optional(table, "demandwindow"),
        ratchet=RatchetFields(
            percentages=_twelve(table, "demandratchetpercentage"),
            look_back_percent=table.number("lookbackpercent", 0.0),
            look_back_range=table.number("lookbackrange", 0.0),
            look_back_months=_flags(table, "lookbackmonths"),
        ),
        reactive_price=_optional(table, "demandreactivepowercharge"),
        unread=tuple(table.unasked()),
    )


def _plain(table: Table, key: str) -> str:
    return " ".join(str(value) for value in table.list_of(key, object, "a text or a number"))


def _optional(table: Table, key: str) -> float | None:
    return table.number(key) if table.has(key) else None


def _either(table: Table, key: str, older: str) -> float | None:
    found, before = _optional(table, key), _optional(table, older)
    return before if found is None else found


def _units(table: Table, key: str, units: str) -> str:
    """Older fields say their unit in their name."""
    written = table.text(units)
    return written if table.has(key) or written else "$/month"


def _when(table: Table, key: str) -> float | str | None:
    if not table.has(key):
        return None
    found = table.list_of(key, object, "")
    if len(found) == 1 and isinstance(found[0], str):
        return found[0]
    return table.number(key)


def _twelve(table: Table, key: str) -> tuple[float, ...]:
    numbers = table.numbers(key)
    if numbers and len(numbers) != 12:
        table.fault(key, f"{len(numbers)} numbers", expected="twelve, January to December")
        return ()
    return numbers


def _flags(table: Table, key: str) -> tuple[float, ...]:
    if not table.has(key):
        return ()
    flags = table.list_of(key, int, "twelve 0 or 1")  # true and false are integers too
    if len(flags) != 12:
        table.fault(key, f"{len(flags)} flags", expected="twelve, January to December")
        return ()
    return tuple(float(flag) for flag in flags)


def _tiers(table: Table, key: str) -> Tiers:
    if not table.has(key):
        return ()
    periods = table.list_of(key, list, "a list of periods, each a list of tiers")
    return tuple(_period(table, key, number, tiers) for number, tiers in enumerate(periods))


def _period(table: Table, key: str, number: int, tiers: list[object]) -> tuple[Tier, ...]:
    found = []
    for place, content in enumerate(tiers):
        path = f"{table.at(key)}[{number}][{place}]"
        if not isinstance(content, dict):
            table.fault(f"{key}[{number}][{place}]", "not a tier", expected="{rate: ...}")
            continue
        known = {name: value for name, value in content.items() if value is not None}
        one = Table(known, path=path, faults=table.faults)
        found.append(
            Tier(
                rate=one.number("rate", 0.0),
                adj=one.number("adj", 0.0),
                max=_optional(one, "max"),
                unit=one.text("unit"),
                sell=_optional(one, "sell"),
            )
        )
    if not found:
        table.fault(f"{key}[{number}]", "a period without tiers", expected="{rate: ...}")
    return tuple(found)


def _grid(table: Table, key: str, periods: int) -> Grid:
    if not table.has(key):
        if periods > 1:
            table.fault(key, "this is missing", expected="12 rows of 24 period numbers")
        return ((0,) * 24,) * 12
    rows = table.list_of(key, list, "12 rows of 24 period numbers")
    grid = tuple(tuple(row) for row in rows)
    if len(grid) != 12 or any(len(row) != 24 for row in grid):
        table.fault(key, "the schedule has another shape", expected="12 months of 24 hours")
        return ((0,) * 24,) * 12
    numbers = {value for row in grid for value in row}
    whole = all(isinstance(value, int) and not isinstance(value, bool) for value in numbers)
    if not whole or min(numbers) < 0 or max(numbers) >= max(periods, 1):
        table.fault(
            key,
            "it names a period that is not in the structure",
            expected=f"whole numbers from 0 to {max(periods, 1) - 1}",
        )
        return ((0,) * 24,) * 12
    return grid


def _flat_demand(table: Table) -> DemandFields | None:
    tiers = _tiers(table, "flatdemandstructure")
    months = table.list_of("flatdemandmonths", int, "twelve period numbers")
    unit = table.text("flatdemandunit")
    if not tiers:
        return None
    if not months and len(tiers) == 1:
        months = (0,) * 12
    if len(months) != 12 or not all(0 <= month < len(tiers) for month in months):
        table.fault(
            "flatdemandmonths",
            f"{len(months)} period numbers",
            expected=f"twelve, 0 to {len(tiers) - 1}",
        )
        return None
    grid = tuple((month,) * 24 for month in months)
    return DemandFields(tiers=tiers, weekday=grid, weekend=grid, unit=unit)


def _demand(table: Table, stem: str, schedules: tuple[str, str]) -> DemandFields | None:
    tiers = _tiers(table, f"{stem}structure")
    unit = table.text(f"{stem}unit")
    grids = [_grid(table, key, len(tiers)) if tiers else () for key in schedules]
    for key in schedules:
        table.has(key)
    if not tiers:
        return None
    return DemandFields(tiers=tiers, weekday=grids[0], weekend=grids[1], unit=unit)
