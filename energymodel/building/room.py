"""A room with a memory: two thermal nodes, stepped exactly.

The air node is the air with what follows it within minutes (furnishings, board surfaces); the
structure node is the rest. Held at a steady temperature the room needs exactly what its load line
says.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.building.load import LoadLine
from energymodel.building.room_mass import RoomMass
from energymodel.errors import InputError

MOST_LOSS_OF_COUPLING = 0.9
_SERIES_BELOW = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """Two thermal nodes between a heater and the outdoors.

    Parameters
    ----------
    air_j_per_k, structure_j_per_k
        Heat capacities, J/K.
    coupling_w_per_k
        Conductance between air and structure, W/K; 0 leaves the air node alone.
    air_loss_w_per_k, structure_loss_w_per_k
        Conductance of each node to the outdoors, W/K.
    gains_w
        Steady heat of people, appliances and sun into the air, W.

    Notes
    -----
    Ca dTa/dt = Ha (To - Ta) + H (Tm - Ta) + Q + G and Cm dTm/dt = Hm (To - Tm) + H (Ta - Tm),
    with Q the heater and G the gains.
    """

    air_j_per_k: float
    structure_j_per_k: float
    coupling_w_per_k: float
    air_loss_w_per_k: float
    structure_loss_w_per_k: float
    gains_w: float = 0.0

    def __post_init__(self) -> None:
        if not (self.air_j_per_k > 0 and self.structure_j_per_k > 0):
            raise InputError("a room without heat capacity", expected="above 0 J/K")
        conductances = (self.coupling_w_per_k, self.air_loss_w_per_k, self.structure_loss_w_per_k)
        if min(conductances) < 0:
            raise InputError("a conductance below zero", expected="0 W/K or more")

    @property
    def ua_w_per_k(self) -> float:
        """Heat loss per kelvin between air and outdoors in the steady state, W/K."""
        through = self.coupling_w_per_k + self.structure_loss_w_per_k
        if through == 0:
            return self.air_loss_w_per_k
        series = self.coupling_w_per_k * self.structure_loss_w_per_k / through
        return self.air_loss_w_per_k + series

    def steady_load_w(self, indoor_c: float, outdoor_c: float) -> float:
        """Heat that holds the air at a temperature, W; below zero in warm weather.

        Parameters
        ----------
        indoor_c, outdoor_c
            Air and outdoor temperature, degC.

        Returns
        -------
        float
            W.
        """
        return self.ua_w_per_k * (indoor_c - outdoor_c) - self.gains_w

    def steady_structure_c(self, indoor_c: float, outdoor_c: float) -> float:
        """Structure temperature in the steady state.

        Parameters
        ----------
        indoor_c, outdoor_c
            Air and outdoor temperature, degC.

        Returns
        -------
        float
            degC.
        """
        through = self.coupling_w_per_k + self.structure_loss_w_per_k
        if through == 0:
            return indoor_c
        inside = self.coupling_w_per_k * indoor_c
        return (inside + self.structure_loss_w_per_k * outdoor_c) / through

    def rates_per_s(self) -> tuple[float, float]:
        """Rates of decay of the two modes, slow and fast, 1/s.

        Returns
        -------
        slow, fast : float
            Positive; their inverses are the time constants in seconds.
        """
        slow, fast = _eigenvalues(self._matrix())
        return -slow, -fast

    def _matrix(self) -> Array:
        ca, cm, h = self.air_j_per_k, self.structure_j_per_k, self.coupling_w_per_k
        return np.array(
            [
                [-(h + self.air_loss_w_per_k) / ca, h / ca],
                [h / cm, -(h + self.structure_loss_w_per_k) / cm],
            ]
        )

    def _inputs(self) -> Array:
        """Effect of outdoor temperature (column 0) and of heat into the air (column 1)."""
        ca, cm = self.air_j_per_k, self.structure_j_per_k
        return np.array(
            [[self.air_loss_w_per_k / ca, 1.0 / ca], [self.structure_loss_w_per_k / cm, 0.0]]
        )


def room_for_line(line: LoadLine, mass: RoomMass, *, area_m2: float) -> Room:
    """Build the room whose steady need is a heating load line.

    Parameters
    ----------
    line
        Heating load line: slope W/K, balance and set-point.
    mass
        Thermal mass per square metre.
    area_m2
        Floor area, m2.

    Returns
    -------
    Room
        Heat loss = the slope; gains = slope x (set-point - balance temperature), so that the heat
        needed in the steady state is slope x (balance - outdoor) at the line's set-point.

    Raises
    ------
    InputError
        If the line is for cooling, or the area is too small for the heat loss.

    Examples
    --------
    >>> from energymodel.building.room_mass import room_mass
    >>> line = LoadLine(slope_w_per_k=90.0, balance_c=15.5, indoor_c=21.0, heating=True)
    >>> room = room_for_line(line, room_mass("timber-frame"), area_m2=35.0)
    >>> round(room.steady_load_w(21.0, 0.0), 6), round(line.slope_w_per_k * line.balance_c, 6)
    (1395.0, 1395.0)
    """
    if not line.heating:
        raise InputError("a cooling line for the room model", expected="a heating load line")
    coupling = mass.coupling_w_per_m2_k * area_m2
    through = mass.loss_through_structure * line.slope_w_per_k
    if not through <= MOST_LOSS_OF_COUPLING * coupling:
        raise InputError(
            f"a floor of {area_m2:.0f} m2 is too small for a heat loss of"
            f" {line.slope_w_per_k:.0f} W/K",
            expected=f"at least {through / MOST_LOSS_OF_COUPLING / mass.coupling_w_per_m2_k:.0f} m2"
            " of this type of room",
            remedy="check floor area and design load",
        )
    return Room(
        air_j_per_k=mass.air_j_per_m2_k * area_m2,
        structure_j_per_k=mass.structure_j_per_m2_k * area_m2,
        coupling_w_per_k=coupling,
        air_loss_w_per_k=line.slope_w_per_k - through,
        structure_loss_w_per_k=through * coupling / (coupling - through),
        gains_w=line.slope_w_per_k * (line.indoor_c - line.balance_c),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomStep:
    """The exact step of a room while outdoor temperature and heat stay constant.

    Parameters
    ----------
    room
        The room.
    step_s
        Length of the step, s.
    state, inputs
        Temperatures after it = state @ (air, structure) + inputs @ (outdoor degC, heat W), gains
        counted as heat; shape (2, 2) each.
    mean_state, mean_inputs
        The same for the mean temperatures during the step.
    """

    room: Room
    step_s: float
    state: Array
    inputs: Array
    mean_state: Array
    mean_inputs: Array

    def mean_c(
        self, air_c: Array, structure_c: Array, outdoor_c: Array, heat_w: Array
    ) -> tuple[Array, Array]:
        """Mean temperatures during each step.

        Parameters
        ----------
        air_c, structure_c
            Temperatures at the beginning of each step, degC.
        outdoor_c
            Outdoor temperature during each step, degC.
        heat_w
            Heat into the air, gains included, W.

        Returns
        -------
        air, structure : Array
            degC, same shape.
        """
        start, drive = np.stack([air_c, structure_c]), np.stack([outdoor_c, heat_w])
        air, structure = self.mean_state @ start + self.mean_inputs @ drive
        return air, structure

    def loss_w(self, mean_air_c: Array, mean_structure_c: Array, outdoor_c: Array) -> Array:
        """Heat loss to the outdoors.

        Parameters
        ----------
        mean_air_c, mean_structure_c
            Mean temperatures during each step, degC.
        outdoor_c
            Outdoor temperature during each step, degC.

        Returns
        -------
        Array
            W, same shape.
        """
        through_air: Array = self.room.air_loss_w_per_k * (mean_air_c - outdoor_c)
        return through_air + self.room.structure_loss_w_per_k * (mean_structure_c - outdoor_c)


def room_step(room: Room, *, step_s: float) -> RoomStep:
    """Solve a room for one step length.

    Parameters
    ----------
    room
        The room.
    step_s
        Length of the step, s.

    Returns
    -------
    RoomStep
        Closed form of the 2 x 2 matrix exponential; exact for any step length.

    Raises
    ------
    InputError
        If the step is not above zero.

    Notes
    -----
    f(A t) = f(z1) (A - r2)/(r1 - r2) + f(z2) (A - r1)/(r2 - r1) for f = exp, (exp z - 1)/z and
    (exp z - 1 - z)/z^2, with r the eigenvalues of A and z = r t (Sylvester's formula).
    """
    if not step_s > 0:
        raise InputError(f"a step of {step_s:g} s", expected="above 0 s")
    matrix, drive = room._matrix(), room._inputs()
    mean_state = _function_of(matrix, step_s, _phi_1)
    return RoomStep(
        room=room,
        step_s=step_s,
        state=_function_of(matrix, step_s, np.exp),
        inputs=step_s * mean_state @ drive,
        mean_state=mean_state,
        mean_inputs=step_s * _function_of(matrix, step_s, _phi_2) @ drive,
    )


def _eigenvalues(matrix: Array) -> tuple[float, float]:
    """Eigenvalues, nearest to zero first: real, for the room's matrix has b c >= 0."""
    half = float(matrix[0, 0] - matrix[1, 1]) / 2.0
    root = float(np.sqrt(half * half + float(matrix[0, 1] * matrix[1, 0])))
    fast = float(matrix[0, 0] + matrix[1, 1]) / 2.0 - root
    if fast == 0:
        return 0.0, 0.0
    # the product of the two is the determinant: no cancellation in the slow one
    own = float(matrix[0, 0] * matrix[1, 1] - matrix[0, 1] * matrix[1, 0])
    return own / fast, fast


def _function_of(matrix: Array, step_s: float, function: Callable[[float], float]) -> Array:
    slow, fast = _eigenvalues(matrix)
    one = np.eye(2)
    if slow == fast:
        return one * function(slow * step_s)
    by_slow = function(slow * step_s) * (matrix - fast * one) / (slow - fast)
    result: Array = by_slow + function(fast * step_s) * (matrix - slow * one) / (fast - slow)
    return result


def _phi_1(z: float) -> float:
    return float(np.expm1(z)) / z if z else 1.0


def _phi_2(z: float) -> float:
    """(exp z - 1 - z)/z^2, by its series where the difference would lose digits."""
    if abs(z) > _SERIES_BELOW:
        return (float(np.expm1(z)) - z) / (z * z)
    return 0.5 + z * (1 / 6 + z * (1 / 24 + z * (1 / 120 + z * (1 / 720 + z / 5040))))
