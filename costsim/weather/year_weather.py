"""From a record to the one year that a study runs on, or one sentence that says what is missing."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from costsim.errors import Fault, InputError, one_line
from costsim.units.arrays import Floats
from costsim.units.table import YEARS_H
from costsim.weather.checks import checked_columns, count_faults, months_of, sun_note
from costsim.weather.hours import Hours, to_hours
from costsim.weather.model import Weather
from costsim.weather.plain_csv import BOUNDS, bound_faults
from costsim.weather.record import Record
from costsim.weather.times import NEAREST, SAY_OFFSET
from costsim.weather.typical import in_calendar_order, is_typical
from costsim.weather.years import (
    Year,
    chosen_year,
    daily_faults,
    last_twelve_months,
    missing_faults,
    whole_winters,
    whole_years,
)

_SUN = ("ghi", "dni", "dhi")
_PLACE = ("latitude_deg", "longitude_deg", "altitude_m", "utc_offset_h")


def weather_of(record: Record, file: str, year: int | None = None) -> Weather:
    """Take one year of a record.

    Parameters
    ----------
    record : Record
    file : str
        For messages.
    year : int, optional
        Which calendar year; the last whole one by default, else the last twelve months.

    Raises
    ------
    InputError
        There is no whole year in it, or its place cannot be.
    """
    if record.daily:
        raise InputError(daily_faults(record, file))
    if record.times is None:
        return _undated(record, file)
    if is_typical(record) or (record.facts.get("typical") and year is None):
        columns, notes, faults = in_calendar_order(record, file)
        if faults:
            raise InputError([*faults, *bound_faults(_place(record), file)])
        inside = record.times - np.timedelta64(1, "s") if record.ends else record.times
        years = tuple(sorted(set((inside.astype("datetime64[Y]").astype(int) + 1970).tolist())))
        return assembled(record, columns, file, years, notes)
    hours = to_hours(record, file)
    _check_outdoor(hours, file)
    folded = whole_years(hours)
    if folded:
        chosen = chosen_year(folded, year, file)
        several = f"the file holds whole years {folded[0].name} to {folded[-1].name}; {chosen.name} is used"
        notes = [several] if len(folded) > 1 and year is None else []
    else:
        late = last_twelve_months(hours) if year is None else None
        if late is None:
            raise InputError(missing_faults(record, hours, file))
        chosen, notes = late, []
    return assembled(record, chosen.values, file, chosen.years, [*notes, *hours.notes, *chosen.notes])


def winters_of(record: Record, file: str) -> list[tuple[str, Weather]]:
    """Every whole heating year of a record: July to June, or the calendar year south of the equator.

    Returns
    -------
    list of (name, weather)
        The earliest first; empty where none is whole.

    Raises
    ------
    InputError
        The record is daily, undated, or its place cannot be.
    """
    if record.daily:
        raise InputError(daily_faults(record, file))
    if record.times is None or is_typical(record):
        what = "is a typical year or has no dates, and winters of real years are needed"
        raise InputError(Fault("", what, "give the hourly record of several years", file))
    hours = to_hours(record, file)
    _check_outdoor(hours, file)
    south = record.latitude_deg < 0.0
    winters: Sequence[Year] = whole_years(hours) if south else whole_winters(hours)
    return [(year.name, assembled(record, year.values, file, year.years, year.notes)) for year in winters]


def _check_outdoor(hours: Hours, file: str) -> None:
    low, high = -90.0, 60.0
    values = hours.values["outdoor"]
    bad = np.flatnonzero((values < low) | (values > high))
    if len(bad):
        at = hours.first + np.timedelta64(int(bad[0]), "h")
        what = f"{len(bad):,} values lie outside {low:g} to {high:g} degC, first {values[bad[0]]:.1f} at {at}:00"
        raise InputError(Fault("outdoor", what, "check the unit of the column", file))
    if np.isnan(values).all():
        raise InputError(Fault("outdoor", "not one value can be read", "write one number an hour", file))


def _place(record: Record) -> dict[str, float]:
    return {name: getattr(record, name) for name in _PLACE}


def _stated(record: Record, key: str) -> float:
    return next(value for name, value in _place(record).items() if name.startswith(key))


def _undated(record: Record, file: str) -> Weather:
    """A year whose rows carry no times: hours in a row from 1 January, as our own CSV has them."""
    faults = []
    missing = [key for key in ("latitude", "longitude", "utc_offset") if math.isnan(_stated(record, key))]
    if any(name in record.columns for name in _SUN):  # the sun needs the place; a temperature does not
        for key in missing:
            remedy = f"write a line such as '# {key}: {BOUNDS[key][3]}'"
            faults.append(Fault(f"# {key}", "is missing, and radiation cannot be used without it", remedy, file))
    return assembled(record, record.columns, file, (), [], faults)


def assembled(
    record: Record,
    columns: Mapping[str, Floats],
    file: str,
    years: tuple[int, ...],
    order_notes: Sequence[str],
    faults: Sequence[Fault] = (),
) -> Weather:
    """Check columns and place, and build the frozen year.

    Raises
    ------
    InputError
        With every fault found.
    """
    place = _place(record)
    length = len(next(iter(columns.values()))) if columns else 0
    good, wrong, mended = checked_columns(
        {name: columns[name] for name in columns if name not in ("low", "high")}, file
    )
    all_faults = [*faults, *count_faults(length, file), *wrong, *bound_faults(place | dict(_design(record)), file)]
    if all_faults or length not in YEARS_H:
        raise InputError(all_faults)
    notes = [*record.notes, *order_notes, *mended]
    if math.isnan(place["altitude_m"]):
        place["altitude_m"] = 0.0
        notes.append("the file does not state its altitude: sea level is taken unless place.altitude says otherwise")
    if "ghi" in good and not {"dni", "dhi"} <= set(good):
        notes.append(
            "direct and diffuse radiation are not in the file: they are split from the global by Erbs's correlation"
        )
    unknown = [
        key for key, name in (("latitude", "latitude_deg"), ("longitude", "longitude_deg")) if math.isnan(place[name])
    ]
    unknown += ["utc_offset"] if math.isnan(place["utc_offset_h"]) else []
    lost = [name for name in _SUN if name in good]
    if unknown and lost:
        lines = " and ".join(f"'# {key}: {BOUNDS[key][3]}'" for key in unknown)
        notes.append(
            f"radiation was left out, since the file does not state where it was measured; add lines {lines} on top"
        )
        good = {name: values for name, values in good.items() if name not in _SUN}
    arrays: dict[str, Any] = {"months": months_of(length), "outdoor_c": np.array(good["outdoor"])}
    arrays |= {f"{name}_w_m2": np.array(good[name]) for name in _SUN if name in good}
    if "wind" in good:
        arrays["wind_m_s"] = np.array(good["wind"])
    for array in arrays.values():
        array.flags.writeable = False
    words = {"title": record.title, "station": record.station, "source": record.source}
    facts: dict[str, Any] = {key: one_line(value) for key, value in words.items()} | place | dict(_design(record))
    facts["offset_is_guess"] = any(note.endswith((NEAREST, SAY_OFFSET)) for note in record.notes)
    facts |= {"synthetic": bool(record.facts.get("synthetic")), "years": tuple(record.facts.get("years", years))}
    year = Weather(**facts, **arrays, notes=tuple(dict.fromkeys(note for note in notes if note)))
    note = sun_note(year)
    return Weather(**facts, **arrays, notes=(*year.notes, note)) if note else year


def _design(record: Record) -> dict[str, float]:
    return {key: record.facts[key] for key in ("design_99_c", "design_996_c") if key in record.facts}
