"""Zones of the house: by hand, one of them against the house itself, recovery in closed form, and together what the house is."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study, wavy_weather

from costsim import simulate
from costsim.engine import layout as k
from costsim.engine.batch import run_once
from costsim.engine.lower import lower_study
from costsim.engine.zones import zone_hours
from costsim.errors import InputError
from costsim.results.result import OptionResult
from costsim.study.case import Case, case_from
from costsim.views.answer import cold_zone
from costsim.views.tank_lines import tank_sections
from costsim.views.text_season import printed_case

ELECTRIC = {"kind": "electric", "output": "12 kW"}
NIGHT = {"indoor_temperature": "16 degC", "windows": ["22:00-06:00"]}
UP = {"name": "Up", "count": 2, "length": "60 m", "spacing": "150 mm", "flow": "2 L/min"}
DOWN = {"name": "Down", "count": 6, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}
LOOPS = [UP, DOWN]
HALVES = [
    {"name": "Upstairs", "load": "50 %", "loops": ["Up"]},
    {"name": "Downstairs", "load": "50 %", "loops": ["Down"]},
]
HOURS = np.arange(8760)
WAVES = wavy_weather(-4.0 + 6.0 * np.sin(2 * np.pi * HOURS / 24) + 6.0 * np.sin(2 * np.pi * HOURS / 8760))
TANK = {"tank__volume": "500 L", "tank__max_temperature": "60 degC"}


def zoned(*zones: dict[str, Any], source: dict[str, Any] = ELECTRIC, **tables: Any) -> Case:
    """A house with zones on two groups of loops."""
    return study(source, **{"house__zone": list(zones), "floor__loops": LOOPS, **tables})


def of_zones(option: OptionResult, name: str) -> float:
    """Sum over the zones."""
    return float(sum(getattr(zone, name) for zone in option.zones))


def test_a_zone_whose_loops_are_too_small_is_short_by_hand() -> None:
    # half of 6 kW at design; two loops of 60 m at 150 mm heat 18 m², which may give 8.92 · 9 K^1.1 W/m² each
    found = simulate(zoned(*HALVES), constant_weather(-10.0)).options[0]
    up, down = found.zones
    most = 2 * 60 * 0.15 * 8.92 * 9**1.1
    assert up.loops_give_w == pytest.approx(most, rel=0.01)
    assert (up.design_load_w, down.design_load_w) == pytest.approx((3000.0, 3000.0))
    assert up.unmet_j == pytest.approx((3000.0 - most) * 8760 * 3600, rel=0.01)
    assert up.loops_short_hours == up.unmet_hours == 8760
    assert (down.unmet_hours, down.loops_short_hours) == (0, 0)
    assert found.unmet.by_cause_j["floor"] == pytest.approx(up.unmet_j)
    assert not found.keeps_warm


@pytest.mark.parametrize("source", [ELECTRIC, {"kind": "electric", "output": "4 kW"}])
@pytest.mark.parametrize("tank", [{}, pytest.param(TANK | {"tank__stratification": "80 %"}, marks=pytest.mark.long)])
def test_zones_are_together_the_house(source: dict[str, Any], tank: dict[str, Any]) -> None:
    rooms = [
        HALVES[0] | {"load": "30 %", "indoor_temperature": "22 degC"},
        HALVES[1] | {"load": "40 %", "setback": [NIGHT]},
    ]
    third = UP | {"name": "Middle", "count": 4}
    found = simulate(zoned(*rooms, source=source, floor__loops=[*LOOPS, third], **tank), WAVES).options[0]
    assert [zone.name for zone in found.zones] == ["Upstairs", "Downstairs", "Rest of the house"]
    assert found.hourly.imbalance() < 1e-9
    assert of_zones(found, "heat_j") == pytest.approx(found.demand_j)
    assert of_zones(found, "unmet_j") == pytest.approx(found.unmet.energy_j, rel=1e-6)
    assert of_zones(found, "loops_short_j") == pytest.approx(found.unmet.by_cause_j["floor"], rel=1e-6, abs=1.0)
    assert of_zones(found, "design_load_w") == pytest.approx(200 * (0.3 * 22 + 0.7 * 20 + 10))
    # each zone wants its own loss where all of them want heat
    wants = simulate(zoned(*rooms, floor__loops=[*LOOPS, third]), constant_weather(0.0)).options[0].zones
    assert wants[0].heat_j == pytest.approx(0.3 * 200 * 22 * 8760 * 3600)
    assert wants[1].heat_j == pytest.approx(0.4 * 200 * (20 - 4 * 8 / 24) * 8760 * 3600)


def test_the_water_suits_the_neediest_zone() -> None:
    even = simulate(study(ELECTRIC, floor__loops=LOOPS, **TANK), constant_weather(-2.0)).options[0]
    found = simulate(zoned(*HALVES, **TANK), constant_weather(-2.0)).options[0]
    # 2.2 kW through the two small loops need warmer water than 4.4 kW through all
    assert float(found.hourly.tank_c[-1]) > float(even.hourly.tank_c[-1]) + 5.0
    supply = found.zones[0].supply_c
    assert supply is not None
    assert supply > float(found.hourly.tank_c[-1])


def test_one_zone_that_is_the_whole_house_fares_as_the_house_does() -> None:
    whole = {"name": "All", "load": "100 %", "setback": [NIGHT], "loops": ["Up", "Down"]}
    for source in (ELECTRIC, {"kind": "electric", "output": "7 kW"}):
        found = simulate(zoned(whole, source=source, floor__mass={}), WAVES).options[0]
        (zone,) = found.zones
        assert found.recovery is not None
        assert zone.recovery is not None
        assert zone.recovery.longest_h == pytest.approx(found.recovery.longest_h, abs=0.02)
        assert zone.recovery.median_h == pytest.approx(found.recovery.median_h, abs=0.02)
        assert zone.unmet_hours == found.unmet.hours


@pytest.mark.parametrize(("zone", "ready_w", "loss_w_k", "most_w"), [
    ({"load": "100 %", "loops": ["Up", "Down"]}, 7000.0, 200.0, 7000.0),  # the source is the limit
    ({"load": "50 %", "loops": ["Up"]}, 30000.0, 100.0, 36 * 100.0),  # or the zone's own floor, at 100 W/m²
])  # fmt: skip
def test_recovery_of_a_zone_in_closed_form(
    zone: dict[str, Any], ready_w: float, loss_w_k: float, most_w: float
) -> None:
    mass = {"room_capacity": "1000 kJ/(m2 K)", "feedback": 20}
    own = {"name": "Zone", "setback": [NIGHT | {"windows": ["00:00-24:00"], "days": "Sat"}], **zone}
    floor = {"floor__mass": mass, "floor__build_up": "plates", "floor__loops": [UP | {"count": 4}, DOWN]}
    common = lower_study(zoned(own, **floor), constant_weather(0.0))
    part = zone_hours(common, unmet_w=np.zeros(8760), ready_w=np.full(8760, ready_w))[0]
    assert part.room_c is not None
    start, share = int(np.flatnonzero(np.diff(part.part.setpoint_c) > 1)[3]) + 1, loss_w_k / 200.0
    assert 16.0 < float(part.room_c[start - 1]) < 19.0
    # once the panels are warm, panels and room rise as one node towards most_w / loss_w_k
    area = {1.0: 4 * 9.0 + 6 * 13.5, 0.5: 4 * 9.0}[share]
    end, capacity = most_w / loss_w_k, share * 100 * 1000e3 + area * 0.030 * 1e6
    path = part.room_c[start + 2 : start + 72]
    by_hand = capacity / loss_w_k / 3600.0 * np.log((end - path[0]) / (end - 19.5))
    first = int((path >= 19.5).argmax())
    took = first - 1 + (19.5 - path[first - 1]) / (path[first] - path[first - 1])
    assert took == pytest.approx(by_hand, rel=0.03)


def test_a_house_with_mass_is_short_where_a_zone_is() -> None:
    found = simulate(zoned(*HALVES, floor__mass={}), constant_weather(-10.0)).options[0]
    up, down = found.zones
    assert up.loops_short_hours == up.unmet_hours > 8000
    assert down.unmet_hours == 0
    assert found.unmet.hours == up.unmet_hours
    assert found.unmet.by_cause_j["floor"] == pytest.approx(up.unmet_j) == pytest.approx(found.unmet.energy_j)
    assert not found.keeps_warm


def test_naming_zones_makes_no_house_warmer() -> None:
    """The slab sees the water of the neediest zone, and a house is as warm as its coldest zone."""
    house = {"source": {"kind": "electric", "output": "5.2 kW"}, "floor__mass": {}, "house__max_unmet_hours": 100}
    halves = [HALVES[0] | {"load": "35 %"}, HALVES[1] | {"load": "65 %"}]
    cases = [zoned(*zones, **house, **TANK) for zones in ((), halves)]
    plain, parted = (lower_study(case, WAVES).water for case in cases)
    assert plain.mass is not None
    assert parted.mass is not None
    hotter = parted.resistance_k_w - plain.resistance_k_w
    assert hotter > 0
    assert parted.mass.water_resistance_k_w - plain.mass.water_resistance_k_w == pytest.approx(hotter)
    whole, found = (simulate(case, WAVES).options[0] for case in cases)
    coldest = max(found.zones, key=lambda zone: zone.unmet_hours)
    assert found.unmet.hours >= max(coldest.unmet_hours, whole.unmet.hours)
    assert sum(found.unmet.by_cause_j.values()) == pytest.approx(found.unmet.energy_j, rel=1e-3)
    assert coldest.unmet_hours > 100
    assert not found.keeps_warm
    assert coldest.name in cold_zone(found)


def test_zones_are_told_with_their_loops_and_recovery() -> None:
    case = zoned(HALVES[0] | {"load": "20 %", "setback": [NIGHT]}, floor__mass={})
    result = simulate(case, WAVES)
    lines = dict(tank_sections(result, "us"))["Zones of the house"]
    assert "one, Upstairs: design load 4.1 kBtu/h, its 2 loops give" in lines[0]
    assert "back to 68 °F in" in lines[0]
    assert "always warm enough" in lines[1]
    assert {one.key for one in result.assumptions} >= {"house.zone"}


def test_scenarios_see_the_zones_loops() -> None:
    case = zoned(*HALVES)
    found = simulate(case, WAVES).options[0]
    sums = run_once(lower_study(case, WAVES), case.options[0]).sums[0]
    assert sums[k.SUM_SHORT] == pytest.approx(found.unmet.energy_j)


@pytest.mark.parametrize(("zones", "tables", "words"), [
    ([HALVES[0] | {"loops": ["Attic"]}], {}, r"house.zone\[1\].loops\[1\].*'Attic'.*use one of Down, Up"),
    ([HALVES[0] | {"loops": ["Up", "Down"]}], {}, "Rest of the house has no loops"),
    ([HALVES[0]], {}, "no floor is described"),
    ([HALVES[0] | {"loops": ["Bath"]}], {"floor__loops": [UP | {"name": "Top: Bath + Hall"}, DOWN]}, "Upstairs takes only part of it"),
])  # fmt: skip
def test_loops_that_cannot_be_are_one_line_each(
    zones: list[dict[str, Any]], tables: dict[str, Any], words: str
) -> None:
    with pytest.raises(InputError, match=words) as caught:
        zoned(*zones, **tables) if words != "no floor is described" else study(ELECTRIC, house__zone=zones)
    assert len(caught.value.faults) == 1


def test_options_with_floors_of_their_own_have_the_loops() -> None:
    data = dict(study(ELECTRIC).typed)
    data["house"] = {**data["house"], "zone": [HALVES[0]]}
    data["option"] = [{**data["option"][0], "floor": {"loops": LOOPS}}]
    case = case_from(data)
    assert [zone.loops for zone in simulate(case, WAVES).options[0].zones] == [2, 6]
    assert "zone              Upstairs: 50% of the heat loss at 20.0 °C, loops Up" in printed_case(case, WAVES, "si")


def test_zones_name_levels_and_rooms_of_a_layout() -> None:
    rooms = [{"name": "Bath", "area": "12 m2", "thermostat": "Bath"}, {"name": "Bed", "area": "30 m2"}]
    layout = {"level": [{"name": "Upper", "room": rooms}, {"name": "Lower", "area": "50 m2"}]}
    zones = [
        {"name": "Wet", "load": "15 %", "loops": ["Upper: Bath"]},
        {"name": "Ground", "load": "50 %", "loops": ["Lower"]},
    ]
    found = simulate(study(ELECTRIC, house__zone=zones, floor__layout=layout, **TANK), WAVES).options[0]
    assert [zone.name for zone in found.zones] == ["Wet", "Ground", "Rest of the house"]
    assert all(zone.loops and zone.loops > 0 for zone in found.zones)
