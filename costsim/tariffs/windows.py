"""Windows: hours of the clock on chosen days and dates, as people write them, and their share of each hour of a year."""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from costsim.tariffs.calendar import DAYS, MONTH_DAYS, MONTHS, HourCalendar
from costsim.units.arrays import Bools, Floats, Ints
from costsim.units.calendar_words import clock_window
from costsim.units.fields import fault
from costsim.units.table import DAY_MIN

_EVERY = ("", "every day", "all")


@dataclass(frozen=True, slots=True)
class Windows:
    """Clock windows on some days of some months; minutes of the day, end after start even across midnight.

    `season` narrows the months to days from and to (month · 100 + day, both included), `dates` to single days, `coldest_days` to
    the days of the lowest mean outdoor temperature among them, and `below_c` to hours that are colder outside. `own_holidays` is a list
    that stands in the place of the calendar's.
    """

    spans: tuple[tuple[int, int], ...]
    days: tuple[int, ...]
    holidays: bool | None
    months: tuple[int, ...]
    season: tuple[tuple[int, int], ...] = ()
    dates: tuple[int, ...] = ()
    coldest_days: int = 0
    below_c: float | None = None
    own_holidays: str = ""

    @property
    def by_weather(self) -> bool:
        """Whether it goes by the outdoor temperature."""
        return self.coldest_days > 0 or self.below_c is not None

    def days_of_month(self, calendar: HourCalendar, month: Ints) -> Floats:
        """Days in season of each of twelve months, of which `month` (n,) holds each hour's number (12,)."""
        first = np.flatnonzero(np.diff(calendar.day, prepend=-1))
        whole = np.bincount(calendar.day) > DAY_MIN // 120  # the edge of a file in another zone is no day
        chosen = _in_season(self, calendar.month[first], calendar.day_of_month[first]) & whole
        return np.bincount(month[first][chosen] - 1, minlength=12).astype(float)

    def share(self, calendar: HourCalendar) -> Floats:
        """Share of each hour that lies inside (n,), from 0 to 1.

        A window across midnight belongs to the day on which it starts; its months go by the hour's own date, as seasons
        of prices do. Minutes that two windows share count once.
        """
        return _share(self, calendar)

    def minutes(self, calendar: HourCalendar, hours: Ints) -> Bools:
        """Which minutes of some hours (k,) lie inside (k, 60)."""
        first = np.rint(calendar.clock_hour[hours] * 60.0).astype(np.int64)[:, None] + np.arange(60)
        inside = np.diff(_minutes_inside(self), axis=1).astype(bool)
        day = calendar.day.astype(np.int64)[hours][:, None] + first // DAY_MIN
        minutes = inside[_day_states(self, calendar)[day], first % DAY_MIN]
        if self.below_c is not None and calendar.outdoor_c is not None:
            minutes &= (calendar.outdoor_c[hours] < self.below_c)[:, None]
        return np.asarray(minutes)


@functools.lru_cache(maxsize=256)
def _share(windows: Windows, calendar: HourCalendar) -> Floats:
    minutes = np.rint(calendar.clock_hour * 60.0).astype(np.int64)
    state = _day_states(windows, calendar)
    today = calendar.day.astype(np.int64)
    inside = _minutes_inside(windows)
    whole = inside[state[today], np.minimum(minutes + 60, DAY_MIN)] - inside[state[today], minutes]
    # zones off the full hour have an hour that begins before midnight and ends after it
    whole += inside[state[today + 1], np.maximum(minutes + 60 - DAY_MIN, 0)]
    share = whole / 60.0
    if windows.below_c is not None and calendar.outdoor_c is not None:
        share = np.where(calendar.outdoor_c < windows.below_c, share, 0.0)
    share.flags.writeable = False
    return share


def holiday_hours(own: str, calendar: HourCalendar) -> Bools:
    """Which hours lie on a holiday (n,): of a tariff's own list where it has one, else the calendar's."""
    if not own:
        return calendar.is_holiday
    from costsim.tariffs.holidays import holiday_dates  # which reads the names of months from here

    dates = [day.month * 100 + day.day for day in holiday_dates(own, calendar.year) if day.year == calendar.year]
    return np.isin(calendar.month.astype(np.int64) * 100 + calendar.day_of_month, dates)


def _minutes_inside(windows: Windows) -> Ints:
    """Minutes inside from midnight on (4, 1441): in the first row on no day, then after midnight, before it, and both."""
    mask = np.zeros(2 * DAY_MIN, dtype=bool)
    for first, last in windows.spans:
        mask[first:last] = True
    head, tail = mask[:DAY_MIN], mask[DAY_MIN:]
    rows = np.stack([np.zeros(DAY_MIN, dtype=bool), tail, head, head | tail])
    return np.concatenate([np.zeros((4, 1), dtype=np.int64), np.cumsum(rows, axis=1)], axis=1)


def _day_states(windows: Windows, calendar: HourCalendar) -> Ints:
    """State of each local day and of the day after the last (days + 1,): 2 for its own windows, 1 for yesterday's."""
    first = np.flatnonzero(np.diff(calendar.day, prepend=-1))
    weekday = np.append(calendar.weekday[first], (calendar.weekday[-1] + 1) % 7)
    holiday = np.append(holiday_hours(windows.own_holidays, calendar)[first], False)
    month, date = (np.append(field[first], 1) for field in (calendar.month, calendar.day_of_month))
    own = _chosen(windows, weekday, holiday)
    before = _chosen(windows, (weekday - 1) % 7, np.append(False, holiday[:-1]))
    if windows.coldest_days and calendar.outdoor_c is not None:
        means = np.bincount(calendar.day, calendar.outdoor_c) / np.bincount(calendar.day)
        fits = own[:-1] & _in_season(windows, month[:-1], date[:-1])
        coldest = np.argsort(np.where(fits, means, np.inf), kind="stable")[: min(windows.coldest_days, int(fits.sum()))]
        own = np.isin(np.arange(len(own)), coldest)
        before = np.append(False, own[:-1])
    return np.where(_in_season(windows, month, date), 2 * own + before, 0).astype(np.int64)


def _in_season(windows: Windows, month: NDArray[np.int8], day: NDArray[np.int8]) -> Bools:
    """Whether dates lie in the windows' months, days of season and single days."""
    inside, date = np.isin(month, windows.months), month.astype(np.int64) * 100 + day
    if windows.season:
        spans = [(date >= a) & (date <= b) if a <= b else (date >= a) | (date <= b) for a, b in windows.season]
        inside = inside & np.any(spans, axis=0)
    return np.asarray(inside & np.isin(date, windows.dates) if windows.dates else inside)


def _chosen(windows: Windows, weekday: NDArray[np.int8], holiday: Bools) -> Bools:
    """Whether days are among the windows' days."""
    chosen = np.isin(weekday, windows.days)
    if windows.holidays is not None:
        chosen = (chosen | holiday) if windows.holidays else (chosen & ~holiday)
    return np.asarray(chosen)


def parse_windows(texts: Sequence[str], *, days: str = "every day", months: str = "") -> Windows:
    """Read clock windows.

    Parameters
    ----------
    texts : sequence of str
        Such as ``"22:00-06:00"``; none means all day.
    days : str
        ``"every day"``, or a list such as ``"Mon-Fri"``, ``"Sat, Sun, holidays"`` or ``"Mon-Fri, not holidays"``.
    months : str
        Such as ``"Nov-Mar"``; all by default.

    Returns
    -------
    Windows

    Raises
    ------
    ValueError
        With what was given and what would be right.

    Examples
    --------
    >>> clock = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025)
    >>> float(parse_windows(["23:00-07:00"]).share(clock)[:24].sum())
    8.0
    """
    return _parse(tuple(texts), days.strip(), months.strip())


def check_windows(texts: Sequence[str], *, days: str = "every day", months: str = "") -> None:
    """Refuse clock windows that `parse_windows` cannot read, as a model's own validator does.

    Raises
    ------
    PydanticCustomError
        With what was given and what would be right.
    """
    try:
        parse_windows(texts, days=days, months=months)
    except ValueError as error:
        raise fault(
            str(error), 'write it like windows = ["22:00-06:00"], days = "Mon-Fri", months = "Nov-Mar"'
        ) from None


@functools.lru_cache(maxsize=256)
def _parse(texts: tuple[str, ...], days: str, months: str) -> Windows:
    spans = tuple(_span(text) for text in texts) or ((0, DAY_MIN),)
    parts = [] if days.lower() in _EVERY else [part.strip() for part in days.split(",")]
    flags = {part.lower() for part in parts} & {"holidays", "not holidays"}
    if len(flags) > 1:
        raise ValueError(f"'{days}' asks for holidays and for none; write one of them, such as Mon-Fri, not holidays")
    holidays = "holidays" in flags if flags else None
    named = [part for part in parts if part.lower() not in flags]
    chosen = _ring(named, DAYS, "day", "Mon-Fri") if named else (() if holidays else tuple(range(7)))
    parts = [part.strip() for part in months.split(",")] if months else []
    if any(character.isdigit() for character in months):
        season = tuple(_dates(part) for part in parts)
        return Windows(spans, chosen, holidays, tuple(range(1, 13)), season)
    month_numbers = _ring(parts, MONTHS, "month", "Nov-Mar") if parts else tuple(range(12))
    return Windows(spans, chosen, holidays, tuple(month + 1 for month in month_numbers))


def _dates(part: str) -> tuple[int, int]:
    """First and last day of a season such as ``Jun 15-Sep 14``, as month · 100 + day."""
    ends = [end.split() for end in part.replace("–", "-").split("-")]
    days = []
    for at, end in enumerate(ends):
        dated = len(end) == 2 and end[1].isdecimal() and len(end[1]) < 3
        place = _place(end[0].lower(), MONTHS) if dated or len(end) == 1 else None
        day = 0 if place is None else int(end[1]) if dated else 1 if at == 0 and len(ends) > 1 else MONTH_DAYS[place]
        if place is None or not 1 <= day <= MONTH_DAYS[place]:
            raise ValueError(f"'{part}' is not a season such as Jun 15-Sep 14")
        days.append((place + 1) * 100 + day)
    if len(days) > 2:
        raise ValueError(f"'{part}' is not a season such as Jun 15-Sep 14")
    if len(ends) == 1 and len(ends[0]) == 1:  # a whole month beside a season of days
        return days[0] - days[0] % 100 + 1, days[0]
    return days[0], days[-1]


def _span(text: str) -> tuple[int, int]:
    plain = clock_window(text) if isinstance(text, str) else ""
    match = re.fullmatch(r"\s*(\d{1,2}):(\d{2})\s*[-–]\s*(\d{1,2}):(\d{2})\s*", plain)
    if match is None:
        raise ValueError(f"'{text}' is not a clock window such as 22:00-06:00")
    first, last = (int(match[i]) * 60 + int(match[i + 1]) for i in (1, 3))
    if first >= DAY_MIN or last > DAY_MIN or int(match[2]) > 59 or int(match[4]) > 59 or first == last:
        raise ValueError(f"'{text}' is not a clock window such as 22:00-06:00")
    return first, last if last > first else last + DAY_MIN


def _ring(parts: Sequence[str], names: Sequence[str], what: str, example: str) -> tuple[int, ...]:
    """Numbers of named days or months, ranges going round the end."""
    places: list[int] = []
    for part in parts:
        ends = [_place(end.strip().lower(), names) for end in re.split(r"[-–]", part)]
        if None in ends or len(ends) > 2:
            raise ValueError(f"'{part}' is not a {what} or a range of {what}s such as {example}")
        first, last = int(ends[0] or 0), int(ends[-1] or 0)
        places += [(first + i) % len(names) for i in range((last - first) % len(names) + 1)]
    return tuple(dict.fromkeys(places))


def _place(text: str, names: Sequence[str]) -> int | None:
    """Number of the name that begins with at least three letters of text."""
    return next((i for i, name in enumerate(names) if len(text) > 2 and name.startswith(text)), None)
