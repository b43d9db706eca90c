"""Rows of the kernel for slab and room that store heat, from the house and its floor."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k
from costsim.engine.water import MassSide
from costsim.study.case import Case
from costsim.tariffs.calendar import HourCalendar, parse_windows

Floats = NDArray[np.float64]
REHEAT_H = 12
"""A room that is being reheated is measured by the lowest set-point of so many hours."""


def lowest_before(values: Floats, hours: int) -> Floats:
    """Lowest value of each hour and those before it (n,).

    Examples
    --------
    >>> lowest_before(np.array([3.0, 1.0, 2.0, 4.0, 5.0]), 2)
    array([3., 1., 1., 1., 2.])
    """
    padded = np.concatenate((np.full(hours, values[0]), values))
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, hours + 1).min(axis=1))


def put_mass_scalars(scalars: Floats, case: Case, loss_w_k: float, mass: MassSide) -> None:
    """Write what slab and room of the two-node floor keep."""
    keep, drive = mass.matrices(loss_w_k)
    scalars[k.WITH_MASS] = 1.0
    scalars[k.WATER_RESISTANCE] = mass.water_resistance_k_w
    scalars[k.SLAB_SLAB], scalars[k.SLAB_ROOM] = keep[0]
    scalars[k.ROOM_SLAB], scalars[k.ROOM_ROOM] = keep[1]
    scalars[k.SLAB_HEAT], scalars[k.ROOM_HEAT] = drive[:, 0]
    scalars[k.SLAB_GAIN], scalars[k.ROOM_GAIN] = drive[:, 1]
    scalars[k.SLAB_FEEDBACK] = mass.feedback
    scalars[k.HOUSE_LOSS] = loss_w_k
    scalars[k.FLOOR_RESISTANCE] = 1.0 / mass.floor_room_w_k
    # above the warmest set-point, where hours of another one are warmer than the rest
    warmest = max([case.house.indoor_temperature_c, *(one.indoor_temperature_c for one in case.house.setback)])
    scalars[k.ROOM_CEILING] = warmest + mass.room_ceiling_k


def put_mass(
    hours: Floats, mass: MassSide, loss_w_k: float, house: tuple[Floats, Floats, Floats, Floats], calendar: HourCalendar
) -> None:
    """Write what weather and gains add to the two-node floor; `house` is set-point, gains, demand and outdoors (n,)."""
    setpoint_c, gains_w, demand_w, outdoor_c = house
    _, drive = mass.matrices(loss_w_k)
    hours[k.GAINS] = gains_w
    hours[k.COLD_BELOW] = lowest_before(setpoint_c, REHEAT_H) - k.COLD_K
    outside = drive[:, 2][:, None] * outdoor_c + (drive[:, 3] * mass.ground_c)[:, None]
    hours[k.SLAB_WEATHER], hours[k.ROOM_WEATHER] = outside
    if mass.precharge_k > 0:
        share = parse_windows(mass.precharge_windows).share(calendar)
        hours[k.PRECHARGE] = mass.precharge_k * share * (demand_w > 0)
