"""A year of hourly weather as frozen arrays, and what can be read off it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from costsim.units.arrays import Floats
from costsim.words import tr

MOST_BYTES = 100_000_000
"""Of a weather file: ten years of hours have some MB."""
BASE_C = (65.0 - 32.0) / 1.8
"""Base of degree-days, 65 °F."""


@dataclass(frozen=True, slots=True, eq=False)
class Weather:
    """One year; arrays are (n,) with n 8760 or 8784.

    Record i covers the hour from i to i + 1 after 1 January 00:00 local standard time, whatever the file's labels say;
    months of a typical year come from different years and are never sorted. `design_99_c` and `design_996_c` are the
    file header's own, None where it has none. Latitude, longitude and UTC
    offset are NaN where a file without radiation does not state them; `offset_is_guess` tells that the offset is only the
    nearest to the longitude. `notes` tells what was repaired or looks odd.
    """

    title: str
    station: str
    source: str
    latitude_deg: float
    longitude_deg: float
    altitude_m: float
    utc_offset_h: float
    months: NDArray[np.int8]
    outdoor_c: Floats
    ghi_w_m2: Floats | None = None
    dni_w_m2: Floats | None = None
    dhi_w_m2: Floats | None = None
    wind_m_s: Floats | None = None
    design_99_c: float | None = None
    design_996_c: float | None = None
    synthetic: bool = False
    offset_is_guess: bool = False
    years: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def southern(self) -> bool:
        """Whether the place lies south of the equator; by its colder half-year where no latitude is stated."""
        if not np.isnan(self.latitude_deg):
            return self.latitude_deg < 0.0
        summer = np.isin(self.months, (6, 7, 8))
        winter = np.isin(self.months, (12, 1, 2))
        return bool(self.outdoor_c[summer].mean() < self.outdoor_c[winter].mean())

    @property
    def n_hours(self) -> int:
        """Number of hours."""
        return len(self.outdoor_c)

    def degree_hours_k_h(self, base_c: float) -> float:
        """Degree-hours below a base temperature, clipped hour by hour [K h]."""
        return float(np.maximum(base_c - self.outdoor_c, 0.0).sum())

    def degree_days_k_d(self, base_c: float) -> float:
        """Degree-days from hours: degree-hours over 24 [K d]."""
        return self.degree_hours_k_h(base_c) / 24.0

    def daily_mean_degree_days_k_d(self, base_c: float) -> float:
        """Degree-days from daily means [K d]; misses the cold nights of mild days, shown only to compare."""
        daily = self.outdoor_c.reshape(-1, 24).mean(axis=1)
        return float(np.maximum(base_c - daily, 0.0).sum())

    def percentile_design_c(self, share: float) -> float:
        """Temperature that is exceeded in `share` of the hours, such as 0.99 [°C]."""
        return float(np.percentile(self.outdoor_c, 100.0 * (1.0 - share)))


def design_temperature(weather: Weather) -> tuple[float, str]:
    """Outdoor design temperature and where it came from.

    Returns
    -------
    value_c, source : float, str
        The header's 99 % value where there is one, else the 99 % hourly percentile of the file.
    """
    if weather.design_99_c is not None and weather.synthetic:
        return weather.design_99_c, tr("99 % value that the synthetic year was made for")
    if weather.design_99_c is not None:
        return weather.design_99_c, tr("99 % value in the weather file's header")
    return weather.percentile_design_c(0.99), tr(
        "it is colder than this only about 88 hours a year in the weather file"
    )
