"""Pools, snow melting and hourly heat: against published equations, by hand, and read from files."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, one, sample_weather, wavy_weather, with_uses

from costsim import simulate
from costsim.engine import layout as k
from costsim.engine.batch import run_once
from costsim.engine.lower import lower_study
from costsim.engine.outdoor_uses import snowfall_m_s
from costsim.errors import InputError
from costsim.physics.wet_surface import melting_w_m2, pool_loss_w_m2, vapor_pressure_kpa
from costsim.study.case import case_from
from costsim.study_files import StudyFiles
from costsim.units.table import BTU_J, FOOT_M

FLUX = BTU_J / 3600.0 / FOOT_M**2
"""Watts a square meter for each Btu/(h ft²)."""
INCH_HG_KPA = 3.38639
TAP = {"kind": "hot_water", "people": 3}
POOL = {"kind": "pool_or_tub", "area": "30 m2", "water_temperature": "27 degC"}
SNOW = {"kind": "snow_melt", "area": "60 m2", "snowfall": "1 m"}
HOURLY = {"kind": "profile", "name": "Shop", "hours": "shop.csv"}


def test_wet_surfaces_give_the_published_values(published) -> None:
    rows = published("uses")
    for kelvin in (10, 30):
        rows[f"vapor_{kelvin}"].check(float(vapor_pressure_kpa(kelvin)))
    # one inch of mercury between water and air of the same temperature, walls as warm: evaporation alone
    water = 30.0
    dew = 237.3 / (17.27 / np.log((float(vapor_pressure_kpa(water)) - INCH_HG_KPA) / 0.6108) - 1.0)
    for key, wind in (("carrier_still", 0.0), ("carrier_wind", 400 * FOOT_M / 60)):
        lost = pool_loss_w_m2(water_c=water, outdoor_c=water, dew_point_c=dew, wind_m_s=wind, sky_c=water)
        rows[key].check(float(lost) / FLUX)
    tenth = 0.1 * FOOT_M / 12 / 3600
    still = {"dew_point_c": 0.56, "sky_c": 0.56, "coefficient_w_m2k": 0.0}
    rows["snow_heat"].check(float(melting_w_m2(snowfall_m_s=tenth, outdoor_c=0.56, **still)) / FLUX)
    cold = 2.0 - 8.0 * np.cos(2 * np.pi * np.arange(8760) / 8760)
    fall, _ = snowfall_m_s(cold, 43 * FOOT_M / 12 * 0.1)
    rows["boston_hours"].check(float(np.count_nonzero(fall)))


def test_a_pool_loses_by_hand_and_a_cover_saves() -> None:
    air = constant_weather(15.0)
    bare = one(POOL | {"shelter": "0 %", "humidity": "60 %"}, weather=air).uses[0].heat_j / 8760 / 3600
    # still air: 88.5 W/(m² kPa) × 0.74 × (3.57 − 0.6 × 1.70) kPa and 88.5 × 0.0665 × 12 K, with the clear sky at −4 °C
    sky = 288.15 * (0.711 + 0.56 * 0.073 + 0.73 * 0.073**2) ** 0.25
    by_hand = 88.5 * 0.74 * (3.567 - 0.6 * 1.705) + 88.5 * 0.0665 * 12 + 0.95 * 5.67e-8 * (300.15**4 - sky**4)
    assert bare == pytest.approx(30 * by_hand, rel=0.01)
    covered = one(POOL | {"cover": ["00:00-24:00"]}, weather=air).uses[0].heat_j / 8760 / 3600
    assert covered == pytest.approx(30 * 5.0 * 12)
    indoors = one(POOL | {"indoor_air": "29 degC"}, weather=air).uses[0].heat_j / 8760 / 3600
    # warmer air gives back what little evaporation leaves: 88.5 × 0.74 × (3.57 − 0.55 × 4.01) − 88.5 × 0.0665 × 2 − radiation
    warm = 88.5 * 0.74 * (3.567 - 0.55 * 4.006) - 88.5 * 0.0665 * 2 - 0.95 * 5.67e-8 * (302.15**4 - 300.15**4)
    assert indoors == pytest.approx(30 * warm, rel=0.01)


def test_a_season_begins_by_warming_the_water_and_sun_is_kept_for_days_after() -> None:
    air = constant_weather(10.0)
    covered = {"cover": ["00:00-24:00"], "cover_u_value": "0.1 W/(m2 K)"}
    found = one(POOL | covered | {"months": "May-Sep", "depth": "1 m"}, weather=air).uses[0].heat_j
    # 30 m³ through 17 K, and the cover's loss in 153 days
    assert found == pytest.approx(30 * 4.16e6 * 17 + 0.1 * 17 * 30 * 153 * 86400, rel=1e-6)
    sunny = sample_weather()
    hot = one(POOL | {"months": "Jul"}, weather=sunny).uses[0].heat_j
    dark = one(POOL | {"months": "Jul"}, weather=wavy_weather(sunny.outdoor_c)).uses[0].heat_j
    assert hot < 0.7 * dark


def test_snow_falls_in_the_cold_and_is_all_there() -> None:
    air = 5.0 - 10.0 * np.cos(2 * np.pi * np.arange(8760) / 8760)
    fall, first = snowfall_m_s(air, 0.1)
    assert float(fall.sum() * 3600) == pytest.approx(0.1)
    assert air[fall > 0].max() <= 1.0
    assert len(first) == pytest.approx(100 / 6, abs=2)
    assert not snowfall_m_s(np.full(8760, 20.0), 0.1)[0].any()
    # what melts 0.1 m of water, once with nothing free, is in the heat; idling adds to it
    off, idle = (one(SNOW | more, weather=wavy_weather(air)).uses[0].heat_j for more in ({}, {"idle_below": "0 degC"}))
    assert off > 0.1 * 1000 * 334e3 * 60
    assert idle > 1.5 * off
    buried = one(SNOW | {"free": "0 %", "back_loss": "0 %"}, weather=wavy_weather(air)).uses[0].heat_j
    assert 0.1 * 1000 * 334e3 * 60 < buried < off


def test_hourly_heat_comes_from_a_file(tmp_path: Path) -> None:
    data = {**with_uses(TAP).typed, "use": [HOURLY]}
    hours = np.arange(8760) % 24 / 10
    (tmp_path / "shop.csv").write_text("heat [kW]\n" + "\n".join(map(str, hours)) + "\n")
    found = simulate(case_from(data, files=StudyFiles(tmp_path)), constant_weather(0.0)).options[0]
    assert found.uses[0].heat_j == pytest.approx(hours.sum() * 3.6e6)
    assert found.uses[0].unmet_hours == 0
    assert found.hourly.imbalance() < 1e-9
    for text, words in (
        ("heat [kW]\n1\n", "no whole year"),
        ("warmth [kW]\n1\n", r"headed 'heat \[kW\]'"),
        ("heat [degF]\n" + "1\n" * 8760, "neither energy nor power|unit"),
        ("heat [kW]\n-1\n", "row 2: '-1' is not a reading"),
    ):
        (tmp_path / "shop.csv").write_text(text)
        with pytest.raises(InputError, match=rf"use\[1\]\.hours: 'shop\.csv'.*({words})"):
            case_from(data, files=StudyFiles(tmp_path))


@pytest.mark.parametrize(("use", "words"), [
    (POOL | {"water_temperature": "120 degF"}, "water_temperature"),
    (POOL | {"area": "-1 ft2"}, "area"),
    (POOL | {"months": "Mai"}, "Mai"),
    (POOL | {"cover": ["25:00-08:00"]}, "25:00"),
    (SNOW | {"snowfall": "43"}, "snowfall"),
    (SNOW | {"free": "120 %"}, "free"),
    (HOURLY | {"return_temperature": "50 degC"}, "return_temperature"),
    (SNOW | {"design_supply_temperature": "70 degC"} | {"kind": "snow"}, "kind"),
])  # fmt: skip
def test_outdoor_uses_that_cannot_be_are_one_line_each(use: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        with_uses(use)
    assert len(caught.value.faults) == 1


def test_a_pool_waits_until_the_house_is_warm() -> None:
    # 6 kW for the house at -10 °C and no more to be had: nothing for the pool; from 5 °C on 3 kW are idle
    weather = wavy_weather(np.repeat([-10.0, 5.0], [4380, 4380]))
    weak = {"kind": "electric", "output": "6 kW"}
    alone, late, early = (
        one(*uses, weather=weather, source=weak) for uses in ((), (POOL,), (POOL | {"priority": "before_house"},))
    )
    assert alone.unmet.hours == 0
    assert late.unmet.energy_j < 0.001 * late.demand_j
    assert early.unmet.hours > 4000
    pool = late.uses[0]
    assert pool.heat_j == pytest.approx(early.uses[0].heat_j)
    assert pool.unmet_hours == 8760
    given = late.hourly.use_delivered_w
    assert float(given[:4300].max()) < 1.0
    assert float(given[4400:].mean()) == pytest.approx(3000, rel=0.01)
    assert pool.heat_j - pool.unmet_j == pytest.approx(float(given.sum()) * 3600, rel=1e-6)
    assert late.hourly.imbalance() < 1e-9


def test_what_is_idle_goes_to_the_uses_in_the_order_typed() -> None:
    weather = constant_weather(5.0)
    weak = {"kind": "electric", "output": "5 kW"}
    pools = [POOL | {"name": name, "area": "10 m2"} for name in ("first", "second")]
    found = one(*pools, TAP, weather=weather, source=weak)
    first, second, tap = found.uses
    # the taps before the house, typed last; then the pools one after the other
    assert tap.unmet_j < 0.001 * tap.heat_j
    assert found.unmet.energy_j < 0.001 * found.demand_j
    assert first.unmet_j < second.unmet_j


def test_scenarios_let_the_house_come_first_too() -> None:
    weather = wavy_weather(np.repeat([-10.0, 5.0], [4380, 4380]))
    case = with_uses(POOL, source={"kind": "electric", "output": "6 kW"})
    sums = run_once(lower_study(case, weather), case.options[0]).sums[0]
    found = simulate(case, weather).options[0]
    assert sums[k.SUM_SHORT] == pytest.approx(found.unmet.energy_j, abs=1e3)
    assert sums[k.SUMS] == pytest.approx(found.sources[0].heat_j)


def test_a_snow_field_loses_to_air_and_sky_by_hand() -> None:
    """Chapman's sum with handbook constants: 1 mm of water an hour at -10 °C, 15 W/(m² K), a sky of -20 °C."""
    where = {"dew_point_c": -12.0, "sky_c": -20.0, "coefficient_w_m2k": 15.0, "outdoor_c": -10.0}
    flow = 1e-3 / 3600 * 1000.0
    melting = flow * (2100 * 10 + 4190 * 0.56 + 334e3)
    film, dew = 0.6108 * np.exp(17.27 * 0.56 / (0.56 + 237.3)), 0.6108 * np.exp(17.27 * -12 / (-12 + 237.3))
    bare = 15 * 10.56 + 0.95 * 5.67e-8 * (273.71**4 - 253.15**4) + 15 / 0.0665 * (film - dew)
    assert float(melting_w_m2(snowfall_m_s=1e-3 / 3600, **where)) == pytest.approx(melting + bare, rel=1e-6)
    half = melting_w_m2(snowfall_m_s=1e-3 / 3600, free_share=0.5, **where)
    assert float(half) == pytest.approx(melting + bare / 2, rel=1e-6)
    # dew does not pay for the melting, and a mild day asks for nothing
    moist = {"dew_point_c": 3.0, "sky_c": 0.56, "coefficient_w_m2k": 15.0}
    assert float(melting_w_m2(snowfall_m_s=0.0, outdoor_c=0.56, **moist)) == 0.0
    assert float(melting_w_m2(snowfall_m_s=0.0, outdoor_c=5.0, **moist)) == 0.0
