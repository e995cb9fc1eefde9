"""The same loads under several tariffs: which tariff suits which option."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from energymodel.errors import InputError
from energymodel.scenario.changes import changed
from energymodel.scenario.files import Scenario
from energymodel.scenario.prices import ELECTRICITY
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.comparison.supply_notices import without_supply_kwh


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TariffRanking:
    """Yearly cost of each option under each tariff.

    Parameters
    ----------
    tariffs
        Names of the tariffs, in the order given.
    option_cost
        By option: money per year for each tariff, the option's kWh as a difference of two bills.
    house_bill
        By option: the whole electricity bill of the house with the option, money per year.
    cut_short
        By option: whether it does not carry the load under each tariff because that one cuts its
        supply at times.
    currency
        Of the scenario.
    """

    tariffs: tuple[str, ...]
    option_cost: Mapping[str, tuple[float, ...]]
    house_bill: Mapping[str, tuple[float, ...]]
    cut_short: Mapping[str, tuple[bool, ...]]
    currency: str

    def best(self, option: str) -> str:
        """Name the tariff with the smallest whole bill for an option.

        Parameters
        ----------
        option
            Name of the option.

        Returns
        -------
        str
            Name of the tariff; one that cuts the supply so that the load is not carried only where
            all do.
        """
        ranked = zip(self.cut_short[option], self.house_bill[option], self.tariffs, strict=True)
        return min(ranked, key=lambda one: one[:2])[2]


def rank_tariffs(scenario: Scenario, tariffs: Sequence[Path]) -> TariffRanking:
    """Run a scenario under several tariffs.

    Parameters
    ----------
    scenario
        Its own electricity price is replaced; its `other_use_kwh` is kept.
    tariffs
        Tariff files.

    Returns
    -------
    TariffRanking
        By option and tariff.

    Raises
    ------
    InputError
        If no tariff is given, or one cannot be used.
    """
    if not tariffs:
        raise InputError("no tariff to compare", expected="one or more tariff files")
    runs = [compare(_under(scenario, path)) for path in tariffs]
    names = [outcome.name for outcome in runs[0].outcomes]
    return TariffRanking(
        tariffs=tuple(_name(run) for run in runs),
        option_cost={name: tuple(_cost(run, name) for run in runs) for name in names},
        house_bill={name: tuple(_bill(run, name) for run in runs) for name in names},
        cut_short={name: tuple(_cut_short(run, name) for run in runs) for name in names},
        currency=scenario.content.currency,
    )


def _under(scenario: Scenario, path: Path) -> Scenario:
    return changed(scenario, {f"price.{ELECTRICITY}.tariff": str(path.resolve())})


def _name(run: Comparison) -> str:
    house = run.model.prices[ELECTRICITY].house
    return house.tariff.name if house is not None else ""


def _outcome(run: Comparison, name: str) -> Outcome:
    return next(outcome for outcome in run.outcomes if outcome.name == name)


def _cost(run: Comparison, name: str) -> float:
    return _outcome(run, name).yearly_cost


def _cut_short(run: Comparison, name: str) -> bool:
    outcome = _outcome(run, name)
    return any(
        without_supply_kwh(outcome.result, service, "unmet") > 0 for service in outcome.short_of
    )


def _bill(run: Comparison, name: str) -> float:
    outcome = _outcome(run, name)
    if outcome.billed is None:
        raise InputError(f"{name} was not billed under a tariff")
    return outcome.billed.whole_bill
