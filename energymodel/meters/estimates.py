"""Estimated reads merged with the actual ones that true them up; equal payments refused."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from energymodel.errors import InputError
from energymodel.meters.periods import Meter, MeterPeriods, Period, repair_notice
from energymodel.notices import Notice


def collected(periods: Sequence[Period], meter: Meter, notices: Sequence[Notice]) -> MeterPeriods:
    """Merge and check periods that come from any kind of list.

    Parameters
    ----------
    periods
        In order, none overlapping another, estimated ones flagged.
    meter
        Carrier and unit.
    notices
        What is known of them already.

    Returns
    -------
    MeterPeriods
        Actual periods.

    Raises
    ------
    InputError
        If a use is negative, no actual period is left, or the amounts look like an equal-payment
        plan.
    """
    merged, more = merge_estimated(periods)
    for period in merged:
        if not (np.isfinite(period.amount) and period.amount >= 0):
            raise InputError(
                f"a use of {period.amount:g} {meter.unit} from {period.label}",
                where=period.where,
                expected="0 or more",
                remedy="merge a credit or correction with the period it corrects",
            )
    if not merged:
        raise InputError(
            f"no actual period of {meter.carrier} is left", expected="at least two actual reads"
        )
    refuse_equal_payments(merged, meter)
    return MeterPeriods(meter=meter, periods=tuple(merged), notices=(*notices, *more))


def merge_estimated(periods: Sequence[Period]) -> tuple[list[Period], list[Notice]]:
    """Merge estimated periods with the next actual one, which trues them up.

    Parameters
    ----------
    periods
        In order, none overlapping another.

    Returns
    -------
    merged : list of Period
        Actual periods only.
    notices : list of Notice
        How many were merged, and which could not be because no actual one follows them.
    """
    merged: list[Period] = []
    waiting: list[Period] = []
    lost: list[Period] = []
    for period in periods:
        if waiting and waiting[-1].end_day != period.first_day:
            lost += waiting
            waiting = []
        if period.estimated:
            waiting.append(period)
            continue
        whole = [*waiting, period]
        merged.append(
            replace(
                period,
                first_day=whole[0].first_day,
                amount=sum(part.amount for part in whole),
                merged=len(waiting) + sum(part.merged for part in whole),
            )
        )
        waiting = []
    return merged, _merging_notices(merged, [*lost, *waiting])


def _merging_notices(merged: Sequence[Period], lost: Sequence[Period]) -> list[Notice]:
    notices = []
    count = sum(period.merged for period in merged)
    if count:
        notices.append(
            repair_notice(
                f"{count} estimated {'reads were' if count > 1 else 'read was'} merged with the "
                f"next actual one, which trues them up; actual periods left: {len(merged)}."
            )
        )
    if lost:
        notices.append(
            repair_notice(
                "No actual read follows the estimated "
                + ", ".join(period.label for period in lost)
                + ": left out."
            )
        )
    return notices


def refuse_equal_payments(periods: Sequence[Period], meter: Meter) -> None:
    """Refuse quantities that look like the instalments of an equal-payment plan.

    Parameters
    ----------
    periods
        In order.
    meter
        Carrier and unit.

    Raises
    ------
    InputError
        If more than half of at least four periods have the same amount above zero.
    """
    amounts = [period.amount for period in periods if period.amount > 0]
    same = max(set(amounts), key=amounts.count, default=0.0)
    count = amounts.count(same)
    if count >= 4 and 2 * count > len(periods):
        raise InputError(
            f"{count} of {len(periods)} periods of {meter.carrier} have the same amount, "
            f"{same:g} {meter.unit}: that looks like an equal-payment plan",
            expected="the quantity metered in each period",
            remedy="read the metered use off the bills, not the instalments",
        )
