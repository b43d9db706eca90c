"""What the verdict leads with where the cheapest to run alone would mislead, by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.analysis.winning_price import WinningPrice
from costsim.views import answer, lead, payback

BILLS = {"Oil": 3017.0, "Propane": 2352.0, "Pump": 2205.0}
OVER = {"Oil": 53_120.0, "Propane": 42_494.0, "Pump": 48_802.0}


def year(over: dict[str, float] | None = None, bills: dict[str, float] = BILLS, today: str = "Oil") -> Any:
    """A result of three warm options; oil heats the house today."""
    options = [SimpleNamespace(name=name, cost_total=cost, keeps_warm=True) for name, cost in bills.items()]
    economics = SimpleNamespace(study_period=20)
    case = SimpleNamespace(today=SimpleNamespace(name=today), economics=economics, over=over, prices={})
    return SimpleNamespace(
        options=options, currency="$", told={}, lowered=SimpleNamespace(case=case), option=lambda name: next(one for one in options if one.name == name)
    )  # fmt: skip


@pytest.fixture(autouse=True)
def _life_cycle(monkeypatch: pytest.MonkeyPatch) -> None:
    def over_years(case: Any, result: Any, names: Any) -> Any:
        order = sorted(((one, case.over[one]) for one in names), key=lambda one: one[1]) if case.over else []
        return SimpleNamespace(order=tuple(order), cheapest=order[0][0] if order else None, years=20)

    def capital(case: Any, result: Any, running: str, names: Any) -> Any:
        order = over_years(case, result, names).order
        saving = case.over[running] - order[0][1] if order else 0.0
        return SimpleNamespace(cheapest_over_years=order[0][0], saving=saving) if saving > 0 else None

    monkeypatch.setattr(lead, "over_years", over_years)
    monkeypatch.setattr(answer, "capital_verdict", capital)


def test_the_years_lead_where_all_first_costs_are_known() -> None:
    """42,494 and 48,802: 6,300 between them, of a bill of 2,205."""
    assert answer.leading(year(OVER)).name == "Propane"
    assert answer.leading(year()).name == "Pump"
    # $9 over the years make no difference
    assert answer.leading(year({**OVER, "Pump": 42_503.0})).name == "Pump"
    result = year(OVER)
    first = lead.years_sentences(result, result.option("Propane"), result.option("Pump"))[0]
    assert first.startswith("Propane costs least over 20 years: $42,500, $6,300 less than Pump, which is cheapest")
    kept = year(OVER, today="Propane")
    assert lead.years_sentences(kept, kept.option("Propane"), kept.option("Pump"))[2] == (
        "Propane (today's heating) costs least over 20 years, $6,300 less than Pump."
    )


def test_bills_that_are_alike_name_none_that_is_cheapest_to_run() -> None:
    """$9 a year between two bills are none; $11 are."""
    for bill, clause in ((2205.0, False), (2214.0, False), (2216.0, True)):
        result = year({**OVER, "Pump": 42_594.0}, {**BILLS, "Propane": bill})
        ways = lead.years_sentences(result, result.option("Propane"), result.option("Pump"))
        assert ways[0].startswith("Propane costs least over 20 years: $42,490, $100 less than Pump")
        assert any("cheapest to run" in way for way in ways) is clause
        assert ways[-1] == "Propane costs least over 20 years: $42,490."


def test_a_page_that_asks_again_works_nothing_out_again(monkeypatch: pytest.MonkeyPatch) -> None:
    result = year(OVER)
    first = answer.leading(result)
    monkeypatch.setattr(answer, "capital_verdict", None)  # to ask it would fail
    assert answer.leading(result) is first
    assert first.name == "Propane"


def test_a_ring_is_of_the_option_that_leads(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []
    monkeypatch.setattr(payback, "_held", lambda result, both: asked.append([one.name for one in both]))
    payback.leading_extra(year(OVER))
    payback.leading_extra(year())
    assert asked == [["Propane", "Oil"], ["Pump", "Oil"]]
    assert payback.leading_extra(year(OVER, today="Propane")) is None
    assert len(asked) == 2


def test_a_near_runner_up_is_named_beside_todays_heating(monkeypatch: pytest.MonkeyPatch) -> None:
    """2,352 is 6.7 % above 2,205; oil at 3,017 costs $665 more than the dearer of the two."""
    win = WinningPrice("Propane", "Pump", "propane", 1.0, 0.94, None)
    monkeypatch.setattr(lead, "below_text", lambda case, one, system: f"$2.20/gal at {one.factor}")
    assert lead.near_sentences(year(), "us", lambda _: (None, (win,))) == [
        "Pump and Propane cost about the same to run; Propane wins below $2.20/gal at 0.94.", "Both save at least $660 a year against Oil today.",
    ]  # fmt: skip
    none: Any = lambda _: (None, ())  # noqa: E731
    assert lead.near_sentences(year(), "us", none)[0] == "Pump and Propane cost about the same to run."
    # a tenth apart, today's heating itself the next best, or the years known: nothing of it
    assert lead.near_sentences(year(bills={**BILLS, "Propane": 2426.0}), "us", none) == []
    assert lead.near_sentences(year(today="Propane"), "us", none) == []
    assert lead.near_sentences(year(OVER), "us", none) == []
