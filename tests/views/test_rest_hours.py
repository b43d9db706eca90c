"""What a tank must hold for hours of rest, by hand: volume × 8.33 lb/gal × 1 Btu/(lb °F) × drop against design load × hours."""

from __future__ import annotations

from dataclasses import replace
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


@pytest.mark.parametrize(
    ("output", "words"), [("12 kW", "carry the house"), ("5 kW", "34.1 kBtu/h less their 17.1 kBtu/h")]
)
def test_what_never_rests_carries_on(output: str, words: str) -> None:
    assert words in held_by(OFF, PROPANE | {"output": output})[1][0]


def test_a_tank_that_holds_it_is_enough_and_one_no_hotter_than_needed_never_is() -> None:
    found, (line,) = held_by(OFF, tank__volume="3000 gal")
    assert found.held_j > found.needed_j
    assert line.endswith("which is enough.")
    found, (line,) = held_by(OFF, tank__max_temperature="75 degC")
    assert found.held_j == 0
    assert "no size of tank would do" in line


def test_a_source_that_the_utility_switches_off_rests_too_and_one_of_a_season_does_not() -> None:
    element = {"kind": "electric", "name": "Element", "output": "12 kW"}
    found, _ = held_by(element | {"curtailment": {"windows": ["16:00-21:00"]}})
    assert found.hours == pytest.approx(5)
    assert held_by(element)[0] is None
    assert held_by(element | {"windows": ["00:00-24:00"], "months": "Jun-Aug"})[0] is None
    case = study(element | {"windows": ["21:00-16:00"]})
    result = simulate(case, constant_weather(-10.0))
    assert "no tank to hold" in dict(tank_sections(result, "si"))["What the tank must hold for hours of rest"][0]


# an invented house of 7 kW in a tank of 1,500 L that may be 80 °C; radiators take 40 °C at design; five hours of rest a day need 35 kWh.
# Water at 65 °C: 980.6 kg/m³ × 4.185 kJ/(kg K) = 1.14 kWh/(m³ K), so 1.71 kWh/K, of which the analyst's 1.726 is 1 % off
LOW = {
    "house__design_heat_loss": "7 kW",
    "tank__volume": "1500 L",
    "tank__max_temperature": "80 degC",
    "tank__design_supply_temperature": "40 degC",
}
UTILITY = {"curtailment": {"windows": ["07:00-12:00"]}}
PUMP = {
    "kind": "heat_pump",
    "outdoor": ["-15 degC", "7 degC"],
    "outputs": ["9 kW", "14 kW"],
    "max_outlet_temperature": "55 degC",
}
ELEMENT = {"kind": "electric", "output": "16 kW"}


@pytest.mark.parametrize("source", [ELEMENT, PUMP])
def test_a_tank_that_no_source_charges_holds_nothing_however_hot_it_may_be(source: dict[str, Any]) -> None:
    held, (line,) = held_by(source | UTILITY, **LOW)
    assert held.needed_j == pytest.approx(35 * KWH_J)
    assert (held.held_j, held.charged) == (0.0, False)
    assert "no source charges it" in line
    assert "enough" not in line


@pytest.mark.parametrize(
    ("source", "hot_c"),
    [
        (PUMP, 50.0),  # water of 55 °C, 5 K warmer than the tank
        (ELEMENT, 80.0),
        (
            {
                "kind": "gas",
                "fuel": "propane",
                "output": "16 kW",
                "efficiency": "85 %",
                "max_outlet_temperature": "60 degC",
            },
            60.0,
        ),
    ],
)
def test_a_tank_is_as_hot_as_its_source_charges_it(source: dict[str, Any], hot_c: float) -> None:
    held, (line,) = held_by(source | UTILITY | {"store": True}, **LOW)
    assert held.hot_c == pytest.approx(hot_c)
    assert held.held_j == pytest.approx(1.72 * (hot_c - 40) * KWH_J, rel=0.01)  # 17, 69 and 34 kWh
    assert held.enough_m3 == pytest.approx(1.5 * 35 / (1.72 * (hot_c - 40)), rel=0.01)  # 3.05 m³ of the heat pump's
    assert ("which is enough" in line) == (hot_c == 80.0)


def test_a_store_temperature_below_the_tanks_limit_is_what_it_is_charged_to() -> None:
    held, _ = held_by(ELEMENT | UTILITY | {"store": True}, tank__store="58 degC", **LOW)
    assert held.held_j == pytest.approx(1.72 * 18 * KWH_J, rel=0.01)


def test_only_what_the_sources_that_do_not_rest_leave_is_needed() -> None:
    held, (line,) = held_by(ELEMENT | UTILITY, PROPANE | {"output": "5 kW"}, **LOW)
    assert held.needed_j == pytest.approx((7 - 5) * 5 * KWH_J)
    assert "need 34 kBtu more" in line  # 10 kWh × 3.412


def test_one_night_is_not_called_enough_where_the_year_lacks_heat_while_sources_rest() -> None:
    case = study(ELEMENT | UTILITY | {"store": True}, **LOW)
    result = simulate(case, constant_weather(-10.0))
    season = result.options[0]
    assert rest_lines(result, "si")[0].endswith("which is enough.")
    short = replace(season.unmet, by_cause_j={**season.unmet.by_cause_j, "curtailment": 58 * KWH_J})
    (line,) = rest_lines(replace(result, options=(replace(season, unmet=short),)), "si")
    assert "which is enough" not in line
    assert "the house lacks 58 kWh" in line
