"""What a bill needs to know of the customer beyond the load."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Customer:
    """Facts of one customer.

    Parameters
    ----------
    generator_kw
        Size of the generator, kW; None: not known.
    use_year_before_kwh
        Use of the year before, kWh, for a cap on credited feed-in; None: not known.
    demand_before_kw
        By name of a demand charge with a ratchet: highest demand of the bills before the first
        one, kW, oldest first. Without it a whole year is taken to repeat itself.
    """

    generator_kw: float | None = None
    use_year_before_kwh: float | None = None
    demand_before_kw: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
