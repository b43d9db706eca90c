"""The electric service is asked on Sources as soon as an option heats with electricity for hours."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from dashboard.app import field, opened, press, said, turn
from streamlit.testing.v1 import AppTest

from costsim.dashboard import service_question
from costsim.dashboard.service import asks_for_service
from costsim.units.reading import Reading


@pytest.mark.parametrize(
    ("kinds", "asked"),
    [
        ([], False),
        (["gas", "wood", "solar"], False),
        (["a kind of a later version"], False),
        (["gas", "electric"], True),
        (["heat_pump"], True),
        (["off_peak_electric"], True),
    ],
)
def test_it_is_asked_where_a_source_is_an_electric_load_for_hours(kinds: list[str], asked: bool) -> None:
    assert asks_for_service([{"kind": kind} for kind in kinds]) is asked


@pytest.mark.long
def test_it_is_typed_beside_the_electric_unit_and_shown_there() -> None:
    app = opened("sources", study="your_house", persona="household")
    assert "not typed yet; it is asked at the foot" not in said(app)  # the unit is closed
    app.toggle(key="show_all").set_value(True).run()
    assert said(app).count("not typed yet; it is asked at the foot of this page") == 1  # one electric unit
    field(app, "Service").set_value("150").run()
    assert "Type the service and one of the other two" in said(app)
    field(app, "Highest demand").set_value("7 kW").run()
    assert app.session_state["typed"]["selection"] == {"service": "150 A", "measured_peak": "7 kW"}
    assert "Type the service and one of the other two" not in said(app)
    assert "Electric service: 150 A, as typed." in said(app).replace("[", "").replace("](#service)", "").replace("(#service)", "").replace("]", "")  # fmt: skip


@pytest.mark.long
def test_without_electric_heat_nobody_is_asked() -> None:
    app = opened("sources", study="your_house")
    app.session_state["typed"]["option"] = [
        one for one in app.session_state["typed"]["option"] if one["source"][0]["kind"] != "electric"
    ]
    app.run()
    assert not [one for one in app.text_input if one.label == "Service"]


def answering(now: str, considered: str) -> AppTest:
    """The five questions of a house in Greensboro, with what heats it and what is compared."""
    app = opened("start")
    app.session_state["start/place"] = "greensboro.csv"
    app.session_state["start/now"] = now
    app.session_state["start/considered"] = [considered]
    return app.run()


@pytest.mark.long
def test_five_questions_take_it_and_decide_says_where_it_is_too_small() -> None:
    """9 kW at 240 V, times 1.25: 46.9 A; of 40 A free 6.9 A too much."""
    app = answering("oil", "pellets")
    assert not [one for one in app.text_input if one.key == "start/service"]
    app.session_state["start/considered"] = ["electric"]
    app.run()
    app.text_input(key="start/size/electric").set_value("9 kW")
    app.text_input(key="start/service").set_value("100")
    app.text_input(key="start/service_free").set_value("120").run()
    assert "No more can be free than the service has." in said(app)
    press(app, "Show my answer")
    assert "First correct:" in said(app)
    app.text_input(key="start/service_free").set_value("40").run()
    press(app, "Show my answer")
    assert app.session_state["typed"]["selection"] == {"service": "100 A", "service_free": "40 A"}
    turn(app, "decide")
    assert "Electric boiler asks for 46.9 A, and the electric service has 40 A free: 6.9 A too little." in said(app)
    turn(app, "sources")
    assert "A free: 6.9 A too little." in said(app)
    assert "What is free is typed at the top of this page" in said(app)
    # what else was typed of it stays when the study is made anew
    app.session_state["typed"]["selection"] |= {"appliances": "14 kW", "service_free": "60 A"}
    turn(app, "start")
    assert app.text_input(key="start/service_free").value == "60 A"
    app.text_input(key="start/service").set_value("").run()
    press(app, "Show my answer")
    assert app.session_state["typed"]["selection"] == {"service_free": "60 A", "appliances": "14 kW"}
    assert "too little" not in said(turn(app, "decide"))
    assert "Electric service with this option: 46.9 A of 60 A free." in said(turn(app, "sources"))


@pytest.mark.long
def test_five_questions_ask_for_it_where_today_s_heat_is_electric() -> None:
    app = answering("electric", "pellets")
    assert [one for one in app.text_input if one.key == "start/service"]


@pytest.mark.parametrize(
    ("whole", "free", "fits"), [("1000 A", "200 A", True), ("100 A", "120 A", False), ("200 A", "200 A", True)]
)
def test_what_is_free_is_held_against_the_service_by_amperes(
    monkeypatch: pytest.MonkeyPatch, whole: str, free: str, fits: bool
) -> None:
    """Of 100 A no 120 can be free, of 200 A all."""
    typed, said_wrong = {"start/service": whole, "start/service_free": free}, list[str]()
    monkeypatch.setattr(service_question, "asked", lambda label, key, *rest: Reading(typed[key]))
    monkeypatch.setattr(service_question, "asks_for_service", lambda sources: True)
    monkeypatch.setattr(service_question.st, "error", said_wrong.append)
    form: Any = SimpleNamespace(currency="$", system="us")
    readings = service_question.ask_service([], form)
    assert readings["service_free"].text == (free if fits else "")
    assert bool(said_wrong) == (not fits)
