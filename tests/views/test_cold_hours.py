"""Cold hours are said where the verdict stands: a cheaper option is not left out silently, and borne hours are no warmth."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace
from typing import Any

import pytest

from costsim import simulate
from costsim.analysis import left_out as left_out_module
from costsim.analysis.left_out import CheaperCold, cheaper_cold, left_out
from costsim.analysis.lifecycle import over_years
from costsim.results.result import Result
from costsim.simulation import named_weather
from costsim.study.case import Case, case_from
from costsim.study_files import StudyFiles
from costsim.units.quantity import parse
from costsim.views import cold_hours, cold_rooms
from costsim.views.capacity_chart import capacity_finding
from costsim.views.cold_hours import left_out_sentence
from costsim.views.first_answers import FirstAnswers
from costsim.views.first_study import first_study
from costsim.views.headline import headline
from costsim.views.verdict import decision
from costsim.weather import Weather

PUMP = "Heat pump with electric backup"


def colder(by_k: float) -> Weather:
    """The invented valley with every hour so much colder: deep cold in which a heat pump stops."""
    weather = named_weather(StudyFiles(), "cold_valley.csv", "place.weather")
    return dataclasses.replace(weather, outdoor_c=weather.outdoor_c - by_k, altitude_m=100.0)


def answered(weather: Weather, backup: str = "") -> tuple[Case, Result]:
    data: dict[str, Any] = first_study(
        FirstAnswers(
            weather_name="cold_valley.csv", weather=weather, area="1850 ft2", insulation="average",
            heat_loss="40 kBtu/h", now="propane", considered=["heat_pump"], prices={"electricity": "0.194 $/kWh"},
            system="us", currency="$",
        )
    )  # fmt: skip
    if backup:
        data["option"][1]["source"][1]["output"] = backup
    case = case_from(data)
    return case, simulate(case, weather)


def test_the_coldest_option_is_the_one_that_leaves_most_undelivered_then_that_with_the_coldest_room() -> None:
    def options(*unmet_j: float) -> Any:
        made = [
            SimpleNamespace(name=name, unmet=SimpleNamespace(energy_j=joule))
            for name, joule in zip("ABC", unmet_j, strict=False)
        ]
        return SimpleNamespace(options=made, lowered=None)

    with pytest.MonkeyPatch.context() as patch:  # the room's temperature and how far that is below its set-point
        patch.setattr(
            cold_rooms, "coldest_room", lambda common, option: {"A": (18.0, 2.0), "B": (15.0, 1.0)}[option.name]
        )
        rooms = cold_rooms.coldest_rooms(options(0.0, 0.0), options(0.0, 0.0))  # type: ignore[arg-type]
    assert rooms == {"A": 18.0, "B": 15.0}
    assert cold_rooms.coldest(options(0.0, 0.0), rooms) == "B"
    assert cold_rooms.coldest(options(1.0, 0.0), rooms) == "A"


def told(year: tuple[float, float], over: tuple[float, float] | None, lasting: str = "Pair", room: float = 17.9) -> str:
    """The sentence on a boiler of these costs, its own and those of the best warm ones: 50 hours too cold, by up to 1.5 kW."""
    unmet = SimpleNamespace(hours=50, worst_w=1500.0)
    one = CheaperCold(SimpleNamespace(name="Gas", unmet=unmet), SimpleNamespace(name="Pair"), year, lasting, over, 20)  # type: ignore[arg-type]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cold_hours, "cheaper_cold", lambda _: (one,))
        patch.setattr(cold_hours, "lowest_indoors", lambda *_: (room, 20.0 - room))
        words = [cold_hours.but_cold(SimpleNamespace(currency="$"), over_years=over) for over in (False, True)]  # type: ignore[arg-type]
        assert [bool(word) for word in words] == [year[0] < year[1], over is not None and over[0] < over[1]]
        return cold_hours.cheaper_sentence(SimpleNamespace(currency="$"), "si")  # type: ignore[arg-type]


def test_what_is_left_out_is_told_with_its_amounts_and_its_hours() -> None:
    """$1,359 against $1,936 are $577, to ten dollars $580; $20,212 against $37,596 to hundreds are $17,400."""
    cold = "but would be too small for 50 hours, by at most 1.5 kW (lowest 18 °C indoors)."
    both = told((1359.0, 1936.0), (20_212.0, 37_596.0))
    assert both == f"Gas costs $580 a year less and $17,400 less over 20 years than Pair, {cold}"
    assert told((1359.0, 1936.0), (20_212.0, 37_596.0), "Oil") == (
        f"Gas costs $580 a year less than Pair and $17,400 less over 20 years than Oil, {cold}"
    )
    assert told((1359.0, 1936.0), None) == f"Gas costs $580 a year less to run than Pair, {cold}"
    assert told((1359.0, 1936.0), (37_596.0, 20_212.0), "Oil") == (
        f"Gas costs $580 a year less to run than Pair, though $17,400 more over 20 years than Oil, {cold}"
    )
    assert told((1936.0, 1359.0), (20_212.0, 37_596.0), "Oil") == (
        f"Gas costs $17,400 less over 20 years than Oil, though $580 a year more to run than Pair, {cold}"
    )
    assert told((1359.0, 1359.0), (20_212.0, 37_596.0), room=19.6) == (
        "Gas costs $17,400 less over 20 years than Pair, but would be too small for 50 hours, by at most 1.5 kW."
    )


@pytest.mark.parametrize("by_k", [0.0, 8.0])
def test_a_backup_nobody_typed_carries_the_house_alone_when_the_heat_pump_stops(by_k: float) -> None:
    weather = colder(by_k)
    case, result = answered(weather)
    backup = case.options[1].sources[1]
    assert backup.nameplate_w() >= result.route.load_w
    pump = result.option(PUMP)
    if by_k:  # it does stop in this winter
        assert weather.outdoor_c.min() < -20.0
    assert pump.unmet.hours == 0
    assert result.option("Propane").unmet.hours == 0
    assert f"{PUMP} saves" in decision(result, "household", "us")


def test_a_cheaper_option_that_is_too_cold_is_named_with_the_size_that_would_do() -> None:
    weather = colder(8.0)
    case, result = answered(weather, backup="7 kW")
    pump, propane = result.option(PUMP), result.option("Propane")
    assert not pump.keeps_warm
    assert pump.cost_total < propane.cost_total
    with pytest.MonkeyPatch.context() as patch:  # the years of all options are added up once for a result
        asked: list[Any] = []
        patch.setattr(left_out_module, "over_years", lambda *given: asked.append(given) or over_years(*given))
        (one,) = cheaper_cold(result)
        assert (one.cold, one.best) == (pump, propane)
        assert cheaper_cold(result)[0] is one
        assert len(asked) == 2
        assert cheaper_cold(dataclasses.replace(result, options=(propane, propane))) == ()  # and anew for another one
    said = decision(result, "household", "us")
    hours = f"too cold for {pump.unmet.hours:,} hours"
    assert f"{PUMP} costs $" in said
    assert f"less to run than Propane, but would be too small for {pump.unmet.hours:,} hours, by at most " in said
    found = left_out(case, weather, result)
    assert found is not None
    assert found.enough is not None
    enough_w = found.enough.enough_w
    assert enough_w is not None
    text = left_out_sentence(found, "$", "us")
    assert f"With 7.0 kW of Electric backup, {PUMP} is {hours}; " in text
    assert "below -4 °F" in text
    assert text in headline(case, weather, result, "us", at_once=True)
    # the size named does leave no more hours than are borne, by a year of its own, and one a hundredth below the least leaves more
    named = text.split("hours; ")[1].split(" would leave at most 20, ")[0]
    sold_w = [1000.0 * one for one in (6, 9, 12, 15, 18, 20, 24, 27, 30)]
    assert parse(named, "electric_power").value == min(one for one in sold_w if one >= enough_w)
    assert answered(weather, backup=named)[1].option(PUMP).unmet.hours <= case.house.max_unmet_hours == 20
    assert answered(weather, backup=f"{0.99 * enough_w} W")[1].option(PUMP).unmet.hours > 20


def test_borne_hours_stand_in_the_headline_and_nobody_says_that_every_option_keeps_warm() -> None:
    weather = colder(0.0)
    case, result = answered(weather, backup="8 kW")
    hours = result.option(PUMP).unmet.hours
    assert 0 < hours <= case.house.max_unmet_hours
    said = decision(result, "household", "us")
    assert f"{hours} hours a little too cold (down to 6" in said
    page = capacity_finding(result, "us")
    assert "Every option" not in page
    assert f"{PUMP} ({hours} hours too cold)" in page
    assert "20 hours a year" in page
    warm = capacity_finding(answered(weather)[1], "us")
    assert "Every option keeps it warm" in warm
    assert "20 hours" not in warm
