"""The logic of the screens, without a browser."""

from __future__ import annotations

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

APP = Path(__file__).parents[2] / "app.py"


@pytest.fixture
def app() -> AppTest:
    found = AppTest.from_file(str(APP), default_timeout=60).run()
    assert not found.exception
    return found


def field(app: AppTest, label: str):
    """The first text field of a label."""
    return next(one for one in app.text_input if one.label == label)


def sentence(app: AppTest) -> str:
    return app.subheader[0].value


def errors(app: AppTest) -> list[str]:
    return [one.value for one in app.error]


def test_the_answer_stands_on_top(app: AppTest) -> None:
    assert app.title[0].value == "Does the gas meter ever pay?"
    assert "likelier to be cheaper" in sentence(app)
    assert len(app.dataframe) == 1


@pytest.mark.parametrize(
    "part", ["Where the heat comes from", "Cold hours", "The bill", "How sure", "What it rests on"]
)
@pytest.mark.parametrize("study", ["lantern_cottage", "net_loft", "valley_row"])
def test_every_part_of_every_study_draws(app: AppTest, part: str, study: str) -> None:
    if study != "lantern_cottage":
        app.sidebar.selectbox[0].set_value(study).run()
    app.session_state["part"] = part
    app.run()
    assert not app.exception
    assert not errors(app)
    assert app.session_state["part"] == part


def test_a_changed_price_changes_the_answer(app: AppTest) -> None:
    before = sentence(app)
    next(one for one in app.text_input if one.value == "1.22 $/therm").set_value("6 $/therm").run()
    assert not app.exception
    assert sentence(app) != before
    assert sentence(app).startswith("Off-peak with electric by day")


def test_a_wrong_value_stays_and_is_explained(app: AppTest) -> None:
    before = sentence(app)
    field(app, "Heated floor area").set_value("1180").run()
    assert field(app, "Heated floor area").value == "1180"
    assert any("bare number" in text for text in errors(app))
    assert sentence(app) == before
    assert any("last study that could be computed" in one.value for one in app.warning)
    field(app, "Heated floor area").set_value("1180 ft2").run()
    assert not errors(app)


def test_undo_takes_the_last_change_back(app: AppTest) -> None:
    field(app, "Indoor set-point").set_value("65 degF").run()
    assert field(app, "Indoor set-point").value == "65 degF"
    next(one for one in app.button if one.label == "Undo").click().run()
    assert field(app, "Indoor set-point").value == "70 degF"


def test_units_change_what_is_shown(app: AppTest) -> None:
    assert "kBtu/h" in sentence(app)
    app.sidebar.radio[0].set_value("SI").run()
    assert "kW" in sentence(app)
    assert "kBtu/h" not in sentence(app)


def test_a_weather_of_another_place_moves_the_answer(app: AppTest) -> None:
    before = sentence(app)
    next(one for one in app.selectbox if one.label == "Weather of which place").set_value("sand_point.csv").run()
    assert not app.exception
    assert sentence(app) != before


def test_one_more_value_can_be_given(app: AppTest) -> None:
    more = next(one for one in app.selectbox if one.label == "Give one more value" and "Gains" in one.options)
    more.set_value("South glass that counts").run()
    assert not app.exception
    assert field(app, "South glass that counts").value == "4 m2"


def test_titles_are_shown_letter_by_letter(app: AppTest) -> None:
    app.session_state["typed"]["title"] = "![x](http://example.invalid/x.png) <b>$5</b>"
    app.run()
    assert not app.exception
    shown = app.title[0].value
    assert shown.replace(chr(92), "") == "![x](http://example.invalid/x.png) <b>$5</b>"
    assert all(f"{chr(92)}{mark}" in shown for mark in "![](<$")
