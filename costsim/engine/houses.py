"""Many houses in one place lowered at once: scalars by house, and what sources see of them at the year's moments."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.engine.lower import LoweredStudy, Point, house_scalars, seen_by_sources, steady_house
from costsim.engine.uses import UseSide
from costsim.physics.demand import degree_hour_demand_w
from costsim.sources.houses import Houses, Moments
from costsim.study.case import Case
from costsim.study.heat_loss import Route

Floats = NDArray[np.float64]


def lower_houses(common: LoweredStudy, case: Case, moments: Moments) -> tuple[Point, Floats, Houses]:
    """Lower houses whose figures are arrays.

    Parameters
    ----------
    common : LoweredStudy
        As lowered for another house in the same place.
    case : Case
        Differs from `common.case` in its ``[house]`` table alone, whose figures may be arrays (houses,) and that of the set-point is.
    moments : Moments

    Returns
    -------
    point : Point
        Of all houses (houses,).
    scalars : array (SCALARS, houses)
    houses : Houses
        What sources see of them.
    """
    found = steady_house(common, case)
    if found is None:
        raise ValueError("hours of these houses differ by more than weather and uses")
    shape = np.shape(found.loss_w_k)
    balance = np.broadcast_to(np.asarray(found.balance_c, dtype=float), shape)
    point = Point(found.loss_w_k, found.setpoint_c, balance, found.water)
    whole, first = common.surroundings, moments.first
    outdoor = common.weather.outdoor_c[first][:, None]
    house: dict[str, Any] = {
        "demand_w": degree_hour_demand_w(loss_w_k=point.loss_w_k, balance_c=balance, outdoor_c=outdoor),
        "setpoint_c": point.setpoint_c,
        "route": Route("", "", point.loss_w_k * (point.setpoint_c - common.design_outdoor_c), 0.0),
    }
    seen = replace(
        whole,
        weather=replace(common.weather, outdoor_c=outdoor),
        **seen_by_sources(house, point.water, _uses_at(common.uses, moments)),
    )
    uses_w = np.zeros(len(first)) if common.uses is None else common.uses.heat_w[first]
    return point, house_scalars(common, case, point), Houses(seen, whole, moments, uses_w)


def _uses_at(uses: UseSide | None, moments: Moments) -> UseSide | None:
    """The uses at each moment, for all houses (moments, 1)."""
    if uses is None:
        return None
    heat, needs = (row[moments.first][:, None] for row in (uses.heat_w, uses.needs_c))
    return replace(uses, heat_w=heat, needs_c=needs)
