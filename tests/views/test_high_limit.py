"""Where a high limit is set: over the water of the coldest night, under what tube and floor may have; worked by hand."""

from __future__ import annotations

import copy
import dataclasses

import pytest
from cases import demo
from views.drawn import FULL

from costsim.engine.lower import LoweredStudy, lower_study
from costsim.simulation import load_weather
from costsim.study.case import case_from
from costsim.views.materials import _limit_words, _mixing
from costsim.views.schematic import ValveMark, draw
from costsim.views.system import _limits


def loft(**keys: str) -> LoweredStudy:
    """The built-in loft, its tube rated as given."""
    data = copy.deepcopy(demo("net_loft"))
    data["ratings"] = data.get("ratings", {}) | keys
    case = case_from(data)
    return lower_study(case, load_weather(case))


def surface_c(common: LoweredStudy) -> float:
    """29 °C on the floor by EN 1264-2: 8.92 × 10.11^1.1 = 113.7 W/m² at 18.89 °C, over what a loop gives for a kelvin."""
    loop, area = common.water.loops[0], common.case.floor.loops[0].area_m2
    return 18.89 + 113.7 * area / loop.heat_w_k


def test_a_floor_that_runs_at_its_limit_on_the_coldest_night_is_not_tripped_by_it() -> None:
    common = loft()
    most = surface_c(common)
    # a supply 20 K below: the surface's own limit; the same water: 3 K above it
    assert _limits(common, most - 20.0, None)[0] == pytest.approx(most, abs=0.3)
    assert _limits(common, most, None)[0] == pytest.approx(most + 3.0, abs=0.3)
    # a tube rated 1 K above the supply is never passed
    rated = loft(tube_temperature=f"{most + 1.0:.3f} degC")
    assert _limits(rated, most, None)[0] == pytest.approx(most + 1.0, abs=0.01)


def test_the_list_says_how_the_limit_lies_to_the_design_supply() -> None:
    """118 °F water: a limit of 124 °F has 5 °F or more of room; one of 119 °F, the most the floor may have, has 1."""
    supply = (118.0 - 32.0) / 1.8
    roomy = _limit_words((124.0 - 32.0) / 1.8, supply, "us").replace("\xa0", " ")
    assert roomy.startswith("stops the pumps above 124 °F, 5 °F or more above the design supply")
    assert "common practice, no source" in roomy
    tight = _limit_words((119.0 - 32.0) / 1.8, supply, "us").replace("\xa0", " ")
    assert "stops the pumps above 119 °F, the most that tube and floor may have" in tight
    assert "may trip on the coldest night" in tight


def test_each_mixing_valve_has_a_limit_of_its_own_in_the_list() -> None:
    """127 °F water behind a limit of 132 °F, 113 °F behind 124 °F, 5 °F and 11 °F of room; and a floor of which only its surface is known, 29 °C or 84 °F."""

    def c(fahrenheit: float) -> float:
        return (fahrenheit - 32.0) / 1.8

    valves = (ValveMark("Bath", c(113.0), c(124.0)), ValveMark("Den", c(100.0), None))
    system = dataclasses.replace(FULL, mixing=True, supply_c=c(127.0), limit_c=c(132.45), valves=valves)
    limits = {
        part: (number, size.replace("\xa0", " ")) for part, number, size, _ in _mixing(system, "us") if "limit" in part
    }
    assert [number for number, _ in limits.values()] == ["1"] * 3
    assert limits["high-limit thermostat"][1].startswith("stops the pumps above 132 °F, 5 °F or more above")
    assert limits["high-limit thermostat: Bath"][1].startswith("stops the pumps above 124 °F, 5 °F or more above")
    assert limits["high-limit thermostat: Den"][1] == "keeps the floor's surface at 84 °F or less (EN 1264)"
    # without a main valve only the valves of their own have one
    assert [part for part, *_ in _mixing(dataclasses.replace(system, mixing=False), "us") if "limit" in part] == [
        "high-limit thermostat: Bath",
        "high-limit thermostat: Den",
    ]
    unknown = dataclasses.replace(system, limit_c=None, valves=())
    assert [size for part, _, size, _ in _mixing(unknown, "us") if "limit" in part] == ["not entered"]


def test_the_drawing_tells_the_same_limit() -> None:
    words = [text for text, _ in draw(dataclasses.replace(FULL, limit_c=50.0), "si").sheet.labels]
    assert any("stops the rooms' pumps above 50" in text for text in words)
