"""The arrays that everything is computed on: many floats, whole numbers, or yes and no."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


def hourly(values: Floats | float, n: int) -> Floats:
    """The values of all hours, or one value for each of them (n,), to be read alone; `numpy.broadcast_to` takes six times as long."""
    given: Floats = np.asarray(values, dtype=float)
    if given.ndim and given.shape != (n,):
        return np.broadcast_to(given, (n,))
    row: Floats = given.view() if given.ndim else np.ndarray((n,), buffer=given, strides=(0,))
    row.flags.writeable = False
    return row
