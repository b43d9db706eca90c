"""Sentences on single sources, cold hours and paybacks, and what is bought, each from made-up figures on both sides of its limit."""

from __future__ import annotations

import re
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.physics.fuels import FUELS
from costsim.views import card_math, homes_totals, tables, text_portfolio
from costsim.views.cold_hours import larger_text, left_out_sentence
from costsim.views.each_source import source_lines, unpaid_lines


def some(**more: Any) -> Any:
    return SimpleNamespace(**more)


def less(cost: float, **more: Any) -> Any:
    made = {
        "option": "Mix", "source": "Pump", "use_hours": 0, "hours": 0, "hours_with": 0, "enough": True, "rest": ["Gas", "Wood"], "cost": cost,
        "cost_with": 1000.0, "worth": 0.0, "years": 20, "against": "", "investment": 0.0, "payback": None, "rate": 0.0,
    }  # fmt: skip
    return some(**(made | more))


def test_what_each_source_of_a_mix_is_worth() -> None:
    found = [
        less(900.0), less(1100.0), less(1000.0), less(900.0, enough=False, hours=1500), less(900.0, enough=False, hours=1500, hours_with=12),
        less(900.0, use_hours=2000, enough=False),
    ]  # fmt: skip
    assert source_lines(found, "$") == [
        "Mix: Gas and Wood alone, with the tank and all else of this option, would cost $900 a year, $100 less than with Pump beside it.",
        "Mix: Gas and Wood alone, with the tank and all else of this option, would cost $1,100 a year, $100 more than with Pump beside it.",
        "Mix: Gas and Wood alone would cost the same, $1,000 a year, as with Pump beside it.",
        "Mix: without Pump, 1,500 hours too cold, and $900 a year, $100 less.",
        "Mix: without Pump, 1,500 hours too cold instead of 12, and $900 a year, $100 less.",
        "Mix: without Pump, hot water or another use of the tank is short in 2,000 hours.",
    ]
    assert unpaid_lines(found, "$") == source_lines(found[:1], "$")


def test_a_source_that_saves_is_told_with_what_it_costs_or_may_cost() -> None:
    start = "Mix: Gas and Wood alone, with the tank and all else of this option, would cost $1,100 a year, $100 more than with Pump beside it."
    known = {"against": "Gas, wood", "investment": 700.0}
    assert source_lines(
        [less(1100.0, worth=1488.0), less(1100.0, worth=9e3, **known), less(1100.0, payback=7.0, **known)], "$"
    ) == [
        f"{start} Over 20 years, adding Pump pays if it costs less than $1,500 at the start.",
        f"{start} It costs $700 more to buy than “Gas, wood”, which it does not pay back within 20 years.",
        f"{start} It costs $700 more to buy than “Gas, wood”; its savings pay that back in 7.0 years.",
    ]
    assert source_lines([less(900.0, worth=-1488.0, **known)], "$") == [
        "Mix: Gas and Wood alone, with the tank and all else of this option, would cost $900 a year, $100 less than with Pump beside it."
    ]


def left_out(**more: Any) -> Any:
    """A pump that is too cold for 1,500 hours beside gas at $1,000 a year."""
    enough = {"today_w": 9e3, "enough_w": 12e3, "source": "Backup", "cost": 800.0, "electric": True, "hours": 0}
    pump = some(name="Pump", unmet=some(hours=1500))
    return some(
        cheaper=some(cold=pump, best=some(name="Gas", cost_total=1000.0)), enough=some(**(enough | more)), stops_c=None
    )


def test_a_cheaper_option_that_is_left_out_is_told_with_what_would_do() -> None:
    assert left_out_sentence(None, "$", "si") == ""
    assert left_out_sentence(some(**(vars(left_out()) | {"enough": None})), "$", "si") == ""
    cold = "With 9.0 kW of Backup, Pump is too cold for 1,500 hours; 12 kW would do"
    cheap, even, dear = (left_out_sentence(left_out(cost=cost), "$", "si") for cost in (800.0, 1000.0, 1300.0))
    assert cheap == f"{cold}, for $800 a year."
    assert even == f"{cold}, and would then cost $0 a year more than Gas."
    assert dear == f"{cold}, and would then cost $300 a year more than Gas."


def test_a_size_that_leaves_the_hours_that_are_borne_says_them() -> None:
    """One rule and one figure in the headline and beside it: 12 kW, with no more than the study's 20 hours."""
    found = left_out(hours=20)
    cold = "With 9.0 kW of Backup, Pump is too cold for 1,500 hours; "
    assert left_out_sentence(found, "$", "si") == f"{cold}12 kW would leave at most 20, for $800 a year."
    assert larger_text(some(**vars(found.enough), alone=True), "$", "si") == (
        "12 kW leaves at most 20, for $800 a year."
    )
    assert larger_text(some(**vars(found.enough), alone=False), "$", "si") == (
        "12 kW of Backup leaves at most 20, for $800 a year."
    )
    assert larger_text(some(**vars(left_out().enough), alone=False), "$", "si") == (
        "12 kW of Backup would do, for $800 a year."
    )
    none = left_out(enough_w=None)
    assert larger_text(none.enough, "$", "si") == ""
    assert left_out_sentence(none, "$", "si") == f"{cold[:-2]}, and more of it would not close that; see Cold days."


def test_what_is_bought_has_a_decimal_where_it_is_little(monkeypatch: pytest.MonkeyPatch) -> None:
    source: Any = some(fuel=next(iter(FUELS)), input_j=1.0, heat_content=None)
    for amount, said in ((19.96, "20.0 gal"), (20.0, "20 gal"), (1234.4, "1,234 gal")):
        monkeypatch.setattr(tables, "sold_amount", lambda *_, amount=amount: (amount, "gal"))
        assert tables.bought(source, "us") == said
    assert tables.bought(some(fuel="sun"), "us") == ""


# the sums behind a card


def sums(**more: Any) -> Any:
    result = some(
        clock=["Jan 1, midnight", "Jan 1, 1 am", "Jan 1, 2 am"], lowered=some(weather=some(outdoor_c=np.array([-1.0, -9.0, -5.0]))),
        weather_facts={"title": "A winter"}, options=[some(name="Gas"), some(name="Pump")],
    )  # fmt: skip
    return some(system="si", result=result, money=lambda value: f"${value:,.0f}", **more)


def season(hours: int, worst: int | None) -> Any:
    return some(
        name="Pump", unmet=some(hours=hours, worst_w=2000.0, worst_hour=worst),
        hourly=some(demand_w=np.array([5e3, 9e3, 7e3]), delivered_w=np.array([5e3, 7e3, 6e3])),
    )  # fmt: skip


def test_a_cold_hour_is_told_with_its_balance(monkeypatch: pytest.MonkeyPatch) -> None:
    """The worst hour where heat is missing, and where none is the one of the largest demand."""
    monkeypatch.setattr(card_math, "heat_step", lambda _: card_math.Step("heat", ""))
    first, hour, last = card_math._cold(sums(), season(2, 2))
    assert first.formula == "Pump: in 2 of 3 hours less heat is delivered than needed"
    assert hour.formula.startswith("Jan 1, 2 am, -5 °C outside: needed ")
    assert [float(part.split()[0]) for part in re.split(r"needed |delivered |short ", hour.formula)[1:]] == [
        7.0,
        6.0,
        2.0,
    ]
    assert last.formula == "heat"
    _, calm, _ = card_math._cold(sums(), season(0, None))
    assert calm.formula.startswith("Jan 1, 1 am, -9 °C outside: needed ")
    assert "short" not in calm.formula


def test_a_payback_is_told_where_more_is_spent_at_first_and_comes_back(monkeypatch: pytest.MonkeyPatch) -> None:
    case = some(
        options=[some(name="Gas"), some(name="Pump"), some(name="Cold")],
        economics=some(discount_rate_share_per_year=0.03),
        today=None,
    )
    made = sums(case=case)
    made.result.option = lambda name: name
    monkeypatch.setattr(card_math, "able", lambda result: result.options)
    monkeypatch.setattr(
        card_math,
        "outlay",
        lambda case, option, season: some(option=option.name, present_cost={"Gas": 20e3, "Pump": 15e3}[option.name]),
    )
    monkeypatch.setattr(card_math, "outlay_text", lambda one, case, anew: one.option)
    monkeypatch.setattr(card_math, "anew_text", lambda case, one: "")
    for investment, payback, told in (
        (500.0, 7.24, True),
        (500.0, None, False),
        (0.0, 7.24, False),
        (0.01, 7.24, True),
    ):
        extra = some(first="Pump", second="Gas", investment=investment, payback=payback, rate=0.03)
        monkeypatch.setattr(card_math, "extra_of", lambda _, extra=extra: extra)
        steps = card_math._years(made)
        assert [one.formula for one in steps[:2]] == [
            "Pump",
            "Gas",
        ]  # the cheaper over the years first, without what is too cold
        assert "(1 + 3.0%)^t" in steps[0].source
        assert (len(steps) == 3) is told
        assert not told or steps[2].formula.endswith("add up to that after 7.2 years, with 3% interest")
    monkeypatch.setattr(card_math, "extra_of", lambda _: None)
    assert len(card_math._years(made)) == 2


# many homes


def test_groups_of_homes_have_a_heading_each(monkeypatch: pytest.MonkeyPatch) -> None:
    heads = ["group", "option", "homes", "bills"]
    rows = [["City", "Gas", "3", "$9"], ["City", "Pump", "3", "$8"], ["Hill", "Gas", "2", "$7"]]
    monkeypatch.setattr(homes_totals, "group_rows", lambda _: (heads, rows))
    monkeypatch.setattr(homes_totals, "total_rows", lambda _: (["all"], [["x"]]))
    monkeypatch.setattr(homes_totals, "halves", lambda heads, rows: [(heads, rows)])
    monkeypatch.setattr(homes_totals, "text_table", lambda heads, rows: [heads, rows])
    *_, found = homes_totals.printed_totals({"by_group": [1]})
    assert found == [
        ["group", "bills"],
        [["City: 3 homes", ""], ["  Gas", "$9"], ["  Pump", "$8"], ["Hill: 2 homes", ""], ["  Gas", "$7"]],
    ]  # type: ignore[comparison-overlap]
    assert len(homes_totals.printed_totals({"by_group": []})) == 1


def test_a_mean_over_peak_hours_is_told_where_there_are_any(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text_portfolio, "peak_when", lambda _: "Jan 5")
    one = {"name": "Pump", "coincident_peak_kw": 1234.5, "peak_hours_mean_kw": None, "peak_hours_highest_kw": 2.0}
    _, rows = text_portfolio.grid_rows({"options": [one, one | {"peak_hours_mean_kw": 1500.0}]})
    assert rows[0] == ["Pump", "1,234.5 kW", "Jan 5", text_portfolio.NONE, "2.0 kW"]
    assert rows[1][3] == "1,500.0 kW"
