"""Degree-days against published climate normals of stations: of cold months by arithmetic, of years made from their monthly means."""

from __future__ import annotations

from dataclasses import replace

import pytest

from costsim.weather.model import BASE_C
from costsim.weather.synthesis import synthesize

# latitude, and the normals' mean temperatures by month [°F], from the same pages as the degree-days in tests/published/normals.csv
MEANS_F = {
    "chicago_1981": (42.0, [23.8, 27.7, 37.9, 48.9, 59.1, 68.9, 74.0, 72.4, 64.6, 52.5, 40.3, 27.7]),
    "rockford_1981": (42.2, [21.5, 25.9, 37.2, 49.4, 60.1, 69.8, 73.8, 71.9, 63.9, 51.7, 38.9, 25.4]),
    "chicago_1991": (42.0, [25.2, 28.8, 39.0, 49.7, 60.6, 70.6, 75.4, 73.8, 66.3, 54.0, 41.3, 30.5]),
    "grand_chain_1981": (37.2, [33.8, 38.1, 46.4, 56.5, 65.8, 73.9, 78.5, 77.8, 70.8, 59.0, 48.3, 36.9]),
    "chenoa_1981": (40.7, [24.8, 29.2, 40.3, 52.4, 63.0, 72.0, 74.7, 72.9, 66.1, 54.4, 41.6, 28.5]),
}


@pytest.mark.parametrize("station", MEANS_F)
def test_a_year_made_from_a_stations_monthly_means_has_its_degree_days(station: str, published) -> None:
    """Stations count degree-days from daily means, so the daily figure is compared; hours give more in mild months."""
    latitude, means_f = MEANS_F[station]
    rows = published("normals")
    for seed in (1, 2):
        year = synthesize(monthly_mean_c=[(one - 32.0) / 1.8 for one in means_f], latitude_deg=latitude, seed=seed)
        rows[f"{station}_year"].check(1.8 * year.daily_mean_degree_days_k_d(BASE_C))
        january = replace(year, outdoor_c=year.outdoor_c[: 31 * 24])
        rows[f"{station}_january"].check(1.8 * january.daily_mean_degree_days_k_d(BASE_C))
        assert year.degree_days_k_d(BASE_C) > year.daily_mean_degree_days_k_d(BASE_C)
