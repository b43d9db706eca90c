"""A year written as our plain CSV, which `read_weather` reads back."""

from __future__ import annotations

import math
from calendar import isleap

import numpy as np

from costsim.weather.model import Weather

COLUMNS = (
    ("outdoor_c", "outdoor [degC]", ".1f"),
    ("ghi_w_m2", "ghi [W/m2]", ".0f"),
    ("dni_w_m2", "dni [W/m2]", ".0f"),
    ("dhi_w_m2", "dhi [W/m2]", ".0f"),
    ("wind_m_s", "wind [m/s]", ".1f"),
)


def weather_csv(weather: Weather, decimals: int = 1) -> str:
    """Write a year as text.

    Parameters
    ----------
    weather : Weather
    decimals : int
        Of temperatures.

    Returns
    -------
    str
        Lines ``# key: value``, notes among them, a heading with units and one row an hour; radiation to 1 W/m². Rows
        carry times where all hours are of one measured year. What is not known of the place is left out.
    """
    facts = {
        "title": weather.title,
        "station": weather.station,
        "source": weather.source,
        "synthetic": "yes" if weather.synthetic else "no",
        "latitude": weather.latitude_deg,
        "longitude": weather.longitude_deg,
        "altitude": weather.altitude_m,
        "utc_offset": weather.utc_offset_h,
        "design_99": weather.design_99_c,
    }
    if len(weather.years) > 1:
        facts["years"] = " ".join(map(str, weather.years))
    known = {key: value for key, value in facts.items() if not (isinstance(value, float) and math.isnan(value))}
    head = [f"# {key}: {' '.join(str(value).split())}" for key, value in known.items() if value is not None]
    head += [f"# note: {' '.join(note.split())}" for note in weather.notes]
    titles, cells = [], []
    if len(weather.years) == 1 and not weather.synthetic and weather.n_hours == _hours_of(weather.years[0]):
        first = np.datetime64(f"{weather.years[0]}-01-01T00:00", "m")
        hours = first + np.arange(weather.n_hours) * np.timedelta64(60, "m")
        titles.append("time")
        cells.append([str(hour).replace("T", " ") for hour in hours])
    for name, title, form in COLUMNS:
        values = getattr(weather, name)
        if values is not None:
            titles.append(title)
            shape = f".{decimals}f" if name == "outdoor_c" else form
            cells.append([format(value, shape) for value in values])
    rows = (",".join(row) for row in zip(*cells, strict=True))
    return "\n".join([*head, ",".join(titles), *rows]) + "\n"


def _hours_of(year: int) -> int:
    return 8784 if isleap(year) else 8760
