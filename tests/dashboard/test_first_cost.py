"""A first cost that is older than a source of its option is said to be, until one of the two changes."""

from __future__ import annotations

from typing import Any

import pytest
from dashboard.app import again, opened, turn
from streamlit.testing.v1 import AppTest

from costsim.dashboard.first_cost import Noted, note, stale_sentence, to_keep
from costsim.dashboard.link import packed

MIX = {"name": "Mix", "first_cost": "9500 $"}
SUN = "Solar collectors"


def test_it_is_said_until_the_cost_changes_or_the_source_goes() -> None:
    noted: Noted = {}
    assert stale_sentence(noted, MIX, [SUN], "us") == ""
    note(noted, MIX, SUN)
    told = "Mix: first cost is still $9,500, typed before this was added: Solar collectors."
    assert stale_sentence(noted, MIX, ["Propane", SUN], "us") == told
    assert stale_sentence(noted, MIX, ["Propane"], "us") == ""
    assert stale_sentence(noted, MIX | {"first_cost": "16000 $"}, ["Propane", SUN], "us") == ""
    assert stale_sentence(noted, MIX | {"name": "Other"}, ["Propane", SUN], "us") == ""


def test_sources_added_at_the_same_cost_are_told_together_and_a_new_cost_begins_anew() -> None:
    noted: Noted = {}
    note(noted, MIX, SUN)
    note(noted, MIX, "Wood boiler")
    both = [SUN, "Wood boiler"]
    assert stale_sentence(noted, MIX, both, "us").endswith("was added: Solar collectors, Wood boiler.")
    dearer = MIX | {"first_cost": "16000 $"}
    note(noted, dearer, "Pellets")
    told = stale_sentence(noted, dearer, [*both, "Pellets"], "us")
    assert told == "Mix: first cost is still $16,000, typed before this was added: Pellets."


def test_an_option_without_a_first_cost_is_not_said_to_have_an_old_one() -> None:
    noted: Noted = {}
    note(noted, {"name": "Mix"}, SUN)
    assert noted == {}


def test_only_costs_that_stand_are_carried_by_a_link() -> None:
    noted: Noted = {}
    note(noted, MIX, SUN)
    assert to_keep(noted, [MIX]) == {"Mix": ["9500 $", [SUN]]}
    assert to_keep(noted, [MIX | {"first_cost": "16000 $"}]) == {}
    assert to_keep(noted, [{"name": "Mix"}]) == {}
    assert to_keep(noted, []) == {}


@pytest.mark.long
@pytest.mark.parametrize(
    "wrong", [3, [], {"Mix": 3}, {"Mix": ["9500 $"]}, {"Mix": ["9500 $", [3]]}, {"Mix": [9, ["x"]]}]
)
def test_nonsense_in_a_link_is_no_old_cost(wrong: Any) -> None:
    app = opened("money", study="lantern_cottage", answers=packed({"first_costs": wrong}))
    assert app.session_state["first_costs"] == {}


@pytest.mark.long
def test_it_stands_at_the_field_and_at_the_answer() -> None:
    app = opened("sources", study="lantern_cottage")
    app.button(key="kind/2/solar").click().run()
    assert not app.exception

    def warned(at: AppTest = app) -> list[Any]:
        return [one.value for one in at.warning if "typed before this was added" in one.value]

    assert warned()
    turn(app, "decide")
    [told] = warned()
    assert "It is left out here until you type the new one" in told

    def years() -> Any:
        return next(one for one in app.metric if "over" in one.label)

    # no cost over the years, payback or odds is told from it
    assert "$5,200" in told
    assert years().label.endswith("of those with a first cost")
    assert not any("pays for itself" in one.value for one in app.title)
    warned_there = [text.partition(" It is left out")[0] for text in warned()]
    assert warned_there == warned(again(app, "money"))  # a reload of the page knows it too
    turn(app, "money")
    assert warned()
    app.button(key="money/first-cost/2").click().run()
    assert not warned()
    assert not warned(again(turn(app, "money"), "money"))
    turn(app, "decide")
    assert years().label == "Cheapest over 20 years"
