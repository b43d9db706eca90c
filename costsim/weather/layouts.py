"""Published layouts of weather services: which headings tell the service, which columns count, in which units and times.

A further service is one line in `LAYOUTS`. Units that a file does not state are those of the service's own documentation.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from costsim.weather.headings import plain, split_heading

ASKED = "?"
"""A unit that the service leaves to whoever downloads: the values decide, else it is asked for."""


@dataclass(frozen=True, slots=True)
class Column:
    """One heading a quantity may have, with the unit where the heading states none; `ends` marks means labelled by their end."""

    heading: str
    unit: str = ""
    ends: bool = False


@dataclass(frozen=True, slots=True)
class Layout:
    """How a service writes its tables.

    Parameters
    ----------
    name : str
        Of the service and product.
    needs : tuple of str
        Headings that must all be there, in small letters.
    columns : mapping
        Columns of each quantity of `headings.SI`, the better first.
    time : tuple of str
        Headings of the time: one stamp, or a date and a time.
    zone : str
        ``"utc"``, ``"standard"`` for local standard time, or ``"stated"`` where the head of the file says.
    daily : bool
    missing : tuple of float
        Codes for missing values.
    place : mapping
        Headings of columns with latitude, longitude, altitude and name.
    units_note : str
        Where units come from that the file does not state.
    """

    name: str
    needs: tuple[str, ...]
    columns: Mapping[str, tuple[Column, ...]]
    time: tuple[str, ...] = ()
    zone: str = "standard"
    daily: bool = False
    missing: tuple[float, ...] = ()
    place: Mapping[str, str] = field(default_factory=dict)
    units_note: str = ""


def _t(*headings: str, unit: str = "") -> tuple[Column, ...]:
    return tuple(Column(heading, unit) for heading in headings)


_NOAA = {"latitude": "latitude", "longitude": "longitude", "altitude": "elevation", "name": "name"}
_ECCC = {"latitude": "latitude (y)", "longitude": "longitude (x)", "name": "station name"}
LAYOUTS: tuple[Layout, ...] = (
    Layout(
        "PVGIS typical year", ("time(utc)", "t2m"),
        {"outdoor": _t("t2m", unit="degC"), "ghi": _t("g(h)", unit="W/m2"), "dni": _t("gb(n)", unit="W/m2"),
         "dhi": _t("gd(h)", unit="W/m2"), "wind": _t("ws10m", unit="m/s")},
        ("time(utc)",), "utc", units_note="PVGIS gives air temperature in °C, irradiance in W/m² and UTC",
    ),
    Layout(
        "PVGIS hourly series", ("time", "t2m", "h_sun"),
        {"outdoor": _t("t2m", unit="degC"), "wind": _t("ws10m", unit="m/s")},
        ("time",), "utc", units_note="PVGIS gives air temperature in °C and UTC",
    ),
    Layout(
        "NASA POWER hourly", ("year", "mo", "dy", "hr", "t2m"),
        {"outdoor": _t("t2m", unit="degC"), "ghi": _t("allsky_sfc_sw_dwn", unit="W/m2"),
         "dni": _t("allsky_sfc_sw_dni", unit="W/m2"), "dhi": _t("allsky_sfc_sw_diff", unit="W/m2"),
         "wind": _t("ws10m", "ws2m", unit="m/s")},
        ("year", "mo", "dy", "hr"), "stated", missing=(-999.0, -99.0), units_note="NASA POWER gives T2M in °C",
    ),
    Layout(
        "NASA POWER daily", ("year", "mo", "dy", "t2m"),
        {"outdoor": _t("t2m", unit="degC")}, ("year", "mo", "dy"), "stated", True, (-999.0, -99.0),
        units_note="NASA POWER gives T2M in °C",
    ),
    Layout(
        "NASA POWER daily", ("year", "doy", "t2m"),
        {"outdoor": _t("t2m", unit="degC")}, ("year", "doy"), "stated", True, (-999.0, -99.0),
        units_note="NASA POWER gives T2M in °C",
    ),
    *(
        Layout(
            "NASA POWER daily", (*days, "t2m_max", "t2m_min"),
            {"low": _t("t2m_min", unit="degC"), "high": _t("t2m_max", unit="degC")}, days, "stated", True, (-999.0, -99.0),
            units_note="NASA POWER gives T2M in °C",
        )
        for days in (("year", "mo", "dy"), ("year", "doy"))
    ),
    Layout(
        "Open-Meteo hourly", ("time", "temperature_2m"),
        {"outdoor": _t("temperature_2m", unit="degC"), "ghi": (Column("shortwave_radiation", "W/m2", True),),
         "dni": (Column("direct_normal_irradiance", "W/m2", True),),
         "dhi": (Column("diffuse_radiation", "W/m2", True),), "wind": _t("wind_speed_10m", "windspeed_10m", unit="km/h")},
        ("time",), "stated", units_note="Open-Meteo gives °C, W/m² and km/h unless its headings say otherwise",
    ),
    Layout(
        "Open-Meteo daily", ("time", "temperature_2m_max", "temperature_2m_min"),
        {"outdoor": _t("temperature_2m_mean", unit="degC"), "low": _t("temperature_2m_min", unit="degC"),
         "high": _t("temperature_2m_max", unit="degC")},
        ("time",), "stated", True, units_note="Open-Meteo gives °C unless its headings say otherwise",
    ),
    Layout(
        "Meteostat hourly", ("time", "temp", "dwpt"),
        {"outdoor": _t("temp", unit="degC"), "wind": _t("wspd", unit="km/h")},
        ("time",), "utc", units_note="Meteostat gives temperature in °C, wind in km/h and UTC",
    ),
    Layout(
        "Meteostat hourly", ("year", "month", "day", "hour", "temp", "coco"),
        {"outdoor": _t("temp", unit="degC"), "wind": _t("wspd", unit="km/h")},
        ("year", "month", "day", "hour"), "utc", units_note="Meteostat gives temperature in °C, wind in km/h and UTC",
    ),
    Layout(
        "Meteostat hourly", ("date", "hour", "temp", "dwpt"),
        {"outdoor": _t("temp", unit="degC"), "wind": _t("wspd", unit="km/h")},
        ("date", "hour"), "utc", units_note="Meteostat gives temperature in °C, wind in km/h and UTC",
    ),
    Layout(
        "Meteostat daily", ("date", "tavg", "tmin", "tmax", "tsun"),
        {"outdoor": _t("tavg", unit="degC"), "low": _t("tmin", unit="degC"), "high": _t("tmax", unit="degC")},
        ("date",), "standard", True, units_note="Meteostat gives temperatures in °C",
    ),
    Layout(
        "Meteostat daily", ("year", "month", "day", "temp", "tmin", "tmax"),
        {"outdoor": _t("temp", unit="degC"), "low": _t("tmin", unit="degC"), "high": _t("tmax", unit="degC")},
        ("year", "month", "day"), "standard", True, units_note="Meteostat gives temperatures in °C",
    ),
    *(
        Layout(
            "NOAA global hourly (GHCNh)", (*times, "temperature", "temperature_quality_code"),
            {"outdoor": _t("temperature", unit="degC"), "wind": _t("wind_speed", unit="m/s")}, times, "utc",
            place=_NOAA | {"name": "station_name"}, units_note="NOAA's global hourly record gives °C, m/s and UTC",
        )
        for times in (("date",), ("year", "month", "day", "hour", "minute"))
    ),
    Layout(
        "NOAA local climatological data", ("date", "hourlydrybulbtemperature"),
        {"outdoor": _t("hourlydrybulbtemperature", unit=ASKED)},
        ("date",), "standard", place=_NOAA,
        units_note="NOAA's local climatological data give whole °F (tenths of °C in version 2) and local standard time",
    ),
    Layout(
        "NOAA integrated surface data, hourly", ("date", "tmp", "report_type"),
        {"outdoor": _t("tmp", unit="degC/10")},
        ("date",), "utc", missing=(9999.0,), place=_NOAA,
        units_note="NOAA's integrated surface data give tenths of °C and UTC",
    ),
    Layout(
        "NOAA integrated surface data, hourly", ("station", "date", "tmp", "dew"),
        {"outdoor": _t("tmp", unit="degC/10")},
        ("date",), "utc", missing=(9999.0,), place=_NOAA,
        units_note="NOAA's integrated surface data give tenths of °C and UTC",
    ),
    Layout(
        "NOAA integrated surface data, lite", ("isd-lite year", "month", "day", "hour", "air"),
        {"outdoor": _t("air", unit="degC/10"), "wind": _t("speed", unit="m/s*0.1")},
        ("isd-lite year", "month", "day", "hour"), "utc", missing=(-9999.0,),
        units_note="NOAA's integrated surface data, lite, give tenths of °C and UTC",
    ),
    Layout(
        "KNMI hourly", ("yyyymmdd", "hh", "t"), {"outdoor": _t("t", unit="degC/10"), "wind": _t("fh", unit="m/s*0.1")},
        ("yyyymmdd", "hh"), "utc", units_note="KNMI gives tenths of °C and hours 1 to 24 of UTC",
    ),
    Layout(
        "NOAA global summary of the day", ("date", "temp", "temp_attributes"),
        {"outdoor": _t("temp", unit="degF"), "low": _t("min", unit="degF"), "high": _t("max", unit="degF")},
        ("date",), "utc", True, (9999.9,), _NOAA, "NOAA's global summary of the day gives °F",
    ),
    Layout(
        "NOAA daily summaries (GHCN)", ("date", "tmax", "tmin"),
        {"outdoor": _t("tavg", unit=ASKED), "low": _t("tmin", unit=ASKED), "high": _t("tmax", unit=ASKED)},
        ("date",), "standard", True, (-9999.0, 9999.0), _NOAA,
        "NOAA's daily summaries come in °F, °C or tenths of °C, as whoever downloads them chose",
    ),
    Layout(
        "IEM ASOS", ("station", "valid", "tmpf"), {"outdoor": _t("tmpf", unit="degF"), "wind": _t("sknt", unit="knot")},
        ("valid",), "utc", place={"latitude": "lat", "longitude": "lon", "altitude": "elevation"},
        units_note="the Iowa Environmental Mesonet gives tmpf in °F, and UTC unless another zone was chosen there",
    ),
    Layout(
        "IEM ASOS", ("station", "valid", "tmpc"), {"outdoor": _t("tmpc", unit="degC"), "wind": _t("sknt", unit="knot")},
        ("valid",), "utc", place={"latitude": "lat", "longitude": "lon", "altitude": "elevation"},
        units_note="the Iowa Environmental Mesonet gives tmpc in °C, and UTC unless another zone was chosen there",
    ),
    Layout(
        "Environment Canada hourly", ("date/time (lst)", "temp (°c)"),
        {"outdoor": _t("temp", unit="degC"), "wind": _t("wind spd", unit="km/h")},
        ("date/time (lst)",), "standard", place=_ECCC, units_note="Environment Canada gives local standard time",
    ),
    Layout(
        "Environment Canada hourly", ("date/time", "time", "temp (°c)", "climate id"),
        {"outdoor": _t("temp", unit="degC"), "wind": _t("wind spd", unit="km/h")},
        ("date/time",), "standard", place=_ECCC, units_note="Environment Canada gives local standard time",
    ),
    Layout(
        "Environment Canada daily", ("date/time", "mean temp (°c)"),
        {"outdoor": _t("mean temp", unit="degC"), "low": _t("min temp", unit="degC"), "high": _t("max temp", unit="degC")},
        ("date/time",), "standard", True, place=_ECCC,
    ),
    Layout(
        "Environment Canada hourly", ("date/heure (hnl)", "temp (°c)"),
        {"outdoor": _t("temp", unit="degC"), "wind": _t("vit. du vent", unit="km/h")},
        ("date/heure (hnl)",), "standard", place=_ECCC | {"name": "nom de la station"},
        units_note="Environment Canada gives local standard time",
    ),
    Layout(
        "Environment Canada daily", ("date/heure", "temp moy.(°c)"),
        {"outdoor": _t("temp moy.", unit="degC"), "low": _t("temp min.", unit="degC"), "high": _t("temp max.", unit="degC")},
        ("date/heure",), "standard", True, place=_ECCC | {"name": "nom de la station"},
    ),
    Layout(
        "Météo-France hourly", ("num_poste", "aaaammjjhh", "t"), {"outdoor": _t("t", unit="degC"), "wind": _t("ff", unit="m/s")},
        ("aaaammjjhh",), "utc", place={"latitude": "lat", "longitude": "lon", "altitude": "alti", "name": "nom_usuel"},
        units_note="Météo-France gives °C, m/s and UTC",
    ),
    Layout(
        "DWD hourly air temperature", ("mess_datum", "tt_tu"), {"outdoor": _t("tt_tu", unit="degC")},
        ("mess_datum",), "utc", missing=(-999.0,), units_note="the German weather service gives TT_TU in °C and UTC",
    ),
    Layout(
        "DWD ten-minute air temperature", ("mess_datum", "tt_10"), {"outdoor": _t("tt_10", unit="degC")},
        ("mess_datum",), "utc", missing=(-999.0,), units_note="the German weather service gives TT_10 in °C and UTC",
    ),
    Layout(
        "DWD daily", ("mess_datum", "tmk"),
        {"outdoor": _t("tmk", unit="degC"), "low": _t("tnk", unit="degC"), "high": _t("txk", unit="degC")},
        ("mess_datum",), "utc", True, (-999.0,), units_note="the German weather service gives TMK in °C",
    ),
    Layout(
        "NSRDB", ("year", "month", "day", "hour", "minute", "ghi", "temperature"),
        {"outdoor": _t("temperature", unit="degC"), "ghi": _t("ghi", unit="W/m2"), "dni": _t("dni", unit="W/m2"),
         "dhi": _t("dhi", unit="W/m2"), "wind": _t("wind speed", unit="m/s")},
        ("year", "month", "day", "hour", "minute"), "stated",
        units_note="the NSRDB gives temperature in °C and irradiance in W/m²",
    ),
    Layout(
        "ERA5 time series", ("valid_time", "t2m"),
        {"outdoor": _t("t2m", unit="degK"), "ghi": (Column("ssrd", "J/m2", True),)},
        ("valid_time",), "utc", place={"latitude": "latitude", "longitude": "longitude"},
        units_note="ERA5 gives t2m in kelvin, ssrd in J/m² over the hour before, and UTC",
    ),
    Layout(
        "ERA5 time series", ("time", "t2m"),
        {"outdoor": _t("t2m", unit="degK"), "ghi": (Column("ssrd", "J/m2", True),)},
        ("time",), "utc", place={"latitude": "latitude", "longitude": "longitude"},
        units_note="ERA5 gives t2m in kelvin, ssrd in J/m² over the hour before, and UTC",
    ),
)  # fmt: skip


def layout_of(headings: Sequence[str]) -> Layout | None:
    """The service whose headings these are; None where no service is known.

    Examples
    --------
    >>> layout_of(["time", "temp", "dwpt", "rhum"]).name, layout_of(["date", "outdoor [degC]"])
    ('Meteostat hourly', None)
    """
    seen = {plain(heading) for heading in headings} | {split_heading(heading)[0] for heading in headings}
    return next((layout for layout in LAYOUTS if set(layout.needs) <= seen), None)


def place_of(headings: Sequence[str], name: str) -> int | None:
    """Place of a heading, written out or without its unit; None where it is missing."""
    for at, heading in enumerate(headings):
        if plain(heading) == name:
            return at
    for at, heading in enumerate(headings):
        if split_heading(heading)[0] == name:
            return at
    return None
