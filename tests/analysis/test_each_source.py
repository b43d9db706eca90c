"""What an option costs with one source left out, by hand: 4 kW asked all year, of which an electric boiler gives 3 kW first."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
from cases import constant_weather, study

from costsim.analysis import each_source
from costsim.analysis.each_source import each_left_out
from costsim.simulation import simulate
from costsim.study.case import case_from
from costsim.views.each_source import source_lines, unpaid_lines

ELECTRIC = {"kind": "electric", "name": "Electric", "output": "3 kW", "efficiency": "100 %"}
PROPANE = {"kind": "gas", "name": "Propane", "fuel": "propane", "output": "12 kW", "efficiency": "90 %"}
GALLON_KWH = 91_500 / 3412.14
"""Higher heating value, EIA."""


def one(price: str, **tables: object) -> tuple:
    """What is found with electricity at a price, and its lines."""
    case = study(ELECTRIC, PROPANE, prices__electricity={"energy": price}, **tables)
    found = each_left_out(simulate(case, constant_weather(0.0)))
    return found, source_lines(found, "$"), unpaid_lines(found, "$")


def test_a_source_left_out_is_reckoned_by_its_heat_and_its_price() -> None:
    (no_electric, no_propane), lines, unpaid = one("0.20 $/kWh")
    propane_kwh = 2.50 / GALLON_KWH / 0.9  # 10.4 c a kWh of heat
    assert no_electric.cost == pytest.approx(4 * 8760 * propane_kwh, rel=5e-3)
    # with both the boiler gives a twelfth of its output, and starts and stops
    assert no_electric.cost_with == pytest.approx(8760 * (3 * 0.20 + propane_kwh), rel=15e-3)
    assert (no_electric.source, no_electric.rest, no_electric.enough, no_electric.hours) == (
        "Electric",
        ("Propane",),
        True,
        0,
    )
    assert (no_propane.enough, no_propane.hours, no_propane.hours_with) == (False, 8760, 0)
    assert (
        lines[0]
        == "one: Propane alone, with the tank and all else of this option, would cost $3,600 a year, $2,600 less than with Electric beside it."
    )
    # the electric's 3 kW all year for 20 c; what the propane would add is its tenth of a dollar a kWh and its starts
    assert no_propane.cost == pytest.approx(8760 * 3 * 0.20, rel=5e-3)
    assert no_propane.cost_with == no_electric.cost_with
    assert lines[1] == "one: without Propane, 8,760 hours too cold, and $5,260 a year, $960 less."
    assert unpaid == lines[:1]


def test_a_cheaper_source_pays_and_a_lone_one_is_not_left_out() -> None:
    _, lines, unpaid = one("0.05 $/kWh")
    assert lines[0] == (
        "one: Propane alone, with the tank and all else of this option, would cost $3,600 a year, $1,300 more than with Electric beside it."
        " Over 20 years, adding Electric pays if it costs less than $20,000 at the start."
    )
    assert not unpaid
    alone = study(PROPANE)
    assert each_left_out(simulate(alone, constant_weather(0.0))) == ()


def test_what_a_source_may_cost_is_what_it_saves_over_the_years() -> None:
    # uniform present value of 20 years at 3 %: 14.88, NIST Handbook 135
    (electric, _), _, _ = one("0.05 $/kWh", economics__discount_rate="3 %/year", economics__study_period=20)
    assert electric.worth == pytest.approx(14.877 * (electric.cost - electric.cost_with), rel=1e-4)
    assert (electric.years, electric.against, electric.investment, electric.payback) == (20, "", 0.0, None)


@pytest.mark.parametrize(
    ("first", "said"),
    [
        ("9000 $", "It costs $4,000 more to buy than Lone; its savings pay that back in 3.1 years, with 3% interest."),
        ("95000 $", "It costs $90,000 more to buy than Lone, which it does not pay back within 20 years."),
        ("5000 $", ""),
    ],
)
def test_the_rest_that_is_an_option_too_gives_the_first_cost(first: str, said: str) -> None:
    typed = study(ELECTRIC, PROPANE, prices__electricity={"energy": "0.05 $/kWh"}).typed
    lone = {"name": "Lone", "first_cost": "5000 $", "source": [PROPANE | {"name": "Boiler"}]}
    case = case_from({**typed, "option": [typed["option"][0] | {"first_cost": first}, lone]})
    found = each_left_out(simulate(case, constant_weather(0.0)))
    saved = found[0].cost - found[0].cost_with
    assert (found[0].against, len(found)) == ("Lone", 2)
    if 0 < found[0].investment < 10_000:
        # by hand, the same saving every year at 3 %: I = S (1 - 1.03^-n) / 0.03, so n = -ln(1 - I d / S) / ln(1.03)
        by_hand = -math.log(1.0 - found[0].investment * 0.03 / saved) / math.log(1.03)
        assert found[0].payback == pytest.approx(by_hand, rel=1e-6)
    text = source_lines(found, "$")[0]
    assert text.endswith(said or "more than with Electric beside it.")


def test_hours_that_are_there_anyhow_do_not_hang_on_the_source() -> None:
    # 8 kW asked where 3 + 4 kW stand: too cold all year with both
    case = study(ELECTRIC, PROPANE | {"output": "4 kW"}, house__design_heat_loss="12 kW")
    found = each_left_out(simulate(case, constant_weather(0.0)))
    assert [one.hours_with for one in found] == [8760, 8760]
    # as cold as with both, and so as good
    assert [(one.hours, one.enough) for one in found] == [(8760, True), (8760, True)]
    big = study(ELECTRIC, PROPANE | {"output": "12 kW"}, {**PROPANE, "name": "Spare"}, house__design_heat_loss="12 kW")
    assert [one.enough for one in each_left_out(simulate(big, constant_weather(0.0)))] == [True, True, True]


@pytest.mark.parametrize(
    ("lacking", "priority", "told", "enough"),
    [
        (7, "before_house", 0, True),
        (8, "before_house", 8, False),
        (8, "after_house", 0, True),
        (0, "before_house", 0, True),
    ],
)
def test_hot_water_that_lacks_no_more_than_before_counts_for_nothing(
    monkeypatch: pytest.MonkeyPatch, lacking: int, priority: str, told: int, enough: bool
) -> None:
    """Five hours are allowed, and with both sources hot water lacks heat in seven."""

    def year(hours: int, lacking: int, cost: float) -> Any:
        use, unmet = SimpleNamespace(unmet_hours=lacking, priority=priority), SimpleNamespace(hours=hours)
        return SimpleNamespace(
            name="one", uses=[use], unmet=unmet, lacking_hours=max(hours, lacking), max_unmet_hours=5, cost_total=cost, bills={},
            co2_kg=0.0,
        )  # fmt: skip

    case = study(ELECTRIC, PROPANE)
    monkeypatch.setattr(each_source, "simulate_option", lambda lowered, option: year(4, lacking, 90.0))
    result: Any = SimpleNamespace(lowered=SimpleNamespace(case=case), options=[year(3, 7, 70.0)])
    found = each_left_out(result)
    assert [(one.use_hours, one.enough, one.hours, one.hours_with) for one in found] == [(told, enough, 4, 3)] * 2
    assert [(one.cost, one.cost_with, one.worth) for one in found] == [(90.0, 70.0, 0.0)] * 2
