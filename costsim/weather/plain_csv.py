"""Lines '# key: value' of our plain CSV, cells, and the bounds of what a head may say of a place."""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from typing import Any

from costsim.errors import Fault, InputError

KINDS_READ = (
    "weather is read from EPW, TMY3, TMY2, downloads of weather services, or CSV with a column such as 'outdoor [degC]'"
)


def number_of(value: object) -> float:
    """Number in a cell; not a number where there is none."""
    try:
        return float(str(value))
    except ValueError:
        return math.nan


def split_table(text: str, file: str) -> tuple[dict[str, str], list[list[str]], str]:
    """Split text into its lines '# key: value', its rows of cells and the mark between cells.

    Raises
    ------
    InputError
        There are no rows.
    """
    lines = text.split("\n")
    about = dict(about_line(line) for line in lines if line.startswith("#") and ":" in line)
    rows = [line for line in lines if line.strip() and not line.startswith("#")]
    if len(rows) < 2:
        raise InputError(Fault("", "holds no rows of data", KINDS_READ, file))
    mark = max((";", "\t", ","), key=rows[0].count)
    try:
        table = list(csv.reader(rows, delimiter=mark))
    except csv.Error as error:
        raise InputError(Fault("", f"cannot be read as a table ({error})", KINDS_READ, file)) from None
    return about, table, mark


def about_line(line: str) -> tuple[str, str]:
    """Key and value of a line '# key: value'; a unit behind the key goes behind the value.

    Examples
    --------
    >>> about_line("# altitude [m]: 900")
    ('altitude', '900 m')
    """
    key, value = line.lstrip("# ").split(":", 1)
    name, _, unit = key.strip().lower().partition("[")
    return name.strip().replace(" ", "_"), f"{value.strip()} {unit.strip(' ]')}".strip()


def cell_number(text: str, comma: bool) -> float:
    """Number in a cell, with a comma for decimals where told; not a number where it is empty or a code for missing."""
    stripped = text.strip()
    value = number_of(stripped.replace(",", ".") if comma else stripped) if stripped else math.nan
    return math.nan if any(math.isclose(value, code) for code in (-9900.0, 9999.0, -9999.0)) else value


BOUNDS = {
    "latitude": (-90.0, 90.0, "deg", "47.0"),
    "longitude": (-180.0, 180.0, "deg", "12.8"),
    "utc_offset": (-12.0, 14.0, "h", "1"),
    "altitude": (-450.0, 9000.0, "m", "900"),
    "design_99": (-90.0, 40.0, "degC", "-16.0"),
    "design_996": (-90.0, 40.0, "degC", "-18.0"),
}
"""Lowest and highest value, unit and example of each number in a head: shores of the Dead Sea to the highest station."""


def bound_faults(facts: Mapping[str, Any], file: str) -> list[Fault]:
    """Find numbers of a head that no place has; NaN, where nothing is stated, is none of them.

    Parameters
    ----------
    facts : mapping
        Numbers by their names in `Weather`, such as ``altitude_m``.
    file : str
    """
    faults = []
    for key, (low, high, unit, _) in BOUNDS.items():
        name = next((fact for fact in facts if fact.startswith(f"{key}_")), "")
        value = facts.get(name)
        if value is None or math.isnan(value) or low <= value <= high:
            continue
        remedy = f"a value between {low:g} and {high:g} {unit} is meant"
        faults.append(Fault(key, f"{value:g} cannot be", remedy, file))
    return faults


def _told(text: str, key: str) -> float:
    """Number of a line '# key: value'; not a number where another unit stands behind it."""
    number, _, unit = text.partition(" ")
    value = number_of(number)
    good = unit.strip().lower().replace("°", "deg") in ("", BOUNDS[key][2].lower()) and math.isfinite(value)
    return value if good else math.nan


_NAMES = {"latitude": "latitude_deg", "longitude": "longitude_deg", "utc_offset": "utc_offset_h", "altitude": "altitude_m",
          "design_99": "design_99_c"}  # fmt: skip


def place_facts(
    about: dict[str, str], file: str, *, needed: bool = True
) -> tuple[dict[str, Any], list[Fault], list[str]]:
    """Title, place and clock of a year from its lines '# key: value', by their names in `Weather`.

    Parameters
    ----------
    about : dict
    file : str
    needed : bool
        Whether latitude, longitude and UTC offset must be there; else what is missing is not in what comes back.

    Returns
    -------
    facts, faults, notes
    """
    faults: list[Fault] = []
    facts: dict[str, Any] = {}
    for key, name in _NAMES.items():
        low, high, unit, example = BOUNDS[key]
        if key in about:
            value = _told(about[key], key)
            if not low <= value <= high:
                what = f"'{about[key][:60]}' is not a number of {unit} from {low:g} to {high:g}"
                faults.append(Fault(f"# {key}", what, f"write a line such as '# {key}: {example}'", file))
            facts[name] = value
        elif needed and key in ("latitude", "longitude", "utc_offset"):
            faults.append(Fault(f"# {key}", "is missing", f"write a line such as '# {key}: {example}'", file))
    for key in ("title", "station", "source"):
        if about.get(key):
            facts[key] = about[key]
    if needed:
        facts.setdefault("station", file)
        facts.setdefault("title", facts["station"])
        facts.setdefault("source", f"CSV file {file}")
        facts.setdefault("altitude_m", 0.0)
    facts["synthetic"] = about.get("synthetic", "no").lower() in ("yes", "true", "1")
    years = [int(word) for word in about.get("years", "").replace(",", " ").split() if word.isdigit()]
    if years and all(1800 <= year <= 2200 for year in years):
        facts["years"] = tuple(sorted(set(years)))
    return facts, faults, []
