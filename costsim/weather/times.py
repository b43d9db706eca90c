"""Where a table keeps its times, and on which clock they run."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Mapping, Sequence

import numpy as np

from costsim.errors import Fault, InputError
from costsim.units.table import WHOLE_HOUR_S
from costsim.weather.download import Download, cells_of
from costsim.weather.headings import plain, split_heading
from costsim.weather.layouts import place_of
from costsim.weather.stamps import Stamps, Times, from_columns, looks_like_stamp, read_stamps, time_of

_NUMBERS = {
    "year": ("year", "yyyy", "yr", "isd-lite year"), "month": ("month", "mo", "mm"), "day": ("day", "dy", "dd"), "yearday": ("doy",),
    "hour": ("hour", "hr", "hh"), "minute": ("minute", "min", "mi"),
}  # fmt: skip
NEAREST = "the nearest to the longitude"
SAY_OFFSET = "say so in a line '# utc_offset: -6'"
_SUNDAY = 3
"""Of days counted from 1 January 1970, a Thursday, by sevens: clocks are changed early on Sundays where they are changed."""
_TIMES_OF_DAY = ("time", "hour", "time (lst)", "time (hh:mm)", "hh:mm", "local time", "start time")


def find_times(download: Download, mapping: Mapping[str, tuple[str, str]], file: str) -> Stamps | None:
    """Times of the rows; None where no column holds any.

    Raises
    ------
    InputError
        A column of times cannot be read.
    """
    head = download.head
    named = mapping.get("time") or mapping.get("date")
    if named:
        at = place_of(head, plain(named[0]))
        if at is None:
            raise InputError(
                Fault("--map time", f"no column is headed '{named[0][:60]}'", "name one of the headings", file)
            )
        hour = place_of(head, plain(mapping["hour"][0])) if "hour" in mapping else None
        return _stamped(download, at, hour, file)
    if download.layout and download.layout.time[1:] in (("hour",), ("hh",)):
        at, hour = (place_of(head, name) for name in download.layout.time)
        return _stamped(download, at, hour, file) if at is not None else None
    if download.layout and len(download.layout.time) == 1:
        at = place_of(head, download.layout.time[0])
        return _stamped(download, at, None, file) if at is not None else None
    places = {
        key: at
        for key, names in _NUMBERS.items()
        if (at := next((place for name in names if (place := _exactly(head, name)) is not None), None)) is not None
    }
    if "year" in places and ({"month", "day"} <= set(places) or "yearday" in places):
        return _numbered(download, places, file)
    first, last = (cells_of(download.lines[at], download.mark) for at in (0, -1))
    for at in range(len(head)):
        if at < len(first) and looks_like_stamp(first[at]) and _is_time_column(head[at], first[at]):
            return _stamped(download, at, _hours_beside(head, first, at), file)
    for at in range(len(head)):  # a heading that says time, with something else in its first row
        if split_heading(head[at])[0] in _TIME_WORDS and at < len(last) and looks_like_stamp(last[at]):
            return _stamped(download, at, None, file)
    middle = cells_of(download.lines[len(download.lines) // 2], download.mark)
    running = [at for at in range(min(len(head), len(first), len(last))) if _runs_on((first, middle, last), at)]
    if len(running) == 1:
        return _stamped(download, running[0], _hours_beside(head, first, running[0]), file)
    for at in range(min(len(head), len(first))):
        if set(_WORD.findall(plain(head[at]))) & set(_TIME_WORDS) and _is_unknown_time(first[at]):
            what = f"'{first[at].strip()[:40]}' is no date and time that is known"
            raise InputError(
                Fault(f"column {head[at].strip()[:60]}", what, "write times such as 2024-03-31 14:00", file)
            )
    return None


_TIME_WORDS = ("time", "date", "datetime", "timestamp", "date/time")
_WORD = re.compile(r"[a-z]+")


def _is_unknown_time(cell: str) -> bool:
    """Whether a cell tells a day in a way that is not known: neither a number nor the first day of a year without a name."""
    text = cell.strip().strip("'\"")
    digits = "".join(letter if letter.isdigit() else " " for letter in text).split()
    first = [number.lstrip("0") for number in digits[:2]] == ["1", "1"]
    return len(digits) > 2 and (not first or any(len(number) == 4 for number in digits))


def _runs_on(rows: Sequence[list[str]], at: int) -> bool:
    """Whether a column without a word for time holds times: other ones in the first, a middle and the last row."""
    texts = [cells[at] for cells in rows if at < len(cells)]
    return len(set(texts)) == 3 and all(map(looks_like_stamp, texts))


def _exactly(head: list[str], name: str) -> int | None:
    return next((at for at, heading in enumerate(head) if plain(heading) == name), None)


def _is_time_column(heading: str, cell: str) -> bool:
    """A run of eight digits or more may be a station's number unless its heading says that it is a time."""
    if not cell.strip().isdigit():
        return True
    words = plain(heading)
    return any(part in words for part in ("date", "time", "datum", "day", "valid", "stamp"))


def _hours_beside(head: list[str], first: list[str], at: int) -> int | None:
    """A column of times of day, where the date's own column has none."""
    if ":" in first[at]:
        return None
    for place, heading in enumerate(head):
        named = {plain(heading), split_heading(heading)[0]} & set(_TIMES_OF_DAY)
        if place != at and place < len(first) and named and time_of(first[place]) is not None:
            return place
    others = [
        place
        for place, cell in enumerate(first)
        if place != at and cell.count(":") in (1, 2) and time_of(cell) is not None
    ]
    return others[0] if len(others) == 1 else None


def _stamped(download: Download, at: int, hour: int | None, file: str) -> Stamps:
    name = download.head[at].strip().strip('"') or "time"
    if hour is None:
        return read_stamps(_of_seconds(download.columns([at], file)[0]), file, name)
    dates, hours = download.columns([at, hour], file)
    plain_hours = all(cell.isdigit() and len(cell) < 3 for cell in hours[:50])
    joined = [f"{d} {h}:00" if plain_hours else f"{d} {h}" for d, h in zip(dates, hours, strict=True)]
    return read_stamps([cell if cell.strip(" :0") else "" for cell in joined], file, name)


def _of_seconds(cells: list[str]) -> list[str]:
    """Times that are seconds since 1970 written out, in UTC; other ones as they are."""
    if not all(
        len(cell) == 10 and cell.isdecimal() and FIRST_S <= int(cell) < LAST_S for cell in (cells[:1] + cells[-1:])
    ):
        return cells
    return [f"{np.datetime64(int(cell), 's')}Z" if len(cell) == 10 and cell.isdecimal() else cell for cell in cells]


FIRST_S, LAST_S = 1_000_000_000, 1_800_000_000
"""Seconds since 1970 of 2001, the first of ten digits, and 2027; larger numbers of ten digits are a date and an hour, such as 2016013105."""


def _numbered(download: Download, places: dict[str, int], file: str) -> Stamps:
    keys = list(places)
    cells = download.columns([places[key] for key in keys], file)
    numbers = {}
    for key, column in zip(keys, cells, strict=True):
        values = []
        for cell in column:
            try:
                values.append(float(cell))
            except ValueError:
                values.append(math.nan)
        column_of = np.array(values)
        numbers[key] = np.where(np.isfinite(column_of), column_of, np.nan)
    if "hour" in numbers and (numbers["hour"] >= 100.0).any():  # hours as 100, 200 … 2400, or 130 with its minutes
        numbers["hour"], minutes = np.divmod(numbers["hour"], 100.0)
        numbers.setdefault("minute", minutes)
    return from_columns(numbers, file)


def on_one_clock(
    stamps: Stamps, zone: str, offset_h: float, longitude_deg: float, file: str
) -> tuple[Times, float, list[str]]:
    """Bring times to one clock, local standard time where it can be known.

    Parameters
    ----------
    stamps : Stamps
    zone : str
        ``"utc"``, ``"standard"``, or empty where nothing tells.
    offset_h, longitude_deg : float
        What the file states; NaN where it does not.
    file : str

    Returns
    -------
    times, utc_offset_h, notes
    """
    notes: list[str] = []
    times = stamps.times
    carried = stamps.offset_h[~np.isnan(stamps.offset_h) & ~np.isnat(times)]
    if len(carried):
        times = times - np.round(np.nan_to_num(stamps.offset_h) * WHOLE_HOUR_S).astype("timedelta64[s]")
        if len(carried) < int((~np.isnat(times)).sum()):
            raise InputError(
                Fault("time", "some times carry an offset from UTC and others do not", "write all of them alike", file)
            )
        zone = "utc"
        if math.isnan(offset_h) and (carried != 0.0).any():
            offset_h = float(carried.min())  # standard time lies west of summer time
            if offset_h != carried.max():
                notes.append(f"times carry summer time; put back to standard time, UTC{offset_h:+g} h")
    if zone == "utc":
        guessed = round(longitude_deg / 15.0) if math.isfinite(longitude_deg) else math.nan
        if math.isnan(offset_h) and math.isfinite(guessed):
            offset_h = float(guessed)
            notes.append(f"UTC brought to standard time UTC{offset_h:+g} h, {NEAREST}")
        elif math.isnan(offset_h):
            notes.append(f"times are UTC, and nothing states the place's own; {SAY_OFFSET}")
            return times, 0.0, notes
        return times + np.timedelta64(round(offset_h * WHOLE_HOUR_S), "s"), offset_h, notes
    if math.isnan(offset_h) and math.isfinite(longitude_deg):
        offset_h = float(round(longitude_deg / 15.0))
        notes.append(f"standard time taken as UTC{offset_h:+g} h, {NEAREST}")
    times, summer = _without_summer_time(times)
    return times, offset_h, [*notes, *summer]


def _without_summer_time(times: Times) -> tuple[Times, list[str]]:
    """Put clock time back to standard time where one hour is left out in spring and one comes twice in autumn."""
    if np.isnat(times).any() or len(times) < 4000:
        return times, []
    steps = np.diff(times).astype(np.int64)
    step = int(np.median(steps))
    if step <= 0 or step > WHOLE_HOUR_S:
        return times, []
    days = times[:-1].astype("datetime64[D]")
    early_sunday = (days.astype(int) % 7 == _SUNDAY) & (
        (times[:-1] - days).astype("timedelta64[s]").astype(np.int64) < 4 * WHOLE_HOUR_S
    )
    forward = np.flatnonzero((steps == step + WHOLE_HOUR_S) & early_sunday)
    back = np.flatnonzero((steps == step - WHOLE_HOUR_S) & early_sunday)
    # other steps are gaps; rows that go back at other times are no clock's doing
    if not len(forward) or not len(back) or (np.delete(steps, back) < step).any():
        return times, []
    turns = sorted([(int(at), 1) for at in forward] + [(int(at), -1) for at in back])
    kinds = [kind for _, kind in turns]
    if any(a == b for a, b in itertools.pairwise(kinds)):
        return times, []
    ahead = np.zeros(len(times), dtype=np.int64)
    state = 0 if kinds[0] == 1 else 1
    last = 0
    for at, kind in turns:
        ahead[last : at + 1] = state
        state, last = (1 if kind == 1 else 0), at + 1
    ahead[last:] = state
    note = "times follow summer time; put back to standard time"
    return times - (ahead * WHOLE_HOUR_S).astype("timedelta64[s]"), [note]
