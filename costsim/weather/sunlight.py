"""Sun on a plane under a year of weather."""

from __future__ import annotations

import functools

from costsim.physics.sun import PlaneSun, plane_sun
from costsim.weather.model import Weather


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
    if weather.ghi_w_m2 is None or weather.dni_w_m2 is None or weather.dhi_w_m2 is None:
        raise ValueError("the weather has no radiation")
    return plane_sun(
        latitude_deg=weather.latitude_deg,
        longitude_deg=weather.longitude_deg,
        altitude_m=weather.altitude_m,
        utc_offset_h=weather.utc_offset_h,
        ghi_w_m2=weather.ghi_w_m2,
        dni_w_m2=weather.dni_w_m2,
        dhi_w_m2=weather.dhi_w_m2,
        tilt_deg=tilt_deg,
        azimuth_deg=azimuth_deg,
    )
