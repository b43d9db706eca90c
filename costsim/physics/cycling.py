"""How often a unit starts that cannot give as little as is wanted."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from costsim.units.arrays import Floats
from costsim.units.quantity import HOUR_S


def starts_per_hour(*, load_w: ArrayLike, smallest_w: float, store_j: float) -> Floats:
    """Starts an hour of a unit that heats a store between two temperatures.

    Parameters
    ----------
    load_w : float or array (n,)
        Heat that is taken from the store [W].
    smallest_w : float
        Least heat the unit gives while it runs [W].
    store_j : float
        Heat between the temperatures at which it stops and starts: heat capacity times differential [J].

    Returns
    -------
    float or array (n,)
        Starts an hour; none where the load is nothing, or as much as the unit's least and more.

    Raises
    ------
    ValueError
        Nothing is stored.

    Notes
    -----
    On for ``S / (Q_min − Q)``, off for ``S / Q``: ``Q (Q_min − Q) / (Q_min S)`` a second, most at half of the least output.

    Examples
    --------
    80 US gallons, 5 K, a unit of 10 kW at half its output:

    >>> round(float(starts_per_hour(load_w=5e3, smallest_w=10e3, store_j=0.3028 * 992.2 * 4179 * 5)), 2)
    1.43
    """
    if store_j <= 0:
        raise ValueError(f"a store of {store_j:g} J holds nothing to cycle on")
    load = np.asarray(load_w, dtype=float)
    if smallest_w <= 0:
        return np.zeros(load.shape)
    return np.asarray(np.maximum(load * (smallest_w - load), 0.0) / (smallest_w * store_j) * HOUR_S)
