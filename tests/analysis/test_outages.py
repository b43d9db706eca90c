"""The coldest week without heat, by hand and against the two-node house by itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from cases import constant_weather, offer_of, study, wavy_weather
from cooling import cooling_curve

from costsim.analysis import outages as failure
from costsim.analysis.outages import LEVELS_C, coldest_room, coldest_week, failures
from costsim.engine.lower import house_rows, lower_study
from costsim.engine.water import slab_side
from costsim.physics.thermal_mass import TwoNode, hours_to

ELECTRIC = {"kind": "electric", "output": "20 kW"}
WOOD = {"kind": "wood", "charge": "20 kg", "burn_time": "5 h", "load_times": ["07:00"], "efficiency": "60 %"}
COLD = constant_weather(-10.0)


def test_the_coldest_week_is_seven_days_long() -> None:
    outdoor = np.zeros(400)
    outdoor[100:268] = -1.0
    assert coldest_week(outdoor) == 100
    outdoor[99] = -2.0
    assert coldest_week(outdoor) == 99
    outdoor[-1] = -500.0
    assert coldest_week(outdoor) == 400 - 168
    assert coldest_week(np.zeros(168)) == coldest_week(np.zeros(20)) == 0
    assert coldest_week(np.r_[1.0, np.zeros(168)]) == 1


def test_a_source_that_fails_gives_nothing_for_a_week() -> None:
    offer, _ = offer_of(WOOD, COLD, tank__volume="500 L")
    silent = failure._silent(replace(offer, charge_j=np.ones(8760), capacity_w=np.ones(8760)), 1000)
    gone = (np.arange(8760) >= 1000) & (np.arange(8760) < 1168)
    assert silent.capacity_w.tolist() == silent.charge_j.tolist() == np.where(gone, 0.0, 1.0).tolist()
    assert failure._silent(replace(offer, charge_j=None), 0).charge_j is None


def test_levels_are_60_50_and_40_degrees_fahrenheit() -> None:
    assert pytest.approx([(f - 32) / 1.8 for f in (60, 50, 40)]) == list(LEVELS_C)


def test_a_house_of_which_nothing_is_described_is_light() -> None:
    common = lower_study(study(ELECTRIC, tank__volume="100 L", tank__design_supply_temperature="40 degC"), COLD)
    light = failure._light_mass(common)
    # for 100 m²: 60 kJ/(m² K) of floor, 50 of room and 10 W/(m² K) between them (common practice, no source)
    assert light.house(200.0) == TwoNode(6e6, 5e6, 1000.0, 0.0, 200.0)
    assert light.water_resistance_k_w == pytest.approx(20 / 6000 - 1 / 1000)
    assert (light.feedback, light.room_ceiling_k, light.precharge_k, light.precharge_windows) == (1.0, 3.0, 0.0, ())
    bare = failure._light_mass(lower_study(study(ELECTRIC), COLD))
    # 45 °C at 6 kW for an emitter of which nothing is said
    assert bare.water_resistance_k_w == pytest.approx(25 / 6000 - 1 / 1000)


def test_a_house_without_its_only_source_cools_like_two_nodes() -> None:
    outdoor = np.full(8760, 5.0)
    outdoor[2000:2168] = -10.0
    common = lower_study(study(ELECTRIC), wavy_weather(outdoor))
    source, power = failures(common, common.case.options[0])
    assert (source.what, power.what) == ("Electric boiler", "the power")
    for found in (source, power):
        assert found.first_hour == 2000
        assert found.outdoor_c.tolist() == [-10.0] * 168
        assert len(found.room_c) == 168
        # held at 20 °C in 5 °C with 3 kW, the floor is 3 K above the room when the heat stops
        house = TwoNode(6e6, 5e6, 1000.0, 0.0, 200.0)
        start = {"slab_c": 23.0, "room_c": 20.0, "ground_c": 10.0}
        _, alone = cooling_curve(house, outdoor_c=found.outdoor_c, **start)
        assert found.room_c == pytest.approx(alone, abs=0.05)
        assert found.lowest_c == pytest.approx(alone[-1], abs=0.05)
        assert found.hours_to_level == {level: hours_to(found.room_c, level) for level in LEVELS_C}
        assert list(found.hours_to_level) == list(LEVELS_C)


def test_what_needs_no_power_goes_on_but_pumps_stand_still() -> None:
    common = lower_study(study(ELECTRIC, tank__volume="500 L", tank__design_supply_temperature="40 degC"), COLD)
    option = common.case.options[0]
    both = failures(common, option)
    assert both[0].first_hour == 0
    assert both[1].lowest_c <= both[0].lowest_c + 0.05
    assert coldest_room(common, option)[0] == pytest.approx(20.0, abs=0.2)
    weak = lower_study(study({**ELECTRIC, "output": "3 kW"}), COLD)
    # half the heat of the design day carries half of the 30 K
    assert coldest_room(weak, weak.case.options[0]) == pytest.approx((5.0, 15.0), abs=0.1)


def test_a_floor_that_is_described_stores_what_it_stores() -> None:
    loops = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
    for mass in (None, {}):
        more = {"floor__loops": loops} | ({} if mass is None else {"floor__mass": mass})
        common = lower_study(study(ELECTRIC, **more), COLD)
        found = failures(common, common.case.options[0])[1]
        slab = slab_side(common.case, common.route.load_w, 0.0)
        start = {"slab_c": 20 + 6000 / slab.floor_room_w_k, "room_c": 20.0, "ground_c": 10.0}
        _, alone = cooling_curve(slab.house(200.0), outdoor_c=np.full(168, -10.0), **start)
        assert found.room_c == pytest.approx(alone, abs=0.02)


def test_a_failure_looked_at_leaves_the_study_as_it_was() -> None:
    """Where the study itself lets its slab store heat, the pumps that stand still for a week are not those of the year."""
    loops = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
    common = lower_study(study(ELECTRIC, floor__loops=loops, floor__mass={}), COLD)
    before = house_rows(common)[1].copy()
    failures(common, common.case.options[0])
    assert (house_rows(common)[1] == before).all()
