"""Winters harder than typical: chosen among several years, or one year made colder by a stated share of degree-days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from costsim.weather.model import BASE_C, Weather, design_temperature

Z_ONE_IN_TEN = 1.2815515655446004
"""Standard deviations above the mean that one in ten exceeds."""
ONE_IN_TEN = Z_ONE_IN_TEN * 0.055
"""Degree-days of one winter in ten above the mean, as a share: the design notes' spread of 5.5 % between years."""


def hard_winter(years: Sequence[Weather], *, base_c: float = BASE_C, share: float = 0.9) -> Weather:
    """Choose, out of several real years, the one colder than `share` of them by degree-days.

    Raises
    ------
    ValueError
        There are no years to choose from.

    Examples
    --------
    >>> from costsim.weather.synthesis import synthesize
    >>> made = [synthesize(monthly_mean_c=[0.0] * 12, latitude_deg=47.0, seed=s, design_99_c=-8.0) for s in range(3)]
    >>> hard_winter(made).synthetic
    True
    """
    if not years:
        raise ValueError("there are no years to choose from")
    order = sorted(years, key=lambda year: year.degree_hours_k_h(base_c))
    return order[max(int(np.ceil(share * len(order))), 1) - 1]


def colder(weather: Weather, share: float = ONE_IN_TEN, *, base_c: float = BASE_C) -> Weather:
    """Make a year colder, all hours by the same kelvin, until its degree-hours are more by a share.

    Parameters
    ----------
    weather : Weather
    share : float
        Such as 0.07 for seven per cent more; negative for a milder one.
    base_c : float
        Base of the degree-hours [°C].

    Returns
    -------
    Weather
        Labelled as changed; sun, wind and the place's design temperature stay.

    Raises
    ------
    ValueError
        The year has no degree-hours below the base, or the share is minus one or less.

    Examples
    --------
    >>> from costsim.weather import find_weather, read_weather
    >>> year = read_weather(find_weather("greensboro.csv"))
    >>> round(colder(year, 0.07).degree_hours_k_h(BASE_C) / year.degree_hours_k_h(BASE_C), 4)
    1.07
    """
    wanted = weather.degree_hours_k_h(base_c) * (1.0 + share)
    if wanted <= 0.0:
        raise ValueError("there are no degree-hours to change")
    low, high = -60.0, 60.0
    for _ in range(60):
        shift = (low + high) / 2.0
        degree_hours = float(np.maximum(base_c - (weather.outdoor_c - shift), 0.0).sum())
        low, high = (shift, high) if degree_hours < wanted else (low, shift)
    outdoor = weather.outdoor_c - high
    outdoor.flags.writeable = False
    return replace(
        weather,
        title=f"{weather.title}, made {share:+.1%} in degree-days",
        source=f"{weather.source}; all hours {-high:+.2f} K",
        outdoor_c=outdoor,
        synthetic=True,
        # the place keeps its design temperature: a hard winter makes no better house
        design_99_c=design_temperature(weather)[0],
    )
