"""Hours of a year by their local clock time, for people."""

from __future__ import annotations

import functools

from costsim.tariffs.calendar import SHORT_MONTHS, HourCalendar


@functools.lru_cache(maxsize=8)
def clock_labels(calendar: HourCalendar) -> tuple[str, ...]:
    """Name every hour by its local clock time, such as ``Jan 12, 6 am``."""
    return tuple(
        f"{SHORT_MONTHS[month - 1]} {day}, {clock_time(hour)}"
        for month, day, hour in zip(
            calendar.month.tolist(), calendar.day_of_month.tolist(), calendar.clock_hour.tolist(), strict=True
        )
    )


def clock_time(hour: float) -> str:
    """Write a clock hour the way people say it.

    Examples
    --------
    >>> clock_time(6.0), clock_time(0.0), clock_time(13.5)
    ('6 am', '12 am', '1:30 pm')
    """
    whole, minutes = int(hour), round(hour % 1 * 60)
    text = f"{(whole - 1) % 12 + 1}" + (f":{minutes:02d}" if minutes else "")
    return f"{text} {'am' if whole < 12 else 'pm'}"
