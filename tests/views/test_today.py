"""What is compared with what, and what may be said over the years: one rule on the screen, the page and the command line."""

from __future__ import annotations

from typing import Any

import pytest

from costsim import load_weather, simulate
from costsim.analysis.decision import decide
from costsim.analysis.lifecycle import life_cycle, outlay, over_years
from costsim.analysis.uncertainty import uncertainty
from costsim.errors import InputError
from costsim.results.result import Result
from costsim.simulation import named_weather
from costsim.study.case import Case, case_from
from costsim.study_files import StudyFiles
from costsim.views.cards import cards, years_finding
from costsim.views.cost_chart import cost_finding
from costsim.views.first_answers import FirstAnswers
from costsim.views.first_study import first_study
from costsim.views.headline import headline, roughly
from costsim.views.text_decision import verdict_rows
from costsim.views.text_uncertainty import lifecycle_rows, printed_uncertainty, step_lines
from costsim.views.verdict import decision, likelihood

PROPANE, PUMP, GAS = "Propane", "Heat pump with electric backup", "Natural gas"


def house(quotes: dict[str, str], considered: tuple[str, ...] = ("heat_pump", "gas"), **prices: str) -> dict[str, Any]:
    """An invented house that burns propane."""
    weather = named_weather(StudyFiles(), "greensboro.csv", "place.weather")
    return first_study(
        FirstAnswers(
            weather_name="greensboro.csv", weather=weather, area="1500 ft2", insulation="average", now="propane",
            considered=considered, prices=prices, system="us", currency="$", quotes=quotes,
        )
    )  # fmt: skip


def answered(data: dict[str, Any]) -> tuple[Case, Any, Result]:
    case = case_from(data)
    weather = load_weather(case)
    return case, weather, simulate(case, weather)


def words(case: Case, weather: Any, result: Result) -> dict[str, str]:
    sure = likelihood(case, weather, result)
    found = cards(case, result.lowered, result, sure, persona="household", system="us")
    return {card.key: f"{card.value} {card.note}" for card in found}


def test_without_a_first_cost_nobody_is_cheapest_over_the_years_anywhere() -> None:
    case, weather, result = answered(house({"gas": "9000 $"}))
    card = words(case, weather, result)["years"]
    found = over_years(case, result, [one.name for one in case.options])
    most = found.missing[PUMP]
    assert found.cheapest is None
    assert most is not None
    # the others have their figure, of the years' payments to three figures, and the one that lacks a price is named
    known = {
        one.name: outlay(case, one, result.option(one.name)).present_cost for one in case.options if one.name != PUMP
    }
    assert card.startswith(f"${round(min(known.values()), -2):,.0f} Propane")
    assert f"{PUMP} is worth it against Propane if it costs less than about $" in card
    assert card.endswith("Enter install costs on the Money page")
    # with that first cost the heat pump is as cheap over the years as the cheapest of the others, by the discounting itself
    typed = house({"gas": "9000 $", "heat_pump": f"{most:.6f} $"})
    priced, _, again = answered(typed)
    costs = {one.name: outlay(priced, one, again.option(one.name)).present_cost for one in priced.options}
    assert costs[PUMP] == pytest.approx(min(costs[PROPANE], costs[GAS]), abs=1e-3)
    outlays, steps = life_cycle(case, result)
    assert years_finding(case, result).startswith("Of those with a first cost, Propane costs least over 20 years: $")
    headings, rows = lifecycle_rows(case, outlays)
    assert dict(zip(headings, rows[1], strict=True))["20 years, in today's money"] == "not known"
    assert any(
        "is worth it against Propane if it costs less than about $" in line for line in step_lines(case, outlays, steps)
    )
    few = case.model_copy(update={"uncertainty": case.uncertainty.model_copy(update={"scenarios": 100})})
    said = {row[0]: row[1] for row in verdict_rows(few, decide(few, weather, outlays))[1]}
    # those that have a first cost are compared, and the one that has none is named
    known = {one.option: one.present_cost for one in outlays if one.priced}
    assert set(known) == {PROPANE, GAS}
    asked = f"cheapest over 20 years (no first cost given for {PUMP})"
    assert said[asked] == min(known, key=known.__getitem__)


def test_todays_heating_is_what_the_headline_the_card_and_the_chart_compare_with() -> None:
    data = house({"gas": "9000 $", "heat_pump": "30000 $"})
    case, weather, result = answered(data)
    assert [option.today for option in case.options] == [True, False, False]
    best = min(result.options, key=lambda one: one.cost_total).name
    assert best != PROPANE
    text = decision(result, "household", "us")
    assert text.startswith(f"{PROPANE} (today's heating) costs least over 20 years: $")
    assert text.endswith(" a year).")
    assert len(text.split()) <= 25
    assert PROPANE in cost_finding(result)
    assert f"against {PROPANE}" in words(case, weather, result)["sure"]
    assert headline(case, weather, result, "us").startswith(text.split(": $")[0])
    for one in data["option"]:
        one.pop("today", None)
    other = simulate(case_from(data), weather)
    assert "today" not in decision(other, "household", "us")
    data["option"][0]["today"] = data["option"][2]["today"] = True
    with pytest.raises(InputError, match=r"option\[3\].today"):
        case_from(data)


def test_how_likely_is_one_number_in_every_place() -> None:
    case, weather, result = answered(house({}, considered=("heat_pump",), propane="1.45 $/gal"))
    sure = likelihood(case, weather, result)
    full = uncertainty(case, weather)
    assert sure is not None
    assert full.pair == (sure.first, sure.second)
    assert full.first_is_cheaper == sure.share
    assert 0.55 < max(sure.share, 1 - sure.share) < 0.99  # a share that rounding could hide
    said = roughly(max(sure.share, 1 - sure.share))
    assert said in headline(case, weather, result, "us")
    if sure.share >= 0.5:
        assert said in printed_uncertainty(case, full)
        assert said.removeprefix("about ") in words(case, weather, result)["sure"]
