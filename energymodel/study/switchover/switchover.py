"""At what temperature and at what price the answer flips, for one scenario."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from energymodel.notices import Notice
from energymodel.scenario.files import Scenario
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.switchover.left_out import why_left_out
from energymodel.study.switchover.lockout import Lockout, lockouts
from energymodel.study.switchover.pair_flips import PAYBACK_YEARS, PairFlips, pair_flips
from energymodel.study.switchover.pairs import SwitchPair, switch_pairs


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SwitchoverResult:
    """Where the answer flips.

    Parameters
    ----------
    comparison
        What was run.
    pairs
        Each heat pump against each other source of heat: break-even COP and balance points.
    lockouts
        Best switch temperature of each option with a heat pump and its own backup.
    flips
        Prices, installed cost, load and in-service factor at which the ranking changes.
    notices
        What the reader should know.
    """

    comparison: Comparison
    pairs: tuple[SwitchPair, ...]
    lockouts: tuple[Lockout, ...]
    flips: tuple[PairFlips, ...]
    notices: tuple[Notice, ...]


def switchover(
    scenario: Comparison | Scenario | str | Path | None = None,
    *,
    limit_years: float = PAYBACK_YEARS,
) -> SwitchoverResult:
    """Find the temperatures and prices at which the answer flips.

    Parameters
    ----------
    scenario
        A comparison that was run, a scenario, the path of its file, or None for the demo.
    limit_years
        Limit of simple payback for the flip values, years.

    Returns
    -------
    SwitchoverResult
        Parts without an answer are empty, and a notice says why.

    Raises
    ------
    EnergyModelError
        If the scenario cannot be used.

    Examples
    --------
    >>> result = switchover()
    >>> result.pairs[0].other, result.pairs[0].answer
    ('Electric baseboard', 'always cheaper')
    """
    comparison = scenario if isinstance(scenario, Comparison) else compare(scenario)
    pairs = switch_pairs(comparison)
    flips = pair_flips(comparison, limit_years=limit_years)
    found = lockouts(comparison)
    return SwitchoverResult(
        comparison=comparison,
        pairs=pairs,
        lockouts=found,
        flips=flips,
        notices=tuple(_notices(comparison, pairs, found, flips)),
    )


def _notices(
    comparison: Comparison,
    pairs: tuple[SwitchPair, ...],
    found: tuple[Lockout, ...],
    flips: tuple[PairFlips, ...],
) -> list[Notice]:
    texts = []
    if not pairs:
        texts.append("No heat pump stands against another source of heat in this scenario.")
    if not flips:
        texts.append("Fewer than two options carry the load: there is no ranking to flip.")
    left_out = [
        f"{one.name} ({why_left_out(one)})"
        for one in comparison.outcomes
        if not one.carries and not one.present
    ]
    if left_out:
        texts.append(f"Left out of the flip values and the price map: {', '.join(left_out)}.")
    if pairs and any(price.house is not None for price in comparison.model.prices.values()):
        texts.append(
            "Under a tariff, balance points use the mean price that heating adds to the bill; the"
            " best switch temperature uses the electricity price of each hour."
        )
    if any(one.forced_hours for one in found):
        texts.append(
            "In hours in which the tariff cuts its supply the heat pump stands still at any"
            " temperature; the balance points by temperature do not count them."
        )
    return [Notice(topic="switchover", text=text) for text in texts]
