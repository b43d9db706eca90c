"""Our plain CSV of weather: lines '# key: value', a heading with units, one row an hour."""

from __future__ import annotations

import csv
import math
import re
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.errors import Fault, InputError
from costsim.units import UnitError, read_quantity

Floats = NDArray[np.float64]
KINDS_READ = "weather is read from TMY3, EPW, or CSV with a column such as 'outdoor [degC]'"
_HEADING = re.compile(r"^\s*([a-z_ ]+?)\s*(?:[\[(]\s*(.*?)\s*[\])])?\s*$", re.IGNORECASE)
_SI = {"outdoor": "degC", "ghi": "W/m2", "dni": "W/m2", "dhi": "W/m2", "wind": "m/s"}


def number_of(value: object) -> float:
    """Number in a cell; not a number where there is none."""
    try:
        return float(str(value))
    except ValueError:
        return math.nan


def read_table(text: str, file: str) -> tuple[dict[str, Floats], list[Fault], dict[str, str]]:
    """Read our plain CSV: lines '# key: value', a heading with units, one row an hour.

    Returns
    -------
    columns, faults, about
        Columns in SI by name, what is wrong with them, and the lines '# key: value'.

    Raises
    ------
    InputError
        It is no table.
    """
    about, table, mark = split_table(text, file)
    return *_csv_columns(table, mark, file), about


def split_table(text: str, file: str) -> tuple[dict[str, str], list[list[str]], str]:
    """Split text into its lines '# key: value', its rows of cells and the mark between cells.

    Raises
    ------
    InputError
        There are no rows.
    """
    lines = text.split("\n")
    about = dict(_about(line) for line in lines if line.startswith("#") and ":" in line)
    rows = [line for line in lines if line.strip() and not line.startswith("#")]
    if len(rows) < 2:
        raise InputError(Fault("", "holds no rows of data", KINDS_READ, file))
    mark = max((";", "\t", ","), key=rows[0].count)
    try:
        table = list(csv.reader(rows, delimiter=mark))
    except csv.Error as error:
        raise InputError(Fault("", f"cannot be read as a table ({error})", KINDS_READ, file)) from None
    return about, table, mark


def _about(line: str) -> tuple[str, str]:
    key, value = line.lstrip("# ").split(":", 1)
    name, _, unit = key.strip().lower().partition("[")
    return name.strip().replace(" ", "_"), f"{value.strip()} {unit.strip(' ]')}".strip()


def _csv_columns(table: list[list[str]], mark: str, file: str) -> tuple[dict[str, Floats], list[Fault]]:
    columns, faults, seen = {}, [], []
    for at, heading in enumerate(table[0]):
        match = _HEADING.match(heading)
        name = match.group(1).strip().lower() if match else ""
        seen.append(heading.strip())
        if match is None or name not in _SI:
            continue
        if name in columns:
            faults.append(Fault(f"column {heading.strip()}", f"is a second column {name}", "leave one of them", file))
            continue
        unit = match.group(2) or ""
        if not unit:
            faults.append(
                Fault(f"column {heading.strip()}", "has no unit", f"write it like '{name} [{_SI[name]}]'", file)
            )
            continue
        try:
            columns[name] = _column(table[1:], at, mark, unit, name)
        except UnitError as error:
            faults.append(Fault(f"column {heading.strip()}", str(error), f"write it like '{name} [{_SI[name]}]'", file))
    if "outdoor" not in columns and not faults:
        faults.append(
            Fault(
                "outdoor",
                "the temperature column is missing",
                f"add a column 'outdoor [degC]'; found {', '.join(seen)[:80]}",
                file,
            )
        )
    return columns, [*faults, *_start_faults(table, file)]


def _start_faults(table: list[list[str]], file: str) -> list[Fault]:
    """Find a year that does not begin on 1 January, where a column of ISO times tells."""
    at = next((place for place, name in enumerate(table[0]) if name.strip().lower().startswith("time")), None)
    row = table[1] if len(table) > 1 else []
    first = row[at].strip() if at is not None and at < len(row) else ""
    if not re.match(r"\d{4}-\d\d-\d\d", first) or first[5:10] == "01-01":
        return []
    return [Fault("time", f"the first row is of {first}", "rows run from 1 January 00:00, standard time", file)]


def _column(rows: list[list[str]], at: int, mark: str, unit: str, name: str) -> Floats:
    comma = mark == ";"
    values = np.array([cell_number(row[at] if at < len(row) else "", comma) for row in rows])
    if name == "outdoor":
        plain = unit.lower().replace("°", "deg").replace("deg", "")
        if plain not in ("c", "f", "k"):
            raise UnitError(f"'{unit}' is not a temperature")
        return np.asarray({"c": values, "f": (values - 32) / 1.8, "k": values - 273.15}[plain])
    wanted = read_quantity(f"1 {_SI[name]}")
    given = read_quantity(f"1 {unit}", wanted.dims)
    if given.dims != wanted.dims:
        raise UnitError(f"'{unit}' does not measure {name}")
    return values * given.value


def cell_number(text: str, comma: bool) -> float:
    """Number in a cell, with a comma for decimals where told; not a number where it is empty or a code for missing."""
    stripped = text.strip()
    value = number_of(stripped.replace(",", ".") if comma else stripped) if stripped else math.nan
    return math.nan if any(math.isclose(value, code) for code in (-9900.0, 9999.0, -9999.0)) else value


_TOLD = {"latitude": ("deg", "47.0"), "longitude": ("deg", "12.8"), "utc_offset": ("h", "1"), "altitude": ("m", "900"),
         "design_99": ("degc", "-16.0")}  # fmt: skip


def _told(text: str, key: str) -> float:
    """Number of a line '# key: value'; not a number where another unit stands behind it."""
    number, _, unit = text.partition(" ")
    return number_of(number) if unit.strip().lower().replace("°", "deg") in ("", _TOLD[key][0]) else math.nan


def place_facts(about: dict[str, str], file: str) -> tuple[dict[str, Any], list[Fault], list[str]]:
    """Title, place and clock of a year from its lines '# key: value', by their names in `Weather`."""
    faults, found = [], {}
    for key, default in (("latitude", None), ("longitude", None), ("utc_offset", None), ("altitude", 0.0)):
        value = _told(about[key], key) if key in about else (math.nan if default is None else default)
        if not math.isfinite(value):
            faults.append(
                Fault(
                    f"# {key}",
                    f"'{about.get(key, '')}' is not a number of {_TOLD[key][0]}" if key in about else "is missing",
                    f"write a line such as '# {key}: {_TOLD[key][1]}'",
                    file,
                )
            )
            value = 0.0
        found[key] = value
    station = about.get("station", file)
    facts: dict[str, Any] = {
        "title": about.get("title", station),
        "station": station,
        "source": about.get("source", f"CSV file {file}"),
        "latitude_deg": found["latitude"],
        "longitude_deg": found["longitude"],
        "altitude_m": found["altitude"],
        "utc_offset_h": found["utc_offset"],
        "synthetic": about.get("synthetic", "no").lower() in ("yes", "true", "1"),
    }
    if "design_99" in about:
        facts["design_99_c"] = value = _told(about["design_99"], "design_99")
        if not -90.0 < value < 40.0:
            what = f"'{about['design_99']}' is no design temperature in degC"
            faults.append(Fault("# design_99", what, "write a line such as '# design_99: -16.0'", file))
    return facts, faults, []
