"""Saving and payback against what is there now, as cells of a table."""

from __future__ import annotations

from energymodel.economics.payback import LONGEST_TOLD
from energymodel.study.comparison.outcome import Outcome


def saving_cell(outcome: Outcome) -> str:
    """Write the change of the yearly cost.

    Parameters
    ----------
    outcome
        One option.

    Returns
    -------
    str
        Money with its sign, whole; empty for the present option, and for one that serves worse.
    """
    if outcome.against_present is None or not outcome.comparable:
        return ""
    difference = -round(outcome.against_present.payback.yearly_saving)
    return f"{difference:+,}" if difference else "0"


def payback_cell(outcome: Outcome) -> str:
    """Write the simple payback.

    Parameters
    ----------
    outcome
        One option.

    Returns
    -------
    str
        Years, or why there are none; empty as for :func:`saving_cell`.
    """
    if outcome.against_present is None or not outcome.comparable:
        return ""
    payback = outcome.against_present.payback
    if not payback.cost_known:
        return "unknown"
    if payback.years is None:
        return "never"
    if payback.years > LONGEST_TOLD:
        return f">{LONGEST_TOLD:.0f}"
    return "0" if payback.years <= 0 else f"{payback.years:.1f}"
