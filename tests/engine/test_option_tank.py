"""A tank and a floor for each option: one study compares sizes, as if each had a study of its own."""

from __future__ import annotations

import copy
from typing import Any

import numpy as np
import pytest
from cases import study, wavy_weather

from costsim import simulate
from costsim.analysis.needs import needs_of
from costsim.analysis.outages import failures
from costsim.analysis.sizing import smallest
from costsim.engine import layout as k
from costsim.engine.batch import run_once
from costsim.engine.lower import lower_study, option_study
from costsim.errors import InputError
from costsim.study.case import case_from
from costsim.views.templates import add_template

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


def test_what_stands_there_without_a_tank_is_not_charged_with_the_tank_of_the_others() -> None:
    """Beside a study's tank of 300 gal: the same as in a study without one, in bills, drawing and parts."""
    boiler = {"kind": "electric", "output": "16 kW"}
    data = copy.deepcopy(dict(study(boiler).typed))
    data["tank"] = tank("300 gal", loss="6 W/K", stratification="0 %")
    taps = {"kind": "hot_water", "name": "Taps", "daily_volume": "200 L"}
    data |= {"use": [taps], "option": [
        {"name": "with", "source": [boiler]}, {"name": "without", "no_tank": True, "source": [boiler]}]}  # fmt: skip
    case = case_from(data)
    with_it, without = simulate(case, WEATHER).options
    bare = {key: value for key, value in data.items() if key not in ("tank", "option")}
    bare["house"] = {**data["house"], "design_supply_temperature": "45 degC"}  # the emitters are the same
    alone = simulate(case_from(bare | {"option": [{"name": "alone", "source": [boiler]}]}), WEATHER).options[0]
    assert without.cost_total == pytest.approx(alone.cost_total, rel=1e-12)
    # 6 W/K to a room of 20 °C over the year, kept at the taps' 54 °C, at 10 ct/kWh
    lost_kwh = 6.0 * (54.0 - 20.0) * 8.760
    assert (with_it.sources[0].input_j - without.sources[0].input_j) / 3.6e6 == pytest.approx(lost_kwh, rel=0.02)
    assert with_it.cost_total - without.cost_total == pytest.approx(lost_kwh * 0.10, rel=0.02)
    common = lower_study(case, WEATHER)
    seen = [option_study(common, option).case.tank for option in case.options]
    assert seen == [case.tank, None]
    assert needs_of(common, case.options[1]).tank is False
    assert any(one.what == "without the tank" and one.value == "without" for one in simulate(case, WEATHER).assumptions)
    with pytest.raises(InputError, match="a tank of its own and none"):
        case_from(data | {"option": [{"name": "x", "no_tank": True, "tank": data["tank"], "source": [boiler]}]})
    with pytest.raises(InputError, match="no tank to size"):
        smallest(case, WEATHER, option="without", what="tank")


def test_a_template_that_brings_a_tank_leaves_today_s_heater_without_it() -> None:
    data: dict[str, Any] = {}
    words = {"load_w": 1e4, "system": "us", "currency": "$"}
    add_template(data, "electric", **words)
    data["option"][0]["today"] = True
    add_template(data, "heat_pump", **words)
    add_template(data, "sun_propane", **words)
    assert data["tank"]["volume"] == "120 gal"
    assert [one.get("no_tank", False) for one in data["option"]] == [True, False, False]


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
