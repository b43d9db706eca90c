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
from costsim.views.materials import _limit_words
from costsim.views.schematic import draw
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


def test_the_drawing_tells_the_same_limit() -> None:
    words = [text for text, _ in draw(dataclasses.replace(FULL, limit_c=50.0), "si").sheet.labels]
    assert any("stops the rooms' pumps above 50" in text for text in words)
