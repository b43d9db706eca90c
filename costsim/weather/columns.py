"""Which columns of a table hold which quantity, and in which unit."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from costsim.errors import Fault, InputError
from costsim.units.arrays import Floats
from costsim.weather.download import Download, cells_of
from costsim.weather.headings import SI, number_and_unit, plain, split_heading, temperature_unit, to_si
from costsim.weather.layouts import ASKED, place_of

_MEAN = ("outdoor", "temp", "temperature", "air temperature", "outdoor temperature", "dry bulb", "dry-bulb", "drybulb",
         "dry_bulb", "dry bulb temperature", "dry-bulb temperature", "air_temperature", "temp_air", "t", "tavg", "t_avg",
         "tmean", "t_mean", "t mean", "mean temp", "mean temperature", "temperature_mean", "average temperature", "avg temperature", "avg temp",
         "temp avg", "temp_avg", "tempavg", "außentemperatur", "aussentemperatur", "lufttemperatur", "temperatur",
         "outdoor_temperature", "outside temperature", "outdoor temp", "outside temp", "temperature_2m", "t2m", "outside")  # fmt: skip
_SPOILING = ("dew", "wet bulb", "wet-bulb", "wetbulb", "soil", "feels", "apparent", "indoor_temperature", "water", "surface", "flag",
             "quality", "attributes", "code", "source", "accumulation", "number of")  # fmt: skip
_LOW, _HIGH = ("min", "low"), ("max", "high")
_BARE = {"low": "low", "min": "low", "minimum": "low", "high": "high", "max": "high", "maximum": "high"}
"""Of a temperature only where the unit says so."""
_OTHERS = {
    "ghi": ("ghi", "global horizontal irradiance", "global horizontal radiation"),
    "dni": ("dni", "direct normal irradiance", "direct normal radiation"),
    "dhi": ("dhi", "diffuse horizontal irradiance", "diffuse horizontal radiation"),
    "wind": ("wind", "wind speed", "wind_speed"),
}


@dataclass(frozen=True, slots=True)
class Chosen:
    """One column: its place, its unit (empty where unknown), and whether its values are means up to their time."""

    at: int
    unit: str
    ends: bool = False


def chosen_columns(
    download: Download, mapping: Mapping[str, tuple[str, str]], file: str
) -> tuple[dict[str, Chosen], list[Fault]]:
    """Choose by what somebody named, else by the service's layout, else by the headings' words."""
    named = {key: value for key, value in mapping.items() if key in SI}
    if named:
        return _mapped(download, named, file)
    chosen = _by_layout(download) if download.layout else {}
    if chosen:
        return chosen, []
    return _by_words(download, file)


def _mapped(
    download: Download, named: Mapping[str, tuple[str, str]], file: str
) -> tuple[dict[str, Chosen], list[Fault]]:
    chosen: dict[str, Chosen] = {}
    faults = []
    for quantity, (heading, unit) in named.items():
        at = place_of(download.head, plain(heading))
        if at is None:
            faults.append(_unknown(f"--map {quantity}", heading, download, file))
            continue
        chosen[quantity] = Chosen(at, unit or split_heading(download.head[at])[1])
        if not chosen[quantity].unit and SI[quantity] == "degC":
            faults.append(_without_unit(quantity, heading, file))
    if not faults and not ("outdoor" in chosen or {"low", "high"} <= set(chosen)):
        faults.append(Fault("--map", "names no temperature", 'write --map "temp=HEADING [degC]"', file))
    return chosen, faults


def _unknown(where: str, heading: str, download: Download, file: str) -> Fault:
    heads = [head.strip() for head in download.head if head.strip()]
    close = difflib.get_close_matches(heading, heads)
    remedy = f"'{close[0]}' may be meant" if close else f"the headings are {', '.join(heads)[:160]}"
    return Fault(where, f"no column is headed '{heading[:60]}'", remedy, file)


def _by_layout(download: Download) -> dict[str, Chosen]:
    assert download.layout is not None
    chosen = {}
    for quantity, candidates in download.layout.columns.items():
        for column in candidates:
            at = place_of(download.head, column.heading)
            if at is not None:
                unit = _stated_unit(download, column.heading, at) or column.unit
                chosen[quantity] = Chosen(at, unit, column.ends)
                break
    return chosen


def _stated_unit(download: Download, name: str, at: int) -> str:
    """Unit in the heading, or in the lines above the table, as ``T2M … (C)`` or a field ``Temperature Units``."""
    heading = download.head[at]
    if plain(heading) != name:
        return split_heading(heading)[1]
    for line in download.above:
        words = line.split()
        if words and plain(words[0]) == name and line.rstrip().endswith(")"):
            return line.rstrip()[:-1].rpartition("(")[2].strip()
    unit = download.stated.get(f"{name} units", "")
    return {"c": "degC", "f": "degF"}.get(unit.strip().lower(), "") or (unit if unit.startswith("w/m") else "")


def _by_words(download: Download, file: str) -> tuple[dict[str, Chosen], list[Fault]]:
    """Choose by the words of headings, as our own CSV writes them and as people do."""
    chosen: dict[str, Chosen] = {}
    headings: dict[str, str] = {}
    faults: list[Fault] = []
    for at, heading in enumerate(download.head):
        name, unit = split_heading(heading)
        quantity = _quantity(name) or (_BARE.get(name, "") if temperature_unit(unit) else "")
        if not quantity:
            continue
        shown = heading.strip().strip('"')
        if quantity in chosen:
            exact = [title for title in (headings[quantity], name) if title == quantity]
            if len(exact) != 1:
                faults.append(Fault(f"column {shown}", f"is a second column {quantity}", "leave one of them", file))
                continue
            if exact[0] != name:
                continue
        if not unit and SI[quantity] == "degC":
            unit = download.about.get("unit", "") or _unit_in_cells(download, at)
        chosen[quantity], headings[quantity] = Chosen(at, unit), name
    for quantity in [name for name in chosen if not chosen[name].unit]:
        if quantity in ("low", "high") and "outdoor" in chosen:  # it does not matter then
            del chosen[quantity]
        else:
            faults.append(_without_unit(quantity, download.head[chosen[quantity].at].strip().strip('"'), file))
    if not ("outdoor" in chosen or {"low", "high"} <= set(chosen)) and (at_unit := _by_unit(download)) is not None:
        chosen["outdoor"] = Chosen(at_unit, split_heading(download.head[at_unit])[1])
    if not ("outdoor" in chosen or {"low", "high"} <= set(chosen)):
        seen = ", ".join(head.strip() for head in download.head)
        remedy = f"add a column 'outdoor [degC]', or say which it is with --map; found {seen[:80]}"
        columns = tuple(dict.fromkeys(head.strip() for head in download.head if head.strip()))[:60]
        faults.append(
            Fault("outdoor", "the temperature column is missing", remedy, file, "temperature_column", columns)
        )
    return chosen, faults


def _unit_in_cells(download: Download, at: int) -> str:
    """Unit that stands behind the numbers of a column; empty where there is none."""
    units = {
        number_and_unit(cells[at])[1]
        for line in download.lines[:24]
        if at < len(cells := cells_of(line, download.mark)) and cells[at].strip()
    }
    return units.pop() if len(units) == 1 else ""


def _without_unit(quantity: str, shown: str, file: str) -> Fault:
    outdoor = quantity == "outdoor"
    said = f'--map "{"temp" if outdoor else quantity}={shown} [{SI[quantity]}]"' + (
        ", or degF in place of degC" if outdoor else ""
    )
    remedy = f"write it like '{quantity} [{SI[quantity]}]', or type {said}"
    asks = ("temperature_unit", ("degF", "degC")) if quantity == "outdoor" else ("", ())
    return Fault(f"column {shown}", "has no unit", remedy, file, *asks)


def _by_unit(download: Download) -> int | None:
    """The one column whose unit is a temperature's and whose words say nothing else, such as ``Boston [degF]``."""
    candidates = []
    for at, heading in enumerate(download.head):
        name, unit = split_heading(heading)
        if temperature_unit(unit) and not any(
            word in name for word in (*_SPOILING, *_LOW, *_HIGH, "indoor", "room", "supply")
        ):
            candidates.append(at)
    bare = [
        at for at in candidates if download.head[at].strip(' "').endswith((")", "]"))
    ]  # nothing behind the unit, such as a mark of quality
    return next(iter(candidates if len(candidates) == 1 else bare if len(bare) == 1 else []), None)


def _quantity(name: str) -> str:
    words = name.replace("_", " ").strip()
    if any(spoiling in words for spoiling in _SPOILING):
        return ""
    for quantity, names in _OTHERS.items():
        if name in names or words in names:
            return quantity
    if name in _MEAN or words in _MEAN:
        return "outdoor"
    warm = "temp" in words or "outdoor" in words or (words[:1] == "t" and len(words) <= 6)
    if warm and any(part in words for part in _LOW):
        return "low"
    if warm and any(part in words for part in _HIGH):
        return "high"
    return ""


def in_si(quantity: str, values: Floats, unit: str) -> Floats:
    """Values of a unit in SI; negative radiation and wind are no readings.

    Raises
    ------
    UnitError
        The unit measures something else.
    """
    si_values = to_si(quantity, unit)(values)
    if SI[quantity] != "degC":
        si_values = np.where(si_values > -20.0, np.maximum(si_values, 0.0), np.nan)
    return np.asarray(si_values)


def settled_units(
    values: Mapping[str, Floats], units: Mapping[str, str], download: Download, file: str
) -> tuple[dict[str, str], list[str]]:
    """Settle units that a service leaves open, by what somebody says or by the values where only one unit is possible.

    Raises
    ------
    InputError
        They stay open.
    """
    if ASKED not in units.values():
        return dict(units), []
    stated_unit = download.about.get("unit", "")
    if stated_unit:
        return {name: stated_unit if unit == ASKED else unit for name, unit in units.items()}, []
    possible = _possible(values, bool(download.layout and download.layout.daily))
    if len(possible) != 1:
        remedy = "say it in a line '# unit: degF' above the table, or with --unit of costsim weather: degF, degC or degC/10; fit and verify take --map"
        raise InputError(
            Fault(
                "unit",
                "the temperatures may be in several units, and the file names none",
                remedy,
                file,
                "temperature_unit",
                ("degF", "degC", "degC/10"),
            )
        )
    names = {"degF": "whole numbers of °F", "degC": "°C", "degC/10": "tenths of °C"}
    shown = f"temperatures taken as {names[possible[0]]}: their range and decimals allow no other unit"
    return {name: possible[0] if unit == ASKED else unit for name, unit in units.items()}, [shown]


def _possible(values: Mapping[str, Floats], daily: bool) -> list[str]:
    """Units in which the values can be: NOAA writes °F without decimals, °C with one, tenths of °C without.

    A mean difference between a day's highest and lowest below 3 K or above 22 K is believed of no station.
    """
    warm = np.concatenate(
        [values[name][np.isfinite(values[name])] for name in ("outdoor", "low", "high") if name in values]
    )
    if not len(warm):
        return ["degC"]
    if (warm != np.round(warm)).any():
        return ["degC"]
    if not daily:
        return ["degF"]
    between = values["high"] - values["low"] if {"low", "high"} <= set(values) else np.array([np.nan])
    spread = float(np.nanmean(between)) if np.isfinite(between).any() else np.nan
    return [
        unit
        for unit, scale, low, high in (("degF", 1.8, -130.0, 134.0), ("degC/10", 10.0, -900.0, 600.0))
        if warm.min() >= low and warm.max() <= high and not (spread / scale < 3.0 or spread / scale > 22.0)
    ]


def mapping_of(texts: list[str]) -> dict[str, tuple[str, str]]:
    """Read what `--map` says.

    Parameters
    ----------
    texts : list of str
        Such as ``temp=TMP [degF/10]``, ``time=VALID``, ``low=TMIN [degC]``.

    Raises
    ------
    InputError
        With every one that cannot be read.

    Examples
    --------
    >>> mapping_of(["temp=TMP [degF/10]", "time=VALID"])
    {'outdoor': ('TMP', 'degF/10'), 'time': ('VALID', '')}
    """
    mapping: dict[str, tuple[str, str]] = {}
    faults = []
    names = {"temp": "outdoor", "temperature": "outdoor"} | {name: name for name in (*SI, "time", "date", "hour")}
    for text in texts:
        key, mark, value = text.partition("=")
        quantity = names.get(key.strip().lower(), "")
        heading, unit = value.strip(), ""
        if heading.endswith("]") and "[" in heading:
            heading, _, unit = heading[:-1].rpartition("[")
        if not mark or not quantity or not heading.strip():
            remedy = f'write it like "temp=TMP [degF/10]"; names are temp, {", ".join([*list(SI)[1:], "time", "date", "hour"])}'
            faults.append(Fault("--map", f"'{text[:60]}' names no column", remedy))
        elif (
            quantity in SI
            and not unit.strip()
            and SI[quantity] == "degC"
            and not temperature_unit(split_heading(heading)[1])
        ):
            faults.append(Fault("--map", f"'{text[:60]}' has no unit", 'write it like "temp=TMP [degF/10]"'))
        else:
            mapping[quantity] = (heading.strip(), unit.strip())
    if faults:
        raise InputError(faults)
    return mapping
