"""Array types shared by the numerical layers."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Mask: TypeAlias = NDArray[np.bool_]
Index: TypeAlias = NDArray[np.intp]


def frozen(values: object) -> Array:
    """Return a float64 copy of `values` that cannot be written to.

    Parameters
    ----------
    values
        Anything numpy turns into numbers, any shape.

    Returns
    -------
    Array
        Read-only float64 copy, same shape.
    """
    array: Array = np.array(values, dtype=np.float64)
    array.flags.writeable = False
    return array
