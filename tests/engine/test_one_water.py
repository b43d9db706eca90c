"""One water temperature at design: what Layout says to set, what zones are told to get, and what the year starts from."""

from __future__ import annotations

import pytest
from cases import constant_weather, study

from costsim import simulate
from costsim.analysis.layout import layout
from costsim.analysis.needs import supply_at_design_c
from costsim.engine.lower import lower_study
from costsim.study.zone_loops import mean_kept_c


@pytest.mark.long
def test_a_cool_zone_leaves_one_water_for_year_layout_and_zones() -> None:
    """A fifth at 10 °C and the rest at 20 °C keep 18 °C in the mean: from there 6 kW reach what the neediest room takes."""
    level = [{"name": name, "area": area} for name, area in (("House", "80 m2"), ("Garage", "20 m2"))]
    named = [
        {"name": "Garage", "load": "20 %", "indoor_temperature": "10 degC", "loops": ["Garage"]},
        {"name": "House", "load": "80 %", "loops": ["House"]},
    ]
    shared = [{"name": "Garage", "load": "20 %", "indoor_temperature": "10 degC"}]
    weather, found = constant_weather(-10.0), []
    for zone in ([], named, shared):
        case = study(
            {"kind": "electric", "output": "12 kW"},
            house__zone=zone,
            floor__layout={"level": level},
            tank__volume="300 L",
        )
        common = lower_study(case, weather)
        laid = layout(case, weather)
        mean_c = 18.0 if zone else 20.0
        assert mean_kept_c(case.house) == pytest.approx(mean_c)
        # what Layout says to set, what the year adds to its rooms at the design load, and what the drawing shows
        assert mean_c + common.water.resistance_k_w * 6000.0 == pytest.approx(laid.supply_c)
        assert supply_at_design_c(common) == pytest.approx(laid.supply_c)
        assert laid.year_supply_c == pytest.approx(laid.supply_c)
        found.append(laid.supply_c)
        told = simulate(case, weather).options[0].zones
        assert [one.supply_c for one in told if one.supply_c] == pytest.approx(
            [laid.supply_c] * (2 if zone is named else 0)
        )
    assert found == pytest.approx([found[0]] * 3)


def test_radiators_of_a_house_with_a_cool_zone_keep_their_water() -> None:
    """Typed 60 °C at design: 18 °C in the mean and 6 kW at 42 K / 6 kW."""
    zone = [{"name": "Garage", "load": "20 %", "indoor_temperature": "10 degC"}]
    house = {
        "house__emitter": "radiators",
        "house__design_supply_temperature": "60 degC",
        "tank__volume": "300 L",
        "tank__max_temperature": "80 degC",
    }
    common = lower_study(
        study({"kind": "electric", "output": "12 kW"}, house__zone=zone, **house), constant_weather(-10.0)
    )
    assert common.water.resistance_k_w == pytest.approx(42.0 / 6000.0)
    assert supply_at_design_c(common) == pytest.approx(60.0)
