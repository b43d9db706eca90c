"""What a circuit asks of its parts: growth of the water and the vessel, by hand."""

from __future__ import annotations

import copy
import math

import pytest
from cases import demo, sample_weather, study

from costsim.analysis.layout import layout
from costsim.analysis.needs import contents_m3, needed_vessel_m3, needs_of
from costsim.engine.lower import lower_study
from costsim.physics.expansion import en_vessel_m3, us_tank_m3
from costsim.study.case import case_from
from costsim.study.ratings import Ratings
from costsim.units.fields import build
from costsim.units.quantity import GALLON_M3

GREENSBORO = sample_weather()
ELECTRIC = {"kind": "electric", "output": "9 kW"}


@pytest.mark.parametrize("top_c", [60, 80])
def test_water_grows_by_the_steam_tables(published, top_c: int) -> None:
    case = study(ELECTRIC, tank__volume="600 L", tank__max_temperature=f"{top_c} degC")
    needs = needs_of(lower_study(case, GREENSBORO))
    published("layout")[f"water_growth_{top_c}"].check(needs.swell_share * 100)


def test_vessel_by_en_12828(published) -> None:
    volume = en_vessel_m3(content_m3=0.6, swell_share=0.035, fill_pa=1.3e5, relief_pa=3e5)
    assert volume is not None
    published("layout")["vessel_en_12828"].check(volume * 1e3)


def test_tank_by_the_us_rule(published) -> None:
    psi = 6894.757
    volume = us_tank_m3(content_m3=143 * GALLON_M3, swell_share=0.043, fill_pa=12 * psi, relief_pa=30 * psi)
    assert volume is not None
    published("layout")["us_tank"].check(volume / GALLON_M3)
    assert us_tank_m3(content_m3=1.0, swell_share=0.04, fill_pa=26 * psi, relief_pa=30 * psi) is None


def test_one_content_with_mains_for_layout_needs_and_weight() -> None:
    """80 gal and 15 ft of 1 in PEX there and back upstairs, 0.862 in inside: π/4 × 0.862² × 360 in³ are 0.909 gal."""
    case = case_from(copy.deepcopy(demo("two_levels")))
    parts = contents_m3(case)
    assert parts["mains"] / GALLON_M3 == pytest.approx(math.pi / 4 * 0.862**2 * 360 / 231, rel=0.01)
    needs, plan = needs_of(lower_study(case, GREENSBORO)), layout(case, GREENSBORO)
    assert needs.content_m3 == pytest.approx(math.fsum(parts.values()))
    assert plan.fluid.total_m3 == pytest.approx(needs.content_m3)


def test_the_needed_vessel_counts_tank_tubes_and_further_water() -> None:
    """600 L and 40 L in the units, from 10 to 80 °C: 640 L × 2.87 % and 3.2 L, × 3.513 / 1.2."""
    case = study(ELECTRIC, tank__volume="600 L", tank__max_temperature="80 degC")
    ratings = build(Ratings, {"relief_pressure": "3 bar", "fill_pressure": "1.3 bar", "extra_water_volume": "40 L"})
    volume = needed_vessel_m3(lower_study(case, GREENSBORO), ratings, "si")
    assert volume == pytest.approx((640 * 0.0287 + 3.2) * 3.51325 / 1.2 / 1e3, rel=0.02)
    usual = build(Ratings, {"relief_pressure": "30 psi", "fill_pressure": "12 psi"})
    lowered = lower_study(case, GREENSBORO)
    # 40 ft of water are 17.3 psi, and 0.3 bar at the top 4.4: 21.7 psi, more than the usual 12
    high, typed = build(Ratings, {"height": "40 ft"}), build(Ratings, {"fill_pressure": "21.7 psi"})
    assert needed_vessel_m3(lowered, high, "us") == pytest.approx(needed_vessel_m3(lowered, typed, "us"), rel=0.02)
    assert needed_vessel_m3(lowered, Ratings(), "us") == pytest.approx(needed_vessel_m3(lowered, usual, "us"))
