"""A second heater that helps the heat pump, or takes its place."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.flows import Conditions, Flows, Source, scaled, together
from energymodel.equipment.heat_pump import HeatPump


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BackupWith:
    """Strips, baseboard or a separate heater that run at the same time as the heat pump.

    Parameters
    ----------
    main
        The heat pump.
    backup
        Takes what the heat pump leaves.
    """

    main: Source
    backup: Source

    @property
    def uses_humidity(self) -> bool:
        """Whether either depends on outdoor humidity."""
        return self.main.uses_humidity or self.backup.uses_humidity

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        """Answer a load.

        Parameters
        ----------
        conditions
            Outdoor and indoor conditions.
        load_w
            Load, W, >= 0.

        Returns
        -------
        Flows
            Backup covers load less what the heat pump gives.
        """
        first = self.main.run(conditions, load_w)
        second = self.backup.run(conditions, first.unmet_w)
        alone = replace(first, unmet_w=np.zeros_like(load_w))
        return together(alone, second, at_once=True)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BackupInstead:
    """A furnace in the same air stream: either the heat pump or the furnace runs, never both.

    Parameters
    ----------
    main
        The heat pump; its cut-out is the switch-over temperature.
    backup
        The furnace.

    Notes
    -----
    Where the load L exceeds the heat pump's full output Q_n, the two share the time: the furnace
    runs y = (L - Q_n)/(Q_f - Q_n) of it at its full output Q_f, the heat pump 1 - y.
    """

    main: HeatPump
    backup: Source

    @property
    def uses_humidity(self) -> bool:
        """Whether either depends on outdoor humidity."""
        return self.main.uses_humidity or self.backup.uses_humidity

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        """Answer a load.

        Parameters
        ----------
        conditions
            Outdoor and indoor conditions.
        load_w
            Load, W, >= 0.

        Returns
        -------
        Flows
            Sum of the two over the hour; running power is the larger of the two.
        """
        none = np.zeros_like(load_w)
        share = self.main.operation.temperature_share(conditions.outdoor_c)
        pump = self.main.run_allowed(conditions, load_w, share=np.ones_like(load_w))
        share = np.where(pump.delivered_w > 0, share, 0.0)
        furnace_full = self.backup.run(conditions, np.full_like(load_w, 1e9)).delivered_w
        spare = furnace_full - pump.delivered_w
        y = np.divide(pump.unmet_w, spare, out=none.copy(), where=(spare > 0) & (share > 0))
        pump_share = share * (1.0 - np.minimum(y, 1.0))
        left = load_w - pump_share * pump.delivered_w
        furnace_load = np.clip(left, 0.0, (1.0 - pump_share) * furnace_full)
        furnace = self.backup.run(conditions, furnace_load)
        part = replace(scaled(pump, pump_share), unmet_w=none, outside=(share < 1.0) & (load_w > 0))
        both = together(part, furnace, at_once=False)
        return replace(both, unmet_w=np.maximum(load_w - both.delivered_w, 0.0))
