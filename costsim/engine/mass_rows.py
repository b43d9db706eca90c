"""Rows of the kernel for slab and room that store heat, from the house and its floor."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k
from costsim.engine.water import MassSide
from costsim.study.case import Case
from costsim.tariffs.calendar import HourCalendar, parse_windows

Floats = NDArray[np.float64]
REHEAT_H, MOST_REHEAT_H, COUNTS_K = 12, 48, 0.5
"""A room that is being reheated is measured by the lowest set-point of so many hours; common practice, no source."""
START_H, NEVER_C = 24, -1e3
"""In the first day of the year slab and room find their temperatures: load is not unmet."""


def lowest_before(values: Floats, hours: int) -> Floats:
    """Lowest value of each hour and those before it (n,).

    Examples
    --------
    >>> lowest_before(np.array([3.0, 1.0, 2.0, 4.0, 5.0]), 2)
    array([3., 1., 1., 1., 2.])
    """
    padded = np.concatenate((np.full(hours, values[0]), values))
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, hours + 1).min(axis=1))


def reheating_h(setpoint_c: Floats) -> int:
    """Hours a room may take to be warm again: twelve, or half of the longest set-back.

    Examples
    --------
    >>> reheating_h(np.repeat([20.0, 16.0, 20.0], [10, 60, 10])), reheating_h(np.full(9, 20.0))
    (30, 12)
    """
    low = np.concatenate(([0], (setpoint_c < setpoint_c.max() - COUNTS_K).astype(np.int8), [0]))
    edges = np.flatnonzero(np.diff(low))
    longest = int((edges[1::2] - edges[::2]).max(initial=0))
    return max(REHEAT_H, min(longest // 2, MOST_REHEAT_H))


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
    warmest = case.house.warmest_c
    scalars[k.ROOM_CEILING] = warmest + mass.room_ceiling_k


def put_mass(
    hours: Floats, mass: MassSide, loss_w_k: float, house: tuple[Floats, Floats, Floats, Floats], calendar: HourCalendar
) -> None:
    """Write what weather and gains add to the two-node floor; `house` is set-point, gains, demand and outdoors (n,)."""
    setpoint_c, gains_w, demand_w, outdoor_c = house
    _, drive = mass.matrices(loss_w_k)
    hours[k.GAINS] = gains_w
    hours[k.COLD_BELOW] = lowest_before(setpoint_c, reheating_h(setpoint_c)) - k.COLD_K
    hours[k.COLD_BELOW, :START_H] = NEVER_C
    outside = drive[:, 2][:, None] * outdoor_c + (drive[:, 3] * mass.ground_c)[:, None]
    hours[k.SLAB_WEATHER], hours[k.ROOM_WEATHER] = outside
    if mass.precharge_k > 0:
        share = parse_windows(mass.precharge_windows).share(calendar)
        hours[k.PRECHARGE] = mass.precharge_k * share * (demand_w > 0)
