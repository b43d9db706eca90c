"""A house's other electricity as a year of interval readings."""

from __future__ import annotations

import csv
import io
import math
import re
from pathlib import Path

import numpy as np

from costsim.errors import Fault, InputError
from costsim.files import check_lines, read_bytes
from costsim.units.arrays import Floats
from costsim.units.quantity import UnitError, read_quantity
from costsim.units.table import HOUR_S, YEARS_H

FIELD = "house.other_electricity_profile"
EXAMPLE = "a CSV with a column headed 'electricity [kWh]', one row an hour (or each 15 or 30 minutes) from 1 January, standard time"
FEB_29 = slice(59 * 24, 60 * 24)
MOST_BYTES, MOST_CSV_BYTES, MOST_FAULTS, MOST_READING = 200_000_000, 20_000_000, 5, 1e12
_HEADING = re.compile(r"^\s*electricity\s*\[(?P<unit>[^\]]+)\]\s*$", re.IGNORECASE)
_HEAT = re.compile(r"^\s*heat\s*\[(?P<unit>[^\]]+)\]\s*$", re.IGNORECASE)
_UNDATED = ("dates and amounts were not found", "holds no rows", "is empty", "is not text")
_ENERGY, _POWER = (2, 1, -2, 0, 0), (2, 1, -3, 0, 0)


def read_meter(path: str | Path, *, content: bytes | None = None) -> Floats:
    """Read a year of interval readings; see `read_meter_year`, which also tells how."""
    return read_meter_year(path, content=content)[0]


def read_meter_year(path: str | Path, *, content: bytes | None = None) -> tuple[Floats, tuple[str, ...]]:
    """Read a year of interval readings, and say how they were read.

    Parameters
    ----------
    path : str or Path
        CSV with a column ``electricity [kWh]`` (or Wh, MJ, kW, W), 1, 2 or 4 rows an hour, other columns left alone; else a
        download with dates, as `costsim.bills.readers_csv` reads it, or a Green Button file: of these the last whole calendar
        year is taken, else twelve months folded into one.
    content : bytes, optional
        What is in the file, which then is not opened; the path is only its name for messages.

    Returns
    -------
    joule : array (8760,) or (8784,)
        Energy of each hour [J], in standard time from 1 January.
    notes : tuple of str
        What was decided, folded or filled.

    Raises
    ------
    InputError
        No such column, a value that is no number or negative, or not a whole year.
    """
    name = str(path) if content is not None else Path(path).name
    raw = content if content is not None else read_bytes(path, name=name, most=MOST_BYTES)
    from costsim.bills.green_button import looks_like_xml

    if looks_like_xml(raw):
        from costsim.bills.intervals import read_hours

        year, notes = read_hours(name, content=io.BytesIO(raw))
        return year, tuple(notes)
    if len(raw) > MOST_CSV_BYTES:
        raise _refuse(name, f"is {len(raw) / 1e6:.0f} MB large", EXAMPLE)
    if (dated := _dated(raw, name)) is not None:
        return dated
    return _plain(raw, name, _HEADING, EXAMPLE), ()


def _plain(raw: bytes, name: str, heading: re.Pattern[str], example: str) -> Floats:
    """Energy of each hour from a CSV of one column without dates [J]."""
    if len(raw) > MOST_CSV_BYTES:
        raise _refuse(name, f"is {len(raw) / 1e6:.0f} MB large", example)
    text = raw.decode("utf-8-sig", errors="replace")
    check_lines(text, name, example)
    try:
        rows = list(csv.reader(io.StringIO(text, newline="")))
    except csv.Error as error:
        raise _refuse(name, f"is not CSV ({error})", example) from None
    column, unit = _column(rows[0] if rows else [], name, heading, example)
    values = _numbers(rows[1:], column, name)
    each = next((m for m in (1, 2, 4) if len(values) in [m * hours for hours in YEARS_H]), 0)
    if not each:
        raise _refuse(name, f"{len(values)} rows are no whole year of 15, 30 or 60 minutes", example)
    return _joule(values.reshape(-1, each), unit, name, example)


def _dated(raw: bytes, name: str) -> tuple[Floats, tuple[str, ...]] | None:
    """Read a download with dates; None where its headings are of the plain form, or where it holds no dates.

    Raises
    ------
    InputError
        It has dates and cannot be read.
    """
    head = raw[:20_000].decode("utf-8-sig", errors="replace").split("\n")[0]
    if any(_HEADING.match(cell) for cell in head.split(",")):
        return None
    try:
        from costsim.bills.readers_csv import read_hours_csv

        year, notes = read_hours_csv(name, content=raw)
    except InputError as error:
        if any(fault.problem.startswith(_UNDATED) for fault in error.faults):
            return None
        raise
    return year, tuple(notes)


def _column(headings: list[str], name: str, wanted: re.Pattern[str], example: str) -> tuple[int, str]:
    for at, heading in enumerate(headings):
        match = wanted.match(heading)
        if match:
            return at, match["unit"]
    raise _refuse(name, f"has no column headed '{'heat [kW]' if wanted is _HEAT else 'electricity [kWh]'}'", example)


def _numbers(rows: list[list[str]], column: int, name: str) -> Floats:
    values, faults = [], []
    for line, row in enumerate((r for r in rows if any(cell.strip() for cell in r)), 2):
        text = row[column].strip() if column < len(row) else ""
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not 0 <= value <= MOST_READING:
            faults.append(Fault(f"row {line}", f"'{text}' is not a reading", "write a number, zero or more", name))
        values.append(value)
    if faults:
        more = [Fault("", f"{len(faults) - MOST_FAULTS} more rows are wrong", "mend them too", name)]
        raise InputError(faults[:MOST_FAULTS] + (more if len(faults) > MOST_FAULTS else []))
    return np.array(values)


def _joule(values: Floats, unit: str, name: str, example: str) -> Floats:
    """Energy of each hour from readings (hours, each); kW are means over their interval."""
    try:
        in_unit = read_quantity(f"1 {unit}", _ENERGY)
    except UnitError as error:
        raise _refuse(name, str(error), example) from None
    if in_unit.dims == _ENERGY:
        return np.asarray(values.sum(axis=1) * in_unit.value)
    if in_unit.dims == _POWER:
        return np.asarray(values.mean(axis=1) * in_unit.value * HOUR_S)
    raise _refuse(name, f"'{unit}' is neither energy nor power", example)


def read_heat(name: str, content: bytes, key: str, file: str) -> Floats:
    """Read a year of heat, hour by hour, from a CSV with a column ``heat [kW]`` or ``heat [kWh]``.

    Parameters
    ----------
    name : str
        Of the file, for messages.
    content : bytes
    key, file : str
        Key of the study that names it, and the study's own name.

    Returns
    -------
    array (8760,) or (8784,)
        [J].

    Raises
    ------
    InputError
        No such column, a value that is no number or negative, or not a whole year.
    """
    try:
        return _plain(content, name, _HEAT, "a CSV with a column headed 'heat [kW]', one row an hour from 1 January")
    except InputError as error:
        faults = [
            Fault(
                key, f"'{name}'{f' {fault.field}' if fault.field != FIELD else ''}: {fault.problem}", fault.remedy, file
            )
            for fault in error.faults
        ]
        raise InputError(faults) from None


def fit_to_year(hours_j: Floats, n_hours: int) -> Floats:
    """Give a year of readings the length of the weather's: 29 February is left out, or 28 February stands for it too."""
    if len(hours_j) == n_hours:
        return hours_j
    if len(hours_j) > n_hours:
        return np.delete(hours_j, FEB_29)
    return np.insert(hours_j, FEB_29.start, hours_j[FEB_29.start - 24 : FEB_29.start])


def _refuse(name: str, problem: str, remedy: str) -> InputError:
    return InputError(Fault(FIELD, problem, remedy, name))
