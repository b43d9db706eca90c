"""A house on two kinds of emitter: the tank serves the hotter, the floor gets its share behind a valve; all by hand."""

from __future__ import annotations

from typing import Any

import pytest
from cases import constant_weather, study

from costsim import simulate
from costsim.engine.emitter_circuits import part_of_slab, quick_mass
from costsim.engine.lower import lower_study
from costsim.engine.setpoint import setpoint_c
from costsim.engine.zone_water import ZoneWater
from costsim.errors import InputError
from costsim.study.case import Case
from costsim.study.emitter_parts import emitter_supply_c, floor_share

NEAR = pytest.approx
ELECTRIC = {"kind": "electric", "output": "12 kW"}
HEAT_PUMP = {"kind": "heat_pump", "outdoor": ["-15 degC", "7 degC"], "outputs": ["10 kW", "12 kW"]}
UP = {"name": "Upstairs", "load": "60 %", "emitter": "baseboard"}
SLAB = [{"name": "Slab", "count": 6, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
HOT = {"tank__volume": "500 L", "tank__max_temperature": "80 degC"}
NIGHT = {"indoor_temperature": "16 degC", "windows": ["22:00-06:00"]}


def mixed(source: dict[str, Any] = ELECTRIC, zone: dict[str, Any] = UP, **tables: Any) -> Case:
    """6 kW at -10 °C outside and 20 °C inside: 60 % by baseboard, 40 % by a floor."""
    return study(source, **{"house__zone": [zone], **tables})


@pytest.mark.parametrize(("outdoor_c", "water_c"), [(-10.0, 75.0), (5.0, 52.27), (20.0, 20.0)])
def test_all_water_is_on_the_reset_line_of_the_hotter_emitter(outdoor_c: float, water_c: float) -> None:
    # 75 °C at 6 kW for a room of 20 °C; at half of it 20 + 55 · 0.5^(1/1.3), since baseboard gives heat with the 1.3 power (EN 442)
    seen = lower_study(mixed(), constant_weather(outdoor_c)).surroundings
    assert float(seen.water_c[0]) == pytest.approx(water_c, abs=0.005)


def test_a_source_pays_for_the_hotter_water_as_if_all_the_house_took_it() -> None:
    cold, floor = constant_weather(0.0), {"house__emitter": "radiant_floor"}
    both, hot, cool = (
        simulate(case, cold).options[0].cost_total
        for case in (
            mixed(HEAT_PUMP),
            study(HEAT_PUMP, house__emitter="baseboard"),
            study(HEAT_PUMP, **floor),
        )
    )
    assert both == NEAR(hot, rel=1e-12)
    assert both > 1.2 * cool


def test_returns_mix_by_what_each_circuit_takes_from_the_mains() -> None:
    # baseboard cools its 75 °C by 10 K; the floor, 45 °C behind its valve, gives back 35 °C: 40 K below the mains
    water = lower_study(mixed(), constant_weather(-10.0)).water
    up, floor = water.circuits
    assert (up.supply_c, up.valved, floor.supply_c, floor.valved, floor.load_share) == (
        NEAR(75.0), False, 45.0, True, NEAR(0.4),
    )  # fmt: skip
    assert water.drop_k_w * 6000.0 == NEAR(1.0 / (0.6 / 10.0 + 0.4 / 40.0))


@pytest.mark.parametrize(("house", "zone", "supplies"), [
    ({}, {"emitter": "radiators"}, (65.0, 45.0)),
    ({"house__design_supply_temperature": "70 degC"}, {}, (70.0, 45.0)),  # that of the hotter one
    ({"house__design_supply_temperature": "40 degC"}, {}, (40.0, 40.0)),
    ({"house__emitter": "baseboard"}, {"emitter": "radiant_floor_tile"}, (35.0, 75.0)),
    ({"tank__volume": "300 L", "tank__max_temperature": "60 degC"}, {}, (60.0, 45.0)),
])  # fmt: skip
def test_water_of_each_part(house: dict[str, Any], zone: dict[str, Any], supplies: tuple[float, float]) -> None:
    water = lower_study(mixed(zone=UP | zone, **house), constant_weather(-10.0)).water
    assert tuple(float(one.supply_c) for one in water.circuits) == NEAR(supplies)
    assert [float(one.tank_c) for one in water.circuits] == NEAR([max(supplies)] * 2)
    for one in water.circuits:
        assert one.valved == (one.floor and float(one.supply_c) < max(supplies) - 0.5)


def test_a_floor_that_is_described_gets_its_share_and_the_baseboard_the_rest() -> None:
    water = lower_study(mixed(floor__loops=SLAB, **HOT), constant_weather(-10.0)).water
    up, rest = water.zones
    # baseboard for 3.6 kW with 75 °C gives at most 60/55 of it from the tank's 80 °C
    assert (up.heat_w_k, up.limit_w) == NEAR((3600.0 / 55.0, 3600.0 * (60.0 / 55.0) ** 1.3))
    # six loops over 13.5 m² each: 100 W/m² of EN 1264-2, or what the water brings
    gives = sum(one.count * one.heat_w_k for one in water.loops)
    assert rest.limit_w == NEAR(min(81.0 * 8.92 * 9.0**1.1, 60.0 * gives), rel=1e-3)
    slab = water.circuits[1]
    assert float(slab.supply_c) == NEAR(20.0 + 2400.0 / gives)
    assert slab.drop_k == NEAR(2400.0 / (6 * 3 / 60e3 * water.density_kg_m3 * water.heat_capacity_j_kgk))
    assert water.resistance_k_w * 6000.0 == NEAR(55.0)
    assert water.limit_w == NEAR(up.limit_w + rest.limit_w)


def test_a_floor_too_small_for_its_share_is_short_alone() -> None:
    # 2.4 kW are asked of two loops over 9 m² each, which may give 8.92 · 9 K^1.1 W/m²
    small = [{"name": "Slab", "count": 2, "length": "60 m", "spacing": "150 mm", "flow": "2 L/min"}]
    found = simulate(mixed(floor__loops=small, **HOT), constant_weather(-10.0)).options[0]
    up, rest = found.zones
    assert up.unmet_hours == 0
    assert rest.unmet_j == NEAR((2400.0 - 18.0 * 8.92 * 9.0**1.1) * 8760 * 3600, rel=0.01)
    assert found.unmet.by_cause_j["floor"] == NEAR(rest.unmet_j)
    assert (up.loops, rest.loops) == (0, 2)
    assert up.loops_give_w == NEAR(3600.0)


def test_baseboard_on_too_cool_a_tank_is_short_and_says_so() -> None:
    # 60 °C where 75 °C are needed: (40/55)^1.3, 66 % of 3.6 kW
    case = mixed(floor__loops=SLAB, tank__volume="500 L", tank__max_temperature="60 degC")
    result = simulate(case, constant_weather(-10.0))
    up, rest = result.options[0].zones
    assert up.unmet_j == NEAR(3600.0 * (1.0 - (40.0 / 55.0) ** 1.3) * 8760 * 3600, rel=0.01)
    assert rest.unmet_hours == 0
    assert any("emitters of Upstairs give at most 2.4 kW" in text for text in result.warnings)


def test_only_the_slab_s_own_share_is_stored() -> None:
    half = UP | {"load": "50 %"}
    whole = lower_study(study(ELECTRIC, floor__loops=SLAB, floor__mass={}, **HOT), constant_weather(-10.0)).water.mass
    part = lower_study(mixed(zone=half, floor__loops=SLAB, floor__mass={}, **HOT), constant_weather(-10.0)).water.mass
    assert whole is not None
    assert part is not None
    assert part.slab_j_k == whole.slab_j_k  # the same loops
    # 81 m² of floor at its surface's limit, and baseboard for 3 kW with the tank's 80 °C in place of 75 °C
    most = lower_study(
        mixed(zone=half, floor__loops=SLAB, floor__mass={}, **HOT), constant_weather(-10.0)
    ).water.limit_w
    assert most == NEAR(81.0 * 8.92 * 9.0**1.1 + 3000.0 * (60.0 / 55.0) ** 1.3, rel=1e-3)
    # 3 kW through the slab itself warm it by 3000 / G; the house's 6 kW see twice the conductance (EN 1264-2: less at less flux)
    own = part.floor_room_w_k * 0.5
    assert own < whole.floor_room_w_k
    assert 6000.0 / part.floor_room_w_k == NEAR(3000.0 / own)
    assert part_of_slab(whole, 1.0) is whole
    quarter = part_of_slab(whole, 0.25)
    assert (quarter.floor_room_w_k, quarter.water_resistance_k_w, quarter.slab_j_k) == NEAR(
        (4.0 * whole.floor_room_w_k, 0.25 * whole.water_resistance_k_w, whole.slab_j_k)
    )
    # 3.6 kW with 55 K: half of the resistance before its metal, which holds ten minutes of heat
    quick = quick_mass(whole, ZoneWater("Up", 0.6, 20.0, (), 3600.0 / 55.0, 4e3))
    assert 1.0 / quick.floor_room_w_k + quick.water_resistance_k_w == NEAR(55.0 / 3600.0)
    assert quick.slab_j_k / quick.floor_room_w_k == NEAR(600.0)


@pytest.mark.long
def test_rooms_on_baseboard_are_warm_again_by_what_their_water_brings() -> None:
    # 60 % of 100 m² of rooms at 50 kJ/(m² K) lose 120 W/K, and 80 °C bring at most 3927 W: from 16 °C they rise towards 32.7 °C,
    # and are within 0.5 K of 20 °C after 25,000 s · ln(16.7 / 13.2) = 1.63 h, with a tenth of an hour for the metal
    case = mixed(house__setback=[NIGHT], floor__loops=SLAB, floor__mass={}, **HOT)
    found = simulate(case, constant_weather(0.0)).options[0]
    up, rest = found.zones
    assert up.recovery is not None
    assert rest.recovery is not None
    assert up.recovery.median_h == NEAR(1.73, rel=0.08)
    assert found.hourly.imbalance() < 1e-9


def test_a_zone_with_nothing_but_an_emitter_keeps_the_house_s_set_backs() -> None:
    weather = constant_weather(0.0)
    calendar = lower_study(mixed(), weather).calendar
    plain, follows = (
        setpoint_c(case.house, calendar)
        for case in (study(ELECTRIC, house__setback=[NIGHT]), mixed(house__setback=[NIGHT]))
    )
    assert follows == NEAR(plain)
    own = setpoint_c(mixed(zone=UP | {"indoor_temperature": "20 degC"}, house__setback=[NIGHT]).house, calendar)
    assert float(own.min()) == NEAR(0.6 * 20.0 + 0.4 * 16.0)


def test_names_shares_and_faults() -> None:
    case = mixed()
    assert case.emitter_named == "the baseboard and the floor"
    assert case.floor_heats
    assert not mixed(house__emitter="radiators").floor_heats
    assert floor_share(case.house) == NEAR(0.4)
    assert emitter_supply_c(case.house, "radiant_floor", floor=False) == 45.0
    area = mixed(zone={"name": "Up", "area": "300 ft2", "emitter": "baseboard"})
    assert floor_share(area.house) == NEAR(1.0 - 300 * 0.3048**2 / 100.0)
    for zone, tables, words in (
        (UP | {"loops": ["Slab"]}, {"floor__loops": SLAB}, "has loops and an emitter"),
        (UP | {"load": "100 %"}, {"floor__loops": SLAB}, "nothing is left for the floor"),
        (UP | {"emitter": "stove"}, {}, "stove"),
    ):
        with pytest.raises(InputError, match=words):
            mixed(zone=zone, **tables)
