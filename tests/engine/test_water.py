"""Floor, pump, antifreeze and mass in a whole study."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from cases import constant_weather, sample_weather, study
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim import simulate
from costsim.engine.lower import lower_study
from costsim.results.result import OptionResult

SAND_POINT = sample_weather("sand_point.csv")
GREENSBORO = sample_weather()
AMPLE = {"kind": "electric", "output": "50 kW"}
LOOPS = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
PUMP = {"flows": ["0 gpm", "2 gpm", "4 gpm"], "heads": ["9 ftH2O", "7 ftH2O", "3 ftH2O"]}


def run(weather: Any, *sources: dict, **house: Any) -> OptionResult:
    return simulate(study(*(sources or (AMPLE,)), **house), weather).options[0]


def test_with_mass_and_ample_heat_the_season_is_degree_hours() -> None:
    off, on = run(SAND_POINT, floor__loops=LOOPS), run(SAND_POINT, floor__loops=LOOPS, floor__mass={})
    assert on.delivered_j == pytest.approx(off.delivered_j, rel=3e-3)
    heating = off.hourly.demand_w > 0
    assert on.hourly.room_c[heating].mean() == pytest.approx(20.0, abs=0.05)
    assert on.hourly.imbalance() < 1e-9
    assert on.unmet.hours == 0


def test_in_a_mild_year_mass_keeps_warm_afternoons_for_the_night() -> None:
    # hour-by-hour clipping counts nights after warm days in full; a heavy house needs less, by a few percent and never more
    off, on = (
        run(GREENSBORO, floor__loops=LOOPS),
        run(GREENSBORO, floor__loops=LOOPS, floor__mass={"room_ceiling": "3 K"}),
    )
    assert -0.04 < on.delivered_j / off.delivered_j - 1 < 0.0


def test_with_mass_a_weak_source_shows_as_a_cold_room() -> None:
    weak = run(SAND_POINT, {"kind": "electric", "output": "3 kW"}, floor__loops=LOOPS, floor__mass={})
    assert weak.hourly.room_c.min() < 18.0
    strong = run(SAND_POINT, {"kind": "electric", "output": "4 kW"}, floor__loops=LOOPS, floor__mass={})
    assert strong.hourly.room_c.min() > weak.hourly.room_c.min()


def test_warmer_hours_by_day_open_no_window() -> None:
    # 16 °C by night and 21 °C by day: a day's mean of 19.3 °C is the most that a house of 200 W/K can want
    day = {
        "house__indoor_temperature": "16 degC",
        "house__balance_point": "16 degC",
        "house__setback": [{"indoor_temperature": "21 degC", "windows": ["06:00-22:00"]}],
    }
    found = run(constant_weather(-5.0), floor__loops=LOOPS, floor__mass={}, **day)
    assert found.hourly.room_c.max() > 20.5
    assert found.delivered_j == pytest.approx(6000 / 26 * (found.hourly.room_c.mean() + 5.0) * 8760 * 3600, rel=5e-3)


def test_precharging_moves_heat_into_its_hours() -> None:
    mass = {"precharge": "2 K", "precharge_windows": ["03:00-06:00"]}
    plain, ahead = (
        run(SAND_POINT, floor__loops=LOOPS, floor__mass={}),
        run(SAND_POINT, floor__loops=LOOPS, floor__mass=mass),
    )
    early = (np.arange(8760) % 24 >= 3) & (np.arange(8760) % 24 < 6)
    assert ahead.hourly.delivered_w[early].sum() > 1.3 * plain.hourly.delivered_w[early].sum()
    assert ahead.hourly.room_c.max() < 24.0


def test_a_floor_that_cannot_give_the_load_is_its_own_cause() -> None:
    small = [{"count": 2, "length": "60 m", "spacing": "200 mm", "flow": "2 L/min"}]
    case = study(AMPLE, floor__loops=small)
    result = simulate(case, constant_weather(-10.0))
    found = result.options[0]
    assert found.unmet.by_cause_j["floor"] == pytest.approx(found.unmet.energy_j)
    assert any("the floor gives at most" in text for text in result.warnings)


def test_antifreeze_that_freezes_is_told_and_raises_the_tank() -> None:
    glycol = {"floor__antifreeze": "propylene_glycol", "floor__concentration": "20 vol%"}
    water, mixed = (lower_study(study(AMPLE, floor__loops=LOOPS, **more), GREENSBORO) for more in ({}, glycol))
    assert mixed.water.resistance_k_w > water.water.resistance_k_w
    assert mixed.water.loops[0].reynolds < water.water.loops[0].reynolds
    assert any("slush begins at" in text for text in mixed.water.warnings)
    strong = {**glycol, "floor__concentration": "48 vol%"}
    assert lower_study(study(AMPLE, floor__loops=LOOPS, **strong), GREENSBORO).water.warnings == ()


def test_a_pump_sets_the_flow_and_is_billed() -> None:
    loops = [{"count": 8, "length": "90 m", "spacing": "150 mm"}]
    slow, fast = (run(SAND_POINT, floor__loops=loops, floor__pump={**PUMP, "speed": s}) for s in ("60 %", "100 %"))
    assert 0 < slow.pump_j < fast.pump_j
    by_hand = fast.hourly.pump_w.max() * np.count_nonzero(fast.hourly.delivered_w > 0) * 3600
    assert fast.pump_j == pytest.approx(by_hand)
    assert fast.cost_energy == pytest.approx((fast.sources[0].input_j + fast.pump_j) / 3.6e6 * 0.10)


def test_two_loops_on_a_pump_take_less_each() -> None:
    loops = [{"count": 8, "length": "90 m", "spacing": "150 mm"}]
    one, two = (
        lower_study(
            study(AMPLE, floor__loops=loops, floor__pump={**PUMP, "loops_per_pump": n}), GREENSBORO
        ).water.loops[0]
        for n in (1, 2)
    )
    assert two.flow_m3_s < one.flow_m3_s < 2 * two.flow_m3_s
    assert two.heat_w_k < one.heat_w_k


def test_derates_of_a_gas_unit_are_named_and_add_up() -> None:
    unit = {
        "kind": "gas",
        "output": "30 kW",
        "efficiency": "90 %",
        "flow": "8 L/min",
        "max_outlet_temperature": "60 degC",
    }
    more = {
        "floor__loops": LOOPS,
        "floor__antifreeze": "propylene_glycol",
        "floor__concentration": "50 vol%",
        "place__altitude": "1000 m",
    }
    found = run(GREENSBORO, unit, **more)
    lost = dict(found.sources[0].derates)
    assert set(lost) == {"altitude", "flow", "water temperature", "antifreeze"}
    hour = int(found.hourly.demand_w.argmax())
    assert 30_000 - sum(lost.values()) == pytest.approx(found.hourly.available_w[0, hour], rel=1e-6)


def test_a_condensing_unit_gains_from_a_cooler_floor() -> None:
    unit = {"kind": "gas", "output": "30 kW", "condensing": True, "cycling_degradation": 0.0}
    wide, close = ([{"count": 8, "length": "90 m", "spacing": s, "flow": "3 L/min"}] for s in ("300 mm", "100 mm"))
    cool, warm = (run(GREENSBORO, unit, floor__loops=loops) for loops in (wide, close))
    carpet = run(GREENSBORO, unit, floor__loops=[{**wide[0], "covering": "0.2 m2 K/W"}])
    for found in (cool, warm, carpet):
        assert 0.84 < found.sources[0].heat_j / found.sources[0].input_j < 0.97
    assert carpet.sources[0].input_j > cool.sources[0].input_j


def test_a_slab_that_is_charged_or_reheated_is_not_called_short_while_the_room_is_warm() -> None:
    # the controller may wish for more than the source gives in an hour; only a cold room is a unmet
    mass = {"precharge": "2 K", "precharge_windows": ["04:00-06:00"]}
    found = run(SAND_POINT, {"kind": "electric", "output": "9 kW"}, floor__loops=LOOPS, floor__mass=mass)
    assert found.hourly.room_c.min() > 19.0
    assert found.unmet.hours == 0
    weak = run(SAND_POINT, {"kind": "electric", "output": "3 kW"}, floor__loops=LOOPS, floor__mass=mass)
    assert 0 < weak.unmet.hours <= np.count_nonzero(weak.hourly.room_c < 19.0)
    # demand belongs to the house: the weak source has the same, and lacks less than its slab would like to catch up
    assert np.array_equal(weak.hourly.demand_w, found.hourly.demand_w)
    missing = weak.demand_j - weak.delivered_j
    assert weak.unmet.energy_j == pytest.approx(missing, rel=0.05)


@settings(max_examples=6, deadline=None)
@given(st.integers(0, 23), st.integers(1, 23), st.integers(1, 10))
def test_fewer_permitted_hours_are_never_more_demand(start: int, length: int, cut: int) -> None:
    def seen(hours: int) -> OptionResult:
        windows = [f"{start:02d}:00-{(start + hours) % 24:02d}:00"]
        source = {"kind": "electric", "output": "9 kW", "windows": windows}
        return run(SAND_POINT, source, floor__loops=LOOPS, floor__mass={})

    more, fewer = seen(length), seen(max(1, length - cut))
    assert fewer.demand_j <= more.demand_j
    assert fewer.delivered_j <= 1.001 * more.delivered_j
    assert fewer.unmet.energy_j >= more.unmet.energy_j - 1e-3 * more.demand_j
    for found in (more, fewer):
        assert (found.hourly.unmet_w <= found.hourly.demand_w + 1e-9).all()


def test_the_morning_after_a_set_back_is_no_shortfall() -> None:
    back = [{"indoor_temperature": "16 degC", "windows": ["22:00-06:00"]}]
    found = run(
        SAND_POINT, {"kind": "electric", "output": "9 kW"}, floor__loops=LOOPS, floor__mass={}, house__setback=back
    )
    assert found.unmet.hours < 20


def test_a_warmer_room_leaves_less_below_the_surface_limit() -> None:
    # EN 1264: 29 °C where people stay, so 9 K or 100 W/m² at 20 °C and 7 K or 75.9 W/m² at 22 °C
    limits = [
        lower_study(study(AMPLE, floor__loops=LOOPS, house__indoor_temperature=f"{t} degC"), GREENSBORO)
        .water.loops[0]
        .surface_limit_w
        for t in (20, 22)
    ]
    area = 8 * 90 * 0.15
    assert limits[0] / area == pytest.approx(100.0, abs=0.1)
    assert limits[1] / area == pytest.approx(75.9, abs=0.1)


def test_ground_under_a_slab_takes_heat_where_it_is_given() -> None:
    from cases import demo

    from costsim import simulate
    from costsim.study.case import case_from

    used = []
    for ground in (None, "10 degC", "-10 degC"):
        data = demo("net_loft")
        data["floor"]["mass"] = {} if ground is None else {"ground": ground}
        data["option"] = [{"name": "E", "source": [{"kind": "electric", "output": "60 kW"}]}]
        data["prices"] = {"electricity": {"energy": "0.1 $/kWh"}}
        data.pop("program", None)
        found = simulate(case_from(data), sample_weather("sand_point.csv")).options[0]
        used.append(found.sources[0].input_j / 3.6e6)
    assert used[0] < used[1] < used[2]


def water(**floor: Any):
    """The water side of a house with these loops."""
    return lower_study(study(AMPLE, **({"floor__loops": LOOPS} | floor)), GREENSBORO).water


def test_the_pumps_of_all_loops_are_counted() -> None:
    # power = flow × head ÷ efficiency; 20 % from wire to water where no pump is described
    one = water().loops[0]
    assert one.pump_w == pytest.approx(8 * one.flow_m3_s * one.head_pa / 0.2)
    assert one.flow_m3_s == pytest.approx(3e-3 / 60)
    assert one.name.startswith("group 1: 8 × ")
    assert one.surface_limit_w == pytest.approx(8 * 90 * 0.15 * 100, rel=0.02)  # EN 1264: 100 W/m² where people stay


def test_a_loop_says_how_its_water_flows() -> None:
    for flow, regime in (("0.5 L/min", "laminar"), ("6 L/min", "turbulent")):
        assert water(floor__loops=[{**LOOPS[0], "flow": flow}]).loops[0].regime == regime
    rows = {water(floor__loops=[{**LOOPS[0], "flow": f"{x / 10} L/min"}]).loops[0] for x in range(5, 60, 2)}
    assert {row.regime for row in rows} == {"laminar", "between", "turbulent"}
    for row in rows:
        assert (row.regime == "laminar") == (row.reynolds < 2299)


def test_a_long_slow_loop_gives_all_its_water_carries() -> None:
    # with mass: what stands between water and slab is then the water's own heat capacity alone, 4.15 MJ/(m³ K) at 40 °C
    slow = [{"count": 8, "length": "500 m", "spacing": "150 mm", "flow": "0.2 L/min"}]
    mass = water(floor__loops=slow, floor__mass={}).mass
    assert mass is not None
    assert mass.water_resistance_k_w == pytest.approx(1 / (8 * 0.2e-3 / 60 * 992.2 * 4179), rel=5e-3)


def test_a_gas_house_pays_for_its_pumps_and_fans_and_nothing_more() -> None:
    unit = {"kind": "gas", "output": "20 kW", "efficiency": "90 %", "electric": "60 W"}
    found = run(GREENSBORO, unit, floor__loops=LOOPS)
    billed = sum(line.quantity for line in found.bills["electricity"].lines if line.unit == "J")
    assert billed == pytest.approx(found.pump_j + found.sources[0].auxiliary_j, rel=1e-9)
    assert billed > 0
