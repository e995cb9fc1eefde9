"""Quasi-random draws: scrambled Sobol points, in powers of two."""

from __future__ import annotations

import numpy as np
from scipy.stats import qmc

from energymodel.arrays import Array
from energymodel.errors import InputError

FEWEST, MOST = 256, 2**18
"""Of draws; between them a count is rounded up to a power of two."""


def power_of_two(count: int) -> int:
    """Round a count of draws up to a power of two: only then are Sobol points balanced.

    Parameters
    ----------
    count
        As asked for.

    Returns
    -------
    int
        The same, or the next power of two.

    Raises
    ------
    InputError
        If it is too small to read tenths from, or too large.

    Examples
    --------
    >>> power_of_two(8192), power_of_two(10_000)
    (8192, 16384)
    """
    if not FEWEST <= count <= MOST:
        raise InputError(f"{count:,} draws", expected=f"{FEWEST:,} to {MOST:,}")
    return 1 << (count - 1).bit_length()


def sobol_points(count: int, dimensions: int, *, seed: int) -> Array:
    """Scrambled Sobol points in the unit cube.

    Parameters
    ----------
    count
        A power of two.
    dimensions
        At least 1.
    seed
        The same seed gives the same points.

    Returns
    -------
    Array
        0 <= x < 1, shape (count, dimensions).

    References
    ----------
    scipy.stats.qmc.Sobol: direction numbers of Joe and Kuo (2008), scrambling of Owen and Matousek.
    """
    generator = np.random.default_rng(seed)
    engine = qmc.Sobol(dimensions, scramble=True, seed=generator)
    points: Array = engine.random_base2(int(count).bit_length() - 1)
    return points
