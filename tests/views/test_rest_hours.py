"""What a tank must hold for hours of rest, by hand: volume × 8.33 lb/gal × 1 Btu/(lb °F) × drop against design load × hours."""

from __future__ import annotations

from typing import Any

import pytest
from cases import constant_weather, study

from costsim.simulation import simulate
from costsim.units.quantity import BTU_J, GALLON_M3, KWH_J
from costsim.views.rest_hours import rest_held, rest_lines
from costsim.views.tank_lines import tank_sections

OFF = {"kind": "off_peak_electric", "name": "Night", "output": "20 kW", "windows": ["21:00-16:00"]}
PROPANE = {"kind": "gas", "name": "Propane", "fuel": "propane", "output": "12 kW", "efficiency": "90 %"}
# an invented house of 10 kW; baseboard-like water of 75 °C at design, tank at most 82 °C
TANK = {
    "house__design_heat_loss": "10 kW",
    "tank__volume": "200 gal",
    "tank__max_temperature": "82 degC",
    "tank__design_supply_temperature": "75 degC",
}


def held_by(*sources: dict[str, Any], **more: Any) -> tuple[Any, list[str]]:
    case = study(*sources, **{**TANK, **more})
    result = simulate(case, constant_weather(-10.0))
    return rest_held(result, result.options[0], case.options[0]), rest_lines(result, "us")


def test_five_hours_at_the_design_load_beside_the_tank_by_hand() -> None:
    found, (line,) = held_by(OFF)
    assert found.hours == pytest.approx(5)
    assert found.needed_j == pytest.approx(10e3 * 5 * 3600)
    drop_f = (82 - 75) * 1.8
    by_hand = 200 * 8.33 * drop_f * BTU_J  # 21 kBtu
    assert found.held_j == pytest.approx(
        by_hand, rel=0.03
    )  # water of 8.33 lb/gal is cold; hot it weighs up to 2.5 % less
    assert found.enough_m3 / GALLON_M3 == pytest.approx(200 * 50 * KWH_J / by_hand, rel=0.03)
    assert "5 h" in line
    assert "171 kBtu" in line  # 50 kWh × 3.412
    assert "nothing else heats the house meanwhile" in line


@pytest.mark.parametrize(("output", "words"), [("12 kW", "carry the house"), ("5 kW", "give 17.1 kBtu/h")])
def test_what_never_rests_carries_on(output: str, words: str) -> None:
    assert words in held_by(OFF, PROPANE | {"output": output})[1][0]


def test_a_tank_that_holds_it_is_enough_and_one_no_hotter_than_needed_never_is() -> None:
    found, (line,) = held_by(OFF, tank__volume="3000 gal")
    assert found.held_j > found.needed_j
    assert line.endswith("which is enough.")
    found, (line,) = held_by(OFF, tank__max_temperature="75 degC")
    assert found.held_j == 0
    assert "No size of tank would do" in line


def test_a_source_that_the_utility_switches_off_rests_too_and_one_of_a_season_does_not() -> None:
    element = {"kind": "electric", "name": "Element", "output": "12 kW"}
    found, _ = held_by(element | {"curtailment": {"windows": ["16:00-21:00"]}})
    assert found.hours == pytest.approx(5)
    assert held_by(element)[0] is None
    assert held_by(element | {"windows": ["00:00-24:00"], "months": "Jun-Aug"})[0] is None
    case = study(element | {"windows": ["21:00-16:00"]})
    result = simulate(case, constant_weather(-10.0))
    assert "no tank to hold" in dict(tank_sections(result, "si"))["What the tank must hold for hours of rest"][0]
