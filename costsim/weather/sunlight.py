"""Sun on a plane under a year of weather."""

from __future__ import annotations

import functools

import numpy as np

from costsim.physics.sun import PlaneSun, plane_sun, solar_position
from costsim.units.arrays import Floats
from costsim.weather.model import Weather

GIVE_SUN = (
    "choose a station with hourly weather, or open a weather file that holds sunshine (columns ghi, dni, dhi); for a year made from"
    " monthly means, type the twelve clearness values beside them"
)


def facing_deg(weather: Weather, azimuth_deg: float | None) -> float:
    """Direction a plane faces: as typed, else towards the equator, which lies south of northern places (180) and north of southern ones."""
    if azimuth_deg is not None:
        return azimuth_deg
    return 0.0 if weather.southern else 180.0


# a year of sun on a plane costs more than the year's dispatch, and a sweep asks for the same plane again
@functools.lru_cache(maxsize=8)
def sun_on(weather: Weather, tilt_deg: float, azimuth_deg: float) -> PlaneSun:
    """Sun on a tilted plane in every hour.

    Parameters
    ----------
    weather : Weather
    tilt_deg, azimuth_deg : float
        Slope from the horizontal; direction the plane faces, 180 for south.

    Returns
    -------
    PlaneSun

    Raises
    ------
    ValueError
        The weather has no radiation.
    """
    if weather.ghi_w_m2 is None:
        raise ValueError("this weather holds no sunshine (radiation)")
    dni, dhi = weather.dni_w_m2, weather.dhi_w_m2
    if dni is None or dhi is None:
        dni, dhi = split_from_global(weather, weather.ghi_w_m2)
    return plane_sun(
        latitude_deg=weather.latitude_deg,
        longitude_deg=weather.longitude_deg,
        altitude_m=weather.altitude_m,
        utc_offset_h=weather.utc_offset_h,
        ghi_w_m2=weather.ghi_w_m2,
        dni_w_m2=dni,
        dhi_w_m2=dhi,
        tilt_deg=tilt_deg,
        azimuth_deg=azimuth_deg,
    )


def split_from_global(weather: Weather, ghi_w_m2: Floats) -> tuple[Floats, Floats]:
    """Direct normal and diffuse horizontal irradiance from the global one, for files that hold only that (n,) [W/m²].

    References
    ----------
    Erbs, Klein and Duffie, Solar Energy 28 (1982), through pvlib.
    """
    from pvlib import irradiance

    zenith, *_ = solar_position(
        latitude_deg=weather.latitude_deg,
        longitude_deg=weather.longitude_deg,
        altitude_m=weather.altitude_m,
        utc_offset_h=weather.utc_offset_h,
        n_hours=weather.n_hours,
    )
    with np.errstate(all="ignore"):
        split = irradiance.erbs(ghi_w_m2, zenith, np.arange(weather.n_hours) // 24 + 1)
    dni, dhi = (np.nan_to_num(np.asarray(split[key], dtype=float)) for key in ("dni", "dhi"))
    return np.clip(dni, 0.0, 1200.0), np.clip(dhi, 0.0, ghi_w_m2)
