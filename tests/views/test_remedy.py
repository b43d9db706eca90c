"""What a page says would make a house warm: no source where the floor lets too little through; worked by hand."""

from __future__ import annotations

import copy
from dataclasses import replace
from typing import Any

import pytest
from cases import demo

from costsim import simulate
from costsim.results.result import Result
from costsim.simulation import load_weather
from costsim.study.case import Case, case_from
from costsim.views.cold_hours import remedy, rooms_limit
from costsim.views.headline import headline
from costsim.views.verdict import decision
from costsim.weather import Weather

SOURCES = "Make a source larger, or add one."
FLOOR = "Sources cannot help; closer loops or better insulation would."
EMITTERS = "Sources cannot help; larger emitters or better insulation would."


def loft(loops: int, output: str) -> tuple[Case, Weather, Result]:
    """The built-in loft with so many loops, heated by an electric unit of this output alone."""
    data: dict[str, Any] = copy.deepcopy(demo("net_loft"))
    data["floor"]["loops"][0]["count"] = loops
    data["option"] = [{"name": "Elements", "source": [{"kind": "electric", "output": output}]}]
    data["prices"] = {"electricity": data["prices"]["electricity"]}
    case = case_from(data)
    weather = load_weather(case)
    return case, weather, simulate(case, weather)


def test_sources_are_not_advised_where_the_floor_is_the_limit() -> None:
    """Three loops at 113.7 W/m², by EN 1264-2 for 29 °C on the floor, give less than half the design load, and 40 kW more than all of it."""
    case, weather, result = loft(3, "40 kW")
    assert case.floor is not None
    assert 3 * 113.7 * case.floor.loops[0].area_m2 < result.route.load_w / 2 < 20e3
    for said in (headline(case, weather, result, "us"), decision(result, "household", "us")):
        assert FLOOR in said
        assert SOURCES not in said
    assert FLOOR in decision(result, "installer", "us")


def test_a_source_is_advised_where_it_is_the_limit() -> None:
    """Twelve loops give more than the design load, and 3 kW less than half of it."""
    case, weather, result = loft(12, "3 kW")
    assert case.floor is not None
    assert 12 * 113.7 * case.floor.loops[0].area_m2 > result.route.load_w > 6e3
    for said in (headline(case, weather, result, "us"), decision(result, "household", "us")):
        assert SOURCES in said
        assert "Sources cannot help" not in said
    assert "Sources cannot help" not in decision(result, "installer", "us")


@pytest.mark.parametrize(("missing_j", "limits"), [(5.1e9, True), (4.9e9, False)])
def test_more_than_half_of_what_is_missing_decides(missing_j: float, limits: bool) -> None:
    """5.1 of 10 GJ is more than half, 4.9 is not; radiators have no loops to lay closer."""
    _, _, result = loft(3, "40 kW")
    option = result.options[0]
    option = replace(option, unmet=replace(option.unmet, energy_j=1e10, by_cause_j={"floor": missing_j}))
    assert rooms_limit(option) is limits
    assert remedy(result, option) == (FLOOR if limits else SOURCES)
    lowered = result.lowered
    house = lowered.case.house.model_copy(update={"emitter": "radiators"})
    bare = replace(lowered, case=lowered.case.model_copy(update={"floor": None, "house": house}))
    assert remedy(replace(result, lowered=bare), option) == (EMITTERS if limits else SOURCES)
