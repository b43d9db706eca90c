"""Dates and times of day as downloads write them, column by column: what a cell is, and local clock seconds of all of them."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from costsim.bills.dates import ORDERS, is_date, month_number, read_date
from costsim.units.arrays import Ints
from costsim.units.table import WHOLE_DAY_S, WHOLE_HOUR_S

Seconds = Ints
NO_TIME = -1
_TIME = re.compile(
    r"(\d{1,2})(?::(\d\d)(?::(\d\d)(?:[.,]\d{1,9})?)?| ?(?=[ap]))[ ]?([ap])?\.?m?\.?[ ]?"
    r"(z|utc|gmt|[ecmp][sd]t|cest|cet|bst|[-+]\d\d:?\d\d|[-+]\d\d)?",
    re.IGNORECASE,
)
_ZONES = {
    "z": 0, "utc": 0, "gmt": 0, "bst": 1, "cet": 1, "cest": 2, "est": -5, "edt": -4, "cst": -6, "cdt": -5, "mst": -7, "mdt": -6,
    "pst": -8, "pdt": -7,
}  # fmt: skip
_BETWEEN = (" - ", " – ", " — ", "–", " to ", " bis ", " through ", " thru ", " au ", " a ", "/", "-")
_LONGEST = 64
_MONTH = re.compile(
    r"(?:([^\W\d_]{3,10})\.?[ ,\-/']{1,2}((?:19|20)?\d\d)|((?:19|20)\d\d)[ \-/.]([^\W\d_]{3,10}|\d\d?)|(\d\d?)[\-/.]((?:19|20)\d\d))"
)


_QUARTER = re.compile(
    r"(?:[qt]([1-4])|([1-4])[. ]{0,2}q(?:uartal|tr)?)[ \-/']{0,2}((?:19|20)?\d\d)|((?:19|20)\d\d)[ \-/]{0,2}[qt]([1-4])",
    re.IGNORECASE,
)
_SECONDS_SINCE_1970 = re.compile(r"([0-9]{10})(?:\.0{1,6}|[0-9]{3})?")
FIRST_EPOCH_S, LAST_EPOCH_S = 946_684_800, 4_102_444_800  # 2000 to 2100


@dataclass(frozen=True, slots=True)
class Moment:
    """What stands in one cell: a date as text, seconds of the local clock since midnight (-1: none), offset from UTC [s]."""

    date: str
    second: int = NO_TIME
    offset_s: int | None = None


@lru_cache(maxsize=20_000)
def time_of_day(text: str) -> tuple[int, int | None] | None:
    """Read a time of day as seconds, with its offset from UTC where it has one; None where it is none.

    Examples
    --------
    >>> time_of_day("1:30 PM"), time_of_day("24:00"), time_of_day("00:30:00-06:00"), time_of_day("7.5")
    ((48600, None), (86400, None), (1800, -21600), None)
    """
    text = text.strip().strip("'")
    if len(text) == 4 and text.isascii() and text.isdigit():  # as 0130; only columns of times are asked
        text = f"{text[:2]}:{text[2:]}"
    match = _TIME.fullmatch(text) if len(text) <= _LONGEST else None
    if match is None:
        return None
    hour, minute, second = int(match[1]), int(match[2] or 0), int(match[3] or 0)
    if match[4]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match[4].lower() == "p" else 0)
    value = hour * WHOLE_HOUR_S + minute * 60 + second
    if minute > 59 or second > 59 or value > WHOLE_DAY_S:
        return None
    return value, _offset(match[5])


def _offset(text: str | None) -> int | None:
    if not text:
        return None
    if text.lower() in _ZONES:
        return _ZONES[text.lower()] * WHOLE_HOUR_S
    digits = text[1:].replace(":", "").ljust(4, "0")
    size = int(digits[:2]) * WHOLE_HOUR_S + int(digits[2:]) * 60
    return -size if text[0] == "-" else size


def moment(text: str) -> Moment | None:
    """Part a cell into its date and its time of day; None where it holds no date.

    Examples
    --------
    >>> moment("2015-11-22T01:00:00-06:00")
    Moment(date='2015-11-22', second=3600, offset_s=-21600)
    >>> moment("3/4/2024").second, moment("12.5")
    (-1, None)
    """
    text = text.strip().strip("'\"").strip()
    if not text or len(text) > _LONGEST:
        return None
    colon = text.find(":")
    if colon > 0:
        cut = max(text.rfind("T", 0, colon), text.rfind(" ", 0, colon))
        time = time_of_day(text[cut + 1 :]) if cut > 0 else None
        if time is None:
            return None
        date = text[:cut].rstrip(" ,")
        return Moment(date, *time) if is_date(date) else None
    if epoch := _SECONDS_SINCE_1970.fullmatch(text):
        return _epoch(int(epoch[1]))
    return Moment(text) if is_date(text) else None


def _epoch(seconds: int) -> Moment | None:
    if not FIRST_EPOCH_S <= seconds < LAST_EPOCH_S:
        return None
    day = datetime.date(1970, 1, 1) + datetime.timedelta(days=seconds // WHOLE_DAY_S)
    return Moment(day.isoformat(), seconds % WHOLE_DAY_S, 0)


def months_named(text: str) -> tuple[datetime.date, int] | None:
    """First day of a month or quarter that is named without a day, and its number of months; None where it is neither.

    Examples
    --------
    >>> months_named("Q3 2019"), months_named("2019-Q1"), months_named("Mar 2018")
    ((datetime.date(2019, 7, 1), 3), (datetime.date(2019, 1, 1), 3), (datetime.date(2018, 3, 1), 1))
    """
    if first_day := month(text):
        return first_day, 1
    text = text.strip().strip("'\"")
    match = _QUARTER.fullmatch(text) if len(text) <= _LONGEST else None
    if match is None:
        return None
    number, year = int(match[1] or match[2] or match[5]), match[3] or match[4]
    return datetime.date(_full_year(year), 3 * number - 2, 1), 3


def _full_year(year: str) -> int:
    return int(year) if len(year) == 4 else 2000 + int(year) if int(year) < 69 else 1900 + int(year)


def month(text: str) -> datetime.date | None:
    """First day of a month that is named without a day; None where it is none.

    Examples
    --------
    >>> month("Mar 2018"), month("2018-03"), month("Jan-18"), month("03/04/2018")
    (datetime.date(2018, 3, 1), datetime.date(2018, 3, 1), datetime.date(2018, 1, 1), None)
    """
    text = text.strip().strip("'\"")
    if "年" in text[:8]:
        text = text[:_LONGEST].replace("年", "-").rstrip("月分度")
    match = _MONTH.fullmatch(text) if len(text) <= _LONGEST else None
    if match is None:
        return None
    year, name = next((y, m) for m, y in ((match[1], match[2]), (match[4], match[3]), (match[5], match[6])) if y)
    number = int(name) if name.isdecimal() else month_number(name)
    return datetime.date(_full_year(year), number, 1) if 1 <= number <= 12 else None


def span(text: str) -> tuple[str, str] | None:
    """Part a cell such as ``03/17/2018 - 04/18/2018`` or ``00:00-00:30`` into its two dates or times; None where it is none."""
    text = text.strip().strip("'\"")
    if not 6 <= len(text) <= _LONGEST or moment(text) or months_named(text):
        return None
    for mark in _BETWEEN:
        at = text.find(mark)
        while at > 0:
            first, last = text[:at].strip(), text[at + len(mark) :].strip()
            if (moment(first) and moment(last)) or (time_of_day(first) and time_of_day(last)):
                return first, last
            at = text.find(mark, at + 1)
    return None


def kind_of(cell: str) -> str:
    """Say what a cell is: ``"date"``, ``"month"``, ``"span"``, ``"time"``, or nothing of these."""
    if not cell or len(cell) > _LONGEST or not any(letter.isdigit() for letter in cell):
        return ""
    return _kind_of(cell)


@lru_cache(maxsize=20_000)
def _kind_of(cell: str) -> str:
    if not cell.isdigit() and time_of_day(cell):
        return "time"
    if moment(cell):
        return "date"
    if months_named(cell):
        return "month"
    return "span" if span(cell) else ""


def seconds_of(moments: Sequence[Moment | None], order: str) -> Seconds:
    """Local clock seconds since 1970 of moments whose dates are of one order (n,); the least integer where there is none."""
    known: dict[str, int] = {}
    seconds = np.full(len(moments), np.iinfo(np.int64).min, dtype=np.int64)
    for i, stamp in enumerate(moments):
        if stamp is None:
            continue
        if stamp.date not in known:
            day = read_date(stamp.date, order)
            known[stamp.date] = (day - datetime.date(1970, 1, 1)).days if day else -(10**9)
        if known[stamp.date] > -(10**9):
            seconds[i] = known[stamp.date] * WHOLE_DAY_S + max(stamp.second, 0)
    return seconds


def possible(texts: Sequence[str]) -> list[str]:
    """Orders in which every one of the different dates can be read."""
    return [order for order in ORDERS if all(read_date(text, order) for text in dict.fromkeys(texts))]
