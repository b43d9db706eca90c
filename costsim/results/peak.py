"""The highest hour of a year of electric power, as a grid meets it."""

from __future__ import annotations

import numpy as np

from costsim.units.arrays import Floats

FIRST_DAY_H = 24
"""Hours in which an empty store is filled for the first time: no load that comes again."""
SAME = 1e-6
"""Hours so near to the highest, as a share of it, are as high."""


def peak_hour(power_w: Floats) -> tuple[int, int] | None:
    """Find the highest hour after the year's first day, and how many hours are as high.

    Parameters
    ----------
    power_w : array (n,)
        Electric power in each hour of a year [W].

    Returns
    -------
    tuple of int or None
        The first of the highest hours and their number; None where nothing is taken.

    Examples
    --------
    >>> power = np.zeros(72)
    >>> peak_hour(power) is None
    True
    >>> power[[0, 30, 54]] = 9.0, 7.0, 7.0
    >>> peak_hour(power)
    (30, 2)
    """
    after = power_w[FIRST_DAY_H:] if len(power_w) > FIRST_DAY_H else power_w
    most = float(after.max(initial=0.0))
    if most <= 0:
        return None
    high = np.flatnonzero(after >= most * (1.0 - SAME)) + (len(power_w) - len(after))
    return int(high[0]), len(high)
