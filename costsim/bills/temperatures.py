"""Outdoor temperatures for the days of bills: of a dated record, else of a typical year by the day of the year."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from costsim.bills.dates import is_date, possible_orders, read_date, to_days
from costsim.bills.model import ONE_DAY, Days, Floats
from costsim.bills.numbers import decimal_mark, split_amount, to_number
from costsim.errors import Fault, InputError
from costsim.files import check_lines, read_bytes
from costsim.weather import Weather, design_temperature, find_weather, read_weather

MOST_BYTES = 200_000_000
LONGEST_GAP_D = 3
LONGEST_GAP_H = 6
COLDEST_C, WARMEST_C = -90.0, 60.0
_HOUR = re.compile(r"[T ](\d{1,2}):(\d\d)")
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
        kept, first = self.outdoor_c[plain][: 365 * whole], _rows_of_year(self.days[plain][:1], 365)[0]
        side_by_side = kept.reshape(whole, 365, -1).transpose(1, 0, 2).reshape(365, -1)
        return np.roll(side_by_side, first, axis=0)


def _is_leap_day(days: Days) -> NDArray[np.bool_]:
    months = days.astype("datetime64[M]")
    return np.asarray((months.astype(int) % 12 == 1) & (days - months.astype("datetime64[D]") == 28 * ONE_DAY))


def _rows_of_year(days: Days, length: int) -> NDArray[np.int64]:
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
    table = weather.outdoor_c[: weather.n_hours // 24 * 24].reshape(-1, 24)
    dated = len(weather.years) == 1 and not weather.synthetic
    year = weather.years[0] if dated else 2024 if len(table) == 366 else 2023
    first = np.datetime64(f"{year}-01-01")
    notes = list(weather.notes)
    if dated and len(table) == 365 and _is_leap(year):
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
    told = "99 % percentile of the weather record, which is no design year"
    return Temperatures(title, first, outdoor_c, False, tuple(notes), float(np.percentile(outdoor_c, 1.0)), told)


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def read_temperatures(path: str | Path, *, content: bytes | None = None) -> Temperatures:
    """Read weather for bills: TMY3, EPW, the project's hourly CSV, or a dated CSV of daily or hourly temperatures.

    Parameters
    ----------
    path : str or Path
        A file or the name of a built-in sample; with `content` only its name for messages.
    content : bytes, optional
        What was uploaded.

    Raises
    ------
    InputError
        With every fault found.
    """
    file = str(path) if content is not None else Path(path).name
    where = path if content is not None or Path(path).is_file() else find_weather(str(path))
    raw = content if content is not None else read_bytes(where, name=str(path), most=MOST_BYTES)
    if len(raw) > MOST_BYTES:
        raise InputError(Fault("", f"is {len(raw) / 1e6:.0f} MB large", "a few years of hours have some MB", file))
    rows = _dated_rows(raw, file)
    if rows is None:
        return from_weather(read_weather(file, content=raw))
    return _read_dated(rows, file)


def _dated_rows(raw: bytes, file: str) -> list[list[str]] | None:
    """Rows of a table that has headings, a date in its second row and no sign of another kind of weather file."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    check_lines(text, file, "a few years of hours have some 10,000 each")
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if text.upper().startswith("LOCATION,") or re.match(r'"?\d{6}"?,', text) or "\x00" in text[:4096]:
        return None
    if re.search(r"^# *synthetic *: *(yes|true|1)", text[:4000], re.MULTILINE | re.IGNORECASE):
        return None
    lines = [line for line in text.split("\n") if line.strip() and not line.startswith("#")]
    if len(lines) < 2:
        return None
    mark = max((";", "\t", ","), key=lines[0].count)
    try:
        rows = list(csv.reader(lines, delimiter=mark))
    except csv.Error:
        return None
    # a quotation mark that is never closed makes one row of all lines
    return rows if len(rows) > 1 and any(is_date(cell) for cell in rows[1]) else None


def _read_dated(rows: list[list[str]], file: str) -> Temperatures:
    faults: list[Fault] = []
    at = next(i for i, cell in enumerate(rows[1]) if is_date(cell))
    body = [row for row in rows[1:] if at < len(row) and row[at].strip()]
    stamps = [row[at].strip() for row in body]
    days = _days(stamps, faults, file)
    columns = _temperature_columns(rows[0], faults, file)
    if faults:
        raise InputError(faults)
    values = np.mean([_values(body, place, unit) for place, unit in columns], axis=0)
    notes = ["daily temperature taken as the mean of lowest and highest"] if len(columns) > 1 else []
    return _gridded(days, stamps, values, file, notes)


def _days(stamps: list[str], faults: list[Fault], file: str) -> Days:
    sample = [*stamps[:400], *stamps[-400:], *stamps[::97]]
    orders = possible_orders(sample)
    if len(orders) > 1:  # days in a row tell the order: most steps are of no day or one
        steps = {order: np.abs(np.diff(to_days(stamps[:400], order)).astype(int)) for order in orders}
        orders = [order for order in orders if len(steps[order]) and (steps[order] <= 1).mean() > 0.9]
    if len(orders) != 1 or (bad := next((s for s in stamps if read_date(s, orders[0]) is None), "")):
        shown = (
            f"'{bad}' is no date" if len(orders) == 1 else f"the dates, such as '{stamps[0]}', cannot be read for sure"
        )
        faults.append(Fault("date", shown, "write dates as year-month-day, such as 2024-03-31", file))
        return np.zeros(len(stamps), "datetime64[D]")
    return to_days(stamps, orders[0])


def _temperature_columns(head: list[str], faults: list[Fault], file: str) -> list[tuple[int, str]]:
    """Place and unit of the mean temperature, else of lowest and highest."""
    found: dict[str, tuple[int, str]] = {}
    for place, heading in enumerate(head):
        words = re.sub(r"[\W_]+", " ", re.sub(r"[\[(].*", "", heading).lower()).split()
        joined = " ".join(words)
        if not re.search(r"temp|outdoor|\bt ?(avg|mean|min|max)\b|dry ?bulb|außen|lufttemp", joined):
            continue
        kind = "low" if re.search(r"min|low", joined) else "high" if re.search(r"max|high", joined) else "mean"
        if "dew" in joined or "soil" in joined or "wet" in joined:
            continue
        found.setdefault(kind, (place, _temperature_unit(heading)))
    chosen = (
        [found["mean"]]
        if "mean" in found
        else [found[k] for k in ("low", "high")]
        if {"low", "high"} <= set(found)
        else []
    )
    if not chosen:
        faults.append(
            Fault("outdoor", f"the temperature column is missing; found {', '.join(head)[:80]}", _REMEDY, file)
        )
    for place, unit in chosen:
        if not unit:
            faults.append(
                Fault(
                    f"column {head[place].strip()}",
                    "has no unit",
                    "write it like 'outdoor [degC]' or 'outdoor [degF]'",
                    file,
                )
            )
    return chosen


def _temperature_unit(heading: str) -> str:
    """Letter of the unit in a heading: c, f, k, or nothing.

    Examples
    --------
    >>> [_temperature_unit(h) for h in ("outdoor [degC]", "Temp (°F)", "t_mean_c", "temperature")]
    ['c', 'f', 'c', '']
    """
    told = re.search(r"[\[(]\s*+(?:deg|°)?\s*+([cfk])(?:elsius|ahrenheit|elvin)?\s*+[\])]", heading, re.IGNORECASE)
    told = told or re.search(r"(?:[_\s]|deg|°)([cfk])\s*$", heading.strip(), re.IGNORECASE)
    return told[1].lower() if told else ""


def _values(body: list[list[str]], place: int, unit: str) -> Floats:
    split = [split_amount(row[place]) if place < len(row) else None for row in body]
    mark, _ = decimal_mark([found[0] for found in split if found], False)
    values = np.array([to_number(found[0], "." if mark == "?" else mark) if found else np.nan for found in split])
    values[np.isin(values, (9999.0, -9999.0, 999.9, -999.0, 99.9, 999.0))] = np.nan
    return np.asarray({"c": values, "f": (values - 32) / 1.8, "k": values - 273.15}[unit])


def _gridded(days: Days, stamps: list[str], values: Floats, file: str, notes: list[str]) -> Temperatures:
    """Put values into (days, 24) or (days, 1); hours that come twice are averaged, short gaps are filled."""
    hours = np.array([int(found[1]) % 24 if (found := _HOUR.search(stamp)) else 0 for stamp in stamps])
    first = days.min()
    count = int((days.max() - first).astype(int)) + 1
    a_day = 24 if len(days) > 2 * len(np.unique(days)) else 1
    at = (days - first).astype(int) * a_day + (hours if a_day == 24 else 0)
    good = np.isfinite(values)
    number = np.bincount(at[good], minlength=count * a_day)
    sums = np.bincount(at[good], weights=values[good], minlength=count * a_day)
    series = np.where(number > 0, sums / np.maximum(number, 1), np.nan)
    series, first = _trimmed(series, first, a_day)
    longest = LONGEST_GAP_H if a_day == 24 else LONGEST_GAP_D
    faults = _gap_faults(series, longest, first, a_day, file) + _range_faults(series, first, a_day, file)
    if faults:
        raise InputError(faults)
    missing = np.isnan(series)
    if missing.any():
        series = np.interp(np.arange(len(series)), np.flatnonzero(~missing), series[~missing])
        notes.append(f"{int(missing.sum())} missing temperatures were interpolated")
    if a_day == 1:
        notes.append(
            "daily means are known only, so the cold nights of mild days are missed; hourly weather does better"
        )
    return from_days(file, first, series.reshape(-1, a_day), notes)


def _trimmed(series: Floats, first: np.datetime64, a_day: int) -> tuple[Floats, np.datetime64]:
    """Take off days at both ends that are not known well enough, such as a last day that has only begun."""
    missing = np.isnan(series).reshape(-1, a_day).sum(axis=1)
    good = np.flatnonzero(missing <= (LONGEST_GAP_H if a_day == 24 else 0))
    if not len(good):
        return series, first
    return series[good[0] * a_day : (good[-1] + 1) * a_day], first + int(good[0]) * ONE_DAY


def _gap_faults(series: Floats, longest: int, first: np.datetime64, a_day: int, file: str) -> list[Fault]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], np.isnan(series).astype(np.int8), [0]))))
    long = [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > longest]
    unit = "hours" if a_day == 24 else "days"
    faults = [
        Fault(
            "outdoor",
            f"{b - a:,} {unit} in a row are missing from {first + int(a) // a_day * ONE_DAY}",
            f"gaps of up to {longest} {unit} are filled; take longer ones from a neighbouring station",
            file,
        )
        for a, b in long[:5]
    ]
    if np.isnan(series).all():
        return [Fault("outdoor", "not one temperature can be read", _REMEDY, file)]
    return faults


def _range_faults(series: Floats, first: np.datetime64, a_day: int, file: str) -> list[Fault]:
    bad = np.flatnonzero((series < COLDEST_C) | (series > WARMEST_C))
    if not len(bad):
        return []
    what = f"{len(bad):,} temperatures lie outside {COLDEST_C:g} to {WARMEST_C:g} °C, the first on {first + int(bad[0]) // a_day * ONE_DAY}"
    return [Fault("outdoor", what, "if the column is in degF, say so in its heading", file)]
