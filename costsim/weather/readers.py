"""`read_weather`: TMY3, EPW or plain CSV, told apart by content."""

from __future__ import annotations

import io
import os
import re
import warnings
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.errors import Fault, InputError, one_line
from costsim.files import check_lines, read_bytes
from costsim.study_files import sample_names, sample_path
from costsim.weather.checks import HOURS, checked_columns, count_faults, months_of, sun_note
from costsim.weather.model import Weather
from costsim.weather.plain_csv import KINDS_READ, number_of, place_facts, read_table

Floats = NDArray[np.float64]
MOST_BYTES = 25_000_000
_PVLIB_NAMES = {"temp_air": "outdoor", "ghi": "ghi", "dni": "dni", "dhi": "dhi", "wind_speed": "wind"}
_MISSING = {
    "outdoor": (99.9, -9900.0),
    "ghi": (9999.0, -9900.0),
    "dni": (9999.0, -9900.0),
    "dhi": (9999.0, -9900.0),
    "wind": (999.0, -9900.0),
}


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


def read_weather(path: str | Path, *, content: bytes | None = None) -> Weather:
    """Read a year of weather.

    Parameters
    ----------
    path : str or Path
        The file; with `content` only its name for messages.
    content : bytes, optional
        What was uploaded.

    Returns
    -------
    Weather

    Raises
    ------
    InputError
        With every fault found.
    """
    file = str(path) if content is not None else Path(path).name
    text = text_of(content if content is not None else read_bytes(path, most=MOST_BYTES), file)
    first = text.split("\n", 1)[0]
    if first.upper().startswith("LOCATION,"):
        return _read_epw(text, file)
    if re.match(r'"?\d{6}"?,', first):
        return _read_tmy3(text, file)
    if Path(file).suffix.lower() == ".epw":
        raise _refuse(
            file,
            "is called .epw but does not begin with LOCATION",
            "an EPW file begins with a line LOCATION,…; " + KINDS_READ,
        )
    return _read_csv(text, file)


def text_of(raw: bytes, file: str) -> str:
    """Text of a file's bytes, UTF-8 or else Latin-1, with plain line ends."""
    if not raw.strip():
        raise _refuse(file, "is empty")
    if len(raw) > MOST_BYTES:
        raise _refuse(
            file, f"is {len(raw) / 1e6:.0f} MB large", "a year of hours has a few MB; check that it is the right file"
        )
    if b"\x00" in raw[:4096]:
        raise _refuse(file, "is not text")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    check_lines(text, file, "a year of hours has 8,760; check that it is the right file")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _by_pvlib(text: str, file: str, kind: str) -> Any:
    """Let pvlib parse, and turn whatever it stumbles over into one line."""
    from pvlib import iotools

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            if kind == "EPW":
                return iotools.read_epw(io.StringIO(text))
            return iotools.read_tmy3(io.StringIO(text), map_variables=True)
    except Exception as error:  # pvlib raises whatever pandas or the parser does
        what = " ".join(str(error).split())[:120]
        raise _refuse(
            file, f"begins like {kind} but cannot be read as such ({what})", f"check that it is a whole {kind} file"
        ) from None


def _columns(frame: Any, file: str, kind: str) -> tuple[dict[str, Floats], list[Fault]]:
    columns = {}
    for given, name in _PVLIB_NAMES.items():
        if given in frame:
            # pandas stumbles over a text of many digits, which float() reads as infinite
            values = np.array([number_of(cell) for cell in frame[given].tolist()])
            for code in _MISSING[name]:
                values[np.isclose(values, code)] = np.nan
            if name != "outdoor":
                values[values < 0] = np.nan
            columns[name] = values
    if "outdoor" in columns:
        return columns, []
    return columns, [
        Fault(
            "dry-bulb temperature",
            "the column is missing",
            f"a {kind} file has one; found {', '.join(map(str, frame.columns[:8]))} …",
            file,
        )
    ]


def _assembled(
    file: str, columns: dict[str, Floats], faults: list[Fault], facts: dict[str, Any], notes: list[str]
) -> Weather:
    """Check columns and place, and build the frozen year."""
    length = len(next(iter(columns.values()))) if columns else 0
    faults = [*faults, *count_faults(length, file)]
    good, wrong, told = checked_columns(columns, file)
    faults += wrong
    for key, limit in (("latitude_deg", 90.0), ("longitude_deg", 180.0), ("utc_offset_h", 14.0)):
        if not abs(facts[key]) <= limit:
            faults.append(
                Fault(
                    key.rsplit("_", 1)[0],
                    f"{facts[key]:g} cannot be",
                    f"a value between -{limit:g} and {limit:g} is meant",
                    file,
                )
            )
    if faults or length not in HOURS:
        raise InputError(faults)
    arrays: dict[str, Any] = {"months": months_of(length), "outdoor_c": good["outdoor"]}
    arrays |= {f"{name}_w_m2": good[name] for name in ("ghi", "dni", "dhi") if name in good}
    if "wind" in good:
        arrays["wind_m_s"] = good["wind"]
    for array in arrays.values():
        array.flags.writeable = False
    facts = {key: one_line(value) if isinstance(value, str) else value for key, value in facts.items()}
    year = Weather(**facts, **arrays, notes=(*notes, *told))
    note = sun_note(year)
    return Weather(**facts, **arrays, notes=(*notes, *told, note)) if note else year


def _read_tmy3(text: str, file: str) -> Weather:
    frame, meta = _by_pvlib(text, file, "TMY3")
    columns, faults = _columns(frame, file, "TMY3")
    facts = {
        "title": f"{str(meta.get('Name', '')).strip(chr(34)).title()}, {meta.get('State', '')}, typical year (TMY3)",
        "station": str(meta.get("USAF", "")),
        "source": f"TMY3 file {file}",
        "latitude_deg": number_of(meta.get("latitude")),
        "longitude_deg": number_of(meta.get("longitude")),
        "altitude_m": number_of(meta.get("altitude")),
        "utc_offset_h": number_of(meta.get("TZ")),
        "years": tuple(sorted(set(frame.index.year.tolist()))),
    }
    return _assembled(file, columns, faults, facts, [])


def _read_epw(text: str, file: str) -> Weather:
    frame, meta = _by_pvlib(text, file, "EPW")
    columns, faults = _columns(frame, file, "EPW")
    cold = _epw_design(text)
    facts = {
        "title": f"{meta.get('city', '')}, {meta.get('country', '')} (EPW)",
        "station": str(meta.get("WMO_code", "")),
        "source": f"EPW file {file}",
        "latitude_deg": number_of(meta.get("latitude")),
        "longitude_deg": number_of(meta.get("longitude")),
        "altitude_m": number_of(meta.get("altitude")),
        "utc_offset_h": number_of(meta.get("TZ")),
        "years": tuple(sorted(set(frame.index.year.tolist()))),
        "design_996_c": cold[0],
        "design_99_c": cold[1],
    }
    return _assembled(file, columns, faults, facts, [])


def _epw_design(text: str) -> tuple[float | None, float | None]:
    """Heating dry-bulb temperatures at 99.6 and 99 % in the line DESIGN CONDITIONS: after 'Heating' and the coldest month."""
    line = next((row for row in text.split("\n", 9)[:9] if row.upper().startswith("DESIGN CONDITIONS")), "")
    cells = [cell.strip() for cell in line.split(",")]
    if "Heating" not in cells:
        return None, None
    at = cells.index("Heating")
    found = [number_of(cell) for cell in cells[at + 2 : at + 4]]
    good = [value if -90 < value < 40 else None for value in found]
    return (good[0], good[1]) if len(good) == 2 else (None, None)


def _read_csv(text: str, file: str) -> Weather:
    columns, faults, about = read_table(text, file)
    facts, missing, notes = place_facts(about, file)
    if not columns:
        raise InputError([*faults, *missing])
    return _assembled(file, columns, [*faults, *missing], facts, notes)
