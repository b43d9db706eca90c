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


def test_a_bath_that_its_surface_holds_back_sets_the_water_of_the_layout_by_what_it_bears() -> None:
    """Of 6 kW a bath of 10 m2 is asked 1.5 kW: 150 W/m2, of which EN 1264-2 lets a bath at 20 + 9 K give 8.92 * 9^1.1 = 100 W/m2.

    So it takes water 100/150 as far over the room as its load would, and no room takes hotter. At two thirds of the design
    load, -10 °C at 10/30 of 30 K, the bath has all it asks. What sources see in the year goes along the line of the bath's own need, as
    hot as any loop may have it.
    """
    rooms = [
        {"name": "Bath", "area": "10 m2", "heat_loss": "1.5 kW", "zone": "bathroom"},
        {"name": "Hall", "area": "90 m2", "heat_loss": "4.5 kW"},
    ]
    case = study(
        {"kind": "electric", "output": "12 kW"},
        floor__layout={"level": [{"name": "Ground", "room": rooms}]},
        tank__volume="300 L",
        tank__max_temperature="85 degC",
    )
    assert case.floor is not None
    found = {}
    for outdoor_c in (-10.0, 2.0):
        weather = constant_weather(outdoor_c)
        common, laid = lower_study(case, weather), layout(case, weather)
        found[outdoor_c] = float(common.surroundings.water_c.max())
    bath = next(one for one in laid.loops if one.circuit.name.endswith("Bath"))
    line_c = bath.design.supply_c
    assert 100.0 / 150.0 * (line_c - 20.0) == pytest.approx(laid.supply_c - 20.0, rel=0.01)
    assert laid.supply_c == pytest.approx(bath.most_c)
    # the hall takes a valve of its own, for it needs much cooler water; the bath has the main one
    assert list(laid.cooler) == ["Ground: Hall"]
    # sources see water as hot as a loop of the hall may have it, which is more than helps the bath and less than its line
    assert found[-10.0] == pytest.approx(max(one.most_c for one in laid.loops))
    assert laid.supply_c < found[-10.0] < line_c
    # the study's balance point and its 30 K of design settle the load of a milder day
    share = common.demand_w[0] / 6000.0
    assert found[2.0] == pytest.approx(20.0 + share * (line_c - 20.0))
