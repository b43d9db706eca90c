"""A year of weather made from what is typed on the screen."""

from __future__ import annotations

import math

import pytest
from dashboard.app import again, field, opened, press, said, turn, verdict

from costsim import InputError
from costsim.dashboard import synthetic_weather as town
from costsim.dashboard.weather_choice import meant
from costsim.study.bundle import pack
from costsim.weather.means import read_means
from costsim.weather.synthesis import synthesize

COLD_MONTHS = [19.0, 23.0, 34.0, 46.0, 58.0, 67.0, 71.0, 69.0, 61.0, 49.0, 37.0, 25.0]  # °F, invented
NONE = [math.nan] * 12


def test_what_is_typed_is_the_year_that_a_file_of_means_gives() -> None:
    text = town.means_table("St. Anywhere", ["44.9", "-93.1", "-6", ""], "-9 degF", "degF", COLD_MONTHS, NONE)
    found = read_means("typed", content=text.encode())
    assert (found["title"], found["latitude_deg"], found["longitude_deg"]) == ("St. Anywhere", 44.9, -93.1)
    assert found["design_99_c"] == pytest.approx((-9 - 32) / 1.8, abs=0.01)
    made = synthesize(**found, seed=town.SEED)
    assert made.synthetic
    january = made.outdoor_c[: 31 * 24].mean()
    assert january == pytest.approx((19.0 - 32.0) / 1.8, abs=0.05)
    clear = read_means(
        "typed", content=town.means_table("x", ["44", "-93", "-6", "9"], "", "degC", COLD_MONTHS, [0.5] * 12).encode()
    )
    assert clear["monthly_clearness"] == [0.5] * 12
    assert clear["altitude_m"] == 9.0


def test_a_cold_without_a_unit_counts_in_the_readers_and_another_word_is_refused_by_the_fields_name() -> None:
    text = town.means_table("x", ["44", "-93", "-6", ""], "-9", "degF", COLD_MONTHS, NONE)
    assert "# design_99: -22.78" in text
    with pytest.raises(InputError, match="only 88 hours of a usual year are colder"):
        town.means_table("x", ["44", "-93", "-6", ""], "cold", "degF", COLD_MONTHS, NONE)
    with pytest.raises(InputError, match="-561 °F cannot be") as told:  # said in the field's own unit
        town.means_table("x", ["44", "-93", "-6", ""], "-561", "degF", COLD_MONTHS, NONE)
    assert town.COLD in str(told.value)


@pytest.mark.long
def test_a_town_is_found_as_it_was_left() -> None:
    app = opened("house")
    app.session_state["town/box"] = True
    app.run()
    app.text_input(key="town/name").set_value("Burlington").run()
    app.text_input(key="town/cold").set_value("-4").run()
    turn(app, "prices")
    turn(app, "house")
    assert (app.text_input(key="town/name").value, app.text_input(key="town/cold").value) == ("Burlington", "-4")


def test_what_is_missing_is_told_by_the_labels_on_the_screen() -> None:
    app = opened("house")
    next(one for one in app.text_input if one.label == "Latitude, degrees").set_value("north").run()
    next(one for one in app.button if one.label == "Make this year").click().run()
    assert not app.exception
    assert any("No year was made" in one.value for one in app.error)
    told = "\n".join(one.value for one in app.text)
    assert "Latitude, degrees: 'north' is not a number" in told
    assert "Longitude, degrees: is missing; East is positive and west negative" in told
    assert "Months: no mean temperature is typed for Jan, Feb, Mar, Apr, " in told
    assert "write a number of °F in each" in told
    assert "row " not in told
    assert app.session_state["typed"]["place"]["weather"] == "greensboro.csv"


@pytest.mark.long
def test_a_year_from_the_screen_is_the_weather_of_the_study(monkeypatch: pytest.MonkeyPatch) -> None:
    packed_files: list[bytes] = []
    monkeypatch.setattr(
        "costsim.dashboard.files_of_study.pack", lambda *parts: packed_files.append(raw := pack(*parts)) or raw
    )
    # the test driver cannot type into a table, so the table is given back filled
    monkeypatch.setattr(town.st, "data_editor", lambda frame, **_: frame.assign(mean=COLD_MONTHS))
    app = opened(study="your_house")
    before = verdict(app)
    turn(app, "house")
    for label, typed in (
        ("Town", "St. Any/where"),
        ("Latitude, degrees", "44.9 N"),
        ("Longitude, degrees", "-93.1"),
        ("Hours from UTC in winter time", "6"),
        (town.COLD, "-9 degF"),
    ):
        field(app, label).set_value(typed)
    app.run()
    assert "Read as -6 hours: west of Greenwich the clock is behind." in said(app)
    field(app, "Longitude, degrees").set_value("93.1")
    app.run()
    assert "Read as -93.1°, west, and -6 hours, as in North America; write +93.1 for east." in said(app)
    field(app, "Hours from UTC in winter time").set_value("-6")
    next(one for one in app.button if one.label == "Make this year").click().run()
    assert not app.exception
    assert not app.error
    assert app.session_state["typed"]["place"]["weather"] == "St. Any-where (made from monthly means)"
    assert any(one.value == "St. Any-where (made from monthly means)" for one in app.selectbox)
    assert "Read as -93.1°, west, as the hours from UTC are behind." in said(app)
    assert [one.value for one in app.success if "the year is made and chosen" in one.value]
    # what the invented house says of its own place does not go with it
    assert set(app.session_state["typed"]["place"]) == {"weather"}
    answer = verdict(turn(app, "decide"))
    assert answer != before
    # the address carries the means, so that a reload or a link in another session makes the same year again
    other = again(app)
    assert verdict(other) == answer
    # the file that is saved right after a reload holds the year too, and so does a reload of where that file was opened
    assert "Save with its files" in [one.label for one in other.get("download_button")]
    assert verdict(again(other)) == answer
    third = opened(study="your_house")
    upload = next(one for one in third.file_uploader if str(one.key).startswith("upload/"))
    upload.set_value(("a.zip", packed_files[-1], "application/zip")).run()
    assert not third.exception
    assert verdict(third) == answer
    assert verdict(again(third)) == answer
    # the questions begin with the town and with nothing of the invented house it was tried on
    turn(app, "start")
    assert app.selectbox(key="start/place").value == "St. Any-where (made from monthly means)"
    assert (app.text_input(key="start/area").value, app.text_input(key="start/loss").value) == ("", "")
    assert "Gas boiler:" not in said(app)
    app.text_input(key="start/area").set_value("1,800").run()
    turn(app, "house")
    field(app, "Outdoor design temperature").set_value("-11").run()
    turn(app, "start")
    assert app.text_input(key="start/area").value == "1,800"
    press(app, "Show my answer")
    typed = app.session_state["typed"]
    assert (typed["place"]["design_outdoor"], typed["house"]["floor_area"]) == ("-11 degF", "1800 ft2")
    assert "design_heat_loss" not in typed["house"]


@pytest.mark.parametrize("page", ["start", pytest.param("house", marks=pytest.mark.long)])
def test_a_town_or_zip_that_is_not_there_is_told_with_every_way_out(page: str) -> None:
    app = opened(page)
    assert "the list has 163 US towns, each with a year made from its climate normals, and 3 stations" in said(app)
    assert "Not there? Open a file below" in said(app)
    before = app.session_state["typed"]["place"]["weather"]
    box = next(one for one in app.selectbox if one.label.startswith("Weather station"))
    box.options.append("Tamarack 55787")  # as the browser does with what is typed anew
    box.set_value("Tamarack 55787").run()
    assert not app.exception
    told = said(app)
    assert "No weather of “Tamarack 55787” comes with this program" in told
    for way in (
        "open a file of a town near you",
        "twelve monthly mean temperatures",
        "coldest nights are like yours (",
        "15 °F",
        "Greensboro Piedmont Triad Int, NC; ",
    ):
        assert way in told
    assert app.session_state["typed"]["place"]["weather"] == before
    # what was typed is the name of the town whose year can be made right there
    assert app.session_state["town/box"]
    assert app.text_input(key="town/name").value == "Tamarack 55787"


@pytest.mark.long
def test_a_town_made_in_the_questions_is_taken_and_every_other_answer_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(town.st, "data_editor", lambda frame, **_: frame.assign(mean=COLD_MONTHS))
    app = opened("start")
    example = app.session_state["typed"]
    for key, text in {"area": "1,850", "thermostat": "68", "price/electricity": "15c"}.items():
        app.text_input(key=f"start/{key}").set_value(text).run()
    app.session_state["town/box"] = True
    app.run()
    field(app, "Town").set_value("Bangor")
    field(app, "Latitude, degrees").set_value("44.8")
    field(app, "Longitude, degrees").set_value("-68.8")
    press(app, "Make this year")
    assert any("No year was made" in one.value for one in app.error)  # hours from UTC are missing
    field(app, "Hours from UTC in winter time").set_value("-5")
    press(app, "Make this year")
    assert app.title[0].value == "Your house in five questions"
    assert app.selectbox(key="start/place").value == "Bangor (made from monthly means)"
    assert "No weather of" not in said(app)
    kept = [app.text_input(key=f"start/{key}").value for key in ("area", "thermostat", "price/electricity")]
    assert kept == ["1,850", "68", "15c"]
    assert app.session_state["typed"] == example
    press(app, "Show my answer")
    typed = app.session_state["typed"]
    assert (typed["place"], typed["house"]["floor_area"]) == (
        {"weather": "Bangor (made from monthly means)"},
        "1850 ft2",
    )


def test_a_part_of_a_stations_name_is_enough() -> None:
    app = opened("start")
    assert [meant(one) for one in ("Greens", "sand", "Tamarack", "a", "greensboro.csv", "duluth", "Portland")] == [
        "greensboro.csv", "sand_point.csv", "Tamarack", "a", "greensboro.csv", "Duluth, MN", "Portland",
    ]  # fmt: skip
    box = app.selectbox(key="start/place")
    box.options.append("Greens")
    box.set_value("Greens").run()
    assert app.selectbox(key="start/place").value == "greensboro.csv"
    assert "No weather of" not in said(app)


@pytest.mark.parametrize("page", ["start", pytest.param("house", marks=pytest.mark.long)])
def test_a_listed_town_is_chosen_like_a_station(page: str) -> None:
    app = opened(page)
    box = next(one for one in app.selectbox if one.label.startswith("Weather station"))
    assert "Duluth, MN" in box.options
    box.set_value("Duluth, MN").run()
    assert not app.exception
    told = said(app)
    assert "Duluth, MN: a synthetic year, made from its climate normals of 1981 to 2010 (NOAA)" in told
    assert "99% design temperature, -16 °F" in told  # -26.6 °C is -15.9 °F
    assert "No weather of" not in told
    found = next(one for one in app.selectbox if one.label.startswith("Weather station"))
    assert found.value == "Duluth, MN (made from monthly means)"
    assert "Duluth, MN" not in found.options


@pytest.mark.long
def test_a_listed_town_without_a_design_temperature_goes_on_with_an_estimate_until_one_is_typed() -> None:
    app = opened("start")
    app.selectbox(key="start/place").set_value("Denver, CO").run()
    assert not app.exception
    assert app.selectbox(key="start/place").value == "Denver, CO (made from monthly means)"
    told = said(app)
    assert "Denver, CO: a synthetic year, made from its climate normals of 1981 to 2010 (NOAA)." in told
    # 163 towns, 48 with a table; Denver's own is not among them: -11.5 °C by Erbs, less 2.3 K, is 7 °F
    assert (
        "Empty: about 7 °F, estimated from the monthly means. In 8 of 10 towns whose tables we have, that is within 5 °F"
        in told
    )
    name = "Denver, CO (made from monthly means)"
    assert b"99 % design temperature is estimated" in app.session_state["opened"][name]
    app.text_input(key="town/design/Denver, CO").set_value("1").run()
    assert not app.exception
    assert "The year is made for 1 °F, as typed." in said(app)
    assert b"# design_99: -17.22" in app.session_state["opened"][name]
    assert b"estimated" not in app.session_state["opened"][name]
    app.text_input(key="town/design/Denver, CO").set_value("cold").run()
    assert "The year is made for 1 °F, as typed." in said(app)
    assert any("cold" in one.value for one in app.error)
    # nothing that was typed for one town stands beside another, and what its year rests on is there again after that
    app.selectbox(key="start/place").set_value("Spokane, WA").run()
    assert app.text_input(key="town/design/Spokane, WA").value == ""
    assert "estimated from the monthly means" in said(app)
    assert not any("cold" in one.value for one in app.error)
    app.selectbox(key="start/place").set_value(name).run()
    assert app.text_input(key="town/design/Denver, CO").value == "1 °F"
    assert "The year is made for 1 °F, as typed." in said(app)
    assert not any("cold" in one.value for one in app.error)
    app.text_input(key="town/design/Denver, CO").set_value("").run()
    assert "Empty: about 7 °F, estimated" in said(app)


@pytest.mark.long
def test_an_estimate_stays_one_where_sunshine_is_given(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(town.st, "data_editor", lambda frame, **_: frame.assign(clear=0.5))
    app = opened("start")
    app.selectbox(key="start/place").set_value("Denver, CO").run()
    press(app, "Give it sunshine")
    press(app, "Make this year")
    told = said(app)
    assert "no sunshine" not in told
    assert "Empty: about 7 °F, estimated from the monthly means" in told


@pytest.mark.long
def test_sunshine_is_asked_for_where_the_sun_was_chosen_and_no_more_once_it_is_given(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(town.st, "data_editor", lambda frame, **_: frame.assign(clear=0.5))
    app = opened("start")
    box = app.selectbox(key="start/place")
    box.set_value("Duluth, MN").run()
    assert "It holds no sunshine" in said(app)
    asked = "Sunshine is needed for Sun with electric, and the year of Duluth, MN holds none yet. In [question 1](#q1)"
    assert asked not in said(app)
    app.session_state["start/considered"] = ["sun"]
    app.run()
    assert asked in said(app)
    # the form comes with all that the year was made from, so that only the clearness is left to type
    press(app, "Give it sunshine")
    assert app.text_input(key="town/name").value == "Duluth, MN"
    assert app.text_input(key="town/cold").value
    press(app, "Make this year")
    assert "Duluth, MN: a synthetic year" in said(app)
    assert "no sunshine" not in said(app)
    assert asked not in said(app)
