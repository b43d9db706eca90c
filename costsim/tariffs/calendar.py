"""Local clock time of every hour of the weather year.

Weather files count hours of standard time; prices, set-backs and curtailment follow the clock on the wall.
"""

from __future__ import annotations

import datetime as dt
import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from costsim.tariffs.clock import clock_shifts, standard_stamps, utc_offset_s
from costsim.units.arrays import Bools, Floats
from costsim.units.table import HOUR_S
from costsim.words import tr

Ints = NDArray[np.int16]
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
SHORT_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
MONTH_DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def short_months() -> list[str]:
    """Short names of the months in the reader's language."""
    return [tr(name) for name in SHORT_MONTHS]


@dataclass(frozen=True, slots=True, eq=False)
class HourCalendar:
    """Clock time at the start of each hour; arrays are (n,).

    `clock_hour` runs from 0 to below 24 and may be fractional in zones off the full hour; `day` numbers the local days,
    of which those of the clock change have 23 or 25 hours. `outdoor_c` is there where a price goes by the weather.
    """

    year: int
    month: NDArray[np.int8]
    weekday: NDArray[np.int8]
    clock_hour: Floats
    day: Ints
    day_of_month: NDArray[np.int8]
    is_holiday: Bools
    warning: str = ""
    outdoor_c: Floats | None = None

    @property
    def n_hours(self) -> int:
        """Number of hours."""
        return len(self.month)

    @staticmethod
    def build(
        *,
        n_hours: int,
        utc_offset_h: float,
        timezone: str | None,
        year: int,
        holidays: Sequence[dt.date] = (),
        guessed: bool = False,
    ) -> HourCalendar:
        """Build the clock of a weather year.

        Parameters
        ----------
        n_hours : int
            8760 or 8784. A leap `year` with 8760 hours leaves out 29 February, as typical years do.
        utc_offset_h : float
            Offset of the file's standard time [h]; NaN where nothing states it: the standard time of `timezone`, else UTC.
        timezone : str, optional
            IANA name; None keeps standard time all year.
        year : int
            Year for weekdays, holidays and clock changes.
        holidays : sequence of date
            Days that count as holidays.
        guessed : bool
            Whether the offset is only near that of the place: then a zone that lies beside it is no warning.

        Returns
        -------
        HourCalendar
            Always of n_hours: a zone that does not fit the file's offset moves the clock and is told in `warning`.

        Raises
        ------
        InputError
            The hours do not fit the year.

        Examples
        --------
        >>> clock = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone="America/New_York", year=2025)
        >>> int(np.bincount(clock.day).min()), int(np.bincount(clock.day)[1:-1].max())
        (23, 25)
        """
        offset = standard_offset_h(timezone, year) if math.isnan(utc_offset_h) else utc_offset_h
        return _build(n_hours, offset, timezone or "", year, tuple(holidays), guessed)


def standard_offset_h(timezone: str | None, year: int) -> float:
    """Offset of a zone's standard time from UTC [h]; 0 without a zone.

    Examples
    --------
    >>> standard_offset_h("America/New_York", 2025), standard_offset_h(None, 2025)
    (-5.0, 0.0)
    """
    if not timezone:
        return 0.0
    zone = ZoneInfo(timezone)
    days = (dt.datetime(year, month, 1, tzinfo=dt.UTC).timestamp() for month in (1, 7))
    return min(utc_offset_s(zone, int(day)) for day in days) / HOUR_S


@functools.lru_cache(maxsize=16)
def _build(
    n_hours: int, utc_offset_h: float, timezone: str, year: int, holidays: tuple[dt.date, ...], guessed: bool
) -> HourCalendar:
    stamps = standard_stamps(n_hours, year)
    seconds = stamps.astype("datetime64[s]").astype(np.int64)
    shift, warning = clock_shifts(seconds, utc_offset_h, timezone)
    local = (seconds + shift).astype("datetime64[s]")
    days = local.astype("datetime64[D]")
    months = days.astype("datetime64[M]")
    off = np.array([np.datetime64(day, "D") for day in holidays], dtype="datetime64[D]")
    arrays = {
        "month": (months.astype(int) % 12 + 1).astype(np.int8),
        "weekday": ((days.astype(int) + 3) % 7).astype(np.int8),
        "clock_hour": (local - days).astype(np.int64) / HOUR_S,
        "day": np.cumsum(np.concatenate(([0], (np.diff(days).astype(int) != 0)))).astype(np.int16),
        "day_of_month": ((days - months).astype(int) + 1).astype(np.int8),
        "is_holiday": np.isin(days, off),
    }
    for array in arrays.values():
        array.flags.writeable = False
    return HourCalendar(year=year, warning="" if guessed else warning, **arrays)


@functools.lru_cache(maxsize=8)
def with_outdoor(calendar: HourCalendar, weather: Any) -> HourCalendar:
    """The clock with the weather's outdoor temperature in each hour, for prices that go by it."""
    return replace(calendar, outdoor_c=weather.outdoor_c)
