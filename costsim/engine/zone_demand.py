"""What each zone of the house wants in an hour, and what all zones' loops let through."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from costsim.engine.setpoint import ZonePart, zone_setpoints
from costsim.units.arrays import Floats

if TYPE_CHECKING:
    from costsim.engine.lower import LoweredStudy


def zone_demands_w(common: LoweredStudy, parts: tuple[ZonePart, ...]) -> Floats:
    """Heat that each zone wants (zones, n) [W]; together what the house wants.

    Notes
    -----
    Each loses by its share of the loss from its own balance point; gains that one zone has too much of serve the others.
    """
    gains_k = common.setpoint_c - common.balance_c
    own = np.stack(
        [
            part.load_share * np.maximum(part.setpoint_c - gains_k - common.weather.outdoor_c, 0.0) * common.loss_w_k
            for part in parts
        ]
    )
    whole = own.sum(axis=0)
    return np.asarray(own * np.divide(common.demand_w, whole, out=np.zeros_like(whole), where=whole > 0))


def floor_limit_w(common: LoweredStudy) -> Floats | float:
    """Most that the floor gives in each hour [W]: where a zone's loops are too small, what all zones' loops give together."""
    water = common.water
    most: Floats | float = water.limit_w
    if not water.zones or water.mass is not None:
        return most
    wanted = zone_demands_w(common, zone_setpoints(common.case.house, common.calendar))
    given = np.minimum(wanted, np.array([zone.limit_w for zone in water.zones])[:, None])
    short = (given < wanted).any(axis=0)
    return np.asarray(np.where(short, given.sum(axis=0), most))
