"""A tank and a floor for each option: one study compares sizes, as if each had a study of its own."""

from __future__ import annotations

import copy
from typing import Any

import numpy as np
import pytest
from cases import study, wavy_weather

from costsim import simulate
from costsim.analysis.outages import failures
from costsim.engine import layout as k
from costsim.engine.batch import run_once
from costsim.engine.lower import lower_study
from costsim.study.case import case_from

NIGHT = {"kind": "electric", "output": "16 kW", "store": True, "windows": ["22:00-06:00"]}
WEATHER = wavy_weather(2.0 + 8 * np.sin(np.arange(8760) / 1000))


def tank(volume: str, **more: str) -> dict[str, Any]:
    """A stratified tank of a size."""
    return {
        "volume": volume,
        "max_temperature": "70 degC",
        "design_supply_temperature": "45 degC",
        "stratification": "80 %",
        **more,
    }


def three() -> Any:
    """One study, three sizes; the first is the study's own."""
    data = copy.deepcopy(dict(study(NIGHT).typed))
    data["tank"] = tank("300 L")
    sizes = {"small": None, "middle": tank("1000 L"), "large": tank("4000 L")}
    data["option"] = [
        {"name": name, "source": [NIGHT], **({"tank": own} if own else {})} for name, own in sizes.items()
    ]
    return case_from(data)


def test_each_option_has_the_tank_of_a_study_of_its_own() -> None:
    found = simulate(three(), WEATHER)
    for option, volume in zip(found.options, ("300 L", "1000 L", "4000 L"), strict=True):
        alone = simulate(
            study(NIGHT, **{f"tank__{key}": value for key, value in tank(volume).items()}), WEATHER
        ).options[0]
        assert option.unmet.hours == alone.unmet.hours
        assert option.sources[0].heat_j == pytest.approx(alone.sources[0].heat_j, rel=1e-12)
        assert option.cost_total == pytest.approx(alone.cost_total, rel=1e-12)
        assert option.hourly.imbalance() < 1e-9
    hours = [option.unmet.hours for option in found.options]
    assert hours[0] > hours[1] > hours[2]
    assert len({option.demand_j for option in found.options}) == 1


def test_scenarios_and_outages_see_the_option_s_tank() -> None:
    case = three()
    common = lower_study(case, WEATHER)
    found = simulate(case, WEATHER)
    for option, result in zip(case.options, found.options, strict=True):
        sums = run_once(common, option).sums[0]
        assert sums[k.SUMS] == pytest.approx(result.sources[0].heat_j, rel=1e-9)
        assert sums[k.SHORT_HOURS] == result.unmet.hours
    lowest = [failures(common, option)[0].lowest_c for option in case.options]
    assert lowest[2] >= lowest[0]


def test_a_floor_of_its_own() -> None:
    loops = [{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}]
    data = dict(three().typed)
    data["option"] = [
        dict(data["option"][0]),
        {**data["option"][1], "floor": {"build_up": "screed_65", "loops": loops}},
    ]
    found = simulate(case_from(data), WEATHER)
    assert found.options[1].pump_j > 0
    assert found.options[0].pump_j != found.options[1].pump_j
