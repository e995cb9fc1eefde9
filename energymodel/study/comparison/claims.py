"""What a seller claims of an option, held against the present spend and the estimate."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from energymodel.economics.life_cycle import life_total_guard
from energymodel.economics.payback import claimed_saving, savings_guard
from energymodel.notices import Notice
from energymodel.scenario.option_money_schema import ClaimEntry
from energymodel.study.comparison.amounts import amount
from energymodel.study.comparison.money_flows import upkeep_per_year
from energymodel.study.comparison.outcome import Comparison, Outcome

FAR_ABOVE = 1.5
"""A claimed saving over the estimate's that is flagged (our choice)."""
FAR_APART = 0.2
"""Relative difference between two costs that a claim implies and names (our choice)."""
TOPIC = "claim"


def claim_guards(
    outcome: Outcome, comparison: Comparison, *, bills_now: float | None = None
) -> Iterator[Notice]:
    """Flag claims that cannot be or do not fit together.

    Parameters
    ----------
    outcome
        The option that the claim is about.
    comparison
        All options.
    bills_now
        What the bills say that heating and cooling cost now, money per year; None: not given.

    Yields
    ------
    Notice
        One for each fault.
    """
    claim, present = outcome.planned.table.claim, comparison.present
    if claim is None or present is None:
        return
    held = _Held(
        claim=claim,
        head=f"{outcome.name}, claim of {claim.by}",
        extra_cost=outcome.first_cost - present.first_cost,
        taken_off=_replaced_in_time(outcome, present, claim.payback_years or 0.0),
        upkeep_saved=upkeep_per_year(present.planned.table)
        - upkeep_per_year(outcome.planned.table),
        currency=comparison.model.scenario.content.currency,
    )
    shared = [one for one in present.service_cost if one in outcome.service_cost]
    spend = sum(present.service_cost[one] for one in shared)
    words = f"{present.name} costs {held.money(spend)} a year now"
    found = list(held.possible(spend, words, bills_now))
    if not found and outcome.against_present is not None and outcome.carries:
        found = list(held.near(outcome.against_present.payback.yearly_saving))
    yield from found
    yield from held.fits_together()


def _replaced_in_time(outcome: Outcome, present: Outcome, years: float) -> float:
    """Later replacements, within some years, that the option spares the present one."""

    def cost(one: Outcome) -> float:
        anyway = one.planned.table.replaced_anyway
        return anyway.cost if anyway is not None and 0 < anyway.year <= years else 0.0

    return cost(present) - cost(outcome)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """A claim with what it is held against."""

    claim: ClaimEntry
    head: str
    extra_cost: float
    taken_off: float
    upkeep_saved: float
    currency: str

    def money(self, value: float) -> str:
        return amount(value, self.currency)

    @property
    def saving(self) -> float | None:
        """Yearly saving that is claimed, or that the claimed payback needs."""
        if self.claim.saving is not None:
            return self.claim.saving
        return self.needed

    @property
    def needed(self) -> float | None:
        """Yearly saving of energy that the claimed payback needs."""
        years, cost = self.claim.payback_years, self.extra_cost - self.taken_off
        if years is None or cost <= 0:
            return None
        return claimed_saving(extra_cost=cost, claimed_years=years) - self.upkeep_saved

    def possible(self, spend: float, words: str, bills_now: float | None) -> Iterator[Notice]:
        """Hold every claimed saving against what is spent."""
        limit = spend if bills_now is None else max(spend, bills_now)
        bills = "" if bills_now is None else f", by the bills {self.money(bills_now)}"
        for what, saving in self._savings():
            if savings_guard(saving, limit) is not None:
                yield Notice(
                    topic=TOPIC,
                    text=f"{self.head}: {what}; {words}{bills}. It cannot be: no more can be saved"
                    " than is spent. Ask what the claim counts, and leave it out of the decision.",
                )

    def _savings(self) -> Iterator[tuple[str, float]]:
        if self.claim.saving is not None:
            yield f"a saving of {self.money(self.claim.saving)} a year", self.claim.saving
        if self.needed is not None:
            yield (
                f"a payback of {self.claim.payback_years:g} years on"
                f" {self.money(self.extra_cost - self.taken_off)} needs"
                f" {self.money(self.needed)} a year saved",
                self.needed,
            )

    def near(self, estimated: float) -> Iterator[Notice]:
        """Hold the claim against the estimate."""
        saving = self.saving
        if saving is None or saving <= FAR_ABOVE * max(estimated, 0.0):
            return
        found = f"{saving / estimated:.1f} times the" if estimated > 0 else "more than the"
        yield Notice(
            topic=TOPIC,
            text=f"{self.head}: {self.money(saving)} a year saved is {found}"
            f" {self.money(estimated)} of this estimate. Ask for the load, the prices and the hours"
            " behind it.",
        )

    def fits_together(self) -> Iterator[Notice]:
        """Hold the figures of the claim against each other."""
        saving, years = self.claim.saving, self.claim.payback_years
        if saving and years and abs(saving * years - self.extra_cost) > FAR_APART * self.extra_cost:
            yield Notice(
                topic=TOPIC,
                text=f"{self.head}: {self.money(saving)} a year and a payback of {years:g} years"
                f" belong to a cost of {self.money(saving * years)}; the extra cost entered is"
                f" {self.money(self.extra_cost)}. Ask which price the payback is for.",
            )
        total, count = self.claim.total, self.claim.years
        if saving is None or total is None or count is None:
            return
        if life_total_guard(total, np.full(count, saving)) is not None:
            yield Notice(
                topic=TOPIC,
                text=f"{self.head}: {self.money(total)} over {count} years is not the sum of its"
                f" years, which is {self.money(saving * count)}. Ask which rise of prices the"
                f" difference of {self.money(total - saving * count)} assumes.",
            )
