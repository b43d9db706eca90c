"""Readings with their times, as any download or table gives them; from here on no service's ways are left."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from costsim.errors import Fault, InputError
from costsim.units.arrays import Floats
from costsim.units.quantity import UnitError
from costsim.units.table import WHOLE_DAY_S, WHOLE_HOUR_S
from costsim.weather.columns import Chosen, chosen_columns, in_si, settled_units
from costsim.weather.download import Download, cells_of, take_apart
from costsim.weather.headings import number_and_unit, plain
from costsim.weather.layouts import Layout, place_of
from costsim.weather.plain_csv import bound_faults, place_facts
from costsim.weather.stamps import Stamps, Times
from costsim.weather.times import find_times, on_one_clock

DIGITS_NOAA = 4
"""Which NOAA writes before the letter of quality; fewer are a number with a decimal comma."""
NO_TEMPERATURE = (-999.0, -999.9, -999.99, 999.9, -9999.9, 9999.9, -99999.0, 99999.0)


@dataclass(frozen=True, slots=True, eq=False)
class Record:
    """Readings of one place.

    Parameters
    ----------
    title, station, source : str
        For readers; `source` names the service and the file.
    times : datetime64[s] (n,) or None
        Beginning of what each reading stands for, on the clock of `utc_offset_h`; None where rows carry no time.
    columns : mapping
        Readings (n,) in SI by the names of `headings.SI`, NaN where missing.
    ends : frozenset of str
        Columns whose values are means up to their time.
    step_s : int
        Most frequent step from one reading to the next [s]; 86400 for daily tables.
    latitude_deg, longitude_deg, altitude_m, utc_offset_h : float
        NaN where nothing states them.
    facts : mapping
        What else `Weather` can hold: `design_99_c`, `synthetic`, `years`.
    notes : tuple of str
    """

    title: str
    station: str
    source: str
    times: Times | None
    columns: Mapping[str, Floats]
    ends: frozenset[str] = frozenset()
    step_s: int = WHOLE_HOUR_S
    latitude_deg: float = math.nan
    longitude_deg: float = math.nan
    altitude_m: float = math.nan
    utc_offset_h: float = math.nan
    facts: Mapping[str, Any] = field(default_factory=dict)
    notes: tuple[str, ...] = ()

    @property
    def daily(self) -> bool:
        """Whether readings stand for whole days."""
        return self.step_s >= WHOLE_DAY_S


def read_table(
    text: str, file: str, *, mapping: Mapping[str, tuple[str, str]] | None = None, unit: str = "", station: str = ""
) -> Record:
    """Read any table of weather: our own CSV, a known service's download, or one whose columns are named.

    Parameters
    ----------
    text, file : str
    mapping : mapping, optional
        Heading and unit by quantity, for a table that no layout fits; `time` and `date` too.
    unit : str
        Unit of the temperatures where the file does not state it.
    station : str
        Which station to take, where the table holds several.

    Raises
    ------
    InputError
        With every fault found.
    """
    download = take_apart(text, file)
    if unit:
        download.about.setdefault("unit", unit)
    chosen, faults = chosen_columns(download, mapping or {}, file)
    if faults:
        raise InputError(faults)
    download, notes = _one_station(download, station, file)
    columns, ends, more, faults = _values(download, chosen, file)
    facts, missing, _ = place_facts(download.about, file, needed=False)
    place = _place(download, facts)
    faults += missing or bound_faults(place, file)
    if not faults and not ("outdoor" in columns or {"low", "high"} <= set(columns)):
        faults.append(
            Fault("outdoor", "not one temperature can be read", "name the temperature's column with --map", file)
        )
    stamps = None
    try:
        stamps = find_times(download, mapping or {}, file)
    except InputError as error:
        faults += list(error.faults)
    if faults:
        raise InputError(faults)
    layout = download.layout
    service = f"{layout.name}, " if layout else ""
    plain = facts.get("title") or _named(download, layout) or file
    record = Record(
        title=plain,
        station=facts.get("station") or _named(download, layout) or file,
        source=facts.get("source") or f"{service}file {file}",
        times=None,
        columns=columns,
        ends=ends,
        facts={key: facts[key] for key in ("design_99_c", "synthetic", "years") if key in facts},
        notes=(*notes, *more),
        **place,
    )
    if layout and layout.units_note:
        record = replace(record, notes=(*record.notes, layout.units_note))
    if stamps is not None:
        record = _timed(record, stamps, download, file)
    elif not facts.get("synthetic") and len(download.head) > 1:
        told_none = "no column of dates was found: rows are taken as the hours of a year from 1 January on"
        record = replace(record, notes=(*record.notes, told_none))
    if "outdoor" not in columns and not record.daily:
        what = "only a lowest and a highest temperature were found, and rows are not days"
        raise InputError(Fault("outdoor", what, "name the temperature's column with --map", file))
    return record


def _timed(record: Record, stamps: Stamps, download: Download, file: str) -> Record:
    """Put the readings on one clock, and tell which."""
    layout = download.layout
    zone = layout.zone if layout else ""
    if zone == "stated":
        zone = "utc" if download.stated.get("clock") == "utc" else "standard"
    notes: list[str]
    if layout and layout.daily:  # a service's days stay its days, whatever clock they are counted by
        times, offset, notes = stamps.times, record.utc_offset_h, []
    else:
        times, offset, notes = on_one_clock(stamps, zone, record.utc_offset_h, record.longitude_deg, file)
    local = download.number("local time zone")
    if math.isfinite(local) and math.isfinite(offset) and local != offset and abs(local) <= 14.0:
        times, offset = times + np.timedelta64(round((local - offset) * WHOLE_HOUR_S), "s"), local
        notes = [*notes, f"brought to the place's own standard time, UTC{local:+g} h"]
    good = ~np.isnat(times)
    if not good.any():
        raise InputError(Fault("time", "not one row has a time", "write times such as 2024-03-31 14:00", file))
    if not good.all():
        record = replace(record, columns={key: values[good] for key, values in record.columns.items()})
        notes.append(f"{int((~good).sum())} rows without a time were left out")
        times = times[good]
    step = _step(times, stamps.timed, bool(layout and layout.daily), file)
    ends = record.ends
    if stamps.ends and step < WHOLE_DAY_S:
        ends = frozenset(record.columns)
        notes.append("hours run from 1 to 24, so that each row stands for the hour before its time")
    return replace(
        record, times=times, step_s=step, ends=ends, utc_offset_h=offset, notes=(*record.notes, *dict.fromkeys(notes))
    )


def _step(times: Times, timed: bool, daily: bool, file: str) -> int:
    """Most frequent step [s]; a whole day where no time of day is written."""
    if daily:
        return WHOLE_DAY_S
    unique = np.unique(times)
    steps = np.diff(unique).astype(np.int64)
    if not len(steps):
        return WHOLE_HOUR_S if timed else WHOLE_DAY_S
    values, counts = np.unique(steps, return_counts=True)
    step = int(values[np.argmax(counts)])
    if not timed and (len(unique) < len(times) / 2):
        raise InputError(
            Fault("time", "days come several times, and no column tells the hour", "add a column with the hour", file)
        )
    return max(step, WHOLE_DAY_S) if not timed else step


def _place(download: Download, facts: Mapping[str, Any]) -> dict[str, Any]:
    """Where it was measured: lines that somebody put in count before the service's head, and that before its columns."""
    place = {}
    names = {"latitude_deg": "latitude", "longitude_deg": "longitude", "altitude_m": "elevation"}
    columns = download.layout.place if download.layout else {}
    for key, name in names.items():
        value = facts.get(key, math.nan)
        if math.isnan(value):
            value = download.number(name, "altitude" if key == "altitude_m" else name)
        at = place_of(download.head, columns.get("altitude" if key == "altitude_m" else name, "?"))
        if math.isnan(value) and at is not None:
            value = _first_number(download, at)
        place[key] = value
    offset = facts.get("utc_offset_h", math.nan)
    if math.isnan(offset):
        seconds = download.number("utc_offset_seconds")
        offset = seconds / WHOLE_HOUR_S if math.isfinite(seconds) else download.number("time zone")
    return place | {"utc_offset_h": offset}


def _first_number(download: Download, at: int) -> float:
    head = replace(download, lines=download.lines[:50])
    for cell in head.columns([at], "")[0]:
        if math.isfinite(number := _number(cell, comma=True)):
            return number
    return math.nan


def _named(download: Download, layout: Layout | None) -> str:
    """Name of the station, as the table or its head gives it."""
    city, at = download.stated.get("city", ""), None
    if city.strip(" -"):
        return city.strip()
    if layout is not None:
        at = place_of(download.head, layout.place.get("name", "station"))
    if at is None:
        return ""
    first = replace(download, lines=download.lines[:1]).columns([at], "")[0]
    return first[0].strip() if first else ""


_STATIONS = ("location_id", "station", "station_id", "stations_id", "station id", "climate id", "usaf", "wban")


def _one_station(download: Download, wanted: str, file: str) -> tuple[Download, list[str]]:
    """Keep the rows of one station; several are a question."""
    at = next((place for name in _STATIONS if (place := place_of(download.head, name)) is not None), None)
    points = [place for name in ("latitude", "longitude") if (place := place_of(download.head, name)) is not None]
    if at is None and len(points) < 2:
        return download, []
    columns = download.columns([at] if at is not None else points, file)
    cells = [", ".join(cell) for cell in zip(*columns, strict=True)]
    names = list(dict.fromkeys(cell for cell in cells if cell))
    if len(names) < 2 or len(cells) != len(download.lines):
        return download, []
    if not wanted:
        places = (_told_place(name, _location(download, name)) for name in names[:6])
        shown = "; ".join(places) + (" …" if len(names) > 6 else "")
        raise InputError(
            Fault(
                "station",
                f"holds {len(names)} stations: {shown}",
                f"choose one with --station '{names[0]}'",
                file,
                "station",
                tuple(names[:200]),
            )
        )
    if wanted not in names:
        raise InputError(Fault("--station", f"'{wanted}' is none of {', '.join(names[:6])}", "name one of them", file))
    kept = [line for line, cell in zip(download.lines, cells, strict=True) if cell == wanted]
    return replace(download, lines=kept, stated=download.stated | _location(download, wanted)), [
        f"station {wanted} of {len(names)} in the file"
    ]


def _told_place(name: str, place: Mapping[str, str]) -> str:
    where = [place[key] for key in ("latitude", "longitude") if key in place]
    return f"{name} ({', '.join(where)})" if where else name


def _location(download: Download, wanted: str) -> dict[str, str]:
    """What a table of locations above the readings says of one of them, as Open-Meteo writes it."""
    rows = [cells_of(line, download.mark) for line in download.above]
    head = next((row for row in rows if row[:1] == ["location_id"]), [])
    row = next((row for row in rows if row[:1] == [wanted]), []) if head else []
    return {plain(key): value.strip() for key, value in zip(head, row, strict=False)}


def _values(
    download: Download, chosen: Mapping[str, Chosen], file: str
) -> tuple[dict[str, Floats], frozenset[str], list[str], list[Fault]]:
    """Readings of the chosen columns in SI."""
    names = list(chosen)
    cells = download.columns([chosen[name].at for name in names], file)
    given = {name: in_numbers(column, download, chosen[name]) for name, column in zip(names, cells, strict=True)}
    for name in ("outdoor", "low", "high"):  # no weather in any unit, and what loggers write for no reading
        if name in given:
            given[name][np.isin(given[name], NO_TEMPERATURE)] = np.nan
    faults: list[Fault] = []
    notes: list[str] = []
    units = {name: chosen[name].unit for name in names}
    try:
        units, notes = settled_units(given, units, download, file)
    except InputError as error:
        return {}, frozenset(), [], list(error.faults)
    columns = {}
    for name in names:
        try:
            columns[name] = in_si(name, given[name], units[name])
        except UnitError as error:
            heading = download.head[chosen[name].at].strip()
            faults.append(Fault(f"column {heading}", str(error), "write the unit like 'outdoor [degC]'", file))
    # services keep columns that they have no readings for
    columns = {name: values for name, values in columns.items() if name == "outdoor" or not np.isnan(values).all()}
    if {"low", "high", "outdoor"} <= set(columns) and np.isnan(columns["outdoor"]).all():
        del columns["outdoor"]
    ends = frozenset(name for name in columns if chosen[name].ends)
    return columns, ends, notes, faults


def in_numbers(cells: Sequence[str], download: Download, column: Chosen) -> Floats:
    """Numbers of cells (n,); NaN where a cell is empty, no number, or the service's code for missing."""
    try:
        values = np.array(cells, dtype=float)
    except ValueError:
        comma = download.mark != ","
        values = np.array([_number(cell, comma) for cell in cells])
    codes = (-9999.0, 9999.0, -9900.0, *(download.layout.missing if download.layout else ()))
    for code in codes:
        values[np.isclose(values, code)] = np.nan
    values[~np.isfinite(values)] = np.nan
    return values


def _number(cell: str, comma: bool) -> float:
    """Number in a cell, with a decimal comma or a quality letter behind it where there is one.

    NOAA's ``-0061,5`` is a value and its quality; 3 and 7 mark errors.
    """
    text = cell.strip().strip('"').strip()
    if not text or len(text) > 30:
        return math.nan
    value, mark, quality = text.partition(",")
    if mark and not comma and len(quality) == 1 and len(value.lstrip("+-")) >= DIGITS_NOAA:
        text = "" if quality in "37" else value
    elif comma or mark:
        text = text.replace(",", ".")
    text = number_and_unit(text.replace("−", "-"))[0].rstrip("sVv*")
    try:
        return float(text)
    except ValueError:
        return math.nan
