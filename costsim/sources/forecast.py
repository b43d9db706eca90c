"""How far a store is charged by tomorrow's mean temperature, as a heating controller with a forecast can."""

from __future__ import annotations

import numpy as np

from costsim.units.arrays import Floats
from costsim.units.table import DAY_H, HOUR_S

MARGIN_SHARE = 0.25
"""Charged beyond what the curve asks for, as a day differs from its mean and the tank loses; common practice, no source."""
COUNTS_SHARE = 0.02
"""Days with no more of the largest day's heat are no part of the curve; common practice, no source."""
ALIKE_K = 1e-6
"""Days that differ by less are alike, and no line goes through them."""


def heating_curve(outdoor_c: Floats, values: Floats, counts: Floats) -> tuple[float, float]:
    """Straight line through daily means where they count: intercept and slope over the day's mean temperature.

    This is what an installer sets and a controller learns; it knows no hour of any day to come.

    Examples
    --------
    >>> intercept, slope = heating_curve(np.repeat([0.0, 10.0], 24), np.repeat([20.0, 10.0], 24), np.ones(48))
    >>> round(intercept, 6), round(slope, 6)
    (20.0, -1.0)
    """
    days, means, weights = (each.reshape(-1, DAY_H).mean(axis=1) for each in (outdoor_c, values, counts))
    inside = weights > COUNTS_SHARE * weights.max()
    if not inside.any():
        return 0.0, 0.0
    if float(np.ptp(days[inside])) < ALIKE_K:
        return float(means[inside].mean()), 0.0
    slope, intercept = np.polyfit(days[inside], means[inside], 1)
    return float(intercept), float(slope)


def forecast_target_c(
    *, allowed: Floats, outdoor_c: Floats, demand_w: Floats, water_c: Floats, store_c: float, tank_j_k: float
) -> Floats:
    """Tank temperature that carries the house through the hours in which the source may not run (n,) [°C].

    Parameters
    ----------
    allowed : array (n,)
        Share of each hour in which the source may run.
    outdoor_c, demand_w, water_c : array (n,)
        Outdoor temperature [°C], heat wanted of the tank [W] and tank temperature needed for it [°C]; of demand and water only
        their lines over daily mean temperature are used.
    store_c : float
        How far the tank may be charged [°C].
    tank_j_k : float
        Heat capacity of the tank [J/K].

    Returns
    -------
    array (n,)
        Never above `store_c`. In each run of allowed hours it looks at the hours without the source that follow, at the mean
        temperature of the day that begins with them; where none follow, it is what the house needs.

    Examples
    --------
    >>> night, cold = np.tile([1.0] * 8 + [0.0] * 16, 3), np.zeros(72)
    >>> shown = {"outdoor_c": cold, "demand_w": cold + 1e3, "water_c": cold + 30.0, "store_c": 80.0, "tank_j_k": 4.0e6}
    >>> float(round(forecast_target_c(allowed=night, **shown)[0], 2))  # 16 kWh and a margin of 25 % over 1.11 kWh/K
    48.0
    """
    n = len(allowed)
    heat, warmth = heating_curve(outdoor_c, demand_w, demand_w), heating_curve(outdoor_c, water_c, demand_w)
    # mean of the 24 hours that begin with each hour, around the end of the year
    around = np.concatenate(([0.0], np.cumsum(np.concatenate((outdoor_c, outdoor_c[:DAY_H])))))
    tomorrow = (around[DAY_H : DAY_H + n] - around[:n]) / DAY_H
    runs = allowed > 0
    target = np.full(n, store_c)
    if runs.all() or not runs.any():
        return np.full(n, -np.inf) if runs.all() else target
    ends = np.flatnonzero(runs & ~np.roll(runs, -1))
    starts = np.flatnonzero(runs & ~np.roll(runs, 1))
    for end in ends.tolist():
        first = (end + 1) % n
        gap = int(((starts - first) % n).min())
        mean = float(tomorrow[first])
        joule = max(heat[0] + heat[1] * mean, 0.0) * gap * HOUR_S * (1.0 + MARGIN_SHARE)
        wanted = min(store_c, warmth[0] + warmth[1] * mean + joule / tank_j_k)
        begin = end - int(((end - starts) % n).min())
        target[np.arange(begin, end + 1) % n] = wanted
    return target
