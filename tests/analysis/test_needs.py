"""What a circuit asks of its parts: growth of the water and the vessel, by hand."""

from __future__ import annotations

import pytest
from cases import study

from costsim import read_weather
from costsim.analysis.needs import needed_vessel_m3, needs_of
from costsim.engine.lower import lower_study
from costsim.study.ratings import Ratings, vessel_volume_m3
from costsim.units.fields import build
from costsim.weather import find_weather

GREENSBORO = read_weather(find_weather("greensboro.csv"))
ELECTRIC = {"kind": "electric", "output": "9 kW"}


@pytest.mark.parametrize("top_c", [60, 80])
def test_water_grows_by_the_steam_tables(published, top_c: int) -> None:
    case = study(ELECTRIC, tank__volume="600 L", tank__max_temperature=f"{top_c} degC")
    needs = needs_of(lower_study(case, GREENSBORO))
    published("layout")[f"water_growth_{top_c}"].check(needs.swell_share * 100)


def test_vessel_by_en_12828(published) -> None:
    volume = vessel_volume_m3(content_m3=0.6, swell_share=0.035, fill_pa=1.3e5, relief_pa=3e5)
    assert volume is not None
    published("layout")["vessel_en_12828"].check(volume * 1e3)


def test_the_needed_vessel_counts_tank_tubes_and_further_water() -> None:
    """600 L and 40 L in the units, from 10 to 80 °C: 640 L × 2.87 % and 3.2 L, × 3.513 / 1.2."""
    case = study(ELECTRIC, tank__volume="600 L", tank__max_temperature="80 degC")
    ratings = build(Ratings, {"relief_pressure": "3 bar", "fill_pressure": "1.3 bar", "extra_water_volume": "40 L"})
    volume = needed_vessel_m3(lower_study(case, GREENSBORO), ratings)
    assert volume == pytest.approx((640 * 0.0287 + 3.2) * 3.51325 / 1.2 / 1e3, rel=0.02)
    usual = build(Ratings, {"relief_pressure": "30 psi", "fill_pressure": "12 psi"})
    lowered = lower_study(case, GREENSBORO)
    assert needed_vessel_m3(lowered, Ratings()) == pytest.approx(needed_vessel_m3(lowered, usual))
