"""Towns whose years are made from climate normals."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from costsim import InputError
from costsim.weather.means import means_of
from costsim.weather.synthesis import synthesize
from costsim.weather.towns import towns, towns_like

YEARS = {"Duluth, MN": 39.6, "Boston, MA": 51.4, "Fairbanks, AK": 27.6, "Denver, CO": 50.4, "Burlington, VT": 45.8}
"""Mean of the whole year [°F], the last column of the same table of normals (NOAA, 1981 to 2010)."""


@pytest.mark.parametrize(("name", "mean"), YEARS.items())
def test_the_months_of_a_town_give_the_years_mean_that_is_printed_beside_them(name: str, mean: float) -> None:
    assert np.mean(towns()[name].monthly_mean_f) == pytest.approx(mean, abs=0.1)


def test_degree_days_of_a_month_are_those_the_weather_service_prints() -> None:
    # Peoria, January: mean 24.9 °F and 1,243 heating degree-days, normals 1981 to 2010 (National Weather Service, Lincoln)
    hours = synthesize(**towns()["Peoria, IL"].for_synthesis()).outdoor_c[: 31 * 24] * 1.8 + 32.0
    days = hours.reshape(31, 24).mean(axis=1)
    assert np.maximum(65.0 - days, 0.0).sum() == pytest.approx(1243, abs=2)


def test_every_town_lies_where_its_clock_says_and_its_cold_night_below_its_coldest_month() -> None:
    for town in towns().values():
        assert 24.0 < town.latitude_deg < 72.0, town
        assert abs(town.longitude_deg / 15.0 - town.utc_offset_h) < 2.1, town
        assert -10.0 <= town.altitude_m < 2400.0, town
        assert len(town.monthly_mean_f) == 12, town
        if town.design_99_c is not None:
            gap = (min(town.monthly_mean_f) - 32.0) / 1.8 - town.design_99_c
            assert 5.0 < gap < 25.0, town


def test_a_year_is_as_cold_as_the_design_temperature_of_its_town() -> None:
    for name in ("Duluth, MN", "Seattle, WA", "Great Falls, MT"):
        town = towns()[name]
        made = synthesize(**town.for_synthesis())
        assert float(np.percentile(made.outdoor_c, 1.0)) == pytest.approx(town.design_99_c, abs=0.1)
        assert (made.synthetic, made.ghi_w_m2) == (True, None)


def test_a_town_is_found_however_it_is_written() -> None:
    assert towns_like("Duluth 55802") == towns_like("DULUTH MN") == ["Duluth, MN"]
    assert towns_like("st. louis") == ["St. Louis, MO"]
    assert towns_like("Bangor") == towns_like("  ") == []


def test_means_are_those_of_the_file_before_those_of_a_town(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert means_of("Denver, CO", "1 °F")["design_99_c"] == pytest.approx(-17.2, abs=0.03)  # (1 - 32) / 1.8
    assert means_of("Duluth, MN")["design_99_c"] == -26.6
    rows = "".join(f"{month},10\n" for month in range(1, 13))
    Path("Duluth, MN").write_text(
        f"# latitude: 47\n# longitude: 7\n# utc_offset: 1\nmonth,mean [degC]\n{rows}", encoding="utf-8"
    )
    assert means_of("Duluth, MN")["monthly_mean_c"] == [10.0] * 12


@pytest.mark.parametrize(
    ("named", "cold", "told"),
    [
        ("Portland", "", "write one of: Portland, ME; Portland, OR"),
        ("Denver, CO", "", "no 99% design temperature of Denver, CO is known; give it as --cold"),
        ("Denver, CO", "cold", "--cold"),
        ("Nowhere", "", "'Nowhere' is not in the list of towns.*; give a CSV with the twelve monthly means"),
        (
            "Bozeman, MT",
            "",
            "'Bozeman, MT' is not in the list.*winters like yours: Billings, MT;.*; Helena, MT.*; or give a CSV",
        ),
        ("nowhere.csv", "", r"nowhere\.csv: cannot be read"),
    ],
)
def test_what_is_missing_of_a_town_is_asked(named: str, cold: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        means_of(named, cold)
