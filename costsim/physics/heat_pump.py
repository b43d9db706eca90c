"""Air-to-water heat pumps: coefficient of performance, capacity in the cold and defrosting."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from costsim.units.arrays import Floats
from costsim.units.table import ZERO_C_K

# Lifts of the certified points that the default curve was fitted to [K], and its coefficients.
FIT_LOW_K, FIT_HIGH_K = 12.0, 59.0
_CURVE = (10.197, -0.25444, 0.00195196)
CERTIFIED_SPREAD = 0.10
"""Standard deviation of certified units around their mean, as a share: 0.22 of 2.09 at A−7/W52, 0.05 to 0.09 elsewhere."""
LEAST_LIFT_K = 15.0  # of a share of the ideal


def carnot_cop(*, sink_c: ArrayLike, source_c: ArrayLike, share: float = 1.0) -> Floats:
    """Coefficient of performance as a share of Carnot's.

    Parameters
    ----------
    sink_c, source_c : float or array (n,)
        Temperatures of the heating water and of the outdoor air [°C].
    share : float
        Share of the ideal that the machine reaches, 0.3–0.5 in practice.

    Returns
    -------
    float or array (n,)
        Heat per electricity, at least 1. Lifts under 15 K count as 15 K: no machine follows Carnot to infinity.

    Notes
    -----
    ``η · T_sink / (T_sink − T_source)`` in kelvin.

    Examples
    --------
    >>> round(float(carnot_cop(sink_c=35.0, source_c=2.0)), 3)
    9.338
    """
    sink = np.asarray(sink_c, dtype=float)
    lift_k = np.maximum(sink - np.asarray(source_c, dtype=float), LEAST_LIFT_K)
    return np.asarray(np.maximum(share * (sink + ZERO_C_K) / lift_k, 1.0))


def certified_cop(*, lift_k: ArrayLike) -> Floats:
    """Coefficient of performance of an average certified air-to-water unit with a regulated compressor, from the lift.

    Parameters
    ----------
    lift_k : float or array (n,)
        Water that leaves the unit minus outdoor air [K].

    Returns
    -------
    float or array (n,)
        Heat per electricity, 1…7.4, defrosting of the test points included.

    Notes
    -----
    ``10.197 − 0.25444 ΔT + 0.00195196 ΔT²``, a least-squares fit to the mean of 2,845 units rated to EN 14825 (average climate,
    water at 35 and 55 °C), whose eight points lie 12 to 59 K apart and have a mean COP of 4.60. Below 12 K the value at
    12 K holds. Above 59 K the product of COP and lift is kept: a machine that far up reaches the same share of the ideal.
    Part-load points: a unit at full speed in mild weather does worse.

    References
    ----------
    European list of certified units (2016 to 2021) by planes fitted to each unit's points, in a public package under the
    MIT licence; the spread of single units around the mean is `CERTIFIED_SPREAD`.

    Examples
    --------
    >>> certified_cop(lift_k=[28.0, 59.0]).round(2)
    array([4.6 , 1.98])
    """
    lift = np.maximum(np.asarray(lift_k, dtype=float), FIT_LOW_K)
    inside = np.minimum(lift, FIT_HIGH_K)
    cop = _CURVE[0] + _CURVE[1] * inside + _CURVE[2] * inside**2
    return np.asarray(np.maximum(cop * inside / lift, 1.0))


def over_points(
    *,
    outdoor_c: ArrayLike,
    supply_c: ArrayLike,
    test_outdoor_c: Sequence[float],
    test_supply_c: Sequence[float],
    test_value: Sequence[float],
    carried_on: bool = False,
) -> Floats:
    """Value between test points: at each tested outdoor temperature straight over the supply, between these straight over outdoors.

    Parameters
    ----------
    outdoor_c, supply_c : float or array (n,)
        Outdoor air, and water that leaves the unit [°C].
    test_outdoor_c, test_supply_c, test_value : sequence of float
        Test points [°C], [°C] and what was found there.
    carried_on : bool
        Whether the coldest line goes on in colder air; else the coldest points are held, as the warmest always are.

    Returns
    -------
    array (n,)
        A test point gives its own value; beyond the supplies tested at one outdoor temperature the last one is held.

    Examples
    --------
    >>> over_points(outdoor_c=4.5, supply_c=40.0, test_outdoor_c=(2, 2, 7), test_supply_c=(35, 45, 35), test_value=(7.0, 6.0, 9.0))
    array(7.75)
    """
    outdoor, supply = np.asarray(outdoor_c, dtype=float), np.asarray(supply_c, dtype=float)
    points = sorted(zip(test_outdoor_c, test_supply_c, test_value, strict=True))
    nodes = np.unique([point[0] for point in points])
    rows = []
    for node in nodes:
        there = [point[1:] for point in points if point[0] == node]
        rows.append(np.interp(supply, [water_c for water_c, _ in there], [value for _, value in there]))
    at = np.searchsorted(nodes[1:-1], outdoor, side="right")
    value = np.select([at == i for i in range(len(rows))], rows)
    if len(nodes) > 1:
        share = np.minimum((outdoor - nodes[at]) / (nodes[at + 1] - nodes[at]), 1.0)
        warmer = np.select([at == i for i in range(len(rows) - 1)], rows[1:])
        value = value + (share if carried_on else np.maximum(share, 0.0)) * (warmer - value)
    return np.asarray(value)


def cop_between_points(
    *,
    supply_c: ArrayLike,
    outdoor_c: ArrayLike,
    test_supply_c: Sequence[float],
    test_outdoor_c: Sequence[float],
    test_cop: Sequence[float],
) -> Floats:
    """Coefficient of performance between test points, by the share of the ideal machine that they reach.

    Parameters
    ----------
    supply_c, outdoor_c : float or array (n,)
        Water that leaves the unit, and outdoor air [°C].
    test_supply_c, test_outdoor_c, test_cop : sequence of float
        Test points [°C], [°C] and their COP; supply warmer than outdoors.

    Returns
    -------
    float or array (n,)
        Heat per electricity, at least 1; a test point gives its own COP.

    Raises
    ------
    ValueError
        The points do not pair up, or one has no lift.

    Notes
    -----
    ``COP = η · T_supply / ΔT`` in kelvin with the exergetic efficiency ``η = COP ΔT / T_supply`` of the points, taken by `over_points`
    and held beyond them. Water closer to the outdoor air than the smallest lift counts as if it were at that lift, no warmer than
    in that test.

    Examples
    --------
    >>> points = {"test_supply_c": (34.0, 30.0), "test_outdoor_c": (-7.0, 2.0), "test_cop": (2.8, 4.6)}
    >>> cop_between_points(supply_c=[34.0, 32.0], outdoor_c=[-7.0, -2.5], **points).round(2)
    array([2.8 , 3.53])
    """
    supply, outdoor, cop = (np.asarray(points, dtype=float) for points in (test_supply_c, test_outdoor_c, test_cop))
    lift = supply - outdoor
    if not cop.size or supply.shape != cop.shape or outdoor.shape != cop.shape or np.any(lift <= 0):
        raise ValueError("test points need an outdoor and a warmer supply temperature and a COP each")
    share = over_points(
        outdoor_c=outdoor_c, supply_c=supply_c, test_outdoor_c=test_outdoor_c, test_supply_c=test_supply_c,
        test_value=cop * lift / (supply + ZERO_C_K),
    )  # fmt: skip
    cold, now, least = np.asarray(outdoor_c, dtype=float), np.asarray(supply_c, dtype=float), int(np.argmin(lift))
    at = np.maximum(now - cold, lift[least])
    now = np.maximum(now, np.minimum(cold + lift[least], supply[least]))
    return np.asarray(np.maximum(share * (now + ZERO_C_K) / at, 1.0))


def capacity_w(
    *,
    outdoor_c: ArrayLike,
    test_outdoor_c: Sequence[float],
    test_capacity_w: Sequence[float],
    cut_out_c: float = -ZERO_C_K,
) -> Floats:
    """Heat output at full speed against outdoor temperature, without defrost.

    Parameters
    ----------
    outdoor_c : float or array (n,)
        Outdoor temperature [°C].
    test_outdoor_c, test_capacity_w : sequence of float
        Test points [°C], rising, and their outputs [W].
    cut_out_c : float
        Temperature below which the machine stands still [°C].

    Returns
    -------
    float or array (n,)
        [W]. Straight lines between points; the coldest line is carried on downwards to zero, the warmest point is held.

    Raises
    ------
    ValueError
        The points are not rising or do not pair up.

    Examples
    --------
    >>> points = {"test_outdoor_c": (-7.0, 7.0), "test_capacity_w": (7000.0, 9800.0)}
    >>> capacity_w(outdoor_c=[-15.0, 0.0, 12.0], cut_out_c=-20.0, **points)
    array([5400., 8400., 9800.])
    """
    points_c = np.asarray(test_outdoor_c, dtype=float)
    points_w = np.asarray(test_capacity_w, dtype=float)
    if points_c.size == 0 or points_c.shape != points_w.shape or np.any(np.diff(points_c) <= 0):
        raise ValueError(
            f"test points need rising temperatures and one output each, not {test_outdoor_c} and {test_capacity_w}"
        )
    outdoor = np.asarray(outdoor_c, dtype=float)
    output = np.interp(outdoor, points_c, points_w)
    if points_c.size > 1:
        slope_w_k = (points_w[1] - points_w[0]) / (points_c[1] - points_c[0])
        output = output + slope_w_k * np.minimum(outdoor - points_c[0], 0.0)
    return np.asarray(np.where(outdoor < cut_out_c, 0.0, np.maximum(output, 0.0)))


def defrost_factor(*, outdoor_c: ArrayLike, depth: float = 0.10) -> Floats:
    """Factor on capacity, and on COP, for thawing the outdoor coil in damp frost.

    Parameters
    ----------
    outdoor_c : float or array (n,)
        Outdoor temperature [°C].
    depth : float
        Loss from −5 to +5 °C, 0.05–0.15 in practice.

    Returns
    -------
    float or array (n,)
        1 below −7 and above +7 °C, with straight ramps of 2 K in between.

    Notes
    -----
    Common practice, no source. Leave it at 0 where the test points include defrosting, as EN 14511 points near 2 °C do.

    Examples
    --------
    >>> defrost_factor(outdoor_c=[-10.0, 0.0, 6.0])
    array([1.  , 0.9 , 0.95])
    """
    return np.asarray(
        np.interp(np.asarray(outdoor_c, dtype=float), (-7.0, -5.0, 5.0, 7.0), (1.0, 1.0 - depth, 1.0 - depth, 1.0))
    )
