"""A year of invented hours whose truth is known, and small writers of weather files around it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from costsim.units.arrays import Floats

HEAD = "# latitude: 47.0\n# longitude: 12.0\n# utc_offset: 1\n# altitude: 400\n"


def truth(n: int = 8760, seed: int = 1) -> Floats:
    """Temperatures of `n` hours with one decimal [°C]: a yearly and a daily course and weather in between."""
    at = np.arange(n)
    rng = np.random.default_rng(seed)
    drift = np.convolve(rng.normal(size=n + 47), np.ones(48) / 48, mode="valid") * 12
    course = 8 - 14 * np.cos(2 * np.pi * (at / 24 - 15) / 365) - 4 * np.cos(2 * np.pi * (at % 24 - 3) / 24)
    return np.round(course + drift, 1)


def hours(first: str, n: int = 8760) -> NDArray[np.datetime64]:
    """Times of `n` hours in a row."""
    return np.datetime64(first, "m") + np.arange(n) * np.timedelta64(60, "m")


def iso(time: np.datetime64) -> str:
    """Time such as 2021-01-31 05:00."""
    return str(time).replace("T", " ")


def plain_table(
    times: Sequence[np.datetime64] | NDArray[np.datetime64],
    values: Sequence[float] | Floats,
    *,
    form: Callable[[np.datetime64], str] = iso,
    heading: str = "time,outdoor [degC]",
) -> bytes:
    """Our own CSV with a column of times."""
    rows = [f"{form(time)},{value:.1f}" for time, value in zip(times, values, strict=True)]
    return (HEAD + heading + "\n" + "\n".join(rows) + "\n").encode()


def epw_rows(values: Floats, year: int = 1999) -> list[str]:
    """Rows of EPW for a year of temperatures, with some sun."""
    rows = []
    for time, value in zip(hours(f"{year}-01-01", len(values)), values, strict=True):
        day = str(time)[:10].split("-")
        hour = int(str(time)[11:13])
        sun = 300 if 9 <= hour < 15 else 0
        cells = [day[0], str(int(day[1])), str(int(day[2])), str(hour + 1), "60", "?9", f"{value:.1f}"]
        rows.append(",".join([*cells, *["1"] * 6, str(sun), str(sun), "0", *["0"] * 5, "2.0", *["0"] * 13]))
    return rows


def epw(rows: Sequence[str], altitude: str = "400", latitude: str = "47.0") -> bytes:
    """An EPW file of rows."""
    head = [
        f"LOCATION,Hill,-,TEST,none,999999,{latitude},12.0,1.0,{altitude}",
        "DESIGN CONDITIONS,0", "TYPICAL/EXTREME PERIODS,0", "GROUND TEMPERATURES,0", "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,made for a test", "COMMENTS 2,", "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
    ]  # fmt: skip
    return ("\n".join([*head, *rows]) + "\n").encode()


def tmy3_rows(values: Floats, sun: Floats | None = None) -> list[str]:
    """Rows of TMY3 for a year of temperatures and sun; months come from two years."""
    rows = []
    for at, (time, value) in enumerate(zip(hours("2001-01-01"), values, strict=True)):
        _, month, day = str(time)[:10].split("-")
        year = 1988 if int(month) % 2 else 1995
        light = 0.0 if sun is None else sun[at]
        rows.append(
            f"{month}/{day}/{year},{int(str(time)[11:13]) + 1:02d}:00,{light:.0f},{light:.0f},0,{value:.1f},2.0"
        )
    return rows


TMY3_HEAD = "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),Wspd (m/s)"


def tmy3(rows: Sequence[str], station: str = "999999", head: str = TMY3_HEAD, altitude: str = "400") -> bytes:
    """A TMY3 file of rows."""
    return "\n".join([f'{station},"HILL",XX,1.0,47.000,12.000,{altitude}', head, *rows, ""]).encode()
