"""A heat-loss calculation of one's own is asked with both of its temperatures, and never scaled without a word."""

from __future__ import annotations

from typing import Any

import pytest
from dashboard.app import opened, press, said, turn

from costsim import load_weather, simulate
from costsim.dashboard.loss_question import Calculation, told_at
from costsim.study.case import case_from
from costsim.units.reading import Reading


def told(loss: str = "38 kBtu/h", at: str = "-5 degF", indoor: str = "", planned: str = "68 degF", **more: Any) -> str:
    return told_at(Calculation(Reading(loss), Reading(at), Reading(indoor)), planned, more.get("design_c"), "us")


def test_another_setting_than_the_calculation_s_is_said_with_what_it_makes() -> None:
    """38 kBtu/h over 75 °F are 36.99 over 73 °F, and 41.04 over 81 °F."""
    rest = "of your thermostat: the year is counted so, sizes follow the larger."
    assert told() == f"38.0 kBtu/h at 70 °F indoors is 37.0 kBtu/h at the 68 °F {rest}"
    assert told(planned="76 degF") == f"38.0 kBtu/h at 70 °F indoors is 41.0 kBtu/h at the 76 °F {rest}"
    assert told(indoor="68 degF", planned="").startswith("38.0 kBtu/h at 68 °F indoors is 39.0 kBtu/h at the 70 °F ")
    assert told(at="", design_c=-20.555556) == told()  # -5 °F, the station's
    for same in (told(indoor="68 degF"), told(planned=""), told(planned="70 degF")):
        assert same == ""
    assert told(loss="") == told(at="", design_c=None) == told(at="59 degF", indoor="59 degF", planned="70 degF") == ""


@pytest.mark.long
def test_what_was_calculated_at_the_thermostat_s_setting_stays_what_it_is() -> None:
    app = opened("start")
    app.session_state["start/place"] = "greensboro.csv"
    app.session_state["start/now"] = "oil"
    app.run()
    for key, text in {"area": "2000", "thermostat": "68", "loss": "38 kBtu/h", "loss_at": "-5 °F"}.items():
        app.text_input(key=f"start/{key}").set_value(text)
    app.run()
    assert "Empty: 70 °F, as most calculations take it." in said(app)
    assert "38.0 kBtu/h at 70 °F indoors is 37.0 kBtu/h at the 68 °F of your thermostat" in said(app)
    app.text_input(key="start/loss_indoor").set_value("68").run()
    assert "indoors is" not in said(app)
    press(app, "Show my answer")
    house = app.session_state["typed"]["house"]
    assert (house["design_indoor"], house["balance_point"]) == ("68 degF", "60 degF")
    case = case_from(app.session_state["typed"])
    result = simulate(case, load_weather(case))
    assert result.route.load_w == pytest.approx(38e3 * 1055.056 / 3600, rel=1e-4)  # as typed
    assert app.session_state["typed"]["option"][0]["source"][0]["output"] == "45 kBtu/h"  # 15 % more, by fives
    turn(app, "start")
    assert app.text_input(key="start/loss_indoor").value == "68 °F"
    app.text_input(key="start/loss_indoor").set_value("").run()
    press(app, "Show my answer")
    assert app.session_state["typed"]["house"]["design_indoor"] == "70 degF"
    turn(app, "start")
    assert app.text_input(key="start/loss_indoor").value == ""
