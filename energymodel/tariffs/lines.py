"""Registers into lines: every charge priced, in the order of the bill, unrounded."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.notices import Notice
from energymodel.tariffs.bill_line import BillLine, LineKind, priced_line
from energymodel.tariffs.blocks import by_period_and_block
from energymodel.tariffs.charges import (
    DemandCharge,
    EnergyCharge,
    FixedCharge,
    Measured,
    MinimumBill,
    Per,
    ReactiveCharge,
    Rider,
)
from energymodel.tariffs.customer import Customer
from energymodel.tariffs.demand import demand_in_blocks, season_weights
from energymodel.tariffs.export import Export, ExportRule
from energymodel.tariffs.export_credit import (
    NettedUse,
    capped_share,
    carry_credit,
    credit_year,
    net_use,
    true_ups,
)
from energymodel.tariffs.registers import Registers
from energymodel.tariffs.scale import bill_scales, billed_kw, days_in_seasons
from energymodel.tariffs.tariff import Tariff


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PricedBills:
    """Lines of all bills.

    Parameters
    ----------
    lines
        In the order of the bill.
    notices
        What the reader should know.
    """

    lines: tuple[BillLine, ...]
    notices: tuple[Notice, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Account:
    tariff: Tariff
    registers: Registers
    customer: Customer
    netted: NettedUse

    @property
    def months(self) -> Array:
        return self.registers.periods.months(self.tariff.monthly_amounts)

    def times(self, per: Per) -> Array:
        periods = self.registers.periods
        if per is Per.DAY:
            return periods.days
        return self.months if per is Per.MONTH else periods.calendar_shares / 12.0

    def each_column(self, by_bill: Array) -> Array:
        return np.repeat(by_bill[:, None], self.registers.shape[1], axis=1)


def price_bills(tariff: Tariff, registers: Registers, customer: Customer) -> PricedBills:
    """Price what the meter has counted.

    Parameters
    ----------
    tariff
        With all its charges.
    registers
        Use and demand of each bill.
    customer
        What is known of the customer.

    Returns
    -------
    PricedBills
        Lines whose amounts add up to the bills.
    """
    netted = net_use(tariff, registers, customer)
    account = _Account(tariff=tariff, registers=netted.registers, customer=customer, netted=netted)
    lines: list[BillLine] = []
    for charge in tariff.fixed:
        lines.append(_fixed(charge, account))
    for energy in tariff.energy:
        lines += _energy(energy, account)
    lines += _hourly(account)
    for rider in tariff.riders:
        lines.append(_rider(rider, account))
    for demand in tariff.demand:
        lines += _demand(demand, account)
    for reactive in tariff.reactive:
        lines += _reactive(reactive, account)
    if tariff.export is not None:
        # a list that grows while it is added up would count the credit among the charges
        lines += _export(tariff.export, tuple(lines), account)
    for minimum in tariff.minimum:
        lines.append(_minimum(minimum, lines, account))
    for percent in tariff.percents:
        subtotal = _subtotal(lines, percent.of, account)
        price = percent.percent / 100.0
        lines.append(
            priced_line(percent.name, LineKind.PERCENT, subtotal, price=price, unit=tariff.currency)
        )
    return PricedBills(lines=tuple(lines), notices=_notices(account))


def _notices(account: _Account) -> tuple[Notice, ...]:
    missing = [
        Notice(
            topic="reactive demand",
            text=f"{charge.name}: the reactive demand is not known, and nothing is billed for it.",
        )
        for charge in account.tariff.reactive
        if account.registers.reactive_kvar is None
    ]
    lengths = account.registers.periods.notices(account.tariff.monthly_amounts)
    return (*account.registers.notices, *lengths, *account.netted.notices, *missing)


def _subtotal(lines: Sequence[BillLine], of: Sequence[str], account: _Account) -> Array:
    amounts = [line.amount for line in lines if not of or line.charge in of]
    return np.sum(amounts, axis=0) if amounts else np.zeros(account.registers.shape)


def _fixed(charge: FixedCharge, account: _Account) -> BillLine:
    periods = account.registers.periods
    times = account.times(charge.per)
    if charge.seasons:
        times = times * days_in_seasons(account.tariff, charge.seasons, periods) / periods.days
    return priced_line(
        charge.name,
        LineKind.CUSTOMER,
        account.each_column(times),
        price=charge.amount,
        unit=f"{charge.per.value}s",
    )


def _energy(charge: EnergyCharge, account: _Account) -> Iterator[BillLine]:
    registers = account.registers
    if charge.name in registers.in_blocks:
        divided = registers.in_blocks[charge.name]
    else:
        scales = bill_scales(account.tariff, charge, registers, account.customer)
        divided = by_period_and_block(charge, registers.use[charge.name], scales)
    for period, in_each in zip(charge.periods, divided, strict=True):
        for number, (block, quantity) in enumerate(zip(period.blocks, in_each, strict=True), 1):
            several = f"block {number}" if len(period.blocks) > 1 else ""
            yield priced_line(
                charge.name,
                LineKind.ENERGY,
                quantity,
                price=block.price,
                unit=account.tariff.unit.name,
                part=", ".join(part for part in (period.name, several) if part),
            )


def _hourly(account: _Account) -> Iterator[BillLine]:
    for charge in account.tariff.hourly:
        yield BillLine(
            charge=charge.name,
            kind=LineKind.ENERGY,
            unit=account.tariff.unit.name,
            quantity=account.registers.total,
            amount=account.registers.series_money[charge.name],
        )


def _rider(rider: Rider, account: _Account) -> BillLine:
    registers, unit = account.registers, account.tariff.unit.name
    if len(set(rider.prices)) == 1:
        return priced_line(
            rider.name, LineKind.ADJUSTMENT, registers.total, price=rider.prices[0], unit=unit
        )
    prices = np.array([rider.price_of(month) for month in range(1, 13)])
    return BillLine(
        charge=rider.name,
        kind=LineKind.ADJUSTMENT,
        unit=unit,
        quantity=registers.total,
        amount=(registers.by_month * prices[:, None]).sum(axis=1),
    )


def _demand(charge: DemandCharge, account: _Account) -> Iterator[BillLine]:
    billed = billed_kw(account.tariff, charge, account.registers, account.customer)
    weights = season_weights(charge, account.tariff.seasons, account.registers.periods)
    daily = charge.measured is Measured.DAY
    times = np.ones_like(weights) if daily else weights * account.months[:, None]
    for number, period in enumerate(charge.periods):
        in_each = demand_in_blocks(period.blocks, billed[:, number])
        for block_number, (block, kw) in enumerate(zip(period.blocks, in_each, strict=True), 1):
            several = f"block {block_number}" if len(period.blocks) > 1 else ""
            line = priced_line(
                charge.name,
                LineKind.DEMAND,
                kw * times[:, number, None],
                price=block.price,
                unit="kW-days" if daily else "kW",
                part=", ".join(part for part in (period.name, several) if part),
            )
            if not daily and block_number == 1:
                line = replace(
                    line,
                    measured=account.registers.demand_kw[charge.name][:, number].copy(),
                    billed=billed[:, number].copy(),
                    share=weights[:, number].copy(),
                )
            yield line


def _reactive(charge: ReactiveCharge, account: _Account) -> Iterator[BillLine]:
    kvar = account.registers.reactive_kvar
    if kvar is None:
        return
    found = account.registers.demand_kw.values()
    highest = [kw.max(axis=1) for kw in found] or [account.registers.highest_kw]
    allowed = charge.allowance_kvar_per_kw * np.maximum.reduce(highest)
    excess = np.maximum(kvar - allowed, 0.0) * account.months[:, None]
    yield priced_line(charge.name, LineKind.REACTIVE, excess, price=charge.price, unit="kvar")


def _export(export: Export, above: Sequence[BillLine], account: _Account) -> Iterator[BillLine]:
    if export.rule is ExportRule.NET_METERING:
        yield priced_line(
            export.name,
            LineKind.EXPORT,
            account.netted.settled,
            price=-export.surplus_price,
            unit=account.tariff.unit.name,
            part="left at the true-up",
        )
        return
    registers = account.registers
    settles = true_ups(export, registers.periods)
    earned = _earned(export, settles, account)
    yield from earned
    money = -np.sum([line.amount for line in earned], axis=0)
    payable = _subtotal(above, export.of, account)
    moves = carry_credit(export, money, payable, settles=settles, cyclic=registers.cyclic)
    for part, amount in (("carried", moves.moved), ("paid out", -moves.paid_out)):
        yield BillLine(
            charge=export.name,
            part=part,
            kind=LineKind.EXPORT,
            unit=account.tariff.currency,
            quantity=amount,
            price=1.0,
            amount=amount,
        )


def _earned(export: Export, settles: Mask, account: _Account) -> list[BillLine]:
    registers = account.registers
    bills, columns = registers.shape
    none = np.zeros((bills, len(export.periods), columns))
    fed_in = registers.fed_in.get(export.name, none)
    order = credit_year(settles, cyclic=registers.cyclic)
    share = capped_share(export, fed_in.sum(axis=1), order, account.customer)
    return [
        priced_line(
            export.name,
            LineKind.EXPORT,
            fed_in[:, number] * share,
            price=-period.blocks[0].price,
            unit=account.tariff.unit.name,
            part=period.name,
        )
        for number, period in enumerate(export.periods)
    ]


def _minimum(charge: MinimumBill, above: Sequence[BillLine], account: _Account) -> BillLine:
    due = account.times(charge.per)[:, None] * charge.amount
    reached = _subtotal(above, charge.of, account)
    if charge.per is Per.YEAR:
        short = np.zeros_like(reached)
        short[-1] = np.maximum(due.sum(axis=0) - reached.sum(axis=0), 0.0)
    else:
        short = np.maximum(due - reached, 0.0)
    return BillLine(
        charge=charge.name,
        kind=LineKind.MINIMUM,
        unit=account.tariff.currency,
        quantity=short,
        price=1.0,
        amount=short,
    )
