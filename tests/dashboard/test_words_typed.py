"""What a homeowner typed and was not understood: a night's set-back, hours left out, "now", and a program that nobody has named."""

from __future__ import annotations

import pytest
from dashboard.app import opened, press, said, turn


@pytest.mark.long
def test_a_set_back_hours_left_out_and_now_reach_the_study_and_come_back() -> None:
    app = opened("start")
    app.session_state["start/place"] = "greensboro.csv"
    app.session_state["start/now"] = "propane"
    app.session_state["start/considered"] = ["off_peak_propane"]
    app.session_state["start/cheap"] = True
    app.run()
    for key, text in {
        "start/area": "1,850 sq ft",
        "start/thermostat": "70, 65 at night",
        "start/used": "620 gal",
        "start/cheap_price": "7.9c",
        "start/cheap_hours": "switched off 4 to 9 pm",
        "start/renew": "$7,500",
        "start/renew_years": "now",
    }.items():
        app.text_input(key=key).set_value(text)
    app.run()
    text = said(app).replace("\u2060", "")
    assert "Read as 70 °F, 65 °F from 10 pm to 6 am." in text
    assert "These hours are assumed" in text
    assert "Empty: 70 °F, 65 °F from 10 pm to 6 am, as in question 2." in text
    assert "Read as 9 pm to 4 pm." in text
    assert "Off-peak heaters rest from 4 pm to 9 pm." in text
    assert "Read as 1: within the first year" in text
    assert "not understood" not in text
    press(app, "Show my answer")
    data = app.session_state["typed"]
    house = data["house"]
    assert house["indoor_temperature"] == "70 degF"
    assert house["setback"] == [{"indoor_temperature": "65 degF", "windows": ["22:00-06:00"]}]
    assert data["option"][0]["replacement_year"] == 1
    assert data["option"][1]["source"][0]["windows"] == ["21:00-16:00"]
    assert "The answer is for" not in data["note"]  # the year of the use had the same nights
    turn(app, "start")
    assert app.text_input(key="start/thermostat").value == "70 °F, 65 °F from 10 pm to 6 am"
    assert app.text_input(key="start/used_at").value == "70 °F, 65 °F from 10 pm to 6 am"


@pytest.mark.long
def test_the_house_page_reads_a_night_and_asks_to_fit_again_in_words() -> None:
    app = opened("house", study="lantern_cottage")
    field = next(one for one in app.text_input if one.label.startswith("Thermostat setting"))
    field.set_value("70 65 from 9 pm to 5 am").run()
    house = app.session_state["typed"]["house"]
    assert house["indoor_temperature"] == "70 degF"
    assert house["setback"] == [{"indoor_temperature": "65 degF", "windows": ["21:00-05:00"]}]
    assert "With its set-back: 70 °F, 65 °F from 9 pm to 5 am." in said(app)
    assert not app.exception


@pytest.mark.long
def test_a_program_that_nobody_has_named_yet_is_not_judged() -> None:
    app = opened("cold-days", study="net_loft")
    if any(one.label == "Remove" for one in app.button):
        press(app, "Remove")
    press(app, "Add the utility's conditions")
    assert "eligible" not in said(app).lower()
    name = next(one for one in app.text_input if one.label == "Name")
    name.set_value("Night rate").run()
    assert "eligible" in said(app).lower()


@pytest.mark.long
def test_layout_says_whose_tank_it_shows_and_which_options_have_another() -> None:
    app = opened("layout", study="lantern_cottage")
    options = app.session_state["typed"]["option"]
    app.session_state["typed"].setdefault("tank", {"volume": "120 gal", "max_temperature": "180 degF"})
    options[-1].pop("no_tank", None)
    options[-1]["tank"] = {"volume": "200 gal", "max_temperature": "180 degF"}
    app.run()
    text = said(app).replace("\u2060", "")
    assert f"{options[-1]['name']} has a tank of its own, 200 gal; it is on Sources." in text
    shared = [one["name"] for one in options if "tank" not in one and not one.get("no_tank")]
    assert (f"This tank is that of: {', '.join(shared)}." in text) == bool(shared)
    turn(app, "decide")
    assert "with nothing taken off for sun and people" in said(app)
