"""What the decision says of bills and of the years, by hand: which sentence, which figure, and when none."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.views import verdict
from costsim.views.payback import Extra

WARM: Any = [SimpleNamespace(name="Pump"), SimpleNamespace(name="Gas, new")]
RESULT: Any = SimpleNamespace(currency="$", lowered=SimpleNamespace(case=None))


def extra(first: float, second: float) -> Extra:
    """Costs over 20 years of what is cheaper to run and of the other."""
    return Extra("Pump", "Gas, new", 500.0, 8.0, (first, second), 20, False)


def test_whole_sentences_as_many_as_fit() -> None:
    """25 words at most, the first sentence whatever its length; a shorter one may follow one that is left out."""
    twenty, five, six = "w " * 19 + "w.", "w w w w w.", "w w w w w w."
    assert verdict._within([twenty, five]) == f"{twenty} {five}"
    assert verdict._within([twenty, six]) == twenty
    assert verdict._within([twenty, six, five]) == f"{twenty} {five}"
    assert verdict._within(["w " * 40]) == "w " * 40


def test_bills_that_are_nearly_the_same_are_decided_by_the_years(monkeypatch: pytest.MonkeyPatch) -> None:
    """$20,123 and $23,456: $3,400 to three figures; less than $10 between them is nothing."""
    found = SimpleNamespace(cheapest="Pump", years=20)
    monkeypatch.setattr(verdict, "over_years", lambda case, result, names: found)
    assert verdict._tie(RESULT, WARM, extra(20_123.0, 23_456.0)) == "Over 20 years, Pump costs $3,400 less."
    same = "Over 20 years both cost the same."
    assert verdict._tie(RESULT, WARM, extra(20_000.0, 20_009.0)) == same
    assert verdict._tie(RESULT, WARM, extra(20_000.0, 20_009.9)) == same
    assert verdict._tie(RESULT, WARM, extra(20_000.0, 20_010.0)) == "Over 20 years, Pump costs $10 less."
    assert verdict._tie(RESULT, WARM, None) == "Over 20 years, Pump costs least too."
    found.cheapest = None
    assert verdict._tie(RESULT, WARM, extra(1.0, 2.0)) == "First costs, not given yet, may decide."


def test_cheaper_to_run_and_over_the_years_is_one_sentence() -> None:
    long, short = verdict._both_less(extra(20_123.0, 23_456.0), 120.0, "$", now=False)
    assert (
        long
        == "Pump costs $120 a year less to run than “Gas, new”, and $3,400 less over 20 years, first costs included."
    )
    assert short == "Pump costs $120 a year less to run than “Gas, new”, and $3,400 less over 20 years."
    kept, again = verdict._both_less(extra(20_123.0, 23_456.0), 120.0, "$", now=True)
    assert kept.startswith("Pump, what you have now, costs $120 a year less")
    assert again == short
    assert verdict._both_less(extra(20_123.0, 23_456.0), 0.0, "$", now=False) == []
    assert verdict._both_less(extra(20_000.0, 20_009.0), 120.0, "$", now=False) == []
    assert verdict._both_less(extra(23_456.0, 20_123.0), 120.0, "$", now=False) == []


def test_what_is_saved_over_the_years_beside_a_payback() -> None:
    assert verdict._less(extra(20_123.0, 23_456.0), "$") == "Over 20 years it costs $3,400 less."
    assert verdict._less(extra(20_000.0, 20_009.0), "$") == verdict._less(extra(23_456.0, 20_123.0), "$") == ""
    told = verdict._with_payback("Pump", 120.0, "Gas", "its $500 pays", "$", today=True)
    assert told == [
        "Pump saves about $120 a year on bills against Gas today; its $500 pays.", "Pump saves about $120 a year on bills; its $500 pays.",
    ]  # fmt: skip
    assert verdict._with_payback("Pump", 120.0, "Gas", "its $500 pays", "$", today=False) == [
        "Pump costs $120 a year less to run than Gas; its $500 pays."
    ]


def cheapest(first: float, second: float, *, over: Extra | None = None, back: str = "", today: str = "") -> list[str]:
    """The sentences on two options of these costs a year."""
    warm = [
        SimpleNamespace(name=name, cost_total=cost, keeps_warm=True)
        for name, cost in (("Pump", first), ("Gas", second))
    ]
    now = SimpleNamespace(name=today) if today else None
    made: Any = SimpleNamespace(
        options=warm, currency="$", lowered=SimpleNamespace(case=SimpleNamespace(today=now, options=warm))
    )
    with pytest.MonkeyPatch.context() as patch:
        for name, value in (
            ("extra_of", over),
            ("payback_text", back),
            ("leading", warm[0]),
            ("cheaper_cold", ()),
            ("_tie", "TIE."),
        ):
            patch.setattr(verdict, name, lambda *_, value=value: value)
        return verdict._cheapest(made, warm)  # type: ignore[arg-type]


def test_the_cheapest_to_run_against_the_next() -> None:
    """$1,000 and $1,300: far apart; $1,000 and $1,090 are nearer than a tenth, so that the years are told."""
    plain = "Pump costs least to run: about $1,000 a year, $300 less than Gas."
    assert cheapest(1000.0, 1300.0) == [plain]
    assert cheapest(1000.0, 1100.0) == ["Pump costs least to run: about $1,000 a year, $100 less than Gas."]
    assert cheapest(1000.0, 1090.0) == ["Pump costs least to run: about $1,000 a year, $90 less than Gas.", "TIE."]
    assert cheapest(1000.0, 1090.0, over=Extra("Pump", "Gas", 0.0, None, (20_100.0, 23_500.0), 20, False)) == [
        "Pump costs $90 a year less to run than Gas, and $3,400 less over 20 years, first costs included."
    ]
    assert cheapest(1000.0, 1002.0) == ["Pump and Gas cost the same: about $1,000 a year.", "TIE."]
    dear = Extra("Pump", "Gas", 500.0, 2.0, (20_100.0, 23_500.0), 20, False)
    assert cheapest(1000.0, 1300.0, over=dear, back="its $500 pays") == [
        "Pump costs $300 a year less to run than Gas; its $500 pays.", "Over 20 years it costs $3,400 less.",
    ]  # fmt: skip
    assert (
        cheapest(1000.0, 1300.0, today="Gas")[0]
        == "Compared with Gas today ($1,300 a year), Pump saves about $300 a year."
    )
    assert cheapest(1000.0, 1300.0, today="Pump")[0].startswith("What you have now, Pump, costs least to run")
