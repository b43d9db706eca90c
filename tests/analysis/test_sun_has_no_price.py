"""The sun has no price table: what asks for prices of an option's sources asks for none of it."""

from __future__ import annotations

from typing import Any

import pytest

from costsim import load_weather
from costsim.analysis.breakeven import breakeven_prices, price_map
from costsim.analysis.uncertainty import uncertainty
from costsim.results.result import Result
from costsim.simulation import simulate
from costsim.study.case import Case, case_from
from costsim.units.quantity import KWH_J
from costsim.views.turning import competing_line, turns_of, winning_lines

GAS, SUN, RATE = "Natural gas", "Sun with electric", 0.15


@pytest.fixture(scope="module")
def case() -> Case:
    """An invented house that burns natural gas, and the sun with an electric boiler beside it."""
    collectors: dict[str, Any] = {"kind": "solar", "area": "96 ft2", "tilt": "60 deg"}
    return case_from(
        {
            "title": "An invented house",
            "place": {"weather": "greensboro.csv"},
            "house": {"floor_area": "1900 ft2", "indoor_temperature": "70 degF", "heat_loss_rate": "600 Btu/(h degF)", "balance_point": "62 degF"},
            "tank": {"volume": "400 gal"},
            "prices": {"natural_gas": {"energy": "1.18 $/therm"}, "electricity": {"energy": f"{RATE} $/kWh"}},
            "uncertainty": {"scenarios": 100},
            "option": [
                {"name": GAS, "today": True, "source": [{"kind": "gas", "output": "50 kBtu/h", "efficiency": "80 %"}]},
                {"name": SUN, "source": [collectors, {"kind": "electric", "output": "15 kW"}]},
            ],
        }
    )  # fmt: skip


@pytest.fixture(scope="module")
def result(case: Case) -> Result:
    return simulate(case, load_weather(case))


def test_only_what_is_bought_has_a_price(case: Case) -> None:
    assert [one.price_keys(case.prices) for one in case.option] == [["natural_gas"], ["electricity"]]


@pytest.mark.long
def test_the_sun_beside_a_cheaper_fuel_wins_below_a_price_of_its_electricity(case: Case, result: Result) -> None:
    gas, sun = result.option(GAS), result.option(SUN)
    assert gas.cost_total < sun.cost_total
    near, found = turns_of(result)
    assert [(one.option, one.price) for one in found] == [(SUN, "electricity")]
    # both pay the pumps; equal where rate x (boiler + its pumps) = gas + rate x (pumps of gas)
    heater = next(one for one in sun.sources if one.price_key == "electricity")
    more_kwh = (heater.input_j + sun.running_j - gas.running_j) / KWH_J
    burned = gas.cost_total - RATE * gas.running_j / KWH_J
    assert found[0].factor * RATE == pytest.approx(burned / more_kwh, rel=1e-6)
    assert near is not None
    lines = [*winning_lines(case, found, [], "us"), competing_line(case, found, [], "us")]
    assert all(f"${burned / more_kwh:.3f}/kWh" in line for line in lines)


@pytest.mark.long
def test_break_even_map_and_uncertainty_ask_the_sun_for_no_price(case: Case, result: Result) -> None:
    weather = load_weather(case)
    assert {one.price for one in breakeven_prices(case, weather)} == {"natural_gas", "electricity"}
    chart = price_map(case, weather, "natural_gas", "electricity", steps=3)
    # gas at half its price and electricity at twice: gas; the other corner by its costs
    assert chart.options[chart.winner[-1, 0]] == GAS
    assert uncertainty(case, weather)
