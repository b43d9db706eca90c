"""The clock by which a study's hours are billed: weekdays, holidays and clock changes of its year."""

from __future__ import annotations

from dataclasses import replace

from costsim.errors import Fault, InputError
from costsim.study.case import Case
from costsim.tariffs.calendar import HourCalendar, with_outdoor
from costsim.tariffs.clock import year_of_hours
from costsim.tariffs.holidays import holiday_dates
from costsim.weather import Weather
from costsim.words import tr


def calendar_of(case: Case, weather: Weather) -> HourCalendar:
    """Build the study's clock."""
    year = year_of_hours(weather.n_hours, case.place.calendar_year, weather.years)
    try:
        holidays = holiday_dates(case.place.holidays, year)
    except ValueError as error:
        raise InputError(
            Fault("place.holidays", str(error), 'such as holidays = "US-CA, Dec 24", or leave it out', case.file)
        ) from None
    calendar = HourCalendar.build(
        n_hours=weather.n_hours,
        utc_offset_h=weather.utc_offset_h,
        timezone=case.place.timezone or None,
        year=year,
        holidays=holidays,
        guessed=weather.offset_is_guess,
    )
    if year != case.place.calendar_year and "calendar_year" in case.place.model_fields_set:
        words = {"year": year, "typed": case.place.calendar_year}
        text = tr(
            "the weather has a 29 February: weekdays and holidays are those of {year}, not of the calendar year {typed}",
            **words,
        )
        calendar = replace(calendar, warning=" ".join(filter(None, [text, calendar.warning])))
    return with_outdoor(calendar, weather) if any(price.by_weather for price in case.prices.values()) else calendar
