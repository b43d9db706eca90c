"""What a weather file holds, so that a person can tell whether it is the right one."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from costsim.units.table import HOUR_S
from costsim.weather.checks import record_name, sun_hours
from costsim.weather.model import BASE_C, Weather, design_temperature


@dataclass(frozen=True, slots=True)
class WeatherReport:
    """One year looked at: place, rows, columns, time base, warmth, cold and sun.

    `sun_hour` is the centre of the file's radiation and `noon_hour` where place and time zone put it, in hours of standard
    time; None without radiation. `degree_days_daily_k_d` is what daily means would give. `monthly_c` are means (12,).
    """

    title: str
    station: str
    source: str
    synthetic: bool
    years: tuple[int, ...]
    latitude_deg: float
    longitude_deg: float
    altitude_m: float
    utc_offset_h: float
    hours: int
    columns: tuple[str, ...]
    notes: tuple[str, ...]
    sun_hour: float | None
    noon_hour: float
    sun_j_m2: float | None
    degree_days_k_d: float
    degree_days_daily_k_d: float
    design_c: float
    design_from: str
    hourly_99_c: float
    hourly_996_c: float
    coldest_c: float
    coldest_at: str
    monthly_c: tuple[float, ...]


def report(weather: Weather) -> WeatherReport:
    """Look at a year.

    Examples
    --------
    >>> from costsim.weather import find_weather, read_weather
    >>> found = report(read_weather(find_weather("greensboro.csv")))
    >>> found.hours, found.columns
    (8760, ('outdoor', 'ghi', 'dni', 'dhi', 'wind'))
    """
    names = ("outdoor_c", "ghi_w_m2", "dni_w_m2", "dhi_w_m2", "wind_m_s")
    design, source = design_temperature(weather)
    sun, noon = sun_hours(weather)
    coldest = int(np.argmin(weather.outdoor_c))
    months = [float(weather.outdoor_c[weather.months == month].mean()) for month in range(1, 13)]
    return WeatherReport(
        title=weather.title,
        station=weather.station,
        source=weather.source,
        synthetic=weather.synthetic,
        years=weather.years,
        latitude_deg=weather.latitude_deg,
        longitude_deg=weather.longitude_deg,
        altitude_m=weather.altitude_m,
        utc_offset_h=weather.utc_offset_h,
        hours=weather.n_hours,
        columns=tuple(name.split("_")[0] for name in names if getattr(weather, name) is not None),
        notes=weather.notes,
        sun_hour=sun,
        noon_hour=noon,
        sun_j_m2=None if weather.ghi_w_m2 is None else float(weather.ghi_w_m2.sum()) * HOUR_S,
        degree_days_k_d=weather.degree_days_k_d(BASE_C),
        degree_days_daily_k_d=weather.daily_mean_degree_days_k_d(BASE_C),
        design_c=design,
        design_from=source,
        hourly_99_c=weather.percentile_design_c(0.99),
        hourly_996_c=weather.percentile_design_c(0.996),
        coldest_c=float(weather.outdoor_c[coldest]),
        coldest_at=record_name(coldest, weather.n_hours),
        monthly_c=tuple(months),
    )


def as_json(report: WeatherReport) -> dict[str, Any]:
    """The report as plain data, in SI with temperatures in °C; None where the file does not state a number."""
    return {
        key: None if isinstance(value, float) and math.isnan(value) else value for key, value in asdict(report).items()
    }
