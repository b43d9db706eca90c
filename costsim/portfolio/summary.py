"""What all homes come to: quantiles, totals, who wins, and how high the electricity of all stands at once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.errors import Fault, InputError
from costsim.portfolio.plan import COST, SHORT, SHORT_HOURS, PortfolioPlan, PreparedOption
from costsim.portfolio.store import Store
from costsim.results.clock import clock_labels
from costsim.tariffs.calendar import parse_windows

Floats = NDArray[np.float64]
SHARES = (0.05, 0.25, 0.50, 0.75, 0.95)
TOGETHER = 8
"""Columns held in memory at once while totals are made."""


@dataclass(frozen=True, slots=True)
class PeakHours:
    """Hours in which a system runs short: share of each hour (n,) and how people write them."""

    share: Floats
    text: str


def read_peak_hours(text: str, recipe: PortfolioPlan) -> PeakHours:
    """Read clock windows such as ``17:00-20:00``, which count on winter's weekdays.

    Raises
    ------
    InputError
        It is not a clock window.
    """
    months = "Jun-Aug" if recipe.weather.southern else "Dec-Feb"
    parts = [part.strip() for part in text.split(",")]
    try:
        windows = parse_windows(parts, days="Mon-Fri, not holidays", months=months)
    except ValueError as error:
        raise InputError(Fault("--peak-hours", str(error), 'write it like "17:00-20:00"')) from None
    return PeakHours(windows.share(recipe.common.calendar), f"{', '.join(parts)}, Mon-Fri, not holidays, {months}")


def weighted_quantiles(values: Floats, weights: Floats, shares: Sequence[float] = SHARES) -> list[float]:
    """Smallest value that at least this share of the weight does not exceed.

    Examples
    --------
    >>> weighted_quantiles(np.array([3.0, 1.0, 2.0]), np.array([1.0, 1.0, 2.0]), (0.25, 0.5, 1.0))
    [1.0, 2.0, 3.0]
    """
    order = np.lexsort((weights, values))
    risen = np.cumsum(weights[order])
    at = np.searchsorted(risen, np.array(shares) * risen[-1], side="left")
    return [float(values[order[min(i, len(order) - 1)]]) for i in at]


def summarize(
    recipe: PortfolioPlan, store: Store, numbers: Sequence[int], peak: PeakHours, power_w: Floats
) -> dict[str, Any]:
    """Sum up all parts.

    Parameters
    ----------
    recipe : PortfolioPlan
    store : Store
    numbers : sequence of int
        Of all parts.
    peak : PeakHours
    power_w : array (options, n)
        Electricity of all homes [W].

    Returns
    -------
    dict
        Plain data. Shares, means and quantiles go by weight; nothing depends on the order of homes.
    """
    weights = store.read(["weight"], numbers)[0]
    cost = _of_options(recipe, store, numbers, COST)
    options = _options(recipe, store, numbers, weights, cost)
    for one, watts in zip(options, power_w, strict=True):
        one |= _at_once(recipe, watts, peak)
    return {
        "study": recipe.case.title,
        "currency": recipe.case.currency,
        "homes": len(weights),
        "homes_set_aside": len({one.row for one in store.aside(numbers)}),
        "weight": math.fsum(weights),
        "quantiles": list(SHARES),
        "peak_hours": peak.text,
        "warm_at_most_hours_short": recipe.common.case.house.max_unmet_hours,
        "computed_one_by_one_because_of": list(recipe.slow),
        "options": options,
        "pairs": [
            _pair(recipe, cost, weights, i, j) | _shifted(power_w[i], power_w[j], peak)
            for i, j in combinations(range(len(options)), 2)
        ],
    }


def _options(
    recipe: PortfolioPlan, store: Store, numbers: Sequence[int], weights: Floats, cost: Floats
) -> list[dict[str, Any]]:
    """Cost, unmet, wins and totals of each option."""
    totals = _totals(recipe, store, numbers, weights)
    short, hours = (_of_options(recipe, store, numbers, one) for one in (SHORT, SHORT_HOURS))
    cold = hours > recipe.common.case.house.max_unmet_hours
    won, warm = _winners(cost, weights), _winners(np.where(cold, np.inf, cost), weights)
    return [
        {
            "name": ready.option.name,
            "cost": _spread(cost[i], weights),
            "unmet_kwh": _spread(short[i], weights),
            "homes_short_share": _share(cold[i], weights),
            "cheapest_share": won[i],
            "cheapest_warm_share": warm[i],
            "totals": {name: totals[name] for name in _columns(recipe, ready)},
        }
        for i, ready in enumerate(recipe.options)
    ]


def _columns(recipe: PortfolioPlan, ready: PreparedOption) -> list[str]:
    """An option's columns that can be added up."""
    sheet = ready.sheet
    names = recipe.columns[sheet.first : sheet.first + sheet.width]
    return [name for name in names if not name.endswith("largest unmet [kW]")]


def _totals(recipe: PortfolioPlan, store: Store, numbers: Sequence[int], weights: Floats) -> dict[str, float | None]:
    """Weighted sum of each column, correctly rounded."""
    found: dict[str, float | None] = {}
    names = [name for ready in recipe.options for name in _columns(recipe, ready)]
    for first in range(0, len(names), TOGETHER):
        some = names[first : first + TOGETHER]
        found |= {name: math.fsum(row * weights) for name, row in zip(some, store.read(some, numbers), strict=True)}
    # the grid's CO2 may not be known
    return {name: None if value is not None and math.isnan(value) else value for name, value in found.items()}


def _of_options(recipe: PortfolioPlan, store: Store, numbers: Sequence[int], which: int) -> Floats:
    return store.read([recipe.columns[ready.sheet.last.start + which] for ready in recipe.options], numbers)


def _spread(values: Floats, weights: Floats) -> dict[str, Any]:
    total = math.fsum(weights)
    if not total:
        return {"quantiles": None, "mean": None}
    return {"quantiles": weighted_quantiles(values, weights), "mean": math.fsum(values * weights) / total}


def _share(mask: NDArray[np.bool_], weights: Floats) -> float | None:
    total = math.fsum(weights)
    return math.fsum(weights[mask]) / total if total else None


def _winners(cost: Floats, weights: Floats) -> list[float | None]:
    """Share of homes for which each option is cheapest; a tie is split, a home that none keeps warm counts for none."""
    best = cost.min(axis=0, initial=np.inf)
    won = (cost == best) & np.isfinite(best)
    split = won / np.maximum(won.sum(axis=0), 1)
    total = math.fsum(weights)
    return [math.fsum(row * weights) / total if total else None for row in split]


def _pair(recipe: PortfolioPlan, cost: Floats, weights: Floats, i: int, j: int) -> dict[str, Any]:
    """What the second option costs more than the first."""
    first, second = (recipe.options[at].option.name for at in (i, j))
    return {
        "first": first,
        "second": second,
        "second_costs_more_by": _spread(cost[j] - cost[i], weights),
        "second_is_cheaper_share": _share(cost[j] < cost[i], weights),
    }


def _shifted(first_w: Floats, second_w: Floats, peak: PeakHours) -> dict[str, float]:
    """Electricity that the second option takes less in the peak hours, and more in all others, by all homes."""
    less_w, elsewhere = (first_w - second_w) * peak.share, (second_w - first_w) * (1.0 - peak.share)
    return {
        "peak_hours_less_kwh": math.fsum(less_w) / 1e3,
        "other_hours_more_kwh": math.fsum(elsewhere) / 1e3,
        "other_hours_most_more_kw": max(0.0, float(elsewhere.max())) / 1e3,
    }


def _at_once(recipe: PortfolioPlan, power_w: Floats, peak: PeakHours) -> dict[str, Any]:
    """Electricity of all homes in its highest hour, and on the mean over the system's hours."""
    hour, hours = int(power_w.argmax()), float(peak.share.sum())
    mean = math.fsum(power_w * peak.share) / hours / 1e3 if hours else None
    return {
        "coincident_peak_kw": float(power_w[hour]) / 1e3,
        "coincident_peak_hour": hour,
        "coincident_peak_at": clock_labels(recipe.common.calendar)[hour],
        "peak_hours_mean_kw": mean,
        "peak_hours_highest_kw": float(np.where(peak.share > 0, power_w, 0.0).max()) / 1e3,
    }
