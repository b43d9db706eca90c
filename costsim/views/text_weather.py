"""What a weather file holds, as a terminal shows it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from costsim.tariffs.calendar import SHORT_MONTHS
from costsim.units.quantity import show, to_display, unit_for
from costsim.weather import Weather
from costsim.weather.model import BASE_C
from costsim.weather.report import WeatherReport

WIDTH = 44


def printed_weather(found: WeatherReport, system: str) -> str:
    """Print the report with a small plot of the months."""
    return "\n".join([found.title, "=" * len(found.title), *weather_lines(found, system), "", *_plot(found, system)])


def weather_lines(found: WeatherReport, system: str) -> list[str]:
    """The report line by line, without the plot."""

    def warm(value: float) -> str:
        return show(value, "temperature", system)

    years = f" from {min(found.years)} to {max(found.years)}" if found.years else ""
    if len(found.years) == 1:
        years = f" of {found.years[0]}"
    days = "°F d" if system == "us" else "K d"
    both = [one * (1.8 if system == "us" else 1.0) for one in (found.degree_days_k_d, found.degree_days_daily_k_d)]
    lines = [
        f"source           {found.source}{' (synthetic)' if found.synthetic else ''}",
        f"place            {_place(found, system)}",
        f"rows             {found.hours:,} hours of standard time, {_zone(found.utc_offset_h)}{years}",
        f"columns          {', '.join(found.columns)}",
        _sun_line(found),
        f"degree-days      {both[0]:,.0f} {days} below {warm(BASE_C)}, from hours ({both[1]:,.0f} from daily means)",
        f"design outdoor   {warm(found.design_c)} ({found.design_from})",
        f"cold hours       {warm(found.hourly_99_c)} at 99%, {warm(found.hourly_996_c)} at 99.6% of the hours,"
        f" {warm(found.coldest_c)} at worst ({found.coldest_at})",
    ]
    return [line for line in lines if line] + [f"note             {note}" for note in found.notes]


def _place(found: WeatherReport, system: str) -> str:
    high = f"{show(found.altitude_m, 'length', system, 0)} high"
    if math.isnan(found.latitude_deg) or math.isnan(found.longitude_deg):
        return f"station {found.station}, latitude and longitude not stated, {high}"
    sides = _side(found.latitude_deg, "north", "south"), _side(found.longitude_deg, "east", "west")
    return f"station {found.station}, {', '.join(sides)}, {high}"


def _zone(offset_h: float) -> str:
    return "its offset from UTC not stated" if math.isnan(offset_h) else f"UTC{offset_h:+g} h"


def _side(degrees: float, positive: str, negative: str) -> str:
    return f"{abs(degrees):.2f}° {positive if degrees >= 0 else negative}"


def _sun_line(found: WeatherReport) -> str:
    if found.sun_hour is None or found.sun_j_m2 is None:
        return "sun              no radiation in the file: no solar source and no gains through glass"
    return (
        f"sun              {found.sun_j_m2 / 3.6e6:,.0f} kWh/m² a year on the level; highest around hour {found.sun_hour:.1f},"
        f" place and clock say {found.noon_hour:.1f}"
    )


def _plot(found: WeatherReport, system: str) -> list[str]:
    """Monthly means as bars from the coldest of them or freezing, whichever is colder."""
    low = min(0.0, *found.monthly_c)
    reach = max(max(found.monthly_c) - low, 1.0)
    lines = [f"monthly mean, {unit_for('temperature', system)}"]
    for name, value in zip(SHORT_MONTHS, found.monthly_c, strict=True):
        bar = "#" * max(1, round(WIDTH * (value - low) / reach))
        lines.append(f"{name} {to_display(value, 'temperature', system):6.1f} {bar}")
    return lines


def printed_winters(years: Sequence[Weather], chosen: Weather, system: str) -> str:
    """Print the degree-days of each year, and which one was written."""
    factor, unit = (1.8, "°F d") if system == "us" else (1.0, "K d")
    lines = [f"{year.degree_days_k_d(BASE_C) * factor:10,.0f} {unit}  {year.title}" for year in years]
    return "\n".join([*lines, f"written: {chosen.title}, {chosen.degree_days_k_d(BASE_C) * factor:,.0f} {unit}"])
