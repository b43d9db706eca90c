"""Several files of one place made into one record, and the whole years in it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from costsim.errors import Fault, InputError
from costsim.units.table import WHOLE_DAY_S, WHOLE_HOUR_S
from costsim.weather.model import Weather
from costsim.weather.readers import read_record
from costsim.weather.record import Record
from costsim.weather.typical import is_typical
from costsim.weather.year_weather import weather_of, winters_of

FAR_DEG = 0.5
"""Files further apart than this are of different places."""


def joined(records: Sequence[tuple[str, Record]]) -> Record:
    """Put the readings of several files into one record; the first file's place and clock count.

    Parameters
    ----------
    records : sequence of (file, record)
        Each with times; hourly or shorter, or all daily.

    Raises
    ------
    InputError
        A file has no times or typical ones, the places differ, or daily and hourly tables stand side by side.
    """
    (_, first), *others = records
    if not others:
        return first
    faults = []
    for file, record in records:
        if record.times is None or is_typical(record):
            what = "is a typical year or has no dates, so it cannot be joined with other files"
            faults.append(Fault("", what, "give it alone", file))
        elif record.daily != first.daily:
            faults.append(Fault("", "is daily beside hourly files, or hourly beside daily ones", "give one kind", file))
        elif not _same_place(first, record):
            shown = f"{record.latitude_deg:.2f}, {record.longitude_deg:.2f}"
            what = f"is of another place ({shown}) than the first file ({first.latitude_deg:.2f}, {first.longitude_deg:.2f})"
            faults.append(Fault("", what, "join files of one station", file))
    if faults:
        raise InputError(faults)
    names = sorted({name for _, record in records for name in record.columns})
    times, columns = [], {name: [] for name in names}  # type: ignore[var-annotated]
    for _, record in records:
        assert record.times is not None
        times.append(record.times + _shift(record.utc_offset_h, first.utc_offset_h))
        for name in names:
            values = record.columns.get(name, np.full(len(record.times), np.nan))
            columns[name].append(values)
    step = min(record.step_s for _, record in records) if first.step_s < WHOLE_DAY_S else first.step_s
    notes = dict.fromkeys(note for _, record in records for note in record.notes)
    order = sorted(range(len(times)), key=lambda at: times[at].min())
    return replace(
        first,
        source=f"{first.source} and {len(others)} more",
        times=np.concatenate([times[at] for at in order]),
        columns={name: np.concatenate([parts[at] for at in order]) for name, parts in columns.items()},
        ends=frozenset().union(*(record.ends for _, record in records)),
        step_s=step,
        notes=tuple(notes),
    )


def _same_place(first: Record, other: Record) -> bool:
    pairs = ((first.latitude_deg, other.latitude_deg), (first.longitude_deg, other.longitude_deg))
    return all(math.isnan(a) or math.isnan(b) or abs(a - b) <= FAR_DEG for a, b in pairs)


def _shift(theirs: float, ours: float) -> np.timedelta64:
    if math.isnan(theirs) or math.isnan(ours):
        return np.timedelta64(0, "s")
    return np.timedelta64(round((ours - theirs) * WHOLE_HOUR_S), "s")


def placed(
    record: Record,
    *,
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
    altitude_m: float | None = None,
    utc_offset_h: float | None = None,
) -> Record:
    """State what a file does not: its place; times in UTC are moved to the offset that is given."""
    moved = replace(
        record,
        latitude_deg=record.latitude_deg if latitude_deg is None else latitude_deg,
        longitude_deg=record.longitude_deg if longitude_deg is None else longitude_deg,
        altitude_m=record.altitude_m if altitude_m is None else altitude_m,
    )
    if utc_offset_h is None or moved.times is None:
        return moved if utc_offset_h is None else replace(moved, utc_offset_h=utc_offset_h)
    times = moved.times if moved.daily else moved.times + _shift(moved.utc_offset_h, utc_offset_h)
    kept = tuple(note for note in moved.notes if "nothing states the place's own" not in note)
    return replace(moved, times=times, utc_offset_h=utc_offset_h, notes=kept)


def one_year(records: Sequence[tuple[str, Record]], year: int | None = None) -> Weather:
    """The year that a study runs on, out of one or several files of a place.

    Parameters
    ----------
    records : sequence of (file, record)
    year : int, optional
        Which calendar year; the last whole one by default.

    Raises
    ------
    InputError
        With every fault found.
    """
    name = records[0][0] if len(records) == 1 else f"{records[0][0]} and {len(records) - 1} more"
    return weather_of(joined(records), name, year)


def years_of_files(records: Sequence[tuple[str, Record]]) -> list[Weather]:
    """Years to choose a severe one from: the winters of dated hourly files, else the year that each file holds.

    Raises
    ------
    InputError
        With every fault found.
    """
    dated = [
        (file, record)
        for file, record in records
        if record.times is not None and not record.daily and not _is_one_year(record)
    ]
    rest = [(file, record) for file, record in records if (file, record) not in dated]
    years = [weather_of(record, file) for file, record in rest]
    if dated:
        winters = winters_of(joined(dated), dated[0][0])
        years += [weather for _, weather in winters] if len(winters) > 1 else [weather_of(joined(dated), dated[0][0])]
    return years


def _is_one_year(record: Record) -> bool:
    return is_typical(record) or bool(record.facts.get("typical"))


def winters_of_files(paths: Sequence[str | Path]) -> list[tuple[str, Weather]]:
    """Every whole winter in the hourly downloads of one place, by name such as 2016–17, the earliest first.

    Raises
    ------
    InputError
        With every fault found.
    """
    records = [(str(path), read_record(path)) for path in paths]
    return winters_of(joined(records), str(paths[0]))
