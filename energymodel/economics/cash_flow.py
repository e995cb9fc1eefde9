"""Yearly cash flows of an option: money in positive, money out negative.

Year 0 is the day of installation; every other flow stands at the end of its year. Costs enter as
positive amounts at today's prices (`OptionCosts`); only here do they turn negative.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from enum import Enum

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.economics.option_costs import Incentive, OptionCosts, PlannedCost, YearlyCost
from energymodel.economics.study_period import StudyPeriod
from energymodel.errors import InputError
from energymodel.notices import Notice

_OLD_NEWS = timedelta(days=365)


class FlowKind(Enum):
    """What a flow is in a life-cycle cost."""

    INVESTMENT = "investment"
    INCENTIVE = "incentives"
    REPLACEMENT = "replacement"
    RESIDUAL = "residual"
    ENERGY = "energy"
    UPKEEP = "maintenance and service"
    LOAN = "loan"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlowLine:
    """One line of a cash flow.

    Parameters
    ----------
    name
        What it is paid for, as entered.
    kind
        Its place in a life-cycle cost.
    by_year
        Money of years 0 to N, out negative; shape (N + 1,).
    """

    name: str
    kind: FlowKind
    by_year: Array

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_year", frozen(self.by_year))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CashFlow:
    """All flows of one option over the study period.

    Parameters
    ----------
    name
        Name of the option.
    study
        Years, discount rate, money.
    lines
        One for each cost or receipt.
    notices
        What the reader should know: incentives, mostly.
    """

    name: str
    study: StudyPeriod
    lines: tuple[FlowLine, ...]
    notices: tuple[Notice, ...] = ()

    def of(self, *kinds: FlowKind) -> Array:
        """Sum of the lines of some kinds.

        Parameters
        ----------
        *kinds
            Which.

        Returns
        -------
        Array
            Money of years 0 to N, out negative; shape (N + 1,).
        """
        total = np.zeros(self.study.years + 1)
        for line in self.lines:
            if line.kind in kinds:
                total += line.by_year
        return total

    def by_year(self) -> Array:
        """Sum of all lines but the loan: what the option costs, however it is paid.

        Returns
        -------
        Array
            Money of years 0 to N, out negative; shape (N + 1,).
        """
        return self.of(*(kind for kind in FlowKind if kind is not FlowKind.LOAN))

    def by_year_with_loan(self) -> Array:
        """Sum of all lines: what leaves the owner's account.

        Returns
        -------
        Array
            Money of years 0 to N, out negative; shape (N + 1,).
        """
        return self.of(*FlowKind)


def cash_flow(costs: OptionCosts, study: StudyPeriod) -> CashFlow:
    """Lay the costs of an option out over the years.

    Parameters
    ----------
    costs
        As the user states them.
    study
        Years, discount rate, money.

    Returns
    -------
    CashFlow
        In the money of the study.

    Raises
    ------
    InputError
        If real and nominal meet, a planned cost falls after the study period, an incentive ends
        before the installation, or a price index is too short.

    Examples
    --------
    >>> from energymodel.economics.rates import real_rate
    >>> heat = YearlyCost(name="natural gas", per_year=900.0)
    >>> study = StudyPeriod(years=2, discount=real_rate(0.03))
    >>> there = OptionCosts(name="furnace", installed_cost=1000.0, energy=(heat,))
    >>> cash_flow(there, study).by_year().tolist()
    [-1000.0, -900.0, -900.0]
    """
    energy = [_yearly(one, FlowKind.ENERGY, study) for one in costs.energy]
    upkeep = [_yearly(one, FlowKind.UPKEEP, study) for one in costs.upkeep]
    incentives = [_incentive(one, study) for one in costs.incentives]
    lines = (*_equipment(costs, study), *energy, *upkeep, *incentives, *_loan(costs, study))
    notices = [notice for one in costs.incentives for notice in _incentive_notices(one, study)]
    flow = CashFlow(name=costs.name, study=study, lines=lines, notices=tuple(notices))
    return replace(flow, notices=flow.notices + _above_investment(flow))


def _once(name: str, kind: FlowKind, *, amount: float, year: int, study: StudyPeriod) -> FlowLine:
    if year > study.years:
        raise InputError(
            f"{name} falls in year {year}, the study period ends with year {study.years}",
            remedy="lengthen the study period, or leave it out",
        )
    flows = np.zeros(study.years + 1)
    flows[year] = amount
    return FlowLine(name=name, kind=kind, by_year=flows)


def _equipment(costs: OptionCosts, study: StudyPeriod) -> list[FlowLine]:
    lines = []
    if costs.installed_cost:
        paid = -costs.installed_cost
        invested = FlowKind.INVESTMENT
        lines.append(_once("installed cost", invested, amount=paid, year=0, study=study))
    if costs.replaced_anyway is not None:
        lines.append(_planned(costs.replaced_anyway, study, note=" (must be replaced anyway)"))
    lines += [_planned(one, study) for one in costs.planned]
    if costs.residual:
        left = costs.residual * float(study.today_index()[-1])
        ends = study.years
        lines.append(_once("residual", FlowKind.RESIDUAL, amount=left, year=ends, study=study))
    return lines


def _planned(one: PlannedCost, study: StudyPeriod, note: str = "") -> FlowLine:
    kind = FlowKind.REPLACEMENT if one.year else FlowKind.INVESTMENT
    line = _once(one.name + note, kind, amount=-one.cost, year=one.year, study=study)
    return FlowLine(name=line.name, kind=kind, by_year=line.by_year * study.today_index())


def _yearly(cost: YearlyCost, kind: FlowKind, study: StudyPeriod) -> FlowLine:
    years = np.arange(1, study.years + 1)
    last = study.years if cost.last_year is None else cost.last_year
    falls = (years >= cost.first_year) & (years <= last)
    falls &= (years - cost.first_year) % cost.every_years == 0
    paid = -cost.per_year * falls * study.price_index(cost.course, cost.name)
    return FlowLine(name=cost.name, kind=kind, by_year=np.concatenate([[0.0], paid]))


def _incentive(one: Incentive, study: StudyPeriod) -> FlowLine:
    if study.starts is not None:
        one.check_in_force(study.starts)
    line = _once(one.name, FlowKind.INCENTIVE, amount=one.amount, year=one.year, study=study)
    if one.year == 0:
        return line
    worth = line.by_year * study.current_index(f"the incentive {one.name!r}")
    return FlowLine(name=one.name, kind=FlowKind.INCENTIVE, by_year=worth)


def _incentive_notices(one: Incentive, study: StudyPeriod) -> list[Notice]:
    found = [Notice(topic="incentive", text=one.words + ".")]
    if study.starts is not None and study.starts - one.as_of > _OLD_NEWS:
        text = f"{one.name} was looked up more than a year before the installation; look again."
        found.append(Notice(topic="incentive", text=text))
    return found


def _above_investment(flow: CashFlow) -> tuple[Notice, ...]:
    received = float(flow.of(FlowKind.INCENTIVE).sum())
    invested = -float(flow.of(FlowKind.INVESTMENT).sum())
    if received <= invested:
        return ()
    text = (
        f"The incentives of {flow.name!r}, {received:,.0f}, are more than its installation costs, "
        f"{invested:,.0f}; check both."
    )
    return (Notice(topic="incentive", text=text),)


def _loan(costs: OptionCosts, study: StudyPeriod) -> list[FlowLine]:
    if costs.loan is None:
        return []
    flows = costs.loan.yearly_flows(study.years) * study.current_index("the loan")
    return [FlowLine(name="loan", kind=FlowKind.LOAN, by_year=flows)]
