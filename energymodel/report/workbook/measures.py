"""Life-cycle measures as formulas on the rows of the cash flow."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.economics.discounted_payback import DiscountedPayback
from energymodel.report.workbook.cells import Formula, Value
from energymodel.report.workbook.flow_rows import FlowRows, Flows, GainRows
from energymodel.report.workbook.gains import AHEAD
from energymodel.report.workbook.live import quoted, whole
from energymodel.study.comparison.money import AgainstPresent

NEVER, NO_RATE, SEVERAL = "never", "none", "several"
_LEAST_RATE, _HIGHEST_RATE = -0.9, 10.0
"""Rates shown: nine tenths of the money lost every year is no return."""
_NOTHING = "1E-6"
"""Money below which an extra investment is the rounding of a sum."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measures:
    """One option against what is there now.

    Parameters
    ----------
    flows
        The page.
    rows, gains
        Of the option.
    against
        The model's numbers.
    rate
        Cell with the discount rate.
    near
        Cells of the same row of the page Money, by key of the column.
    """

    flows: Flows
    rows: FlowRows
    gains: GainRows
    against: AgainstPresent
    rate: str
    near: dict[str, str]

    def extra(self) -> Formula:
        """Paid more at the start."""
        text = f"=-{self.flows.year(self.gains.gain, 0)}"
        return Formula(text=text, value=self.against.extra_at_start)

    def simple(self) -> Formula:
        """Extra at the start over what is saved in a year."""
        extra, saved = self.near["extra"], self.near["saved"]
        saves = f'IF({saved}>0,{extra}/{saved},"{NEVER}")'
        text = f'=IF({extra}<=0,IF({saved}>=0,0,"{NEVER}"),{saves})'
        years = self.against.simple.years
        return Formula(text=text, value=NEVER if years is None else years)

    def paid_back(self) -> Formula:
        """Year by year, not discounted; beyond the study only where each year gains the same."""
        later = self.flows.block(self.gains.gain, 1)
        even = f"MAX({later})-MIN({later})<=1E-9*MAX(1,ABS({self.near['saved']}))"
        beyond = f"IF({even},{self.near['simple']},{self._beyond})"
        text = self._turned(self.gains.cumulative, self.gains.paid_back, beyond)
        return Formula(text=f"={text}", value=self._years(self.against.payback_years))

    def discounted(self) -> Formula:
        """Year by year in present value."""
        rows = self.gains
        text = self._turned(rows.discounted, rows.paid_back_discounted, self._beyond)
        found = self.against.measures.discounted_payback
        return Formula(text=f"={text}", value=self._years(found.years))

    @property
    def _beyond(self) -> str:
        """Words where it is not paid back within the study."""
        simple = self.near["simple"]
        late = f"AND(ISNUMBER({simple}),{simple}<>0)"
        return f'IF({late},">{self.flows.years}","{NEVER}")'

    def _years(self, years: float | None) -> float | str:
        if years is not None:
            return years
        return f">{self.flows.years}" if self.against.simple.years else NEVER

    def _turned(self, balance: int, turns: int, otherwise: str) -> str:
        """First year in which the balance turns; 0 where it is never below zero."""
        whole_row, found = self.flows.block(balance), self.flows.block(turns, 1)
        start = self.flows.year(balance, 0)
        ahead = f"IF(MIN({whole_row})>=-{AHEAD},0,{otherwise})"
        behind = f"IF(COUNT({found})=0,{otherwise},MIN({found}))"
        return f"IF({start}>=-{AHEAD},{ahead},{behind})"

    def net(self) -> Formula:
        """Present value of all that is gained."""
        text = f"={self.flows.worth(self.gains.gain)}"
        return Formula(text=text, value=self.against.measures.net_savings)

    def running_saved(self) -> Formula:
        """Present value of the energy and upkeep saved."""
        base = self.flows.worth(self.gains.base.running)
        measures = self.against.measures
        return Formula(
            text=f"={self.flows.worth(self.rows.running)}-{base}",
            value=measures.base.running - measures.option.running,
        )

    def invested(self) -> Formula:
        """Present value of what is put in more."""
        measures = self.against.measures
        return Formula(
            text=f"={self.near['running']}-{self.near['net']}",
            value=measures.option.net_investment - measures.base.net_investment,
        )

    def ratio(self) -> Formula:
        """Put the savings over the investment."""
        saved, extra = self.near["running"], self.near["invested"]
        value = self.against.measures.saving_to_investment.value
        text = f'=IF({extra}>{_NOTHING},{saved}/{extra},"{NO_RATE}")'
        return Formula(text=text, value=NO_RATE if value is None else value)

    def adjusted(self) -> Formula:
        """Rate of return with the savings put out again at the discount rate."""
        saved, extra, years = self.near["running"], self.near["invested"], self.flows.years
        value = self.against.measures.adjusted_return.value
        rate = f"({saved}*(1+{self.rate})^{years}/{extra})^(1/{years})-1"
        has_one = f"AND({extra}>{_NOTHING},{saved}>0)"
        enough = f'IF({rate}<{_LEAST_RATE:g},"{NO_RATE}",{rate})'
        text = f'=IF({has_one},{enough},"{NO_RATE}")'
        none = value is None or value < _LEAST_RATE
        return Formula(text=text, value=NO_RATE if none or value is None else value)

    def internal(self) -> Formula:
        """Rate at which the present value of the gain is zero, where the gain changes its sign."""
        found = self.against.measures.rate_of_return
        gain, last = self.flows.block(self.gains.gain), self.flows.years
        before = self.flows.block(self.gains.signs, 0, last - 1)
        after = self.flows.block(self.gains.signs, 1, last)
        changes = f"SUMPRODUCT(({before}*{after}<0)*1)"
        guess = 0.1 if found.rate is None else round(found.rate, 3)
        rate = f"IRR({gain},{guess:g})"
        inside = f"AND({rate}>={_LEAST_RATE:g},{rate}<={_HIGHEST_RATE:g})"
        one = f'IFERROR(IF({inside},{rate},"{NO_RATE}"),"{NO_RATE}")'
        text = f'=IF({changes}=0,"{NO_RATE}",{one})'
        if len(found.rates) > 1:
            text = f'=IF({changes}=0,"{NO_RATE}",IF({changes}>1,"{SEVERAL}",{one}))'
        return Formula(text=text, value=self._internal_value())

    def _internal_value(self) -> float | str:
        found = self.against.measures.rate_of_return
        if len(found.rates) > 1:
            return SEVERAL
        rate = found.rate
        inside = rate is not None and _LEAST_RATE <= rate <= _HIGHEST_RATE
        return rate if rate is not None and inside else NO_RATE

    def words(self) -> Formula:
        """Discounted payback as a phrase."""
        rows, flows = self.gains, self.flows
        balance = flows.block(rows.discounted)
        back, again = (flows.block(row, 1) for row in (rows.paid_back_discounted, rows.open_again))
        first, last = (flows.year(rows.discounted, year) for year in (0, flows.years))
        late, due = quoted("; open again from year "), quoted(", when a later cost falls due")
        paid = (
            f'"paid back in year "&ROUNDUP(MIN({back}),0)&" ("&FIXED(MIN({back}),1)&" years)"'
            f'&IF(COUNT({again})=0,"",{late}&MIN({again})&{due})'
        )
        never = (
            f"{quoted(f'never within {counted_years(flows.years)}: ')}&{whole(f'-{last}')}"
            f"&{quoted(' of the cost is still open')}"
        )
        same = f"AND(MAX({balance})<={AHEAD},MIN({balance})>=-{AHEAD})"
        ahead = f'IF({same},"the same cost throughout","cheaper from the start")'
        used_up = quoted("cheaper to buy, costs more later: the advantage is used up in year ")
        used = f"{used_up}&MIN({again})"
        caught = f'{used}&", ahead again from year "&ROUNDUP(MIN({back}),0)'
        dearer = f'IF(MAX({balance})<={AHEAD},"never: it costs more to run",{used})'
        cheaper = f"IF(COUNT({again})=0,{ahead},IF(COUNT({back})>0,{caught},{dearer}))"
        behind = f"IF(COUNT({back})=0,{never},{paid})"
        found: DiscountedPayback = self.against.measures.discounted_payback
        return Formula(text=f"=IF({first}>=-{AHEAD},{cheaper},{behind})", value=found.words)


def counted_years(years: int) -> str:
    """Write a number of years.

    Parameters
    ----------
    years
        1 or more.

    Returns
    -------
    str
        "1 year", "15 years".
    """
    return "1 year" if years == 1 else f"{years} years"


def level_cost(cost: str, flows: Flows, rate: str, value: float) -> Value:
    """Level yearly amount that is worth as much as the life-cycle cost.

    Parameters
    ----------
    cost
        Cell with the life-cycle cost.
    flows
        For the years.
    rate
        Cell with the discount rate.
    value
        The model's number.

    Returns
    -------
    Formula
        Money per year.
    """
    return Formula(text=f"=-PMT({rate},{flows.years},{cost})", value=value)
