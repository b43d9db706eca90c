"""A house scaled to what its heating uses in a year."""

from __future__ import annotations

import functools
from types import MappingProxyType
from typing import Any

import numpy as np
import pytest

from costsim import simulate
from costsim.errors import InputError
from costsim.simulation import named_weather
from costsim.study.case import case_from
from costsim.study_files import StudyFiles
from costsim.units.quantity import GALLON_M3, parse
from costsim.views.first_answers import FirstAnswers
from costsim.views.first_study import answers_of, first_study
from costsim.views.yearly_use import HOT_WATER_J, scaled_to_use

FILES = StudyFiles()
WEATHER = named_weather(FILES, "greensboro.csv", "place.weather")
PROPANE_J_M3 = 91_452 * 1055.05585262 / GALLON_M3
"""91,452 Btu a gallon, higher heating value: US Energy Information Administration, units and calculators."""


def begun(rate: Any = MappingProxyType({}), **more: Any) -> dict:
    given = {"now": "propane", "considered": ["heat_pump"], "prices": {"propane": "2.60 $/gal"}, **more}
    answers = FirstAnswers(
        weather_name="greensboro.csv", weather=WEATHER, area="1500 ft2", insulation="average", system="us", currency="$", **given
    )  # fmt: skip
    return first_study(answers, rate)


def test_a_calculated_loss_counts_at_the_outdoor_temperature_it_was_worked_out_for() -> None:
    data = begun(heat_loss="48 kBtu/h", loss_at="-15 degF")
    # by hand: 48,000 Btu/h over the 85 °F from -15 to 70 are 565 Btu/(h °F)
    loss_w_k = simulate(case_from(data), WEATHER).loss_w_k
    assert loss_w_k == pytest.approx(48_000 / 85 * 1055.05585262 / 3600 * 1.8, rel=1e-3)
    assert answers_of(data)["loss_at"] == "-15 degF"
    assert "design_outdoor" not in begun(heat_loss="48 kBtu/h")["place"]
    assert "design_outdoor" not in begun(loss_at="-15 degF")["place"]  # of no loss


def test_a_cooler_thermostat_makes_no_source_smaller_and_a_warmer_one_makes_it_larger() -> None:
    def size(thermostat: str) -> str:
        data = begun(heat_loss="48 kBtu/h", loss_at="-15 degF", thermostat=thermostat)
        return str(data["option"][0]["source"][0]["output"])

    # by hand, 15 % more than the load and by fives: 48 × 1.15 = 55.2; from -15 to 80 °F 48 × 95/85 × 1.15 = 61.7
    assert (size(""), size("62 degF"), size("80 degF")) == ("60 kBtu/h", "60 kBtu/h", "65 kBtu/h")


def test_the_house_uses_what_was_typed_and_its_heat_loss_is_that_of_the_degree_hours() -> None:
    found = scaled_to_use(begun, "620 gal", hot_water=False, weather=WEATHER, system="us", files=FILES)
    result = simulate(case_from(begun(rate=found.keys("us"))), WEATHER)
    now = result.options[0]
    used_m3 = now.sources[0].input_j / PROPANE_J_M3
    assert used_m3 / GALLON_M3 == pytest.approx(620, rel=0.02)  # sizes come in whole steps, so cycling differs a little
    # by hand: heat = fuel x efficiency of the season = UA x degree-hours below the balance point
    efficiency = now.sources[0].heat_j / now.sources[0].input_j
    degree_s = float(np.maximum(parse("62 degF", "temperature").value - WEATHER.outdoor_c, 0).sum()) * 3600
    by_hand = 620 * GALLON_M3 * PROPANE_J_M3 * efficiency / degree_s
    assert found.loss_w_k == pytest.approx(by_hand, rel=0.02)
    assert found.band == pytest.approx(0.15)
    money = scaled_to_use(begun, "1612 $", hot_water=False, weather=WEATHER, system="us", files=FILES)
    assert money.loss_w_k == pytest.approx(found.loss_w_k, rel=0.01)  # 620 gal at $2.60
    year = scaled_to_use(begun, "620 gal/year", hot_water=False, weather=WEATHER, system="us", files=FILES)
    assert year.loss_w_k == pytest.approx(found.loss_w_k)


def test_hot_water_comes_off_and_widens_the_band_and_too_little_use_is_told() -> None:
    alone, with_water = (
        scaled_to_use(begun, "620 gal", hot_water=water, weather=WEATHER, system="us", files=FILES)
        for water in (False, True)
    )
    share = HOT_WATER_J / (620 * GALLON_M3 * PROPANE_J_M3)
    assert with_water.loss_w_k == pytest.approx(alone.loss_w_k * (1 - share), rel=0.02)
    assert with_water.band > alone.band
    assert f"less {share:.0%} for hot water" in with_water.words
    for text, told in (("190 gal", "hot water alone"), ("3 short_ton", "no amount of propane")):
        with pytest.raises(InputError, match=told):
            scaled_to_use(begun, text, hot_water=True, weather=WEATHER, system="us", files=FILES)


@pytest.mark.parametrize("gallons", [300, 1200, 1500])
def test_much_fuel_comes_back_as_it_was_typed(gallons: int) -> None:
    """Sizes grow with the house: a boiler too small for the first guess does not pass for a larger loss."""
    begin = functools.partial(begun, emitter="radiators")
    found = scaled_to_use(begin, f"{gallons} gal", hot_water=False, weather=WEATHER, system="us", files=FILES)
    now = simulate(case_from(begin(rate=found.keys("us"))), WEATHER).options[0]
    assert now.sources[0].input_j / PROPANE_J_M3 / GALLON_M3 == pytest.approx(gallons, rel=0.01)
    made = now.sources[0]
    assert 0.85 < made.heat_j / made.input_j < 0.99  # by the label of a boiler that condenses
    assert "How much of its fuel Propane turns into heat over the year is in “Show the math”" in found.words


def test_ten_times_the_fuel_of_such_a_house_is_asked_about() -> None:
    with pytest.raises(InputError, match="about 10 times what a drafty house of this size uses"):
        scaled_to_use(begun, "7000 gal", hot_water=False, weather=WEATHER, system="us", files=FILES)


def test_an_older_boiler_leaves_less_heat_of_the_same_fuel() -> None:
    """UA goes with the efficiency: 80 % against 92 %."""
    losses = [
        scaled_to_use(
            functools.partial(begun, efficiency=given),
            "620 gal",
            hot_water=False,
            weather=WEATHER,
            system="us",
            files=FILES,
        ).loss_w_k
        for given in ("", "80 %")
    ]
    assert 0.80 < losses[1] / losses[0] < 80 / 92  # one stage, so that it cycles and gives a little less still
    assert "condensing" not in begun(efficiency="80 %")["option"][0]["source"][0]


def test_the_five_questions_find_their_answers_again() -> None:
    data = begun(quotes={"heat_pump": "14000 $"}, emitter="radiators")
    found = answers_of(data)
    assert (found["now"], found["considered"]) == ("propane", ["heat_pump"])
    assert (found["emitter"], found["quote/heat_pump"], found["price/propane"]) == (
        "radiators",
        "14000 $",
        "2.60 $/gal",
    )
