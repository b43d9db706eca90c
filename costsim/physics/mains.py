"""Cold water from the mains: how warm it is in each month, from the air temperature of the place."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from costsim.units.arrays import Floats

_DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_F_PER_K, _ZERO_F = 1.8, 32.0


def cold_water_c(*, monthly_air_c: ArrayLike, southern: bool = False) -> Floats:
    """Temperature of the cold water in the middle of each month.

    Parameters
    ----------
    monthly_air_c : array (12,)
        Mean outdoor temperature of each month [°C].
    southern : bool
        Seasons are half a year later.

    Returns
    -------
    array (12,)
        [°C], never below 1 °C.

    Notes
    -----
    ``T = T_year + 6 + r · ΔT / 2 · sin(0.986 (day − 15 − lag) − 90°)`` in °F, with ``r = 0.4 + 0.01 (T_year − 44)``,
    ``lag = 35 − (T_year − 44)`` days and ``ΔT`` the warmest less the coldest month. Fitted to mains in the United States:
    a well, or water from a lake, differs.

    References
    ----------
    J. Burch and C. Christensen, Towards Development of an Algorithm for Mains Water Temperature, ASES 2007.

    Examples
    --------
    >>> round(float(cold_water_c(monthly_air_c=[10.0] * 12)[0]), 2)
    13.33
    """
    air_f = np.asarray(monthly_air_c, dtype=float) * _F_PER_K + _ZERO_F
    mean, swing = float(np.average(air_f, weights=_DAYS)), float(air_f.max() - air_f.min())
    ratio, lag = 0.4 + 0.01 * (mean - 44.0), 35.0 - (mean - 44.0)
    day = np.cumsum(_DAYS) - _DAYS / 2.0
    angle = np.radians(0.986 * (day - 15.0 - lag) - (270.0 if southern else 90.0))
    water_f = mean + 6.0 + ratio * swing / 2.0 * np.sin(angle)
    return np.maximum((water_f - _ZERO_F) / _F_PER_K, 1.0)
