"""Sun for hot water among the five questions."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from dashboard.app import opened, press, said, turn
from streamlit.testing.v1 import AppTest

from costsim import load_weather, simulate
from costsim.dashboard import todays_question
from costsim.study.case import case_from


def answered() -> AppTest:
    """A house that burns 900 gallons of propane today."""
    app = opened("start")
    app.selectbox(key="start/place").set_value("greensboro.csv").run()
    app.selectbox(key="start/now").set_value("propane").run()
    for key, text in {"area": "1500", "used": "900"}.items():
        app.text_input(key=f"start/{key}").set_value(text).run()
    return app


@pytest.mark.parametrize(
    ("considered", "people", "told"),
    [
        ([], "", "Not said: the answer is for heating alone"),
        (["sun_propane"], "", "Not said: the answer is for heating alone"),
        # propane heats the house today, so that sun beside natural gas is not offered
        (["sun_water_gas"], "", "Not said: the answer is for heating alone"),
        (["sun_water_propane"], "", "Not said: 3 people are taken; every option then heats their tap water."),
        # 57 L a person and day are 15.06 gal
        (["sun_water_propane"], "4", "Every option then heats their tap water too, 57 L a day each, and your bills"),
        ([], "4", "Every option then heats their tap water too, 57 L a day each, and your bills"),
    ],
)
def test_who_uses_the_hot_water_is_not_taken_without_a_word(
    monkeypatch: pytest.MonkeyPatch, considered: list[str], people: str, told: str
) -> None:
    said_so: list[str] = []
    column = SimpleNamespace(selectbox=lambda *_, **__: people, caption=said_so.append)
    fake = SimpleNamespace(session_state={"start/considered": considered}, columns=lambda *_, **__: (column, column))
    monkeypatch.setattr(todays_question, "st", fake)
    assert todays_question._ask_people("propane", "si") == int(people or 0)
    assert len(said_so) == 1
    assert said_so[0].replace("\\", "").startswith(told)


@pytest.mark.long
def test_sun_for_hot_water_is_chosen_beside_what_heats_today_and_asks_for_people() -> None:
    app = answered()
    assert not any(one.key == "start/people" for one in app.selectbox)
    app.session_state["start/considered"] = ["sun_water_propane"]
    app.run()
    assert "Every option then heats the tap water too: today's bill comes out higher than yours" in said(app)
    app.checkbox(key="start/hot_water").check().run()
    assert "today's bill comes out higher" not in said(app)
    assert "Not said: 3 people are taken; every option then heats their tap water." in said(app)
    assert "the answer is for heating alone" not in said(app)
    assert "What heats the house today stays in: Propane with sun for hot water." in said(app)
    app.selectbox(key="start/people").set_value("4").run()
    assert "Empty: 80 gal, as assumed." in said(app)
    app.selectbox(key="start/people").set_value("6").run()
    assert "Empty: 120 gal, as assumed." in said(app)
    app.selectbox(key="start/people").set_value("4").run()
    app.text_input(key="start/quote/sun_water_propane").set_value("9,000").run()
    press(app, "Show my answer")
    turn(app, "decide")
    assert "Every cost here is for heating alone" not in said(app)
    data = app.session_state["typed"]
    assert data["use"] == [{"kind": "hot_water", "people": 4}]
    assert data["option"][1]["first_cost"] == "9000 $"
    assert "service" not in data["prices"]["propane"]
    turn(app, "start")
    assert app.selectbox(key="start/people").value == "4"
    assert "The hot water counted here has changed" not in said(turn(app, "decide"))
    # with more people the year's fuel tells a smaller heat loss, once it is fitted again
    loss = data["house"]["heat_loss_rate"]
    app.session_state["typed"]["use"][0]["people"] = 6
    app.run()
    assert "The hot water counted here has changed since the heat loss was found from your 900 gal a year" in said(app)
    press(app, "Fit to your 900 gal again")
    data = app.session_state["typed"]
    assert float(data["house"]["heat_loss_rate"].split()[0]) < float(loss.split()[0])
    case = case_from(data)
    season = simulate(case, load_weather(case)).option("Propane").sources[0]
    assert case.prices["propane"].sold("propane", season.input_j, "us")[0] == pytest.approx(900, rel=0.01)
    assert "has changed since" not in said(turn(app, "decide"))


@pytest.mark.long
def test_a_town_without_sunshine_is_told_before_the_answer_and_not_by_a_fault_of_its_file() -> None:
    app = answered()
    app.selectbox(key="start/place").set_value("Duluth, MN").run()
    app.session_state["start/considered"] = ["sun_water_propane"]
    app.run()
    assert "press “Give it sunshine”, type the twelve values of Clearness" in said(app)
    press(app, "Show my answer")
    told = said(app)
    assert "give the year sunshine for Propane with sun for hot water" in told
    assert "radiation" not in told
