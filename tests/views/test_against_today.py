"""What an option costs more to buy than the heater that is there now, and when its bills bring that back, by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.views import cards, payback

LEFT = {"Boiler": 3800.0, "Propane": 3000.0, "Both": 2300.0}


def study(first: dict[str, float], *, cold: int = 202, today: str = "Boiler") -> Any:
    """Options of these first costs and of the bills above, over 20 years without interest; today's too cold for some hours."""
    options = [SimpleNamespace(name=name, replacement_money=0.0, replacement_year=0) for name in LEFT]
    seasons = {
        name: SimpleNamespace(
            name=name,
            cost_total=cost,
            keeps_warm=name != "Boiler" or not cold,
            unmet=SimpleNamespace(hours=cold if name == "Boiler" else 0),
        )
        for name, cost in LEFT.items()
    }
    now = next((one for one in options if one.name == today), None)
    case = SimpleNamespace(
        today=now,
        options=options,
        economics=SimpleNamespace(study_period=20, discount_rate_share_per_year=0.0),
        first=first,
    )
    return SimpleNamespace(currency="$", lowered=SimpleNamespace(case=case), option=seasons.get)


@pytest.fixture(autouse=True)
def _plain_years(monkeypatch: pytest.MonkeyPatch) -> None:
    """An outlay without interest: payback is what is paid more over what is saved a year."""

    def outlay(case: Any, option: Any, season: Any) -> Any:
        return SimpleNamespace(
            name=option.name, first=case.first.get(option.name, 0.0), cost=season.cost_total, priced=option.name in case.first
        )  # fmt: skip

    def add_on(case: Any, base: Any, other: Any) -> Any:
        more, saved = other.first - base.first, base.cost - other.cost
        years = more / saved if saved > 0 else None
        return SimpleNamespace(
            investment=more, simple_payback=years, discounted_payback=years if years and years <= 20 else None
        )

    monkeypatch.setattr(payback, "outlay", outlay)
    monkeypatch.setattr(payback, "add_on", add_on)


def test_a_mix_against_the_heater_that_is_there_now() -> None:
    """$9,500 over $3,800 − $2,300 = $1,500 a year is 6.3 years."""
    told = payback.today_sentence(study({"Boiler": 0.0, "Both": 9500.0}, cold=0), "Both")
    assert told == (
        "Against Boiler today ($3,800 a year), Both costs $2,300 a year; its $9,500 pays for itself in 6.3 years."
    )
    told = payback.today_sentence(study({"Boiler": 0.0, "Both": 9500.0}), "Both")
    assert told.endswith("in 6.3 years. Boiler leaves the house too cold for 202 hours.")
    told = payback.today_sentence(study({"Boiler": 0.0, "Both": 95_000.0}), "Both")
    assert "its $95,000 does not pay for itself within 20 years." in told


def test_what_is_due_at_once_anyway_does_not_have_to_come_back() -> None:
    """A new heater of today's kind for $6,500: $3,000 of the $9,500 are left."""
    made = study({"Boiler": 0.0, "Both": 9500.0}, cold=0)
    now, both = (next(one for one in made.lowered.case.options if one.name == name) for name in ("Boiler", "Both"))
    now.replacement_year = 1
    for due, told in (
        (6500.0, "; its $3,000 beyond what is due in year 1 anyway pays for itself in 6.3 years."),
        (9500.0, "; its $9,500 is due in year 1 anyway."),
        (9900.0, "; its $9,500 is less than the $9,900 due in year 1 anyway."),
    ):
        now.replacement_money = due
        assert payback.today_sentence(made, "Both").endswith(told)
    # who keeps today's heater pays that too, and spares nothing
    both.replacement_money, both.replacement_year = 9900.0, 1
    assert payback.today_sentence(made, "Both").endswith("; its $9,500 pays for itself in 6.3 years.")


def test_nothing_is_said_where_nothing_is_known_or_paid() -> None:
    known = {"Boiler": 0.0, "Both": 9500.0}
    assert payback.today_sentence(study(known), "Boiler") == ""
    assert payback.today_sentence(study(known, today=""), "Both") == ""
    assert payback.today_sentence(study(known), "Propane") == ""
    assert payback.today_sentence(study({"Boiler": 0.0, "Both": 0.0}), "Both") == ""


def test_the_card_of_the_years_says_it_where_its_pair_leaves_todays_out(monkeypatch: pytest.MonkeyPatch) -> None:
    made = study({"Boiler": 0.0, "Both": 9500.0})
    found = SimpleNamespace(cheapest="Both", order=(("Both", 1.0),), missing={})
    extra = SimpleNamespace(first="Both", second="Propane", costs=(40_000.0, 50_000.0))
    for name, value in (
        ("_over_years", found),
        ("extra_of", extra),
        ("gap_text", "gap"),
        ("payback_text", "back"),
        ("but_cold", ""),
    ):
        monkeypatch.setattr(cards, name, lambda *_, value=value, **__: value)
    note = cards._years_card(made.lowered.case, made).note
    assert note.startswith("gap; back. Against Boiler today ($3,800 a year), Both costs $2,300")
    extra.second = "Boiler"
    assert cards._years_card(made.lowered.case, made).note == "gap; back"
