"""Days that count as holidays: of a country or state, and those that a tariff lists itself."""

from __future__ import annotations

import datetime as dt
import functools
import json
from collections.abc import Sequence
from importlib import util
from pathlib import Path

from costsim import kept
from costsim.tariffs.calendar import MONTH_DAYS, MONTHS


@functools.lru_cache(maxsize=32)
def public_holidays(country: str, subdivision: str | None, year: int) -> tuple[dt.date, ...]:
    """Public holidays of a country in a year.

    Raises
    ------
    ValueError
        The country or its part is not known.
    """
    home = util.find_spec("holidays")
    assert home is not None
    assert home.origin is not None
    made_by = kept.state_of(Path(home.origin).with_name("version.py"), Path(__file__))
    mark = kept.mark_of(made_by, repr((country, subdivision, year)).encode())
    body = kept.get(mark)
    if body is None:
        days = _looked_up(country, subdivision, year)
        kept.put(mark, json.dumps([day.isoformat() for day in days]).encode())
        return days
    return tuple(dt.date.fromisoformat(day) for day in json.loads(body))


def _looked_up(country: str, subdivision: str | None, year: int) -> tuple[dt.date, ...]:
    import holidays  # loads a module for each country there is

    known = holidays.list_supported_countries()
    if country not in known:
        raise ValueError(f"'{country}' is not a known country: write a code such as US")
    if subdivision and subdivision not in known[country]:
        example = f": write a code such as {known[country][0]}" if known[country] else ": leave it out"
        raise ValueError(f"'{subdivision}' is not a known part of {country}{example}")
    return tuple(sorted(holidays.country_holidays(country, subdiv=subdivision, years=year)))


def holiday_dates(text: str, year: int) -> tuple[dt.date, ...]:
    """Read a list of holidays.

    Parameters
    ----------
    text : str
        Codes of countries or states and single days, by commas: ``"US"``, ``"US-CA"``, ``"US, Dec 24"``, ``"Jan 1, Jul 4"``,
        ``"2025-11-28"``. A day without a year is one of every year.
    year : int
        The study's calendar year.

    Returns
    -------
    tuple of date

    Raises
    ------
    ValueError
        A code or a day is not known.

    Examples
    --------
    >>> [day.isoformat() for day in holiday_dates("Jul 4, Dec 25, 2025-11-28", 2025)]
    ['2025-07-04', '2025-11-28', '2025-12-25']
    """
    dates: set[dt.date] = set()
    for part in filter(None, (part.strip() for part in text.split(","))):
        day = _single_day(part, year)
        if day is not None:
            dates.add(day)
        else:
            country, _, state = part.partition("-")
            dates |= set(public_holidays(country, state or None, year))
    return tuple(sorted(dates))


def read_dates(texts: Sequence[str]) -> tuple[int, ...]:
    """Read the days on which a meter is read.

    Returns
    -------
    tuple of int
        The day of each month (12,), 0 where there is none; empty without texts.

    Raises
    ------
    ValueError
        One is no day, or lies in the month of another.

    Examples
    --------
    >>> read_dates(["Jan 14", "Mar 13"])
    (14, 0, 13, 0, 0, 0, 0, 0, 0, 0, 0, 0)
    """
    months = [0] * 12
    for text in texts:
        day = _single_day(text.strip(), 2025)
        if day is None:
            raise ValueError(f"'{text}' is not a day such as Jan 14")
        if months[day.month - 1]:
            raise ValueError(f"'{text}' lies in the same month as another reading")
        months[day.month - 1] = day.day
    return tuple(months) if texts else ()


def _single_day(text: str, year: int) -> dt.date | None:
    """A day such as 2025-11-28 or Nov 28; None where it is something else."""
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        pass
    words = text.split()
    if len(words) != 2 or not (words[1].isascii() and words[1].isdecimal()) or len(words[1]) > 2:
        return None
    month = next((i for i, name in enumerate(MONTHS) if len(words[0]) > 2 and name.startswith(words[0].lower())), None)
    if month is None or not 1 <= int(words[1]) <= MONTH_DAYS[month]:
        raise ValueError(f"'{text}' is not a day such as Dec 24")
    return dt.date(year, month + 1, min(int(words[1]), 28) if month == 1 and year % 4 else int(words[1]))
