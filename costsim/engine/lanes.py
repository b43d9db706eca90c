"""What each lane of a block has for itself, put together from the scalars of a plant and of its sources."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k

Floats = NDArray[np.float64]


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
    rows[k.PER_RISE], rows[k.PER_BOTH], rows[k.PER_WATER] = 1.0 / rise, 1.0 / (water + rise), _over(water)
    rows[k.TOP], rows[k.START], rows[k.PUMP] = scalars[k.TANK_TOP], scalars[k.TANK_START], scalars[k.PUMP_POWER]
    rows[k.STATE_LOSS], rows[k.NET_LOSS] = scalars[k.LOSS_STATE], scalars[k.LOSS_NET]
    rows[k.MASS : k.OWN] = scalars[k.MASS_SCALARS].reshape(k.OWN - k.MASS, -1)
    rows[k.DROP], rows[k.PER_DROP] = scalars[k.WATER_DROP], _over(scalars[k.WATER_DROP])
    rows[k.STRATA] = scalars[k.ZONES_KEPT]
    rows[k.PER_SLAB_HEAT] = _over(scalars[k.SLAB_HEAT])
    factors = np.broadcast_to(factor, (len(source_scalars), lanes))
    for i, own in enumerate(source_scalars):
        mine = rows[k.OWN + i * k.LANE_SCALARS : k.OWN + (i + 1) * k.LANE_SCALARS]
        mine[: k.BILLED_SCALARS] = own.reshape(k.BILLED_SCALARS, -1)
        # in a slot whose kind cycles, a source without a smallest fire must lose nothing by it
        mine[k.DEGRADATION] *= mine[k.MIN_FIRE] > 0
        damp = 1.0 + mine[k.SLOPE] * rows[k.RISE]
        mine[k.DAMPED], mine[k.DAMPED_WATER] = 1.0 / damp, 1.0 / (rows[k.WATER] * damp + rows[k.RISE])
        mine[k.PER_LEAST], mine[k.FACTOR] = _over(own[k.MIN_FIRE]), 1.0 / factors[i]
    return rows


def _over(value: Any) -> Any:
    """One over a value, 0 where it is 0."""
    return np.divide(1.0, value, out=np.zeros(np.shape(value)), where=np.asarray(value) > 0)
