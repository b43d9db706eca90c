"""Fixed charges of a service that a house has anyway are no cost of heating."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from costsim import load_weather, simulate
from costsim.analysis.scenarios import draw, lower_years, simulate_scenarios
from costsim.analysis.tariff_choice import compare_tariffs
from costsim.engine.batch import price_batch
from costsim.results.result import Result
from costsim.study.case import Case, case_from
from costsim.study.prices import Price
from costsim.tariffs.bill import bill, marginal_bill
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges.tariff import due_by_use
from costsim.units.faults import build

YEAR = 12 * 18.5
CLOCK = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone=None, year=2025)


def house(**electricity: Any) -> dict[str, Any]:
    """An invented house with a monthly charge on electricity, and tank rent and a monthly charge on fuels."""
    return {
        "title": "An invented house",
        "place": {"weather": "greensboro.csv"},
        "house": {"floor_area": "1800 ft2", "indoor_temperature": "70 degF", "heat_loss_rate": "500 Btu/(h degF)", "balance_point": "62 degF"},
        "prices": {
            "electricity": {"energy": "0.194 $/kWh", "fixed": "18.5 $/month", **electricity},
            "propane": {"energy": "2.79 $/gal", "rent": "120 $/year"},
            "natural_gas": {"energy": "1.40 $/therm", "fixed": "14 $/month"},
        },
        "uncertainty": {"scenarios": 100},
        "option": [
            {"name": "Propane", "source": [{"kind": "gas", "fuel": "propane", "output": "60 kBtu/h", "efficiency": "90 %"}]},
            {"name": "Gas", "source": [{"kind": "gas", "output": "60 kBtu/h", "efficiency": "90 %"}]},
            {"name": "Electric", "source": [{"kind": "electric", "output": "20 kW"}]},
        ],
    }  # fmt: skip


def computed(data: dict[str, Any]) -> tuple[Case, Result]:
    case = case_from(data)
    return case, simulate(case, load_weather(case))


def fixed(data: dict[str, Any]) -> dict[str, float]:
    return {one.name: one.cost_fixed for one in computed(data)[1].options}


def test_the_meter_stands_anyway_and_a_tank_or_gas_line_is_there_for_heating() -> None:
    case, result = computed(house())
    assert fixed(house()) == pytest.approx({"Propane": 120.0, "Gas": 168.0, "Electric": 0.0})
    (told,) = [one.value for one in result.assumptions if one.what == "fixed charges and minimums"]
    assert told.startswith("not counted for electricity, ")
    assert "counted for propane, natural gas with every option" in told
    # a service for heating alone is typed
    own = house(service="for_heating_alone")
    assert fixed(own)["Electric"] == pytest.approx(YEAR)
    # gas that cooks and heats the water stays whatever heats the house
    cooked = house()
    cooked["prices"]["natural_gas"]["service"] = "there_anyway"
    assert fixed(cooked)["Gas"] == pytest.approx(0.0)
    # to know the other use or not to know it moves the fixed charge of nobody
    known = house()
    known["house"]["other_electricity"] = "7000 kWh/year"
    assert computed(known)[1].option("Electric").cost_total == pytest.approx(result.option("Electric").cost_total)
    # scenarios bill the same
    weather = load_weather(case)
    years = lower_years(case, weather, ())
    scenarios = draw(case, *years)
    costs = [price_batch(years[0], simulate_scenarios(years, scenarios)[2], scenarios.prices) for years in (
        years, lower_years(case_from(own), weather, ()))]  # fmt: skip
    assert costs[1] - costs[0] == pytest.approx(YEAR)


@pytest.mark.parametrize(
    "charge",
    [{"kind": "credit", "amount": "30 $/month"}, {"kind": "credit", "amount": "360 $/year"}, {"kind": "standing", "amount": "0.4 $/day"},
     {"kind": "power", "contracted": "9 kW", "step": [{"fee": "20 $/month"}]}],
)  # fmt: skip
def test_what_comes_or_is_due_without_use_is_no_money_of_heating(charge: dict[str, Any]) -> None:
    """Known or unknown what else the service feeds, heating pays its 8,760 kWh at 0.10 $: 876 $."""
    service = build(Price, {"energy": "0.10 $/kWh", "charge": [charge]}).tariff("electricity")
    heating, other = np.full(8760, 3.6e6), np.full(8760, 2.9e6)
    assert bill(due_by_use(service), CLOCK, heating).total == pytest.approx(876.0)
    assert marginal_bill(service, CLOCK, heating, other).total == pytest.approx(876.0)


def test_the_choice_between_rates_counts_their_fixed_charges_all_the_same() -> None:
    case, _ = computed(house())
    dear = {"electricity": {"energy": "0.194 $/kWh", "fixed": "40 $/month"}}
    found = compare_tariffs(case, load_weather(case), {"now": {}, "dear": dear})
    (now, high) = found.whole_bills
    assert high[2] - now[2] == pytest.approx(12 * 21.5)
