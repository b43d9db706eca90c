"""What every weather file must satisfy, whatever its format; all faults of a file are gathered."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from costsim.errors import Fault
from costsim.tariffs.calendar import SHORT_MONTHS
from costsim.units.arrays import Floats
from costsim.units.table import YEARS_H
from costsim.weather.model import Weather

LONGEST_GAP_H = 6
MOST_ODD = 0.005
"""Share of a column's values that may lie outside all belief before its unit is doubted."""
MOST_NOON_H = 3.5
"""No country keeps its clock further from the sun; the west of China comes near."""
BELIEVABLE = {
    "outdoor": (-90.0, 60.0, "degC", "if the column is in degF, say so in its heading"),
    "ghi": (0.0, 1500.0, "W/m2", "hourly means of radiation are meant"),
    "dni": (0.0, 1500.0, "W/m2", "hourly means of radiation are meant"),
    "dhi": (0.0, 1500.0, "W/m2", "hourly means of radiation are meant"),
    "wind": (0.0, 120.0, "m/s", "hourly means of wind speed are meant"),
}
_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def months_of(n_hours: int) -> NDArray[np.int8]:
    """Month of each record by its number (n,), of a plain year or, with 8784 hours, a leap year."""
    days = [length + (n_hours == 8784 and month == 1) for month, length in enumerate(_DAYS)]
    return np.repeat(np.arange(1, 13), np.array(days) * 24).astype(np.int8)


def record_name(record: int, n_hours: int) -> str:
    """Name a record by month, day and hour, or by its number where the rows make no year.

    Examples
    --------
    >>> record_name(31 * 24 + 5, 8760)
    'Feb 1, hour 6'
    """
    if n_hours not in YEARS_H:
        return f"record {record + 1}"
    months = months_of(n_hours)
    first = int(np.argmax(months == months[record]))
    return f"{SHORT_MONTHS[months[record] - 1]} {(record - first) // 24 + 1}, hour {record % 24 + 1}"


MONTHS = 12


def count_faults(n_hours: int, file: str) -> list[Fault]:
    """Find a year that is too short or too long."""
    if n_hours in YEARS_H:
        return []
    an_hour = next((n_hours // year for year in YEARS_H if n_hours % year == 0), 0)
    if an_hour:
        remedy = "add a column 'time' to the rows, and they are averaged to hours"
        return [
            Fault("rows", f"{n_hours:,} rows without times were found, {an_hour} for each hour of a year", remedy, file)
        ]
    if n_hours == MONTHS:
        remedy = "'costsim weather synthesize' makes a year of such means; daily or hourly values tell more"
        return [Fault("rows", "12 rows without days were found, as of monthly means", remedy, file)]
    what = f"{n_hours:,} hourly records were found"
    remedy = "a year has 8,760 (or 8,784 in a leap year); add what is missing or take out what is double"
    return [Fault("rows", what, remedy, file)]


def mend(values: Floats, name: str, file: str) -> tuple[Floats, list[Fault], list[str]]:
    """Fill gaps of up to six hours by interpolation and refuse longer ones.

    Parameters
    ----------
    values : array (n,)
        NaN where the value is missing.
    name, file : str
        For messages.

    Returns
    -------
    array, faults, notes
        The mended values, what cannot be mended, and what was.
    """
    missing = np.isnan(values)
    if not missing.any():
        return values, [], []
    if missing.all():
        return values, [Fault(name, "not one value can be read", "write one number an hour", file)], []
    edges = np.flatnonzero(np.diff(np.concatenate(([0], missing.astype(np.int8), [0]))))
    runs = list(zip(edges[::2], edges[1::2], strict=True))
    long = [(int(first), int(last)) for first, last in runs if last - first > LONGEST_GAP_H]
    if long:
        first, last = long[0]
        what = f"{last - first:,} hours in a row are missing from {record_name(first, len(values))}"
        what += f" (and {len(long) - 1} more such gaps)" if len(long) > 1 else ""
        return (
            values,
            [
                Fault(
                    name,
                    what,
                    f"gaps of up to {LONGEST_GAP_H} hours are mended; fill longer ones from a neighbouring station",
                    file,
                )
            ],
            [],
        )
    at = np.arange(len(values))
    mended = np.interp(at, at[~missing], values[~missing])
    return (
        mended,
        [],
        [
            f"{name}: {int(missing.sum())} missing hours were interpolated, the longest run {max(b - a for a, b in runs)} h"
        ],
    )


def range_faults(values: Floats, name: str, file: str) -> list[Fault]:
    """Find values nobody has measured."""
    low, high, unit, remedy = BELIEVABLE[name]
    bad = np.flatnonzero((values < low) | (values > high))
    if not len(bad):
        return []
    first = int(bad[0])
    where = record_name(first, len(values))
    what = f"{len(bad):,} values lie outside {low:g} to {high:g} {unit}, first {values[first]:g} at {where}"
    return [Fault(name, what, remedy, file)]


def believable(values: Floats, name: str) -> tuple[Floats, list[str]]:
    """Turn a few values nobody has measured into gaps; many of them are left as they are, since then the unit is wrong.

    Parameters
    ----------
    values : array (n,)
        NaN where missing.
    name : str
        Key of `BELIEVABLE`.

    Returns
    -------
    array (n,), notes
    """
    low, high, unit, _ = BELIEVABLE[name]
    bad = np.flatnonzero((values < low) | (values > high))
    if not 0 < len(bad) <= max(1.0, MOST_ODD * len(values)):
        return values, []
    sound = values.copy()
    sound[bad] = np.nan
    where = record_name(int(bad[0]), len(values))
    which = (
        f"{len(bad):,} values outside {low:g} to {high:g} {unit} count as missing, first {values[bad[0]]:g} at {where}"
    )
    return sound, [f"{name}: {which}"]


def checked_columns(columns: Mapping[str, Floats], file: str) -> tuple[dict[str, Floats], list[Fault], list[str]]:
    """Mend and check every column; temperature is needed, radiation is dropped as a whole only where most of it is wrong."""
    good: dict[str, Floats] = {}
    faults: list[Fault] = []
    notes: list[str] = []
    for name, values in columns.items():
        sound, odd = believable(values, name)
        mended, unmended, mend_notes = mend(sound, name, file)
        wrong = unmended or range_faults(mended, name, file)
        if wrong and name != "outdoor":
            notes.append(f"{name} was left out: {wrong[0].problem}")
            continue
        faults += wrong
        notes += [*odd, *mend_notes]
        good[name] = mended
    return good, faults, notes


def sun_hours(weather: Weather) -> tuple[float | None, float]:
    """Hour in which the file's sun has its centre, and the one where place and time zone put noon; standard time."""
    noon = 12.0 + weather.utc_offset_h - weather.longitude_deg / 15.0
    if weather.ghi_w_m2 is None or not weather.ghi_w_m2.any() or np.isnan(noon):
        return None, noon
    days = weather.n_hours // 24
    by_hour = weather.ghi_w_m2[: days * 24].reshape(days, 24).sum(axis=0)
    return float((by_hour * (np.arange(24) + 0.5)).sum() / by_hour.sum()), noon


def sun_note(weather: Weather) -> str:
    """Say when the file's sun, or without sun its longitude, does not fit its time zone; empty where it does."""
    sun, noon = sun_hours(weather)
    if sun is None:
        if np.isnan(noon) or abs(noon - 12.0) <= MOST_NOON_H:
            return ""
        return f"longitude and time zone put noon at {noon:.1f}; check UTC offset and longitude"
    if abs(sun - noon) <= 0.75:
        return ""
    where = (
        f"the sun in the file stands highest around hour {sun:.1f}, but longitude and time zone put noon at {noon:.1f}"
    )
    return f"{where}; check UTC offset and time stamps"
