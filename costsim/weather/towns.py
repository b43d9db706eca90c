"""Towns whose twelve monthly means come with the program, so that a year can be made for them without a file."""

from __future__ import annotations

import csv
import functools
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from costsim.files import read_bytes
from costsim.units.quantity import FOOT_M

MOST_BYTES = 100_000
PERIOD = "1981 to 2010"
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


@dataclass(frozen=True)
class Town:
    """A town with its place, its climate normals and, where one was seen, its design temperature.

    Attributes
    ----------
    name : str
        Such as ``"Duluth, MN"``.
    latitude_deg, longitude_deg, utc_offset_h, altitude_m : float
        Of its airport; hours from UTC in standard time.
    monthly_mean_f : tuple of 12 floats
        Normal daily mean temperature of each month, 1981 to 2010 [°F], as published.
    design_99_c : float or None
        Temperature that 99 % of all hours exceed [°C]; None where none was seen, and the reader is asked.

    References
    ----------
    Means: NOAA, Comparative Climatic Data, normal daily mean temperature 1981-2010. Places: of the airports, from public
    lists of airports. Design temperatures: handbook tables of heating dry-bulb temperatures by state, seen as excerpts.
    SOURCES.md in weather_samples says more.
    """

    name: str
    latitude_deg: float
    longitude_deg: float
    utc_offset_h: float
    altitude_m: float
    monthly_mean_f: tuple[float, ...]
    design_99_c: float | None

    def for_synthesis(self) -> dict[str, Any]:
        """Keyword arguments of `synthesize`, without a seed; no clearness, so no sun."""
        return {
            "title": self.name,
            "latitude_deg": self.latitude_deg,
            "longitude_deg": self.longitude_deg,
            "utc_offset_h": self.utc_offset_h,
            "altitude_m": self.altitude_m,
            "monthly_mean_c": [(mean - 32.0) / 1.8 for mean in self.monthly_mean_f],
            "design_99_c": self.design_99_c,
        }


@functools.cache
def towns() -> Mapping[str, Town]:
    """All towns by name, in alphabetical order."""
    table = read_bytes(Path(__file__).parent / "us_towns.csv", most=MOST_BYTES).decode()
    return MappingProxyType({row["town"]: _town(row) for row in csv.DictReader(table.splitlines())})


def towns_like(text: str) -> list[str]:
    """Names of towns that hold what was typed, whatever its commas, dots and capitals.

    Examples
    --------
    >>> towns_like("duluth mn"), towns_like("st cloud"), towns_like("portland"), towns_like("")
    (['Duluth, MN'], ['Saint Cloud, MN'], ['Portland, ME', 'Portland, OR'], [])
    """
    asked = _plain(text)
    return [name for name in towns() if asked and asked in _plain(name)]


def same_state(text: str) -> list[str]:
    """Names of the towns of the state whose two letters a place ends with.

    Examples
    --------
    >>> same_state("Brattleboro, VT"), same_state("brattleboro vt"), same_state("Paris"), same_state("vt")
    (['Burlington, VT'], ['Burlington, VT'], [], [])
    """
    *town, state = text.replace(",", " ").split() or [""]
    return [name for name in towns() if town and name.endswith(f", {state.upper()}")]


def _plain(text: str) -> str:
    words = re.sub(r"[^a-z ]", "", text.lower()).split()
    return " ".join("saint" if word == "st" else word for word in words)


def _town(row: Mapping[str, str]) -> Town:
    return Town(
        name=row["town"],
        latitude_deg=float(row["latitude"]),
        longitude_deg=float(row["longitude"]),
        utc_offset_h=float(row["utc_offset"]),
        altitude_m=round(float(row["altitude_ft"]) * FOOT_M, 1),
        monthly_mean_f=tuple(float(row[month]) for month in MONTHS),
        design_99_c=float(row["design_99_c"]) if row["design_99_c"] else None,
    )
