"""What was answered in the five questions comes back: after a reload, from a saved study, and beside a tried price."""

from __future__ import annotations

from typing import Any

import pytest
from dashboard.app import again, field, opened, press, said, slide, turn
from streamlit.testing.v1 import AppTest

from costsim.dashboard.answers import LINE, code_in
from costsim.dashboard.link import packed
from costsim.study.case import parse_study

TYPED = {"area": "1900", "thermostat": "69 °F", "used": "640", "efficiency": "80", "price/heating_oil": "3.85"}


def begun() -> AppTest:
    """A house that burns oil today, kept at 69 °F."""
    app = opened("start")
    app.session_state["start/place"] = "greensboro.csv"
    app.session_state["start/now"] = "oil"
    app.session_state["start/insulation"] = "little"
    app.session_state["start/emitter"] = "baseboard"
    app.run()
    for key, text in TYPED.items():
        app.text_input(key=f"start/{key}").set_value(text)
    app.run()
    press(app, "Show my answer")
    return turn(app, "decide")


def form(app: AppTest) -> dict[str, Any]:
    """Fields of the five questions as they are filled in."""
    found = {str(one.key): one.value for one in (*app.text_input, *app.selectbox)}
    return {key: value for key, value in found.items() if key.startswith("start/")}


@pytest.fixture
def saved(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What the button that saves a study alone was given."""
    found: list[str] = []
    from costsim.dashboard import files_of_study

    button = files_of_study.st.download_button

    def keep(label: str, data: Any, *rest: Any, **more: Any) -> bool:
        if rest[:1] and str(rest[0]).endswith(".toml"):
            found.append(data)
        return button(label, data, *rest, **more)

    monkeypatch.setattr(files_of_study.st, "download_button", keep)
    return found


@pytest.mark.long
def test_answers_come_back_from_link_and_saved_study_and_a_tried_price_stays_a_trial(saved: list[str]) -> None:
    app = begun()
    house = dict(app.session_state["typed"]["house"])
    assert (house["indoor_temperature"], house["design_indoor"]) == ("69 degF", "70 degF")
    # the pencil's: gallons by price, and the burner's 200 W at $0.16 while it fires 55 kBtu/h of 138.7 kBtu/gal at 80 %
    bill = 640 * 3.85 + 640 * 138.7 * 0.8 / 55 * 0.2 * 0.16
    before = app.session_state["good"][0]
    option = next(one for one in opened_result(app).options if one.name == before.options[0].name)
    assert option.cost_total == pytest.approx(bill, rel=0.01)
    slide(app, "/heating_oil ", 0.9)
    assert "you pay $3.85/gal" in said(app)
    assert "Your 640 gal a year tell" in said(app)
    assert "The thermostat was taken to be at 69 °F in that year." in said(app)
    first = form(turn(app, "start"))
    assert first["start/price/heating_oil"] == "$3.85/gal"
    assert (first["start/used"], first["start/efficiency"]) == ("640 gal", "80%")
    assert (first["start/insulation"], first["start/thermostat"]) == ("little", "69 °F")
    reloaded = again(app, "start")
    assert form(reloaded) == first
    file = saved[-1].encode()
    other = opened("start")
    upload = next(one for one in other.file_uploader if str(one.key).startswith("upload/"))
    upload.set_value(("my-house.toml", file, "text/plain")).run()
    assert form(other) == first
    press(reloaded, "Show my answer")
    assert reloaded.session_state["typed"]["house"] == house
    assert reloaded.session_state["typed"]["prices"]["heating_oil"]["energy"] == "3.85 $/gal"
    # the line that holds them is a comment to whoever else reads the file, and nonsense in it is no answer
    assert "answers" not in parse_study(file)
    assert code_in(f"a = 1\n{LINE}xyz\n".encode()) == "xyz"
    # another thermostat: whoever used that much at it says so, and who only tries it leaves the fit alone
    turn(reloaded, "house")
    field(reloaded, "Thermostat setting").set_value("72").run()
    assert "with the thermostat at 69 °F; now it is at 72 °F. Did you use 640 gal at 72 °F?" in said(reloaded)
    assert reloaded.session_state["typed"]["house"]["heat_loss_rate"] == house["heat_loss_rate"]
    press(reloaded, "Fit to your 640 gal again")
    warm = reloaded.session_state["typed"]["house"]["heat_loss_rate"]
    assert float(warm.split()[0]) < float(house["heat_loss_rate"].split()[0])
    assert "Did you use" not in said(turn(reloaded, "decide"))
    assert form(turn(reloaded, "start"))["start/thermostat"] == "72 °F"


def opened_result(app: AppTest) -> Any:
    """The answer that the session shows."""
    from costsim.simulation import simulate

    case, weather = app.session_state["good"][:2]
    return simulate(case, weather)


@pytest.mark.long
def test_a_link_with_nonsense_for_answers_leaves_the_form_as_the_study_has_it() -> None:
    data = dict(opened("start", study="your_house").session_state["typed"]) | {"title": "Mine"}
    wrong = {
        "start/now": "perpetual motion", "start/considered": ["x"], "start/renew_years": 900, "start/insulation": [],
        "start/used": "9" * 999, "start/emitter": "sun", "start/cheap": "yes", "start/cheap_days": 3, "persona": "x",
        "start/place": "../../etc/passwd", "start/thermostat": {"a": 1}, "start/efficiency": "<b>80</b>",
    }  # fmt: skip
    for code in (
        packed({"answers": wrong, "fit": {"used": 3}, "examples": "no"}),
        packed({"answers": [], "fit": [], "examples": [[]]}),
        "cut off",
    ):
        app = opened("start", study=packed(data), answers=code)
        assert form(app)["start/place"] == data["place"]["weather"]
        assert form(app)["start/used"] == ""
        assert "First correct" not in said(app)


@pytest.mark.long
def test_undo_and_redo_bring_back_the_answers_with_the_study() -> None:
    app = begun()
    turn(app, "start")
    app.text_input(key="start/used").set_value("700")
    app.text_input(key="start/thermostat").set_value("66").run()
    press(app, "Show my answer")
    turn(app, "decide")
    press(app, "Undo")
    first = form(turn(app, "start"))
    assert (first["start/used"], first["start/thermostat"]) == ("640 gal", "69 °F")
    press(app, "Redo")  # with the fields on the page
    later = form(app)
    assert (later["start/used"], later["start/thermostat"]) == ("700 gal", "66 °F")
    assert form(again(app, "start")) == later
    press(app, "Undo")
    press(app, "Show my answer")
    assert app.session_state["fitted_use"].used == "640 gal"


@pytest.mark.long
def test_a_year_s_use_is_read_as_people_say_it_and_what_is_wrong_is_named_at_its_field() -> None:
    app = opened("start")
    app.session_state["start/place"] = "greensboro.csv"
    app.session_state["start/now"] = "propane"
    app.session_state["start/cheap"] = True
    app.run()
    for key, text in {"used": "9,999,999 gal", "thermostat": "680", "loss": "42000", "price/propane": "3.29"}.items():
        app.text_input(key=f"start/{key}").set_value(text)
    app.run()
    text = said(app)
    assert "9,999,999 gal is far from what a house uses in a year. Is that right?" in text
    assert "680 °F is far too warm here, where 86 °F is the most; write it like 70 °F" in text
    assert "Empty: 10 pm to 6 am is assumed." in text
    assert any("Enter the cheaper price" in str(one.value) for one in app.error)
    assert any(str(one.key) == "start/loss/answer" for one in app.button_group)
    press(app, "Show my answer")
    wrong = next(str(one.value) for one in app.error if "First correct" in str(one.value))
    assert "“How warm will you keep it?”" in wrong
    assert "“Price in the cheaper hours”" in wrong
    assert "“Heated floor area”" not in wrong
    app.text_input(key="start/used").set_value("780 gallons last winter").run()
    assert "Read as 780 gal." in said(app)
