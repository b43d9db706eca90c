"""EPW, TMY3 and TMY2: years of hours whose months may come from different years; every row's time is read and checked."""

from __future__ import annotations

import csv
import difflib
import math
from collections.abc import Sequence

import numpy as np

from costsim.errors import Fault, InputError
from costsim.units.arrays import Floats
from costsim.units.table import WHOLE_HOUR_S, YEARS_H
from costsim.weather.checks import months_of, record_name
from costsim.weather.headings import plain
from costsim.weather.hours import step_words
from costsim.weather.plain_csv import number_of
from costsim.weather.record import Record
from costsim.weather.stamps import Stamps, from_columns, read_stamps

_TMY3 = {
    "outdoor": ("dry-bulb (c)", (-9900.0, 99.9)), "ghi": ("ghi (w/m^2)", (-9900.0, 9999.0)),
    "dni": ("dni (w/m^2)", (-9900.0, 9999.0)), "dhi": ("dhi (w/m^2)", (-9900.0, 9999.0)),
    "wind": ("wspd (m/s)", (-9900.0, 999.0)),
}  # fmt: skip
_EPW = {
    "outdoor": (6, (99.9,)),
    "ghi": (13, (9999.0,)),
    "dni": (14, (9999.0,)),
    "dhi": (15, (9999.0,)),
    "wind": (21, (999.0,)),
}
# columns of TMY2 from the manual, first column 0: value, tenths or whole, code for missing
_TMY2 = {"outdoor": (67, 71, 0.1, 9999.0), "ghi": (17, 21, 1.0, 9999.0), "dni": (23, 27, 1.0, 9999.0),
         "dhi": (29, 33, 1.0, 9999.0), "wind": (95, 98, 0.1, 999.0)}  # fmt: skip


def is_tmy3(text: str) -> bool:
    """Whether a text has TMY3's line of headings below its line of the station."""
    head = text[:4000].split("\n", 2)
    return len(head) > 1 and plain(head[1]).replace(" ", "").startswith("date(mm/dd/yyyy),time(hh:mm)")


def is_epw(text: str) -> bool:
    """Whether a text begins as EPW does."""
    return text[:9].upper() == "LOCATION,"


def is_tmy2(text: str) -> bool:
    """Whether a text has TMY2's fixed columns: a station line, and rows that begin with yymmddhh."""
    lines = text[:400].split("\n")
    if len(lines) < 2 or len(lines[1].rstrip()) < 120 or "," in lines[1][:60]:
        return False
    return lines[0][1:6].strip().isdigit() and lines[1][1:9].isdigit()


def _numbers(cells: Sequence[str], codes: Sequence[float], keep_negative: bool) -> Floats:
    try:
        values = np.array(cells, dtype=float)
    except ValueError:
        values = np.array([number_of(cell) for cell in cells])
    for code in codes:
        values[np.isclose(values, code)] = np.nan
    if not keep_negative:
        values[values < 0] = np.nan
    values[~np.isfinite(values)] = np.nan
    return values


def _rows(text: str, file: str, kind: str, skip: int) -> list[list[str]]:
    try:
        rows = [row for row in csv.reader(text.split("\n")[skip:]) if any(cell.strip() for cell in row)]
    except csv.Error as error:
        raise InputError(
            Fault("", f"cannot be read as {kind} ({error})", f"check that it is a whole {kind} file", file)
        ) from None
    if not rows:
        raise InputError(
            Fault("", f"begins like {kind} but holds no rows of hours", f"check that it is a whole {kind} file", file)
        )
    if len(rows) > 1 and len(rows[-1]) < len(rows[-2]):
        line, what = len(text.rstrip().split("\n")), f"the file ends within this line, '{','.join(rows[-1])[:40]}'"
        raise InputError(Fault(f"line {line:,}", what, "it was cut: fetch it again", file))
    return rows


def read_tmy3(text: str, file: str) -> Record:
    """Read TMY3, and tables that keep its headings.

    Raises
    ------
    InputError
        With every fault found.
    """
    lines = text.split("\n", 2)
    place = [cell.strip().strip('"') for cell in next(csv.reader([lines[0]]), [])]
    head = [plain(cell) for cell in next(csv.reader([lines[1]]), [])]
    rows = _rows(text, file, "TMY3", 2)
    columns: dict[str, Floats] = {}
    for name, (heading, codes) in _TMY3.items():
        if heading in head:
            at = head.index(heading)
            cells = [row[at] if at < len(row) else "" for row in rows]
            columns[name] = _numbers(cells, codes, name == "outdoor")
    if "outdoor" not in columns:
        close = difflib.get_close_matches("dry-bulb (c)", head, cutoff=0.7)
        shown = f"; '{close[0]}' may be meant" if close else f"; found {', '.join(head[:8])} …"
        what = "the column is missing"
        raise InputError(Fault("dry-bulb temperature", what, f"a TMY3 file has one headed 'Dry-bulb (C)'{shown}", file))
    dates = [f"{row[0].strip()} {row[1].strip()}" if len(row) > 1 else "" for row in rows]
    stamps = read_stamps(dates, file, "date and time")
    numbers = [number_of(cell) for cell in place[3:7]] + [math.nan] * 4
    if len(place) < 7 or not all(math.isfinite(number) for number in numbers[:4]):
        remedy = "TMY3's first line is station,name,state,time zone,latitude,longitude,altitude"
        raise InputError(Fault("line 1", f"'{lines[0][:80]}' does not state the place", remedy, file))
    title = f"{place[1].title()}, {place[2]}, typical year (TMY3)"
    return _record(title, place[0], f"TMY3 file {file}", columns, stamps, *_order(numbers))


def _order(numbers: Sequence[float]) -> tuple[float, float, float, float]:
    """Latitude, longitude, altitude and offset from TMY3's order, which begins with the time zone."""
    return numbers[1], numbers[2], numbers[3], numbers[0]


def read_epw(text: str, file: str) -> Record:
    """Read EPW.

    Raises
    ------
    InputError
        With every fault found.
    """
    head = text.split("\n", 8)
    place = [cell.strip() for cell in next(csv.reader([head[0]]), [])] + [""] * 10
    rows = [row for row in _rows(text, file, "EPW", 8) if len(row) > 6]
    numbers = [number_of(cell) for cell in place[6:10]]
    if not rows or not all(math.isfinite(number) for number in numbers):
        what = "holds no rows of hours" if not rows else f"'{head[0][:80]}' does not state the place"
        remedy = "an EPW file has 8 lines of head, the first LOCATION,city,state,country,source,WMO,latitude,longitude,time zone,altitude"
        raise InputError(Fault("" if not rows else "line 1", f"begins like EPW but {what}", remedy, file))
    columns = {
        name: _numbers([row[at] if at < len(row) else "" for row in rows], codes, name == "outdoor")
        for name, (at, codes) in _EPW.items()
    }
    columns = {name: values for name, values in columns.items() if name == "outdoor" or not np.isnan(values).all()}
    keys = {"year": 0, "month": 1, "day": 2, "hour": 3}
    times = {key: np.array([number_of(row[at]) for row in rows]) for key, at in keys.items()}
    minutes = np.array([number_of(row[4]) for row in rows])
    minutes = np.where(np.isfinite(minutes), minutes, 0.0)
    # a minute of 60 or 0 is the end of the hour; others are those of half-hourly and shorter rows
    times["minute"] = np.where(minutes % 60 != 0, minutes - 60, 0.0)
    late = times["minute"] < 0
    times["minute"] = np.where(late, times["minute"] + 60, times["minute"])
    times["hour"] = np.where(late, times["hour"] - 1, times["hour"])
    stamps = from_columns(times, file)
    cold = _epw_design(head)
    facts = {key: value for key, value in zip(("design_996_c", "design_99_c"), cold, strict=True) if value is not None}
    title = f"{place[1]}, {place[3]} (EPW)"
    return _record(
        title, place[5], f"EPW file {file}", columns, stamps, numbers[0], numbers[1], numbers[3], numbers[2], facts
    )


def _epw_design(head: Sequence[str]) -> tuple[float | None, float | None]:
    """Heating dry-bulb temperatures at 99.6 and 99 % in the line DESIGN CONDITIONS: after 'Heating' and the coldest month."""
    line = next((row for row in head if row.upper().startswith("DESIGN CONDITIONS")), "")
    cells = [cell.strip() for cell in line.split(",")]
    if "Heating" not in cells:
        return None, None
    at = cells.index("Heating")
    design = [number_of(cell) for cell in cells[at + 2 : at + 4]]
    good = [value if -90 < value < 40 else None for value in design]
    return (good[0], good[1]) if len(good) == 2 else (None, None)


def read_tmy2(text: str, file: str) -> Record:
    """Read TMY2's fixed columns.

    Raises
    ------
    InputError
        With every fault found.
    """
    lines = [line for line in text.split("\n") if line.strip()]
    first, rows = lines[0], lines[1:]
    words = first[33:].split()
    try:
        zone, side, deg, minute, other, far, more, high = words[0], *words[1:8]
        latitude, longitude = float(deg) + float(minute) / 60, float(far) + float(more) / 60
        latitude, longitude = -latitude if side == "S" else latitude, -longitude if other == "W" else longitude
        offset, altitude = float(zone), float(high)
    except (ValueError, IndexError):
        remedy = "TMY2's first line is station, city, state, time zone, latitude, longitude, altitude"
        raise InputError(Fault("line 1", f"'{first[:70]}' does not state the place", remedy, file)) from None
    columns = {
        name: _numbers([row[a:b] for row in rows], (code,), name == "outdoor") * scale
        for name, (a, b, scale, code) in _TMY2.items()
    }
    keys = {"year": (1, 3), "month": (3, 5), "day": (5, 7), "hour": (7, 9)}
    times = {key: np.array([number_of(row[a:b]) for row in rows]) for key, (a, b) in keys.items()}
    times["year"] = times["year"] + 1900
    title = f"{first[7:29].strip().title()}, {first[30:32]}, typical year (TMY2)"
    stamps = from_columns(times, file)
    return _record(title, first[1:6], f"TMY2 file {file}", columns, stamps, latitude, longitude, altitude, offset)


def _record(
    title: str, station: str, source: str, columns: dict[str, Floats], stamps: Stamps,
    latitude_deg: float, longitude_deg: float, altitude_m: float, utc_offset_h: float, facts: dict[str, float] | None = None,
) -> Record:  # fmt: skip
    return Record(
        title, station, source, stamps.times, columns, frozenset(columns), WHOLE_HOUR_S,
        latitude_deg, longitude_deg, altitude_m, utc_offset_h, {"typical": True, **(facts or {})},
    )  # fmt: skip


def is_typical(record: Record) -> bool:
    """Whether rows are those of one calendar year put together from the months of several."""
    if record.times is None or record.daily or len(record.times) < min(YEARS_H) - 24:
        return False
    times = record.times
    span = (times.max() - times.min()).astype("timedelta64[D]").astype(int)
    return (
        bool(span > 370)
        and len(np.unique(times.astype("datetime64[h]"))) <= max(YEARS_H)
        and len(times) < 6 * max(YEARS_H)
    )


def in_calendar_order(record: Record, file: str) -> tuple[dict[str, Floats], list[str], list[Fault]]:
    """Columns of a year from 1 January to 31 December by month, day and hour, whatever the years of the rows.

    Returns
    -------
    columns, notes, faults
        Arrays (8760 or 8784,); rows out of order are sorted and told, hours that come twice or are missing are faults.
    """
    assert record.times is not None
    ends = "outdoor" in record.ends
    times = record.times - np.timedelta64(1, "s") if ends else record.times
    months = times.astype("datetime64[M]")
    month = months.astype(int) % 12
    day = (times.astype("datetime64[D]") - months.astype("datetime64[D]")).astype(int)
    hour = (times.astype("datetime64[h]").astype(int)) % 24
    leap = bool(((month == 1) & (day == 28)).any())
    n = 8784 if leap else 8760
    _, starts = np.unique(months_of(n), return_index=True)
    key = starts[month] + day * 24 + hour
    count = np.bincount(key, minlength=n)
    notes: list[str] = []
    faults: list[Fault] = []
    rows_an_hour = int(np.median(count[count > 0]))
    if (count == 0).any():
        where = record_name(int(np.argmax(count == 0)), n)
        what = f"{int((count > 0).sum()):,} hourly records were found, and {int((count == 0).sum()):,} are missing, first {where}"
        faults.append(Fault("rows", what, "a year has 8,760 hours; add what is missing", file))
    if (count > rows_an_hour).any():
        where = record_name(int(np.argmax(count > rows_an_hour)), n)
        what = f"{int((count > rows_an_hour).sum()):,} hours come more than once, first {where}"
        faults.append(Fault("rows", what, "take out what is double", file))
    if faults:
        return {}, notes, faults
    if rows_an_hour > 1:
        notes.append(f"readings {step_words(WHOLE_HOUR_S // rows_an_hour)} were averaged to hours")
    turned = int(np.argmin(key)) if rows_an_hour == 1 else 0
    if (np.diff(key) < 0).any() and not (np.diff(np.roll(key, -turned)) == 1).all():
        notes.append("rows were not in the order of their dates; they were sorted")
    elif turned > 24 and n - turned > 24:
        notes.append(f"rows begin on {record_name(int(key[0]), n)}; they were put into the order of a calendar year")
    ordered = {}
    for name, values in record.columns.items():
        good = np.isfinite(values)
        number = np.bincount(key[good], minlength=n)
        total = np.bincount(key[good], weights=values[good], minlength=n)
        ordered[name] = np.where(number > 0, total / np.maximum(number, 1), np.nan)
    return ordered, notes, []
