"""Drawing, words and parts list of a house on two kinds of emitter."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from cases import constant_weather, study

from costsim import simulate
from costsim.analysis.capacity import SourceCapacity
from costsim.analysis.layout import layout
from costsim.engine.lower import lower_study
from costsim.study.case import Case
from costsim.views.emitter_marks import emitters_sentence
from costsim.views.first_answers import FirstAnswers
from costsim.views.first_study import answers_of, first_study
from costsim.views.schematic import ValveMark, draw
from costsim.views.schematic_small import draw_small
from costsim.views.size_rows import valve_row
from costsim.views.system import system_of
from costsim.views.text_layout import supply_note
from costsim.views.text_season import printed_case

NEAR = pytest.approx
COLD = constant_weather(-10.0)
ELECTRIC = {"kind": "electric", "output": "12 kW"}
UP = {"name": "Upstairs", "load": "60 %", "emitter": "baseboard"}
HOT = {"tank__volume": "500 L", "tank__max_temperature": "80 degC"}
SLAB = {"floor__layout": {"level": [{"name": "Basement", "area": "60 m2"}]}, "house__floor_area": "150 m2"}


def mixed(zone: dict[str, Any] = UP, **tables: Any) -> Case:
    return study(ELECTRIC, **{"house__zone": [zone], **tables})


def system(case: Case, found: Any = None) -> Any:
    one = SourceCapacity.__new__(SourceCapacity)
    for name, value in {"name": "Boiler", "rated_w": 12e3, "derated_w": 12e3}.items():
        object.__setattr__(one, name, value)
    return system_of(lower_study(case, COLD), case.options[0], [one], found)


def test_a_floor_of_which_only_the_kind_is_known_is_drawn_behind_its_valve() -> None:
    drawn = system(mixed())
    up, floor = drawn.zones
    # 3.6 kW with 10 K: water of 60 °C is 983.2 kg/m³ and 4.185 kJ/(kg K) (steam tables)
    assert up.flow_m3_s == NEAR(3600.0 / (983.2 * 4185.0 * 10.0), rel=2e-3)
    assert (up.name, up.water_c, up.valved, up.drawn_loops) == ("Upstairs: baseboard", 75.0, False, 0)
    assert (floor.name, floor.water_c, floor.valved, floor.drawn_loops) == (
        "Rest of the house: radiant floor", 45.0, True, 3,
    )  # fmt: skip
    assert drawn.valves == (ValveMark("Radiant floor", 45.0, None),)
    assert (drawn.supply_c, drawn.return_c) == (NEAR(75.0), NEAR(75.0 - 1.0 / (0.6 / 10.0 + 0.4 / 40.0)))
    for one in (draw(drawn, "us"), draw_small(drawn, "us")):
        assert "°F" in one.svg
    svg, small = draw(drawn, "us").svg, draw_small(drawn, "us").svg
    # 29 °C of EN 1264 are 84.2 °F
    assert "own MV at 113 °F, HL: surface at most 84 °F: Radiant floor" in svg.replace("\xa0", " ")
    assert "baseboard 167 °F" in small.replace("\xa0", " ")
    assert "Radiant floor has a mixing valve and a high limit of its own." in draw(drawn, "us").about


def test_a_layout_has_a_valve_a_level_and_says_what_the_tank_is_for() -> None:
    case = mixed(**SLAB, **HOT)
    found = layout(case, COLD)
    # 2.4 kW of the house's 6 over 60 m²
    assert found.design_load_w == NEAR(2400.0)
    assert sum(plan.fed.count * plan.design.load_w for plan in found.loops) == NEAR(2400.0)
    assert found.supply_c == NEAR(found.year_supply_c)
    assert found.tank_c == NEAR(75.0)
    note = supply_note(found, "si").replace("\xa0", " ")
    assert note.startswith(f"Set the floor's mixing valve for {found.supply_c:.0f} °C, with a high limit")
    assert "Upstairs (baseboard) takes 75 °C water at design" in note
    drawn = system(case, found)
    (valve,) = drawn.valves
    assert (valve.level, valve.water_c) == ("Basement", NEAR(found.supply_c))
    assert valve.limit_c is not None
    assert valve.limit_c > valve.water_c
    assert [(one.name, one.valved) for one in drawn.zones] == [("Basement", True), ("Upstairs: baseboard", False)]
    # the tank may be 80 °C where 75 °C are needed: its own valve too
    assert drawn.mixing


def test_words_of_check_of_the_answer_and_of_the_parts_list() -> None:
    case = mixed()
    text = printed_case(case, COLD, "us").replace("\xa0", " ")
    assert "Upstairs: 60% of the heat loss at 68.0 °F, by fin-tube baseboard" in text
    assert "Upstairs: baseboard: 167 °F\n" in text
    assert "Rest of the house: radiant floor: 113 °F, through a mixing valve of its own" in text
    result = simulate(case, COLD)
    told = emitters_sentence(result, "us").replace("\xa0", " ")
    assert "Upstairs: baseboard (60% of the heat loss) takes 167 °F water at design" in told
    assert told.endswith("A mixing valve keeps the floor cooler, no warmer than its surface may be.")
    assert emitters_sentence(simulate(study(ELECTRIC), COLD), "us") == ""
    plain = simulate(mixed(house__emitter="radiators"), COLD)
    assert "mixing valve" not in emitters_sentence(plain, "us")
    assert any(one.key == "house.zone" and "behind a mixing valve" in one.value for one in result.assumptions)
    row = valve_row(ValveMark("Radiant floor", 45.0, None), "us").replace("\xa0", " ")
    assert row.startswith("Radiant floor: set for 113 °F at design")
    assert "84 °F" in row
    assert "high limit at 122 °F" in valve_row(ValveMark("Basement", 35.0, 50.0), "us").replace("\xa0", " ")


def test_two_kinds_are_asked_and_found_again() -> None:
    zone = {"name": "Baseboard", "emitter": "baseboard", "area": "600 ft2"}
    made = first_study(
        FirstAnswers(
            weather_name="greensboro.csv", weather=COLD, area="1500 ft2", insulation="average", now="propane",
            considered=["heat_pump"], system="us", currency="$", emitter="radiant_floor", zones=(zone,),
        )
    )  # fmt: skip
    assert made["house"]["zone"] == [zone]
    found = answers_of(made)
    assert (found["emitter"], found["beside"], found["beside_area"]) == ("mixed", "baseboard", "600 ft2")
    other = copy.deepcopy(made)
    other["house"]["zone"][0].pop("emitter")
    assert answers_of(other)["emitter"] == "radiant_floor"
    half = copy.deepcopy(made)
    half["house"]["zone"][0] = {"name": "Baseboard", "emitter": "baseboard", "load": "50 %"}
    assert "beside_area" not in answers_of(half)
