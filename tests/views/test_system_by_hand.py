"""What a schematic reads off a study, from made-up loops, layouts and tanks: limits, circuits, water and what becomes one of many."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
from views.made import but

from costsim.study.ratings import Ratings
from costsim.study.uses import HotWater
from costsim.views import system
from costsim.views.schematic import ValveMark, ZoneMark

NEAR = pytest.approx
OWN = {"Bath": ValveMark("Bath", 32.0, 36.0)}


def source(**more: Any) -> Any:
    said = {"plate_efficiency": lambda: None, "condenses": lambda: more.get("condensing", False)}
    said |= {
        "kept_from_frost": lambda: more.get("frost_protection", ""),
        "flow_through_m3_s": lambda: more.get("flow_m3_s"),
    }
    said["outdoor_content_m3"] = None
    return SimpleNamespace(**{"symbol": "flame", "outdoors": False, "burns_fuel": False, **said, **more})


def test_a_source_outdoors_has_a_circuit_of_its_own_where_it_freezes() -> None:
    for one, coldest_c, circuit in (
        (source(), -10.0, ""), (source(outdoors=True), -0.1, "glycol"), (source(outdoors=True), 0.0, ""),
        (source(frost_protection="drain_back"), 5.0, "drain_back"), (source(frost_protection="", outdoors=True), -5.0, "glycol"),
    ):  # fmt: skip
        assert system.circuit_of(one, coldest_c) == circuit
    # on the mix of the whole system no exchanger stands before it
    assert system.circuit_of(source(outdoors=True), -10.0, same_water=True) == ""


@pytest.mark.parametrize(("top_c", "mixed"), [(45.5, False), (45.51, True), (40.0, False)])
def test_a_tank_hotter_than_the_floor_by_more_than_half_a_kelvin_is_mixed(top_c: float, mixed: bool) -> None:
    assert system.must_mix(top_c=top_c, supply_c=45.0) is mixed


def group(name: str = "", count: int = 4, **more: Any) -> Any:
    return SimpleNamespace(**{"name": name, "count": count, "loops_per_pump": None, "pump_speed_share": None, **more})


def check(count: int = 4, heat_w_k: float = 50.0, surface_limit_w: float = 3000.0, flow_m3_s: float = 3e-5) -> Any:
    return SimpleNamespace(
        count=count, heat_w_k=heat_w_k, surface_limit_w=surface_limit_w, flow_m3_s=flow_m3_s, head_pa=9e3
    )


def common(
    groups: Any = (),
    checks: Any = (),
    *,
    pump: Any = None,
    floor: bool = True,
    tube_c: float | None = None,
    **water: Any,
) -> Any:
    """A house at 20 °C whose 6 kW want water of 45 °C."""
    house = SimpleNamespace(indoor_temperature_c=20.0, emitter="radiators", zone=())
    return SimpleNamespace(
        case=SimpleNamespace(
            fluid=None, house=house, ratings=None if tube_c is None else SimpleNamespace(tube_temperature_c=tube_c), floor=None, tank=None, use=()
        ),
        water=SimpleNamespace(
            floor=SimpleNamespace(loops=groups, pump=pump) if floor else None, loops=checks,
            **{"resistance_k_w": 25 / 6000, "hottest_c": 60.0, "circuits": (), "supply_top_c": 1e9, **water},
        ),
        route=SimpleNamespace(load_w=6000.0), coldest_c=-12.0,
    )  # fmt: skip


def test_high_limits_of_loops_are_where_their_surface_is_at_its_limit() -> None:
    """4 loops of 50 W/K each give 3 kW at 15 K over the room, 20 loops' worth of 100 W/K theirs at 8 K; 3 K more where the water is as warm."""
    assert system._limits(common(floor=False), 45.0, None) == (None, ())
    assert system._limits(common([], []), 45.0, None) == (None, ())
    alone = common([group("Hall")], [check()])
    assert system._limits(alone, 45.0, None) == (NEAR(38.0), ())  # all of them are cooler, so the supply is theirs
    both = common([group("Hall"), group("", 2)], [check(surface_limit_w=6000.0), check(2, 100.0, 1600.0)])
    limit, valves = system._limits(both, 45.0, None)
    assert limit == NEAR(50.0)
    assert valves == (ValveMark("Loops, group 2", NEAR(28.0), NEAR(31.0)),)  # type: ignore[arg-type]
    # half a kelvin less than the supply is as warm
    for supply, own in ((28.5, 0), (28.51, 1)):
        assert len(system._limits(both, supply, None)[1]) == own
    tubes = common([group("Hall")], [check(surface_limit_w=6000.0)], tube_c=40.0)
    assert system._limits(tubes, 45.0, None)[0] == 40.0


def plan(name: str, *, level: str = "Ground", thermostat: str = "Ground", count: int = 2, **more: Any) -> Any:
    fed = SimpleNamespace(count=count, flow_m3_s=2e-5, head_pa=more.pop("head_pa", 1e4))
    design = SimpleNamespace(supply_c=more.pop("supply_c", 40.0), drop_k=more.pop("drop_k", 5.0))
    return SimpleNamespace(
        circuit=SimpleNamespace(name=name, level=level, thermostat=thermostat),
        fed=fed,
        design=design,
        most_c=more.pop("most_c", 48.0),
    )


def laid(*plans: Any, cooler: Any = None, pumps: Any = (), thermostats: Any = ("Ground",)) -> Any:
    return SimpleNamespace(loops=plans, cooler=cooler or {}, pumps=pumps, thermostats=thermostats, supply_c=45.0)


def test_high_limits_of_a_layout_are_those_of_its_tenderest_loop() -> None:
    bath, den = plan("Bath", supply_c=32.0, most_c=36.0), plan("Den", supply_c=31.0, most_c=37.0)
    found = laid(plan("Hall"), plan("Room", most_c=47.0), bath, den, cooler={"Bath": [bath, den]})
    assert system._limits(common(), 45.0, found) == (
        48.0,
        (ValveMark("Bath", 32.0, 36.0),),
    )  # 45 + 3, over the 47 of Room
    assert system._limits(common(tube_c=35.0), 45.0, found) == (35.0, (ValveMark("Bath", 32.0, 35.0),))


def use(name: str, needs_c: float, kind: str = "zone") -> Any:
    return SimpleNamespace(name=name, kind=kind, needs_c=needs_c)


def test_at_most_four_circuits_of_uses_are_drawn() -> None:
    four = [use(str(at), 40.0 + at) for at in range(4)]
    assert [one.name for one in system._uses(four)] == ["0", "1", "2", "3"]
    five = system._uses([*four, use("4", 39.0)])
    assert [(one.name, one.kind, one.needs_c) for one in five] == [
        ("0", "zone", 40.0), ("1", "zone", 41.0), ("2", "zone", 42.0), ("2 further uses", "zone", 43.0),
    ]  # fmt: skip
    kinds = [
        system._uses([HotWater.model_construct(name="t", kind="hot_water", exchanger=one, storage_temperature_c=60.0)])[
            0
        ].kind
        for one in ("stored", "through_tank")
    ]
    assert kinds == ["cylinder", "hot_water"]


def pump(*loops: int, speed: float = 0.6, head_pa: float = 2e4, thermostat: str = "Ground") -> Any:
    return SimpleNamespace(loops=loops, speed_share=speed, head_pa=head_pa, thermostat=thermostat)


def test_each_thermostat_is_a_circuit_and_so_is_what_stands_behind_a_valve() -> None:
    plans = plan("Hall"), plan("Room", count=1, head_pa=3e4), plan("Bath", thermostat="Ground")
    pumps = pump(0), pump(1, speed=0.8, head_pa=2.5e4), pump(2), pump(0, thermostat="Up")
    (zone,) = system._layout_zones(laid(*plans, pumps=pumps), {}, 45.0)
    assert zone == ZoneMark("Ground", 5, 3, "60% and 80%", NEAR(1e-4), 2.5e4, None, False)  # type: ignore[arg-type]
    mains, bath = system._layout_zones(laid(*plans, pumps=pumps), OWN, 45.0)
    assert mains == ZoneMark("Ground", 3, 2, "60% and 80%", NEAR(6e-5), 2.5e4, 45.0, False)  # type: ignore[arg-type]
    assert bath == ZoneMark("Ground, Bath", 2, 1, "60%", NEAR(4e-5), 2e4, 32.0, True)  # type: ignore[arg-type]
    # one pump for all belongs to the first of its circuits; without one the head is that of the loops
    mains, bath = system._layout_zones(laid(*plans, pumps=(pump(0, 1, 2),)), OWN, 45.0)
    assert (mains.pumps, bath.pumps, bath.speed, bath.head_pa) == (1, 0, "", 1e4)
    (alone,) = system._layout_zones(laid(plans[2]), OWN, 45.0)
    assert (alone.name, alone.water_c, alone.valved) == ("Ground", 32.0, True)


def test_groups_of_loops_are_circuits_with_their_pumps() -> None:
    emitters = system._group_zones(common(floor=False))
    assert emitters == (ZoneMark("Emitters", 0, 1, "", 0.0, 0.0),)
    study = common(floor=False)
    study.case.house.emitter = "radiant_floor_tile"
    assert system._group_zones(study) == (ZoneMark("Radiant floor", 0, 1, "", 0.0, 0.0, floor=True),)
    usual = SimpleNamespace(loops_per_pump=3, speed_share=0.5)
    groups = group("Hall", 7), group("", 2), group("Den", 4, loops_per_pump=1, pump_speed_share=0.8)
    found = system._group_zones(common(groups, [check(), check(), check()], pump=usual))
    assert [(one.name, one.loops, one.pumps, one.speed) for one in found] == [
        ("Hall", 7, 3, "50%"), ("Loops, group 2", 2, 1, "50%"), ("Den", 4, 4, "80%"),
    ]  # fmt: skip
    hall = found[0]
    assert (hall.flow_m3_s, hall.head_pa, hall.water_c, hall.valved) == (NEAR(2.1e-4), 9e3, None, False)
    bare = system._group_zones(common(groups[:1], [check()]))
    assert (bare[0].pumps, bare[0].speed) == (0, "")
    own = {"Den": ValveMark("Den", 30.0, 33.0)}
    water = [(one.water_c, one.valved) for one in system._group_zones(common(groups, [check()] * 3), own, 45.0)]
    assert water == [(45.0, False), (45.0, False), (30.0, True)]


def zone(name: str = "a", **more: Any) -> ZoneMark:
    return ZoneMark(**{"name": name, "loops": 2, "pumps": 1, "speed": "60%", "flow_m3_s": 1e-4, "head_pa": 1e4, **more})


def test_at_most_six_circuits_of_zones_are_drawn() -> None:
    six = [zone(str(at)) for at in range(6)]
    assert system._merged(six) == tuple(six)
    *kept, rest = system._merged([*six, zone("6", loops=5, pumps=2, head_pa=2e4, valved=True)])
    assert [one.name for one in kept] == ["0", "1", "2", "3", "4"]
    assert rest == ZoneMark("2 further zones", 7, 3, "", NEAR(2e-4), 2e4, None, True)  # type: ignore[arg-type]
    assert system._merged([*six, zone("6")])[-1].valved is False


WATER = SimpleNamespace(density_kg_m3=1000.0, heat_capacity_j_kgk=4200.0)


def test_the_mains_cool_by_what_is_taken_from_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """6 kW in 0.2 L/s of 4.2 MJ/(m³ K) are 7.14 K. A loop at 32 °C that cools by 5 K in mains of 45 °C takes 5/18 of its flow."""
    monkeypatch.setattr(system, "mixture", lambda case, supply: WATER)
    study = common()

    def drop(zones: Any, layout: Any = None, own: Any = None, made: Any = study) -> float:
        return system._mixed_drop_k(made, zones, layout, own or {}, 45.0)

    assert drop([zone(), zone()]) == NEAR(6000 / (2e-4 * 4.2e6))
    assert drop([]) == drop([zone(flow_m3_s=0.0)]) == 10.0
    plans = plan("Hall", count=3, drop_k=6.0), plan("Bath", count=2, drop_k=5.0)
    heat, taken = 3 * 6.0 + 2 * 5.0, 3 * 6.0 / 6.0 + 2 * 5.0 / 18.0
    assert drop([zone()], laid(*plans), OWN) == NEAR(heat / taken)
    assert drop([zone()], laid(plan("Bath", drop_k=0.0)), OWN) == 10.0
    # groups: 50 W/K at 25 K over the room in 0.03 L/s cool by 9.92 K, at 12 K by 4.76
    groups = common([group("Hall"), group("Bath", 2)], [check(), check(2)])
    one, other = 50 * 25 / (3e-5 * 4.2e6), 50 * 12 / (3e-5 * 4.2e6)
    heat, taken = 4 * one + 2 * other, 4.0 + 2 * other / (13 + other)
    assert drop([zone()], None, OWN, groups) == NEAR(heat / taken)
    still = common([group("Bath")], [check(flow_m3_s=0.0)])
    assert drop([zone()], None, OWN, still) == 10.0


def drawn(
    monkeypatch: pytest.MonkeyPatch,
    made: Any,
    sources: Any = (),
    capacities: Any = (),
    layout: Any = None,
    **option: Any,
) -> Any:
    monkeypatch.setattr(system, "option_study", lambda study, one: study)
    monkeypatch.setattr(system, "mixture", lambda case, supply: WATER)
    monkeypatch.setattr(system, "needed_vessel_m3", lambda study, ratings: 0.03)
    one = SimpleNamespace(**{"name": "A", "sources": sources, "floor": None, **option})
    return system.system_of(made, one, capacities, layout)  # type: ignore[arg-type]


def test_a_system_of_a_boiler_and_collectors_without_a_tank(monkeypatch: pytest.MonkeyPatch) -> None:
    sources = (
        source(flow_m3_s=2e-4, fuel_key="natural_gas", condensing=True),
        source(symbol="collector", outdoors=True, outdoor_content_m3=0.019, fuel_key="sun"),
    )
    capacities = [SimpleNamespace(name=name, rated_w=2e4, derated_w=1.8e4) for name in ("Boiler", "Plates")]
    found = drawn(monkeypatch, common(floor=False), sources, capacities)
    boiler, plates = found.sources
    assert (boiler.name, boiler.symbol, boiler.rated_w, boiler.delivered_w) == ("Boiler", "flame", 2e4, 1.8e4)
    assert (boiler.flow_m3_s, boiler.circuit, boiler.filling_m3, boiler.coldest_c) == (2e-4, "", None, -17.0)
    assert (plates.flow_m3_s, plates.circuit, plates.filling_m3, plates.coldest_c) == (None, "glycol", 0.019, -17.0)
    assert (found.tank_m3, found.open_circuit, found.mixing, found.stratified) == (None, False, False, False)
    assert (found.max_temperature_c, found.load_w) == (60.0, 6000.0)
    assert found.supply_c == NEAR(45.0)
    assert found.return_c == NEAR(35.0)  # the usual drop of 10 K, where no flow is known
    assert found.relief_pa == NEAR(30 * 6894.757, rel=1e-4)  # 30 psi
    assert found.vessel_m3 == NEAR(0.03)
    assert (found.fluid, found.limit_c, found.valves) == ("water", None, ())
    mild = common(floor=False)
    mild.coldest_c = 0.0
    warm = drawn(monkeypatch, mild, sources, capacities).sources
    assert [one.coldest_c for one in warm] == [None, None]
    assert [one.circuit for one in warm] == ["", ""]


def test_a_system_with_a_tank_is_mixed_vented_and_layered_as_typed(monkeypatch: pytest.MonkeyPatch) -> None:
    made = common([group()], [check()], resistance_k_w=1e-4)
    made.case.tank = SimpleNamespace(max_temperature_c=70.0, volume_m3=0.3, circuit="open", stratification_share=0.8)
    made.case.ratings = Ratings.model_construct(relief_pressure_pa=3e5, tube_temperature_c=None)
    found = drawn(monkeypatch, made)
    assert (found.tank_m3, found.open_circuit, found.mixing, found.stratified, found.relief_pa) == (
        0.3,
        True,
        True,
        True,
        3e5,
    )
    assert (found.max_temperature_c, found.supply_c) == (70.0, NEAR(20.6))
    assert found.return_c == 20.0  # no cooler than the rooms
    made.case.tank = SimpleNamespace(max_temperature_c=20.9, volume_m3=0.3, circuit="closed", stratification_share=0.0)
    found = drawn(monkeypatch, made)
    assert (found.open_circuit, found.mixing, found.stratified) == (False, False, False)
    # a layout is that of the study's own floor, and says its own water where its loops are typed
    made.case.floor = SimpleNamespace(
        loops_typed=True, antifreeze="propylene_glycol", concentration_share=0.3, layout=None
    )
    one = laid(plan("Hall", count=4))
    assert drawn(monkeypatch, made, layout=one).supply_c == 45.0
    assert drawn(monkeypatch, made, layout=one).fluid == "30% propylene glycol"
    assert drawn(monkeypatch, made, layout=one, floor=object()).supply_c == NEAR(20.6)
    made.case.floor = but(made.case.floor, loops_typed=False)
    assert drawn(monkeypatch, made, layout=one).supply_c == NEAR(20.6)
    assert math.isfinite(found.return_c)
