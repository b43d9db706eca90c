"""Wet surfaces under the sky: what a pool, or a drive that melts snow, loses to air and sky."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from costsim.units.arrays import Floats
from costsim.units.table import ZERO_C_K

SIGMA_W_M2K4 = 5.670e-8
PSYCHROMETRIC_KPA_K = 0.0665
"""At sea level; FAO Irrigation and Drainage Paper 56 (1998), equation 8."""
EMISSIVITY = 0.95
"""Of water and wet concrete to long waves; common handbook value, from memory."""
FUSION_J_KG = 334e3
ICE_J_KGK, WATER_J_KGK, WATER_KG_M3 = 2100.0, 4190.0, 1000.0
FILM_C = 0.56
"""Temperature of the film of melt water, 33 °F; ASHRAE Handbook HVAC Applications, snow melting, from memory."""


def vapor_pressure_kpa(temperature_c: ArrayLike) -> Floats:
    """Pressure of saturated vapor over water (n,) [kPa], good from -20 to 60 °C.

    References
    ----------
    FAO Irrigation and Drainage Paper 56 (1998), equation 11 (value from memory).

    Examples
    --------
    >>> [round(float(p), 3) for p in vapor_pressure_kpa([1.0, 20.0, 30.0])]
    [0.657, 2.338, 4.243]
    """
    c = np.asarray(temperature_c, dtype=float)
    return np.asarray(0.6108 * np.exp(17.27 * c / (c + 237.3)))


def dew_point_by_night_c(outdoor_c: Floats) -> Floats:
    """Dew point of each hour where a weather file does not state it: the lowest air temperature of its day (n,) [°C].

    Notes
    -----
    Dew forms when air cools to its dew point, so a clear night seldom gets colder. Too moist in dry places, by a few kelvin.

    References
    ----------
    FAO Irrigation and Drainage Paper 56 (1998), equation 48.

    Examples
    --------
    >>> dew_point_by_night_c(np.repeat([12.0, 5.0], [12, 12]))[:2]
    array([5., 5.])
    """
    days = outdoor_c.reshape(-1, 24)
    return np.repeat(days.min(axis=1), 24)


def sky_temperature_c(*, outdoor_c: ArrayLike, dew_point_c: ArrayLike) -> Floats:
    """Temperature of a clear sky as a surface sees it (n,) [°C].

    References
    ----------
    P. Berdahl and M. Martin, Solar Energy 32 (1984) 663 (value from memory).

    Examples
    --------
    >>> round(float(sky_temperature_c(outdoor_c=20.0, dew_point_c=10.0)), 1)
    1.8
    """
    dew = np.asarray(dew_point_c, dtype=float) / 100.0
    emissivity = 0.711 + 0.56 * dew + 0.73 * dew**2
    kelvin = np.asarray(outdoor_c, dtype=float) + ZERO_C_K
    return np.asarray(kelvin * emissivity**0.25 - ZERO_C_K)


def pool_loss_w_m2(
    *, water_c: float, outdoor_c: ArrayLike, dew_point_c: ArrayLike, wind_m_s: ArrayLike, sky_c: ArrayLike, activity: float = 1.0
) -> Floats:  # fmt: skip
    """Heat that open water loses by evaporation, to the air and to the sky, without sun (n,) [W/m²].

    Parameters
    ----------
    water_c : float
        [°C], 15 to 45.
    outdoor_c, dew_point_c, sky_c : array (n,)
        Air, its dew point, and the sky or the walls that the water sees [°C].
    wind_m_s : array (n,)
        At the water [m/s], 0 to 8.
    activity : float
        Factor on evaporation: about 0.5 for a quiet pool at home, 1 for one in use.

    Notes
    -----
    ``q_e = (89 + 78 v)(p_w − p_a)`` with kPa and m/s, and heat to the air in the same stream by Bowen's ratio,
    ``q_c = (89 + 78 v) γ (T_w − T_a)``.

    References
    ----------
    W. H. Carrier's equation as in ASHRAE Handbook HVAC Applications, in US units ``(95 + 0.425 v)(p_w − p_a)``; Smith, Löf
    and Jones, ASHRAE Transactions 104 (1998), paper 4146, who measured 74 % of it over still and more over busy pools.

    Examples
    --------
    >>> calm = {"outdoor_c": 20.0, "dew_point_c": 10.0, "wind_m_s": 0.0, "sky_c": 20.0}
    >>> round(float(pool_loss_w_m2(water_c=27.0, **calm)))
    287
    """
    stream = 88.5 + 78.3 * np.asarray(wind_m_s, dtype=float)
    wet = stream * activity * (vapor_pressure_kpa(water_c) - vapor_pressure_kpa(dew_point_c))
    dry = stream * PSYCHROMETRIC_KPA_K * (water_c - np.asarray(outdoor_c, dtype=float))
    return np.asarray(wet + dry + radiation_w_m2(surface_c=water_c, seen_c=sky_c))


def radiation_w_m2(*, surface_c: ArrayLike, seen_c: ArrayLike) -> Floats:
    """Long-wave heat from a surface to what it sees (n,) [W/m²].

    Examples
    --------
    >>> round(float(radiation_w_m2(surface_c=20.0, seen_c=10.0)), 1)
    51.6
    """
    surface = np.asarray(surface_c, dtype=float) + ZERO_C_K
    seen = np.asarray(seen_c, dtype=float) + ZERO_C_K
    return np.asarray(EMISSIVITY * SIGMA_W_M2K4 * (surface**4 - seen**4))


def plate_coefficient_w_m2k(*, wind_m_s: ArrayLike, length_m: float) -> Floats:
    """Heat transfer from a flat plate to the wind along it (n,) [W/(m² K)], turbulent, never below that of still air.

    Notes
    -----
    ``h = 0.037 (k/L) Re^0.8 Pr^(1/3)`` with air at about 0 °C; still air 2 W/(m² K), common practice, no source.

    References
    ----------
    Incropera and DeWitt; used for snow melting by ASHRAE Handbook HVAC Applications (value from memory).

    Examples
    --------
    >>> round(float(plate_coefficient_w_m2k(wind_m_s=5.0, length_m=6.1)), 1)
    15.6
    """
    reynolds = np.asarray(wind_m_s, dtype=float) * length_m / 1.33e-5
    return np.asarray(np.maximum(0.037 * 0.0235 / length_m * reynolds**0.8 * 0.71 ** (1 / 3), 2.0))


def melting_w_m2(
    *, snowfall_m_s: ArrayLike, outdoor_c: ArrayLike, dew_point_c: ArrayLike, sky_c: ArrayLike, coefficient_w_m2k: ArrayLike,
    free_share: float = 1.0,
) -> Floats:  # fmt: skip
    """Heat at the surface that melts snow as it falls (n,) [W/m²].

    Parameters
    ----------
    snowfall_m_s : array (n,)
        Snowfall as depth of water [m/s].
    outdoor_c, dew_point_c, sky_c : array (n,)
        Air, its dew point and the sky [°C].
    coefficient_w_m2k : array (n,)
        To the air, as by `plate_coefficient_w_m2k`.
    free_share : float
        Snow-free share of the surface, 0 to 1.

    Notes
    -----
    ``q = q_s + q_m + A_r (q_h + q_e)``: warming the snow, melting it, and what the bare part loses to air, sky and by
    evaporation from a film at 33 °F. Steady: what the slab stores is not counted.

    References
    ----------
    Chapman (1952) in ASHRAE Handbook HVAC Applications, chapter Snow Melting and Freeze Protection (value from memory).

    Examples
    --------
    >>> calm = {"dew_point_c": FILM_C, "sky_c": FILM_C, "coefficient_w_m2k": 0.0, "outdoor_c": 0.0}
    >>> round(float(melting_w_m2(snowfall_m_s=2.54e-3 / 3600, **calm)))  # 0.1 inch of water an hour
    237
    """
    air = np.asarray(outdoor_c, dtype=float)
    flow = np.asarray(snowfall_m_s, dtype=float) * WATER_KG_M3
    warming = flow * (ICE_J_KGK * np.maximum(-air, 0.0) + WATER_J_KGK * FILM_C)
    coefficient = np.asarray(coefficient_w_m2k, dtype=float)
    dry = coefficient * (FILM_C - air) + radiation_w_m2(surface_c=FILM_C, seen_c=sky_c)
    wet = coefficient / PSYCHROMETRIC_KPA_K * (vapor_pressure_kpa(FILM_C) - vapor_pressure_kpa(dew_point_c))
    return np.asarray(np.maximum(warming + flow * FUSION_J_KG + free_share * (dry + np.maximum(wet, 0.0)), 0.0))
