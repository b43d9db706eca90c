"""Meters of demand charges, laid out by the hour for the kernel."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def by_hour(meters: Floats) -> Floats:
    """The meters that see each hour, as pairs of number and other power (n, 2 × most at once), filled up with -1.

    A charge on the highest days has a meter for each day of the month, of which an hour concerns one.
    """
    seen = meters >= 0.0
    place = np.zeros(meters.shape[1], dtype=np.int64)
    found = np.full((meters.shape[1], 2 * int(seen.sum(axis=0).max(initial=0))), -1.0)
    for number, row in enumerate(seen):
        hours = np.flatnonzero(row)
        found[hours, 2 * place[hours]] = number
        found[hours, 2 * place[hours] + 1] = meters[number, hours]
        place[hours] += 1
    return found
