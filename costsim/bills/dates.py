"""Dates as bills write them: ISO, American or day first, by name of month; the order is told from the whole column."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from costsim.bills.model import Days
from costsim.tariffs.calendar import MONTHS

_MONTH_NAMES = {name.lower(): at for at, name in enumerate(MONTHS, 1)} | {
    name: at
    for at, names in enumerate(
        (
            "januar janvier enero jänner januari gennaio", "februar février fevrier febrero februari febbraio", "märz maerz mars marzo maart mrz",
            "april avril abril aprile",
            "mai mayo mei maggio", "juni juin junio giugno", "juli juillet julio luglio", "august août aout agosto augustus",
            "september septembre septiembre settembre sept",
            "oktober octobre octubre ottobre", "november novembre noviembre", "dezember décembre decembre diciembre dicembre",
        ),
        1,
    )
    for name in names.split()
}  # fmt: skip
_TIME = re.compile(r"[T ]\d{1,2}:\d\d.*$")
_NUMERIC = re.compile(r"^(\d{1,4})([-/. ])(\d{1,2})\2(\d{1,4})$")
_COMPACT = re.compile(r"^((?:19|20)\d\d)(\d\d)(\d\d)$")
_DAY_NAMED = re.compile(r"^(\d{1,2})(?:er)?[-. ]+([^\W\d_]{3,10})\.?[-, ]+(\d{2,4})$")
_MONTH_NAMED = re.compile(r"^([^\W\d_]{3,10})\.?[- ]+(\d{1,2})(?:st|nd|rd|th)?[-, ]+(\d{2,4})$")
_WEEKDAY = re.compile(r"^(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?\.?,? ", re.IGNORECASE)
ORDERS = {"ymd": "year, month, day", "mdy": "month, day, year", "dmy": "day, month, year"}


def month_number(name: str) -> int:
    """Number of a month by name or number, in English, German, French, Spanish, Dutch or Italian; 0 where it is none."""
    name = name.strip().lower().rstrip(".")
    if name.isdecimal():
        return int(name) if 1 <= int(name[:3]) <= 12 else 0
    if name in _MONTH_NAMES:
        return _MONTH_NAMES[name]
    close = {at for known, at in _MONTH_NAMES.items() if len(name) >= 3 and known.startswith(name)}
    return close.pop() if len(close) == 1 else 0


def _year(text: str) -> int:
    """Read a year; two digits up to 68 belong to this century (the rule of POSIX strptime)."""
    value = int(text)
    return value if len(text) > 2 else value + (2000 if value < 69 else 1900)


def _made(year: str, month: int, day: int) -> datetime.date | None:
    try:
        made = datetime.date(_year(year), month, day)
    except ValueError:
        return None
    return made if 1900 <= made.year <= 2100 else None


@lru_cache(maxsize=20_000)
def read_date(text: str, order: str) -> datetime.date | None:
    """Read one date in one order of its numbers; None where it is none. A time of day behind it is let go.

    Examples
    --------
    >>> read_date("3/4/2024", "mdy"), read_date("4 Mar 2024 10:30", "mdy"), read_date("31/4/2024", "dmy")
    (datetime.date(2024, 3, 4), datetime.date(2024, 3, 4), None)
    >>> read_date("Monday, March 4, 2024", "mdy")
    datetime.date(2024, 3, 4)
    """
    text = _WEEKDAY.sub("", " ".join(_TIME.sub("", text.strip().strip("'\"")).split()))
    if "年" in text[:8]:
        text = text.replace("年", "-").replace("月", "-").rstrip("日")
    if match := _COMPACT.match(text):
        return _made(match[1], int(match[2]), int(match[3]))
    text = text.replace(" de ", " ")  # as in 3 de marzo de 2024
    if (match := _DAY_NAMED.match(text)) and (month := month_number(match[2])):
        return _made(match[3], month, int(match[1]))
    if (match := _MONTH_NAMED.match(text)) and (month := month_number(match[1])):
        return _made(match[3], month, int(match[2]))
    match = _NUMERIC.match(text)
    if match is None:
        return None
    return _numeric(match[1], match[3], match[4], order)


def _numeric(first: str, second: str, third: str, order: str) -> datetime.date | None:
    if len(first) == 4:
        return _made(first, int(second), int(third)) if len(third) < 3 else None
    if len(first) == 3 or len(third) == 3:
        return None
    if order == "ymd":
        return _made(first, int(second), int(third)) if len(first) == 2 and len(third) == 2 else None
    month, day = (int(first), int(second)) if order == "mdy" else (int(second), int(first))
    return _made(third, month, day) if len(third) in (2, 4) else None


@lru_cache(maxsize=20_000)
def is_date(text: str) -> bool:
    """Whether a text is a date in some order."""
    return any(read_date(text, order) is not None for order in ORDERS)


def _values(texts: Sequence[str], order: str) -> list[datetime.date] | None:
    dates = [read_date(text, order) for text in texts]
    return None if any(value is None for value in dates) else [value for value in dates if value is not None]


def possible_orders(texts: Sequence[str]) -> list[str]:
    """Orders in which every text is a date; those that give the same dates count once, ISO first."""
    kept: dict[str, list[datetime.date]] = {}
    for order in ORDERS:
        values = _values(texts, order)
        if values is not None and values not in kept.values():
            kept[order] = values
    if len(kept) > 1 and all(re.search(r"^\d{1,2}\.\d", text.strip()) for text in texts) and "dmy" in kept:
        return ["dmy"]  # points between the numbers are written where the day comes first
    return list(kept)


def to_days(texts: Sequence[str], order: str) -> Days:
    """Read dates of one order (n,); all must be dates."""
    return np.array([read_date(text, order) for text in texts], dtype="datetime64[D]")


def evenness(start: Days, end: Days) -> tuple[int, int]:
    """Score how badly dates make bills: rows out of order, doubled or left out, and rows of an odd length (lower is better).

    Periods of bills run one after the other and last from days to half a year; a wrong order of day and month breaks that.
    """
    order = np.argsort(start, kind="stable")
    first, last = start[order], end[order]
    seams = (first[1:] - last[:-1]).astype(int)
    lengths = (last - first).astype(int)
    steps = np.diff(start.astype(int))
    turned = min(int((steps <= 0).sum()), int((steps >= 0).sum()))
    broken = int((np.abs(seams) > 1).sum() + (lengths <= 0).sum()) + turned
    middle = float(np.median(lengths)) if len(lengths) else 0.0
    return broken, int(
        (np.abs(lengths - middle) > 0.34 * max(middle, 1.0)).sum() + (lengths > 200).sum() + (lengths < 5).sum()
    )
