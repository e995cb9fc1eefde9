"""Credit for feed-in: energy netted over the bills of a year, or money carried between bills."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.tariffs.billing_period import BillingPeriods
from energymodel.tariffs.customer import Customer
from energymodel.tariffs.export import CreditKept, CreditLeft, Export, ExportRule, credited_share
from energymodel.tariffs.registers import Registers
from energymodel.tariffs.tariff import Tariff


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NettedUse:
    """Registers after net metering.

    Parameters
    ----------
    registers
        Use that is billed.
    settled
        Energy left at each true-up, shape (bills, columns).
    unsettled
        Energy still kept after the last bill, shape (columns,).
    notices
        What the reader should know.
    """

    registers: Registers
    settled: Array
    unsettled: Array
    notices: tuple[Notice, ...] = ()


def true_ups(export: Export, periods: BillingPeriods) -> Mask:
    """Bills that settle what is left.

    Parameters
    ----------
    export
        Names the month.
    periods
        Of the bills.

    Returns
    -------
    Mask
        Shape (bills,): the bill that holds the last day of that calendar month.
    """
    dates, owner = periods.each_day()
    month = dates.astype("datetime64[M]")
    last = month.astype(np.intp) % 12 + 1 == export.true_up_month
    last &= np.append(month[1:] != month[:-1], True)
    last[-1] &= (dates[-1] + 1).astype("datetime64[M]") != month[-1]
    settles = np.zeros(len(periods), dtype=np.bool_)
    settles[owner[last]] = True
    return settles


def credit_year(settles: Mask, *, cyclic: bool) -> Index:
    """Put bills in the order of a credit year.

    Parameters
    ----------
    settles
        Bills with a true-up, shape (bills,).
    cyclic
        The bills are those of a year that repeats itself: it begins after its true-up.

    Returns
    -------
    Index
        Numbers of the bills, shape (bills,).
    """
    order = np.arange(len(settles))
    if cyclic and settles.any():
        order = np.roll(order, -int(np.flatnonzero(settles)[-1]) - 1)
    return order


def capped_share(export: Export, fed_in: Array, order: Index, customer: Customer) -> Array:
    """Share of each bill's feed-in that is credited: size of the generator, yearly cap.

    Parameters
    ----------
    export
        With its steps and its cap.
    fed_in
        Energy fed in, shape (bills, columns).
    order
        Bills in the order of the credit year.
    customer
        Size of the generator and use of the year before.

    Returns
    -------
    Array
        Fraction, shape (bills, columns).

    Raises
    ------
    InputError
        If a fact of the customer is needed and not known.
    """
    if not fed_in.any():
        return np.ones_like(fed_in)
    share = np.full_like(fed_in, credited_share(export, customer.generator_kw))
    if export.cap_percent is None:
        return share
    if customer.use_year_before_kwh is None:
        raise InputError(
            "the credit is capped by the use of the year before, which is not given",
            where=export.name,
            remedy="take cap_percent out of the tariff; from Python,"
            " Customer(use_year_before_kwh=...)",
        )
    cap = export.cap_percent / 100.0 * customer.use_year_before_kwh
    reached = np.minimum(np.cumsum(fed_in[order], axis=0), cap)
    credited = np.empty_like(fed_in)
    credited[order] = np.diff(reached, axis=0, prepend=0.0)
    return share * np.divide(credited, fed_in, out=np.zeros_like(fed_in), where=fed_in > 0)


def net_use(tariff: Tariff, registers: Registers, customer: Customer) -> NettedUse:
    """Set feed-in off against use, bill by bill, and keep what is left for later bills.

    Parameters
    ----------
    tariff
        With net metering; others pass unchanged.
    registers
        Use and feed-in by energy charge.
    customer
        Size of the generator and use of the year before.

    Returns
    -------
    NettedUse
        Use that is billed, and what is left.
    """
    export = tariff.export
    none = np.zeros(registers.shape)
    if export is None or export.rule is not ExportRule.NET_METERING or not registers.fed_in:
        return NettedUse(registers=registers, settled=none, unsettled=none[0])
    settles = true_ups(export, registers.periods)
    order = credit_year(settles, cyclic=registers.cyclic)
    share = capped_share(export, registers.total_fed_in, order, customer)
    netted = {
        name: _netted(export, use, registers.fed_in[name] * share[:, None], (order, settles))
        for name, use in registers.use.items()
    }
    billed = {name: found[0] for name, found in netted.items()}
    _, settled, unsettled = next(iter(netted.values()))
    total = next(iter(billed.values())).sum(axis=1)
    part = np.divide(total, registers.total, out=np.zeros_like(total), where=registers.total > 0)
    by_month = registers.by_month * part[:, None] if registers.by_month.size else registers.by_month
    return NettedUse(
        registers=replace(registers, use=billed, total=total, by_month=by_month),
        settled=settled,
        unsettled=unsettled,
        notices=_notices(export, registers.use, unsettled),
    )


def _notices(export: Export, use: Mapping[str, Array], unsettled: Array) -> tuple[Notice, ...]:
    texts = []
    if any(found.shape[1] > 1 for found in use.values()):
        kept = "period by period" if export.kept is CreditKept.BY_PERIOD else "for all periods"
        texts.append(f"{export.name}: energy that is left is kept {kept} until the true-up.")
    if (unsettled > 0).any():
        texts.append(
            f"{export.name}: up to {unsettled.max():,.0f} units of energy are still kept after the"
            " last bill and have no value in it."
        )
    return tuple(Notice(topic="export", text=text) for text in texts)


def _netted(
    export: Export, use: Array, fed_in: Array, year: tuple[Index, Mask]
) -> tuple[Array, Array, Array]:
    order, settles = year
    billed = np.zeros_like(use)
    settled = np.zeros((use.shape[0], use.shape[2]))
    kept = np.zeros(use.shape[1:])
    for bill in order:
        billed[bill], kept = _one_bill(export, use[bill], fed_in[bill], kept)
        if settles[bill]:
            settled[bill] = kept.sum(axis=0)
            kept = np.zeros_like(kept)
    return billed, settled, kept.sum(axis=0)


def _one_bill(export: Export, use: Array, fed_in: Array, kept: Array) -> tuple[Array, Array]:
    net = use - fed_in - kept
    billed, left = np.maximum(net, 0.0), np.maximum(-net, 0.0)
    if export.kept is CreditKept.BY_PERIOD:
        return billed, left
    owed, free = billed.sum(axis=0), left.sum(axis=0)
    used = np.minimum(owed, free)
    billed *= np.divide(owed - used, owed, out=np.zeros_like(owed), where=owed > 0)
    together = np.zeros_like(kept)
    together[0] = free - used
    return billed, together


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CreditAccount:
    """Money credited for feed-in, as it moves between bills.

    Parameters
    ----------
    earned
        On each bill, >= 0, shape (bills, columns).
    moved
        Kept for later bills (positive) or drawn from earlier ones (negative), same shape.
    paid_out
        Paid at the true-up, >= 0, same shape.
    """

    earned: Array
    moved: Array
    paid_out: Array


def carry_credit(
    export: Export, earned: Array, payable: Array, *, settles: Mask, cyclic: bool
) -> CreditAccount:
    """Let credit pay for the charges it may pay, and carry the rest to later bills.

    Parameters
    ----------
    export
        Says what happens at the true-up.
    earned
        Credit of each bill, money, shape (bills, columns).
    payable
        Charges that credit may pay, money, same shape.
    settles
        Bills with a true-up.
    cyclic
        The bills are those of a year that repeats itself.

    Returns
    -------
    CreditAccount
        Of each bill.
    """
    moved, paid = np.zeros_like(earned), np.zeros_like(earned)
    kept = np.zeros(earned.shape[1])
    for bill in credit_year(settles, cyclic=cyclic):
        usable = np.maximum(payable[bill], 0.0)
        after = np.maximum(earned[bill] + kept - usable, 0.0)
        moved[bill] = after - kept
        kept = after
        if settles[bill]:
            if export.left is CreditLeft.PAID:
                paid[bill] = kept
            kept = np.zeros_like(kept)
    return CreditAccount(earned=earned, moved=moved, paid_out=paid)
