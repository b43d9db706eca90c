"""Where every option leaves the house cold none is the cheapest, on cards, on paper and in the decision."""

from __future__ import annotations

import copy

from cases import demo

from costsim import simulate
from costsim.analysis.decision import decide
from costsim.analysis.lifecycle import life_cycle
from costsim.simulation import load_weather
from costsim.study.case import case_from
from costsim.views.cards import cards, years_finding
from costsim.views.text_decision import verdict_rows


def test_options_that_are_all_too_small_win_nothing() -> None:
    """Two electric units of 1 kW in a house that needs some ten times as much."""
    data = copy.deepcopy(demo("net_loft"))
    data["option"] = [
        {"name": name, "first_cost": cost, "source": [{"kind": "electric", "output": output, "price": "electricity"}]}
        for name, cost, output in (("Small", "1000 $", "1.0 kW"), ("Smaller", "500 $", "0.9 kW"))
    ]
    data["uncertainty"] = {"scenarios": 100}
    data["prices"] = {"electricity": data["prices"]["electricity"]}
    data.pop("today", None)
    case = case_from(data)
    weather = load_weather(case)
    result = simulate(case, weather)
    assert not any(option.keeps_warm for option in result.options)
    outlays, _ = life_cycle(case, result)
    decision = decide(case, weather, outlays)
    asked = {one.question: one for one in decision.verdicts}
    for question in ("cheapest to buy", "cheapest to run", f"cheapest over {decision.years} years", "least carbon"):
        assert asked[question].option is None
    _, rows = verdict_rows(case, decision)
    assert all("none: no option keeps the house warm" in row[1] for row in rows[:4])
    # the hours of the last row are those of every other table
    never = asked["never cold"]
    hours = next(option.unmet.hours for option in result.options if option.name == never.option.split(", ")[0])
    assert rows[4][3].startswith(f"{hours:,} hours a year too cold")
    made = {card.key: card for card in cards(case, result.lowered, result, None, persona="household", system="us")}
    assert (made["run"].value, made["years"].value) == ("none", "none")
    assert "least over" not in years_finding(case, result)
