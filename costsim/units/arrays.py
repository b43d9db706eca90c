"""The arrays that everything is computed on: many floats, whole numbers, or yes and no."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
