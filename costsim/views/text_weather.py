"""What a weather file holds, as a terminal shows it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from costsim.tariffs.calendar import short_months
from costsim.units.quantity import pretty_unit, show, to_display, unit_for
from costsim.weather import Weather
from costsim.weather.model import BASE_C
from costsim.weather.report import WeatherReport
from costsim.words import tr

WIDTH = 44


def printed_weather(report: WeatherReport, system: str) -> str:
    """Print the report with a small plot of the months."""
    return "\n".join(
        [report.title, "=" * len(report.title), *weather_lines(report, system), "", *_plot(report, system)]
    )


def weather_lines(report: WeatherReport, system: str) -> list[str]:
    """The report line by line, without the plot."""

    def warm(value: float) -> str:
        return show(value, "temperature", system)

    years = tr(" from {years} to {years_2}", years=min(report.years), years_2=max(report.years)) if report.years else ""
    if len(report.years) == 1:
        years = tr(" of {years}", years=report.years[0])
    days = "°F d" if system == "us" else "K d"
    both = [
        degree_days * (1.8 if system == "us" else 1.0)
        for degree_days in (report.degree_days_k_d, report.degree_days_daily_k_d)
    ]
    lines = [
        tr(
            "source           {source}{value}",
            source=report.source,
            value=tr(" (synthetic)") if report.synthetic else "",
        ),
        tr("place            {found}", found=_place(report, system)),
        tr(
            "rows             {hours} hours of standard time, {utc_offset_h}{years}",
            hours=f"{report.hours:,}",
            utc_offset_h=_zone(report.utc_offset_h),
            years=years,
        ),
        tr("columns          {columns}", columns=", ".join(report.columns)),
        _sun_line(report),
        tr(
            "degree-days      {both} {days} below {base}, from hours ({both_2} from daily means)",
            both=f"{both[0]:,.0f}",
            days=days,
            base=warm(BASE_C),
            both_2=f"{both[1]:,.0f}",
        ),
        tr("design outdoor   {design} ({design_from})", design=warm(report.design_c), design_from=report.design_from),
        tr(
            "cold hours       {hourly_99} at 99%, {hourly_996} at 99.6% of the hours, {coldest} at worst"
            " ({coldest_at})",
            hourly_99=warm(report.hourly_99_c),
            hourly_996=warm(report.hourly_996_c),
            coldest=warm(report.coldest_c),
            coldest_at=report.coldest_at,
        ),
    ]
    return [line for line in lines if line] + [tr("note             {note}", note=note) for note in report.notes]


def _place(report: WeatherReport, system: str) -> str:
    high = tr("{altitude} high", altitude=show(report.altitude_m, "length", system, 0))
    if math.isnan(report.latitude_deg) or math.isnan(report.longitude_deg):
        return tr("station {station}, latitude and longitude not stated, {high}", station=report.station, high=high)
    sides = _side(report.latitude_deg, "north", "south"), _side(report.longitude_deg, "east", "west")
    return tr("station {station}, {sides}, {high}", station=report.station, sides=", ".join(sides), high=high)


def _zone(offset_h: float) -> str:
    return tr("its offset from UTC not stated") if math.isnan(offset_h) else f"UTC{offset_h:+g} h"


def _side(degrees: float, positive: str, negative: str) -> str:
    return f"{abs(degrees):.2f}° {positive if degrees >= 0 else negative}"


def _sun_line(report: WeatherReport) -> str:
    if report.sun_hour is None or report.sun_j_m2 is None:
        return tr("sun              no radiation in the file: no solar source and no gains through glass")
    return tr(
        "sun              {sun_j} kWh/m² a year on the level; highest at hour {sun_hour} of the day"
        " (noon by place and clock: {noon_hour})",
        sun_j=f"{report.sun_j_m2 / 3600000.0:,.0f}",
        sun_hour=f"{report.sun_hour:.1f}",
        noon_hour=f"{report.noon_hour:.1f}",
    )


def _plot(report: WeatherReport, system: str) -> list[str]:
    """Monthly means as bars from the coldest of them or freezing, whichever is colder."""
    low = min(0.0, *report.monthly_c)
    reach = max(max(report.monthly_c) - low, 1.0)
    lines = [tr("monthly mean, {unit_for}", unit_for=pretty_unit(unit_for("temperature", system)))]
    for name, value in zip(short_months(), report.monthly_c, strict=True):
        bar = "#" * max(1, round(WIDTH * (value - low) / reach))
        lines.append(f"{name} {to_display(value, 'temperature', system):6.1f} {bar}")
    return lines


def printed_winters(years: Sequence[Weather], chosen: Weather, system: str) -> str:
    """Print the degree-days of each year, and which one was written."""
    factor, unit = (1.8, "°F d") if system == "us" else (1.0, "K d")
    lines = [f"{year.degree_days_k_d(BASE_C) * factor:10,.0f} {unit}  {year.title}" for year in years]
    return "\n".join(
        [
            *lines,
            tr(
                "written: {title}, {base} {unit}",
                title=chosen.title,
                base=f"{chosen.degree_days_k_d(BASE_C) * factor:,.0f}",
                unit=unit,
            ),
        ]
    )
