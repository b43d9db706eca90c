"""Hours of a year by their local clock time, for people."""

from __future__ import annotations

import functools
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from costsim.tariffs.calendar import HourCalendar, short_months
from costsim.units.table import DAY_MIN
from costsim.words import tr


def clock_labels(calendar: HourCalendar) -> tuple[str, ...]:
    """Name every hour by its local clock time, such as ``Jan 12, 6 am``."""
    return _labels(calendar, tr("{month} {day}, {time}"), tuple(short_months()), (tr("{time} am"), tr("{time} pm")))


@functools.lru_cache(maxsize=8)
def _labels(calendar: HourCalendar, form: str, months: tuple[str, ...], halves: tuple[str, str]) -> tuple[str, ...]:
    """The same in the words of a language."""
    return tuple(
        form.format(month=months[month - 1], day=day, time=_time(hour, halves))
        for month, day, hour in zip(
            calendar.month.tolist(), calendar.day_of_month.tolist(), calendar.clock_hour.tolist(), strict=True
        )
    )


def day_labels(calendar: HourCalendar, hours: Iterable[int]) -> list[str]:
    """Name the days of some hours, such as ``Jan 12``."""
    months = short_months()
    return [
        tr("{month} {day}", month=months[calendar.month[hour] - 1], day=calendar.day_of_month[hour]) for hour in hours
    ]


def wall_times(calendar: HourCalendar, hours: range) -> NDArray[np.datetime64]:
    """Local clock time at the start of each of some hours on end, for a picture; the hour that autumn repeats stands half past it.

    Examples
    --------
    >>> clock = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone="America/New_York", year=2025)
    >>> [str(one) for one in wall_times(clock, range(4, 6))]
    ['2023-01-01T04:00', '2023-01-01T05:00']
    """
    at = np.asarray(hours)
    minutes = (calendar.day[at].astype(int) - int(calendar.day[at[0]])) * DAY_MIN + np.round(
        calendar.clock_hour[at] * 60
    ).astype(int)
    minutes[1:][np.diff(minutes) <= 0] += 30
    year = 2024 if calendar.n_hours > 8760 else 2023  # which year is shown nowhere; it only must have the same days
    first = f"{year}-{calendar.month[at[0]]:02d}-{calendar.day_of_month[at[0]]:02d}"
    return np.asarray(np.datetime64(first, "m") + minutes.astype("timedelta64[m]"))


def clock_time(hour: float) -> str:
    """Write a clock hour the way people say it.

    Examples
    --------
    >>> clock_time(6.0), clock_time(0.0), clock_time(13.5)
    ('6 am', '12 am', '1:30 pm')
    """
    return _time(hour, (tr("{time} am"), tr("{time} pm")))


def _time(hour: float, halves: tuple[str, str]) -> str:
    whole, minutes = int(hour), round(hour % 1 * 60)
    text = f"{(whole - 1) % 12 + 1}" + (f":{minutes:02d}" if minutes else "")
    return halves[whole >= 12].format(time=text)
