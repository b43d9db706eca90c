"""What is assumed of a source or its water where nothing is typed, and a heat pump's test points."""

from __future__ import annotations

from typing import Any

import pytest
from cases import constant_weather, offer_of, sample_weather, study

from costsim import InputError, simulate
from costsim.results.result import OptionResult

GREENSBORO = sample_weather()


def run(*sources: dict[str, Any], weather: Any = GREENSBORO, **house: Any) -> OptionResult:
    """Result of a one-option study."""
    return simulate(study(*sources, **house), weather).options[0]


@pytest.mark.parametrize(
    ("unit", "share"),
    [
        ({"kind": "gas", "efficiency": "85 %"}, 1.0),
        ({"kind": "gas", "efficiency": "92 %"}, 0.2),
        ({"kind": "gas", "condensing": True}, 0.2),
        ({"kind": "gas", "efficiency": "85 %", "firing": "two_stage"}, 0.6),
        ({"kind": "gas", "condensing": True, "firing": "modulating_10"}, 0.1),
        ({"kind": "gas", "condensing": True, "min_output": "0 kW"}, 0.0),
        ({"kind": "oil", "efficiency": "86 %"}, 1.0),
        ({"kind": "pellet", "efficiency": "80 %"}, 0.3),
        ({"kind": "pellet", "efficiency": "80 %", "min_output": "2.4 kW"}, 0.2),
    ],
)
def test_the_smallest_fire_is_that_of_its_kind_unless_typed(unit: dict[str, Any], share: float) -> None:
    found, _ = offer_of({"output": "12 kW", **unit}, GREENSBORO)
    assert found.min_fire_w == pytest.approx(share * 12e3)
    assert found.standby_w == 0.0


def test_a_one_stage_boiler_pays_for_cycling() -> None:
    # 3 kW of 12 kW: a quarter of the time, so a tenth of three quarters is lost
    found = run(
        {"kind": "oil", "output": "12 kW", "efficiency": "80 %", "altitude_rule": "none"}, weather=constant_weather(5.0)
    )
    assert found.sources[0].input_j == pytest.approx(3000 / 0.8 / 0.925 * 8760 * 3600, rel=1e-6)


POINTS = [
    {"outdoor": "-7 degC", "supply": "34 degC", "output": "5 kW", "cop": 2.8},
    {"outdoor": "-7 degC", "supply": "52 degC", "output": "4.6 kW", "cop": 2.1},
    {"outdoor": "7 degC", "supply": "27 degC", "output": "8 kW", "cop": 6.0},
]


def test_a_heat_pump_by_its_test_points() -> None:
    unit = {"kind": "heat_pump", "test_point": POINTS}
    # the supply leaves 5 K warmer than the 29 °C that the emitters need at -7 °C
    cool = {"house__design_supply_temperature": "30 degC", "weather": constant_weather(-7.0)}
    found, seen = offer_of(unit, **cool)
    assert seen.water_c[0] == pytest.approx(29.0)
    assert found.heat_per_input[0] == pytest.approx(2.8)
    assert found.capacity_w[0] == pytest.approx(5e3)
    assert (found.rated_w, found.min_fire_w, found.auxiliary_w) == (8e3, pytest.approx(2.4e3), 60.0)
    # halfway between the two supplies at -7 °C, and halfway between the two outdoor temperatures
    warm, _ = offer_of(unit, house__design_supply_temperature=f"{20 + 18 / 0.9} degC", weather=constant_weather(-7.0))
    assert warm.capacity_w[0] == pytest.approx(5e3 - 0.4e3 * 9 / 18)
    mild, _ = offer_of(unit, house__design_supply_temperature="22 degC", weather=constant_weather(0.0))
    assert mild.capacity_w[0] == pytest.approx((5e3 + 8e3) / 2, rel=1e-3)


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"outdoor": ["-7 degC", "7 degC"], "outputs": ["5 kW", "8 kW"]}, "outputs are given twice"),
        ({"carnot_fraction": 0.4}, "efficiency is given twice"),
        ({"test_point": [{**POINTS[0], "cop": 9.0}]}, "more than 80 % of the ideal machine's 7.5"),
        ({"test_point": [{**POINTS[0], "supply": "-5 degC"}]}, "must be at least"),
        ({"test_point": [{**POINTS[0], "outdoor": "30 degC"}]}, "not 5 K warmer"),
        ({"test_point": []}, "has no two outputs"),
    ],
)
def test_what_a_heat_pump_cannot_be_is_refused(more: dict[str, Any], says: str) -> None:
    with pytest.raises((InputError, ValueError), match=says):
        run({"kind": "heat_pump", "test_point": POINTS, **more})


def test_hotter_water_costs_a_heat_pump_what_it_should_without_floor_and_tank() -> None:
    """The water of a study without floor and tank is stated, and its reset follows the load."""
    pump = {
        "kind": "heat_pump",
        "outdoor": ["-15 degC", "7 degC"],
        "outputs": ["8 kW", "12 kW"],
        "min_output": "0 W",
    }
    used = [
        run(pump, house__emitter=emitter).sources[0].input_j
        for emitter in ("radiant_floor_tile", "radiant_floor", "radiators")
    ]
    assert used[0] < used[1] < used[2]
    assert used[1] > 1.05 * used[0]
    result = simulate(study(pump), GREENSBORO)
    told = next(one for one in result.assumptions if one.what == "design supply temperature")
    assert (told.value.split(";")[0], told.key) == ("45.00 °C (113.0 °F)", "house.emitter")
    typed = simulate(study(pump, house__design_supply_temperature="110 degF"), GREENSBORO)
    told = next(one for one in typed.assumptions if one.what == "design supply temperature")
    assert (told.value.split(";")[0], told.source) == ("43.33 °C (110.0 °F)", "typed in the study")
