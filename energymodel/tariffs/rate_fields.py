"""Which fields of a rate record hold charges, and which tiers of them lack a rate."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

_STRUCTURES = (
    "energyratestructure", "flatdemandstructure", "demandratestructure", "coincidentratestructure",
)  # fmt: skip
_CHARGES = (
    *_STRUCTURES, "fixedchargefirstmeter", "fixedmonthlycharge", "mincharge", "minmonthlycharge",
    "annualmincharge", "fueladjustmentsmonthly", "demandreactivepowercharge",
)  # fmt: skip


def has_charge(content: Mapping[str, object]) -> bool:
    """Whether a record holds any charge.

    Parameters
    ----------
    content
        Fields that are not null.

    Returns
    -------
    bool
        False for the answer to a failed request.
    """
    return any(key in content for key in _CHARGES)


def tiers_without_rate(content: Mapping[str, object]) -> Iterator[str]:
    """Find the tiers that have no rate; what is no tier is told elsewhere.

    Parameters
    ----------
    content
        Fields of a record.

    Yields
    ------
    str
        Place of each tier, such as "energyratestructure[0][1]".
    """
    for key in _STRUCTURES:
        periods = content.get(key)
        for number, tiers in enumerate(periods if isinstance(periods, list) else ()):
            for place, tier in enumerate(tiers if isinstance(tiers, list) else ()):
                if isinstance(tier, dict) and tier.get("rate") is None:
                    yield f"{key}[{number}][{place}]"
