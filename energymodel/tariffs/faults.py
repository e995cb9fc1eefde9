"""What contradicts itself in a tariff."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from energymodel.errors import EnergyModelError, InputError
from energymodel.tariffs.charges import (
    Block,
    BlockCount,
    BlockPer,
    DemandCharge,
    DemandPeriod,
    EnergyCharge,
    EnergyPeriod,
    Rider,
)
from energymodel.tariffs.export import Export, ExportRule
from energymodel.tariffs.holiday import HolidayAs
from energymodel.tariffs.schedule import all_hours_of_a_year, check_cover
from energymodel.tariffs.windows import season_dates

if TYPE_CHECKING:
    from energymodel.tariffs.tariff import Tariff

Faults = list[EnergyModelError]


def faults_of(tariff: Tariff) -> Faults:
    """Find everything that contradicts itself.

    Parameters
    ----------
    tariff
        Its records need not be sound.

    Returns
    -------
    list of EnergyModelError
        Empty for a sound tariff.
    """
    return [
        *_names(tariff),
        *_subtotals(tariff),
        *(_seasons(tariff) or _cover(tariff)),
        *(fault for charge in tariff.energy for fault in _energy(charge, tariff)),
        *(fault for charge in tariff.demand for fault in _demand(charge)),
        *(fault for rider in tariff.riders for fault in _rider(rider)),
        *(() if tariff.export is None else _export(tariff.export, tariff)),
        *_dates(tariff),
    ]


def _names(tariff: Tariff) -> Faults:
    names = [charge.name for charge in tariff.charges()]
    faults: Faults = [
        InputError(f'two charges are called "{name}"', expected="a name of its own for each")
        for name in sorted({name for name in names if names.count(name) > 1})
    ]
    if "" in names:
        faults.append(InputError("a charge without a name"))
    if not names:
        faults.append(InputError("there is no charge in it", expected="[[energy]] at least"))
    return faults


def _subtotals(tariff: Tariff) -> Faults:
    faults: Faults = []
    above: list[str] = []
    for charge in tariff.charges():
        for name in getattr(charge, "of", ()):
            if name not in above:
                faults.append(
                    InputError(
                        f'"{name}" is not a charge above it',
                        where=charge.name,
                        expected="of = names among " + ", ".join(above),
                    )
                )
        above.append(charge.name)
    return faults


def _seasons(tariff: Tariff) -> Faults:
    named = [(place, window.seasons) for place, window in tariff.windows()]
    named += [(charge.name, charge.seasons) for charge in tariff.fixed]
    named += [("baseline", allowance.seasons) for allowance in tariff.baseline]
    faults: Faults = []
    for place, seasons in named:
        try:
            season_dates(seasons, tariff.seasons)
        except InputError as error:
            faults.append(InputError(error.what, where=place, expected=error.expected))
    names = [season.name for season in tariff.seasons]
    if len(set(names)) < len(names):
        faults.append(InputError("two seasons have the same name", where="seasons"))
    faults += [
        InputError(f'the season "{season.name}" has no dates', where="seasons")
        for season in tariff.seasons
        if not season.spans
    ]
    return faults


def _periods(name: str, periods: Sequence[EnergyPeriod]) -> Faults:
    faults: Faults = []
    if not periods:
        faults.append(InputError("no price", where=name, expected="price, blocks or periods"))
    return [*faults, *_named_apart(name, periods)]


def _named_apart(name: str, periods: Sequence[EnergyPeriod | DemandPeriod]) -> Faults:
    faults: Faults = []
    if sum(not period.when for period in periods) > 1:
        faults.append(
            InputError(
                "two periods without `when`", where=name, expected="one that takes the other hours"
            )
        )
    names = [period.name for period in periods]
    if len(set(names)) < len(names) or (len(names) > 1 and "" in names):
        faults.append(InputError("periods need a name each, no two alike", where=name))
    return faults


def _energy(charge: EnergyCharge, tariff: Tariff) -> Faults:
    faults = _periods(charge.name, charge.periods)
    for period in charge.periods:
        place = f"{charge.name}, {period.name}" if period.name else charge.name
        faults += _blocks(period.blocks, place)
        if any(block.per is BlockPer.BASELINE for block in period.blocks) and not tariff.baseline:
            faults.append(InputError("blocks of the baseline without [[baseline]]", where=place))
    if charge.demand and charge.demand not in [demand.name for demand in tariff.demand]:
        faults.append(InputError(f'there is no demand charge "{charge.demand}"', where=charge.name))
    return faults


def _cover(tariff: Tariff) -> Faults:
    """Every hour has one energy price; demand and interruptions may leave hours out."""
    apart = tariff.holidays is not None and tariff.holidays.count_as is HolidayAs.HOLIDAY
    groups: list[tuple[str, Sequence[EnergyPeriod | DemandPeriod], bool]] = [
        *((charge.name, charge.periods, True) for charge in tariff.energy),
        *((charge.name, charge.periods, False) for charge in tariff.demand),
    ]
    if tariff.export is not None and tariff.export.periods:
        groups.append((tariff.export.name, tariff.export.periods, True))
    faults: Faults = []
    for name, periods, whole in groups:
        windows = [window for period in periods for window in period.when]
        if windows:
            hours = all_hours_of_a_year(windows, tariff.seasons, holidays=apart)
            faults += [
                InputError(fault.what, where=name, expected=fault.expected)
                for fault in check_cover(periods, hours, whole=whole)
            ]
    return faults


def _blocks(blocks: Sequence[Block], place: str) -> Faults:
    if not blocks:
        return [InputError("no price", where=place, expected="price or blocks")]
    faults: Faults = []
    if any(not math.isfinite(block.price) for block in blocks):
        faults.append(InputError("a price that is not a number", where=place))
    if blocks[-1].up_to is not None:
        faults.append(
            InputError(
                "the last block has a limit, and use above it has no price",
                where=place,
                expected="a last block without up_to",
            )
        )
    if any(block.up_to is None for block in blocks[:-1]):
        faults.append(InputError("a block without a limit that is not the last", where=place))
    limits = [(block.up_to, block.per) for block in blocks if block.up_to is not None]
    if any(limit <= 0 for limit, _ in limits) or any(
        low >= high for (low, one), (high, other) in pairwise(limits) if one is other
    ):
        faults.append(InputError("the limits of the blocks do not rise from above 0", where=place))
    return faults


def _demand(charge: DemandCharge) -> Faults:
    faults: Faults = []
    if not charge.periods:
        faults.append(InputError("no price", where=charge.name))
    faults += _named_apart(charge.name, charge.periods)
    for period in charge.periods:
        limits = [block.up_to_kw for block in period.blocks]
        known = [limit for limit in limits if limit is not None]
        if not limits or limits[-1] is not None or len(known) != len(limits) - 1:
            faults.append(
                InputError("only the last block of demand has no limit", where=charge.name)
            )
        elif any(limit <= 0 for limit in known) or known != sorted(set(known)):
            faults.append(
                InputError("the limits of the blocks do not rise from above 0", where=charge.name)
            )
    if charge.interval_min not in (5, 10, 15, 20, 30, 60):
        faults.append(
            InputError(
                f"demand over {charge.interval_min} minutes",
                where=charge.name,
                expected="15, 30 or 60 (5, 10 and 20 are read too)",
            )
        )
    return [*faults, *_ratchet(charge)]


def _ratchet(charge: DemandCharge) -> Faults:
    ratchet = charge.ratchet
    if ratchet is None:
        return []
    faults: Faults = []
    if len(ratchet.percents) not in (1, 12) or not all(0 <= p <= 100 for p in ratchet.percents):
        faults.append(
            InputError("the ratchet needs one share or twelve, 0 to 100 %", where=charge.name)
        )
    if not 1 <= ratchet.look_back <= 24:
        faults.append(InputError("the ratchet looks back 1 to 24 months", where=charge.name))
    return faults


def _rider(rider: Rider) -> Faults:
    if len(rider.prices) in (1, 12) and all(math.isfinite(price) for price in rider.prices):
        return []
    return [
        InputError(
            f"{len(rider.prices)} prices", where=rider.name, expected="one, or twelve by month"
        )
    ]


def _export(export: Export, tariff: Tariff) -> Faults:
    faults: Faults = []
    netted = export.rule is ExportRule.NET_METERING
    if netted and export.periods:
        faults.append(
            InputError(
                "net metering has no export price", where=export.name, remedy="use surplus_price"
            )
        )
    if not netted:
        faults += _periods(export.name, export.periods)
        faults += [
            InputError("an export price has one block", where=export.name)
            for period in export.periods
            if len(period.blocks) != 1 or period.blocks[0].up_to is not None
        ]
    ordered = [charge.name for charge in tariff.energy if charge.count is BlockCount.TIME_ORDER]
    if netted and (ordered or tariff.hourly):
        faults.append(
            InputError(
                "net metering over the month, beside blocks in time order or hourly prices",
                where=export.name,
                remedy='use blocks_count = "month total", or net billing',
            )
        )
    sizes = [step.below_kw for step in export.size_steps]
    if sizes != sorted(set(sizes)):
        faults.append(InputError("the sizes of the steps do not rise", where=export.name))
    if not 1 <= export.true_up_month <= 12:
        faults.append(InputError("the true-up month is 1 to 12", where=export.name))
    return faults


def _dates(tariff: Tariff) -> Faults:
    if tariff.effective and tariff.expires and tariff.expires < tariff.effective:
        return [InputError("it expires before it takes effect", where="expires")]
    return []
