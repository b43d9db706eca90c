"""Cautions once, on the page that decides, and patterns in charts only where they are asked for."""

from __future__ import annotations

import copy
import json
from types import SimpleNamespace
from typing import Any

import pytest
from dashboard.app import opened, turn
from streamlit.testing.v1 import AppTest

from costsim.dashboard import shell
from costsim.results.warnings import rule_of_thumb
from costsim.views.charts import figure_of
from costsim.views.patterns import without_patterns

RULE = "rule of thumb per floor area"


def bars(app: AppTest) -> list[Any]:
    """Patterns of all bars on the page."""
    figures = [json.loads(one.proto.spec) for one in app.get("plotly_chart")]
    traces = [trace for figure in figures for trace in figure["data"] if trace["type"] == "bar"]
    return [trace.get("marker", {}).get("pattern", {}).get("shape", "") for trace in traces]


def test_a_caution_stands_once_on_decide_and_other_pages_lead_there() -> None:
    app = opened(study="your_house")
    assert sum(RULE in one.value for one in app.warning) == 1
    turn(app, "money")
    assert not any(RULE in one.value for one in app.warning)
    links = [one.proto.label for one in app.get("page_link")]
    assert [one for one in links if "on this study: see Decide" in one]


def test_the_count_elsewhere_is_of_what_decide_says() -> None:
    app = opened(study="your_house")
    # no untouched demo any more: Decide asks about the load above its cards instead of a caution
    app.session_state["typed"] = app.session_state["typed"] | {"title": "An invented house of somebody's own"}
    turn(app, "decide")
    assert any("We guessed your house's heat loss" in one.value for one in app.warning)
    assert not any(RULE in one.value for one in app.warning)
    turn(app, "money")
    assert not [one for one in app.get("page_link") if "see Decide" in one.proto.label]


@pytest.mark.parametrize(("mine", "count"), [(True, "1 caution "), (False, "2 cautions ")])
def test_other_cautions_of_an_own_house_are_counted_as_decide_lists_them(
    monkeypatch: pytest.MonkeyPatch, mine: bool, count: str
) -> None:
    warned: list[str] = []
    labels: list[str] = []
    page = SimpleNamespace(warning=warned.append, page_link=lambda *_, label: labels.append(label), session_state={"pages": {"decide": None}})  # fmt: skip
    monkeypatch.setattr(shell, "st", page)
    monkeypatch.setattr(shell.state, "untouched_demo", lambda: not mine)
    context: Any = SimpleNamespace(answer=SimpleNamespace(result=SimpleNamespace(warnings=[rule_of_thumb(), "a pump is large"])), system="us")  # fmt: skip
    for key in ("decide", "money"):
        one: Any = SimpleNamespace(key=key)
        shell._cautions(context, one, ())
    assert any(RULE in one for one in warned) is not mine
    assert "A pump is large" in warned
    assert labels == [f"{count}on this study: see Decide"]
    assert len(warned) == int(count[0])


def test_patterns_are_drawn_where_they_are_asked_for() -> None:
    app = opened("certainty", study="lantern_cottage")
    assert len(bars(app)) > 3
    assert not any(bars(app))
    next(one for one in app.toggle if one.label == "Patterns in charts").set_value(True).run()
    assert not app.exception
    assert {"/", "."} <= set(bars(app))


def test_a_free_fuel_is_no_axis_of_the_map_of_prices() -> None:
    app = opened(study="lantern_cottage")
    study = copy.deepcopy(app.session_state["typed"])
    study["prices"]["off_peak"]["energy"] = "0 $/kWh"
    app.session_state["typed"] = study
    turn(app, "certainty")
    assert [one for one in app.caption if "Off peak has a price of 0" in one.value]
    assert [one.options for one in app.selectbox if one.label == "Horizontal price"] == [["electricity", "natural gas"]]


def test_areas_lose_their_patterns_too() -> None:
    figure = figure_of("Title", "x", "y")
    figure.add_scatter(x=[0, 1], y=[1, 2], fillpattern={"shape": "x"}, stackgroup="heat")
    figure.add_bar(x=[0], y=[1], marker={"pattern": {"shape": "/"}, "color": "#123456"})
    area, bar = without_patterns(figure).data
    assert (area.fillpattern.shape, bar.marker.pattern.shape, bar.marker.color) == ("", "", "#123456")
