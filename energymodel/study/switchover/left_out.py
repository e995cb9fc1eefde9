"""Why an option is left out where only those that carry the load stand beside each other."""

from __future__ import annotations

from energymodel.study.comparison.outcome import UNMET_LIMIT, Outcome


def why_left_out(outcome: Outcome) -> str:
    """Say what an option lacks.

    Parameters
    ----------
    outcome
        An option that does not carry the load or lacks a service.

    Returns
    -------
    str
        A phrase; empty where it lacks nothing.
    """
    parts = [f"gives no {service}" for service in outcome.missing_services]
    coverage = outcome.coverage
    if coverage is not None and not coverage.carries:
        parts.append(f"short of heating by {_share(coverage.unmet_share)}")
        if coverage.unmet_share <= UNMET_LIMIT:
            share = coverage.design_output_w / coverage.design_load_w
            parts[-1] = f"gives {100.0 * share:.0f} % of the heating load at the design temperature"
    if outcome.cooling_unmet_share > UNMET_LIMIT:
        parts.append(f"short of cooling by {_share(outcome.cooling_unmet_share)}")
    return " and ".join(parts)


def _share(share: float) -> str:
    return f"{100.0 * share:.2g} %"
