"""`read_weather`: EPW, TMY3, TMY2, downloads of weather services or plain CSV, told apart by content."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from costsim.errors import Fault, InputError
from costsim.files import check_lines, read_bytes
from costsim.packed_tables import as_text, japanese
from costsim.study_files import sample_names, sample_path
from costsim.weather.json_download import json_table
from costsim.weather.model import MOST_BYTES, Weather
from costsim.weather.plain_csv import KINDS_READ
from costsim.weather.record import Record, read_table
from costsim.weather.typical import is_epw, is_tmy2, is_tmy3, read_epw, read_tmy2, read_tmy3
from costsim.weather.unpack import unpacked
from costsim.weather.year_weather import weather_of


def _refuse(file: str, problem: str, remedy: str = KINDS_READ, field: str = "") -> InputError:
    return InputError(Fault(field, problem, remedy, file))


def find_weather(name: str) -> Path:
    """Find a weather file that is named on the command line, else one among the built-in samples.

    Raises
    ------
    InputError
        There is none of that name.
    """
    if os.path.lexists(name):  # what it is, is told when it is read
        return Path(name)
    built_in = sample_path(name)
    if built_in is not None:
        return built_in
    raise _refuse(
        name,
        "no such weather file",
        f"check the path, or use a built-in one: {', '.join(sample_names())}",
    )


def read_weather(path: str | Path, *, content: bytes | None = None, year: int | None = None) -> Weather:
    """Read a year of weather.

    Parameters
    ----------
    path : str or Path
        The file; with `content` only its name for messages.
    content : bytes, optional
        What was uploaded.
    year : int, optional
        Which calendar year to take of a file with several; the last whole one by default, and told.

    Returns
    -------
    Weather

    Raises
    ------
    InputError
        With every fault found.
    """
    file = str(path) if content is not None else Path(path).name
    return weather_of(read_record(path, content=content), file, year)


def read_record(
    path: str | Path,
    *,
    content: bytes | None = None,
    mapping: Mapping[str, tuple[str, str]] | None = None,
    unit: str = "",
    station: str = "",
) -> Record:
    """Read what a weather file holds, however long it is and however often its readings come.

    Parameters
    ----------
    path : str or Path
        The file; with `content` only its name for messages.
    content : bytes, optional
        What was uploaded.
    mapping : mapping, optional
        Heading and unit by quantity, of `columns.mapping_of`, for a table that no layout fits.
    unit : str
        Unit of the temperatures where the file does not state it.
    station : str
        Which station to take, where the table holds several.

    Raises
    ------
    InputError
        With every fault found.
    """
    file = str(path) if content is not None else Path(path).name
    raw = content if content is not None else read_bytes(path, most=MOST_BYTES)
    raw = json_table(raw).encode() or raw
    raw, note = as_text(raw, file) if raw.strip() else (raw, "")
    raw, file = unpacked(raw, file)
    text = text_of(raw, file)
    if is_epw(text):
        return read_epw(text, file)
    if is_tmy3(text):
        return read_tmy3(text, file)
    if is_tmy2(text):
        return read_tmy2(text, file)
    if Path(file).suffix.lower() == ".epw":
        what = "is called .epw but does not begin with LOCATION"
        raise _refuse(file, what, "an EPW file begins with a line LOCATION,…; " + KINDS_READ)
    record = read_table(text, file, mapping=mapping, unit=unit, station=station)
    return replace(record, notes=(note, *record.notes)) if note else record


def text_of(raw: bytes, file: str) -> str:
    """Text of a file's bytes, UTF-8, UTF-16 or else Latin-1, with plain line ends."""
    if not raw.strip():
        raise _refuse(file, "is empty")
    if len(raw) > MOST_BYTES:
        remedy = "ten years of hours have some MB; check that it is the right file"
        raise _refuse(file, f"is {len(raw) / 1e6:.0f} MB large", remedy)
    wide = raw[:2] in (b"\xff\xfe", b"\xfe\xff")
    if b"\x00" in raw[:4096] and not wide:
        raise _refuse(file, "is not text")
    try:
        text = raw.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        text = japanese(raw) or raw.decode("latin-1")
    check_lines(text, file, "ten years of hours have 87,600; check that it is the right file")
    return text.replace("\r\n", "\n").replace("\r", "\n")
