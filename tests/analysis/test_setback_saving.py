"""What a set-back saves, against the degree-hours by hand."""

from __future__ import annotations

import dataclasses

import pytest
from cases import constant_weather, study

from costsim.analysis.setback_saving import setback_saving
from costsim.simulation import simulate
from costsim.views.setback_words import setback_sentence

NIGHT = [{"indoor_temperature": "17 degC", "windows": ["22:00-06:00"]}]
HEATER = {"kind": "electric", "output": "20 kW", "efficiency": "100 %"}


def test_a_set_back_saves_the_degree_hours_of_its_nights() -> None:
    """6 kW at 20 °C over -10 °C are 200 W/K; 3 K less in 8 of 24 hours are 200 W/K · 3 K · 8 h · 365 = 1,752 kWh, $175.20 at 10 cents."""
    weather = constant_weather(-10.0)
    result = simulate(study(HEATER, house__setback=NIGHT), weather)
    found = setback_saving(result, "one")
    assert found is not None
    assert not found.stores
    assert found.cost_without == pytest.approx(6.0 * 8760 * 0.10)
    assert found.cost_without - found.cost == pytest.approx(175.2)
    assert setback_saving(simulate(study(HEATER), weather), "one") is None
    said = setback_sentence(found, "$")
    assert said.startswith(
        "Set-back: one costs about $5,080 a year with it and $5,260 without it, so it saves at most $180; a heavy floor"
    )
    assert "slowly" in said
    assert "\n" not in said
    assert "a heavy house" in setback_sentence(dataclasses.replace(found, floor=False), "$")
    assert setback_sentence(None, "$") == ""


def test_a_set_back_that_costs_more_or_nothing_is_said_so() -> None:
    found = setback_saving(simulate(study(HEATER, house__setback=NIGHT), constant_weather(-10.0)), "one")
    assert found is not None
    same = dataclasses.replace(found, cost=1000.0, cost_without=1004.0)
    assert setback_sentence(same, "$").startswith("Set-back: one costs about $1,000 a year with it and without it;")
    dear = dataclasses.replace(found, cost=1100.0, cost_without=1000.0, hours=3, stores=True)
    text = setback_sentence(dear, "$")
    assert "$1,100 a year with it and $1,000 without it, $100 more" in text
    assert "3 more hours too cold; that floor and rooms cool and warm slowly is counted." in text
