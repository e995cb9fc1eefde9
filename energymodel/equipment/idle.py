"""Power that a unit draws while it waits: controls, crankcase and pan heaters, indoor fan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.units import c_from_f

CRANKCASE_BELOW_C = c_from_f(55.0)
PAN_BELOW_C = c_from_f(36.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class IdlePower:
    """Idle power of one unit.

    Parameters
    ----------
    controls_w
        Both controls and sensors, while the compressor is off.
    crankcase_w, crankcase_below_c
        Crankcase heater or motor-winding heat while the compressor is off, and the outdoor
        temperature below which it is on (default 55 F, common practice).
    pan_w, pan_below_c
        Base-pan heater, running or not, and the outdoor temperature below which it is on
        (default 36 F, common practice).
    indoor_fan_w
        Indoor fan while the compressor is off, in hours with a load.
    """

    controls_w: float = 0.0
    crankcase_w: float = 0.0
    crankcase_below_c: float = CRANKCASE_BELOW_C
    pan_w: float = 0.0
    pan_below_c: float = PAN_BELOW_C
    indoor_fan_w: float = 0.0

    def electricity_w(
        self, outdoor_c: Array, run_share: Array, *, loaded: Mask, switched_on: Mask
    ) -> dict[str, Array]:
        """Mean idle power by use.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.
        run_share
            Share of the time in which the compressor runs, heating and cooling together.
        loaded
            Hours with a heating or cooling load.
        switched_on
            Hours in which the unit is connected.

        Returns
        -------
        dict of Array
            W: "controls", "crankcase heater", "pan heater", "idle fan".
        """
        off = 1.0 - np.minimum(run_share, 1.0)
        on = switched_on.astype(np.float64)
        crankcase = np.where(outdoor_c < self.crankcase_below_c, self.crankcase_w, 0.0)
        pan = np.where(outdoor_c < self.pan_below_c, self.pan_w, 0.0)
        return {
            "controls": self.controls_w * off * on,
            "crankcase heater": crankcase * off * on,
            "pan heater": pan * on,
            "idle fan": np.where(loaded, self.indoor_fan_w, 0.0) * off * on,
        }
