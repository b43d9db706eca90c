"""Money over years at its edges: small figures worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import study

from costsim.analysis import left_out, lifecycle
from costsim.analysis.cash_flow import incentives_of, payments_of, price_factor, replacements, salvage_of
from costsim.analysis.decision import OptionDecision, Verdict, _verdicts, _waiting
from costsim.analysis.left_out import cheaper_cold
from costsim.analysis.lifecycle import (
    AddOn,
    CapitalVerdict,
    Outlay,
    OverYears,
    add_on,
    as_json,
    capital_verdict,
    outlay_of,
    over_years,
    payback_years,
)
from costsim.analysis.uncertainty import Winter, pair_in_question
from costsim.study.case import Case, Option, case_from
from costsim.study.economics import Economics
from costsim.study.financing import Part
from costsim.units.faults import build

ELECTRIC = {"kind": "electric", "output": "9 kW"}
SOURCES: dict[str, Any] = {"source": [ELECTRIC]}


def options(*given: dict[str, Any], **economics: Any) -> Case:
    """A study of options that differ in money alone."""
    data = dict(study(ELECTRIC).typed)
    data["option"] = [{"name": chr(97 + at), **SOURCES, **one} for at, one in enumerate(given)]
    return case_from({**data, "economics": {"discount_rate": "0 %/year", **economics}})


def test_an_investment_that_is_paid_back_to_the_dollar_is_paid_back() -> None:
    assert payback_years(investment=200.0, savings=[100.0] * 5) == 2.0
    assert payback_years(investment=250.0, savings=[100.0] * 5) == 2.5
    assert payback_years(investment=500.0, savings=[100.0] * 5) == 5.0
    assert payback_years(investment=500.5, savings=[100.0] * 5) is None
    assert payback_years(investment=-1.0, savings=[]) == 0.0
    assert payback_years(investment=1.0, savings=[-1.0, 3.0]) == pytest.approx(1 + 2 / 3)
    # paid evenly through the second year, t of it is worth (1 − 1.1^−t) / 0.1 of its 110, today 110 / 1.1 of them
    t = payback_years(investment=100.0 + 45.0, savings=[110.0, 110.0], rate=0.1)
    assert t is not None
    assert 1.0 - 1.1 ** -(t - 1) == pytest.approx(0.1 * 45.0 / (110.0 / 1.1))


def test_a_price_follows_its_path_and_then_stays() -> None:
    economics = build(Economics, {"price_path": {"wood": ["110 %", "120 %"]}, "escalation": {"gas": "2 %/year"}})
    assert [price_factor(economics, "wood", year) for year in (1, 2, 3, 9)] == pytest.approx([1.1, 1.2, 1.2, 1.2])
    assert [price_factor(economics, "gas", year) for year in (1, 3)] == pytest.approx([1.02, 1.02**3])
    assert price_factor(economics, "oil", 7) == 1.0


def test_incentives_take_from_what_is_left_of_cost_and_tax() -> None:
    def paid(tax: float | None, *typed: dict[str, Any], **more: Any) -> tuple[list[float], float]:
        one = Option.model_validate({"name": "a", "first_cost": "1000 $", **SOURCES, **more, "incentive": typed})
        found, lost = incentives_of(one, tax)
        return [amount for _, amount in found], lost

    assert paid(None, {"share": "50 %", "cap": "600 $"}) == ([500.0], 0.0)
    assert paid(None, {"share": "50 %", "cap": "400 $"}) == ([400.0], 0.0)
    # 1,000 less a rebate of 300: a share goes on 1,000, after others on 700; together they pay no more than 700
    assert paid(None, {"share": "50 %"}, {"share": "50 %", "after_others": True}, rebate="300 $") == ([500.0, 100.0], 0)
    assert paid(None, {"share": "100 %"}, rebate="300 $") == ([700.0], 0.0)
    assert paid(None, {"amount": "50 $"}, rebate="1200 $") == ([0.0], 0.0)
    # two credits on 250 of tax: 200, then the 50 left of 100; a refundable one takes none of it
    credit = {"amount": "200 $", "refundable": False}
    assert paid(250.0, credit, {"amount": "10 $"}, credit | {"amount": "100 $"}) == ([200.0, 10.0, 50.0], 50.0)
    assert paid(0.0, credit) == ([0.0], 200.0)


@pytest.mark.parametrize(
    ("life", "years", "when", "worth"),
    [(5, 20, [5, 10, 15], 0.0), (20, 20, [], 0.0), (19, 20, [19], 18 / 19), (30, 20, [], 1 / 3), (1, 3, [1, 2], 0.0)],
)
def test_parts_end_with_the_study_or_leave_what_is_left(life: int, years: int, when: list[int], worth: float) -> None:
    part = build(Part, {"cost": "900 $", "life": life})
    assert replacements(part, years) == when
    assert salvage_of(part, years) == pytest.approx(900.0 * worth)
    assert salvage_of(build(Part, {"cost": "900 $", "life": life, "salvage": False}), years) == 0.0


def test_payments_stand_in_their_years() -> None:
    given = {
        "first_cost": "5000 $",
        "incentive": [
            {"name": "now", "amount": "100 $", "expires": True}, {"name": "now", "amount": "10 $"},
            {"name": "first", "amount": "20 $", "year": 1}, {"name": "last", "amount": "30 $", "year": 3, "expires": True},
            {"name": "late", "amount": "40 $", "year": 4},
        ],
        "loan": {"amount": "1200 $", "interest": "0 %/year", "years": 2},
        "part": [{"cost": "600 $", "life": 2, "maintenance": "7 $/year"}],
        "salvage": "50 $",
    }  # fmt: skip
    economics = {
        "study_period": 3,
        "inflation": "25 %/year",
        "carbon_price": "100 $/tonne",
        "carbon_price_rise": "10 %/year",
    }
    case = options(given, **economics)
    paid = payments_of(case, case.options[0], 1000.0)
    assert paid.first == -110.0 - 1200.0
    assert (paid.monthly, paid.salvage, paid.lost) == (50.0, 300.0 + 50.0, 0.0)
    assert paid.incentives == {"now": 110.0, "first": 20.0, "last": 30.0, "late": 40.0}
    assert paid.invested == (0.0, 600.0, 0.0)
    # a loan's 600 a year are less by inflation; a tonne is 110, 121, 133.1
    assert paid.yearly == pytest.approx((-20 + 600 / 1.25 + 110, 600 + 600 / 1.25**2 + 121, -30 + 133.1 - 350))
    # upkeep of a part is running cost: 7 each year and 20 of bills
    yearly = outlay_of(case, case.options[0], {"electricity": bill(20.0, 0.0)}, 1000.0, 0)
    assert (yearly.running, yearly.yearly[1]) == (27.0, pytest.approx(27 + 600 + 600 / 1.25**2 + 121))
    plain = options({"first_cost": "5000 $"}, study_period=3)
    none = payments_of(plain, plain.options[0], math.nan)  # nobody asks for the carbon where it has no price
    assert (none.first, none.yearly, none.monthly, none.salvage) == (0.0, (0.0, 0.0, 0.0), 0.0, 0.0)
    long = options(
        {"first_cost": "5000 $", "loan": {"amount": "1200 $", "interest": "0 %/year", "years": 9}},
        study_period=3,
        inflation="0 %/year",
    )
    # 1,200 over nine years is 133.33 a year; six years' worth, 800, is still owed when the study ends
    paid = payments_of(long, long.options[0], 0.0)
    assert paid.yearly == pytest.approx((1200 / 9, 1200 / 9, 1200 / 9 + 800))
    assert paid.owed == pytest.approx(800)


def bill(energy: float, fixed: float) -> Any:
    """A bill."""
    return SimpleNamespace(total=energy + fixed, fixed=fixed)


@pytest.mark.parametrize(("year", "paid"), [(0, 0.0), (1, 60.0), (3, 60.0), (4, 0.0)])
def test_a_replacement_counts_within_the_study_period(year: int, paid: float) -> None:
    replaced = {"replacement": "60 $", "replacement_year": year} if year else {}
    case = options(
        {"first_cost": "100 $", "rebate": "10 $", "maintenance": "5 $/year", **replaced},
        study_period=3,
        discount_rate="10 %/year",
    )
    found = outlay_of(case, case.options[0], {"electricity": bill(20.0, 3.0)}, 0.0, 7)
    assert found.yearly == pytest.approx(tuple(28.0 + (paid if at == year else 0.0) for at in (1, 2, 3)))
    assert found.replaced == pytest.approx(paid / 1.1**year)
    assert found.present_cost == pytest.approx(90 + 28 * (1 / 1.1 + 1 / 1.21 + 1 / 1.331) + paid / 1.1**year)
    assert found.position == {3: pytest.approx(90 + 84 + paid)}
    assert (found.first, found.unmet_hours, found.priced) == (90.0, 7, True)


def test_what_is_invested_later_counts_by_its_year(monkeypatch: pytest.MonkeyPatch) -> None:
    paid = SimpleNamespace(first=0.0, yearly=(0.0, 0.0, 0.0), salvage=0.0, invested=(11.0, 0.0, 13.31))
    monkeypatch.setattr(lifecycle, "payments_of", lambda *of: paid)
    case = options({"first_cost": "100 $"}, study_period=3, discount_rate="10 %/year")
    assert outlay_of(case, case.options[0], {}, 0.0, 0).replaced == pytest.approx(11 / 1.1 + 13.31 / 1.1**3)


@pytest.mark.parametrize(
    ("years", "shown"), [(4, [4]), (5, [5]), (12, [5, 10, 12]), (15, [5, 10, 15]), (20, [5, 10, 15, 20])]
)
def test_what_has_been_paid_is_told_after_five_ten_and_fifteen_years(years: int, shown: list[int]) -> None:
    case = options({"first_cost": "100 $"}, study_period=years)
    position = outlay_of(case, case.options[0], {"electricity": bill(9.0, 1.0)}, 0.0, 0).position
    assert position == {year: 100.0 + 10.0 * year for year in shown}


def of_years(
    name: str, first: float, yearly: float, *, replaced: float = 0.0, priced: bool = True, cold: int = 0
) -> Outlay:
    """Four years at no interest."""
    return Outlay(name, first, (yearly,) * 4, first + 4 * yearly, {}, replaced, cold, priced)


def test_ratio_and_return_are_told_of_a_real_investment_alone() -> None:
    case = options({}, study_period=4)
    base = of_years("a", 100.0, 50.0)
    same = add_on(case, base, of_years("b", 100.0, 30.0))
    assert (same.investment, same.net_present_value, same.simple_payback) == (0.0, 80.0, 0.0)
    assert (same.ratio, same.adjusted_internal_return) == (None, None)
    less = add_on(case, base, of_years("b", 60.0, 30.0, replaced=50.0))
    assert (less.investment, less.ratio, less.adjusted_internal_return) == (-40.0, None, None)
    # more at the start, but later parts are cheaper by as much: nothing is invested
    even = add_on(case, of_years("a", 100.0, 50.0, replaced=40.0), of_years("b", 140.0, 30.0))
    assert (even.investment, even.ratio) == (40.0, None)
    lost = add_on(case, base, of_years("b", 120.0, 55.0))
    assert (lost.ratio, lost.adjusted_internal_return, lost.simple_payback) == (-1.0, None, None)
    nothing = add_on(case, base, of_years("b", 120.0, 50.0))
    assert (nothing.ratio, nothing.adjusted_internal_return) == (0.0, None)
    # half comes back: NIST Handbook 135's adjusted return without interest is 0.5 to the power of 1/4, less 1
    poor = add_on(case, base, of_years("b", 140.0, 45.0))
    assert poor.adjusted_internal_return == pytest.approx(0.5**0.25 - 1)
    good = add_on(case, base, of_years("b", 140.0, 10.0))
    assert (good.ratio, good.simple_payback, good.discounted_payback) == (4.0, 1.0, 1.0)
    assert good.adjusted_internal_return == pytest.approx(4.0**0.25 - 1)
    assert good == AddOn("b", "a", 40.0, 120.0, 1.0, 1.0, 4.0, pytest.approx(4.0**0.25 - 1), 4.0)


def ranked(costs: dict[str, float], *unknown: str, given: Any = ()) -> tuple[Case, Any]:
    """A study of these first costs, and results that cost 10 a year."""
    names = [*costs, *unknown]
    case = options(
        *({"name": one} | ({"first_cost": f"{costs[one]} $"} if one in costs else {}) for one in names), study_period=2
    )
    season = SimpleNamespace(bills={"electricity": bill(10.0, 0.0)}, co2_kg=0.0, unmet=SimpleNamespace(hours=0))
    return case, SimpleNamespace(option=lambda name: season)


def test_options_are_ranked_over_the_years_where_all_first_costs_are_known() -> None:
    case, result = ranked({"dear": 300.0, "cheap": 100.0})
    found = over_years(case, result, ["dear", "cheap"])
    assert found == OverYears((("cheap", 120.0), ("dear", 320.0)), {}, 2)
    assert found.cheapest == "cheap"
    assert capital_verdict(case, result, "dear", ["dear", "cheap"]) == CapitalVerdict("cheap", 200.0, (320.0, 120.0), 2)
    assert capital_verdict(case, result, "cheap", ["dear", "cheap"]) is None
    assert capital_verdict(case, result, "cheap", ["dear"]) is None  # left out, since it leaves the house cold
    even, same = ranked({"one": 100.0, "other": 100.0})
    assert capital_verdict(even, same, "other", ["one", "other"]) is None
    case, result = ranked({"dear": 300.0, "cheap": 100.0}, "unknown")
    found = over_years(case, result, ["dear", "cheap", "unknown"])
    assert found.missing == {"unknown": 100.0}  # below 100 it would be the cheapest
    assert found.cheapest is None
    none = over_years(case, result, ["unknown"])
    assert (none.order, none.missing, none.cheapest) == ((), {"unknown": None}, None)
    assert OverYears((), {}, 2).cheapest is None
    # one that costs more even if it is free to buy leaves no doubt; one that could still be the cheapest does
    assert OverYears((("cheap", 120.0),), {"unknown": -579.0}, 2).cheapest == "cheap"
    assert OverYears((("cheap", 120.0),), {"unknown": -579.0, "other": 1.0}, 2).cheapest is None


def test_what_was_not_priced_is_null_as_json() -> None:
    found = as_json([of_years("a", 100.0, 50.0), of_years("b", 0.0, 50.0, priced=False)], [])
    priced, not_priced = found["options"]
    assert (priced["paid_at_start"], priced["present_cost"]) == (100.0, 300.0)
    assert [not_priced[key] for key in ("first_cost", "paid_at_start", "present_cost", "paid_by_year")] == [None] * 4


def test_the_cost_to_buy_and_what_is_paid_at_the_start_are_told_apart() -> None:
    # 15,000 less a rebate of 1,000 is 14,000; a credit of 500 when it is bought and a loan of 8,000 leave 5,500 to pay
    typed = {"first_cost": "15000 $", "rebate": "1000 $", "incentive": [{"amount": "500 $", "year": 0}]}
    case = options(typed | {"loan": {"amount": "8000 $", "interest": "0 %/year", "years": 4}}, study_period=4)
    told = as_json([outlay_of(case, case.options[0], {"electricity": bill(9.0, 1.0)}, 0.0, 0)], [])["options"][0]
    assert (told["first_cost"], told["paid_at_start"]) == (14000.0, 5500.0)


def judged(name: str, buy: float | None, run: Any, life: Any, carbon: Any, cold: Any) -> OptionDecision:
    """An option in a few draws."""
    return OptionDecision(name, buy, *(np.array(one, dtype=float) for one in (run, life, carbon, cold)))


def test_verdicts_count_the_draws_that_an_option_wins() -> None:
    case = options({}, {}, study_period=20)
    most = case.house.max_unmet_hours
    a = judged("a", 300.0, [1, 2, 3, 9], [10, 20, 30, 40], [1000, 2000, 3000, 4000], [0, 0, 0, most + 1])
    b = judged("b", 200.0, [2, 2, 4, 8], [11, 19, 30, 50], [500, 3000, 4000, 5000], [most, most, most, most])
    cold = judged("c", 100.0, [0, 0, 0, 0], [0, 0, 0, 0], [0, 0, 0, 0], [most + 9] * 4)
    found = {one.question: one for one in _verdicts(case, [a, b, cold], [a, b])}
    assert found["cheapest to buy"] == Verdict("cheapest to buy", "b", 1.0, 200.0, "money", 1)
    # a wins one draw, b one, a shared draw counts half: 1 + 1/2 + 1 against 1/2 + 1
    assert found["cheapest to run"] == Verdict("cheapest to run", "a", 0.625, 2.5, "money a year", 1)
    assert found["cheapest over 20 years"] == Verdict("cheapest over 20 years", "a", 0.625, 25.0, "money", 1)
    assert found["least carbon"] == Verdict("least carbon", "a", 0.75, 2.5, "metric tons CO2 a year", 1)
    # as many hours as are allowed are warm
    rest = (("a", 0.75), ("c", 0.0))
    assert found["never cold"] == Verdict("never cold", "b", 1.0, float(most), "hours a year", others=rest)
    warm = judged("d", 100.0, [0] * 4, [0] * 4, [0] * 4, [0] * 4)
    both = {one.question: one for one in _verdicts(case, [b, warm], [b, warm])}
    assert (both["never cold"].option, both["never cold"].figure, both["never cold"].left_out) == (
        "b, d",
        float(most),
        0,
    )


def test_those_with_a_first_cost_are_compared_and_the_others_named() -> None:
    """At the prices entered b costs 205 a year with its upkeep and 12 over the years: that is what is shown, not the scenarios' middle."""
    case = options({}, {}, study_period=20)
    a = judged("a", None, [1, 2], [10, 20], [1, 2], [0, 0])
    b = judged("b", 200.0, [2, 3], [11, 21], [3, 4], [0, 0])
    paid = [replace(of_years("b", 200.0, 0.0), present_cost=12.0, running=205.0)]
    verdicts = {one.question: one for one in _verdicts(case, [a, b], [a, b], paid)}
    found = {key: (one.option, one.probability, one.figure, one.unpriced, one.entered) for key, one in verdicts.items()}
    assert found["cheapest to buy"] == ("b", 1.0, 200.0, ("a",), None)
    assert found["cheapest over 20 years"] == ("b", 1.0, 16.0, ("a",), 12.0)
    assert found["cheapest to run"] == ("a", 1.0, 1.5, (), None)
    (only,) = (one for one in _verdicts(case, [b], [b], paid) if one.question == "cheapest to run")
    assert (only.option, only.figure, only.entered) == ("b", 2.5, 205.0)
    none = {one.question: (one.option, one.unpriced) for one in _verdicts(case, [a], [a])}
    assert none["cheapest to buy"] == none["cheapest over 20 years"] == (None, ("a",))
    blind = judged("b", 200.0, [2, 3], [11, math.nan], [3, math.nan], [0, 0])
    known = judged("a", 0.0, [1, 2], [10, 20], [1, 2], [0, 0])
    found = {
        one.question: (one.option, one.probability, one.figure)
        for one in _verdicts(case, [known, blind], [known, blind])
    }
    assert found["least carbon"] == found["cheapest over 20 years"] == (None, 0.0, 0.0)
    assert found["cheapest to buy"] == ("a", 1.0, 0.0)


def test_a_year_of_waiting_costs_what_it_wastes_less_the_interest_saved() -> None:
    """At 25 % a dollar of next year is 0.80 today: 100 a year are wasted, 400 wait, and 50 of incentives are gone."""
    case = options(
        {"first_cost": "0 $"}, {"first_cost": "400 $", "incentive": [{"amount": "50 $", "expires": True}]}, {"first_cost": "1 $"},
        discount_rate="25 %/year",
    )  # fmt: skip
    most = case.house.max_unmet_hours
    today, other = of_years("a", 0.0, 300.0, cold=most), of_years("b", 400.0, 200.0, cold=most)
    cold = of_years("c", 1.0, 1.0, cold=most + 1)
    assert _waiting(case, [today, other, cold]) == (("b", pytest.approx(100 * 0.8 - 400 * 0.2 + 50 * 0.8)),)
    assert _waiting(case, [of_years("a", 0.0, 300.0, cold=most + 1), other, cold]) == ()
    assert _waiting(case, [today, of_years("b", 0.0, 200.0, priced=False), cold]) == ()
    later = options(
        {"first_cost": "0 $"}, {"first_cost": "400 $", "today": True}, {"first_cost": "1 $"}, discount_rate="25 %/year"
    )
    assert _waiting(later, [today, other, cold]) == (("a", pytest.approx(-100 * 0.8)),)


@pytest.mark.parametrize(
    ("cost", "hours", "today", "pair"),
    [
        ((3, 2, 1), (0, 0, 0), None, (2, 1)),
        ((3, 2, 1), (0, 0, 0), 0, (2, 0)),
        ((3, 2, 1), (0, 0, 0), 2, (2, 1)),
        ((3, 2, 1), (0, 0, 99), None, (1, 0)),
        ((3, 2, 1), (0, 0, 99), 2, (1, 0)),
        ((3, 2, 1), (99, 98, 97), None, (2, 1)),
        ((3, 2, 1), (1, 1, 2), None, (1, 0)),
        ((3, 1, 1), (97, 99, 98), None, (0, 2)),
    ],
)
def test_the_pair_in_question(cost: Any, hours: Any, today: int | None, pair: tuple[int, int]) -> None:
    """The cheapest of the warm ones and the next, or today's; of cold ones those that are cold for the fewest hours. One hour is allowed."""
    case = options(*({"today": True} if at == today else {} for at in range(3)))
    case = case.model_copy(update={"house": case.house.model_copy(update={"max_unmet_hours": 1})})
    assert pair_in_question(case, Winter("", 0.0, cost, hours)) == pair


def test_one_option_is_a_pair_with_itself() -> None:
    assert pair_in_question(options({}), Winter("", 0.0, (1.0,), (0,))) == (0, 0)


def left(*given: tuple[str, float, int, float | None], today: str = "") -> Any:
    """Options of these bills, hours too cold (none count as warm) and costs over 20 years."""
    made = [
        SimpleNamespace(name=name, cost_total=cost, keeps_warm=not hours, unmet=SimpleNamespace(hours=hours))
        for name, cost, hours, _ in given
    ]
    life = {name: over for name, _, _, over in given}
    now = SimpleNamespace(name=today) if today else None
    case = SimpleNamespace(today=now, economics=SimpleNamespace(study_period=20))

    def years(case: Any, result: Any, names: Any) -> OverYears:
        order = sorted(((one, life[one]) for one in names if life[one] is not None), key=lambda one: one[1])
        return OverYears(tuple(order), {}, 20)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(left_out, "over_years", years)
        found = cheaper_cold(SimpleNamespace(options=made, lowered=SimpleNamespace(case=case), told={}))  # type: ignore[arg-type]
    return [(one.cold.name, one.best.name, one.lasting, one.over) for one in found]


def test_a_cheaper_option_that_is_too_cold_is_told_beside_the_best_warm_one() -> None:
    assert left(("a", 9, 0, None), ("b", 7, 50, None), ("c", 8, 0, None)) == [("b", "c", "", None)]
    assert left(("a", 9, 0, None), ("b", 9, 50, None)) == left(("a", 9, 50, None)) == []
    assert left(("a", 9, 0, None), ("b", 1, 0, None)) == []
    # dearer to run and yet cheaper over the years: the pump is cheapest to run, the boiler over 20 years
    both = [("pump", 7, 0, 200), ("boiler", 8, 0, 170), ("old", 9, 50, 150)]
    assert left(*both) == [("old", "pump", "boiler", (150, 170))]
    assert left(*both[:2], ("old", 9, 50, 170)) == []
    # the nearest to being warm first, and before it what heats the house today
    cold = [("a", 9, 0, None), ("b", 1, 900, None), ("c", 7, 50, None)]
    assert [one[0] for one in left(*cold)] == ["c", "b"]
    assert [one[0] for one in left(*cold, today="b")] == ["b", "c"]
