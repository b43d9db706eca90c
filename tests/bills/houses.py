"""Invented houses whose bills are known: weather of several winters, and bills of unequal periods by plain arithmetic."""

from __future__ import annotations

import numpy as np

from costsim.bills.model import Bills
from costsim.bills.temperatures import Temperatures, from_days


def winters(seed: int = 0, years: int = 3, mean_c: float = 9.0, swing_k: float = 12.0) -> Temperatures:
    """Hourly temperatures from 2020 on: a yearly and a daily wave, and spells of days."""
    random = np.random.default_rng(seed)
    days = np.arange(365 * years + 1)
    spells = np.zeros(len(days))
    for i in range(1, len(days)):
        spells[i] = 0.8 * spells[i - 1] + random.normal(0.0, 2.4)
    daily = mean_c - swing_k * np.cos(2 * np.pi * (days - 15) / 365.25) + spells
    hourly = daily[:, None] + 5.0 * np.cos(2 * np.pi * (np.arange(24)[None, :] - 15) / 24)
    return from_days("invented winters", np.datetime64("2020-01-01"), hourly)


def bills_of(
    weather: Temperatures,
    *,
    base_w: float = 400.0,
    slope_w_k: float = 250.0,
    balance_c: float = 16.0,
    noise: float = 0.03,
    seed: int = 1,
    months: int = 30,
    fuel: str = "natural_gas",
    start: str = "2020-02-10",
    change: tuple[int, float] | None = None,
) -> Bills:
    """Make bills over periods of 24 to 37 days, each off by `noise` times itself; `change` scales the slope from a period on."""
    random = np.random.default_rng(seed)
    edges = np.datetime64(start) + np.concatenate(([0], np.cumsum(random.integers(24, 38, months))))
    first = int((edges[0] - weather.first_day).astype(int))
    energy = np.zeros(months)
    for i in range(months):
        length = int((edges[i + 1] - edges[i]).astype(int))
        factor = change[1] if change and i >= change[0] else 1.0
        excess = np.maximum(balance_c - weather.outdoor_c[first : first + length], 0.0)
        energy[i] = (base_w + factor * slope_w_k * excess).mean(axis=1).sum() * 86400.0
        first += length
    energy *= 1.0 + noise * random.standard_normal(months)
    none = np.zeros(months, dtype=bool)
    return Bills("made.csv", fuel, edges[:-1], edges[1:], energy, none, np.arange(2, months + 2))
