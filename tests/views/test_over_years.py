"""What the first screen says where a lower bill is not yet a good buy: payback, odds over the years, both turning prices."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest

from costsim import load_weather
from costsim.analysis.breakeven import BreakEven
from costsim.analysis.decision import decide
from costsim.analysis.lifecycle import life_cycle, outlay
from costsim.dashboard.parts_report import over_years_line
from costsim.results.result import Result
from costsim.simulation import simulate
from costsim.study.case import Case, case_from
from costsim.views.capacity_chart import left_lines
from costsim.views.cards import cards
from costsim.views.headline import headline
from costsim.views.text_uncertainty import breakeven_rows
from costsim.views.turning import turning_line, turns_of, winning_lines
from costsim.views.verdict import decision, likelihood

PUMP, PROPANE = "Heat pump", "Propane"


def house(first_cost: str, propane: str = "2.65 $/gal") -> Case:
    """An invented house that burns propane, and a quote for a heat pump."""
    data: dict[str, Any] = {
        "title": "An invented house",
        "place": {"weather": "greensboro.csv"},
        "house": {"floor_area": "1800 ft2", "indoor_temperature": "70 degF", "heat_loss_rate": "700 Btu/(h degF)", "balance_point": "62 degF"},
        "prices": {"propane": {"energy": propane}, "electricity": {"energy": "0.15 $/kWh"}},
        "uncertainty": {"scenarios": 100},
        "option": [
            {"name": PROPANE, "today": True, "first_cost": "0 $",
             "source": [{"kind": "gas", "fuel": "propane", "output": "45 kBtu/h", "efficiency": "90 %"}]},
            {"name": PUMP, "source": [{"kind": "heat_pump", "outdoor": ["5 degF", "47 degF"],
                                       "outputs": ["40 kBtu/h", "60 kBtu/h"]}]},
        ],
    }  # fmt: skip
    if first_cost:
        data["option"][1]["first_cost"] = first_cost
    return case_from(data)


def looked_at(case: Case) -> tuple[Any, Result, dict[str, Any]]:
    weather = load_weather(case)
    result = simulate(case, weather)
    sure = likelihood(case, weather, result)
    return (
        weather,
        result,
        {one.key: one for one in cards(case, result.lowered, result, sure, persona="household", system="us")},
    )


def test_a_thin_win_over_the_years_is_not_told_as_a_sure_one() -> None:
    case = house("13500 $")
    weather, result, found = looked_at(case)
    text = decision(result, "household", "us")
    # what it costs in 25 words; cold hours are said beyond them
    costs, cold = text.split(f" {PUMP}: ")
    assert len(costs.split()) <= 25
    assert cold.startswith(f"{result.option(PUMP).unmet.hours} hours a little too cold (down to ")
    outlays, (step,) = life_cycle(case, result)
    assert step.discounted_payback is not None
    assert 8 < step.discounted_payback < 20
    # the difference of the two costs as they are shown: to tens, since one of them is below $1,000
    first, second = (round(result.option(name).cost_total, -1) for name in (PUMP, PROPANE))
    assert f"saves about ${second - first:,.0f} a year on bills" in text
    assert f"its $13,500 pays for itself in {step.discounted_payback:.0f} years, with 3% interest" in text
    # the card says both odds, and that over the years is the one that Money's verdict has
    over = next(one for one in decide(case, weather, outlays).verdicts if one.question == "cheapest over 20 years")
    bills, later = found["sure"].value.split("\n")
    assert bills == "Lower bills: more than 99%"
    assert over.option == PUMP
    assert over.probability < 0.95
    assert later == f"Cheaper than {PROPANE} over 20 years: about {round(over.probability * 20) * 5}%"
    # both options' figures, their gap and the payback
    first, second = (outlay(case, one, result.option(one.name)).present_cost for one in reversed(case.options))
    note = found["years"].note
    assert f"{PUMP} ${round(first, -2):,.0f}" in note
    assert f"{PROPANE} (${round(second, -2):,.0f})" in note
    assert f"in {step.discounted_payback:.0f} years, with 3% interest" in note
    sentence = headline(case, weather, result, "us")
    assert "on bills alone" in sentence
    assert "over 20 years with the first costs" in sentence


def test_a_first_cost_that_never_comes_back_is_said_to() -> None:
    _, result, found = looked_at(house("90000 $"))
    text = decision(result, "household", "us")
    assert text.startswith(f"{PROPANE} (today's heating) costs least over 20 years: $")
    assert found["sure"].value.endswith(f"Cheaper than {PROPANE} over 20 years: less than 1%")
    assert f"the $90,000 for {PUMP} does not pay for itself within 20 years" in found["years"].note
    # the page to sign stands at the answer's option, and says so beside it
    case = result.lowered.case
    costs = {one.option: one.present_cost for one in life_cycle(case, result)[0]}
    line = over_years_line(case, result, PUMP)
    assert line.startswith(f"{PROPANE} costs least over 20 years, first costs counted: $")
    less = float(re.search(r"\$([\d,]+) less", line)[1].replace(",", ""))
    assert less == pytest.approx(costs[PUMP] - costs[PROPANE], abs=100)
    assert over_years_line(case, result, PROPANE) == ""


def test_carbon_that_nobody_knows_leaves_the_odds_over_the_years_known() -> None:
    """Outside the US the carbon of power is unknown, and without a price it costs nothing."""
    known = house("13500 $")
    abroad = known.model_copy(update={"place": known.place.model_copy(update={"timezone": "Europe/Vienna"})})
    if not any(np.isnan(one.co2_kg) for one in simulate(abroad, load_weather(abroad)).options):
        pytest.fail("this case was to have an unknown grid")
    weather, result, _ = looked_at(abroad)
    sure, same = likelihood(abroad, weather, result), likelihood(known, weather, simulate(known, weather))
    assert sure is not None
    assert same is not None
    assert sure.over_years == same.over_years


def test_without_a_first_cost_only_the_bills_are_told() -> None:
    case = house("")
    _, result, found = looked_at(case)
    assert found["sure"].value == "Lower bills: more than 99%"
    turned = turns_of(result)[0]
    assert turned is not None
    assert turned.over_years is None
    assert "over 20 years" not in turning_line(case, turned, "us")
    (row, *_) = breakeven_rows(case, [turned], "us")[1]
    assert row[3] == "not known: a first cost is missing"


@pytest.mark.parametrize("propane", ["2.65 $/gal", "1.90 $/gal"])
def test_both_turning_prices_stand_in_one_line_and_do_not_hang_on_todays(propane: str) -> None:
    case = house("13500 $", propane)
    result = simulate(case, load_weather(case))
    gallons = result.option(PROPANE).cost_total / case.prices["propane"].sold_price("propane", 1.0, "us")[0]
    gallons /= result.lowered.surroundings.price_per_j["propane"].mean()
    turned = turns_of(result)[0]
    text = turning_line(case, turned, "us")
    pump = result.option(PUMP).cost_total
    # by hand: bills are equal at pump / gallons; over 20 years at 3% each dollar a year counts 14.877 times
    worth = (1 - 1.03**-20) / 0.03
    assert f"on bills alone ${pump / gallons:.2f}/gal" in text
    assert f"over 20 years with the first costs ${(pump + 13500 / worth) / gallons:.2f}/gal" in text
    assert f"Below it {PROPANE} is cheaper, above it {PUMP}." in text


def test_a_pump_that_stops_for_part_of_the_coldest_day_gives_nothing_in_its_hour_and_something_over_it() -> None:
    data = dict(house("").typed)
    pump = {
        "kind": "heat_pump",
        "outdoor": ["-15 degC", "7 degC"],
        "outputs": ["12 kW", "12 kW"],
        "cut_out": "-12 degC",
    }
    data["option"] = [data["option"][0], {"name": PUMP, "source": [{**pump, "defrost": "0 %"}]}]
    case = case_from(data)
    result = simulate(case, load_weather(case))
    # by hand: 12 kW in each hour of that day in which it is -12 °C or warmer, the coldest not among them
    outdoor = load_weather(case).outdoor_c
    day = outdoor[int(np.argmin(outdoor)) // 24 * 24 :][:24]
    runs = int((day >= -12.0).sum())
    assert 0 < runs < 24
    (text,) = left_lines(result, result.option(PUMP), "si")
    assert (
        text
        == f"nothing in the weather year's coldest hour: it stops below -12 °C outside; {12 * runs / 24:.1f} kW on average over that day"
    )
    assert left_lines(result, result.option(PROPANE), "si") == [""]


def three(fixed: str, first: str = "") -> Case:
    """The same house on propane, wood pellets and gas; gas has a charge that is due without any use."""
    data: dict[str, Any] = dict(house("", "1.50 $/gal").typed)
    data["prices"] = {"propane": {"energy": "1.50 $/gal"}, "pellets": {"energy": "400 $/short_ton"},
                      "natural_gas": {"energy": "1.40 $/therm", "fixed": fixed}}  # fmt: skip
    burners = {PROPANE: "propane", "Pellets": "pellets", "Gas": "natural_gas"}
    data["option"] = [
        {"name": name, **({"first_cost": first} if first else {}),
         "source": [{**({"kind": "pellet"} if fuel == "pellets" else {"kind": "gas", "fuel": fuel}), "output": "45 kBtu/h", "efficiency": "90 %"}]}
        for name, fuel in burners.items()
    ]  # fmt: skip
    return case_from(data)


def test_every_option_of_another_fuel_is_told_the_price_at_which_it_wins_however_far_that_is() -> None:
    case = three("15 $/month")
    result = simulate(case, load_weather(case))
    best = result.option(PROPANE).cost_total
    near, found = turns_of(result)
    # by hand: energy costs go with the price, the fixed charge of gas stays
    pellets = 400 * best / result.option("Pellets").cost_total
    gas = 1.40 * (best - 180) / (result.option("Gas").cost_total - 180)
    assert {one.option for one in found} == {"Pellets", "Gas"}
    text = " ".join(winning_lines(case, found, [], "us"))
    assert (
        f"Pellets costs less to run than Propane below ${pellets:.0f}/short ton for pellets (today $400/short ton)."
        in text
    )
    assert f"Gas costs less to run than Propane below ${gas:.2f}/therm for natural gas (today $1.40/therm)." in text
    # what the line of the nearest price says already is not said again
    assert near is not None
    assert near.price == PROPANE.lower()
    assert len(winning_lines(case, found, [near], "us")) == 2
    assert len(winning_lines(case, found, [BreakEven("natural_gas", PROPANE, "Gas", 0.9, 1.0, "Gas")], "us")) == 1


def test_a_fuel_that_would_lose_if_it_were_free_wins_at_no_price() -> None:
    case = three("300 $/month", "5000 $")
    result = simulate(case, load_weather(case))
    assert result.option(PROPANE).cost_total < 3600
    text = " ".join(winning_lines(case, turns_of(result)[1], [], "us"))
    assert "Gas costs more to run than Propane at any price of natural gas, even if it were free." in text
    assert "even if it were free. Over 20 years with the first costs: not at any price." in text
    # a charge that leaves little for the gas itself: below a twentieth of today's price, where the usual search ends
    left = 0.03 * (result.option("Gas").cost_total - 3600)
    case = three(f"{(result.option(PROPANE).cost_total - left) / 12} $/month")
    text = " ".join(winning_lines(case, turns_of(simulate(case, load_weather(case)))[1], [], "us"))
    assert "Gas costs less to run than Propane below $0.042/therm" in text  # 3% of $1.40


def test_a_headline_of_bills_that_are_nearly_the_same_says_what_the_years_do() -> None:
    case = house("16000 $")
    result = simulate(case, load_weather(case))
    pump = result.option(PUMP).cost_total
    # propane is paid by the gallon alone: at this price it costs 3% less a year than the pump
    price = f"{2.65 * 0.97 * pump / result.option(PROPANE).cost_total:.5f} $/gal"
    case = house("16000 $", price)
    text = decision(simulate(case, load_weather(case)), "household", "us").split(". ")[0]
    worth = (1 - 1.03**-20) / 0.03  # of a dollar a year for 20 years at 3%
    found = re.fullmatch(
        r"Propane, what you have now, costs \$([\d,]+) a year less to run than Heat pump, and \$([\d,]+) less over 20 years\.?",
        text,
    )
    assert found, text
    gap, less = (float(one.replace(",", "")) for one in found.groups())
    assert gap == pytest.approx(0.03 * pump, abs=10)
    assert less == pytest.approx(16000 + 0.03 * pump * worth, abs=100)
    # without its quote the pump costs more all the same; where it is the cheaper one to run, its quote may decide
    case = house("", price)
    text = decision(simulate(case, load_weather(case)), "household", "us")
    assert "First costs" not in text  # the pump costs more even if it is free to buy
    assert f"Over 20 years, {PROPANE} costs least too." in text
    case = house(
        "", f"{2.65 * 1.03 * pump / simulate(house(''), load_weather(case)).option(PROPANE).cost_total:.5f} $/gal"
    )
    text = decision(simulate(case, load_weather(case)), "household", "us")
    assert f"{PUMP} saves about $" in text
    assert "First costs, not given yet, may decide." in text
