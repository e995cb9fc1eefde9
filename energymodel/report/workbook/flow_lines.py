"""Formulas of the lines of a cash flow: what each of them takes from the inputs and the months."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.economics.cash_flow import CashFlow, FlowKind, FlowLine
from energymodel.report.workbook.bills import Bills, Part
from energymodel.report.workbook.inputs import Inputs
from energymodel.report.workbook.live import Term, added
from energymodel.report.workbook.months import Months
from energymodel.study.comparison.money_flows import OTHER_USE
from energymodel.study.comparison.outcome import Outcome

_INSTALLED, _REPLACEMENT = "installed cost", "replacement"
RUNNING = (FlowKind.ENERGY, FlowKind.UPKEEP)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Counted:
    """What a cash flow counts.

    Parameters
    ----------
    outcome
        The option.
    services
        "heating", "cooling".
    flow
        Its lines.
    """

    outcome: Outcome
    services: tuple[str, ...]
    flow: CashFlow

    def lines(self) -> tuple[FlowLine, ...]:
        """List the lines: equipment, then energy and upkeep, the loan last.

        Returns
        -------
        tuple of FlowLine
            One for the installed cost and one for each carrier even where they cost nothing as
            entered: the reader may change that.
        """
        years = self.flow.study.years + 1
        own = [line for line in self.flow.lines if not _installed(line)]
        bought = [line for line in self.flow.lines if _installed(line)]
        if not bought and self.outcome.cost_given:
            bought = [_nothing(_INSTALLED, FlowKind.INVESTMENT, years)]
        energy = [line for line in own if line.kind is FlowKind.ENERGY]
        known = {line.name for line in energy}
        energy += [
            _nothing(carrier, FlowKind.ENERGY, years)
            for carrier in self.outcome.energy_kwh
            if carrier not in known
        ]
        equipment = [line for line in own if line.kind not in (*RUNNING, FlowKind.LOAN)]
        upkeep = [line for line in own if line.kind is FlowKind.UPKEEP]
        loan = [line for line in own if line.kind is FlowKind.LOAN]
        return (*bought, *equipment, *energy, *upkeep, *loan)


def _installed(line: FlowLine) -> bool:
    return line.name == _INSTALLED and line.kind is FlowKind.INVESTMENT


def _nothing(name: str, kind: FlowKind, years: int) -> FlowLine:
    return FlowLine(name=name, kind=kind, by_year=np.zeros(years))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineFormulas:
    """Where the formulas of cash flows take their numbers from.

    Parameters
    ----------
    inputs
        Installed costs.
    months
        Energy of the year, by service and carrier.
    bills
        Charges and other use of accounts.
    indices
        By name of an energy line: cells and values of its price over today's, years 1 to N.
    """

    inputs: Inputs
    months: Months
    bills: Bills
    indices: Mapping[str, tuple[Sequence[str], Array]]

    def of_line(self, counted: Counted, line: FlowLine) -> list[str]:
        """Write the formulas of a line.

        Parameters
        ----------
        counted
            The cash flow it is in.
        line
            One of its lines.

        Returns
        -------
        list of str
            Years 0 to N; empty where the number follows no input.
        """
        nothing = [""] * line.by_year.size
        if line.kind is FlowKind.ENERGY:
            return self._energy(counted, line) or nothing
        price = self._price(counted.outcome, line)
        if price is None:
            return nothing
        if _installed(line):
            return [f"=-{price.text}", *nothing[1:]]
        shares = (line.by_year / price.value).tolist() if price.value else nothing
        return [f"={share:.15g}*{price.text}" if share else "" for share in shares]

    def _price(self, outcome: Outcome, line: FlowLine) -> Term | None:
        """Find what a line of equipment is a share of; None: an amount of its own."""
        table = outcome.planned.table
        if outcome.name not in self.inputs.installed:
            return None
        paid = Term(text=self.inputs.installed[outcome.name], value=table.installed_cost)
        if _installed(line):
            return paid
        if line.kind is FlowKind.LOAN:
            return None if table.loan is not None and table.loan.sum else paid
        again = line.kind is FlowKind.REPLACEMENT and line.name == _REPLACEMENT
        left = line.kind is FlowKind.RESIDUAL and not isinstance(table.residual, float)
        if not (again or left) or table.replacement_cost is not None:
            return None
        if table.replaced_anyway is None:
            return paid
        anyway = table.replaced_anyway.cost
        text = f"IF({paid.text}>0,{paid.text},{anyway:.15g})"
        return Term(text=text, value=paid.value or anyway)

    def _energy(self, counted: Counted, line: FlowLine) -> list[str]:
        """Money of a year at today's prices, times the price index of each year."""
        cells, index = self.indices[line.name]
        terms = self._today(counted, line.name)
        known = sum(term.value for term in terms)
        today = added(terms, -float(line.by_year[1] / index[0]) if index[0] else known)
        return [] if today is None else ["", *(f"=-({today.text})*{cell}" for cell in cells)]

    def _today(self, counted: Counted, name: str) -> list[Term]:
        outcome, services = counted.outcome, counted.services
        if name == OTHER_USE:
            return closing_terms(self.bills, outcome)
        terms = self.months.spent(outcome, services, name)
        if next(iter(outcome.cost_by_month), None) in services:  # as in Outcome.service_cost
            terms += self.bills.account(outcome.name, name)
        return terms


def closing_terms(bills: Bills, outcome: Outcome) -> list[Term]:
    """List what an account that closes no longer costs, and what replaces its other use.

    Parameters
    ----------
    bills
        Lines of all options.
    outcome
        The option.

    Returns
    -------
    list of Term
        Money per year; their sum is :attr:`Outcome.closing_saving` with the other sign.
    """
    charges = bills.account(outcome.name, part=Part.CHARGES)
    ended = [term for term in charges if term.value < 0]
    return [*ended, *bills.account(outcome.name, part=Part.OTHER_USE)]
