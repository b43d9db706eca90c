"""Times of rows as files write them; the order of day and month is told from the whole column."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from costsim.errors import Fault, InputError
from costsim.tariffs.calendar import MONTHS
from costsim.units.arrays import Floats, Ints
from costsim.units.table import WHOLE_DAY_S, WHOLE_HOUR_S

Times = NDArray[np.datetime64]
_Part = tuple[str, tuple[int, int, int], tuple[int, float] | None]
"""Kind, three numbers in the order written, and seconds of the day with offset from UTC, None where no time is written."""
LONGEST_STAMP = 40
_MONTHS = {name[:3].lower(): at for at, name in enumerate(MONTHS, 1)}
# each pattern is bounded, and stamps longer than LONGEST_STAMP are never tried
_YEAR_FIRST = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})(?!\d)")
_COMPACT = re.compile(r"((?:1[89]|2[01])\d\d)(\d\d)(\d\d)")
_YEAR_LAST = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})(?!\d)")
_DAY_NAMED = re.compile(r"(\d{1,2})[-. /]{1,2}([A-Za-z]{3,9})\.?[-, /]{1,2}(\d{4}|(?<=[-/])\d\d)(?![\d:])")
_MONTH_NAMED = re.compile(r"([A-Za-z]{3,9})\.?[- ]{1,2}(\d{1,2}),?[- ]{1,2}(\d{4})(?!\d)")
_TIME = re.compile(
    r"[T: ,]{0,2}(\d{1,2})(?::(\d\d)(?::(\d\d)(?:[.,]\d{1,9})?)?|(\d\d)(\d\d)?)? ?([AaPp]\.?[Mm]\.?)?"
    r" ?(Z|UTC|GMT|[+-]\d\d(?::?\d\d)?)?"
)
_WEEKDAY = re.compile(r"^(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?\.?,? {1,2}", re.IGNORECASE)
_DOTTED = re.compile(r"^([T ,]{1,2}\d{1,2})\.(\d\d)$")
"""A time as 13.30 behind its date."""
_ISO_DAY, _ISO_CLOCK = (
    re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}"),
    re.compile(r"(?:[T ][0-9]{2}:[0-9]{2}(?::[0-9]{2})?)?"),
)
_ZONE_ONLY = re.compile(r" ?(Z|UTC|GMT)?")


@dataclass(frozen=True, slots=True, eq=False)
class Stamps:
    """Times of rows (n,) as written, seconds; NaT where a cell holds none.

    `offset_h` (n,) is the offset from UTC that the stamps carry; NaN where they carry none. `timed` tells whether any
    stamp has a time of day, `ends` whether hours are counted to 24:00, as labels at the end of an hour are.
    """

    times: Times
    offset_h: Floats
    timed: bool
    ends: bool = False


def looks_like_stamp(text: str) -> bool:
    """Whether a cell holds a date, with or without a time.

    Examples
    --------
    >>> [looks_like_stamp(t) for t in ("31-Jan-16", "31/01/2016 05.30", "5 Jan 12:00")]
    [True, True, False]
    >>> [looks_like_stamp(t) for t in ("2016-01-31T05:00", "20160101:0010", "3/4/2016 1:00 PM", "12.5", "2016013105")]
    [True, True, True, False, True]
    """
    return _parts(text) is not None


def _parts(text: str) -> _Part | None:
    """What a stamp says; None where it is none."""
    text = text.strip().strip("'\"").strip().removesuffix(" UTC")  # which some write behind +0000
    text = _WEEKDAY.sub("", text) if text[:1].isalpha() else text
    if not 6 <= len(text) <= LONGEST_STAMP:
        return None
    numbers: tuple[int, int, int]
    if match := _YEAR_FIRST.match(text):
        kind, numbers = "ymd", (int(match[1]), int(match[3]), int(match[4]))
    elif match := _COMPACT.match(text):
        kind, numbers = "ymd", (int(match[1]), int(match[2]), int(match[3]))
    elif match := _YEAR_LAST.match(text):
        kind, numbers = ("dot" if match[2] == "." else "?"), (int(match[1]), int(match[3]), _century(match[4]))
    elif (match := _DAY_NAMED.match(text)) and match[2][:3].lower() in _MONTHS:
        kind, numbers = "ymd", (_century(match[3]), _MONTHS[match[2][:3].lower()], int(match[1]))
    elif (match := _MONTH_NAMED.match(text)) and match[1][:3].lower() in _MONTHS:
        kind, numbers = "ymd", (int(match[3]), _MONTHS[match[1][:3].lower()], int(match[2]))
    else:
        return None
    rest = _DOTTED.sub(r"\1:\2", text[match.end() :])
    if _ZONE_ONLY.fullmatch(rest):
        return kind, numbers, None
    time = time_of(rest)
    return None if time is None else (kind, numbers, time)


def _century(text: str) -> int:
    value = int(text)
    return value if len(text) == 4 else value + (2000 if value < 69 else 1900)


def time_of(text: str) -> tuple[int, float] | None:
    """Seconds of the day and offset from UTC [h], NaN where none is written; None where it is no time.

    Examples
    --------
    >>> time_of("05:30"), time_of("T24:00Z"), time_of("1:15 PM")[0], time_of(":0010")[0], time_of("25:00")
    ((19800, nan), (86400, 0.0), 47700, 600, None)
    """
    if len(text) > LONGEST_STAMP or not (match := _TIME.fullmatch(text.rstrip())):
        return None
    hour, minute, second = int(match[1]), int(match[2] or match[4] or 0), int(match[3] or match[5] or 0)
    if match[6]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match[6][0] in "Pp" else 0)
    seconds = hour * WHOLE_HOUR_S + minute * 60 + second
    if seconds > WHOLE_DAY_S or minute > 59 or second > 59:
        return None
    return seconds, _offset(match[7])


def _offset(text: str | None) -> float:
    if not text:
        return float("nan")
    if text in ("Z", "UTC", "GMT"):
        return 0.0
    digits = text[1:].replace(":", "")
    return (1 if text[0] == "+" else -1) * (int(digits[:2]) + int(digits[2:] or 0) / 60)


def read_stamps(texts: Sequence[str], file: str, name: str = "time") -> Stamps:
    """Read a column of times.

    Parameters
    ----------
    texts : sequence of str (n,)
    file, name : str
        For messages: the file, and the heading of the column.

    Raises
    ------
    InputError
        A cell holds no time, or days and months cannot be told apart.

    Examples
    --------
    >>> read_stamps(["13/1/2016 00:00", "13/1/2016 01:00"], "a.csv").times[1]
    np.datetime64('2016-01-13T01:00:00')
    """
    if quick := _iso(texts):
        return quick
    cache: dict[str, _Part | None] = {}
    parts = [cache[text] if text in cache else cache.setdefault(text, _parts(text)) for text in texts]
    bad = next((at for at, part in enumerate(parts) if part is None and texts[at].strip()), None)
    if bad is not None:
        what = f"'{texts[bad].strip()[:40]}' in data row {bad + 1} is no date and time"
        raise InputError(Fault(name, what, "write times such as 2024-03-31 14:00", file))
    kinds = {part[0] for part in parts if part is not None}
    order = "mdy" if "?" in kinds else "dmy"
    seconds = np.array([part[2][0] if part and part[2] else 0 for part in parts], dtype=np.int64)
    if kinds & {"?", "dot"}:
        orders = {likely: times for likely in ("mdy", "dmy") if (times := _made(parts, likely, seconds)) is not None}
        order = _likely(orders, "dot" in kinds and "?" not in kinds, texts, file, name)
        times = orders[order]
    else:
        times_read = _made(parts, order, seconds)
        if times_read is None:
            at = next(i for i, part in enumerate(parts) if part is not None and _date(part, order) is None)
            what = f"'{texts[at].strip()[:40]}' in data row {at + 1} is no day of the calendar"
            raise InputError(Fault(name, what, "write times such as 2024-03-31 14:00", file))
        times = times_read
    offsets = np.array([part[2][1] if part and part[2] else np.nan for part in parts], dtype=float)
    timed = any(part is not None and part[2] is not None for part in parts)
    return Stamps(times, offsets, timed, bool((seconds == WHOLE_DAY_S).any()) and not bool((seconds == 0).any()))


def _iso(texts: Sequence[str]) -> Stamps | None:
    """The quick way for plain ISO times, which NumPy reads by itself."""
    if not len(texts) or len({len(text) for text in texts}) != 1:
        return None
    days, clocks = {text[:10] for text in texts}, {text[10:] for text in texts}
    if not all(_ISO_DAY.fullmatch(day) for day in days) or not all(_ISO_CLOCK.fullmatch(clock) for clock in clocks):
        return None  # NumPy reads offsets too, and lets them go
    try:
        times = np.array(texts, dtype="datetime64[s]")
    except ValueError:
        return None
    if np.isnat(times).any() or not (np.datetime64("1800-01-01") < times.min() <= times.max() < np.datetime64("2200")):
        return None
    return Stamps(times, np.full(len(texts), np.nan), ":" in texts[0])


def _date(part: _Part, order: str) -> datetime.date | None:
    kind, (a, b, c), _ = part
    year, month, day = (a, b, c) if kind == "ymd" else (c, a, b) if order == "mdy" else (c, b, a)
    if not 1800 <= year <= 2200:
        return None
    try:
        return datetime.date(year, month, day)
    except ValueError:
        return None


def _made(parts: Sequence[_Part | None], order: str, seconds: Ints) -> Times | None:
    """Times in one order of the numbers; None where a cell is no day in it."""
    cache: dict[object, np.datetime64 | None] = {}
    days = np.full(len(parts), np.datetime64("NaT", "D"))
    for at, part in enumerate(parts):
        if part is None:
            continue
        kind, numbers, _ = part
        key = kind, numbers
        if key not in cache:
            date = _date(part, order)
            cache[key] = None if date is None else np.datetime64(date)
        times = cache[key]
        if times is None:
            return None
        days[at] = times
    return np.asarray(days.astype("datetime64[s]") + seconds.astype("timedelta64[s]"))


def _likely(orders: dict[str, Times], dots: bool, texts: Sequence[str], file: str, name: str) -> str:
    """The order in which the times follow one another evenly, however the rows lie."""
    if not orders:
        raise InputError(Fault(name, f"'{texts[0].strip()[:40]}' and others are no dates in one order", _ISO, file))
    if len(orders) == 1:
        return next(iter(orders))
    if dots:  # dots between numbers are never month first
        return "dmy"
    even = {}
    for order, times in orders.items():
        steps = np.diff(np.sort(times[~np.isnat(times)])).astype(np.int64)
        even[order] = float((steps == np.median(steps)).mean()) if len(steps) else 0.0
    best = max(even, key=lambda order: even[order])
    if abs(even["mdy"] - even["dmy"]) > 0.005:
        return best
    if np.array_equal(orders["mdy"], orders["dmy"]):
        return "mdy"
    raise InputError(Fault(name, f"day and month of '{texts[0].strip()[:40]}' cannot be told apart", _ISO, file))


_ISO = "write dates as year-month-day, such as 2024-03-31"


def from_columns(numbers: dict[str, Floats], file: str) -> Stamps:
    """Times from columns of numbers.

    Parameters
    ----------
    numbers : dict
        Arrays (n,) by `year`, `month`, `day` or `yearday`, and, where there are any, `hour` and `minute`.
    file : str

    Raises
    ------
    InputError
        A row is no time of the calendar.
    """
    whole = {
        key: np.nan_to_num(np.clip(values, -1e6, 1e6), nan=-1.0).astype(np.int64) for key, values in numbers.items()
    }
    n = len(whole["year"])
    hour, minute = whole.get("hour", np.zeros(n, np.int64)), whole.get("minute", np.zeros(n, np.int64))
    plain = "yearday" not in whole
    month, day = (whole["month"], whole["day"]) if plain else (np.ones(n, np.int64), whole["yearday"])
    wrong = (month < 1) | (month > 12) | (day < 1) | (day > (31 if plain else 366))
    wrong |= (whole["year"] < 1800) | (whole["year"] > 2200) | (hour < 0) | (hour > 24) | (minute < 0) | (minute > 60)
    good = ~wrong
    start = np.full(n, np.datetime64("NaT", "M"))
    start[good] = ((whole["year"] - 1970) * 12 + month - 1)[good].astype("datetime64[M]")
    days = start.astype("datetime64[D]") + (day - 1).astype("timedelta64[D]")
    if plain:
        wrong |= good & (days.astype("datetime64[M]") != start)
    if wrong.any():
        at = int(np.argmax(wrong))
        shown = ", ".join(f"{key} {values[at]:g}" for key, values in numbers.items())
        raise InputError(Fault("time", f"data row {at + 1} ({shown}) is no time of the calendar", _ISO, file))
    times = days.astype("datetime64[s]") + (hour * WHOLE_HOUR_S + minute * 60).astype("timedelta64[s]")
    ends = bool((hour == 24).any()) and not bool((hour == 0).any())
    return Stamps(times, np.full(n, np.nan), "hour" in numbers, ends)
