"""A year of hours from readings of any stretch: a calendar year where there is a whole one, else twelve months folded into one."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from costsim.units.arrays import Bools, Floats, Ints

YEAR_H, MOST_FILLED_H = 8760, 24
Hours = NDArray[np.datetime64]


def year_of_hours(hours: Hours, energy_j: Floats, whole: Bools) -> tuple[Floats | None, list[str], int]:
    """Put hours into one year from 1 January.

    Parameters
    ----------
    hours : array of datetime64[h] (n,)
        In standard time, in order; an hour may come twice.
    energy_j : array (n,)
        Energy of each hour [J].
    whole : array of bool (n,)
        Whether the hour was read as a whole.

    Returns
    -------
    year : array (8760,) or (8784,), or None
        [J]; None where more than 24 hours of the year were never read.
    notes : list of str
        What was folded or filled.
    count : int
        Hours of the year that were read.
    """
    hours, energy_j = hours[whole], energy_j[whole]
    years = hours.astype("datetime64[Y]")
    best = 0
    for year in np.unique(years)[::-1]:
        first, end = year.astype("datetime64[h]"), (year + np.timedelta64(1, "Y")).astype("datetime64[h]")
        row = (hours[years == year] - first).astype(int)
        length = int((end - first).astype(int))
        filled = _filled(row, energy_j[years == year], length)
        best = max(best, len(np.unique(row)))
        if filled is not None:
            return filled[0], filled[1], length
    row = _rows_of_plain_year(hours)
    kept = row >= 0
    filled = _filled(row[kept], energy_j[kept], YEAR_H)
    count = max(best, len(np.unique(row[kept])))
    if filled is None:
        return None, [], count
    note = (
        f"the readings from {str(hours[0])[:10]} to {str(hours[-1])[:10]} were put into the order of a calendar year; where a day "
        "of the year comes twice the later one counts, and weekdays break where the years meet"
    )
    return filled[0], [note, *filled[1]], count


def _filled(row: Ints, energy_j: Floats, length: int) -> tuple[Floats, list[str]] | None:
    """A year by rows, the later of two readings first; a few missing hours take the mean of their neighbours."""
    year = np.full(length, np.nan)
    year[row] = energy_j
    missing = np.isnan(year)
    count = int(missing.sum())
    if count > MOST_FILLED_H or count == length:
        return None
    if not count:
        return year, []
    at = np.arange(length)
    year[missing] = np.interp(at[missing], at[~missing], year[~missing], period=length)
    return year, [f"{count} hours of the year that were not read take the mean of their neighbours"]


def _rows_of_plain_year(hours: Hours) -> Ints:
    """Row of each hour in a year of 365 days; -1 on 29 February."""
    days, months = hours.astype("datetime64[D]"), hours.astype("datetime64[M]")
    month = months.astype(int) % 12
    day = (days - months.astype("datetime64[D]")).astype(int)
    starts = np.array([0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334])
    row = (starts[month] + day) * 24 + (hours - days.astype("datetime64[h]")).astype(int)
    return np.where((month == 1) & (day == 28), -1, row)
