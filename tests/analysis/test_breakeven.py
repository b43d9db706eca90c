"""Turning prices: put back in, they cost the same."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from analysis.plain_costs import cost_of
from cases import demo, sample_weather
from scipy.optimize import brentq

from costsim import load_weather, read_study
from costsim.analysis.breakeven import _Span, breakeven_prices, price_map, turn
from costsim.analysis.price_costs import OptionCosts, _Orders, costs_together
from costsim.engine.lower import lower_study, priced
from costsim.study.case import Case, case_from

GREENSBORO = sample_weather()


def two(first: dict[str, Any], second: dict[str, Any], **prices: Any) -> Case:
    data = demo()
    data["house"].pop("other_electricity")
    data["prices"] = prices
    data["option"] = [{"name": "A", "source": [first]}, {"name": "B", "source": [second]}]
    return case_from(data)


def test_electricity_against_propane_by_arithmetic(published) -> None:
    case = two(
        {"kind": "electric", "output": "20 kW"}, {"kind": "gas", "fuel": "propane", "output": "20 kW", "efficiency": "90 %", "cycling_degradation": 0.0},
        electricity={"energy": "5.58 ¢/kWh"}, propane={"energy": "2.50 $/gal"},
    )  # fmt: skip
    found = {one.price: one for one in breakeven_prices(case, GREENSBORO)}
    price, unit = case.prices["propane"].sold_price("propane", found["propane"].price_per_j(), "us")
    assert unit == "gal"
    published("economics")["breakeven_propane"].check(price)
    assert found["propane"].cheaper_below == "B"
    assert found["electricity"].cheaper_below == "A"


@pytest.mark.parametrize("name", ["lantern_cottage", "net_loft"])
def test_a_turning_price_put_back_costs_the_same_to_a_cent(name: str) -> None:
    case = read_study(name)
    weather = load_weather(case)
    common = lower_study(case, weather)
    by_name = {option.name: option for option in case.options}
    turned = [one for one in breakeven_prices(case, weather) if one.factor is not None]
    # options that leave the house cold are not compared
    assert len(turned) >= 2
    for one in turned:
        costs = [cost_of(common, by_name[option], {one.price: one.factor}) for option in (one.first, one.second)]
        assert costs[0] == pytest.approx(costs[1], abs=0.01)
        below = [cost_of(common, by_name[option], {one.price: one.factor * 0.99}) for option in (one.first, one.second)]
        assert (below[0] < below[1]) == (one.cheaper_below == one.first)


def test_a_rule_that_follows_prices_is_simulated_anew() -> None:
    both = {"name": "both", "rule": "cheapest_now", "source": [
        {"kind": "electric", "output": "20 kW"}, {"kind": "gas", "output": "20 kW", "efficiency": "90 %"}]}  # fmt: skip
    data = demo()
    data["prices"].pop("off_peak")
    data["option"] = [both]
    case = case_from(data)
    common = lower_study(case, GREENSBORO)
    dear = cost_of(common, case.options[0], {"natural_gas": 10.0})
    dearer = cost_of(common, case.options[0], {"natural_gas": 20.0})
    assert dear == pytest.approx(dearer)
    assert (
        priced(common, {"natural_gas": 2.0}).tariffs["natural_gas"].fixed_per_month
        == common.tariffs["natural_gas"].fixed_per_month
    )


def test_prices_that_cannot_turn_the_answer_say_so() -> None:
    case = two(
        {"kind": "electric", "output": "20 kW"}, {"kind": "gas", "output": "20 kW", "efficiency": "90 %"},
        electricity={"energy": "0.10 $/kWh"}, natural_gas={"energy": "1 $/therm", "fixed": "900 $/month"},
    )  # fmt: skip
    common = lower_study(case, GREENSBORO)
    assert turn(common, case.options[0], case.options[1], "natural_gas").factor is None


def test_the_map_agrees_with_the_ladder() -> None:
    case = two(
        {"kind": "electric", "output": "20 kW"}, {"kind": "gas", "output": "20 kW", "efficiency": "90 %"},
        electricity={"energy": "0.05 $/kWh"}, natural_gas={"energy": "1.30 $/therm"},
    )  # fmt: skip
    found = price_map(case, GREENSBORO, "electricity", "natural_gas", steps=7)
    at = next(one.factor for one in breakeven_prices(case, GREENSBORO) if one.price == "electricity")
    middle = found.winner[3]
    assert middle.tolist() == [int(factor > at) for factor in found.across_factors]
    assert (np.diff(found.winner, axis=0) <= 0).all()


@pytest.mark.parametrize(
    ("electricity", "today"),
    [
        # what is typed as the energy's own price, whatever a night costs
        (
            {"energy": "0.10 $/kWh", "period": [{"name": "night", "energy": "0.06 $/kWh", "windows": ["22:00-06:00"]}]},
            0.10,
        ),
        # of blocks the last
        ({"block": [{"up_to": "400 kWh/month", "energy": "0.09 $/kWh"}, {"energy": "0.16 $/kWh"}]}, 0.16),
        # where charges alone price energy, the mean of the hours: 16 of 24 at 6 cents and eight at 12
        (
            {
                "charge": [
                    {
                        "kind": "schedule",
                        "weekday": ["a" * 16 + "b" * 8] * 12,
                        "rate": [{"tier": [{"energy": f"{one} $/kWh"}]} for one in (0.06, 0.12)],
                    }
                ]
            },
            0.08,
        ),
    ],
)
def test_today_s_price_is_the_energy_s_own(electricity: dict[str, Any], today: float) -> None:
    case = two({"kind": "electric", "output": "20 kW"}, {"kind": "gas", "output": "20 kW", "efficiency": "90 %"},
               electricity=electricity, natural_gas={"energy": "1.30 $/therm"})  # fmt: skip
    found = turn(lower_study(case, GREENSBORO), *case.options, "electricity")
    assert found.today_per_j * 3.6e6 == pytest.approx(today)


def test_an_option_that_leaves_the_house_cold_wins_no_price() -> None:
    case = read_study("lantern_cottage")
    names = {name for one in breakeven_prices(case, load_weather(case)) for name in (one.first, one.second)}
    assert "Electric 7.2 kW" not in names
    assert "Electric 9 kW" in names


def test_a_price_that_both_pay_is_told_where_it_turns_the_answer() -> None:
    data = demo()
    data["prices"] = {"electricity": {"energy": "0.20 $/kWh"}, "propane": {"energy": "2.60 $/gal"}}
    electric = {"kind": "electric", "output": "9 kW", "efficiency": "100 %"}
    half = {"kind": "electric", "output": "4 kW", "efficiency": "100 %"}
    unit = {"kind": "gas", "fuel": "propane", "output": "9 kW", "efficiency": "92 %"}
    data["option"] = [{"name": "E", "source": [electric]}, {"name": "P", "source": [half, unit]}]
    case = case_from(data)
    found = next(one for one in breakeven_prices(case, GREENSBORO) if one.price == "electricity")
    common = lower_study(case, GREENSBORO)
    costs = [cost_of(common, option, {"electricity": found.factor}) for option in case.options]
    assert costs[0] == pytest.approx(costs[1], abs=0.01)


def test_of_several_turning_prices_the_nearest_is_told() -> None:
    case = read_study("net_loft")
    weather = load_weather(case)
    found = next(one for one in breakeven_prices(case, weather) if one.price == "propane")
    common = lower_study(case, weather)
    by_name = {option.name: option for option in case.options}

    def gap(factor: float) -> float:
        costs = [cost_of(common, by_name[name], {"propane": factor}) for name in (found.first, found.second)]
        return costs[0] - costs[1]

    # cheap propane favours one, today's the other, and very dear propane, of which the other burns more, the first again
    assert gap(0.5) < 0.0 < gap(1.0)
    assert gap(20.0) < 0.0
    assert found.factor is not None
    assert 0.5 < found.factor < 1.0
    assert found.cheaper_below == found.first


@pytest.mark.parametrize(
    ("gap", "most"),
    [
        (lambda x: 3.0 * x - 4.0, 1),  # a plain price: a line
        (lambda x: x**3 - 2.0, 5),
        (lambda x: np.log(x) - 0.2, 5),
        (lambda x: max(x - 1.3, 5.0 * (x - 1.3)), 20),  # a bend at the root, as of a minimum bill
        (lambda x: -1.0 if x < 1.237 else 2.0, 20),  # a jump, as where a rule changes its order
        (lambda x: 1e9 * (1.9 - x) - 1e-9, 2),
    ],
)  # fmt: skip
def test_the_root_is_that_of_scipy(gap: Any, most: int) -> None:
    rounds: list[int] = []

    def told(x: np.ndarray) -> np.ndarray:
        rounds.append(len(x))
        return np.array([gap(one) for one in x.tolist()])

    ends = np.array([1.0, 2.1])
    span = _Span(("one", "other", 0), ends, told(ends))
    while len(points := span.points()):
        span.narrow(points, told(points))
    found = span.root()
    assert found == pytest.approx(brentq(gap, 1.0, 2.1, xtol=1e-13, rtol=1e-13), rel=3e-12)
    assert len(rounds) - 1 <= most


@pytest.mark.parametrize("further", [{}, {"solar_electric": {"peak_power": "5 kW", "export": "0.03 $/kWh"}}])
def test_prices_that_give_one_order_share_a_year_that_costs_what_each_would_alone(
    further: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    from costsim.analysis import price_costs

    data = demo()
    data |= further
    data["prices"] = {
        "electricity": {
            "energy": "0.10 $/kWh",
            "period": [{"name": "night", "energy": "0.06 $/kWh", "windows": ["22:00-06:00"]}],
        },
        "natural_gas": {"energy": "2.20 $/therm", "fixed": "12 $/month"},
    }
    gas = {"kind": "gas", "output": "9 kW", "efficiency": "90 %"}
    data["option"] = [{"name": "both", "rule": "cheapest_now", "source": [{"kind": "electric", "output": "9 kW"}, gas]}]
    case = case_from(data)
    common, run, orders = lower_study(case, GREENSBORO), price_costs.run_plant, []

    def counted(study: Any, plant: Any) -> Any:
        orders.append(plant.order.tobytes())
        return run(study, plant)

    monkeypatch.setattr(price_costs, "run_plant", counted)
    factors = {
        "electricity": np.array([0.2, 0.5, 0.8, 1.0, 1.3, 3.0]),
        "natural_gas": np.array([1.0, 1.0, 1.1, 1.0, 0.9, 1.0]),
    }
    costs = price_costs.OptionCosts(common, case.options[0]).at(factors)[0]
    alone = [cost_of(common, case.options[0], {key: float(own[i]) for key, own in factors.items()}) for i in range(6)]
    assert costs == pytest.approx(alone, rel=1e-9)
    # with own generation each price may have an order of its own, and none is run twice
    assert 1 < len(orders) == len(set(orders)) <= (6 if further else 5)


def test_over_the_years_a_price_turns_where_both_life_cycles_are_equal_by_hand() -> None:
    case = two(
        {"kind": "electric", "output": "20 kW"},
        {"kind": "gas", "output": "20 kW", "efficiency": "90 %", "cycling_degradation": 0.0},
        electricity={"energy": "0.10 $/kWh"},
        natural_gas={"energy": "1.20 $/therm", "fixed": "15 $/month"},
    )
    data = {
        **case.typed,
        "economics": {"discount_rate": "3 %/year", "study_period": 20, "escalation": {"natural_gas": "2 %/year"}},
    }
    data["option"][0] |= {"first_cost": "2000 $"}
    data["option"][1] |= {"first_cost": "9000 $", "maintenance": "120 $/year"}
    case = case_from(data)
    found = {one.price: one for one in breakeven_prices(case, GREENSBORO)}
    common = lower_study(case, GREENSBORO)
    bought = {o.name: cost_of(common, o, {}) for o in case.options}
    flat = sum(1.03**-t for t in range(1, 21))
    rising = sum((1.02 / 1.03) ** t for t in range(1, 21))
    other = 9000 + 120 * flat + 180 * flat + (bought["B"] - 180) * rising
    factor = (other - 2000) / (bought["A"] * flat)
    assert found["electricity"].over_years.factor == pytest.approx(factor, rel=1e-9)
    assert found["electricity"].over_years.cheaper_below == "A"
    factor = (2000 + bought["A"] * flat - 9000 - 300 * flat) / ((bought["B"] - 180) * rising)
    gas = found["natural_gas"].over_years
    assert gas.factor == pytest.approx(factor, rel=1e-9) if factor > 0.05 else gas.factor is None


def test_orders_between_two_alike_are_not_asked_for() -> None:
    asked: list[float] = []

    def run(value: float) -> bytes:
        asked.append(value)
        return b"below" if value < 1.7 else b"above"

    known = _Orders()
    values = np.linspace(1.0, 2.0, 101)
    assert known.names(values, run) == [b"below" if value < 1.7 else b"above" for value in values.tolist()]
    assert len(asked) <= 10
    assert known.names(np.array([1.95, 1.0, 1.31]), run) == [b"above", b"below", b"below"]
    assert len(asked) <= 10
    assert known.names(np.array([0.5]), run) == [b"below"]
    assert asked[-1] == 0.5


@pytest.mark.parametrize("further", [{}, {"solar_electric": {"peak_power": "5 kW", "export": "0.03 $/kWh"}}])
def test_options_billed_at_once_cost_what_each_does_simulated_and_billed_alone(further: dict[str, Any]) -> None:
    data = demo() | further | {"economics": {"study_period": 5, "escalation": {"electricity": "3 %/year"}}}
    gas = {"kind": "gas", "output": "9 kW", "efficiency": "90 %"}
    data["prices"] = {
        "electricity": {"block": [{"up_to": "400 kWh/month", "energy": "0.09 $/kWh"}, {"energy": "0.16 $/kWh"}]},
        "natural_gas": {"energy": "2.20 $/therm", "fixed": "12 $/month"},
    }
    electric = {"kind": "electric", "output": "12 kW"}
    data["option"] = [
        {"name": "electric", "first_cost": "900 $", "source": [electric]},
        {"name": "gas", "source": [gas]},
        {"name": "both", "first_cost": "5000 $", "source": [gas, electric]},
    ]
    common = lower_study(case_from(data), GREENSBORO)
    options, one, other = common.case.options, np.array([0.4, 1.0, 1.0, 2.5]), np.array([1.7, 0.6])
    asked = [{"electricity": one}, {"natural_gas": other}, {"electricity": one, "natural_gas": one[::-1].copy()}]
    together = costs_together([(OptionCosts(common, o), factors) for o, factors in zip(options, asked, strict=True)])
    for option, factors, (year, life) in zip(options, asked, together, strict=True):
        for at, cost in enumerate(year):
            typed = {key: float(values[at]) for key, values in factors.items()}
            assert cost == pytest.approx(cost_of(common, option, typed), rel=1e-9)
        alone = OptionCosts(common, option).at(factors)[1]
        assert (life is None) == (alone is None) == (not option.first_cost_given)
        assert life is None or life == pytest.approx(alone, rel=1e-12)
