"""One design water temperature for layout, year, drawing and paper, and rooms that it leaves cold."""

from __future__ import annotations

import copy
import re
import tomllib
from typing import Any

import pytest
import tomlkit
from cases import demo

from costsim import load_weather, simulate
from costsim.analysis.capacity import capacity_report
from costsim.analysis.layout import layout
from costsim.analysis.layout_study import laid_out
from costsim.engine.lower import lower_study
from costsim.errors import InputError
from costsim.study.case import case_from
from costsim.views.schematic import draw
from costsim.views.system import system_of
from costsim.views.text_layout import printed_layout
from costsim.views.wording import for_reader


def carpeted(covering: str = "1.7 h ft2 degF/Btu") -> dict[str, Any]:
    """The demo with carpet upstairs in place of thin covering."""
    data = copy.deepcopy(demo("two_levels"))
    data["floor"]["layout"]["level"][1]["room"][0]["covering"] = covering
    data["tank"]["max_temperature"] = "180 degF"
    return data


def test_one_design_water_for_layout_year_drawing_and_sheet() -> None:
    """The carpet's loops get what their room asks for at it, so that no room is short while the year says it is warm."""
    case = case_from(carpeted())
    weather = load_weather(case)
    plan, common, report = layout(case, weather), lower_study(case, weather), capacity_report(case, weather)
    bedrooms = next(one for one in plan.loops if "Bedrooms" in one.circuit.name)
    assert plan.supply_c == pytest.approx(bedrooms.design.supply_c)
    assert bedrooms.output_w == pytest.approx(bedrooms.design.load_w)
    assert plan.year_supply_c == pytest.approx(plan.supply_c)
    assert report.design_supply_temperature_c == pytest.approx(plan.supply_c)
    drawn = system_of(common, case.options[0], report.options[0].sources, plan)
    assert drawn.supply_c == pytest.approx(plan.supply_c)
    check = next(
        one for one, group in zip(common.water.loops, common.water.floor.loops, strict=True) if "Bedrooms" in group.name
    )
    assert check.heat_w_k * (plan.supply_c - plan.indoor_temperature_c) == pytest.approx(
        bedrooms.design.load_w, rel=0.03
    )
    assert float(common.surroundings.water_c.max()) > plan.supply_c - 6.0  # the coldest hour is near the design day


def test_the_copy_runs_on_the_water_of_the_layout() -> None:
    """Carpeted bedrooms give what is asked: 720 ft² × 22 Btu/(h ft²) × 0.29307 W over four loops, 1,161 W each."""
    data = demo("two_levels")
    case = case_from(data)
    weather = load_weather(case)
    plan = layout(case, weather)
    copied = case_from(tomllib.loads(laid_out(tomlkit.dumps(data), plan, "us")))
    assert copied.floor is not None
    assert copied.floor.loops_typed
    common = lower_study(copied, weather)
    report = capacity_report(copied, weather)
    assert report.design_supply_temperature_c == pytest.approx(plan.supply_c, abs=0.05)
    beds = next(at for at, one in enumerate(copied.floor.loops) if "Bedrooms" in one.name)
    given = common.water.loops[beds].heat_w_k * (report.design_supply_temperature_c - plan.indoor_temperature_c)
    assert given == pytest.approx(720 * 22 * 0.29307 / 4, rel=0.01)
    # a limit on the water is told of the copy as of the layout
    data["floor"]["layout"]["max_supply"] = "115 degF"
    short = case_from(data)
    held = case_from(tomllib.loads(laid_out(tomlkit.dumps(data), layout(short, weather), "us")))
    assert lower_study(held, weather).water.short == lower_study(short, weather).water.short != ()


def test_loops_with_loads_of_their_own_make_the_water_as_hot_as_the_neediest_asks() -> None:
    """Two like lines: with 75 % of the heat on one its water is 1.5 times as far over the room as with half (EN 1264-2: nearly linear)."""
    line = {"count": 4, "length": "300 ft", "flow": "2 L/min"}

    def excess_k(*loads: str) -> float:
        data = demo("two_levels")
        data["tank"]["max_temperature"] = "190 degF"
        data["floor"] = {"loops": [line | {"name": name, "load": load} for name, load in zip("AB", loads, strict=True)]}
        case = case_from(data)
        common = lower_study(case, load_weather(case))
        return float(common.water.resistance_k_w * common.route.load_w)

    assert excess_k("75 %", "25 %") == pytest.approx(1.5 * excess_k("50 %", "50 %"), rel=0.04)
    data = demo("two_levels")
    data["floor"] = {"loops": [line | {"load": "75 %"}, line | {"load": "45 %"}]}
    case = case_from(data)
    told = lower_study(case, load_weather(case)).water.warnings
    assert any("shares of the heat add up to 120%" in one for one in told)
    data["floor"] = {"loops": [line | {"load": "75 %"}, line]}
    with pytest.raises(InputError, match="1 of 2 groups of loops have a load"):
        case_from(data)


def test_a_level_that_needs_cooler_water_gets_a_valve_and_every_drawing_a_limit() -> None:
    """The slab below needs some 30 °F less than the carpet above: by its surface limit it may not have the carpet's water."""
    case = case_from(carpeted("3 h ft2 degF/Btu"))
    weather = load_weather(case)
    plan, common = layout(case, weather), lower_study(case, weather)
    assert set(plan.cooler) == {"Ground floor", "Upper floor: Hall + Bath"}
    below = max(one.design.supply_c for one in plan.cooler["Ground floor"])
    text = printed_layout(plan, "us")
    own, hot = (f"{value * 1.8 + 32:.0f} °F" for value in (below, plan.supply_c))
    assert f"Ground floor takes a mixing valve of its own, set for {own}: with {hot}" in text
    assert "drop at asked heat" in text
    assert "surface at asked heat" in text
    drawn = system_of(common, case.options[0], capacity_report(case, weather).options[0].sources, plan)
    assert drawn.limit_c is not None
    assert drawn.limit_c > plan.supply_c
    valve = next(one for one in drawn.valves if one.level == "Ground floor")
    # 29 °C on the floor by EN 1264-2, 8.92 × 7.9^1.1 = 86.6 W/m² at 21.1 °C, over the 69.4 W/m² that are asked
    assert valve.limit_c - 21.11 == pytest.approx((below - 21.11) * 86.6 / 69.4, rel=0.05)
    legend = [words for words, _ in draw(drawn, "us").sheet.labels]
    assert any(words.startswith("own MV at") and "Ground floor" in words for words in legend)
    assert any("stops the rooms' pumps above" in words for words in legend)


def test_a_room_that_water_leaves_cold_is_told_and_its_hours_count() -> None:
    """Water held to 115 °F leaves the carpet short: unmet hours, and a line with what it gets, asks and needs; so does less entered."""
    data = carpeted()
    data["tank"]["design_supply_temperature"] = "110 degF"
    case = case_from(data)
    weather = load_weather(case)
    result = simulate(case, weather)
    warned = [for_reader(text, "us") for text in result.warnings]
    (entered,) = (text for text in warned if "for design in this study is too low: at 110.0 °F" in text)
    bedrooms = 720 * 22 / 1e3  # kBtu/h
    assert re.search(rf"Bedrooms gets [\d.]+ kBtu/h of the {bedrooms:.1f} kBtu/h it needs", entered)
    assert not any(one.unmet.by_cause_j["floor"] for one in result.options)
    data = carpeted()
    data["floor"]["layout"]["max_supply"] = "115 degF"
    case = case_from(data)
    result = simulate(case, load_weather(case))
    told = for_reader(result.warnings[0], "us")
    assert told.startswith("at 115.0 °F, the hottest there is")
    assert "Bedrooms gets" in told
    assert all(one.unmet.by_cause_j["floor"] > 0 for one in result.options)
