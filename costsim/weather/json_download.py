"""Downloads that come as JSON, written as the table that the same service gives as CSV."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from typing import Any

MOST_BYTES = 60_000_000


def json_table(raw: bytes) -> str:
    """The table of PVGIS, Open-Meteo or NASA POWER in JSON as its CSV; empty where it is none of these.

    Examples
    --------
    >>> print(json_table(b'{"latitude": 47, "longitude": 12, "elevation": 400, "utc_offset_seconds": 3600,'
    ... b' "hourly_units": {"time": "iso8601", "temperature_2m": "C"}, "hourly": {"time": ["2024-01-01T00:00"], "temperature_2m": [1.5]}}'))
    latitude,longitude,elevation,utc_offset_seconds
    47,12,400,3600
    <BLANKLINE>
    time,temperature_2m (C)
    2024-01-01T00:00,1.5
    <BLANKLINE>
    """
    if len(raw) > MOST_BYTES:
        return ""
    try:
        response = json.loads(raw)
    except (ValueError, RecursionError):
        return ""
    if not isinstance(response, dict):
        return ""
    try:
        return _pvgis(response) or _open_meteo(response) or _nasa_power(response)
    except (KeyError, TypeError, AttributeError, IndexError, ValueError):
        return ""  # it only looked like one


def _table(above: str, head: Sequence[str], rows: Sequence[Sequence[Any]]) -> str:
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerows([head, *(["" if cell is None else cell for cell in row] for row in rows)])
    return above + stream.getvalue()


def _pvgis(response: Mapping[str, Any]) -> str:
    outputs = response.get("outputs") or {}
    rows = outputs.get("hourly") or outputs.get("tmy_hourly")
    if not rows:
        return ""
    place = response["inputs"]["location"]
    above = "".join(
        f"{title}:\t{place[key]}\n"
        for title, key in (("Latitude (decimal degrees)", "latitude"), ("Longitude (decimal degrees)", "longitude"), ("Elevation (m)", "elevation"))
    )  # fmt: skip
    head = list(rows[0])
    return _table(above, head, [[row[name] for name in head] for row in rows])


def _open_meteo(response: Mapping[str, Any]) -> str:
    kind = next((table for table in ("hourly", "daily") if isinstance(response.get(table), dict)), "")
    if not kind or "time" not in response[kind]:
        return ""
    keys = ("latitude", "longitude", "elevation", "utc_offset_seconds")
    above = f"{','.join(keys)}\n{','.join(str(response.get(key, '')) for key in keys)}\n\n"
    units = response.get(f"{kind}_units", {})
    head = [name if name == "time" else f"{name} ({units.get(name, '')})" for name in response[kind]]
    return _table(above, head, list(zip(*response[kind].values(), strict=True)))


def _nasa_power(response: Mapping[str, Any]) -> str:
    values = (response.get("properties") or {}).get("parameter")
    if not values:
        return ""
    longitude, latitude = response["geometry"]["coordinates"][:2]
    stamps = list(next(iter(values.values())))
    parts = {8: 3, 10: 4}[len(stamps[0])]
    clock = (response.get("header") or {}).get("time_standard", "LST")
    above = f"Dates (month/day/year): in {clock}\nLocation: Latitude {latitude} Longitude {longitude}\n"
    head = ["YEAR", "MO", "DY", "HR"][:parts] + list(values)
    times = [(stamp[:4], stamp[4:6], stamp[6:8], stamp[8:10])[:parts] for stamp in stamps]
    return _table(
        above,
        head,
        [[*time, *(column[stamp] for column in values.values())] for time, stamp in zip(times, stamps, strict=True)],
    )
