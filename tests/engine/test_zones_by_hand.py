"""Water, zones, loops and pumps in figures that a pencil can follow."""

from __future__ import annotations

from dataclasses import fields, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study

from costsim.engine import layout as k
from costsim.engine import loop_pumps, zone_demand, zones
from costsim.engine.emitter_circuits import drop_k_w
from costsim.engine.laid_floor import LaidFloor, ShortRoom, circuit_loads_w
from costsim.engine.loop_pumps import PumpPlan
from costsim.engine.lower import lower_study
from costsim.engine.mass_rows import mass_at, put_mass
from costsim.engine.water import MassSide, _hottest_c, design_supply
from costsim.engine.water_warnings import at_turns, beyond_pumps, floor_warnings, too_warm
from costsim.engine.zone_water import ZoneWater, neediest_k_w, zone_warnings
from costsim.physics.fluids import fluid_properties
from costsim.physics.hydraulics import TUBES, PumpCurve, at_the_turn, operating_point, pressure_drop_pa, reynolds_number
from costsim.tariffs.calendar import HourCalendar

ELECTRIC = {"kind": "electric", "output": "20 kW"}
CLOCK = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone=None, year=2025)
DAY = np.arange(8760) // 24


# zones and water


def a_zone(share: float, warm: float, heat_w_k: float, limit: float) -> ZoneWater:
    """A zone's loops."""
    return ZoneWater("a", share, warm, (0,), heat_w_k, limit)


def test_the_neediest_zone_sets_the_water() -> None:
    cool, hot = a_zone(0.25, 18.0, 100.0, 9e3), a_zone(0.75, 20.0, 200.0, 9e3)
    # 18 + 15 and 20 + 22.5 °C for 6 kW
    assert neediest_k_w([cool, hot], design_load_w=6e3, room_c=19.5, top_c=60.0) == pytest.approx(23.0 / 6e3)
    assert neediest_k_w([cool, hot], design_load_w=6e3, room_c=19.5, top_c=40.0) == pytest.approx(20.5 / 6e3)
    # what loops do not let through is not asked of the water
    short = a_zone(0.75, 20.0, 200.0, 2e3)
    assert neediest_k_w([cool, short], design_load_w=6e3, room_c=19.5, top_c=60.0) == pytest.approx(13.5 / 3.5e3)
    assert neediest_k_w([cool, hot], design_load_w=6e3, room_c=60.0, top_c=60.0) == pytest.approx(0.1 / 6e3)
    assert zone_warnings([a_zone(0.5, 20.0, 1.0, 2997.0)], 6e3) == []
    [told] = zone_warnings([a_zone(0.5, 20.0, 1.0, 2996.0)], 6e3)
    assert told.startswith(
        "the loops of a give at most 3.0 kW (10.2 kBtu/h) but its design load is 3.0 kW (10.2 kBtu/h)"
    )


def test_gains_that_one_zone_has_too_much_of_serve_the_others() -> None:
    parts: Any = [
        SimpleNamespace(load_share=0.5, setpoint_c=np.array([20.0, 16.0, 20.0])),
        SimpleNamespace(load_share=0.5, setpoint_c=np.array([20.0, 24.0, 20.0])),
    ]
    common: Any = SimpleNamespace(
        setpoint_c=np.full(3, 20.0), balance_c=np.full(3, 18.0), loss_w_k=100.0, demand_w=np.array([800.0, 300.0, 0.0]),
        weather=SimpleNamespace(outdoor_c=np.array([10.0, 15.0, 30.0])),
    )  # fmt: skip
    # in the second hour one wants nothing, the other 7 K × 50 W/K of which the house wants 300 W
    assert zone_demand.zone_demands_w(common, parts).tolist() == [[400.0, 0.0, 0.0], [400.0, 300.0, 0.0]]


def test_zones_hold_the_floor_where_their_loops_are_too_small(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        zone_demand, "zone_demands_w", lambda common, parts: np.array([[100.0, 50.0, 60.0], [10.0, 10.0, 40.0]])
    )
    monkeypatch.setattr(zone_demand, "zone_setpoints", lambda house, clock: ())
    zones = [SimpleNamespace(limit_w=60.0), SimpleNamespace(limit_w=40.0)]

    def limit(mass: Any = None, named: Any = zones) -> Any:
        water = SimpleNamespace(zones=named, mass=mass, limit_w=100.0)
        common: Any = SimpleNamespace(water=water, case=SimpleNamespace(house=None), calendar=None)
        return zone_demand.floor_limit_w(common)

    assert limit().tolist() == [70.0, 100.0, 100.0]
    assert limit(mass=object()) == limit(named=()) == 100.0


def loops(**given: Any) -> Any:
    """A group of loops."""
    return SimpleNamespace(
        **{
            "name": "g",
            "count": 2,
            "heat_w_k": 50.0,
            "surface_limit_w": 3e3,
            "head_pa": 150e3,
            "flow_m3_s": 1e-4,
            **given,
        }
    )


def test_a_flow_on_the_step_between_laminar_and_turbulent_is_told() -> None:
    """At Re 2300 friction steps from 64/Re to Haaland's, so flow and head stay over a range of pipe lengths."""
    water = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0)
    tube = TUBES["1/2 in PEX"]
    curve = PumpCurve((0.0, 1e-4), (3e3, 0.0))
    points = [
        operating_point(curve=curve, speed=1.0, tube=tube, lengths_m=[length], fluid=water).flows_m3_s[0]
        for length in range(20, 200, 4)
    ]
    numbers = [reynolds_number(flow_m3_s=flow, tube=tube, fluid=water) for flow in points]
    resting = [one for one in numbers if at_the_turn(one)]
    assert len(resting) > 1
    assert at_turns([loops(reynolds=2200.0), loops(reynolds=2320.0)]) == []
    [told] = at_turns([loops(reynolds=one, name="Main") for one in (resting[0], 4100.0)])
    assert told.startswith("Main: its flow rests where laminar turns turbulent")


def test_warnings_of_loops_begin_beyond_their_limits() -> None:
    assert beyond_pumps([loops()]) == []
    [told] = beyond_pumps([loops(), loops(head_pa=150.1e3)])
    assert told.startswith("g asks for a head of 150 kPa (50 ft of water) at 6.0 L/min")
    assert "circulators of houses end at about 150 kPa" in told
    # at 30 K two loops of 50 W/K give 3 kW, just what their surface may
    assert too_warm([loops(), loops()], 6e3, 30.0) == []
    assert too_warm([loops(), loops(heat_w_k=50.04)], 6e3, 30.0) == []
    [warm] = too_warm([loops(), loops(heat_w_k=50.1)], 6e3, 30.0)
    assert (
        "would give 3.0 kW (10.3 kBtu/h) at the design load, but its surface limit allows 3.0 kW (10.2 kBtu/h)" in warm
    )
    assert too_warm([loops(), loops(heat_w_k=60.0)], 6001.0, 30.0) == []  # all together are too small: that is told


def test_what_water_the_design_asks_for_without_a_floor() -> None:
    tank = {"tank__volume": "300 L", "tank__max_temperature": "40 degC"}
    assert design_supply(study(ELECTRIC))[::2] == (45.0, "house.emitter")
    assert design_supply(study(ELECTRIC, house__design_supply_temperature="50 degC"))[::2] == (
        50.0,
        "house.design_supply_temperature",
    )
    typed = study(
        ELECTRIC,
        tank__volume="300 L",
        tank__design_supply_temperature="38 degC",
        house__design_supply_temperature="50 degC",
    )
    assert design_supply(typed) == (38.0, "typed in the study", "tank.design_supply_temperature")
    held = design_supply(study(ELECTRIC, **tank))
    assert (held[0], held[2]) == (40.0, "tank.max_temperature")
    assert "below what the emitter asks for, 45 °C (113 °F)" in held[1]
    just = design_supply(study(ELECTRIC, tank__volume="300 L", tank__max_temperature="45 degC"))
    assert just[2] == "house.emitter"
    outlet = study({"kind": "gas", "output": "9 kW", "efficiency": "90 %", "max_outlet_temperature": "65 degC"})
    assert [_hottest_c(outlet, at) for at in (50.0, 70.0, 99.0)] == [65.0, 70.0, 95.0]
    assert _hottest_c(study(ELECTRIC), 50.0) == 50.0


def test_water_cools_by_what_it_gives() -> None:
    water: Any = SimpleNamespace(density_kg_m3=1000.0, heat_capacity_j_kgk=4000.0)
    group: Any = loops(count=5, flow_m3_s=5e-5)
    assert float(drop_k_w([group], water, 6e3, 1.0)) == pytest.approx(1e-3)
    assert float(drop_k_w([group], water, 6e3, 5e-4)) == 5e-4
    assert float(drop_k_w([], water, 5e3, 1.0)) == pytest.approx(10.0 / 5e3)


# laid floors and pumps


def test_loads_of_circuits_as_typed_by_rooms_or_by_area() -> None:
    def one(name: str, area: float, typed: float | None = None) -> Any:
        return SimpleNamespace(rooms=(name,), area_m2=area, heat_loss_w=typed)

    case = study(ELECTRIC)
    assert circuit_loads_w(case, [one("a", 10.0), one("b", 30.0)], 4e3, 0.0) == [1e3, 3e3]
    assert circuit_loads_w(case, [one("a", 10.0, 1500.0), one("b", 30.0), one("c", 10.0)], 4e3, 0.0) == [
        1500.0,
        1875.0,
        625.0,
    ]
    assert circuit_loads_w(case, [one("a", 10.0, 5e3), one("b", 30.0)], 4e3, 0.0) == [5e3, 0.0]
    wall = {"name": "w", "u_value": "0.5 W/(m2 K)"}
    rooms = [
        {"name": "a", "surface": [{**wall, "area": "30 m2"}]},
        {"name": "b", "surface": [{**wall, "area": "10 m2"}]},
    ]
    known = study(ELECTRIC, house__design_heat_loss=None, house__room=rooms)
    assert circuit_loads_w(known, [one("a", 10.0), one("b", 30.0)], 4e3, 0.0) == pytest.approx([3e3, 1e3])
    assert circuit_loads_w(known, [one("a", 10.0), one("other", 30.0)], 4e3, 0.0) == [1e3, 3e3]


def test_a_room_that_lacks_half_a_percent_is_not_short(monkeypatch: pytest.MonkeyPatch) -> None:
    circuit, fed = SimpleNamespace(name="a", level="l"), SimpleNamespace(circuit=0, count=2)
    laid: Any = LaidFloor(SimpleNamespace(max_supply_c=50.0), (circuit,), (500.0,), (), (fed,), {})  # type: ignore[arg-type]
    for given, needs, told in (
        (995.0, 55.0, ()),
        (994.0, 55.0, (ShortRoom("a", 994.0, 1e3, 55.0, False),)),
        (900.0, 40.0, (ShortRoom("a", 900.0, 1e3, 40.0, True),)),
        # water as hot as its loops need it, to a millionth of a kelvin: then the surface holds it back
        (900.0, 50.0 + 9e-7, (ShortRoom("a", 900.0, 1e3, 50.0 + 9e-7, True),)),
        (900.0, 50.0 + 2e-6, (ShortRoom("a", 900.0, 1e3, 50.0 + 2e-6, False),)),
    ):
        monkeypatch.setattr(LaidFloor, "gives_w", lambda self, one, supply, given=given: given)
        monkeypatch.setattr(LaidFloor, "needs_c", lambda self, one, needs=needs: needs)
        assert laid.short_at(50.0) == told
        assert laid.given_w == (given if told else np.inf)
        for most in (60.0, 38.0):  # no hotter than a surface bears
            monkeypatch.setattr(LaidFloor, "most_c", lambda self, one, most=most: most)
            assert laid.top_c == min(most, 50.0)
            assert laid.reset_c == min(needs, 50.0)
            assert laid.supply_c == min(needs, most, 50.0)


def circuit(length: float, count: int = 2) -> Any:
    """Like loops."""
    return SimpleNamespace(length_m=length, count=count, level="l", thermostat="t")


def test_a_share_of_a_floor_holds_and_gives_its_share() -> None:
    """A quarter of slab, room and ground; what resists is four times as much, and temperatures stay."""
    names = [one.name for one in fields(MassSide)]
    mass = MassSide(**{name: float(at) for at, name in enumerate(names, 1)})  # type: ignore[arg-type]
    water = replace(
        lower_study(study(ELECTRIC), constant_weather(0.0)).water, mass=mass, limit_w=8e3, resistance_k_w=2e-3
    )
    found = zones._share_of(water, 0.25)
    assert (found.limit_w, found.resistance_k_w) == (2e3, 8e-3)
    assert found.mass is not None
    times = {name: getattr(found.mass, name) / getattr(mass, name) for name in names}
    quarter = {"slab_j_k", "room_j_k", "ground_w_k", "floor_room_w_k"}
    assert times == {
        name: 0.25 if name in quarter else 4.0 if name == "water_resistance_k_w" else 1.0 for name in names
    }


def test_loops_on_one_pump_differ_by_a_tenth_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loop_pumps, "_pump", lambda ground, circuits, loads, members, lift: members)
    ground: Any = SimpleNamespace()
    given = [circuit(90.0), circuit(100.0), circuit(89.9, 1)]

    def pumps(most: int) -> Any:
        return loop_pumps._with(ground, given, [1.0] * 3, [0, 1, 2], most, 0.0)

    assert pumps(4) == ((1, 1, 0, 0), (2,))
    assert pumps(3) == ((1, 1, 0), (0, 2))
    assert pumps(1) == ((1,), (1,), (0,), (0,), (2,))


def plan(loops_of: tuple[int, ...], speed: float, fine: bool, flow: float = 1e-5) -> PumpPlan:
    """A pump."""
    return PumpPlan("l", "t", loops_of, speed, flow * len(loops_of), 9e3, 30.0, (flow,) * len(loops_of), fine)


def test_as_few_pumps_as_carry_the_load_at_the_lowest_speed(monkeypatch: pytest.MonkeyPatch) -> None:
    ground: Any = SimpleNamespace(layout=SimpleNamespace(max_loops_per_pump=3, speed_shares=(0.6, 0.8, 1.0)))
    served: dict[int, tuple[bool, ...]] = {3: (False,), 2: (True, False), 1: (True, True, False)}

    def some(ground: Any, circuits: Any, loads: Any, members: Any, most: int, lift: float) -> Any:
        return tuple(plan((0,) * (3 // len(served[most]) if most != 2 else 1), 1.0, fine) for fine in served[most])

    monkeypatch.setattr(loop_pumps, "_with", some)
    assert len(loop_pumps.pumps_of(ground, [], [], [], 0.0)) == 3  # two loops served, by single pumps alone
    served[3] = (True,)
    assert len(loop_pumps.pumps_of(ground, [], [], [], 0.0)) == 1
    tried, least = list[float](), [0.0]

    def run(ground: Any, circuits: Any, loads: Any, members: Any, speed: float, lift: float) -> PumpPlan:
        tried.append(speed)
        return plan((0,), speed, speed >= least[0])

    monkeypatch.setattr(loop_pumps, "run_pump", run)
    for slowest, wanted in ((0.8, [0.6, 0.8]), (0.6, [0.6]), (2.0, [0.6, 0.8, 1.0])):
        tried.clear()
        least[0] = slowest
        assert loop_pumps._pump(ground, [], [], (0,), 0.0).speed_share == wanted[-1]
        assert tried == wanted


def test_a_level_s_mains_are_passed_there_and_back() -> None:
    """6 kW that cool by 10 K take 0.15 L/s of a water of 4 MJ/(m³K): through 15 m of mains twice."""
    water = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0)
    layout = SimpleNamespace(temperature_drop_k=10.0, mains_tube="1 in PEX")
    ground: Any = SimpleNamespace(capacity_j_m3k=4e6, layout=layout, fluid=water)
    wanted = pressure_drop_pa(flow_m3_s=1.5e-4, tube=TUBES["1 in PEX"], length_m=30.0, fluid=water)
    assert loop_pumps.mains_drop_pa(ground, 15.0, 6e3) == pytest.approx(wanted)


def test_like_loops_on_like_pumps_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loop_pumps, "reynolds_number", lambda flow_m3_s, tube, fluid: flow_m3_s * 1e9)
    ground: Any = SimpleNamespace(layout=SimpleNamespace(tube="16x2"), fluid=None)
    pumps = [plan((0, 0, 1), 0.8, True, 2e-5), plan((0, 0, 1), 0.8, False, 1e-5), plan((1,), 1.0, True, 3e-5)]
    found = loop_pumps.fed_loops(ground, pumps)
    assert [(one.circuit, one.count, one.loops_per_pump, one.speed_share, one.flow_m3_s, one.serves) for one in found] == [
        (0, 4, 3, 0.8, 1e-5, False), (1, 1, 1, 1.0, 3e-5, True), (1, 2, 3, 0.8, 1e-5, False),
    ]  # fmt: skip
    assert [one.reynolds for one in found] == pytest.approx([1e4, 3e4, 1e4])


def test_what_zones_lack_is_what_the_house_lacks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two zones want 100 and 300 W; loops of the first let 60 through. The house lacks 90 W: 40 of loops, the rest by what is asked."""
    parts = (SimpleNamespace(name="a"), SimpleNamespace(name="b"))
    monkeypatch.setattr(zones, "zone_setpoints", lambda house, clock: parts)
    monkeypatch.setattr(
        zones, "zone_demands_w", lambda common, given: np.array([[100.0, 0.0, 50.0], [300.0, 0.0, 300.0]])
    )
    named = [SimpleNamespace(limit_w=60.0), SimpleNamespace(limit_w=900.0)]

    def found(water: Any) -> Any:
        common: Any = SimpleNamespace(
            case=SimpleNamespace(house=SimpleNamespace(zone=(1,))), calendar=None, water=water
        )
        return zones.zone_hours(common, unmet_w=np.array([90.0, 0.0, 35.0]), ready_w=np.zeros(3))

    first, second = found(SimpleNamespace(mass=None, zones=named))
    assert first.beyond_loops_w.tolist() == [40.0, 0.0, 0.0]
    assert first.unmet_w.tolist() == pytest.approx([40 + 50 * 60 / 360, 0.0, 5.0])
    assert second.unmet_w.tolist() == pytest.approx([50 * 300 / 360, 0.0, 30.0])
    whole, _ = found(SimpleNamespace(mass=None, zones=()))
    assert whole.unmet_w.tolist() == pytest.approx([22.5, 0.0, 5.0])
    none: Any = SimpleNamespace(case=SimpleNamespace(house=SimpleNamespace(zone=())))
    assert zones.zone_hours(none, unmet_w=np.zeros(3), ready_w=np.zeros(3)) == ()


def test_slabs_of_many_houses_are_those_of_each_alone() -> None:
    """On ground of 8 °C, with a set-back: what the kernel takes of three houses at once is what it takes of one after the other."""
    back = [{"indoor_temperature": "15 degC", "windows": ["22:00-06:00"]}]
    loops = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
    case = study(ELECTRIC, house__setback=back, floor__loops=loops, floor__mass={"ground": "8 degC"})
    common = lower_study(case, constant_weather(-4.0))
    mass, n = common.water.mass, 72
    assert mass is not None
    setpoints = np.stack([common.setpoint_c[:n], common.setpoint_c[:n] + 1.0], axis=1)
    gains, losses = np.array([[300.0, 500.0]]), np.array([200.0, 250.0])
    rows, (below, each) = mass_at(mass, losses, np.full((n, 1), -4.0), gains, setpoints, np.arange(n))
    assert each.tolist() == list(range(n))
    for house in range(2):
        alone = np.zeros((k.HOURS, n))
        given = setpoints[:, house], np.full(n, gains[0, house]), common.demand_w[:n], np.full(n, -4.0)
        put_mass(alone, mass, float(losses[house]), given, common.calendar)
        assert below[:, house] == pytest.approx(alone[k.COLD_BELOW])
        for row in (k.SLAB_WEATHER, k.ROOM_WEATHER):
            assert rows[row][:, house] == pytest.approx(alone[row])
            assert abs(alone[row][0]) > 1e-3
    steady, (entries, of) = mass_at(
        mass, losses, np.full((1, 1), -4.0), gains, np.array([20.0, 21.0]), np.zeros(n, dtype=np.int64)
    )
    assert entries.tolist() == [[-1e3, -1e3], [19.0, 20.0]]
    assert of.tolist() == [0] * 24 + [1] * 48
    assert steady[k.SLAB_WEATHER].shape == (1, 2)


def test_a_floor_is_told_with_what_it_gives_where_slush_begins_and_what_it_covers() -> None:
    loops_of = [{"count": 8, "length": "91.5 m", "spacing": "150 mm", "flow": "3 L/min"}]
    glycol = {"floor__antifreeze": "propylene_glycol", "floor__concentration": "30 vol%"}
    plain, thin = (study(ELECTRIC, floor__loops=loops_of, **more) for more in ({}, glycol))
    assert floor_warnings(plain, 6e3, 0.0, -20.0, 6e3) == ()  # just enough, and plain water is told elsewhere
    assert floor_warnings(thin, 6e3, -12.0, -12.0, 6e3) == ()
    small, cold = floor_warnings(thin, 5e3, -10.0, -20.0, 6e3)
    assert "5.0 kW" in small
    assert "6.0 kW" in small
    assert (
        "in 30 % antifreeze slush begins at -10.0 °C (14 °F), and the coldest hour of the weather is -20.0 °C (-4 °F)"
        in cold
    )
    assert floor_warnings(study(ELECTRIC), 5999.0, 0.0, -20.0, 6e3) != ()


def test_loops_are_held_against_areas_and_not_against_shares_of_the_load() -> None:
    # 5 loops of 90 m at 150 mm cover 67.5 of 100 m²: more than is left beside 50 m² of baseboard, less than beside 35 m²; a level under
    # the roof that has half of the loss may lie on a third of the area
    tubes = {"floor__loops": [{"count": 5, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]}
    for size, told in (({"area": "50 m2"}, True), ({"area": "35 m2"}, False), ({"load": "50 %"}, False)):
        up = {"name": "Up", "emitter": "baseboard", **size}
        found = floor_warnings(study(ELECTRIC, house__zone=[up], **tubes), 6e3, 0.0, -20.0, 6e3)
        assert any("that no other emitter heats" in text for text in found) is told
