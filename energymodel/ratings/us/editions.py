"""Editions of the US procedure: what differs between Appendix M1, Appendix M and older texts.

Every doubtful number of the procedure is a field here; `dataclasses.replace` makes a variant.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from energymodel.ratings.us.load import CapacityRule, HeatingLoadRule, RequirementRule


class BetweenSpeeds(Enum):
    """Efficiency of a variable-speed unit between its minimum and its full capacity."""

    LINEAR_IN_LOAD = "linear in load at each bin"
    QUADRATIC_IN_TEMPERATURE = "quadratic in temperature through three crossings of the load line"


class BelowFiveF(Enum):
    """How the full-speed lines go on below an optional 5 F test."""

    SLOPE_17_47 = "from the 5 F point with the slope between 17 and 47 F"
    SLOPE_5_17 = "the line through 5 and 17 F"


class LimitingReference(Enum):
    """Minimum-speed values at 35 F in the blend of a minimum-speed-limiting unit."""

    LINE_47_62 = "on the line through 47 and 62 F"
    LINE_35_47 = "on the line through 35 and 47 F, so equal to the intermediate test"


@dataclass(frozen=True, slots=True, kw_only=True)
class DefaultCd:
    """Degradation coefficients where no cyclic test was made; also upper limits of tested ones.

    Parameters
    ----------
    cooling_fixed
        Cooling, single speed and two capacity.
    cooling_unmatched
        Cooling, outdoor unit without match.
    cooling_variable
        Cooling, variable speed.
    heating
        Heating, all types.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, sections 3.5.3 and 3.8.1 (from memory; all of them
    doubtful except 0.25 of the older cooling edition, quoted).
    """

    cooling_fixed: float = 0.20
    cooling_unmatched: float = 0.25
    cooling_variable: float = 0.25
    heating: float = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class FullSpeedEstimate:
    """Slopes that give a missing full-speed point at 47 F from the one at 17 F.

    Parameters
    ----------
    capacity_split_per_f, capacity_package_per_f
        CSF, 1/degF: split and single package. Doubtful.
    power_per_f
        PSF, 1/degF. Doubtful.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M1, section 3.6.4 (from memory).
    """

    capacity_split_per_f: float = 0.0204
    capacity_package_per_f: float = 0.0262
    power_per_f: float = 0.00455


@dataclass(frozen=True, slots=True, kw_only=True)
class DefrostCredit:
    """Limits of the demand-defrost credit.

    Parameters
    ----------
    largest
        Credit at the shortest time between defrosts. Doubtful.
    shortest_h, longest_h
        Time between defrosts is at least, and the control's limit at most, this, h. Doubtful.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, section 3.9.2 (from memory).
    """

    largest: float = 0.03
    shortest_h: float = 1.5
    longest_h: float = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FiveFRule:
    """What the optional 5 F test changes.

    Parameters
    ----------
    below
        Full-speed lines below 5 F. Doubtful; under 0.01 % of HSPF2 in region IV (computed).
    single_speed_and_two_capacity
        Whether the test also counts for these types. Doubtful.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M1, section 4.2 (from memory).
    """

    below: BelowFiveF = BelowFiveF.SLOPE_17_47
    single_speed_and_two_capacity: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Edition:
    """One edition of the procedure.

    Parameters
    ----------
    name
        As printed.
    cooling_metric, heating_metric
        Names of its seasonal figures.
    heating_load
        Sizing of the heating load line.
    variable_speed_cooling_load
        V, factor on the cooling load of variable-speed heat pumps. Doubtful: 0.93 in M1.
    between_speeds
        Rule for variable speed between minimum and full capacity. A two-point variant of very
        old editions is left out.
    five_f
        Use of the optional 5 F test; None: not part of the edition.
    minimum_speed_limiting
        Blend reference of minimum-speed-limiting units; None: not part of the edition. Doubtful.
    cd
        Default degradation coefficients. Doubtful.
    full_speed_estimate
        Full-speed point at 47 F where it was not tested. Doubtful.
    defrost_credit
        Demand-defrost credit. Doubtful.
    btu_per_wh
        Btu per Wh in the heating formulas. Doubtful: 3.413 in the appendices, 3.412 in the
        industry standard; 0.01 % of HSPF2 (computed).

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1 (from memory). M applies to representations from 5
    July 2017 to 31 December 2022, M1 from 1 January 2023 (opening paragraphs of Appendix M).
    """

    name: str
    cooling_metric: str
    heating_metric: str
    heating_load: HeatingLoadRule
    variable_speed_cooling_load: float = 1.0
    between_speeds: BetweenSpeeds = BetweenSpeeds.LINEAR_IN_LOAD
    five_f: FiveFRule | None = None
    minimum_speed_limiting: LimitingReference | None = None
    cd: DefaultCd = DefaultCd()
    full_speed_estimate: FullSpeedEstimate = FullSpeedEstimate()
    defrost_credit: DefrostCredit = DefrostCredit()
    btu_per_wh: float = 3.413


M1 = Edition(
    name="10 CFR 430 Appendix M1",
    cooling_metric="SEER2",
    heating_metric="HSPF2",
    heating_load=CapacityRule(),
    variable_speed_cooling_load=0.93,
    five_f=FiveFRule(),
    minimum_speed_limiting=LimitingReference.LINE_47_62,
)
"""Representations from 1 January 2023."""

M = Edition(
    name="10 CFR 430 Appendix M",
    cooling_metric="SEER",
    heating_metric="HSPF",
    heating_load=RequirementRule(),
)
"""Representations from 5 July 2017 to 31 December 2022."""

M_BEFORE_2016 = Edition(
    name="10 CFR 430 Appendix M before the 2016 rule",
    cooling_metric="SEER",
    heating_metric="HSPF",
    heating_load=RequirementRule(),
    between_speeds=BetweenSpeeds.QUADRATIC_IN_TEMPERATURE,
    cd=DefaultCd(cooling_fixed=0.25),
)
"""Older text: quadratic rule between speeds, all default coefficients 0.25."""
