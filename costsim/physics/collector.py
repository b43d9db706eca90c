"""Solar collectors: steady heat, its straight-line form for the tank, incidence angle and stagnation.

The coefficients belong to their own area basis (gross since ISO 9806:2013, aperture in the older EN 12975): multiply by
that area and no other.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def collector_output_w_m2(
    *,
    irradiance_w_m2: ArrayLike,
    mean_fluid_c: ArrayLike,
    outdoor_c: ArrayLike,
    eta0: float,
    a1_w_m2k: float,
    a2_w_m2k2: float,
    incidence_modifier: ArrayLike = 1.0,
) -> Floats:
    """Heat per collector area in steady state.

    Parameters
    ----------
    irradiance_w_m2 : float or array (n,)
        Irradiance in the collector's plane [W/m²].
    mean_fluid_c, outdoor_c : float or array (n,)
        Mean fluid temperature and outdoor temperature [°C].
    eta0 : float
        Efficiency without losses at normal incidence.
    a1_w_m2k, a2_w_m2k2 : float
        Loss coefficients [W/(m² K)], [W/(m² K²)].
    incidence_modifier : float or array (n,)
        Factor on the irradiance for its angle.

    Returns
    -------
    float or array (n,)
        [W/m²], never negative: a controlled pump stands still then.

    Notes
    -----
    ``η0 K G − a1 (T_m − T_o) − a2 (T_m − T_o)²``. Wind and long-wave terms of the standard are left out.

    References
    ----------
    ISO 9806:2017, steady-state method.

    Examples
    --------
    >>> numbers = {"eta0": 0.8, "a1_w_m2k": 3.5, "a2_w_m2k2": 0.015}
    >>> round(float(collector_output_w_m2(irradiance_w_m2=1000.0, mean_fluid_c=30.0, outdoor_c=0.0, **numbers)), 1)
    681.5
    """
    excess_k = np.asarray(mean_fluid_c, dtype=float) - np.asarray(outdoor_c, dtype=float)
    gain = eta0 * np.multiply(incidence_modifier, irradiance_w_m2)
    return np.asarray(np.maximum(gain - a1_w_m2k * excess_k - a2_w_m2k2 * excess_k**2, 0.0))


def linear_output(
    *,
    irradiance_w_m2: ArrayLike,
    mean_fluid_c: ArrayLike,
    outdoor_c: ArrayLike,
    eta0: float,
    a1_w_m2k: float,
    a2_w_m2k2: float,
    incidence_modifier: ArrayLike = 1.0,
    span_k: float = 0.0,
) -> tuple[Floats, Floats]:
    """Straight line through the output, ``q = intercept − slope · T_m``, about a mean fluid temperature.

    Parameters
    ----------
    irradiance_w_m2, outdoor_c, eta0, a1_w_m2k, a2_w_m2k2, incidence_modifier
        As in `collector_output_w_m2`.
    mean_fluid_c : float or array (n,)
        Temperature about which the line is laid [°C].
    span_k : float
        0 gives the tangent there; above 0 the secant that meets the curve at half the span on either side [K].

    Returns
    -------
    tuple of two arrays (n,)
        Intercept [W/m²] at a fluid of 0 °C, and slope [W/(m² K)]; not clipped at zero.

    Notes
    -----
    Both lines share the slope ``a1 + 2 a2 (T_m − T_o)``; the secant lies ``a2 (span/2)²`` lower. The tangent errs
    upwards by ``a2 (T − T_m)²``, 1.5 W/m² ten kelvin away at a2 = 0.015; the secant errs downwards inside its span.

    Examples
    --------
    >>> numbers = {"eta0": 0.8, "a1_w_m2k": 3.5, "a2_w_m2k2": 0.015}
    >>> intercept, slope = linear_output(irradiance_w_m2=1000.0, mean_fluid_c=30.0, outdoor_c=0.0, **numbers)
    >>> round(float(intercept - slope * 30.0), 1), round(float(slope), 1)
    (681.5, 4.4)
    """
    fluid = np.asarray(mean_fluid_c, dtype=float)
    outdoor = np.asarray(outdoor_c, dtype=float)
    excess_k = fluid - outdoor
    slope = a1_w_m2k + 2.0 * a2_w_m2k2 * excess_k
    gain = eta0 * np.multiply(incidence_modifier, irradiance_w_m2)
    at_fluid = gain - a1_w_m2k * excess_k - a2_w_m2k2 * (excess_k**2 + (0.5 * span_k) ** 2)
    return np.asarray(at_fluid + slope * fluid), np.asarray(slope)


def incidence_modifier(*, angle_deg: ArrayLike, b0: float = 0.1) -> Floats:
    """Factor on the irradiance for the angle at which it falls.

    Parameters
    ----------
    angle_deg : float or array (n,)
        Angle between the ray and the collector's normal [°].
    b0 : float
        Coefficient of the collector, 0.1 for one glass cover.

    Returns
    -------
    float or array (n,)
        Factor 0…1; 0 from behind.

    Notes
    -----
    ``1 − b0 (1/cos θ − 1)``; good to about 60°, falling steeply beyond.

    References
    ----------
    ASHRAE 93; the same form as pvlib's ``iam.ashrae``.

    Examples
    --------
    >>> incidence_modifier(angle_deg=[0.0, 60.0, 90.0])
    array([1. , 0.9, 0. ])
    """
    cosine = np.cos(np.radians(np.asarray(angle_deg, dtype=float)))
    shown = np.maximum(cosine, 1e-9)
    return np.asarray(np.where(cosine > 1e-9, np.clip(1.0 - b0 * (1.0 / shown - 1.0), 0.0, 1.0), 0.0))


def diffuse_angles_deg(*, tilt_deg: float) -> tuple[float, float]:
    """Angles at which beam light would be let in as sky and ground diffuse light are.

    Parameters
    ----------
    tilt_deg : float
        Collector slope from the horizontal [°], 0 to 90.

    Returns
    -------
    tuple of float
        Effective angle for the sky and for the ground [°].

    References
    ----------
    Brandemuehl and Beckman, Solar Energy 24 (1980) 511 (value from memory; checked against pvlib's integration).

    Examples
    --------
    >>> [round(angle, 1) for angle in diffuse_angles_deg(tilt_deg=45.0)]
    [56.5, 69.4]
    """
    sky = 59.68 - 0.1388 * tilt_deg + 0.001497 * tilt_deg**2
    ground = 90.0 - 0.5788 * tilt_deg + 0.002693 * tilt_deg**2
    return sky, ground


def stagnation_temperature_c(
    *,
    irradiance_w_m2: ArrayLike,
    outdoor_c: ArrayLike,
    eta0: float,
    a1_w_m2k: float,
    a2_w_m2k2: float,
    incidence_modifier: ArrayLike = 1.0,
) -> Floats:
    """Temperature that a collector reaches with its pump standing still.

    Parameters
    ----------
    irradiance_w_m2, outdoor_c, eta0, a1_w_m2k, a2_w_m2k2, incidence_modifier
        As in `collector_output_w_m2`; at least one loss coefficient above zero.

    Returns
    -------
    float or array (n,)
        [°C]. An extrapolation of the curve beyond its test range, so good to some ten kelvin.

    Raises
    ------
    ValueError
        The collector has no losses at all.

    Notes
    -----
    The root of the output, written so that it holds for a2 = 0 too.

    Examples
    --------
    >>> hot = stagnation_temperature_c(irradiance_w_m2=1000.0, outdoor_c=30.0, eta0=0.8, a1_w_m2k=3.5, a2_w_m2k2=0.015)
    >>> round(float(hot))
    172
    """
    if a1_w_m2k <= 0 and a2_w_m2k2 <= 0:
        raise ValueError("a collector without losses has no stagnation temperature: give a1 or a2 above zero")
    gain = eta0 * np.maximum(np.multiply(incidence_modifier, irradiance_w_m2), 0.0)
    root = np.sqrt(a1_w_m2k**2 + 4.0 * a2_w_m2k2 * gain)
    denominator = np.maximum(a1_w_m2k + root, 1e-12)
    return np.asarray(np.asarray(outdoor_c, dtype=float) + 2.0 * gain / denominator)
