"""The math behind the cards: what is shown adds up, and each amount times its price is its cost."""

from __future__ import annotations

import re

import pytest

from costsim import load_weather, read_study, simulate
from costsim.study.case import built_in_studies
from costsim.views.card_math import STEPS, Sums, steps_of, yearly
from costsim.views.planner_cards import collector_card, peak_card
from costsim.views.verdict import likelihood
from costsim.views.wording import for_reader

AMOUNT = re.compile(r"[$€]([\d,]+)")


def amounts(text: str) -> list[int]:
    """Whole amounts of money in a text."""
    return [int(found.replace(",", "")) for found in AMOUNT.findall(text)]


@pytest.mark.parametrize(("name", "system"), [("your_house", "us"), ("net_loft", "us"), ("valley_row", "si")])
def test_parts_add_up_and_every_step_has_a_source(name: str, system: str) -> None:
    case = read_study(built_in_studies()[name])
    weather = load_weather(case)
    result = simulate(case, weather)
    sums = Sums(case, result, likelihood(case, weather, result, count=64), system, {"propane"})
    for option in result.options:
        head, *lines = yearly(sums, option)
        total, _, parts = head.formula.partition(" = ")
        assert amounts(total)[0] == round(option.cost_total)
        assert sum(amounts(parts)) == amounts(total)[0]
        # amount × price = cost, as printed
        products = [line.formula for line in lines if " × " in line.formula]
        assert len(products) >= sum(source.cost > 1.0 for source in option.sources)
        for text in products:
            left, _, cost = text.rpartition(" = ")
            amount, rate = re.search(r"([\d,.]+) [^×]*× [$€]([\d,.]+)", left).groups()  # type: ignore[union-attr]
            product = float(amount.replace(",", "")) * float(rate.replace(",", ""))
            assert product == pytest.approx(amounts(cost)[0], rel=0.012, abs=1.0), text
    for key in STEPS:
        steps = steps_of(key, sums)
        assert steps, key
        assert all(step.formula and step.source for step in steps), key
        assert not any("seed" in for_reader(f"{step.formula} {step.source}", system) for step in steps), key
    assert any("as you entered it" in step.source for step in yearly(sums, result.options[0]))
    last = " ".join(step.source for step in yearly(sums, result.options[-1]))
    assert ("an example price, not yours" in last) == ("propane" in result.options[-1].bills)
    carbon = steps_of("carbon", sums)
    text = "\n".join(step.formula for step in carbon[1:])
    kilograms = [float(one.replace(",", "")) for one in re.findall(r"(?:= |fans: )([\d,]+) kg$", text, re.M)]
    whole = float(re.search(r"([\d,]+) kg = ", carbon[0].formula)[1].replace(",", ""))  # type: ignore[index]
    assert sum(kilograms) == pytest.approx(whole, abs=3)


def test_a_planners_own_cards_show_their_arithmetic() -> None:
    case = read_study(built_in_studies()["valley_row"])
    weather = load_weather(case)
    card = collector_card(case, weather, "us")
    costs = [float(one.replace(",", "")) for one in re.findall(r"€([\d,.]+\d)", card.math[0][0])]
    assert costs[0] - costs[1] == pytest.approx(costs[2], abs=0.001)
    assert f"€{costs[2]:,.2f}".removesuffix("" if costs[2] < 10 else ".00") in card.value
    heat = [float(one.replace(",", "")) for one in re.findall(r"[\d,]+", card.math[1][0].partition(":")[2])]
    assert heat[0] - heat[1] == pytest.approx(heat[2], abs=1.0)
    best = simulate(case, weather).options[0]
    row = {
        "name": best.name,
        "coincident_peak_kw": 2541.9,
        "coincident_peak_at": "Feb 5, 4 am",
        "coincident_peak_hours": 1,
    }
    peak = peak_card({"homes": 300, "options": [row]}, best)
    assert "2,541.9 kW ÷ 300 homes = 8.47 kW a home" in peak.math[0][0]
    assert all(source for _, source in (*card.math, *peak.math))
