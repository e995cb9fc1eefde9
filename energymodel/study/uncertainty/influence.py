"""Which inputs make the spread: first-order and total Sobol indices."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Indices:
    """Shares of the variance of an output, by input.

    Parameters
    ----------
    first_order
        Share that an input makes alone, shape (inputs,).
    total
        Share in which it has a part, together with others, shape (inputs,).
    variance
        Of the output, its unit squared.
    """

    first_order: Array
    total: Array
    variance: float


def crossed_design(points: Array) -> Array:
    """Make the rows at which an output must be known for the indices.

    Parameters
    ----------
    points
        Independent points in the unit cube, shape (n, 2 x inputs): the left half is A, the right
        half is B.

    Returns
    -------
    Array
        A, then B, then A with its first column from B, with its second, ...; shape
        ((inputs + 2) n, inputs).

    Examples
    --------
    >>> crossed_design(np.array([[0.1, 0.2, 0.8, 0.9]])).tolist()
    [[0.1, 0.2], [0.8, 0.9], [0.8, 0.2], [0.1, 0.9]]
    """
    inputs = points.shape[1] // 2
    a, b = points[:, :inputs], points[:, inputs:]
    crossed = []
    for column in range(inputs):
        mixed = a.copy()
        mixed[:, column] = b[:, column]
        crossed.append(mixed)
    return np.concatenate([a, b, *crossed])


def sobol_indices(output: Array, inputs: int) -> Indices:
    """Estimate first-order and total indices.

    Parameters
    ----------
    output
        At the rows of :func:`crossed_design`, shape ((inputs + 2) n,).
    inputs
        Number of inputs.

    Returns
    -------
    Indices
        Zeros where the output does not vary; estimates may lie a little outside 0..1.

    Notes
    -----
    With f centred on its mean over A and B: S_i = mean(f(B) (f(A_i) - f(A))) / V and
    T_i = mean((f(A) - f(A_i))^2) / (2 V), A_i being A with column i from B.

    References
    ----------
    First order: Saltelli, Annoni, Azzini, Campolongo, Ratto and Tarantola, Computer Physics
    Communications 181 (2010) 259-270, Table 2 (b); total: Jansen, Computer Physics Communications
    117 (1999) 35-43, Table 2 (f) of the former. Both from memory.
    """
    values = output.reshape(inputs + 2, -1)
    base = values[:2]
    centred = values - base.mean()
    variance = float(np.var(base))
    if variance <= 1e-18 * max(float(np.abs(base).max()) ** 2, 1e-300):
        return Indices(first_order=np.zeros(inputs), total=np.zeros(inputs), variance=0.0)
    a, b, crossed = centred[0], centred[1], centred[2:]
    return Indices(
        first_order=np.mean(b * (crossed - a), axis=1) / variance,
        total=np.mean((a - crossed) ** 2, axis=1) / (2.0 * variance),
        variance=variance,
    )
