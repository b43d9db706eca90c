"""Hours of standard time, and how far the clock on the wall is ahead of them."""

from __future__ import annotations

import datetime as dt
from calendar import isleap
from collections.abc import Sequence
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from costsim.errors import Fault, InputError
from costsim.units.arrays import Ints
from costsim.units.table import HOUR_S

STANDARD_SHARE = 0.75


LEAP_HOURS = 8784


def year_of_hours(n_hours: int, wanted: int, measured: Sequence[int] = ()) -> int:
    """Year by whose weekdays, holidays and clock changes the hours are billed.

    Parameters
    ----------
    n_hours : int
        With a 29 February they are a leap year's.
    wanted : int
        Taken wherever it has as many hours.
    measured : sequence of int
        Years in which the hours were measured: else the one where it is a leap year and the only one, else the leap year before.

    Examples
    --------
    >>> year_of_hours(8760, 2025), year_of_hours(8784, 2028), year_of_hours(8784, 2025, [2016]), year_of_hours(8784, 2025)
    (2025, 2028, 2016, 2024)
    """
    if n_hours != LEAP_HOURS or isleap(wanted):
        return wanted
    if len(measured) == 1 and isleap(measured[0]):
        return measured[0]
    return next(year for year in range(wanted, wanted - 9, -1) if isleap(year))


def standard_stamps(n_hours: int, year: int) -> NDArray[np.datetime64]:
    """Standard time at the start of each hour (n,)."""
    leap = isleap(year)
    if n_hours != 8760 and not (leap and n_hours == LEAP_HOURS):
        problem = f"a weather year of {n_hours} hours does not fit {year}"
        raise InputError(Fault("place.calendar_year", problem, "give 8760 hours, or a leap year with 8784"))
    first = np.datetime64(f"{year}-01-01T00", "h")
    stamps = first + np.arange(n_hours + 24 * (leap and n_hours == 8760))
    if leap and n_hours == 8760:
        february_29 = stamps.astype("datetime64[D]") == np.datetime64(f"{year}-02-29")
        stamps = stamps[~february_29]
    return stamps


def clock_shifts(seconds: Ints, utc_offset_h: float, timezone: str) -> tuple[Ints, str]:
    """Seconds that the wall clock is ahead of the file's standard time, hour by hour."""
    if not timezone:
        return np.zeros(len(seconds), dtype=np.int64), ""
    zone = ZoneInfo(timezone)
    universal = seconds - round(utc_offset_h * HOUR_S)
    # offsets change a few times a year: look them up once a day, and every hour of the days in which they change
    offset = {s: utc_offset_s(zone, int(s)) for s in universal[::24]}
    shift = np.empty(len(seconds), dtype=np.int64)
    for start in range(0, len(seconds), 24):
        end = min(start + 24, len(seconds))
        now = offset[universal[start]]
        after = offset[universal[end]] if end < len(seconds) else utc_offset_s(zone, int(universal[-1]))
        block = universal[start:end]
        shift[start:end] = now if now == after else [utc_offset_s(zone, int(s)) for s in block]
    shift -= round(utc_offset_h * HOUR_S)
    # the file's offset is the zone's standard time, or the time of most of the year where a fast puts the clock back
    if shift.min() != 0 and np.mean(shift == 0) < STANDARD_SHARE:
        text = f"the time zone {timezone} and the weather file's UTC{utc_offset_h:+g} lie {abs(shift.min()) / HOUR_S:g} h apart; check place.timezone"
        return shift, text
    return shift, ""


def utc_offset_s(zone: ZoneInfo, seconds: int) -> int:
    """Offset of a zone from universal time at a moment [s]."""
    offset = dt.datetime.fromtimestamp(seconds, tz=zone).utcoffset()
    return int(offset.total_seconds()) if offset is not None else 0
