"""Second-law limit on a single test point of a rating."""

from __future__ import annotations

import numpy as np

from energymodel.equipment.curves import Function
from energymodel.equipment.limits import CARNOT_QUESTIONED, CARNOT_REFUSED, kindest_carnot
from energymodel.errors import EquipmentError
from energymodel.notices import Notice


def check_efficiency(
    label: str, function: Function, outdoor_c: float, cop: float
) -> tuple[Notice, ...]:
    """Refuse a COP or EER that no machine can have, and question one that few have.

    Parameters
    ----------
    label
        Name of the test point, for the message.
    function
        Heating or cooling.
    outdoor_c
        Outdoor temperature of the test, degC.
    cop
        COP, in cooling EER, W/W.

    Returns
    -------
    tuple of Notice
        One if it lies above 60 % of the ideal COP at the kindest approaches.

    Raises
    ------
    EquipmentError
        If it lies above 70 % of the ideal COP at the kindest approaches.

    References
    ----------
    Shares of the ideal COP: our choice.
    """
    figure = "COP" if function is Function.HEATING else "EER"
    best = float(kindest_carnot(function, np.array([outdoor_c]))[0])
    if cop > CARNOT_REFUSED * best:
        raise EquipmentError(
            f"test point {label} has {figure} {cop:.2f}, above the second-law limit",
            expected=f"below {CARNOT_REFUSED * best:.1f} W/W",
            remedy="check the unit of the value (W/W, not Btu/Wh) and whether rows are swapped",
        )
    if cop <= CARNOT_QUESTIONED * best:
        return ()
    text = f"Test point {label}: {figure} {cop:.2f} is close to what physics allows; check it."
    return (Notice(topic="efficiency", text=text),)
