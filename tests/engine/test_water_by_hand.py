"""The water side in figures that a pencil can follow: tank, groups of loops, pumps, slab, and what is said of them."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from cases import constant_weather, study

from costsim.engine.loop_checks import LoopCheck
from costsim.engine.lower import lower_study
from costsim.engine.water import WaterSide, slab_side
from costsim.physics.floor import BUILD_UPS, loop_heat, supply_conductance_w_k
from costsim.physics.fluids import fluid_properties, mass_fraction_from_volume
from costsim.physics.hydraulics import TUBES, PumpCurve, operating_point, pressure_drop_pa, reynolds_number
from costsim.simulation import simulate
from costsim.sources.offer import NOT_STORING
from costsim.units.table import FOOT_OF_WATER_PA, GALLON_M3
from costsim.views.wording import one_system

ELECTRIC = {"kind": "electric", "output": "20 kW"}
LOOP = {"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}
WATER = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0)
HALF = TUBES["1/2 in PEX"]
FLOW = 3e-3 / 60


def side(outdoor_c: float = -10.0, **house: Any) -> WaterSide:
    """The water side of a house of 6 kW at -10 °C."""
    return lower_study(study(ELECTRIC, **house), constant_weather(outdoor_c)).water


def heat_of(
    flow: float = FLOW, spacing: float = 0.15, insulation: float = 1.8, covering: float = 0.0, flux: float = 6000 / 108
):
    """One loop of 90 m by the physics alone."""
    return loop_heat(
        flow_m3_s=flow,
        tube=HALF,
        fluid=WATER,
        length_m=90.0,
        spacing_m=spacing,
        build_up=BUILD_UPS["concrete_100"],
        covering_m2k_w=covering,
        insulation_m2k_w=insulation,
        design_flux_w_m2=flux,
    )


def supply_of(heat: Any, flow: float = FLOW) -> float:
    """Heat of a loop for each kelvin of supply over the room."""
    return supply_conductance_w_k(flow_m3_s=flow, fluid=WATER, conductance_w_k=heat.conductance_w_k)


def test_without_tank_and_floor_the_water_is_stated_and_never_the_limit() -> None:
    found = side()
    assert (found.resistance_k_w, found.limit_w, found.pump_w, found.tank_j_k, found.tank_loss_w_k) == (25 / 6000, math.inf, 0.0, 0.0, 0.0)  # fmt: skip
    assert (found.max_temperature_c, found.hottest_c, found.store_c) == (95.0, 45.0, NOT_STORING)
    assert (found.loops, found.mass, found.warnings, found.freeze_c) == ((), None, (), 0.0)
    assert slab_side(study(ELECTRIC), 6000.0, 0.0) is None
    assert (found.density_kg_m3, found.heat_capacity_j_kgk) == (WATER.density_kg_m3, WATER.heat_capacity_j_kgk)


def test_a_tank_alone_by_hand() -> None:
    found = side(
        tank__volume="500 L",
        tank__loss="2 W/K",
        tank__max_temperature="80 degC",
        tank__store="70 degC",
        tank__design_supply_temperature="45 degC",
    )
    assert found.resistance_k_w == pytest.approx(25 / 6000)
    assert found.limit_w == pytest.approx(60 / 25 * 6000)
    assert (found.max_temperature_c, found.store_c, found.tank_loss_w_k) == (80.0, 70.0, 2.0)
    assert found.tank_j_k == pytest.approx(0.5 * WATER.density_kg_m3 * WATER.heat_capacity_j_kgk)
    plain = side(tank__volume="500 L")
    assert (plain.max_temperature_c, plain.store_c, plain.tank_loss_w_k, plain.resistance_k_w) == (
        60.0,
        60.0,
        3.0,
        pytest.approx(25 / 6000),
    )
    # water no warmer than the room still needs a tenth of a kelvin
    level = side(
        tank__volume="500 L",
        house__indoor_temperature="22 degC",
        tank__design_supply_temperature="22 degC",
        house__balance_point="22 degC",
    )
    assert level.resistance_k_w == pytest.approx(0.1 / 6000)


def test_two_groups_of_loops_by_hand() -> None:
    wide = {"count": 2, "length": "90 m", "spacing": "300 mm", "flow": "2 L/min", "zone": "perimeter"}
    found = side(
        floor__loops=[{**LOOP, "count": 4}, wide],
        tank__volume="300 L",
        tank__max_temperature="50 degC",
        tank__design_supply_temperature="45 degC",
    )
    flux = 6000 / (4 * 13.5 + 2 * 27)
    slow = 2e-3 / 60
    each = supply_of(heat_of(flux=flux)), supply_of(heat_of(flow=slow, spacing=0.3, flux=flux), slow)
    supply = 4 * each[0] + 2 * each[1]
    assert [check.heat_w_k for check in found.loops] == pytest.approx(list(each))
    assert found.resistance_k_w == pytest.approx(1 / supply)
    drops = [pressure_drop_pa(flow_m3_s=flow, tube=HALF, length_m=90.0, fluid=WATER) for flow in (FLOW, slow)]
    assert [check.head_pa for check in found.loops] == pytest.approx(drops)
    assert found.pump_w == pytest.approx((4 * FLOW * drops[0] + 2 * slow * drops[1]) / 0.2)
    # EN 1264: 8.92 × 9^1.1 and 8.92 × 15^1.1 W/m²; or what 30 K over the room give
    surface = 54 * 8.92 * 9**1.1 + 54 * 8.92 * 15**1.1
    assert found.limit_w == pytest.approx(min(surface, 30 * supply))
    assert 30 * supply < surface
    hot = side(floor__loops=[{**LOOP, "count": 4}, wide], tank__volume="300 L", tank__max_temperature="95 degC")
    assert hot.limit_w == pytest.approx(surface)
    assert [check.count for check in found.loops] == [4, 2]
    assert [check.name for check in found.loops] == ["group 1: 4 × 1/2 in PEX", "group 2: 2 × 1/2 in PEX"]
    assert found.loops[1].reynolds == pytest.approx(reynolds_number(flow_m3_s=slow, tube=HALF, fluid=WATER))
    # without a tank the water may be 60 °C
    alone = supply_of(heat_of(flux=8.92 * 9**1.1))
    assert side(floor__loops=[{**LOOP, "count": 1}]).limit_w == pytest.approx(min(13.5 * 8.92 * 9**1.1, 40 * alone))


def test_a_described_pump_by_hand() -> None:
    pump = {"flows": ["0 gpm", "2 gpm", "4 gpm"], "heads": ["9 ftH2O", "7 ftH2O", "3 ftH2O"]}
    pump |= {"speed": "80 %", "efficiency": "25 %", "lift": "2 kPa"}
    loops = [{"count": 8, "length": "90 m", "spacing": "150 mm"}]
    curve = PumpCurve(tuple(x * GALLON_M3 / 60 for x in (0, 2, 4)), tuple(x * FOOT_OF_WATER_PA for x in (9, 7, 3)))
    for each in (1, 2):
        found = side(floor__loops=loops, floor__pump={**pump, "loops_per_pump": each})
        point = operating_point(curve=curve, speed=0.8, tube=HALF, lengths_m=(90.0,) * each, fluid=WATER, lift_pa=2e3)
        assert found.loops[0].flow_m3_s == pytest.approx(point.flows_m3_s[0])
        assert found.loops[0].head_pa == pytest.approx(point.head_pa)
        assert found.pump_w == pytest.approx(8 * point.flows_m3_s[0] * point.head_pa / 0.25)
    # a single loop has a pump to itself, whatever the others share
    alone = side(floor__loops=[{**loops[0], "count": 1}], floor__pump={**pump, "loops_per_pump": 2}).loops[0]
    own = operating_point(curve=curve, speed=0.8, tube=HALF, lengths_m=(90.0,), fluid=WATER, lift_pa=2e3)
    assert alone.flow_m3_s == pytest.approx(own.flows_m3_s[0])
    # a typed flow is kept, with what the pump adds, by its efficiency or its plate: 8 loops, 2 on each pump of 50 W
    typed = side(floor__loops=[LOOP], floor__pump=pump).loops[0]
    assert typed.flow_m3_s == pytest.approx(FLOW)
    drop = pressure_drop_pa(flow_m3_s=FLOW, tube=HALF, length_m=90.0, fluid=WATER)
    assert typed.head_pa == pytest.approx(drop + 2e3)
    assert typed.pump_w == pytest.approx(8 * FLOW * typed.head_pa / 0.25)
    assert side(floor__loops=[LOOP], floor__pump={**pump, "electric": "50 W"}).pump_w == pytest.approx(8 * 50)
    plate = side(floor__loops=[LOOP], floor__pump={**pump, "electric": "50 W", "loops_per_pump": 2})
    assert plate.pump_w == pytest.approx(4 * 50)


def test_a_typed_flow_that_the_typed_pump_does_not_move_is_told() -> None:
    """Shut-off 16 ft of water are 47.8 kPa (2,989 Pa a foot), and 6 L/min in 91 m of 1/2 in tube take more; 1.58 gpm lie on 12 to 16 ft."""
    pump = {"flows": ["0 gpm", "2 gpm", "4 gpm"], "heads": ["16 ftH2O", "12 ftH2O", "6 ftH2O"]}

    def told(flow: str, **more: str) -> list[str]:
        found = side(floor__loops=[{**LOOP, "length": "300 ft", "flow": flow, **more}], floor__pump=pump)
        return [one for one in found.warnings if "the pump's curve has" in one]

    [line] = told("6 L/min")
    # 6 L/min are 1.585 gpm: 16 - 1.585 × 2 = 12.83 ft = 38.3 kPa
    assert "the pump's curve has 38.3 kPa" in line or "the pump's curve has 38.4 kPa" in line
    assert told("2 L/min") == []
    # at 40 % of its speed it has 0.16 of the head: 16 ft less than 0.16 × 47.8 = 7.6 kPa
    assert len(told("3 L/min", pump_speed="40 %")) == 1


def test_a_slab_by_hand() -> None:
    mass = {"ground": "8 degC", "room_capacity": "80 kJ/(m2 K)"}
    floor = {
        "floor__loops": [{**LOOP, "covering": "0.05 m2 K/W"}],
        "floor__insulation": "2 m2 K/W",
        "floor__mass": mass,
    }
    found = side(**floor)
    mass, flux = found.mass, 6000 / 108
    assert mass is not None
    assert mass == slab_side(study(ELECTRIC, **floor), 6000.0, 0.0)
    assert mass.slab_j_k == pytest.approx(108 * 0.1 * 2.3e6)
    assert mass.room_j_k == pytest.approx(100 * 80e3)
    # EN 1264: flux = 8.92 ΔT^1.1, so the surface is (flux / 8.92)^(1/1.1) K over the room
    surface = 0.05 + (flux / 8.92) ** (1 / 1.1) / flux
    assert mass.floor_room_w_k == pytest.approx(108 / surface)
    heat = heat_of(insulation=2.0, covering=0.05)
    between = 90.0 / (heat.film_mk_w + heat.wall_mk_w + heat.slab_mk_w)
    into = supply_conductance_w_k(flow_m3_s=FLOW, fluid=WATER, conductance_w_k=between)
    assert mass.water_resistance_k_w == pytest.approx(1 / (8 * into))
    assert (mass.ground_w_k, mass.ground_c) == (pytest.approx(108 / 2.5), 8.0)
    assert found.limit_w == pytest.approx(108 * 8.92 * 9**1.1)
    plain = side(floor__loops=[LOOP], floor__mass={}).mass
    assert plain is not None
    assert (plain.ground_w_k, plain.ground_c, plain.feedback, plain.room_ceiling_k, plain.precharge_k) == (
        0.0,
        0.0,
        1.0,
        3.0,
        0.0,
    )
    assert plain.room_j_k == pytest.approx(100 * 50e3)
    assert side(floor__loops=[LOOP]).mass is None
    assert slab_side(study(ELECTRIC, floor__loops=[LOOP]), 6000.0, 0.0) == plain
    # a load beyond what the surface may give is reckoned at the surface's limit
    small = side(floor__loops=[{**LOOP, "count": 2}], floor__mass={}).mass
    assert small is not None
    assert small.floor_room_w_k == pytest.approx(27 * 8.92 * 9**1.1 / 9)


def test_what_is_said_of_the_water_begins_where_it_says() -> None:
    # 8 loops of 91.5 m at 150 mm cover 109.8 m² of a floor of 100 m², 8 of 92 m 110.4 m²
    for length, told in (("91.5 m", False), ("92 m", True)):
        said = side(floor__loops=[{**LOOP, "length": length}]).warnings
        assert said == (
            ("the loops cover 110.4 m² (1,188.3 ft²), more than the heated floor of 100.0 m² (1,076.4 ft²)",)
            if told
            else ()
        )
    # 4 loops of 13.5 m² give at most 100 W/m²
    (short,) = side(floor__loops=[{**LOOP, "count": 4}]).warnings
    assert (
        short
        == "the floor gives at most 5.4 kW (18.4 kBtu/h) but the design load is 6.0 kW (20.5 kBtu/h); sources cannot help"
    )
    share = mass_fraction_from_volume(fluid="propylene_glycol", volume_fraction=0.3)
    assert share == pytest.approx(0.308, abs=1e-3)
    glycol = {"floor__loops": [LOOP], "floor__antifreeze": "propylene_glycol", "floor__concentration": "30 vol%"}
    freeze = side(**glycol).freeze_c
    assert freeze == pytest.approx(
        -14.0, abs=1.5
    )  # printed freezing points of 30 % by volume lie between -13 and -15 °C
    assert side(freeze + 0.1, **glycol).warnings == ()
    (cold,) = side(freeze - 0.1, **glycol).warnings
    first, second = freeze * 1.8 + 32, (freeze - 0.1) * 1.8 + 32
    us, si = one_system(cold, "us"), one_system(cold, "si")
    assert us.startswith(
        f"in 30 % antifreeze slush begins at {first:.0f} °F, and the coldest hour of the weather is {second:.0f} °F"
    )
    assert ("°C" in us, "°F" in si) == (False, False)
    assert "only where pipe lies outside the heated house ask for a stronger mix" in us
    assert side(-40.0, floor__loops=[LOOP]).freeze_c == 0.0
    assert not any("freeze" in text for text in side(-40.0, floor__loops=[LOOP]).warnings)


def test_loops_that_are_too_warm_beside_others_are_told() -> None:
    bare, carpet = {**LOOP, "spacing": "100 mm"}, {**LOOP, "count": 4, "spacing": "200 mm", "covering": "0.15 m2 K/W"}
    found = side(
        floor__loops=[{**bare, "count": 4}, carpet], house__floor_area="108 m2", house__design_heat_loss="8 kW"
    )
    # 36 m² bare beside 72 m² under carpet: 100 W/m² (EN 1264) let them give 3.6 and 7.2 kW
    limits = [36 * 8.92 * 9**1.1, 72 * 8.92 * 9**1.1]
    assert [check.surface_limit_w for check in found.loops] == pytest.approx(limits)
    parts = [check.count * check.heat_w_k for check in found.loops]
    heat = 8000 * parts[0] / sum(parts)
    assert limits[0] < heat < 8000 < sum(limits)
    (said,) = found.warnings
    assert said.startswith(
        f"with one water temperature for all loops, group 1: 4 × 1/2 in PEX would give {heat / 1e3:.1f} kW"
    )
    assert (
        side(
            floor__loops=[{**bare, "count": 4}, carpet], house__floor_area="108 m2", house__design_heat_loss="5 kW"
        ).warnings
        == ()
    )


@pytest.mark.parametrize(
    ("reynolds", "regime"),
    [
        (10.0, "laminar"),
        (2290.0, "laminar"),
        (2300.0, "between"),  # friction jumps there
        (2301.0, "between"),
        (3999.0, "between"),
        (4000.0, "turbulent"),
        (9e3, "turbulent"),
    ],
)
def test_a_flow_is_called_what_it_is(reynolds: float, regime: str) -> None:
    check = LoopCheck("x", 1, 1e-5, 0.0, 0.0, 0.0, 0.0, 0.0)
    assert replace(check, reynolds=reynolds).regime == regime


def test_a_tank_that_may_not_be_warmer_than_the_room_gives_nothing() -> None:
    for floor in ({}, {"floor__loops": [LOOP]}):
        case = study(
            ELECTRIC,
            house__indoor_temperature="28 degC",
            tank__volume="300 L",
            tank__max_temperature="25 degC",
            tank__design_supply_temperature="24 degC",
            **floor,
        )
        found = simulate(case, constant_weather(5.0)).options[0]
        assert not found.hourly.delivered_w.any()
        assert found.hourly.tank_c.max() <= 28.0
        assert found.unmet.by_cause_j["floor"] == pytest.approx(found.demand_j)
