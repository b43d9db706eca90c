"""Heat that a pool, a drive that melts snow and an hourly file take from the tank: heat, tank temperature, return (n,)."""

from __future__ import annotations

import numpy as np

from costsim.bills.meter import fit_to_year
from costsim.physics.wet_surface import (
    FILM_C,
    dew_point_by_night_c,
    melting_w_m2,
    plate_coefficient_w_m2k,
    pool_loss_w_m2,
    radiation_w_m2,
    sky_temperature_c,
)
from costsim.study.outdoor_uses import PoolOrTub, Profile, SnowMelt
from costsim.study.uses import WATER_J_M3K
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.windows import parse_windows
from costsim.units.arrays import Floats, Ints
from costsim.units.table import DAY_S, HOUR_S
from costsim.weather import Weather

Heat = tuple[Floats, Floats, Floats]
WIND_M_S = 3.0
"""Where a weather file has none; common practice, no source."""
SUN_SHARE = 0.85
"""Of the sun on open water that stays in it; common practice, no source."""
INDOOR_HUMIDITY = 0.55
WARM_UP_DAYS = 4
"""Over which a pool is brought from the air's temperature to its own; common practice, no source."""
RATE_M_S = 1e-3 / HOUR_S
"""Snowfall while it snows, a millimeter of water or a centimeter of snow an hour: Boston's 43 in of snow in 112 hours."""
STORM_H, BEFORE_H, AFTER_H = 6, 2, 2
"""Hours of a snowfall, and hours for warming before and drying after it; common practice, no source."""
SNOWS_C = (-15.0, 1.0)
"""Air temperatures between which snow is taken to fall; common practice, no source."""
SLAB_J_M2K = 230e3
"""Of 100 mm of concrete, 2,300 kg/m³ times 1.0 kJ/(kg K)."""
DROP_K = 14.0
"""Between supply and return of a slab outdoors, 25 °F; common practice, no source."""


def pool(use: PoolOrTub, weather: Weather, calendar: HourCalendar, cold_c: Floats) -> Heat:
    """Lower a pool: each day's loss less its sun, spread over the day, since its own water carries a day's swing.

    A day's surplus of sun warms the water and counts for the days after. `cold_c` is the mains' water (n,) [°C].
    """
    n, water = weather.n_hours, use.water_temperature_c
    outdoor = weather.outdoor_c if use.indoor_air_c is None else np.full(n, use.indoor_air_c)
    dew = _dew_point_c(outdoor, use)
    if use.indoor_air_c is None:
        sky, sun = sky_temperature_c(outdoor_c=outdoor, dew_point_c=dew), weather.ghi_w_m2
        wind = _wind_m_s(weather) * use.shelter_share
    else:
        sky, sun, wind = outdoor, None, np.zeros(n)
    covered = parse_windows(use.cover).share(calendar) if use.cover else np.zeros(n)
    bare = pool_loss_w_m2(
        water_c=water, outdoor_c=outdoor, dew_point_c=dew, wind_m_s=wind, sky_c=sky, activity=use.activity_share
    )
    loss = covered * use.cover_u_value_w_m2k * (water - outdoor) + (1.0 - covered) * bare
    if sun is not None:
        loss = loss - (1.0 - covered) * SUN_SHARE * sun
    season = parse_windows((), months=use.months).share(calendar) if use.months else np.ones(n)
    fresh = use.fresh_water_m3 * WATER_J_M3K * np.maximum(water - cold_c, 0.0) / DAY_S
    wanted = _by_day_w((loss * use.area_m2 + fresh) * season)
    filled = _warm_up_w(season, weather.outdoor_c, water, use)
    return wanted + filled, np.full(n, use.needs_c), np.full(n, water)


def _by_day_w(loss_w: Floats) -> Floats:
    """What a day loses in all, spread over it (n,); a day that gains leaves it to the next ones."""
    stored, days = 0.0, loss_w.reshape(-1, 24).mean(axis=1)
    for day, mean in enumerate(days.tolist()):
        short = mean - stored
        days[day], stored = max(short, 0.0), max(-short, 0.0)
    return np.repeat(days, 24)


def _warm_up_w(season: Floats, outdoor_c: Floats, water_c: float, use: PoolOrTub) -> Floats:
    """Heat that brings the water from the air's mean of the month before to its own, at each start of the season (n,)."""
    heat, hours = np.zeros(len(season)), WARM_UP_DAYS * 24
    for start in np.flatnonzero((season > 0) & (np.roll(season, 1) <= 0)).tolist():
        before = np.roll(outdoor_c, -start)[-720:].mean()
        content = use.area_m2 * use.depth_m * WATER_J_M3K * max(water_c - max(float(before), 1.0), 0.0)
        heat[np.arange(start, start + hours) % len(heat)] += content / (hours * HOUR_S)
    return heat


def _dew_point_c(outdoor_c: Floats, use: PoolOrTub) -> Floats:
    """Dew point of the air over the water (n,): by its humidity where that is known, else by the night."""
    share = use.humidity_share
    if share is None and use.indoor_air_c is None:
        return dew_point_by_night_c(outdoor_c)
    # Magnus's formula turned round, with the coefficients of `vapor_pressure_kpa`
    power = np.log(share or INDOOR_HUMIDITY) + 17.27 * outdoor_c / (outdoor_c + 237.3)
    return np.asarray(237.3 * power / (17.27 - power))


def _wind_m_s(weather: Weather) -> Floats:
    return weather.wind_m_s if weather.wind_m_s is not None else np.full(weather.n_hours, WIND_M_S)


def snow_melt(use: SnowMelt, weather: Weather) -> Heat:
    """Lower a drive that melts snow: melting in the hours of snowfall, warming before, drying after, idling where it does."""
    n, outdoor = weather.n_hours, weather.outdoor_c
    fall, first = snowfall_m_s(outdoor, use.snowfall_m * use.water_share)
    coefficient = plate_coefficient_w_m2k(wind_m_s=_wind_m_s(weather), length_m=max(use.area_m2**0.5, 1.0))
    # under clouds while it snows, half clouded otherwise: cover is in no weather file that is read
    clear = sky_temperature_c(outdoor_c=outdoor, dew_point_c=dew_point_by_night_c(outdoor))
    snowing = fall > 0
    sky = np.where(snowing, outdoor, (outdoor + clear) / 2.0)
    ready = np.maximum(coefficient * (FILM_C - outdoor) + radiation_w_m2(surface_c=FILM_C, seen_c=sky), 0.0)
    melting = melting_w_m2(
        snowfall_m_s=fall, outdoor_c=outdoor, dew_point_c=np.minimum(outdoor, FILM_C), sky_c=sky,
        coefficient_w_m2k=coefficient, free_share=use.free_share,
    )  # fmt: skip
    around = np.zeros(n, dtype=bool)
    for shift in range(-BEFORE_H, AFTER_H + 1):
        around |= np.roll(snowing, shift)
    idle = np.zeros(n, dtype=bool) if use.idle_below_c is None else outdoor < use.idle_below_c
    heat = np.where(snowing, melting, np.where(around | idle, ready, 0.0))
    for start in first.tolist():
        before = np.arange(start - BEFORE_H, start) % n
        if not idle[before].all():
            heat[before] += SLAB_J_M2K * max(FILM_C - float(outdoor[before[0]]), 0.0) / (BEFORE_H * HOUR_S)
    heat = heat * use.area_m2 * (1.0 + use.back_loss_share)
    supply = use.design_supply_temperature_c
    return heat, np.full(n, supply), np.full(n, max(supply - DROP_K, 1.0))


def snowfall_m_s(outdoor_c: Floats, depth_m: float) -> tuple[Floats, Ints]:
    """Spread a winter's snow evenly over the hours cold enough for it, as no weather file that is read says when it falls.

    Parameters
    ----------
    outdoor_c : array (n,)
        [°C].
    depth_m : float
        As water [m].

    Returns
    -------
    fall : array (n,)
        Depth of water a second [m/s]; nothing where it is never cold enough.
    first : array (storms,)
        First hour of each snowfall.

    Examples
    --------
    >>> fall, first = snowfall_m_s(np.tile([5.0, -3.0], 4380), 0.012)
    >>> round(float(fall.sum() * 3600), 6), len(first) > 0
    (0.012, True)
    """
    fits = np.flatnonzero((outdoor_c >= SNOWS_C[0]) & (outdoor_c <= SNOWS_C[1]))
    fall = np.zeros(len(outdoor_c))
    wanted = round(depth_m / (RATE_M_S * HOUR_S))
    if not len(fits) or depth_m <= 0:
        return fall, np.zeros(0, dtype=np.int64)
    storms = max(1, round(min(wanted, len(fits)) / STORM_H))
    at = np.linspace(0, len(fits) - 1, storms + 2).astype(int)[1:-1]
    for start in at.tolist():
        fall[fits[start : start + STORM_H]] = 1.0
    fall *= depth_m / (fall.sum() * HOUR_S)
    snowing = fall > 0
    return fall, np.flatnonzero(snowing & ~np.roll(snowing, 1))


def profile(use: Profile, weather: Weather, hours_j: Floats) -> Heat:
    """Lower heat read from a file (8760 or 8784 hours) [J]."""
    n = weather.n_hours
    heat = fit_to_year(hours_j, n) / HOUR_S
    return heat, np.full(n, use.supply_temperature_c), np.full(n, use.return_temperature_c)
