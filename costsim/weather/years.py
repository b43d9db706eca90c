"""Whole years and winters out of hours in a row."""

from __future__ import annotations

from calendar import isleap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from costsim.errors import Fault, InputError
from costsim.units.arrays import Floats
from costsim.units.table import YEARS_H
from costsim.weather.hours import LONGEST_FILLED_H, Hours, filled, gaps, step_words
from costsim.weather.record import Record

EDGE_H = 24
"""Hours at either end of a year that may come from the same day of the year beside, as when UTC becomes local time."""
MOST_FILLED = 0.1
"""Share of a year's hours that may be filled from other days."""


@dataclass(frozen=True, slots=True, eq=False)
class Year:
    """A whole year of hours from 1 January 00:00: columns (8760 or 8784,) without gaps in `outdoor`."""

    name: str
    years: tuple[int, ...]
    values: Mapping[str, Floats]
    notes: tuple[str, ...] = ()


def whole_years(hours: Hours) -> list[Year]:
    """Every calendar year that is complete within the limits of `filled`, the earliest first."""
    last = hours.first + np.timedelta64(hours.n - 1, "h")
    span = range(_year(hours.first), _year(last) + 1)
    return [year for number in span if (year := _calendar_year(hours, number)) is not None]


def whole_winters(hours: Hours) -> list[Year]:
    """Every heating year from July to June that is complete, its January to June put before its July to December."""
    span = range(_year(hours.first), _year(hours.first + np.timedelta64(hours.n, "h")))
    winters = []
    for begin in span:
        taken = _taken(hours, np.datetime64(f"{begin}-07-01T00", "h"), np.datetime64(f"{begin + 1}-07-01T00", "h"))
        folded = None if taken is None else _folded(*taken, f"{begin}–{(begin + 1) % 100:02d}", begin)
        if folded is not None:
            winters.append(folded)
    return winters


def last_twelve_months(hours: Hours) -> Year | None:
    """The last twelve months, put into the order of a calendar year; None where they are not whole."""
    end = (hours.first + np.timedelta64(hours.n, "h")).astype("datetime64[D]").astype("datetime64[h]")
    first = end.astype("datetime64[D]") - np.timedelta64(365, "D")
    leap = (
        np.datetime64(f"{_year(end)}-02-29")
        if isleap(_year(end))
        else np.datetime64(f"{_year(first)}-02-29")
        if isleap(_year(first))
        else None
    )
    if leap is not None and first <= leap < end.astype("datetime64[D]"):
        first -= np.timedelta64(1, "D")
    taken = _taken(hours, first.astype("datetime64[h]"), end)
    if taken is None:
        return None
    year = _folded(*taken, f"{first} to {end.astype('datetime64[D]') - np.timedelta64(1, 'D')}", _year(first))
    if year is None:
        return None
    note = f"the twelve months from {first} were put into the order of a calendar year"
    return Year(year.name, year.years, year.values, (*year.notes, note))


def _year(time: np.datetime64) -> int:
    return int(time.astype("datetime64[Y]").astype(int)) + 1970


def _calendar_year(hours: Hours, year: int) -> Year | None:
    taken = _taken(hours, np.datetime64(f"{year}-01-01T00", "h"), np.datetime64(f"{year + 1}-01-01T00", "h"))
    return None if taken is None else Year(str(year), (year,), *taken[1:])


def _taken(
    hours: Hours, first: np.datetime64, end: np.datetime64
) -> tuple[np.datetime64, dict[str, Floats], tuple[str, ...]] | None:
    """Hours from `first` to before `end` without gaps; None where too many are missing."""
    n = int((end - first).astype(int))
    at = int((first - hours.first).astype(int))
    if at < -EDGE_H or at + n > hours.n + EDGE_H:
        return None
    columns, notes = {}, []
    for name, values in hours.values.items():
        padded = np.full(n, np.nan)
        low, high = max(at, 0), min(at + n, hours.n)
        padded[low - at : high - at] = values[low:high]
        lent = 0
        for slot in _edges(padded):  # from the same day of the year beside
            other = at + slot + (n if slot < n // 2 else -n)
            if 0 <= other < hours.n and not np.isnan(values[other]):
                padded[slot] = values[other]
                lent += 1
        whole, gap_notes = filled(padded, name)
        missing = np.isnan(whole).any()
        far = sum(b - a for a, b in gaps(padded) if b - a > 6)
        if missing or far > MOST_FILLED * n:
            if name == "outdoor":
                return None
            notes.append(f"{name} was left out: hours are missing that cannot be filled")
            continue
        if lent and name == "outdoor":
            notes.append(f"{lent} hours at the year's edge come from the same day of the year beside")
        notes += gap_notes
        columns[name] = whole
    return first, columns, tuple(notes)


def _edges(values: Floats) -> list[int]:
    """Missing hours at both ends, up to a day each."""
    known = np.flatnonzero(~np.isnan(values))
    if not len(known):
        return []
    first, last = int(known[0]), int(known[-1]) + 1
    head = range(first) if first <= EDGE_H else range(0)
    return [*head, *(range(last, len(values)) if len(values) - last <= EDGE_H else range(0))]


def _folded(
    first: np.datetime64, values: dict[str, Floats], notes: tuple[str, ...], name: str, year: int
) -> Year | None:
    """Twelve months in the order January to December; a 29 February stays, as it was paid for."""
    n = len(values["outdoor"])
    times = first + np.arange(n) * np.timedelta64(1, "h")
    months = times.astype("datetime64[M]")
    day = (times.astype("datetime64[D]") - months.astype("datetime64[D]")).astype(int)
    month = months.astype(int) % 12
    order = np.lexsort((np.arange(n), day, month))
    leap = bool(((month == 1) & (day == 28)).any())
    if n != YEARS_H[leap]:
        return None
    return Year(name, (year, year + 1), {key: column[order] for key, column in values.items()}, notes)


def missing_faults(record: Record, hours: Hours, file: str) -> list[Fault]:
    """One sentence: what was read, and what is missing for a year's run."""
    first, last = hours.first, hours.first + np.timedelta64(hours.n - 1, "h")
    known = int((~np.isnan(hours.values["outdoor"])).sum())
    read = f"{known:,} hours from {_shown(first)} to {_shown(last)} were read ({record.source}, {step_words(record.step_s)})"
    long = [(a, b) for a, b in gaps(hours.values["outdoor"]) if b - a > LONGEST_FILLED_H]
    if hours.n < 8760 - EDGE_H:
        why = "a year's run needs 8,760 hours in a row"
        return [Fault("", f"{read}, and {why}", f"download {_rest(hours.n)} more days, or twelve whole months", file)]
    shown = "; ".join(f"{b - a:,} hours from {_shown(first + np.timedelta64(a, 'h'))}" for a, b in long[:3])
    more = f" and {len(long) - 3} more gaps" if len(long) > 3 else ""
    remedy = (
        f"gaps of up to {LONGEST_FILLED_H} hours are filled; take the rest from a neighbouring station, or another year"
    )
    return [Fault("", f"{read}, but no whole year: missing are {shown or 'too many hours'}{more}", remedy, file)]


def _rest(n: int) -> str:
    return f"{-(-(8760 - n) // 24):,}"


def _shown(time: np.datetime64) -> str:
    return f"{time.astype('datetime64[D]')} {int(time.astype('datetime64[h]').astype(int)) % 24:02d}:00"


def daily_faults(record: Record, file: str) -> list[Fault]:
    """One sentence for a daily table: it serves bills, not a year's run."""
    assert record.times is not None
    days = np.unique(record.times.astype("datetime64[D]"))
    what = f"{len(days):,} daily values from {days[0]} to {days[-1]} were read ({record.source}), and a year's run needs hours"
    remedy = "use it with fit --weather, or take the service's hourly download for a study's weather"
    return [Fault("", what, remedy, file)]


def chosen_year(years: Sequence[Year], wanted: int | None, file: str) -> Year:
    """The year asked for, else the last.

    Raises
    ------
    InputError
        The year asked for is not whole.
    """
    if wanted is None:
        return years[-1]
    wanted_year = next((year for year in years if year.years == (wanted,)), None)
    if wanted_year is None:
        names = ", ".join(year.name for year in years)
        raise InputError(
            Fault("--year", f"{wanted} is not whole in the file", f"whole years are {names or 'none'}", file)
        )
    return wanted_year
