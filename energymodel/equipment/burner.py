"""Burners: fuel in, heat out, and what is lost by starting and by a standing pilot.

Fuel is counted on the higher heating value throughout.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from energymodel.equipment.kernel import AirCycling, PartLoadFactor, no_cycling_loss
from energymodel.errors import EquipmentError


@dataclass(frozen=True, slots=True, kw_only=True)
class Burner:
    """A burner at full fire; made by :meth:`from_afue` or :meth:`from_steady_state`.

    Parameters
    ----------
    carrier
        "natural gas", "propane", "heating oil", "kerosene", "wood" or "pellets": the name under
        which the fuel is counted.
    input_w
        Fuel input at full fire, W, higher heating value.
    efficiency
        Heat given to the air or water over fuel, 0..1.
    cycling
        Part-load factor; divides the fuel.
    pilot_w
        Fuel of a standing pilot in every hour, W.
    """

    carrier: str
    input_w: float
    efficiency: float
    cycling: PartLoadFactor = no_cycling_loss
    pilot_w: float = 0.0

    def __post_init__(self) -> None:
        if not self.input_w > 0:
            raise EquipmentError(
                f"a burner with an input of {self.input_w:g} W", expected="above 0 W"
            )
        if not self.pilot_w >= 0:
            raise EquipmentError(
                f"a pilot with an input of {self.pilot_w:g} W", expected="0 W or more"
            )
        _check_efficiency(self.efficiency)

    @classmethod
    def from_afue(cls, *, carrier: str, afue: float, input_w: float) -> Burner:
        """Burner of an appliance known by its seasonal efficiency.

        Parameters
        ----------
        carrier
            Name of the fuel.
        afue
            Annual fuel utilisation efficiency, or the overall tested efficiency of a stove, 0..1.
        input_w
            Fuel input at full fire, W.

        Returns
        -------
        Burner
            Without cycling loss and pilot: both are inside a seasonal efficiency.

        Examples
        --------
        >>> furnace = Burner.from_afue(carrier="natural gas", afue=0.95, input_w=20_000.0)
        >>> furnace.output_w
        19000.0
        """
        return cls(carrier=carrier, input_w=input_w, efficiency=afue)

    @classmethod
    def from_steady_state(
        cls, *, carrier: str, efficiency: float, input_w: float, cd: float, pilot_w: float = 0.0
    ) -> Burner:
        """Burner of an appliance known by its efficiency while firing.

        Parameters
        ----------
        carrier
            Name of the fuel.
        efficiency
            Steady-state efficiency, 0..1.
        input_w
            Fuel input at full fire, W.
        cd
            Degradation coefficient: share of the fuel lost in very short firings, 0..0.5. With a
            load a third of the output, 0.05 costs 3 % (low mass, induced draft), 0.15 costs 11 %
            (old natural draft); common practice.
        pilot_w
            Standing pilot, W: 120 W to 290 W (400 to 1,000 Btu/h), common practice.

        Returns
        -------
        Burner
            With cycling loss and pilot.
        """
        if not 0.0 <= cd <= 0.5:
            raise EquipmentError(f"a cycling coefficient of {cd:g}", expected="0 to 0.5")
        return cls(
            carrier=carrier,
            input_w=input_w,
            efficiency=efficiency,
            cycling=AirCycling(cd=cd),
            pilot_w=pilot_w,
        )

    @property
    def output_w(self) -> float:
        """Heat given at full fire, W."""
        return self.input_w * self.efficiency

    def derated(self, input_factor: float) -> Burner:
        """Return the same burner with a smaller or larger input.

        Parameters
        ----------
        input_factor
            New input over old, for instance
            :func:`energymodel.equipment.altitude.gas_input_factor`.

        Returns
        -------
        Burner
            Same efficiency, pilot and cycling loss.
        """
        return replace(self, input_w=self.input_w * input_factor)


def _check_efficiency(efficiency: float) -> None:
    if 0.0 < efficiency <= 1.0:
        return
    if 1.0 < efficiency < 1.2:
        raise EquipmentError(
            f"a burner efficiency of {efficiency:.1%} is above 100 %: net basis?",
            expected="efficiency on the higher heating value, at most 1",
            # Net over gross heating value, from memory.
            remedy="multiply a net-basis figure by 0.90 (gas), 0.92 (propane) or 0.94 (oil)",
        )
    raise EquipmentError(
        f"a burner efficiency of {efficiency:g}",
        expected="a fraction above 0 and at most 1, such as 0.95",
        remedy="write 95 % as 0.95",
    )


def input_for_output(output_w: float, *, efficiency: float) -> float:
    """Fuel input of an appliance whose plate names the output.

    Parameters
    ----------
    output_w
        Heat given at full fire, W.
    efficiency
        Output over input, 0..1.

    Returns
    -------
    float
        Fuel input, W.

    Examples
    --------
    >>> round(input_for_output(19_000.0, efficiency=0.95))
    20000
    """
    _check_efficiency(efficiency)
    return output_w / efficiency


def steady_state_from_afue(afue: float) -> float:
    """Steady-state efficiency that belongs to a seasonal one.

    Parameters
    ----------
    afue
        Annual fuel utilisation efficiency, 0..1.

    Returns
    -------
    float
        Efficiency while firing, 0..1.

    Notes
    -----
    Et = 0.0051427 AFUE(%) + 0.3989. The line lies below AFUE itself above 82 %, so it is of use
    for non-condensing appliances only.

    References
    ----------
    A commercial-building modelling guideline (published).

    Examples
    --------
    >>> round(steady_state_from_afue(0.80), 3)
    0.81
    """
    return 0.0051427 * afue * 100.0 + 0.3989
