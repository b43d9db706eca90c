"""Rows of the kernel for slab and room that store heat, from the house and its floor."""

from __future__ import annotations

from typing import Any

import numpy as np

from costsim.engine import layout as k
from costsim.engine.water import MassSide
from costsim.study.case import Case
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.windows import parse_windows
from costsim.units.arrays import Floats, Ints

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


def put_mass_scalars(scalars: Floats, case: Case, loss_w_k: Any, mass: MassSide) -> None:
    """Write what slab and room of the two-node floor keep, of one house or many."""
    keep, drive = mass.matrices(loss_w_k)
    scalars[k.WITH_MASS] = 1.0
    scalars[k.WATER_RESISTANCE] = mass.water_resistance_k_w
    scalars[k.SLAB_SLAB], scalars[k.SLAB_ROOM] = keep[..., 0, 0], keep[..., 0, 1]
    scalars[k.ROOM_SLAB], scalars[k.ROOM_ROOM] = keep[..., 1, 0], keep[..., 1, 1]
    scalars[k.SLAB_HEAT], scalars[k.ROOM_HEAT] = drive[..., 0, 0], drive[..., 1, 0]
    scalars[k.SLAB_GAIN], scalars[k.ROOM_GAIN] = drive[..., 0, 1], drive[..., 1, 1]
    scalars[k.SLAB_FEEDBACK] = mass.feedback
    scalars[k.HOUSE_LOSS] = loss_w_k
    scalars[k.FLOOR_RESISTANCE] = 1.0 / mass.floor_room_w_k
    # above the warmest set-point, where hours of another one are warmer than the rest
    warmest = case.house.warmest_c
    scalars[k.ROOM_CEILING] = warmest + mass.room_ceiling_k


def mass_at(
    mass: MassSide, loss_w_k: Floats, outdoor_c: Floats, gains_w: Floats, setpoint_c: Floats, of: Ints
) -> tuple[dict[int, Floats], tuple[Floats, Ints]]:
    """The same of many houses, but for what is charged ahead.

    Parameters
    ----------
    mass : MassSide
        With arrays (houses,).
    loss_w_k : array (houses,)
    outdoor_c : array (temperatures, 1)
    gains_w : array (moments or 1, houses)
    setpoint_c : array (moments, houses) or (houses,)
    of : array of int (n,)
        Moment of each hour.

    Returns
    -------
    dict of int to array
        By row, that of the gains (moments or 1, houses), those of the weather (temperatures, houses).
    tuple of arrays (entries, houses) and (n,)
        Room temperatures below which load is unmet [°C], and which of them holds in each hour.
    """
    _, drive = mass.matrices(loss_w_k)
    slab, room = (drive[:, row, 2] * outdoor_c + drive[:, row, 3] * mass.ground_c for row in (0, 1))
    rows, begun = {k.GAINS: gains_w, k.SLAB_WEATHER: slab, k.ROOM_WEATHER: room}, np.arange(len(of)) >= START_H
    if setpoint_c.ndim == 1:
        steady = np.broadcast_to(setpoint_c - k.COLD_K, np.shape(loss_w_k))
        return rows, (np.stack([np.full_like(steady, NEVER_C), steady]), begun.astype(np.int64))
    below = np.stack([lowest_before(lane_c, reheating_h(lane_c)) for lane_c in setpoint_c[of].T], axis=1) - k.COLD_K
    below[~begun] = NEVER_C
    return rows, (below, np.arange(len(of)))


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
