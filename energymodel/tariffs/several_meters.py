"""Several meters of one customer on one account."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from energymodel.errors import InputError
from energymodel.tariffs.bill import Bill


def together(bills: Mapping[str, Bill]) -> Bill:
    """Put the bills of several meters of one customer together.

    Parameters
    ----------
    bills
        By name of the meter, such as "house" and "heat meter"; same billing periods.

    Returns
    -------
    Bill
        All lines, each with the name of its meter before it. Its tariff is the first one's.

    Raises
    ------
    InputError
        If the bills do not belong to the same periods.
    """
    first = next(iter(bills.values()))
    for name, bill in bills.items():
        same = np.array_equal(bill.periods.starts, first.periods.starts)
        if not same or bill.energy_kwh.shape != first.energy_kwh.shape:
            raise InputError("meters with different billing periods or loads", where=name)
    return Bill(
        tariff=first.tariff,
        periods=first.periods,
        lines=tuple(
            replace(line, charge=f"{name}: {line.charge}")
            for name, bill in bills.items()
            for line in bill.lines
        ),
        energy_kwh=np.sum([bill.energy_kwh for bill in bills.values()], axis=0),
        notices=tuple(dict.fromkeys(n for bill in bills.values() for n in bill.notices)),
        defaults=tuple(dict.fromkeys(d for bill in bills.values() for d in bill.defaults)),
    )
