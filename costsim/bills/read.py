"""Any number of files of bills, joined by fuel, and any number of files of weather, joined by date."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from importlib import resources
from itertools import pairwise
from pathlib import Path

import numpy as np

from costsim.bills.away import without_days
from costsim.bills.convert import heat_content
from costsim.bills.dates import ORDERS
from costsim.bills.green_button import looks_like_xml
from costsim.bills.intervals import read_green_button
from costsim.bills.model import Bills, joined
from costsim.bills.readers_csv import read_bills_csv
from costsim.bills.temperatures import Temperatures, from_days, read_temperatures
from costsim.bills.text import gunzipped, is_gzip, looks_zipped, unzipped
from costsim.errors import Fault, InputError
from costsim.files import open_regular, read_bytes
from costsim.packed_tables import is_packed_table
from costsim.physics.fuels import FUELS

MOST_BYTES = 200_000_000


@dataclass(frozen=True, slots=True)
class HowToRead:
    """What a person says where files do not: all empty by default.

    Parameters
    ----------
    fuel : str
        Key of `FUELS`: overrules what tables tell, and chooses among the meters of a Green Button file.
    unit, heat : str
        For tables, see `read_bills_csv`; the heat content also serves metered volumes of gas.
    column : tuple of str
        Headings of the columns of use of a table; several are added up.
    meter : str
        Name, number or address of the meter.
    dates : str
        ``"start"`` or ``"end"``: what a single date of a bill is.
    zone : str
        Name of the house's time zone.
    utc : bool
        Whether times that tell no offset are in UTC.
    order : str
        ``"mdy"``, ``"dmy"`` or ``"ymd"``: order of month, day and year in dates of numbers.
    away : tuple of str
        Days, or runs of days, on which nobody was at home: bills that hold one are left out.
    """

    fuel: str = ""
    unit: str = ""
    heat: str = ""
    column: tuple[str, ...] = ()
    meter: str = ""
    dates: str = ""
    zone: str = ""
    utc: bool = False
    order: str = ""
    away: tuple[str, ...] = ()


def read_bills(paths: Sequence[str | Path], how: HowToRead | None = None) -> list[Bills]:
    """Read tables of bills or readings, Green Button files, and ZIPs of them; one `Bills` a fuel comes back.

    Parameters
    ----------
    paths : sequence of str or Path
        Files, or names of built-in ones.
    how : HowToRead, optional
        What the files do not tell.

    Raises
    ------
    InputError
        With the faults of all files.
    """
    bills: list[Bills] = []
    faults: list[Fault] = []
    for path in paths:
        try:
            bills += read_bill_file(_found(path), how=how)
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return without_days(joined(bills), (how or HowToRead()).away)


def read_bill_file(path: str | Path, *, content: bytes | None = None, how: HowToRead | None = None) -> list[Bills]:
    """Read one file, told apart by content; with `content`, which was uploaded, the path is only its name.

    Raises
    ------
    InputError
        With every fault found.
    """
    how = how or HowToRead()
    wrong = []
    if how.fuel and how.fuel not in FUELS:
        wrong.append(Fault("--fuel", f"'{how.fuel}' is not a fuel", f"use one of {', '.join(FUELS)}"))
    if how.dates not in ("", "start", "end"):
        wrong.append(Fault("--dates", f"'{how.dates}' is neither start nor end", "say what a single date of a bill is"))
    if how.order not in ("", *ORDERS):
        wrong.append(Fault("--date-order", f"'{how.order}' is no order", f"use one of {', '.join(ORDERS)}"))
    if wrong:
        raise InputError(wrong)
    file = str(path) if content is not None else Path(path).name
    if is_gzip(_head(path) if content is None else content):
        raw = content if content is not None else read_bytes(path, most=MOST_BYTES)
        inner, file = gunzipped(raw, file)
        return read_bill_file(file, content=inner, how=how)
    if is_packed_table(_head(path) if content is None else content) or not looks_like_xml(
        path if content is None else content
    ):
        raw = content if content is not None else read_bytes(path, most=MOST_BYTES)
        if looks_zipped(raw) and not is_packed_table(raw):
            return _zipped(raw, file, how)
        return read_table(file, raw, how)
    stream = None if content is None else io.BytesIO(content)
    each = heat_content(how.heat) if how.heat else None
    return read_green_button(path, fuel=how.fuel, heat_content_j=each, content=stream, meter=how.meter, zone=how.zone)


def _head(path: str | Path) -> bytes:
    """How a file begins; empty where it cannot be read, which is told where it is."""
    try:
        with open_regular(path, most=MOST_BYTES) as (stream, _):
            return stream.read(4096)
    except InputError:
        return b""


def read_table(file: str, raw: bytes, how: HowToRead) -> list[Bills]:
    """Read a table; one of several fuels by a column of words gives each of them."""
    return read_bills_csv(
        file, content=raw, fuel=how.fuel, unit=how.unit, heat=how.heat, column=how.column, meter=how.meter, dates=how.dates,
        zone=how.zone, utc=how.utc, order=how.order,
    )  # fmt: skip


def _zipped(raw: bytes, file: str, how: HowToRead) -> list[Bills]:
    bills: list[Bills] = []
    faults: list[Fault] = []
    for name, content in unzipped(raw, file):
        try:
            bills += read_bill_file(name, content=content, how=how)
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return joined(bills)


def _found(path: str | Path) -> Path:
    """Take a file, else a built-in one of that name."""
    built_in = Path(str(resources.files("costsim"))) / "demos" / Path(path).name
    return built_in if not Path(path).exists() and Path(path).parent == Path() and built_in.is_file() else Path(path)


def read_all_temperatures(
    paths: Sequence[str | Path], mapping: Mapping[str, tuple[str, str]] | None = None, station: str = ""
) -> Temperatures:
    """Read weather files; several dated ones, such as one for each year, are joined.

    Raises
    ------
    InputError
        With the faults of all files; or days lie between the files, or one of several is a typical year.
    """
    records: list[Temperatures] = []
    faults: list[Fault] = []
    for path in paths:
        try:
            records.append(read_temperatures(path, mapping=mapping, station=station))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return joined_temperatures(records)


def joined_temperatures(parts: Sequence[Temperatures]) -> Temperatures:
    """Join dated weather, such as one file for each year.

    Raises
    ------
    InputError
        Days lie between the files, or one of several is a typical year.
    """
    if len(parts) == 1:
        return parts[0]
    faults = [
        Fault("", "is a typical year, which cannot be joined with other files", "give it alone", part.title)
        for part in parts
        if part.typical
    ]
    parts = sorted(parts, key=lambda part: part.first_day)
    for before, after in pairwise(parts):
        gap = int((after.first_day - before.first_day).astype(int)) - len(before.outdoor_c)
        if gap > 0:
            what = f"{gap} days are missing between {before.days[-1]} and {after.first_day}"
            faults.append(Fault("", what, "add the file of these days", after.title))
    if faults:
        raise InputError(faults)
    whole = parts[0]
    for part in parts[1:]:
        new = part.outdoor_c[(part.days > whole.days[-1])]
        values = min(whole.outdoor_c.shape[1], part.outdoor_c.shape[1])
        rows = [_values_a_day(whole.outdoor_c, values), _values_a_day(new, values)]
        title, notes = f"{whole.title} + {part.title}", (*whole.notes, *part.notes)
        whole = from_days(title, whole.first_day, np.concatenate(rows), tuple(dict.fromkeys(notes)))
    note = f"it is colder only 1 % of {len(whole.outdoor_c) // 365} years; a design temperature in print may differ"
    return replace(whole, design_from=note)


def _values_a_day(outdoor_c: np.ndarray, values: int) -> np.ndarray:
    return outdoor_c if outdoor_c.shape[1] == values else outdoor_c.mean(axis=1, keepdims=True)
