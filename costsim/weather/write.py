"""A year written as our plain CSV, which `read_weather` reads back."""

from __future__ import annotations

from costsim.weather.model import Weather

COLUMNS = (
    ("outdoor_c", "outdoor [degC]", ".1f"),
    ("ghi_w_m2", "ghi [W/m2]", ".0f"),
    ("dni_w_m2", "dni [W/m2]", ".0f"),
    ("dhi_w_m2", "dhi [W/m2]", ".0f"),
    ("wind_m_s", "wind [m/s]", ".1f"),
)


def weather_csv(weather: Weather) -> str:
    """Write a year as text.

    Parameters
    ----------
    weather : Weather

    Returns
    -------
    str
        Lines ``# key: value``, a heading with units and one row an hour; temperatures to 0.1 K, radiation to 1 W/m².
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
    head = [f"# {key}: {' '.join(str(value).split())}" for key, value in facts.items() if value is not None]
    kept = [
        (getattr(weather, name), title, form) for name, title, form in COLUMNS if getattr(weather, name) is not None
    ]
    rows = zip(*([format(value, form) for value in values] for values, _, form in kept), strict=True)
    return "\n".join([*head, ",".join(title for _, title, _ in kept), *(",".join(row) for row in rows)]) + "\n"
