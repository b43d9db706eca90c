"""The money of a decision against formulas worked by hand, and against the life-cycle cost where nothing is uncertain."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from cases import demo, sample_weather, study

from costsim import load_weather, simulate
from costsim.analysis.cash_flow import incentives_of, payments_of, price_factor, replacements, salvage_of, upkeep_of
from costsim.analysis.decision import SWINGS, _verdicts, decide, price_paths
from costsim.analysis.lifecycle import life_cycle, single_present_value
from costsim.analysis.scenarios import draw, lower_years
from costsim.cli.main import main
from costsim.errors import InputError
from costsim.study.case import Case, Option, case_from, write_study
from costsim.study.financing import Loan, Part
from costsim.views.cards import cards
from costsim.views.decision_rows import waiting_lines
from costsim.views.text_decision import verdict_rows

ELECTRIC = [{"kind": "electric", "output": "9 kW"}]
SURE = {"load": "0 %", "setpoint_spread": "0 K", "winter": "0 %", "efficiency": "0 %", "scenarios": 100}


def option(**more: Any) -> Option:
    return Option.model_validate({"name": "a", "first_cost": "10000 $", "source": ELECTRIC, **more})


def money_study(economics: dict[str, Any], gas: dict[str, Any], **uncertainty: Any) -> Case:
    data = demo()
    data["economics"], data["uncertainty"] = economics, {"scenarios": 500, **uncertainty}
    data["option"][2] |= gas
    return case_from(data)


def test_incentives_stack_in_their_order() -> None:
    # 30 % of 10,000 is capped at 2,000; a tenth of the 7,500 that it and 500 leave is 750
    paid, lost = incentives_of(
        option(incentive=[
            {"name": "state", "share": "30 %", "cap": "2000 $"},
            {"name": "utility", "amount": "500 $", "year": 1},
            {"name": "federal", "share": "10 %", "after_others": True},
        ]), None,
    )  # fmt: skip
    assert [amount for _, amount in paid] == pytest.approx([2000, 500, 750])
    assert lost == 0
    # of a credit of 3,000 only the 1,200 that are owed can be taken off
    paid, lost = incentives_of(option(incentive=[{"share": "30 %", "refundable": False}]), 1200.0)
    assert (paid[0][1], lost) == (1200.0, 1800.0)
    # no incentive pays more than the cost
    assert incentives_of(option(incentive=[{"amount": "20000 $"}]), None)[0][0][1] == 10000.0


def test_a_loan_is_an_annuity(published) -> None:
    rows = published("economics")
    for years, key in ((10, "loan_6_10"), (15, "loan_6_15"), (30, "loan_6_30")):
        loan = Loan.model_validate({"amount": "1000 $", "interest": "6 %/year", "years": years})
        rows[key].check(loan.monthly_payment())
        # its payments are worth the loan at its own interest
        worth = sum(loan.monthly_payment() / 1.005**month for month in range(1, 12 * years + 1))
        assert worth == pytest.approx(1000.0)
    assert Loan.model_validate({"amount": "1200 $", "interest": "0 %/year", "years": 10}).monthly_payment() == 10.0


def test_parts_are_replaced_and_leave_salvage() -> None:
    part = Part.model_validate({"cost": "900 $", "life": 8, "maintenance": "30 $/year"})
    assert replacements(part, 20) == [8, 16]
    assert salvage_of(part, 20) == pytest.approx(900 * 4 / 8)
    assert replacements(part, 16) == [8]
    assert salvage_of(part, 16) == 0.0
    assert salvage_of(Part.model_validate({"cost": "900 $", "life": 25}), 20) == pytest.approx(180.0)
    case = money_study({"study_period": 20}, {"part": [{"cost": "900 $", "life": 8, "maintenance": "30 $/year"}]})
    paid = payments_of(case, case.options[2], 0.0)
    assert (paid.yearly[7], paid.yearly[19], paid.yearly[3]) == (900.0, pytest.approx(-450.0), 0.0)
    assert upkeep_of(case.options[2]) == 90.0 + 30.0  # its own and the part's


def test_every_payment_stands_in_the_life_cycle_cost() -> None:
    gas = {
        "incentive": [{"share": "10 %"}, {"amount": "400 $", "year": 2}],
        "loan": {"amount": "3000 $", "interest": "6 %/year", "years": 5},
        "part": [{"cost": "1800 $", "life": 15}],
        "salvage": "250 $",
    }
    economics = {
        "study_period": 20, "carbon_price": "50 $/tonne", "carbon_price_rise": "2 %/year", "inflation": "2.5 %/year",
        "price_path": {"natural_gas": ["100 %", "110 %", "130 %"]},
    }  # fmt: skip
    case = money_study(economics, gas)
    plain = case_from(demo())
    weather = load_weather(case)
    result = simulate(case, weather)
    costs = [life_cycle(one, result)[0][2] for one in (plain, case)]
    now = result.option("Natural gas")
    bill = now.bills["natural_gas"]
    rise = [0.0, 0.10, *([0.30] * 18)]
    more = [(bill.total - bill.fixed) * one for one in rise]
    monthly = 3000 * 0.005 / (1 - 1.005**-60)
    for year in range(1, 21):
        more[year - 1] += 0.050 * now.co2_kg * 1.02**year
        more[year - 1] += 12 * monthly / 1.025**year if year <= 5 else 0.0
    more[1] -= 400.0
    more[14] += 1800.0
    more[19] -= 250.0 + 1800.0 * 10 / 15
    present = sum(one * single_present_value(rate=0.03, year=year) for year, one in enumerate(more, 1))
    assert costs[1].present_cost - costs[0].present_cost == pytest.approx(present - 520.0 - 3000.0)
    assert costs[1].first == pytest.approx(5200 - 520 - 3000)


def test_a_path_that_rises_steadily_is_an_escalation() -> None:
    steady = money_study({"escalation": {"natural_gas": "2 %/year"}}, {}).economics
    path = money_study({"price_path": {"natural_gas": [f"{100 * 1.02**y:.10f} %" for y in range(1, 21)]}}, {}).economics
    for year in (1, 7, 20):
        assert price_factor(path, "natural_gas", year) == pytest.approx(price_factor(steady, "natural_gas", year))
    assert price_factor(path, "natural_gas", 33) == price_factor(path, "natural_gas", 20)


@pytest.mark.parametrize("read_day", [1, 12])
def test_without_uncertainty_every_draw_is_the_life_cycle_cost(read_day: int) -> None:
    data = demo()
    data["uncertainty"] = {**SURE, "price": dict.fromkeys(data["prices"], "0 %")}
    data["economics"] = {
        "price_volatility": dict.fromkeys(data["prices"], "0 %"), "escalation": {"natural_gas": "2 %/year"}, "carbon_price": "40 $/tonne",
    }  # fmt: skip
    data["option"][2]["loan"] = {"amount": "2000 $", "interest": "5 %/year", "years": 8}
    data["prices"]["natural_gas"]["read_day"] = read_day
    data["prices"]["natural_gas"]["charge"] = [{"kind": "standing", "amount": "0.1 $/day"}]
    case = case_from(data)
    weather = load_weather(case)
    outlays, _ = life_cycle(case, simulate(case, weather))
    found = decide(case, weather, outlays)
    for one, outlay in zip(found.options, outlays, strict=True):
        assert one.life_cycle == pytest.approx(np.full(100, outlay.present_cost), rel=1e-6)
    table = {verdict.question: verdict for verdict in found.verdicts}
    best = min(
        (one for one in outlays if one.unmet_hours <= case.house.max_unmet_hours), key=lambda one: one.present_cost
    )
    assert table["cheapest over 20 years"].option == best.option
    warm = [one for one in outlays if one.unmet_hours <= case.house.max_unmet_hours]
    by_cost = [one.option for one in sorted(warm, key=lambda one: one.present_cost)]
    assert len(by_cost) > 2
    assert list(found.pair) == by_cost[:2]
    assert table["cheapest over 20 years"].probability == 1.0
    # waiting: a year more of the first option's running cost, then the other's first cost and running cost; all its loan a year later
    rate = 0.05 / 12
    loan = [0.0, *(12 * 2000 * rate / (1 - (1 + rate) ** -96) / 1.02**year for year in range(1, 9)), *[0.0] * 12]
    for name, cost in found.waiting:
        other = next(one for one in outlays if one.option == name)
        owed = loan if name == case.options[2].name else [0.0] * 21
        late = outlays[0].yearly[0] / 1.03 + other.first / 1.03 + sum(
            (paid - owed[year] + owed[year - 1]) / 1.03**year for year, paid in enumerate(other.yearly, 1) if year > 1
        )  # fmt: skip
        assert cost == pytest.approx(late - other.present_cost)


@pytest.mark.long
def test_upkeep_of_a_part_is_a_cost_of_running(tmp_path, capsys) -> None:
    """Two options alike but for a part's upkeep of 240 a year: 20 a month more to run, in every scenario."""
    data = dict(study({"kind": "electric", "output": "9 kW"}).typed)
    part = {"cost": "3000 $", "life": 20, "maintenance": "240 $/year"}
    loan = {"amount": "1000 $", "interest": "6 %/year", "years": 10}
    a, b = ({**data["option"][0], "name": name} for name in "AB")
    data |= {
        "option": [a | {"today": True}, b | {"first_cost": "3000 $", "loan": loan, "part": [part]}],
        "uncertainty": {"scenarios": 100},
    }
    (tmp_path / "s.toml").write_text(write_study(data), encoding="utf-8")
    assert main(["lifecycle", str(tmp_path / "s.toml")]) == 0
    assert "B costs $20.00 a month more to run than A" in capsys.readouterr().out
    case = case_from(data)
    outlays, _ = life_cycle(case, simulate(case, sample_weather()))
    found = decide(case, sample_weather(), outlays)
    assert found.options[1].to_run - found.options[0].to_run == pytest.approx(np.full(100, 240.0))
    cheap = next(one for one in found.verdicts if one.question == "cheapest to run")
    assert (cheap.option, cheap.probability) == ("A", 1.0)


def test_waiting_in_the_cold_saves_nothing() -> None:
    """Today's 2 kW leave the house cold: nothing is said of a year more with them."""
    data = demo()
    data["option"][0] |= {"today": True, "source": [{"kind": "electric", "output": "2 kW"}]}
    data["uncertainty"] = {"scenarios": 100}
    case = case_from(data)
    weather = load_weather(case)
    found = decide(case, weather, life_cycle(case, simulate(case, weather))[0])
    assert found.waiting == ()
    assert waiting_lines(case, found) == []


def test_price_paths_revert_to_their_level_with_the_volatility_typed() -> None:
    data = demo()
    data["uncertainty"] = {"scenarios": 20_000, "price": dict.fromkeys(data["prices"], "0 %"), "price_correlation": 0.5}
    data["economics"] = {"study_period": 40, "price_volatility": {"natural_gas": "10 %", "electricity": "10 %"}}
    case = case_from(data)
    years = lower_years(case, load_weather(case))
    paths = price_paths(case, draw(case, *years))
    logs = np.log(paths["natural_gas"])
    keep = 1.0 - SWINGS["natural_gas"].reversion
    assert logs[:, 0].std() == pytest.approx(0.10, rel=0.03)
    assert logs[:, -1].std() == pytest.approx(0.10 / np.sqrt(1 - keep**2), rel=0.03)
    assert np.corrcoef(logs[:, 0], logs[:, 1])[0, 1] == pytest.approx(keep / np.sqrt(1 + keep**2), abs=0.03)
    assert np.corrcoef(logs[:, 0], np.log(paths["electricity"])[:, 0])[0, 1] == pytest.approx(0.5, abs=0.03)


JANUARY = {
    "electricity": (7.17, 7.41, 7.70, 7.73, 7.74, 7.85, 7.75, 7.87, 7.87, 7.58, 7.66, 7.73, 8.07, 8.00, 8.24, 8.52, 9.55, 10.06, 10.14, 10.98,
                    10.49, 10.87, 11.41, 11.46, 11.65, 12.10, 11.99, 12.21, 12.22, 12.47, 12.76, 12.69, 13.72),
    "natural_gas": (5.43, 5.54, 5.53, 5.73, 5.93, 5.85, 5.64, 6.74, 6.41, 6.00, 6.37, 10.12, 7.38, 8.18, 9.71, 10.90, 14.92, 12.17, 12.24, 12.49,
                    10.56, 9.90, 9.62, 9.15, 9.26, 9.50, 8.28, 9.32, 8.90, 9.36, 9.43, 9.68, 12.04),
}  # fmt: skip
"""US residential prices of January 1990 to 2022, cents/kWh and $/1,000 ft³: EIA, Monthly Energy Review, tables 9.8 and 9.10 (public)."""


@pytest.mark.parametrize("fuel", JANUARY)
def test_prices_move_as_published_prices_did(fuel: str, published) -> None:
    rows, log = published("economics"), np.log(JANUARY[fuel])
    year = np.arange(len(log))
    away = log - np.polyval(np.polyfit(year, log, 1), year)
    keep = float((away[1:] * away[:-1]).sum() / (away[:-1] ** 2).sum())
    shock = float((away[1:] - keep * away[:-1]).std(ddof=1))
    # the rows are the arithmetic of these series, and the program's figures are the rows'
    for found in (shock, SWINGS[fuel].volatility):
        rows[f"price_shock_{fuel}"].check(found)
    for found in (1.0 - keep, SWINGS[fuel].reversion):
        rows[f"price_way_back_{fuel}"].check(found)


def test_the_command_names_verdicts_payments_and_the_cost_of_waiting(tmp_path, capsys) -> None:
    data = demo()
    data["uncertainty"] = {"scenarios": 200}
    data["option"][2] |= {
        "loan": {"amount": "4000 $", "interest": "6 %/year", "years": 10},
        "incentive": [{"name": "tax credit", "share": "10 %", "refundable": False, "expires": True}],
    }
    (tmp_path / "s.toml").write_text(write_study(data), encoding="utf-8")
    assert main(["lifecycle", str(tmp_path / "s.toml")]) == 0
    text = capsys.readouterr().out
    for part in (
        "cheapest to buy",
        "cheapest over 20 years",
        "never cold",
        "a year longer, then Natural gas: ",
        "$44.41 a month",
        "a year moves it by 13.6% (standard deviation), and 26% of its distance",
        "EIA Monthly Energy",
    ):
        assert part in text
    assert "tax credit pays $520 with the first cost" in text
    assert "enough tax is taken to be owed" in text
    del data["option"][0]["first_cost"]
    (tmp_path / "s.toml").write_text(write_study(data), encoding="utf-8")
    assert main(["lifecycle", str(tmp_path / "s.toml")]) == 0
    text = capsys.readouterr().out
    assert text.count(f"(no first cost given for {data['option'][0]['name']})") == 2
    assert "not known: enter a first cost" not in text


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"incentive": [{"name": "x"}]}, "an incentive has a share or an amount"),
        ({"loan": {"amount": "9000 $", "interest": "6 %/year", "years": 5}}, "the loan is more than the first cost"),
        ({"loan": {"amount": "900 €", "interest": "6 %/year", "years": 5}}, "option[3].loan.amount: '900 €' is in €"),
    ],
)
def test_what_is_wrong_is_one_line(change: dict[str, Any], line: str) -> None:
    with pytest.raises(InputError) as caught:
        money_study({}, change)
    assert line in str(caught.value)
    with pytest.raises(InputError, match="there is no price table coal"):
        money_study({"price_path": {"coal": ["100 %"]}}, {})


def test_carbon_of_an_unknown_grid_is_no_figure() -> None:
    data = demo()
    data["uncertainty"] = {"scenarios": 100}
    case = case_from(data)
    weather = load_weather(case)
    with pytest.raises(InputError, match=r"economics\.carbon_price: cannot be counted"):
        payments_of(money_study({"carbon_price": "40 $/tonne"}, {}), case.options[2], float("nan"))
    outlays, _ = life_cycle(case, simulate(case, weather))
    found = decide(case, weather, outlays)
    blind = [replace(one, co2_kg=one.co2_kg * np.nan) for one in found.options]
    verdict = next(one for one in _verdicts(case, blind, blind) if one.question == "least carbon")
    assert verdict.option is None


def test_an_option_that_alone_keeps_the_house_warm_wins_nothing() -> None:
    data = demo()
    for option in data["option"][1:]:
        option["source"] = [{"kind": "electric", "output": "1 kW"}]
    used = {"electricity", "natural_gas"}
    data["option"][0]["source"] = [{"kind": "gas", "output": "20 kW", "efficiency": "92 %"}]
    data["prices"] = {key: table for key, table in data["prices"].items() if key in used}
    case = case_from(data)
    weather = load_weather(case)
    result = simulate(case, weather)
    found = decide(case, weather, life_cycle(case, result)[0])
    rows = {row[0]: row[1:] for row in verdict_rows(case, found)[1]}
    name = case.options[0].name
    assert rows["least carbon, of those warm enough"][:2] == [f"{name}, the only one", ""]
    carbon = next(card for card in cards(case, result.lowered, result, None, persona="household", system="us") if card.key == "carbon")  # fmt: skip
    assert carbon.note == f"{name} · the only option warm enough"
