"""Sun for hot water beside today's heating, from the five questions."""

from __future__ import annotations

import functools
from typing import Any

import pytest

from costsim import simulate
from costsim.simulation import named_weather
from costsim.study.case import case_from
from costsim.study_files import StudyFiles
from costsim.units.table import THERM_J
from costsim.views.first_answers import FirstAnswers
from costsim.views.first_study import answers_of, first_study
from costsim.views.templates import SUN_WATER, add_template, offered
from costsim.views.yearly_use import scaled_to_use, water_sentence

WEATHER = named_weather(StudyFiles(), "greensboro.csv", "place.weather")
SUN = "sun_water_gas"


def answers(**more: Any) -> FirstAnswers:
    given: dict[str, Any] = {"now": "gas", "considered": [SUN], "people": 4, "efficiency": "80 %"}
    return FirstAnswers(
        weather_name="greensboro.csv", weather=WEATHER, area="1900 ft2", insulation="little", system="us", currency="$",
        emitter="radiators", **given | more,
    )  # fmt: skip


def test_collectors_and_tank_are_sized_by_people_and_todays_boiler_stays() -> None:
    """20 ft² for each of two people and 13 for each further one; 60, 80 and 120 gal: US Department of Energy, a consumer's guide."""
    for people, area, gallons in ((0, "53 ft2", "80 gal"), (2, "40 ft2", "60 gal"), (4, "66 ft2", "80 gal"), (6, "92 ft2", "120 gal")):  # fmt: skip
        data = first_study(answers(people=people))
        today, sun = data["option"]
        assert (sun["source"][0]["area"], sun["tank"]["volume"]) == (area, gallons)
        assert sun["source"][1] == today["source"][0]
        assert sun["source"][1]["efficiency"] == "80 %"
        assert data["use"] == [{"kind": "hot_water", "people": people or 3}]
        assert "tank" not in today
        assert "tank" not in data  # it is of that option alone
    assert answers_of(data)["people"] == "6"
    assert answers_of(data)["considered"] == [SUN]
    assert "people" not in answers_of(data | {"use": [{"kind": "hot_water", "people": 40}]})
    assert "use" not in first_study(answers(considered=["new_gas"], people=0))
    assert first_study(answers(considered=["new_gas"]))["use"] == [{"kind": "hot_water", "people": 4}]


def test_each_is_offered_where_its_fuel_heats_the_house_today() -> None:
    for key in SUN_WATER:
        now = key.removeprefix("sun_water_")
        assert [one for one in offered(now) if one in SUN_WATER] == [key]
    assert not set(SUN_WATER) & set(offered("heat_pump"))


def test_an_option_that_is_added_counts_hot_water_once() -> None:
    data: dict[str, Any] = {"use": [{"kind": "hot_water", "daily_volume": "50 gal"}]}
    add_template(data, SUN, load_w=1e4, system="us", currency="$")
    assert data["use"] == [{"kind": "hot_water", "daily_volume": "50 gal"}]
    assert data["option"][0]["tank"]["volume"] == "80 gal"
    larger: dict[str, Any] = {"tank": {"volume": "120 gal"}}
    add_template(larger, SUN, load_w=1e4, system="us", currency="$")
    assert "tank" not in larger["option"][0]
    both = first_study(answers(considered=["off_peak_gas", SUN]))  # off-peak electric comes with 120 gal for both
    assert (both["tank"]["volume"], "tank" in both["option"][2]) == ("120 gal", False)


@pytest.mark.parametrize("hot_water", [True, pytest.param(False, marks=pytest.mark.long)])
def test_a_years_fuel_is_met_with_the_water_that_it_heats(hot_water: bool) -> None:
    asked = answers()
    found = scaled_to_use(
        functools.partial(first_study, asked), "1050 therms", hot_water=hot_water, weather=WEATHER, system="us", files=StudyFiles()
    )  # fmt: skip
    result = simulate(case_from(first_study(asked, found.keys("us"))), WEATHER)
    today, sun = result.options
    # by hand: 4 × 15 gal a day (0.057 m³ each) of 4.16 MJ/(m³ K) from 60 °F ground water, 15.5 °C, to 49 °C: 11.6 GJ
    water_j = 4 * 0.057 * 365 * 4.16e6 * (49.0 - 15.5)
    assert today.uses[0].heat_j == pytest.approx(water_j, rel=0.1)
    used_j = today.sources[0].input_j - (0.0 if hot_water else today.uses[0].heat_j / 0.75)
    assert used_j == pytest.approx(1050 * THERM_J, rel=0.02)  # 0.75: 80 % on the label, less over the year
    assert ("for hot water" in found.words) is hot_water
    # collectors of this size give more than half of what the tap takes, and never more than it and the tank's loss
    assert 0.5 * water_j < today.sources[0].heat_j - sun.sources[1].heat_j < 1.1 * water_j
    assert water_sentence(result) == ""
