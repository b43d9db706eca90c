"""What each lane of a block has for itself, put together from the scalars of a plant and of its sources."""

from __future__ import annotations

import numpy as np

from costsim.engine import layout as k
from costsim.units.arrays import Floats


def lanes_of(
    scalars: Floats,
    source_scalars: Floats,
    lanes: int,
    *,
    loss_w_k: Floats | float = 0.0,
    shift_k: Floats | float = 0.0,
    limit_w: Floats | float = np.inf,
    factor: Floats | float = 1.0,
    indoor_temperature_c: Floats | float = 0.0,
    steps: Floats | float = 0.0,
    other: Floats | float = 1.0,
) -> Floats:
    """What each lane has for itself (LANES, lanes).

    Parameters
    ----------
    scalars : array (SCALARS,) or (SCALARS, lanes)
    source_scalars : array (sources, BILLED_SCALARS) or (sources, BILLED_SCALARS, lanes)
    lanes : int
    loss_w_k, shift_k : arrays (lanes,) or floats
        Loss per kelvin [W/K], zero for the demand of the hours, and shift of the balance point [K].
    limit_w : array (lanes,) or float
        Most the floor can give, beside that of the hours.
    factor : array (sources, lanes) or float
        On heat per input.
    indoor_temperature_c : array (lanes,) or float
        Added to the set-point of the hours.
    steps : array (lanes,) or float
        Steps for each watt of electricity in the sum of all lanes.
    other : array (lanes,) or float
        Factor on what else is on the meters.
    """
    rows = np.zeros((k.LANES, lanes))
    rise, water = scalars[k.TANK_RISE], scalars[k.WATER_RESISTANCE]
    rows[k.LOSS], rows[k.SHIFT], rows[k.LIMIT], rows[k.STEPS] = loss_w_k, shift_k, limit_w, steps
    rows[k.INDOOR], rows[k.OTHER] = indoor_temperature_c, other
    rows[k.KEEP], rows[k.RISE], rows[k.WATER] = scalars[k.TANK_KEEP], rise, water
    rows[k.PER_RISE], rows[k.PER_BOTH] = 1.0 / rise, 1.0 / (water + rise)
    rows[k.TOP], rows[k.START], rows[k.PUMP] = scalars[k.TANK_TOP], scalars[k.TANK_START], scalars[k.PUMP_POWER]
    rows[k.STATE_LOSS], rows[k.NET_LOSS] = scalars[k.LOSS_STATE], scalars[k.LOSS_NET]
    rows[k.MASS : k.OWN] = scalars[k.MASS_SCALARS].reshape(k.OWN - k.MASS, -1)
    rows[k.DROP], rows[k.STRATA], rows[k.HELD] = scalars[k.WATER_DROP], scalars[k.ZONES_KEPT], scalars[k.KEPT_HOT]
    rows[_OVER, :] = _over(rows[_UNDER, :])
    count = len(source_scalars)
    own = rows[k.OWN : k.OWN + count * k.LANE_SCALARS].reshape(count, k.LANE_SCALARS, lanes)
    own[:, : k.BILLED_SCALARS] = source_scalars.reshape(count, k.BILLED_SCALARS, -1)
    # in a slot whose kind cycles, a source without a smallest fire must lose nothing by it, and run its fans through the hour
    own[:, k.DEGRADATION] *= own[:, k.MIN_FIRE] > 0
    damp = 1.0 + own[:, k.SLOPE] * rows[k.RISE]
    own[:, k.DAMPED], own[:, k.DAMPED_WATER] = 1.0 / damp, 1.0 / (rows[k.WATER] * damp + rows[k.RISE])
    own[:, k.PER_LEAST], own[:, k.FACTOR] = _over(own[:, k.MIN_FIRE], none=EVER), 1.0 / np.asarray(factor)
    return rows


_UNDER, _OVER = (k.WATER, k.DROP, k.MASS + k.SLAB_HEAT - k.SLAB_SLAB), (k.PER_WATER, k.PER_DROP, k.PER_SLAB_HEAT)


EVER = 1e30
"""One over the smallest fire of what has none [1/W], so that it is never below it."""


def _over(values: Floats, none: float = 0.0) -> Floats:
    """One over each value, `none` where it is 0."""
    empty: Floats = np.full(values.shape, none)
    return np.divide(1.0, values, out=empty, where=values > 0)
