"""Writers of weather services' tables around a truth that is known; each line follows the layout that the service publishes.

Headings are those of public downloads; places, stations and values are invented.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random

import numpy as np
from numpy.typing import NDArray

from costsim.units.arrays import Floats
from costsim.weather.hours import to_hours
from costsim.weather.readers import read_record

Times = NDArray[np.datetime64]
LATITUDE, LONGITUDE, ALTITUDE = 47.0, 12.0, 400.0


@dataclass(frozen=True)
class Written:
    """A table, and the temperatures in it [°C] as written, NaN where nothing is written."""

    raw: bytes
    true: Floats


@dataclass(frozen=True)
class Service:
    """A writer of (times, temperatures); `utc` whether its times are, `placed` whether it states the place."""

    name: str
    write: Callable[[Times, Floats], Written]
    utc: bool = False
    placed: bool = True
    step_s: int = 3600


def _rows(head: str, lines: Sequence[str], end: str = "\n", below: str = "") -> bytes:
    return (head + end + end.join(lines) + end + below).encode()


def _parts(time: np.datetime64) -> tuple[int, int, int, int, int]:
    text = str(time.astype("datetime64[m]"))
    return int(text[:4]), int(text[5:7]), int(text[8:10]), int(text[11:13]), int(text[14:16])


def _text(value: float, digits: int, missing: str = "") -> str:
    return missing if np.isnan(value) else f"{value:.{digits}f}"


def _celsius(values: Floats, digits: int = 1) -> Floats:
    return np.round(values, digits)


def _from_f(values: Floats, digits: int) -> tuple[Floats, Floats]:
    shown = np.round(values * 1.8 + 32.0, digits)
    return shown, (shown - 32.0) / 1.8


def pvgis_series(times: Times, values: Floats) -> Written:
    head = "Latitude (decimal degrees):\t47.000\r\nLongitude (decimal degrees):\t12.000\r\nElevation (m):\t400\r\n"
    head += "Radiation database:\tPVGIS-SARAH2\r\n\r\n\r\nSlope: 35 deg. \r\nAzimuth: 0 deg. \r\ntime,G(i),H_sun,T2m,WS10m,Int"
    lines = []
    for time, value in zip(times, values, strict=True):
        y, m, d, h, _ = _parts(time)
        lines.append(f"{y}{m:02d}{d:02d}:{h:02d}10,0.0,0.0,{_text(value, 2)},1.5,0.0")
    below = "\r\nG(i): Global irradiance on the inclined plane (W/m2)\r\nT2m: 2-m air temperature (degree Celsius)\r\n\r\nPVGIS (c) European Union, 2001-2024"
    return Written(_rows(head, lines, "\r\n", below), _celsius(values, 2))


def nasa_power(times: Times, values: Floats) -> Written:
    head = "-BEGIN HEADER-\nNASA/POWER CERES/MERRA2 Native Resolution Hourly Data \n"
    head += "Dates (month/day/year): 01/01/2021 through 12/31/2021 in LST\nLocation: Latitude  47.0   Longitude 12.0 \n"
    head += "elevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = 400.0 meters\n"
    head += "The value for missing source data that cannot be computed or is outside of the sources availability range: -999 \n"
    head += "parameter(s): \nT2M     MERRA-2 Temperature at 2 Meters (C) \n-END HEADER-\nYEAR,MO,DY,HR,T2M"
    lines = []
    for time, value in zip(times, values, strict=True):
        y, m, d, h, _ = _parts(time)
        lines.append(f"{y},{m},{d},{h},{_text(value, 2, '-999.0')}")
    return Written(_rows(head, lines), _celsius(values, 2))


def open_meteo(times: Times, values: Floats) -> Written:
    head = "latitude,longitude,elevation,utc_offset_seconds,timezone,timezone_abbreviation\n47.0,12.0,400.0,3600,Europe/Vienna,GMT+1\n\n"
    lines = [f"{t.astype('datetime64[m]')!s},{_text(v, 1, 'NaN')}" for t, v in zip(times, values, strict=True)]
    return Written(_rows(head + "time,temperature_2m (°C)", lines), _celsius(values))


def open_meteo_f(times: Times, values: Floats) -> Written:
    head = "latitude,longitude,elevation,utc_offset_seconds,timezone,timezone_abbreviation\n47.0,12.0,400.0,3600,Europe/Vienna,GMT+1\n\n"
    shown, true = _from_f(values, 1)
    lines = [f"{t.astype('datetime64[m]')!s},{_text(v, 1, 'NaN')}" for t, v in zip(times, shown, strict=True)]
    return Written(_rows(head + "time,temperature_2m (°F)", lines), true)


def meteostat(times: Times, values: Floats) -> Written:
    head = "time,temp,dwpt,rhum,prcp,snow,wdir,wspd,wpgt,pres,tsun,coco"
    lines = [f"{_iso(t)}:00,{_text(v, 1)},,,,,,,,,," for t, v in zip(times, values, strict=True)]
    return Written(_rows(head, lines), _celsius(values))


def _iso(time: np.datetime64) -> str:
    return str(time.astype("datetime64[m]")).replace("T", " ")


def isd(times: Times, values: Floats) -> Written:
    head = '"STATION","DATE","SOURCE","LATITUDE","LONGITUDE","ELEVATION","NAME","REPORT_TYPE","CALL_SIGN","QUALITY_CONTROL","WND","CIG","VIS","TMP","DEW","SLP"'
    lines = []
    for time, value in zip(times, values, strict=True):
        cell = "+9999,9" if np.isnan(value) else f"{round(value * 10):+05d},5"
        stamp = str(time.astype("datetime64[s]"))
        lines.append(
            f'"99999099999","{stamp}","7","47.0","12.0","400.0","HILL, XX","FM-15","XXXX ","V020","180,5,N,0036,5",'
            f'"22000,5,9,N","016093,5,N,5","{cell}","+0010,5","10153,5"'
        )
    return Written(_rows(head, lines), _celsius(values))


def lcd(times: Times, values: Floats) -> Written:
    head = '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","REPORT_TYPE","SOURCE",'
    head += '"HourlyDewPointTemperature","HourlyDryBulbTemperature","HourlyPrecipitation"'
    shown, true = _from_f(values, 0)
    lines = []
    for at, (time, value) in enumerate(zip(times, shown, strict=True)):
        stamp = str(time.astype("datetime64[s]"))
        letter = "s" if at % 97 == 5 and not np.isnan(value) else ""
        lines.append(
            f'"99999099999","{stamp}","47.0","12.0","400.0","HILL, XX","FM-15","335","30","{_text(value, 0)}{letter}","T"'
        )
    return Written(_rows(head, lines), true)


def iem_asos(times: Times, values: Floats) -> Written:
    shown, true = _from_f(values, 2)
    lines = [f"XXX,{_iso(t)},12.0000,47.0000,{_text(v, 2, 'M')}" for t, v in zip(times, shown, strict=True)]
    return Written(_rows("#DEBUG: Format Typ    -> comma\nstation,valid,lon,lat,tmpf", lines), true)


def environment_canada(times: Times, values: Floats) -> Written:
    head = '"Longitude (x)","Latitude (y)","Station Name","Climate ID","Date/Time (LST)","Year","Month","Day","Time (LST)",'
    head += '"Flag","Temp (°C)","Temp Flag","Dew Point Temp (°C)","Dew Point Temp Flag"'
    lines = []
    for time, value in zip(times, values, strict=True):
        y, m, d, h, _ = _parts(time)
        flag = "M" if np.isnan(value) else ""
        lines.append(
            f'"12.00","47.00","HILL","9999999","{_iso(time)}","{y}","{m:02d}","{d:02d}","{h:02d}:00","","{_text(value, 1)}","{flag}","1.0",""'
        )
    return Written(b"\xef\xbb\xbf" + _rows(head, lines), _celsius(values))


def dwd(times: Times, values: Floats) -> Written:
    lines = []
    for time, value in zip(times, values, strict=True):
        y, m, d, h, _ = _parts(time)
        lines.append(f"       9999;{y}{m:02d}{d:02d}{h:02d};    3;{_text(value, 1, '-999'):>6};  84.0;eor")
    return Written(_rows("STATIONS_ID;MESS_DATUM;QN_9;TT_TU;RF_TU;eor", lines), _celsius(values))


def nsrdb(times: Times, values: Floats) -> Written:
    head = "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,Temperature Units\n"
    head += "NSRDB,99999,-,-,-,47.0,12.0,1,400,1,c\nYear,Month,Day,Hour,Minute,Temperature,DHI,DNI,GHI,Wind Speed"
    lines = []
    for time, value in zip(times, values, strict=True):
        y, m, d, h, _ = _parts(time)
        shown = _text(value, 1)
        lines += [f"{y},{m},{d},{h},{minute},{shown},0,0,0,1.5" for minute in (0, 30)]
    return Written(_rows(head, lines), _celsius(values))


def era5(times: Times, values: Floats) -> Written:
    shown = np.round(values + 273.15, 3)
    lines = [f"{_iso(t)}:00,270.0,{_text(v, 3)},0.0,47.0,12.0" for t, v in zip(times, shown, strict=True)]
    return Written(_rows("valid_time,d2m,t2m,ssrd,latitude,longitude", lines), shown - 273.15)


def semicolons(times: Times, values: Floats) -> Written:
    lines = [
        f"{d:02d}.{m:02d}.{y} {h:02d}:00;{_text(v, 1).replace('.', ',')}"
        for (y, m, d, h, _), v in zip(map(_parts, times), values, strict=True)
    ]
    head = "# latitude: 47.0\n# longitude: 12.0\n# utc_offset: 1\n# altitude: 400\nZeit;Lufttemperatur [°C]"
    return Written(_rows(head, lines), _celsius(values))


def with_offsets(times: Times, values: Floats) -> Written:
    shown, true = _from_f(values, 2)
    stamps = [f"{t.astype('datetime64[s]')!s}+01:00" for t in times]
    return Written(_rows("date,temp [degF]", [f"{s},{_text(v, 2)}" for s, v in zip(stamps, shown, strict=True)]), true)


def isd_lite(times: Times, values: Floats) -> Written:
    lines = []
    for time, value in zip(times, values, strict=True):
        y, m, d, h, _ = _parts(time)
        cell = -9999 if np.isnan(value) else round(value * 10)
        lines.append(f"{y} {m:02d} {d:02d} {h:02d} {cell:5d} {-20:5d} 10132   180    25     2     0 -9999")
    return Written(("\n".join(lines) + "\n").encode(), _celsius(values))


def knmi(times: Times, values: Floats) -> Written:
    head = "# BRON: an invented station\n# T : temperature (0.1 degrees Celsius) at 1.50 m\n# STN,YYYYMMDD,   HH,   FH,    T\n"
    lines = []
    for time, value in zip(times, values, strict=True):
        y, m, d, h, _ = _parts(time)
        cell = "" if np.isnan(value) else str(round(value * 10))
        lines.append(f"  999,{y}{m:02d}{d:02d},{h + 1:5d},   30,{cell:>5}")
    return Written(_rows(head, lines), _celsius(values))


SERVICES = (
    Service("PVGIS hourly series", pvgis_series, utc=True),
    Service("NASA POWER", nasa_power),
    Service("Open-Meteo", open_meteo),
    Service("Open-Meteo in °F", open_meteo_f),
    Service("Meteostat", meteostat, utc=True, placed=False),
    Service("NOAA ISD", isd, utc=True),
    Service("NOAA LCD", lcd),
    Service("IEM ASOS", iem_asos, utc=True),
    Service("Environment Canada", environment_canada),
    Service("DWD", dwd, utc=True, placed=False),
    Service("NSRDB", nsrdb, step_s=1800),
    Service("ERA5", era5, utc=True),
    Service("ISD-Lite", isd_lite, utc=True, placed=False),
    Service("KNMI", knmi, utc=True, placed=False),
    Service("semicolons and commas", semicolons),
    Service("offsets in the stamps", with_offsets, placed=False),
)


def random_download(service: Service, rng: Random) -> tuple[bytes, Times, Floats]:
    """A table of random hours with gaps, doubles, rows in any order, line ends and marks of UTF-8, and its truth."""
    n = rng.randrange(30, 700 if rng.random() < 0.1 else 120)
    first = np.datetime64("2000-01-01T00", "h") + rng.randrange(0, 9000) * np.timedelta64(1, "h")
    times = first + np.arange(n) * np.timedelta64(1, "h")
    values = np.round(np.array([rng.uniform(-40, 40) for _ in range(n)]), 1)
    for _ in range(rng.randrange(4)):
        at = rng.randrange(1, n - 8)
        values[at : at + rng.randrange(1, 7)] = np.nan
    order = list(range(n))
    if rng.random() < 0.3:
        order = order[::-1] if rng.random() < 0.5 else rng.sample(order, n)
    elif rng.random() < 0.2:
        order += order[n // 2 :]  # the second half comes twice, as in files that were put together by hand
    raw = service.write(times[order], values[order]).raw
    if rng.random() < 0.3:
        raw = raw.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")
    if rng.random() < 0.2:
        raw = b"\xef\xbb\xbf" + raw.removeprefix(b"\xef\xbb\xbf")
    return raw, times, service.write(times, values).true


def read_again(service: Service, raw: bytes, times: Times) -> Floats:
    """Temperatures that are read for the hours that were written; NaN where none is."""
    found = to_hours(read_record("w.csv", content=raw), "w.csv")
    shift = np.timedelta64(1 if service.utc and service.placed else 0, "h")
    at = (times + shift - found.first).astype(int)
    inside = (at >= 0) & (at < found.n)
    read = np.full(len(times), np.nan)
    read[inside] = found.values["outdoor"][at[inside]]
    return read


def pvgis_tmy(values: Floats) -> bytes:
    """PVGIS's typical year: twelve months of different years, UTC."""
    years = [2018, 2007, 2009, 2013, 2008, 2006, 2011, 2010, 2020, 2006, 2007, 2016]
    head = "Latitude (decimal degrees): 47.000\r\nLongitude (decimal degrees): 12.000\r\nElevation (m): 400.0\r\n"
    head += "Irradiance Time Offset (h): 0.1761\r\nmonth,year\r\n" + "".join(
        f"{at},{y}\r\n" for at, y in enumerate(years, 1)
    )
    head += "time(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP"
    lines = []
    for time, value in zip(np.datetime64("2021-01-01T00", "h") + np.arange(8760), values, strict=True):
        _, m, d, h, _ = _parts(time)
        sun = 400.0 if 7 <= h < 15 else 0.0
        lines.append(f"{years[m - 1]}{m:02d}{d:02d}:{h:02d}00,{value:.2f},90.0,{sun},{sun},0.0,300.0,1.0,200.0,95000.0")
    return _rows(head, lines, "\r\n", "T2m: 2-m air temperature (degree Celsius)\r\n")


def daily_tables(days: NDArray[np.datetime64], mean: Floats) -> dict[str, Written]:
    """Daily tables of the services, with a day's lowest and highest 5 K around its mean."""
    low, high = mean - 5.0, mean + 5.0
    f_low, f_high = (np.round(v * 1.8 + 32.0) for v in (low, high))
    c_low, c_high = np.round(low, 1), np.round(high, 1)
    f_mean = np.round(mean * 1.8 + 32.0, 1)
    ghcn = '"STATION","NAME","DATE","PRCP","TAVG","TMAX","TMIN"'

    def table(head: str, row: Callable[[int], str]) -> bytes:
        return _rows(head, [row(at) for at in range(len(days))])

    def station(at: int, *values: str) -> str:
        return ",".join(f'"{v}"' for v in ("XX000099999", "HILL, XX", str(days[at]), "0.0", *values))

    canada = '"Longitude (x)","Latitude (y)","Station Name","Climate ID","Date/Time","Year","Month","Day",'
    canada += '"Max Temp (°C)","Min Temp (°C)","Mean Temp (°C)"'
    gsod = '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","TEMP","TEMP_ATTRIBUTES","MAX","MAX_ATTRIBUTES","MIN"'
    power = "-BEGIN HEADER-\nNASA/POWER Daily\nLocation: Latitude  47.0   Longitude 12.0 \n-END HEADER-\nYEAR,DOY,T2M"
    meteo = "latitude,longitude,elevation,utc_offset_seconds\n47.0,12.0,400.0,3600\n\n"
    meteo += "time,temperature_2m_max (°C),temperature_2m_min (°C)"
    year_day = (days - days.astype("datetime64[Y]").astype("datetime64[D]")).astype(int) + 1
    rounded, middle = np.round(mean, 1), (c_low + c_high) / 2
    f_middle = ((f_low + f_high) / 2 - 32) / 1.8

    def in_canada(i: int) -> str:
        return f'"12.00","47.00","HILL","9999999","{days[i]}","","","","{c_high[i]}","{c_low[i]}","{rounded[i]}"'

    def in_gsod(i: int) -> str:
        place = f'"99999099999","{days[i]}","47.0","-120.0","400.0","HILL, XX"'
        return f'{place},"{f_mean[i]:6.1f}","24","{f_high[i]:6.1f}"," ","{f_low[i]:6.1f}"'

    def in_germany(i: int) -> str:
        return f"9999;{str(days[i]).replace('-', '')};10;{mean[i]:6.1f};{high[i]:6.1f};{low[i]:6.1f};eor"

    return {
        "GHCN in °F": Written(table(ghcn, lambda i: station(i, "", f"{f_high[i]:.0f}", f"{f_low[i]:.0f}")), f_middle),
        "GHCN in °C": Written(table(ghcn, lambda i: station(i, "", f"{c_high[i]:.1f}", f"{c_low[i]:.1f}")), middle),
        "GHCN in tenths": Written(
            table(ghcn, lambda i: station(i, "", f"{c_high[i] * 10:.0f}", f"{c_low[i] * 10:.0f}")), middle
        ),
        "GSOD": Written(table(gsod, in_gsod), (f_mean - 32) / 1.8),
        "Meteostat daily": Written(
            table(
                "date,tavg,tmin,tmax,prcp,snow,wdir,wspd,wpgt,pres,tsun",
                lambda i: f"{days[i]},{mean[i]:.1f},{low[i]:.1f},{high[i]:.1f},,,,,,,",
            ),
            rounded,
        ),
        "Environment Canada daily": Written(table(canada, in_canada), rounded),
        "NASA POWER daily": Written(
            table(power, lambda i: f"{str(days[i])[:4]},{year_day[i]},{mean[i]:.2f}"), np.round(mean, 2)
        ),
        "DWD daily": Written(table("STATIONS_ID;MESS_DATUM;QN_3;TMK;TXK;TNK;eor", in_germany), rounded),
        "Open-Meteo daily": Written(table(meteo, lambda i: f"{days[i]},{high[i]:.1f},{low[i]:.1f}"), middle),
    }
