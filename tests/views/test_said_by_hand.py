"""Words and figures of the first look by hand: turning prices, sentences and cards on both sides of each limit."""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from views.loft import loft

from costsim.analysis.breakeven import BreakEven
from costsim.results.result import OptionResult, Result
from costsim.views import cards as made
from costsim.views.answer import pair, ranked
from costsim.views.headline import _first
from costsim.views.payback import Extra, gap_text, payback_text
from costsim.views.turning import nearest, turning_line, turning_sentence
from costsim.views.verdict import MOST_WORDS, Likelihood, _lacking, _too_small, decision, leading_sentences
from costsim.views.yearly_use import in_thousands

NEAR = pytest.approx


def test_what_is_said_of_a_first_cost() -> None:
    extra = Extra("Pump", "Gas, old", 9000.0, 7.6, (23_456.0, 31_111.0), 20, True)
    for text, first, end in (
        (payback_text(extra, "$"), "its $9,000 ", "7.6 years"),
        (payback_text(replace(extra, spent=False), "$"), "its extra $9,000 ", "7.6 years"),
        (payback_text(extra, "$", named=True), "the $9,000 for Pump ", "7.6 years"),
        (payback_text(replace(extra, payback=None), "$"), "its $9,000 does not ", "within 20 years"),
    ):
        assert text.startswith(first)
        assert end in text
    # a new heater of today's kind is due as well: at once it is no cost of the option, later it shortens the payback
    for due, year, text in (
        (9000.0, 1, "its $9,000 is due in year 1 anyway"),
        (9500.0, 1, "its $9,000 is less than the $9,500 due in year 1 anyway"),
        (5000.0, 1, "its $4,000 beyond what is due in year 1 anyway pays for itself in 7.6 years"),
        (5000.0, 5, "its $9,000, with $5,000 due in year 5 anyway, pays for itself in 7.6 years"),
        (5000.0, 9, "its $9,000 pays for itself in 7.6 years"),  # after it has come back
    ):
        assert payback_text(replace(extra, due=due, due_year=year), "$") == text
    never = replace(extra, due=5000.0, due_year=1, payback=None)
    assert payback_text(never, "$").startswith("its $4,000 beyond what is due in year 1 anyway does not pay for itself")
    for cost, said in ((9.9, False), (10.0, True), (0.0, False), (-500.0, False)):
        assert bool(payback_text(replace(extra, investment=cost), "$")) is said
    assert gap_text(extra, "$") == "Pump $23,500, $7,600 less than “Gas, old” ($31,100)"
    assert (
        gap_text(replace(extra, costs=(31_111.0, 23_456.0)), "$")
        == "“Gas, old” $23,500, $7,600 less than Pump ($31,100)"
    )


def turn(
    factor: float | None, below: str = "A", later: BreakEven | None = None, price: str = "natural_gas"
) -> BreakEven:
    """1.00 $/therm today."""
    return BreakEven(price, "A", "B", factor, 1.0 / 105.5e6, below, later)


@functools.cache
def case() -> Any:
    price = SimpleNamespace(sold_price=lambda key, per_j, system: (per_j * 105.5e6, "therm"))
    return SimpleNamespace(prices={"natural_gas": price}, currency="$", economics=SimpleNamespace(study_period=20))


def test_of_turning_prices_the_one_that_moves_least_is_told() -> None:
    one, other, far = turn(0.5), turn(1.9), turn(2.1)
    assert nearest([one, other]) is other  # half is further than less than double
    assert nearest([one, far]) is one
    assert nearest([turn(None)]) is None
    assert nearest([]) is None
    assert nearest([turn(0.5, later=turn(1.1)), turn(1.2)]).over_years is not None  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("factor", "text"),
    [(0.999, "$0.999"), (1.0, "$1.00"), (99.99, "$99.99"), (100.0, "$100"), (1234.4, "$1,234"), (0.5, "$0.500")],
)
def test_turning_prices_have_the_digits_of_a_bill(factor: float, text: str) -> None:
    assert f"on bills alone {text}/therm" in turning_line(case(), turn(factor), "us")


def test_both_turning_prices_and_who_wins_on_which_side() -> None:
    line = turning_line(case(), turn(0.5, "A"), "us")
    assert line == (
        "Break-even price of natural gas (today $1.00/therm): on bills alone $0.500/therm. Below it A is cheaper, above it B."
    )
    assert turning_line(case(), turn(0.5, "B"), "us").endswith("Below it B is cheaper, above it A.")
    assert "(trying $1.00/therm)" in turning_line(case(), turn(0.5), "us", ["natural_gas"])
    assert turning_line(case(), None, "us") == ""
    both = turning_line(case(), turn(0.5, "A", turn(0.7, "A")), "us")
    assert "; over 20 years with the first costs $0.700/therm." in both
    assert "Below it A" in both
    assert "Below it" not in turning_line(case(), turn(0.5, "A", turn(0.7, "B")), "us")
    none = turning_line(case(), turn(0.5, "A", turn(None, "B")), "us")
    assert "$0.500/therm; over 20 years with the first costs none within 4 times today's, B wins." in none
    assert none.endswith("Below $0.500/therm A is cheaper, above it B.")
    later = turning_line(case(), turn(None, "A", turn(0.7, "B")), "us")
    assert (
        "on bills alone none within 4 times today's, A wins; over 20 years with the first costs $0.700/therm." in later
    )
    assert later.endswith("Below $0.700/therm B is cheaper, above it A.")


NONE = "No price within 4 times today's changes which of A and B costs less (4 times is common practice, no source)."


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (None, ""),
        (turn(None), NONE),
        (turn(0.5, "A"), "With natural gas below $0.500/therm, A wins."),
        (turn(2.0, "A"), "With natural gas above $2.00/therm, B wins."),
        (turn(2.0, "B"), "With natural gas above $2.00/therm, A wins."),
        (turn(1.0, "A"), "With natural gas above $1.00/therm, B wins."),
        (turn(0.5, "A", turn(0.7, "A")),
         "With natural gas below $0.500/therm on bills alone, or $0.700/therm over 20 years with the first costs, A wins."),
        (turn(2.0, "A", turn(3.0, "A")),
         "With natural gas above $2.00/therm on bills alone, or $3.00/therm over 20 years with the first costs, B wins."),
        (turn(1.0, "A", turn(1.0, "A")),
         "With natural gas above $1.00/therm on bills alone, or $1.00/therm over 20 years with the first costs, B wins."),
        (turn(0.5, "A", turn(3.0, "A")),
         "On bills alone A wins with natural gas below $0.500/therm. Over 20 years with the first costs B wins with natural gas above $3.00/therm."),
        (turn(0.5, "A", turn(0.7, "B")),
         "On bills alone A wins with natural gas below $0.500/therm. Over 20 years with the first costs B wins with natural gas below $0.700/therm."),
        (turn(0.5, "A", turn(None)), "On bills alone A wins with natural gas below $0.500/therm."),
        (turn(None, "A", turn(2.0, "A")), "Over 20 years with the first costs B wins with natural gas above $2.00/therm."),
    ],
)  # fmt: skip
def test_the_sentence_of_a_turning_price_names_its_side(one: BreakEven | None, said: str) -> None:
    assert turning_sentence(case(), one, "us") == said


def shown(*figures: Mapping[str, Any], today: int | None = None) -> Result:
    """The loft's options with these figures; `hours` too cold."""
    _, _, result = loft()
    options = []
    for letter, option, figure in zip("ABC", result.options, figures, strict=False):
        figure = dict(figure)
        unmet = replace(
            option.unmet, hours=figure.pop("hours", 0), worst_w=2000.0, energy_j=figure.pop("energy_j", 3.6e6)
        )
        options.append(replace(option, name=letter, unmet=unmet, **figure))
    lowered: Any = result.lowered
    typed = tuple(
        unpriced(one.model_copy(update={"today": at == today, "name": "ABC"[at]}))
        for at, one in enumerate(lowered.case.options)
    )
    lowered = replace(lowered, case=lowered.case.model_copy(update={"option": typed}))
    return replace(result, options=tuple(options), lowered=lowered)


def unpriced(option: Any) -> Any:
    """An option whose first cost was not typed."""
    object.__setattr__(option, "__pydantic_fields_set__", option.model_fields_set - {"first_cost_money"})
    return option


def letters(text: str) -> str:
    """Names of options as letters."""
    for letter, option in zip("ABC", loft()[2].options, strict=True):
        text = text.replace(f"“{option.name}”", letter).replace(option.name, letter)
    return text


def names(options: Any) -> str:
    return letters(" ".join(one.name for one in options))


MANY = 2000  # hours too cold, more than is borne


def test_options_rank_by_warmth_then_cost_then_what_is_missing() -> None:
    result = shown({"cost_total": 500.0}, {"cost_total": 400.0}, {"cost_total": 300.0, "hours": MANY})
    assert names(ranked(result)) == "B A C"
    assert names(pair(result) or ()) == "B A"
    cold = shown({"hours": MANY, "energy_j": 3e9}, {"hours": MANY, "energy_j": 1e9}, {"hours": MANY, "energy_j": 2e9})
    assert names(ranked(cold)) == "B C A"
    three = {"cost_total": 500.0}, {"cost_total": 400.0}, {"cost_total": 300.0}
    assert names(pair(shown(*three)) or ()) == "C B"
    assert names(pair(shown(*three, today=0)) or ()) == "C A"
    assert names(pair(shown(*three, today=2)) or ()) == "C B"  # today's is the best itself
    assert (
        names(pair(shown({"cost_total": 500.0, "hours": MANY}, *three[1:], today=0)) or ()) == "C B"
    )  # it leaves the house cold
    assert pair(shown(three[0])) is None
    assert names(pair(shown(*three[:2])) or ()) == "B A"


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        (({"cost_total": 500.0}, {"cost_total": 412.0}), "B costs least to run: about $410 a year, $90 less than A."),
        (({"cost_total": 500.0}, {"cost_total": 491.0}), "B and A cost the same: about $490 a year."),
        (({"cost_total": 500.0}, {"cost_total": 490.0}), "B costs least to run: about $490 a year, $10 less than A."),
        (({"cost_total": 512.0}, {"hours": MANY}), "A is the only option that keeps the house warm: about $510 a year."),
        (({"hours": MANY, "energy_j": 9e9}, {"hours": MANY}), "None of these options keeps the house warm."),
    ],
)  # fmt: skip
def test_the_sentence_that_leads(figures: tuple[dict[str, Any], ...], said: str) -> None:
    result = shown(*figures)
    assert letters(leading_sentences(result, "us")[0]) == said
    assert letters(decision(result, "household", "us")).startswith(said)
    assert letters(_first(result, "us")[0]) == said  # what terminal and paper begin with


def card(
    key: str,
    result: Result,
    sure: Likelihood | None = None,
    persona: str = "household",
    *,
    waits: bool = False,
    **kept: Any,
) -> tuple[str, str, str]:
    study = result.lowered.case
    if kept:
        options = tuple(
            one.model_copy(update={name: values[at] for name, values in kept.items() if values[at] is not None})
            for at, one in enumerate(study.options)
        )
        study = study.model_copy(update={"option": options})
    wanted = persona if key in made.ORDER[persona] else next(p for p, keys in made.ORDER.items() if key in keys)
    told = made.cards(study, result.lowered, result, sure, persona=wanted, system="si", waits=waits)
    found = next(one for one in told if one.key == key)
    return letters(found.value), letters(found.note), found.level


def warm(*costs: float, **more: Any) -> Result:
    return shown(*({"cost_total": cost, **more} for cost in costs))


def test_the_card_of_running_costs() -> None:
    assert card("run", warm(500.0, 412.0, 460.0)) == ("$410 a year", "B · $50 less than C", "good")
    assert card("run", shown({"cost_total": 512.0}, {"hours": MANY}, {"hours": MANY}))[:2] == ("$510 a year", "A")
    assert card("run", shown(*[{"hours": MANY}] * 3)) == ("none", "No option keeps the house warm.", "bad")


def test_the_card_of_carbon_says_who_emits_least() -> None:
    def of(*kilograms: float, hours: tuple[int, ...] = (0, 0, 0)) -> tuple[str, str, str]:
        figures = [
            {"cost_total": 100.0 + at, "co2_kg": kg, "hours": cold}
            for at, (kg, cold) in enumerate(zip(kilograms, hours, strict=True))
        ]
        return card("carbon", shown(*figures))

    assert of(1234.0, 2000.0, 3000.0) == ("1.2 t CO₂ a year", "A · the least of all", "good")
    assert of(1234.0, 300.0, 3000.0)[:2] == ("1.2 t CO₂ a year", "A · B 0.3 t")
    assert of(1234.0, 300.0, 3000.0, hours=(0, MANY, 0))[1] == "A · the least of those warm enough"
    assert of(1234.0, 300.0, 3000.0, hours=(0, MANY, MANY))[1] == "A · the only option warm enough"
    assert of(1234.0, math.nan, 3000.0)[0] == "not known"


def test_the_cards_of_gap_and_hours_too_cold() -> None:
    assert card("gap", warm(1.0, 2.0, 3.0))[:2] == ("none", "A is large enough")
    assert card("gap", shown({"hours": MANY}, {"cost_total": 9.0}, {"cost_total": 8.0})) == (
        "2.0 kW",
        "A · C closes it",
        "bad",
    )
    assert card("gap", shown(*[{"hours": MANY}] * 3))[1] == "A · no option here closes it"
    # one that is itself short closes nothing, and today's that is borne does not close its own gap
    short = shown({"hours": MANY}, {"cost_total": 9.0}, {"cost_total": 8.0, "hours": 14})
    assert card("gap", short)[1] == "A · B closes it"
    assert card("gap", shown({"hours": MANY}, {"hours": 14}))[1] == "A · B lacks up to 2.0 kW in 14 hours"
    assert card("gap", shown({"hours": 14}, {"hours": MANY}))[1] == "A · no option here closes it"
    assert card("warmth", warm(1.0, 2.0, 3.0))[:2] == ("0 hours", "A keeps the house warm all year")
    one = card("warmth", shown({"cost_total": 1.0, "hours": 1}, {"cost_total": 2.0}, {"cost_total": 3.0}))
    assert (one[0], one[2]) == ("1 hour", "good")
    many = card("warmth", shown(*[{"hours": MANY}] * 3))
    assert (many[0], many[2]) == ("2000 hours", "bad") or many[0] == "2,000 hours"
    assert " · down to " in many[1]
    first = card("warmth", shown({"hours": MANY}, {"cost_total": 1.0}, {"cost_total": 2.0}), persona="installer")
    assert first[2] == "bad"  # an installer reads of the unit that is there


def test_the_card_of_how_likely() -> None:
    result = warm(500.0, 412.0, 460.0)
    sure = Likelihood("B", "A", 0.83, (-24.0, 96.0), {}, 0.31, 15)
    value, note, _ = card("sure", result, sure)
    assert value == "Lower bills: about 85%\nCheaper than A over 15 years: about 30%"
    assert note.startswith("B costs up to $20 more or up to $100 less a year than A (80% range of") or "$96" in note
    # against today's heating alone it is surer than against all of them
    value = card("sure", result, replace(sure, of_all=0.64, rivals=3))[0]
    assert (
        value
        == "Lowest bills of all 3: B, about 65%\nLower bills than A: about 85%\nCheaper than A over 15 years: about 30%"
    )
    years = card("sure", result, replace(sure, rivals=3, least=("C", 0.71)))[0].split("\n")[0]
    assert years == "Cheapest of all 3 over 15 years: C, about 70%"
    assert "of all" not in card("sure", result, replace(sure, rivals=2, least=("C", 0.71)))[0]
    assert "of all" not in card("sure", result, replace(sure, of_all=0.83, rivals=2))[0]
    value, note, _ = card("sure", result, replace(sure, saving=(24.0, 310.0), over_years=None))
    assert value == "Lower bills: about 85%"
    of = "(80% range of 60 scenarios)"
    assert note == f"B saves $20 to $310 a year against A {of}"
    assert "saves $0 to" in card("sure", result, replace(sure, saving=(4.0, 310.0)))[1]
    assert "saves $0 to" in card("sure", result, replace(sure, saving=(-4.0, 310.0)))[1]  # nothing below ten is told
    dearer = card("sure", result, replace(sure, saving=(-310.0, -24.0)))[1]
    assert dearer == f"B costs $20 to $310 a year more than A {of}"
    assert card("sure", result, replace(sure, saving=(-310.0, 4.0)))[1].startswith(
        "B costs $0 to $310 a year more than A"
    )
    # hot water that may be too cool, or that no option has, stands below the shares
    alone = next(
        one
        for one in made.cards(
            result.lowered.case, result.lowered, result, sure, persona="household", system="si", heating_alone=True
        )
        if one.key == "sure"
    )
    assert alone.value == f"{card('sure', result, sure)[0]}\nHeating alone; hot water comes on top"
    taps: Any = SimpleNamespace(kind="hot_water", unmet_hours=3, cool=None)
    lacks = replace(result, options=(replace(result.options[0], uses=(taps,)), *result.options[1:]))
    told = card("sure", lacks, sure)[0]
    assert told.endswith("about 30%\nHot water is not always hot enough: see the caution")
    assert "hot enough" not in card("sure", lacks, replace(sure, first="B", second="C"))[0]
    # while the scenarios run nothing else is said of them, and nothing is compared where there is one option alone
    assert card("sure", result, waits=True)[:2] == ("…", "being worked out, a few seconds")
    assert card("sure", result)[:2] == ("not known", "its scenarios could not be run")
    assert card("sure", shown({"cost_total": 1.0}), waits=True)[:2] == ("–", "one option, nothing to compare")


def test_the_card_of_first_costs() -> None:
    def of(*costs: float | None) -> str:
        study = warm(1.0, 2.0, 3.0).lowered.case
        options = []
        for one, cost in zip(study.options, costs, strict=True):
            fields = one.model_fields_set - {"first_cost_money"} | ({"first_cost_money"} if cost is not None else set())
            new = one.model_copy(update={"first_cost_money": cost or 0.0, "rebate_money": 500.0 if cost else 0.0})
            object.__setattr__(new, "__pydantic_fields_set__", fields)
            options.append(new)
        found = made._first_card(study.model_copy(update={"option": tuple(options)}), warm(100.0, 412.0, 460.0))
        return letters(f"{found.value}; {found.note}")

    assert of(5000.0, 4200.0, 4300.0) == "$4,500; A · $800 more than B"
    assert of(5000.0, 6000.0, 5900.0) == "$4,500; A · $900 less than C"
    assert of(5000.0, 5000.0, None) == "$4,500; A · $0 more than B"
    assert of(5000.0, None, None) == "$4,500; A"
    assert of(None, 4000.0, None).startswith("not given; A · add it on")


def test_a_decision_is_short_and_says_what_is_too_small() -> None:
    text = letters(decision(warm(500.0, 412.0, 460.0), "household", "si"))
    assert text.startswith("B costs least")
    assert "$410 a year" in text
    assert len(text.split()) <= MOST_WORDS == 25
    same = letters(decision(warm(412.0, 416.0, 460.0), "household", "si"))
    assert same.startswith("A and B cost the same: about $410 a year.")
    alone = letters(decision(shown({"cost_total": 512.0}, {"cost_total": 600.0, "hours": 1234}), "household", "si"))
    assert alone.startswith("A is the only option that keeps the house warm: about $510 a year.")
    assert len(alone.split()) <= 25
    for hours, words in ((1, "B is too small: 1 hour too cold."), (33, "B is too small: 33 hours too cold.")):
        assert [
            letters(one)
            for one in _too_small(shown({"cost_total": 1.0}, {"cost_total": 9.0, "hours": hours, "max_unmet_hours": 0}))
        ] == [words]
    only = letters(decision(shown({"cost_total": 512.0}), "household", "si"))
    assert only == "A keeps the house warm: about $510 a year."
    none = letters(decision(shown({"hours": 1234}, {"hours": 4321, "energy_j": 9e9}), "household", "si"))
    assert none.startswith("None of these options keeps the house warm. A comes closest, 1,234 hours too cold.")
    lacking = letters(decision(shown({"hours": 1234, "cost_total": 9.0}, {"cost_total": 512.0}), "installer", "si"))
    assert lacking.startswith("A is too small in 1,234 hours a year, by up to 2.0 kW.")
    few = shown({"hours": 1234, "cost_total": 9.0}, {"cost_total": 512.0, "hours": 14})
    assert letters(_lacking(few, few.options[0], few.options[1:], "si")[1]) == (
        "B is itself too small in 14 hours, for $510 a year."
    )
    borne = letters(
        decision(shown({"cost_total": 512.0, "hours": 14}, {"cost_total": 600.0, "hours": 1234}), "household", "si")
    )
    assert borne.startswith(
        "A is the only option with so few hours too cold that it counts as warm: about $510 a year."
    )
    both = shown({"hours": 1234, "cost_total": 9.0}, {"cost_total": 512.0})
    assert letters(_lacking(both, both.options[0], both.options[1:], "si")[1]) == "B closes the gap for $510 a year."
    assert len(_lacking(both, both.options[0], (), "si")) == 1
    now = letters(decision(shown({"cost_total": 512.0}, {"cost_total": 412.0}, today=0), "household", "si"))
    assert "A today" in now
    assert "$100" in now
    kept = letters(decision(shown({"cost_total": 412.0}, {"cost_total": 512.0}, today=0), "household", "si"))
    assert kept.startswith("What you have now, A, costs least to run: about $410 a year, $100 less than B.")


@pytest.mark.parametrize(
    ("typed", "said"),
    [("1150 gal", "1,150 gal"), ("1600 $", "$1,600"), ("12.5 cord", "12.5 cord"), ("many", "many"), ("7", "7")],
)
def test_amounts_with_commas(typed: str, said: str) -> None:
    assert in_thousands(typed) == said


def test_these_are_the_lofts_options() -> None:
    assert all(isinstance(one, OptionResult) for one in loft()[2].options)
    assert len({one.name for one in loft()[2].options}) == 3
