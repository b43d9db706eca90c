"""A season summed up and what is said of it, on made-up hours of two or three."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study

from costsim.engine.lower import lower_study
from costsim.physics.thermal_mass import steady_feedback
from costsim.results import season, zones
from costsim.results.cycling import switching_j
from costsim.results.recovery import recovery_of
from costsim.results.result import Hourly
from costsim.results.warnings import _typical_warnings, warnings_of
from costsim.study.uses import HotWater
from costsim.units.faults import build

ELECTRIC = {"kind": "electric", "output": "20 kW"}
KWH = 3.6e6


def hourly(n: int = 3, **given: Any) -> Hourly:
    """Hours of which only these are told."""
    return Hourly(
        **{
            name: np.array(given.get(name, np.zeros(n)), dtype=float)
            if name != "unmet_by_cause_w"
            else given.get(name, {})
            for name in Hourly.__dataclass_fields__
        }
    )


def offer(**given: Any) -> Any:
    """An offer of which only this is told."""
    plain = {
        "name": "boiler", "kind": "gas", "fuel": "natural_gas", "price_key": "natural_gas", "co2_kg_per_j": 2.0 / KWH, "biogenic": False,
        "rated_w": 9e3, "derates": (), "facts": {"a": 1}, "tally": None, "min_fire_w": 0.0, "must_run": False, "warnings": (), "standby_w": 0.0,
    }  # fmt: skip
    return SimpleNamespace(**{**plain, **given})


def common(**given: Any) -> Any:
    """A study of which only this is told."""
    plain: dict[str, Any] = {
        "case": SimpleNamespace(prices={}, tank=None, use=()),
        "surroundings": SimpleNamespace(co2_kg_per_j={"electricity": 0.5 / KWH}),
        "tariffs": {}, "calendar": None, "water": SimpleNamespace(tank_j_k=0.0, short=(), warnings=()), "uses": None,
    }  # fmt: skip
    return SimpleNamespace(**{**plain, **given})


HOURS = hourly(
    heat_w=[[0.0, 0.0, 0.0], [0.5, 1000.0, 3000.0]], input_w=[[0.0] * 3, [1.0, 1250.0, 3749.0]],
    auxiliary_w=[[0.0] * 3, [0.0, 40.0, 60.0]], dumped_w=[[0.0] * 3, [0.5, 100.0, 0.0]], pump_w=[10.0, 20.0, 30.0],
)  # fmt: skip


def test_a_source_over_a_season_of_three_hours() -> None:
    told: list[tuple[float, float, int]] = []

    def tally(made_j: float, unused_j: float, hours: int) -> dict[str, float]:
        told.append((made_j, unused_j, hours))
        return {"b": 2.0}

    found = season.source_season(offer(tally=tally), 1, HOURS, {}, common())
    assert (found.heat_j, found.input_j, found.auxiliary_j, found.dumped_j) == (
        4000.5 * 3600,
        5e3 * 3600,
        100.0 * 3600,
        100.5 * 3600,
    )
    # half a watt is rounding
    assert (found.hours, found.peak_w, found.cost) == (2, 3000.0, 0.0)
    assert told == [(pytest.approx(4101.0 * 3600), pytest.approx(100.5 * 3600), 1)]
    assert found.facts == {"a": 1, "b": 2.0}
    # 5 kWh of fuel at 2 kg and 0.1 kWh of fans at 0.5 kg
    assert (found.co2_kg, found.biogenic_co2_kg) == (pytest.approx(10.05), 0.0)
    wood = season.source_season(offer(biogenic=True), 1, HOURS, {}, common())
    assert (wood.co2_kg, wood.biogenic_co2_kg) == (pytest.approx(0.05), pytest.approx(10.0))
    idle = season.source_season(offer(), 0, HOURS, {}, common())
    assert (idle.heat_j, idle.hours, idle.peak_w, idle.facts) == (0.0, 0, 0.0, {"a": 1})


def test_a_source_pays_its_part_of_the_energy_on_its_bill(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two sources on a bill of $14, $2 of it fixed; by the hour's price one took 3 of 4 $ of energy."""
    monkeypatch.setattr(season, "hourly_price_per_j", lambda tariff, calendar: np.array([0.0, 1.0, 2.0]) / 3600)
    put_in = hourly(
        input_w=[[5.0, 1.0, 1.0], [0.0, 1.0, 0.0]],
        heat_w=np.ones((2, 3)),
        auxiliary_w=np.zeros((2, 3)),
        dumped_w=np.zeros((2, 3)),
    )
    bills: Any = {"natural_gas": SimpleNamespace(total=14.0, fixed=2.0, hourly_worth=4.0)}
    shares = [
        season.source_season(offer(), at, put_in, bills, common(tariffs={"natural_gas": None})).cost for at in (0, 1)
    ]
    assert shares == pytest.approx([9.0, 3.0])
    free: Any = {"natural_gas": SimpleNamespace(total=14.0, fixed=2.0, hourly_worth=0.0)}
    cheap: Any = {"natural_gas": SimpleNamespace(total=2.5, fixed=2.0, hourly_worth=0.5)}
    small = hourly(
        input_w=[[0.0, 0.5, 0.0]], heat_w=np.ones((1, 3)), auxiliary_w=np.zeros((1, 3)), dumped_w=np.zeros((1, 3))
    )
    whole = season.source_season(offer(), 0, small, cheap, common(tariffs={"natural_gas": None}))
    assert whole.cost == pytest.approx(0.5)
    assert season.source_season(offer(), 0, put_in, free, common(tariffs={"natural_gas": None})).cost == 0.0


def test_what_is_bought_counts_pumps_and_fans_with_electricity() -> None:
    gas, power = offer(), offer(price_key="electricity")
    both = season.bought_j(common(tariffs={"natural_gas": 1, "electricity": 1}), [power, gas], HOURS)
    assert both["natural_gas"].tolist() == [1.0 * 3600, 1250.0 * 3600, 3749.0 * 3600]
    assert both["electricity"].tolist() == [10.0 * 3600, 60.0 * 3600, 90.0 * 3600]
    assert season.bought_j(common(tariffs={"electricity": 1}), [], HOURS)["electricity"].tolist() == [
        10.0 * 3600,
        60.0 * 3600,
        90.0 * 3600,
    ]
    twice = season.bought_j(common(tariffs={"natural_gas": 1}), [gas, offer()], HOURS)
    assert list(twice) == ["natural_gas"]  # nobody bills the pumps
    still = hourly(heat_w=np.zeros((1, 3)), input_w=np.zeros((1, 3)), auxiliary_w=np.zeros((1, 3)))
    assert list(season.bought_j(common(tariffs={"natural_gas": 1, "electricity": 1}), [gas], still)) == ["natural_gas"]


def uses(late: list[bool]) -> Any:
    """Three uses that want 10, 20 and 30 W in the first hour and less in the others."""
    wanted = np.array([[10.0, 10.0, 0.5], [20.0, 0.0, 0.6], [30.0, 0.0, 0.0]])
    kinds = [
        SimpleNamespace(name=name, kind="zone", priority="after_house" if one else "before_house")
        for name, one in zip("abc", late, strict=True)
    ]
    kinds[0] = HotWater.model_construct(name="a", kind="hot_water", priority=kinds[0].priority)
    return common(
        uses=SimpleNamespace(by_use_w=wanted, asked_w=wanted, late=np.array(late)),
        case=SimpleNamespace(use=kinds, prices={}, tank=None),
    )


def test_own_generation_goes_to_the_house_first_and_then_to_heating(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 5, 5 and 5 kWh the house takes 1, 2 and 9; heating wants 3, 4 and 5."""
    made = [np.array(one) * KWH for one in ([5.0, 5.0, 5.0], [1.0, 2.0, 9.0])]
    monkeypatch.setattr(season, "generation_j", lambda case, weather: made[0])
    case = SimpleNamespace(
        solar_electric=object(), other_electricity_j=lambda calendar: made[1], prices={}, tank=None, use=()
    )
    heat = hourly(input_w=[[3000.0, 4000.0, 5000.0]], auxiliary_w=[[0.0] * 3], heat_w=[[1.0] * 3])
    weather = SimpleNamespace(n_hours=3)
    bare = season.own_use(common(case=case, weather=weather), [offer(price_key="electricity")], heat)
    assert bare is not None
    # nobody bills electricity, so none of it is counted as bought
    assert [one / KWH for one in (bare.generated_j, bare.house_j, bare.heating_j, bare.exported_j)] == pytest.approx(
        [15.0, 8.0, 0.0, 7.0]
    )
    told: list[tuple[Any, ...]] = []
    monkeypatch.setattr(season, "heating_share", lambda *given: told.append(given))
    monkeypatch.setattr(season, "export_terms", lambda case: "terms")
    billed = common(case=case, weather=weather, tariffs={"electricity": "tariff"}, calendar="clock")
    season.own_use(billed, [offer(price_key="electricity")], heat)
    tariff, clock, heating_j, other_j, own_j, terms = told[0]
    assert (tariff, clock, terms) == ("tariff", "clock", "terms")
    for found, wanted in ((heating_j, [3.0, 4.0, 5.0]), (other_j, [1.0, 2.0, 9.0]), (own_j, [5.0, 5.0, 5.0])):
        assert (found / KWH).tolist() == pytest.approx(wanted)
    assert season.own_use(common(case=SimpleNamespace(solar_electric=None)), [], heat) is None


def test_uses_get_what_is_given_in_their_order_the_late_ones_last() -> None:
    first = season.uses_season(uses([False, False, False]), np.array([25.0, 9.0, 0.5]))
    # 25 W go to a and b; half a watt that lacks is rounding, 0.6 is not
    assert [(one.heat_j / 3600, one.unmet_j / 3600, one.unmet_hours) for one in first] == [
        (20.5, 1.0, 1), (20.6, pytest.approx(5.6), 2), (30.0, 30.0, 1),
    ]  # fmt: skip
    late = season.uses_season(uses([True, False, False]), np.array([25.0, 9.0, 1.1]))
    assert [(one.unmet_j / 3600, one.unmet_hours, one.priority) for one in late] == [
        (11.0, 2, "after_house"), (0.0, 0, "before_house"), (25.0, 1, "before_house"),
    ]  # fmt: skip
    assert season.uses_season(common(), np.zeros(3)) == ()


def test_the_sun_has_its_share_of_what_taps_and_floor_take() -> None:
    sunny, other = SimpleNamespace(collects_sun=True), SimpleNamespace(collects_sun=False)
    weather = SimpleNamespace(n_hours=3, months=np.array([1, 7, 7], dtype=np.int8), southern=False)
    study_of = replace_uses(weather)
    hours = hourly(
        heat_w=[[0.0, 20.0, 5.0], [10.0, 0.0, 0.0]], delivered_w=[0.0, 10.0, 5.0], use_delivered_w=[10.0, 10.0, 0.0]
    )
    option: Any = SimpleNamespace(sources=(sunny, other))
    found = season.sun_of(study_of, option, hours)
    assert found is not None
    # 35 taken, 10 by the other in January, all of it at the taps
    assert (found.year, found.summer, found.hot_water, found.space) == (pytest.approx(25 / 35), 1.0, 0.5, 1.0)
    none: Any = SimpleNamespace(sources=(other, other))
    assert season.sun_of(study_of, none, hours) is None


def replace_uses(weather: Any) -> Any:
    """One tap that takes what uses are given."""
    tap = HotWater.model_construct(name="a", kind="hot_water", priority="before_house")
    wanted = np.array([[10.0, 10.0, 0.0]])
    return common(
        weather=weather,
        uses=SimpleNamespace(by_use_w=wanted, asked_w=wanted, late=np.array([False])),
        case=SimpleNamespace(use=(tap,), prices={}, tank=None),
    )


def test_a_tank_takes_its_capacity_times_the_differential() -> None:
    """300 L of water at 40 °C (992.2 kg/m³, 4,179 J/(kg K)) through 6 K."""
    case = study(ELECTRIC, tank__volume="300 L", tank__differential="6 K")
    assert switching_j(lower_study(case, constant_weather(5.0))) == pytest.approx(0.3 * 992.2 * 4179 * 6, rel=1e-3)
    assert switching_j(lower_study(study(ELECTRIC), constant_weather(5.0))) == 0.0


def test_warnings_of_a_tank_of_its_own_are_told_once() -> None:
    whole = common(water=SimpleNamespace(short=("s",), warnings=("w",), tank_j_k=0.0))
    own = common(water=SimpleNamespace(short=("s", "t"), warnings=("w", "v"), tank_j_k=0.0))
    sources: Any = [SimpleNamespace(facts={})]
    assert season.option_warnings(whole, own, [offer(warnings=("x",))], sources) == ("x", "t", "v")


def test_recovery_is_told_where_floor_and_rooms_store_heat_alone() -> None:
    back = [{"indoor_temperature": "15 degC", "windows": ["22:00-06:00"]}]
    light = lower_study(study(ELECTRIC, house__setback=back), constant_weather(0.0))
    assert season.recoveries(light, hourly()) is None
    # two recoveries of half an hour and of two and a half: the middle is one and a half
    found = recovery_of(
        setpoint_c=np.array([16.0, 20, 16, 20, 20, 20.0]),
        room_c=np.array([19.0, 20, 16, 17, 19, 20.0]),
        outdoor_c=np.zeros(6),
    )
    assert found is not None
    assert (found.median_h, found.longest_h, found.count) == (1.5, 2.5, 2)


def zone_of(unmet: Any, beyond: Any, share: float = 0.5) -> Any:
    """A zone's three hours."""
    part = SimpleNamespace(name="a", load_share=share, indoor_temperature_c=22.0, setpoint_c=np.full(3, 22.0))
    return SimpleNamespace(
        part=part,
        demand_w=np.array([100.0, 200.0, 300.0]),
        unmet_w=np.array(unmet),
        beyond_loops_w=np.array(beyond),
        room_c=None,
    )


def house(mass: Any, named: Any) -> Any:
    """A house of 200 W/K at -10 °C."""
    water = SimpleNamespace(
        mass=mass,
        zones=named,
        resistance_k_w=0.005,
        max_temperature_c=60.0,
        supply_top_c=np.inf,
        circuits=(),
        loops=[SimpleNamespace(count=2), SimpleNamespace(count=3)],
    )
    typed = [
        SimpleNamespace(share=lambda area, own=one: own.load_share, indoor_temperature_c=one.indoor_temperature_c)
        for one in named
    ]
    return common(
        case=SimpleNamespace(house=SimpleNamespace(zone=typed or (1,), indoor_temperature_c=20.0, floor_area_m2=100.0)),
        water=water,
        loss_w_k=200.0,
        design_outdoor_c=-10.0,
        route=SimpleNamespace(load_w=6e3),
    )


def test_hours_of_a_zone_count_beyond_rounding_or_with_the_house(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: dict[str, Any] = {}

    def zone_hours(study: Any, **given: Any) -> Any:
        asked.update(given)
        return (zone_of([0.5, 0.6, 0.2], [0.5, 0.0, 0.7]),)

    monkeypatch.setattr(zones, "zone_hours", zone_hours)
    hours = hourly(
        unmet_w=[0.5, 0.0, 9.0], unmet_by_cause_w={"floor": np.zeros(3), "capacity": np.array([0.5, 0.0, 9.0])},
        available_w=[[5.0, 5.0, 5.0], [1.0, 1.0, 1.0]], use_delivered_w=[2.0, 2.0, 2.0], delivered_w=[3.0, 4.5, 3.0],
    )  # fmt: skip
    same, (zone,) = zones.house_and_zones(house(None, ()), hours)
    assert same is hours
    # what sources could give beside the uses, and no less than they did
    assert asked["ready_w"].tolist() == [4.0, 4.5, 4.0]
    assert (zone.unmet_hours, zone.loops_short_hours) == (1, 1)
    assert (zone.unmet_j, zone.loops_short_j) == (pytest.approx((0.6 + 0.2) * 3600), pytest.approx(0.7 * 3600))
    assert (zone.heat_j, zone.design_load_w) == (600.0 * 3600, 0.5 * 200 * 32)
    assert (zone.loops, zone.supply_c, zone.loops_give_w, zone.recovery) == (None, None, None, None)
    assert zones.house_and_zones(common(case=SimpleNamespace(house=SimpleNamespace(zone=()))), hours) == (hours, ())


def test_what_loops_of_a_heavy_floor_do_not_let_through_is_the_floor_s(monkeypatch: pytest.MonkeyPatch) -> None:
    parts = (zone_of([0.0] * 3, [30.0, 5.0, 0.0]), zone_of([0.0] * 3, [0.0, 5.0, 0.0]))
    monkeypatch.setattr(zones, "zone_hours", lambda study, **given: parts)
    named = [
        SimpleNamespace(load_share=0.5, indoor_temperature_c=warm, limit_w=limit, heat_w_k=50.0, groups=groups)
        for warm, limit, groups in ((22.0, 2e3, (0, 1)), (18.0, 9e3, (1,)))
    ]
    hours = hourly(
        unmet_w=[10.0, 20.0, 30.0],
        unmet_by_cause_w={"floor": np.array([10.0, 12.0, 0.0])},
        available_w=np.zeros((1, 3)),
    )
    found, (first, second) = zones.house_and_zones(house(object(), named), hours)
    assert found.unmet_by_cause_w["floor"].tolist() == [30.0, 12.0, 0.0]
    assert found.unmet_w.tolist() == [30.0, 20.0, 30.0]
    # 20 °C and 0.005 K/W times what loops give of the 6 kW, 2 and 3: 45 °C
    assert first.supply_c == second.supply_c == pytest.approx(45.0)
    assert (first.loops, second.loops) == (5, 3)
    assert (first.loops_give_w, second.loops_give_w) == (pytest.approx(50.0 * 23), pytest.approx(50.0 * 27))


def test_what_a_zone_lacks_beyond_the_house_goes_to_what_that_lacks_most(monkeypatch: pytest.MonkeyPatch) -> None:
    parts = (zone_of([15.0, 20.0, 30.0], [0.0] * 3), zone_of([0.0, 6.0, 7.0], [0.0] * 3))
    monkeypatch.setattr(zones, "zone_hours", lambda study, **given: parts)
    causes = {"floor": [10.0, 30.0, 30.0], "capacity": [0.0, 20.0, 10.0], "fuel": [0.0, 0.0, 20.0]}
    hours = hourly(
        unmet_w=[10.0, 20.0, 30.0], unmet_by_cause_w={name: np.array(each) for name, each in causes.items()}, available_w=np.zeros((1, 3))
    )  # fmt: skip
    found, _ = zones.house_and_zones(house(object(), ()), hours)
    assert found.unmet_w.tolist() == [15.0, 26.0, 37.0]
    assert {name: each.tolist() for name, each in found.unmet_by_cause_w.items()} == {
        "floor": causes["floor"], "capacity": [5.0, 26.0, 10.0], "fuel": [0.0, 0.0, 27.0]
    }  # fmt: skip


def test_a_feedback_at_which_rooms_swing_is_told_from_its_limit_on() -> None:
    loops = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
    found = lower_study(study(ELECTRIC, floor__loops=loops, floor__mass={}), constant_weather(-5.0))
    assert found.water.mass is not None
    most = steady_feedback(found.water.mass.house(found.loss_w_k))
    for feedback, told in ((most, True), (most * 0.999, False), (most * 1.1, True)):
        mass = replace(found.water.mass, feedback=feedback)
        said = "\n".join(warnings_of(replace(found, water=replace(found.water, mass=mass)), ()))
        assert ("swing from hour to hour" in said) == told
    assert f"below {most:.1f} they come to rest" in said


def test_typical_walls_are_named_on_the_route_in_use() -> None:
    from costsim.physics.envelope import TYPICAL
    from costsim.study.house import House

    name = next(iter(TYPICAL))
    value = f"wall ({TYPICAL[name].u_value_w_m2k:g} W/m²K)"
    wall = {"name": "wall", "area": "50 m2", "typical": name}
    known = {"name": "roof", "area": "50 m2", "u_value": "0.2 W/(m2 K)"}
    base = {"floor_area": "100 m2", "indoor_temperature": "20 degC", "balance_point": "18 degC"}
    envelope = build(House, {**base, "surface": [wall, known]})
    rooms = build(House, {**base, "room": [{"name": "a", "surface": [known]}, {"name": "b", "surface": [wall]}]})
    entered = build(House, {**base, "design_heat_loss": "6 kW"})
    for one in (envelope, rooms):
        assert _typical_warnings(one) == [f"typical U-values stand for unknown ones: {value}"]
    assert _typical_warnings(entered) == []
