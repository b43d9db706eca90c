"""The 99 % design temperature of a listed town for which no table was seen: estimated from its monthly means, and told to be so."""

from __future__ import annotations

import functools
from collections.abc import Sequence

import numpy as np

from costsim.weather.towns import Town, towns

DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
ESTIMATED = (
    "the 99 % design temperature is estimated from the monthly means, by their published spread, lowered by what that is too warm on"
    " average where tables give it; sizes rest on it, so ask the building department"
)
"""The note of a year that rests on it."""


def exceeded_c(monthly_mean_c: Sequence[float], share: float) -> float:
    """Temperature that a share of a year's hours exceed, from the twelve monthly means alone [°C].

    Parameters
    ----------
    monthly_mean_c : sequence of 12 floats
    share : float
        Such as 0.99.

    Notes
    -----
    Erbs, Klein and Beckman (1983): a month's hours lie below T in the share ``1 / (1 + exp(-3.396 h))`` with
    ``h = (T - mean) / (s sqrt(days))`` and ``s = 1.45 - 0.0290 mean + 0.0664 s_year``, the standard deviation of the monthly
    means over the years from the mean and from their own spread over the year; coefficients: value from memory. Cold
    outbreaks of the northern plains are colder than that: see `margin_k`.
    """
    means = np.asarray(monthly_mean_c, dtype=float)
    spread = (1.45 - 0.0290 * means + 0.0664 * means.std()) * np.sqrt(DAYS)
    low, high = means.min() - 60.0, means.max() + 60.0
    for _ in range(60):
        middle = (low + high) / 2.0
        below = float((DAYS / DAYS.sum() / (1.0 + np.exp(-3.396 * (middle - means) / spread))).sum())
        low, high = (middle, high) if below < 1.0 - share else (low, middle)
    return float(low)


def _of_means_c(town: Town) -> float:
    return exceeded_c([(mean - 32.0) / 1.8 for mean in town.monthly_mean_f], 0.99)


@functools.cache
def margin_k() -> float:
    """How much warmer `exceeded_c` is on average than handbook tables, in the listed towns that these name [K]."""
    return float(
        np.mean([_of_means_c(town) - town.design_99_c for town in towns().values() if town.design_99_c is not None])
    )


def estimated_99_c(town: Town) -> float:
    """A town's 99 % design temperature from its monthly means, less `margin_k`, to a tenth [°C]."""
    return round(_of_means_c(town) - margin_k(), 1)
