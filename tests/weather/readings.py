"""Readings and hours whose values are plain to see."""

from __future__ import annotations

from typing import Any

import numpy as np

from costsim.weather.hours import Hours
from costsim.weather.model import Weather
from costsim.weather.record import Record

HOUR = np.timedelta64(1, "h")


def record(first: str, values: Any, step_s: int = 3600, **more: Any) -> Record:
    """Readings of one column at even steps."""
    found = np.asarray(values, dtype=float)
    times = np.datetime64(first, "s") + np.arange(len(found)) * np.timedelta64(step_s, "s")
    return Record("r", "s", "made", times, {"outdoor": found}, step_s=step_s, **more)


def hours_of(first: str, n: int, gone: slice = slice(0)) -> Hours:
    """Hours whose values count them."""
    values = np.arange(float(n))
    values[gone] = np.nan
    return Hours(np.datetime64(first, "h"), {"outdoor": values})


def outside_wh_m2(latitude_deg: float, day: int) -> float:
    """Sun of a day on a flat plane without an atmosphere [Wh/m²], summed minute by minute: 1,361 W/m² and 3.3 % with the distance."""
    tilt = np.radians(23.45 * np.sin(2 * np.pi * (284 + day) / 365))
    hour = np.radians((np.arange(1440) + 0.5) / 4 - 180)
    phi = np.radians(latitude_deg)
    height = np.sin(phi) * np.sin(tilt) + np.cos(phi) * np.cos(tilt) * np.cos(hour)
    return float(1361 * (1 + 0.033 * np.cos(2 * np.pi * day / 365)) * np.maximum(height, 0).sum() / 60)


def means_of(weather: Weather) -> tuple[np.ndarray, np.ndarray]:
    """Mean temperature [°C] and clearness of each month of a plain year with radiation, each (12,)."""
    outside = np.repeat([outside_wh_m2(weather.latitude_deg, day) / 24 for day in range(1, 366)], 24)
    assert weather.ghi_w_m2 is not None
    here = [weather.months == month for month in range(1, 13)]
    means = np.array([weather.outdoor_c[one].mean() for one in here])
    return means, np.array([weather.ghi_w_m2[one].sum() / outside[one].sum() for one in here])
