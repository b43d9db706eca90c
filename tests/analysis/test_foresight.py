"""Perfect foresight: never dearer than a rule, and right where the answer is known."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study
from engine.plants import HOURS, plants, run
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from reference.foresight_program import least_cost

from costsim import load_weather, read_study
from costsim.analysis.foresight import ROOM, _LinearProgram, controller_gap, perfect_foresight
from costsim.engine import layout as k
from costsim.engine.lower import LoweredOption, lower_option, lower_study
from costsim.errors import SolverError
from costsim.results.result import Hourly
from costsim.simulation import run_hours

NIGHT = {"kind": "off_peak_electric", "output": "40 kW", "windows": ["20:00-08:00"]}
PRICES = {"energy": "0.20 $/kWh", "period": [{"name": "night", "energy": "0.05 $/kWh", "windows": ["20:00-08:00"]}]}
TANK = {
    "tank__volume": "2000 L",
    "tank__loss": "0 W/K",
    "tank__max_temperature": "85 degC",
    "tank__design_supply_temperature": "35 degC",
}


def hourly_of(plant: dict[str, Any]) -> tuple[LoweredOption, Hourly]:
    """A drawn plant and its year as the program takes them."""
    found = run(plant)
    out, zero = found["out"], np.zeros(HOURS)
    count = len(plant["source_scalars"])
    offers = tuple(range(count))
    lowered = LoweredOption(
        offers, plant["scalars"], plant["hours"], plant["source_scalars"], plant["source_hours"], plant["order"]
    )  # type: ignore[arg-type]
    hourly = Hourly(
        demand_w=out[k.CALL], delivered_w=out[k.DELIVERED], unmet_w=out[k.SHORT], unmet_by_cause_w={}, tank_c=out[k.TANK],
        tank_top_c=out[k.TANK], tank_bottom_c=out[k.TANK], hot_share=zero, use_w=zero, use_delivered_w=zero,
        tank_loss_w=out[k.TANK_LOSS], tank_change_w=zero, slab_c=zero, room_c=zero, heat_w=found["heat"], dumped_w=found["dumped"],
        available_w=found["available"], input_w=found["heat"], auxiliary_w=zero, pump_w=zero,
    )  # fmt: skip
    return lowered, hourly


@pytest.mark.long
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(plants(mass=False), st.integers(0, 999))
def test_no_rule_is_cheaper(plant: dict, seed: int) -> None:
    count = len(plant["source_scalars"])
    prices = np.random.default_rng(seed).uniform(0.0, 1e-7, (count, HOURS))
    for number, order in enumerate(itertools.permutations(range(count))):
        plant["order"] = np.repeat(np.array(order)[:, None], HOURS, 1).astype(np.int64)
        lowered, hourly = hourly_of(plant)
        best = perfect_foresight(lowered, prices, hourly)
        paid = float((hourly.heat_w * prices).sum()) * 3600
        assert best.cost <= paid * (1 + 1e-6) + 1e-6
        if number == 0:
            # each may be loose by ROOM in any limit of any hour, three of which bear on what is bought
            loose = 3 * HOURS * ROOM * 1e-7 * 3.6e6
            assert best.cost == pytest.approx(least_cost(lowered, prices, hourly), rel=1e-6, abs=loose)
        assert best.unmet_w.sum() <= hourly.unmet_w.sum() + 1e-3 * HOURS


def test_a_lossless_tank_is_filled_at_night_prices() -> None:
    # twelve hours of 2 kW are 24 kWh and the tank holds more: everything is bought at night, 0.05 $/kWh
    day = {"kind": "electric", "output": "40 kW"}
    case = study(day, prices__electricity=PRICES, **TANK)
    common = lower_study(case, constant_weather(10.0))
    gap = controller_gap(common, case.options[0])
    heat = 200 * 10 * 8760 / 1e3
    assert gap.best_cost == pytest.approx(heat * 0.05, rel=2e-3)
    # the rule buys as it needs: twelve of twenty-four hours at 0.20
    assert gap.rule_cost == pytest.approx(heat * 0.125, rel=2e-3)
    assert gap.saving == pytest.approx(gap.rule_cost - gap.best_cost)


@pytest.mark.long
def test_without_a_choice_there_is_nothing_to_save() -> None:
    case = study({"kind": "electric", "output": "20 kW"})
    gap = controller_gap(lower_study(case, constant_weather(0.0)), case.options[0])
    assert gap.best_cost == pytest.approx(gap.rule_cost, rel=1e-6)


@pytest.mark.long
@pytest.mark.parametrize("name", ["net_loft", "valley_row"])
def test_whole_years_of_the_demos(name: str) -> None:
    case = read_study(name)
    common = lower_study(case, load_weather(case))
    for option in case.options[-2:]:
        plant = lower_option(common, option)
        hourly, prices = run_hours(common, plant), np.stack([offer.price_per_heat_j for offer in plant.offers])
        gap = controller_gap(common, option)
        assert 0 <= gap.best_cost <= gap.rule_cost * (1 + 1e-7)
        assert gap.best_cost == pytest.approx(least_cost(plant, prices, hourly), rel=1e-7)


def test_mass_is_refused_in_plain_words() -> None:
    loops = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
    case = study({"kind": "electric", "output": "20 kW"}, floor__loops=loops, floor__mass={})
    with pytest.raises(SolverError, match="without thermal mass"):
        controller_gap(lower_study(case, constant_weather(0.0)), case.options[0])


@pytest.mark.parametrize(("option", "short"), [(1, True), (3, False)])
def test_without_a_tank_the_hours_are_those_of_the_linear_program(option: int, short: bool) -> None:
    case = read_study("lantern_cottage")
    common = lower_study(case, load_weather(case))
    plant = lower_option(common, case.options[option])
    plant = replace(plant, hours=plant.hours.copy())
    hourly = run_hours(common, plant)
    # what taps take comes first, and prices that change places by the hour are where there is a choice
    taps, rng = np.where(hourly.heat_w.sum(axis=0) > 500.0, 400.0, 0.0), np.random.default_rng(3)
    hourly = replace(hourly, use_delivered_w=taps, delivered_w=np.maximum(hourly.delivered_w - taps, 0.0))
    plant.hours[k.DEMAND] = np.maximum(plant.hours[k.DEMAND] - taps, 0.0)
    prices = rng.uniform(1e-8, 6e-8, hourly.heat_w.shape)
    quick, program = perfect_foresight(plant, prices, hourly), _LinearProgram(plant, prices, hourly).solve()
    # the program's limits are loose by a millionth of a kW and K, and a joule is kept for each kelvin: some 70 J an hour
    assert quick.cost == pytest.approx(program.cost, rel=5e-6)
    assert quick.unmet_w.sum() == pytest.approx(program.unmet_w.sum(), rel=1e-6, abs=5.0)
    assert (quick.unmet_w.sum() > 100.0) == short
    assert quick.heat_w.sum() == pytest.approx((taps + hourly.delivered_w).sum(), rel=1e-6)
    assert (quick.heat_w <= plant.source_hours[:, k.CAPACITY] + 1e-6).all()
