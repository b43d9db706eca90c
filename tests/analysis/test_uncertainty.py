"""Scenarios against closed forms, and what must hold of every draw."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, demo, sample_weather

from costsim import load_weather, read_study, simulate
from costsim.analysis import uncertainty as asked
from costsim.analysis.breakeven import costs_today, warm_options
from costsim.analysis.scenarios import draw, shift_for_share, simulate_scenarios
from costsim.analysis.uncertainty import relative_weights, share_cheaper, shares, uncertainty, winters
from costsim.engine import block
from costsim.engine import layout as k
from costsim.engine.batch import price_batch, run_batch
from costsim.engine.lower import lower_option, lower_study
from costsim.errors import InputError
from costsim.study.case import Case, case_from

GREENSBORO, WORTH = sample_weather(), block.WORTH
ELECTRIC = {"kind": "electric", "output": "40 kW"}
GAS = {"kind": "gas", "output": "40 kW", "efficiency": "90 %", "cycling_degradation": 0.0}
STILL = {
    "load": "0 %",
    "setpoint_spread": "0 K",
    "winter": "0 %",
    "efficiency": "0 %",
    "price": {"electricity": "0 %", "natural_gas": "0 %"},
}


@pytest.fixture(autouse=True)
def in_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Thousands of years are run side by side, as everybody's are."""
    monkeypatch.setattr(block, "WORTH", WORTH)
    monkeypatch.setattr(block, "PATIENCE_S", 600.0)


def two(first: dict[str, Any] = ELECTRIC, second: dict[str, Any] = GAS, **settings: Any) -> Case:
    data = demo()
    data["house"].pop("other_electricity")
    prices = {"electricity": {"energy": "0.05 $/kWh"}, "natural_gas": {"energy": "1.30 $/therm"}}
    kinds = {first["kind"], second["kind"]}
    data["prices"] = {key: table for key, table in prices.items() if key == "electricity" or "gas" in kinds}
    data["option"] = [{"name": "A", "source": [first]}, {"name": "B", "source": [second]}]
    still = {**STILL, "price": {key: "0 %" for key in data["prices"]}}
    data["uncertainty"] = {**still, "scenarios": 4000, **settings}
    return case_from(data)


@pytest.mark.parametrize("name", ["lantern_cottage", "net_loft"])
def test_a_draw_without_doubt_is_the_simulation_itself(name: str) -> None:
    case = read_study(name)
    weather = load_weather(case)
    common, result = lower_study(case, weather), simulate(case, weather)
    for option, known in zip(case.options, result.options, strict=True):
        plant = lower_option(common, option)
        many = run_batch(
            common,
            plant,
            loss_w_k=np.full(2, common.loss_w_k),
            shift_k=np.zeros(2),
            efficiency=np.ones((2, len(plant.offers))),
        )
        assert price_batch(common, many, {}) == pytest.approx(known.cost_total, rel=1e-9)
        assert many.sums[:, k.SUM_SHORT] == pytest.approx(known.unmet.energy_j, rel=1e-9, abs=1.0)
        assert (many.sums[:, k.SHORT_HOURS] == known.unmet.hours).all()
        assert many.sums[:, k.SUM_DEMAND] == pytest.approx(known.demand_j, rel=1e-9)


def test_one_year_out_of_many_scenarios_is_the_study_with_that_load() -> None:
    case = two()
    common = lower_study(case, GREENSBORO)
    plant = lower_option(common, case.options[1])
    many = run_batch(
        common, plant, loss_w_k=np.array([1.3 * common.loss_w_k]), shift_k=np.zeros(1), efficiency=np.ones((1, 1))
    )
    data = case.typed | {"house": {**case.typed["house"], "design_heat_loss": f"{1.3 * 7.6!r} kW"}}
    assert price_batch(common, many, {})[0] == pytest.approx(
        simulate(case_from(data), GREENSBORO).options[1].cost_total, rel=1e-9
    )


@pytest.fixture(scope="module")
def only_electricity_moves() -> Any:
    """A study of which nothing but the price of electricity is uncertain, and what comes of 20,000 scenarios."""
    case = two(price={"electricity": "20 %", "natural_gas": "0 %"}, scenarios=20_000)
    return case, uncertainty(case, GREENSBORO)


def test_mean_and_spread_of_a_linear_case_in_closed_form(only_electricity_moves: Any) -> None:
    # a lognormal factor has mean exp(σ²/2) and variance (exp(σ²) − 1) exp(σ²)
    case, found = only_electricity_moves
    today = simulate(case, GREENSBORO).options[0].cost_total
    cost = next(o for o in found.options if o.name == "A").cost
    assert cost.mean() == pytest.approx(today * np.exp(0.02), rel=0.006)
    assert cost.std() == pytest.approx(today * np.sqrt((np.exp(0.04) - 1) * np.exp(0.04)), rel=0.03)
    assert np.median(cost) == pytest.approx(today, rel=0.006)


def test_probability_in_closed_form(only_electricity_moves: Any) -> None:
    # A wins when its price factor is below the break-even factor: a normal probability
    from scipy.stats import norm

    from costsim.analysis.breakeven import turn

    case, found = only_electricity_moves
    common = lower_study(case, GREENSBORO)
    at = turn(common, *case.options, "electricity").factor
    share = found.first_is_cheaper if found.pair[0] == "A" else 1 - found.first_is_cheaper
    assert share == pytest.approx(norm.cdf(np.log(at) / 0.2), abs=0.012)


def test_two_like_options_are_even() -> None:
    found = uncertainty(two(ELECTRIC, ELECTRIC, load="20 %", price={"electricity": "20 %"}), GREENSBORO)
    assert found.first_is_cheaper == 0.5
    assert found.gap_band == (0.0, 0.0, 0.0)


def test_odds_are_those_of_the_first_two_options_whatever_else_there_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cheaper in one of two scenarios, and as dear in the other: three in four."""
    case = two()
    third = case_from({**case.typed, "option": [*case.typed["option"], {"name": "C", "source": [ELECTRIC]}]})
    costs = {"A": np.array([1.0, 2.0]), "B": np.array([2.0, 2.0])}
    monkeypatch.setattr(asked, "lower_years", lambda narrow, weather, winters: [narrow])
    monkeypatch.setattr(asked, "draw", lambda narrow, *years: SimpleNamespace(prices={}))
    monkeypatch.setattr(asked, "simulate_scenarios", lambda years, drawn: [one.name for one in years[0].options])
    monkeypatch.setattr(asked, "price_batch", lambda common, many, prices: costs[many])
    assert asked.odds(third, GREENSBORO) == asked.odds(case, GREENSBORO) == 0.75


def test_shared_scenarios_make_the_difference_narrower() -> None:
    case = two(load="20 %", setpoint_spread="1 K", winter="6 %")
    common = lower_study(case, GREENSBORO)
    scenarios = draw(case, common)
    first, second = (price_batch(common, many, scenarios.prices) for many in simulate_scenarios([common], scenarios))
    alone = np.random.default_rng(3).permutation(second)
    assert (first - second).std() < 0.3 * (first - alone).std()


def test_same_seed_same_answer_on_any_number_of_threads() -> None:
    case = two(load="20 %", scenarios=300)
    common = lower_study(case, GREENSBORO)
    scenarios, plant = draw(case, common), lower_option(common, case.options[1])
    settings = {
        "loss_w_k": common.loss_w_k * scenarios.load,
        "shift_k": scenarios.setpoint_spread_k,
        "efficiency": scenarios.efficiency["efficiency of burners"][:, None],
    }
    one, many = (run_batch(common, plant, threads=n, **settings) for n in (1, 3))
    assert np.array_equal(one.energy_j, many.energy_j)
    a, b = uncertainty(case, GREENSBORO), uncertainty(case, GREENSBORO)
    assert np.array_equal(a.options[0].cost, b.options[0].cost)
    other = case.model_copy(update={"uncertainty": case.uncertainty.model_copy(update={"seed": 2})})
    assert not np.array_equal(uncertainty(other, GREENSBORO).options[0].cost, a.options[0].cost)


def test_fuel_prices_move_together_as_told() -> None:
    case = two(price={"electricity": "20 %", "natural_gas": "20 %"}, price_correlation=0.6, scenarios=20_000)
    prices = draw(case, lower_study(case, GREENSBORO)).prices
    assert np.corrcoef(np.log(prices["electricity"]), np.log(prices["natural_gas"]))[0, 1] == pytest.approx(
        0.6, abs=0.02
    )


def test_a_winter_has_the_degree_days_it_says() -> None:
    case = two(winter="5.5 %")
    common = lower_study(case, GREENSBORO)
    shift = float(shift_for_share(common, np.array([0.05]))[0])
    colder = (
        np.maximum(common.balance_c + shift - GREENSBORO.outdoor_c, 0).sum()
        / np.maximum(common.balance_c - GREENSBORO.outdoor_c, 0).sum()
    )
    assert colder == pytest.approx(1.05, abs=0.001)
    typical, ten, coldest = winters(common)
    assert typical.cost < ten.cost < coldest.cost


def test_the_ranking_names_what_moves() -> None:
    found = uncertainty(two(price={"electricity": "25 %", "natural_gas": "5 %"}), GREENSBORO)
    assert found.sensitivity[0].what == "price of electricity"
    assert found.price_correlation["price of electricity"] > 0.8


def test_prices_alone_need_no_new_simulation() -> None:
    case = two(price={"electricity": "25 %", "natural_gas": "5 %"}, scenarios=500)
    common = lower_study(case, GREENSBORO)
    still = lower_option(common, case.options[0])
    once = run_batch(
        common, still, loss_w_k=np.array([common.loss_w_k]), shift_k=np.zeros(1), efficiency=np.ones((1, 1))
    )
    factors = np.linspace(0.5, 2.0, 7)
    many = replace(
        once,
        sums=np.repeat(once.sums, 7, axis=0),
        energy_j=np.repeat(once.energy_j, 7, axis=0),
        peaks_w=np.empty((7, 0, 12)),
    )
    costs = price_batch(common, many, {"electricity": factors})
    assert costs == pytest.approx(factors * simulate(case, GREENSBORO).options[0].cost_total)


def test_a_constant_winter_has_no_spread_but_of_load() -> None:
    found = uncertainty(two(load="10 %", scenarios=8000), constant_weather(0.0))
    cost = found.options[0].cost
    assert np.log(cost).std() == pytest.approx(0.10, rel=0.03)


def test_ties_count_half() -> None:
    assert share_cheaper(np.array([1.0, 2.0, 3.0]), np.array([2.0, 2.0, 2.0])) == 0.5


def test_demand_charges_are_counted_in_every_draw() -> None:
    case = two(scenarios=200)
    prices = {**case.typed["prices"], "electricity": {"energy": "0.05 $/kWh", "demand": [{"price": "9 $/kW"}]}}
    charged = case_from({**case.typed, "prices": prices})
    known = simulate(charged, GREENSBORO).options[0]
    assert known.cost_total > simulate(case, GREENSBORO).options[0].cost_total + 300
    found = next(one for one in uncertainty(charged, GREENSBORO).options if one.name == "A")
    assert found.cost == pytest.approx(known.cost_total)


def test_a_price_that_another_outweighs_has_its_share() -> None:
    """Worked by hand: two prices that move together by 0.6 and a gap of 5 times the one less 3 times the other, which is all it hangs on.

    The other's correlation with the gap is 0, for 5 * 0.6 - 3 = 0. The gap's variance is 25 - 18 + 9 = 16, the first's correlation with it
    (5 - 1.8) / 4 = 0.8. Root of [[1, 0.6], [0.6, 1]]: (sqrt(1.6) +- sqrt(0.4)) / 2 = a 0.9487, b 0.3162; the gap on the
    nearest two that do not move together: a * 5 / 4 - b * 3 / 4 = 0.9487 and b * 5 / 4 - a * 3 / 4 = -0.3162. Shares: a^2 0.9 + b^2 0.1 = 0.82 and
    b^2 0.9 + a^2 0.1 = 0.18: together all of it. Of two things this is the mean over both orders, too: (0.64 + 1.0) / 2 and (0 + 0.36) / 2.
    """
    found = relative_weights(np.array([[1.0, 0.6], [0.6, 1.0]]), np.array([0.8, 0.0]))
    assert found == pytest.approx([0.82, 0.18])
    assert found == pytest.approx([(0.64 + 1.0) / 2.0, (0.0 + 0.36) / 2.0])
    # two that move as one share alike
    assert relative_weights(np.ones((2, 2)), np.array([0.8, 0.8])) == pytest.approx([0.32, 0.32])
    rng = np.random.default_rng(1)
    gas, oil = rng.multivariate_normal([0.0, 0.0], [[1.0, 0.6], [0.6, 1.0]], 40_000).T
    case = read_study("lantern_cottage")
    scenarios = replace(
        draw(case, lower_study(case, load_weather(case))), prices={"gas": gas, "oil": oil}, efficiency={}
    )
    still = np.ones(len(gas))
    scenarios = replace(scenarios, load=still, setpoint_spread_k=still, winter=still, curtailment=still)
    told = shares(scenarios, 5.0 * gas - 3.0 * oil)
    # ranks of normal draws correlate by 6/pi asin(r/2), 0.786 for 0.8 and 0.582 for 0.6: a 0.9521, b 0.3056, on the nearest two 0.9204 and -0.2954
    assert told["price of gas"] == pytest.approx(0.9521**2 * 0.9204**2 + 0.3056**2 * 0.2954**2, abs=0.015)
    assert told["price of oil"] == pytest.approx(0.3056**2 * 0.9204**2 + 0.9521**2 * 0.2954**2, abs=0.015)
    assert told["design load"] == 0.0


def test_ties_share_their_rank_as_in_scipy() -> None:
    from scipy.stats import spearmanr

    case = read_study("lantern_cottage")
    scenarios = draw(case, lower_study(case, load_weather(case)))
    steps = np.repeat([0.75, 1.0, 1.25, 1.0], len(scenarios.load) // 4)
    gap = 300.0 * steps + np.where(np.arange(len(steps)) % 3 == 0, 0.0, 20.0)
    tied = replace(scenarios, curtailment=steps)
    assert shares(tied, gap)["curtailment hours"] == pytest.approx(spearmanr(steps, gap).statistic ** 2, abs=1e-12)


@pytest.mark.parametrize("spread", ["28 %", "50 %"])
def test_a_very_uncertain_winter_runs_with_a_heat_pump(spread: str) -> None:
    data = demo()
    data["option"] = [
        {"name": "pump", "source": [{"kind": "heat_pump", "outdoor": ["-15 degC", "7 degC"], "outputs": ["8 kW", "12 kW"]}]},
        {"name": "electric", "source": [{"kind": "electric", "output": "9 kW"}]},
    ]  # fmt: skip
    data["prices"] = {"electricity": data["prices"]["electricity"]}
    data["uncertainty"] = {"winter": spread, "scenarios": 400}
    case = case_from(data)
    found = uncertainty(case, load_weather(case))
    assert all(np.isfinite(one.cost).all() and (one.cost > 0).all() for one in found.options)


def test_a_heat_pumps_efficiency_alone_moves_its_bill_as_its_inverse() -> None:
    case = two(
        {"kind": "heat_pump", "outdoor": ["-20 degC", "7 degC"], "outputs": ["40 kW", "40 kW"]}, GAS, scenarios=400
    )
    common = lower_study(case, GREENSBORO)
    scenarios = draw(case, common)
    name = next(name for name in scenarios.efficiency if "heat pump" in name)
    factor = scenarios.efficiency[name]
    assert 0.02 < factor.std() < 0.3
    found = uncertainty(case, GREENSBORO)
    first, second = (one.cost for one in found.options)
    assert np.ptp(second) == 0.0  # neither its load, its winter nor its prices are in doubt
    season = simulate(case, GREENSBORO).options[0]
    own = season.sources[0]
    paid = own.input_j * case.prices["electricity"].base_per_j("electricity")
    rest = season.cost_total - paid
    assert paid > 100
    assert first == pytest.approx(rest + paid / factor, rel=2e-3)
    assert found.sensitivity[0].what == name


@pytest.mark.parametrize("most", [0, 7, 8784])
def test_a_typed_number_of_hours_allowed_cold_decides_who_keeps_warm(most: int) -> None:
    data = demo()
    data["house"]["max_unmet_hours"] = most
    case = case_from(data)
    result = simulate(case, load_weather(case))
    assert {option.keeps_warm for option in result.options} == {option.unmet.hours <= most for option in result.options}
    for option in result.options:
        assert option.max_unmet_hours == most
        assert option.keeps_warm == (option.unmet.hours <= most)
    told = next(one for one in result.assumptions if one.key == "house.max_unmet_hours")
    assert told.source == "typed in the study"
    assert told.value.startswith(f"{most} h a year")
    common = lower_study(case, load_weather(case))
    warm = warm_options(common, costs_today(common))
    able = [option.name for option in result.options if option.unmet.hours <= most]
    assert [option.name for option in warm] == (able if len(able) > 1 else [option.name for option in case.options])


@pytest.mark.parametrize("typed", [-1, 8785, "many", 2.5])
def test_hours_allowed_cold_that_no_year_has_are_told(typed: object) -> None:
    data = demo()
    data["house"]["max_unmet_hours"] = typed
    with pytest.raises(InputError, match=r"house\.max_unmet_hours"):
        case_from(data)
