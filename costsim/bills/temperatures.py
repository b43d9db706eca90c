"""Outdoor temperatures for the days of bills: of a dated record, else of a typical year by the day of the year."""

from __future__ import annotations

from calendar import isleap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from costsim.bills.model import ONE_DAY, Days
from costsim.errors import Fault, InputError
from costsim.files import read_bytes
from costsim.units.arrays import Bools, Floats, Ints
from costsim.weather import Weather, design_temperature, find_weather
from costsim.weather.checks import LONGEST_GAP_H
from costsim.weather.hours import LONGEST_FILLED_H, MOST_YEARS, filled, gaps, to_hours
from costsim.weather.model import MOST_BYTES
from costsim.weather.readers import read_record
from costsim.weather.record import Record
from costsim.weather.typical import is_typical
from costsim.weather.year_weather import weather_of

LONGEST_GAP_D = 3
COLDEST_C, WARMEST_C = -90.0, 60.0
_REMEDY = "columns such as 'date, outdoor [degC]', one row a day or an hour, in the local time of the bills"


@dataclass(frozen=True, slots=True, eq=False)
class Temperatures:
    """Outdoor temperatures of days in a row.

    Parameters
    ----------
    title : str
        For readers.
    first_day : datetime64[D]
        Day of the first row; of a typical year, 1 January of a year of its length.
    outdoor_c : array (days, values a day)
        24 values a day, or 1 where only daily means are known [°C].
    typical : bool
        Whether the days are those of no particular year.
    notes : tuple of str
        What was guessed, mended, or makes the basis weak.
    design_c, design_from : float, str
        Outdoor design temperature [°C], and where it comes from.
    """

    title: str
    first_day: np.datetime64
    outdoor_c: Floats
    typical: bool
    notes: tuple[str, ...] = ()
    design_c: float = np.nan
    design_from: str = ""

    @property
    def days(self) -> Days:
        """Every day of the record (n,)."""
        return self.first_day + np.arange(len(self.outdoor_c)) * ONE_DAY

    def over(self, first: np.datetime64, end: np.datetime64) -> Floats:
        """Temperatures of the days from `first` to the day before `end` (days, values a day) [°C].

        Raises
        ------
        InputError
            A dated record does not reach over them.
        """
        days = np.arange(first, end)
        if self.typical:
            return self.outdoor_c[_rows_of_year(days, len(self.outdoor_c))]
        last = self.first_day + len(self.outdoor_c) * ONE_DAY
        if first < self.first_day or end > last:
            what = (
                f"the weather runs from {self.first_day} to {last - ONE_DAY}, the bills from {first} to {end - ONE_DAY}"
            )
            remedy = "give weather of the bills' own days, or a typical year, which fits any"
            raise InputError(Fault("", what, remedy, self.title))
        at = int((first - self.first_day).astype(int))
        return self.outdoor_c[at : at + len(days)]

    def average_year(self) -> Floats | None:
        """One year of temperatures to judge a normal year by (365, years × values a day) [°C]; None from less than a year.

        Of a dated record, each day of the year holds all the whole years' values side by side.
        """
        plain = ~_is_leap_day(self.days)
        whole = int(plain.sum()) // 365
        if not whole:
            return None
        kept, first = self.outdoor_c[plain][: 365 * whole], _rows_of_year(self.days[plain], 365)[0]
        side_by_side = kept.reshape(whole, 365, -1).transpose(1, 0, 2).reshape(365, -1)
        return np.roll(side_by_side, first, axis=0)


def _is_leap_day(days: Days) -> Bools:
    months = days.astype("datetime64[M]")
    return np.asarray((months.astype(int) % 12 == 1) & (days - months.astype("datetime64[D]") == 28 * ONE_DAY))


def _rows_of_year(days: Days, length: int) -> Ints:
    """Row of each day in a year of 365 or 366 rows; 29 February takes 28 February's in a plain year."""
    months = days.astype("datetime64[M]")
    month = months.astype(int) % 12
    day = (days - months.astype("datetime64[D]")).astype(int)
    starts = np.array([0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334])
    if length == 366:
        starts = starts + (np.arange(12) > 1)
        return np.asarray(starts[month] + day)
    return np.asarray(starts[month] + np.where((month == 1) & (day == 28), 27, day))


def from_weather(weather: Weather) -> Temperatures:
    """Take a year of hourly weather: dated where all its hours are of one year, else typical."""
    table = weather.outdoor_c.reshape(-1, 24)
    dated = len(weather.years) == 1 and not weather.synthetic
    year = weather.years[0] if dated else 2024 if len(table) == 366 else 2023
    first = np.datetime64(f"{year}-01-01")
    notes = list(weather.notes)
    if dated and len(table) == 365 and isleap(year):
        return from_days(
            weather.title, first, np.insert(table, 59, table[58], axis=0), ["29 February takes the 28th's hours"]
        )
    if not dated:
        kind = "a synthetic year" if weather.synthetic else "a typical year"
        notes.append(
            f"the weather is {kind}: each day of a bill takes that year's day, so cold and mild winters look alike. "
            "The fit is weaker than with weather of the bills' own days, and a change of the house cannot be told"
        )
    return Temperatures(weather.title, first, table, not dated, tuple(notes), *design_temperature(weather))


def from_days(title: str, first: np.datetime64, outdoor_c: Floats, notes: Sequence[str] = ()) -> Temperatures:
    """Take a dated record of (days, values a day)."""
    note = "it is colder only 1 % of the weather record; a design temperature in print may differ"
    return Temperatures(title, first, outdoor_c, False, tuple(notes), float(np.percentile(outdoor_c, 1.0)), note)


def read_temperatures(
    path: str | Path, *, content: bytes | None = None, mapping: Mapping[str, tuple[str, str]] | None = None, unit: str = "",
    station: str = "",
) -> Temperatures:  # fmt: skip
    """Read weather for bills: any file that `read_record` takes, hourly, shorter or daily.

    Parameters
    ----------
    path : str or Path
        A file or the name of a built-in sample; with `content` only its name for messages.
    content : bytes, optional
        What was uploaded.
    mapping : mapping, optional
        Columns that a person names, of `columns.mapping_of`.
    unit, station : str
        Unit of the temperatures where the file names none, and the station of several.

    Raises
    ------
    InputError
        With every fault found.
    """
    file = str(path) if content is not None else Path(path).name
    where = path if content is not None or Path(path).is_file() else find_weather(str(path))
    raw = content if content is not None else read_bytes(where, name=str(path), most=MOST_BYTES)
    record = read_record(file, content=raw, mapping=mapping, unit=unit, station=station)
    dated = record.times is not None and not is_typical(record) and not record.facts.get("synthetic")
    if not dated or record.facts.get("typical"):
        return from_weather(weather_of(record, file))
    return _daily(record, file) if record.daily else _hourly(record, file)


def _hourly(record: Record, file: str) -> Temperatures:
    """Days of 24 hours; days at either end that have only begun are taken off."""
    hours = to_hours(record, file)
    first = hours.first.astype("datetime64[D]")
    lead = int((hours.first - first.astype("datetime64[h]")).astype(int))
    padded = np.full(-(-(lead + hours.n) // 24) * 24, np.nan)
    padded[lead : lead + hours.n] = hours.values["outdoor"]
    series, first = _trimmed(padded, first, 24)
    faults = _range_faults(series, first, 24, file)
    series, notes = filled(series, "outdoor")
    faults += _gap_faults(series, 0, LONGEST_FILLED_H, first, 24, file)
    if faults:
        raise InputError(faults)
    return from_days(file, first, series.reshape(-1, 24), [*record.notes, *hours.notes, *notes])


def _daily(record: Record, file: str) -> Temperatures:
    """Days of one value: the mean, or that of lowest and highest where means are missing more often."""
    assert record.times is not None
    notes = list(record.notes)
    values = record.columns.get("outdoor")
    if {"low", "high"} <= set(record.columns):
        middle = (record.columns["low"] + record.columns["high"]) / 2.0
        if values is None or np.isfinite(values).sum() < np.isfinite(middle).sum():
            values = middle
            notes.append("daily temperature taken as the mean of lowest and highest")
    assert values is not None
    days = record.times.astype("datetime64[D]")
    first = days.min()
    at = (days - first).astype(int)
    if at.max() > 366 * MOST_YEARS:
        what = f"runs from {first} to {days.max()}, more years than a record can have"
        raise InputError(Fault("date", what, "check the dates of the first and last rows", file))
    good = np.isfinite(values)
    number = np.bincount(at[good], minlength=int(at.max()) + 1)
    sums = np.bincount(at[good], weights=values[good], minlength=len(number))
    series, first = _trimmed(np.where(number > 0, sums / np.maximum(number, 1), np.nan), first, 1)
    faults = _gap_faults(series, LONGEST_GAP_D, LONGEST_GAP_D, first, 1, file) + _range_faults(series, first, 1, file)
    if faults:
        raise InputError(faults)
    missing = np.isnan(series)
    if missing.any():
        series = np.interp(np.arange(len(series)), np.flatnonzero(~missing), series[~missing])
        notes.append(f"{int(missing.sum())} missing temperatures were interpolated")
    notes.append("daily means are known only, so the cold nights of mild days are missed; hourly weather does better")
    return from_days(file, first, series.reshape(-1, 1), notes)


def _trimmed(series: Floats, first: np.datetime64, a_day: int) -> tuple[Floats, np.datetime64]:
    """Take off days at both ends that are not known well enough, such as a last day that has only begun."""
    missing = np.isnan(series).reshape(-1, a_day).sum(axis=1)
    good = np.flatnonzero(missing <= (LONGEST_GAP_H if a_day == 24 else 0))
    if not len(good):
        return series, first
    return series[good[0] * a_day : (good[-1] + 1) * a_day], first + int(good[0]) * ONE_DAY


def _gap_faults(series: Floats, longest: int, missing: int, first: np.datetime64, a_day: int, file: str) -> list[Fault]:
    """Find gaps of more than `longest` rows; `missing` is the limit that the message names."""
    if np.isnan(series).all():
        return [Fault("outdoor", "not one temperature can be read", _REMEDY, file)]
    long = [(a, b) for a, b in gaps(series) if b - a > longest]
    unit = "hours" if a_day == 24 else "days"
    return [
        Fault(
            "outdoor",
            f"{b - a:,} {unit} in a row are missing from {first + a // a_day * ONE_DAY}",
            f"gaps of up to {missing} {unit} are filled; take longer ones from a neighbouring station",
            file,
        )
        for a, b in long[:5]
    ]


def _range_faults(series: Floats, first: np.datetime64, a_day: int, file: str) -> list[Fault]:
    bad = np.flatnonzero((series < COLDEST_C) | (series > WARMEST_C))
    if not len(bad):
        return []
    what = f"{len(bad):,} temperatures lie outside {COLDEST_C:g} to {WARMEST_C:g} °C, the first on {first + int(bad[0]) // a_day * ONE_DAY}"
    return [Fault("outdoor", what, "if the column is in degF, say so in its heading", file)]
