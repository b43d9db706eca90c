"""A year of weather made from twelve monthly means, for places without a file. Always labelled synthetic."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from costsim.units.arrays import Floats, Ints
from costsim.weather.checks import months_of
from costsim.weather.model import Weather

N = 8760
DAY_TO_DAY = 0.65
"""Correlation of one day's mean temperature with the next; common practice, no source."""
SIGMA_SHARE = 0.5
"""Share of the published spread of monthly means, taken to days, that daily means show; from the design notes."""
SOLAR_CONSTANT_W_M2 = 1361.0
KT_LOW = 0.05


def synthesize(
    *,
    monthly_mean_c: Sequence[float],
    latitude_deg: float,
    longitude_deg: float | None = None,
    utc_offset_h: float = 0.0,
    altitude_m: float = 0.0,
    monthly_clearness: Sequence[float] | None = None,
    design_99_c: float | None = None,
    seed: int = 1,
    title: str = "synthetic year",
) -> Weather:
    """Make a year from monthly means.

    Parameters
    ----------
    monthly_mean_c : sequence of 12 floats
        Mean temperature of each month [°C]; met exactly.
    latitude_deg, longitude_deg, utc_offset_h, altitude_m : float
        Place; the longitude of the time zone's own meridian by default.
    monthly_clearness : sequence of 12 floats, optional
        Mean clearness index of each month, 0.2 to 0.75; without it there is no radiation.
    design_99_c : float, optional
        Temperature exceeded in 99 % of hours [°C], met by the spread of daily means.
    seed : int
    title : str

    Returns
    -------
    Weather
        With `synthetic` set.

    Raises
    ------
    ValueError
        Not twelve months, or a clearness no sky has.

    Notes
    -----
    Daily means: monthly mean plus an anomaly whose order comes from a first-order autoregressive series and whose values
    are evenly spread over a normal distribution, so that every seed is a typical year of its own. Hours: a
    published diurnal shape whose amplitude grows with clearness. Clearness of days: the Bendt distribution, shuffled;
    hours of a day by Collares-Pereira and Rabl; diffuse share by Erbs.

    References
    ----------
    Erbs, Klein and Beckman (1983), estimation of degree-days and ambient temperature bin data from monthly-average
    temperatures; Bendt, Collares-Pereira and Rabl (1981), frequency distribution of daily insolation values; Erbs, Klein
    and Duffie (1982), diffuse fraction, through pvlib. Coefficients of the first two: value from memory.

    Examples
    --------
    >>> year = synthesize(monthly_mean_c=[-5, -3, 2, 8, 13, 17, 19, 18, 14, 8, 2, -3], latitude_deg=47.0, seed=3)
    >>> year.synthetic, round(float(year.outdoor_c[:744].mean()), 6)
    (True, -5.0)
    """
    means = _twelve(monthly_mean_c, "monthly_mean_c")
    clear = (
        _twelve(monthly_clearness, "monthly_clearness") if monthly_clearness is not None else np.full_like(means, 0.5)
    )
    if not ((clear >= 0.15) & (clear <= 0.8)).all():
        raise ValueError("monthly clearness lies between 0.15 and 0.8")
    rng = np.random.default_rng(seed)
    anomalies = _daily_anomalies(means, rng)
    outdoor = _hours(means, clear, anomalies, 1.0)
    if design_99_c is not None:
        outdoor = _spread_to(design_99_c, means, clear, anomalies)
    longitude = 15.0 * utc_offset_h if longitude_deg is None else longitude_deg
    sun: dict[str, Any] = {}
    if monthly_clearness is not None:
        sun = _radiation(clear, latitude_deg, longitude, utc_offset_h, rng)
    for array in (outdoor, *sun.values()):
        array.flags.writeable = False
    return Weather(
        title=title,
        station="none",
        source=f"synthesised from monthly means, seed {seed}",
        latitude_deg=latitude_deg,
        longitude_deg=longitude,
        altitude_m=altitude_m,
        utc_offset_h=utc_offset_h,
        months=months_of(N),
        outdoor_c=outdoor,
        design_99_c=design_99_c,
        synthetic=True,
        notes=_unmet(design_99_c, outdoor),
        **sun,
    )


def _unmet(design_99_c: float | None, outdoor_c: Floats) -> tuple[str, ...]:
    """Say when no spread of days about these means gives the 99 % temperature that was asked for."""
    cold_c = float(np.percentile(outdoor_c, 1.0))
    if design_99_c is None or abs(cold_c - design_99_c) <= 0.5:
        return ()
    return (
        f"99 % of the hours are above {cold_c:.1f} °C, not above the {design_99_c:.1f} °C asked for: the means do not allow it",
    )


def _twelve(values: Sequence[float], name: str) -> Floats:
    twelve = np.asarray(values, dtype=float)
    if twelve.shape != (12,) or not np.isfinite(twelve).all():
        raise ValueError(f"{name} needs twelve numbers, January to December")
    return twelve


def _month_of_day() -> Ints:
    return months_of(N)[::24].astype(np.int64) - 1


def _daily_anomalies(means: Floats, rng: np.random.Generator) -> Floats:
    """Anomaly of each day's mean, with no mean of its own in any month (365,) [K]."""
    month = _month_of_day()
    spread_of_year = float(means.std())
    monthly = 1.45 - 0.0290 * means + 0.0664 * spread_of_year
    monthly = np.maximum(monthly, 0.3)
    # both measured sample years calm down in summer more than the published spread does
    sigma = SIGMA_SHARE * monthly * np.sqrt(monthly / monthly.max() * 30.4)
    noise = rng.standard_normal(365)
    state, path = noise[0], np.empty(365)
    for day in range(365):
        path[day] = state
        state = DAY_TO_DAY * state + np.sqrt(1 - DAY_TO_DAY**2) * noise[(day + 1) % 365]
    for month_at in range(12):
        path[month == month_at] = _evenly_normal(path[month == month_at]) * sigma[month_at]
    return path


def _evenly_normal(values: Floats) -> Floats:
    """The same order of days with the middle quantiles of a normal distribution: chance moves when, not how much."""
    ranks = np.argsort(np.argsort(values))
    from scipy.special import ndtri

    return np.asarray(ndtri((ranks + 0.5) / len(values)))


def _hours(means: Floats, clear: Floats, anomalies: Floats, scale: float) -> Floats:
    """Hourly temperature: monthly course, daily anomaly, diurnal shape; monthly means met exactly (8760,)."""
    month = _month_of_day()
    daily = _between_months(means)[np.arange(365)] + scale * anomalies
    nodes, at = np.arange(365) * 24 + 11.5, np.arange(N)
    smooth = np.interp(at, nodes, daily, period=N)
    tau = 2 * np.pi * (np.arange(24) + 0.5 - 1) / 24
    shape = (
        0.4632 * np.cos(tau - 3.805)
        + 0.0984 * np.cos(2 * tau - 0.360)
        + 0.0168 * np.cos(3 * tau - 0.822)
        + 0.0138 * np.cos(4 * tau - 3.513)
    )
    swing = np.maximum(25.8 * clear - 5.21, 1.0)
    hourly = smooth + (swing[month][:, None] * shape[None, :]).ravel()
    months = months_of(N)
    for month_at in range(12):
        inside = months == month_at + 1
        hourly[inside] += means[month_at] - hourly[inside].mean()
    return np.asarray(hourly)


def _between_months(means: Floats) -> Floats:
    """Smooth yearly course through the middles of the months (365,)."""
    month = _month_of_day()
    middles = np.array([np.flatnonzero(month == month_at).mean() for month_at in range(12)])
    return np.asarray(np.interp(np.arange(365), middles, means, period=365))


def _spread_to(design_99_c: float, means: Floats, clear: Floats, anomalies: Floats) -> Floats:
    """Scale the daily anomalies until 99 % of hours are warmer than the design temperature."""
    low, high = 0.0, 6.0
    for _ in range(40):
        middle = (low + high) / 2
        if np.percentile(_hours(means, clear, anomalies, middle), 1.0) > design_99_c:
            low = middle
        else:
            high = middle
    return _hours(means, clear, anomalies, (low + high) / 2)


def bendt_clearness(mean: float, days: int) -> Floats:
    """Clearness of the days of a month, from the dullest to the clearest (days,).

    Examples
    --------
    >>> days = bendt_clearness(0.45, 30)
    >>> bool(days.max() > 0.65), round(float(days.mean()), 2)
    (True, 0.45)
    """
    top = 0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8
    xi = (top - KT_LOW) / (top - mean)
    gamma = -1.498 + (1.184 * xi - 27.182 * np.exp(-1.5 * xi)) / (top - KT_LOW)
    share = (np.arange(days) + 0.5) / days
    low, high = np.exp(gamma * KT_LOW), np.exp(gamma * top)
    clearness = np.log(low + share * (high - low)) / gamma
    return np.asarray(clearness + (mean - clearness.mean()) * np.sin(np.pi * share) / np.sin(np.pi * share).mean())


def _radiation(
    clear: Floats, latitude_deg: float, longitude_deg: float, utc_offset_h: float, rng: np.random.Generator
) -> dict[str, Floats]:
    """Global, direct and diffuse irradiance of every hour [W/m²]."""
    from pvlib import irradiance

    day = np.arange(1, 366)
    declination = np.radians(23.45 * np.sin(2 * np.pi * (284 + day) / 365))
    phi = np.radians(latitude_deg)
    sunset = np.arccos(np.clip(-np.tan(phi) * np.tan(declination), -1.0, 1.0))
    month = _month_of_day()
    kt = np.empty(365)
    for month_at in range(12):
        inside = np.flatnonzero(month == month_at)
        kt[inside] = rng.permutation(bendt_clearness(float(clear[month_at]), len(inside)))
    extra = SOLAR_CONSTANT_W_M2 * (1 + 0.033 * np.cos(2 * np.pi * day / 365))
    daily = (
        24
        / np.pi
        * extra
        * (np.cos(phi) * np.cos(declination) * np.sin(sunset) + sunset * np.sin(phi) * np.sin(declination))
    )
    omega = np.radians(15.0 * (np.arange(24) + 0.5 - 12.0 + longitude_deg / 15.0 - utc_offset_h))[None, :]
    cosine = np.sin(phi) * np.sin(declination)[:, None] + np.cos(phi) * np.cos(declination)[:, None] * np.cos(omega)
    share = _share_of_day(omega, sunset[:, None])
    ghi = np.where(cosine > 0.01, (kt * daily)[:, None] * share, 0.0)
    ghi = np.minimum(ghi, 0.95 * extra[:, None] * np.maximum(cosine, 0.0))
    zenith = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    with np.errstate(all="ignore"):
        split = irradiance.erbs(ghi.ravel(), zenith.ravel(), np.repeat(day, 24))
    dni, dhi = (np.nan_to_num(np.asarray(split[key], dtype=float)) for key in ("dni", "dhi"))
    return {"ghi_w_m2": ghi.ravel(), "dni_w_m2": np.clip(dni, 0.0, 1200.0), "dhi_w_m2": np.clip(dhi, 0.0, None)}


def _share_of_day(omega: Floats, sunset: Floats) -> Floats:
    """Share of a day's radiation that falls in an hour (Collares-Pereira and Rabl)."""
    a = 0.409 + 0.5016 * np.sin(sunset - np.pi / 3)
    b = 0.6609 - 0.4767 * np.sin(sunset - np.pi / 3)
    share = (a + b * np.cos(omega)) * np.maximum(np.cos(omega) - np.cos(sunset), 0.0)
    total = share.sum(axis=1, keepdims=True)
    return np.asarray(np.divide(share, total, out=np.zeros_like(share), where=total > 0))
