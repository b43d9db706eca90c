"""Slab and room as two nodes, solved exactly over the hour, and how a house cools when the heat fails."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from costsim.units.arrays import Floats
from costsim.units.table import HOUR_S


@dataclass(frozen=True, slots=True)
class TwoNode:
    """Heat capacities [J/K] of slab and room, and what couples them to each other, ground and outdoors [W/K]; floats or arrays."""

    slab_j_k: Any
    room_j_k: Any
    floor_room_w_k: Any
    floor_ground_w_k: Any
    loss_w_k: Any


def discretise(house: TwoNode, step_s: float = HOUR_S) -> tuple[Floats, Floats]:
    """Solve the two nodes over one step with constant inputs, exactly.

    Parameters
    ----------
    house : TwoNode
    step_s : float
        Length of the step [s].

    Returns
    -------
    keep : array (2, 2), of many houses (houses, 2, 2)
        What slab and room temperature (in that order) become of each other.
    drive : array (2, 4), of many houses (houses, 2, 4)
        Kelvin at the step's end for each watt into the slab, watt of gains into the room, °C outdoors and °C of ground.

    Notes
    -----
    ``C_f dT_f/dt = Q − H_fr (T_f − T_r) − H_fg (T_f − T_g)`` and ``C_r dT_r/dt = H_fr (T_f − T_r) + G − UA (T_r − T_o)``;
    matrix exponential of the system with its inputs appended, which also holds where it is singular.

    Examples
    --------
    >>> keep, drive = discretise(TwoNode(2.3e7, 5e6, 1000.0, 0.0, 200.0))
    >>> round(float(keep[0].sum() + drive[0, 2]), 6)
    1.0
    """
    link, down, out = house.floor_room_w_k, house.floor_ground_w_k, house.loss_w_k
    rows = (-link - down, link, 1.0, 0.0, 0.0, down), (link, -link - out, 0.0, 1.0, out, 0.0)
    shape = np.broadcast_shapes(
        *(np.shape(parameter) for parameter in (link, down, out, house.slab_j_k, house.room_j_k))
    )
    system = np.zeros((*shape, 6, 6))
    for row, (values, capacity) in enumerate(zip(rows, (house.slab_j_k, house.room_j_k), strict=True)):
        for column, value in enumerate(values):
            system[..., row, column] = value / capacity
    moved = _exponential(system * step_s)
    return np.ascontiguousarray(moved[..., :2, :2]), np.ascontiguousarray(moved[..., :2, 2:])


def _exponential(a: Floats) -> Floats:
    """Matrix exponential by scaling and squaring of its series; scipy's own takes longer to import than a comparison may last.

    Each of many is scaled by itself, so that a house's does not depend on those beside it.
    """
    halvings = np.maximum(0, np.frexp(np.abs(a).sum(axis=-1).max(axis=-1))[1] + 1)[..., None, None]
    small = a / 2.0**halvings  # norm below a half, so that the term after the last is below 1e-20
    term = whole = np.eye(a.shape[-1])
    for n in range(1, 17):
        term = term @ small / n
        whole = whole + term
    for done in range(int(halvings.max())):
        whole = np.where(done < halvings, whole @ whole, whole)
    return whole


def steady_feedback(house: TwoNode, step_s: float = HOUR_S) -> float:
    """Kelvin of slab for each kelvin the room is cold, from which on slab and room swing ever wider.

    Parameters
    ----------
    house : TwoNode
    step_s : float
        How often the control looks at the room [s].

    Returns
    -------
    float
        Infinite where none does. A floor without limits is assumed, which real ones keep the swing within.

    Notes
    -----
    A slab set to ``−F`` times the room's excess a step ago moves both by ``[[0, −F], [a, b − sF]]`` with
    ``s = drive_r / drive_f``, ``a = keep_rf − s keep_ff``, ``b = keep_rr − s keep_fr``. They come to rest where
    ``det < 1`` and ``1 + trace + det > 0`` (E. I. Jury's criterion for two dimensions, 1964; ``1 − trace + det > 0``
    holds as ``b < 1``).

    Examples
    --------
    >>> round(steady_feedback(TwoNode(2.3e7, 5e6, 1080.0, 0.0, 150.0)), 1)
    4.7
    """
    keep, drive = discretise(house, step_s)
    share = drive[1, 0] / drive[0, 0]
    lag, stay = keep[1, 0] - share * keep[0, 0], keep[1, 1] - share * keep[0, 1]
    bounds = [1.0 / lag] if lag > 0 else []
    return float(min([*bounds, *([(1.0 + stay) / (share - lag)] if share > lag else [])], default=np.inf))


def hours_to(room_c: Floats, level_c: float) -> int | None:
    """First hour at whose end the room is below a level; None where it never is.

    Examples
    --------
    >>> hours_to(np.array([19.0, 15.0, 9.0]), 10.0)
    3
    """
    below = np.flatnonzero(room_c < level_c)
    return int(below[0]) + 1 if len(below) else None
