"""Solar collectors: what they lose when warm, and how light lands on them.

The coefficients belong to their own area basis (gross since ISO 9806:2013, aperture in the older EN 12975): multiply by
that area and no other.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from costsim.units.arrays import Floats


def lost_w_m2(*, excess_k: ArrayLike, a1_w_m2k: float, a2_w_m2k2: float) -> Floats:
    """Heat that a collector loses by being warmer than the air outdoors, per area.

    Parameters
    ----------
    excess_k : float or array
        Mean fluid temperature over outdoor temperature [K].
    a1_w_m2k, a2_w_m2k2 : float
        Loss coefficients [W/(m² K)], [W/(m² K²)].

    Returns
    -------
    float or array
        [W/m²]; below zero where the fluid is colder than the air.

    Notes
    -----
    ``a1 (T_m − T_o) + a2 (T_m − T_o)²``, taken from ``η0 K G``. Wind and long-wave terms of the standard are left out.

    References
    ----------
    ISO 9806:2017, steady-state method.

    Examples
    --------
    >>> round(float(lost_w_m2(excess_k=30.0, a1_w_m2k=3.5, a2_w_m2k2=0.015)), 1)
    118.5
    """
    excess = np.asarray(excess_k, dtype=float)
    return np.asarray((a1_w_m2k + a2_w_m2k2 * excess) * excess)


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
