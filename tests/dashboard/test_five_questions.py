"""The five questions: a year's use, quotes and emitters, and that they are found again; numbers as people type them."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from dashboard.app import again, field, opened, press, said, turn, verdict
from streamlit.testing.v1 import AppTest

from costsim import load_weather, simulate
from costsim.dashboard import following
from costsim.study.case import case_from
from costsim.views.first_study import answers_of, keep_typed
from costsim.views.templates import TEMPLATES
from costsim.views.todays_heater import keep_todays


def answered(**texts: str) -> AppTest:
    """A house that burns propane today, against a heat pump."""
    app = opened("start")
    app.selectbox(key="start/place").set_value("greensboro.csv").run()
    app.selectbox(key="start/now").set_value("propane").run()
    app.session_state["start/considered"] = ["heat_pump"]
    app.run()
    for key, text in {"area": "1500", **texts}.items():
        app.text_input(key=f"start/{key.replace('__', '/')}").set_value(text).run()
    return app


@pytest.mark.long
def test_a_calculation_stands_beside_a_years_use_and_sizes_follow_the_larger() -> None:
    app = answered(used="620", loss="60000 Btu/h")
    press(app, "Show my answer")
    turn(app, "decide")
    assert "calculation of 60,000 Btu/h stands beside it: bills go by the fuel, sizes by the larger" in said(app)
    data = app.session_state["typed"]
    case = case_from(data)
    season = simulate(case, load_weather(case)).option("Propane").sources[0]
    assert case.prices["propane"].sold("propane", season.input_j, "us")[0] == pytest.approx(620, rel=0.01)
    assert data["house"]["design_heat_loss"].replace(",", "") in ("60 kBtu/h", "60000 Btu/h")
    assert data["option"][0]["source"][0]["output"] == "70 kBtu/h"  # 15 % more than 60, the next size of ten
    turn(app, "start")
    assert next(one.value for one in app.text_input if one.key == "start/loss")
    # another heat loss than the fuel told: what was said of it goes
    assert "620 gal" in app.session_state["typed"]["note"]
    field(turn(app, "house"), "Heat loss per degree").set_value("700 Btu/(h degF)").run()
    assert "note" not in app.session_state["typed"]
    assert app.session_state["typed"]["house"]["heat_loss_rate"].startswith("700")


@pytest.mark.long
def test_a_years_use_is_taken_and_every_answer_is_found_again() -> None:
    app = answered(used="620", quote__heat_pump="14,000", price__propane="2.55", thermostat="69", efficiency="80")
    assert "Read as 620 gal." in said(app)
    app.selectbox(key="start/emitter").set_value("radiators").run()
    press(app, "Show my answer")
    turn(app, "decide")
    assert verdict(app).startswith("Propane (today's heating) costs least over 20 years")
    text = said(app)
    assert "Your 620 gal a year tell how fast the house loses heat" in text
    assert "How much of its fuel Propane turns into heat over the year is in “Show the math”" in text
    assert "Counts no new heater in place of Propane within 20 years" in text
    # the use was that of the thermostat as it is set, while the usual balance point is that of the usual setting
    typed = app.session_state["typed"]["house"]
    assert (typed["indoor_temperature"], typed["design_indoor"], typed["balance_point"]) == (
        "69 degF",
        "70 degF",
        "62 degF",
    )
    case = case_from(app.session_state["typed"])
    season = simulate(case, load_weather(case)).option("Propane").sources[0]
    assert case.prices["propane"].sold("propane", season.input_j, "us")[0] == pytest.approx(620, rel=0.01)
    assert "We guessed your house's heat loss" not in text
    assert "Heat reaches the rooms by older radiators" in text
    assert "Assumed: heat reaches" not in text
    assert "Example prices, not yours: Electricity $0.16/kWh" in text
    assert "Propane $" not in text.split("Example prices")[1].split("\n")[0]
    assert app.session_state["typed"]["option"][1]["first_cost"] == "14000 $"
    turn(app, "start")
    kept = {str(one.key): one.value for one in (*app.text_input, *app.selectbox)}
    assert (kept["start/place"], kept["start/now"], kept["start/emitter"]) == ("greensboro.csv", "propane", "radiators")
    assert (kept["start/area"], kept["start/used"], kept["start/price/propane"]) == (
        "1,500 ft²",
        "620 gal",
        "$2.55/gal",
    )
    assert kept["start/quote/heat_pump"] == "$14,000"
    assert kept["start/price/electricity"] == ""
    # in another window, from the address; a price that is only tried is not what is paid
    query = {key: one[0] if isinstance(one, list) else one for key, one in app.query_params.items()}
    other = opened("decide", **query)
    other.session_state["trial"] = {"propane": ("2.55 $/gal", "2.41 $/gal", other.session_state["study_name"])}
    other.session_state["typed"]["prices"]["propane"]["energy"] = "2.41 $/gal"
    turn(other, "start")
    again = {str(one.key): one.value for one in (*other.text_input, *other.selectbox)}
    for key in ("used", "efficiency", "thermostat", "insulation", "price/propane", "area"):
        assert again[f"start/{key}"] == kept[f"start/{key}"], key
    # another weather: the use told another heat loss there, and one button fits it again
    before = dict(app.session_state["typed"]["house"])
    app.session_state["typed"]["place"]["weather"] = "cold_valley.csv"
    app.session_state["typed"]["prices"]["propane"]["rent"] = "120 $/year"
    turn(app, "decide")
    assert "in this one your house would not use 620 gal a year any more" in said(app)
    press(app, "Fit to your 620 gal again")
    after = app.session_state["typed"]
    assert after["house"]["heat_loss_rate"] != before["heat_loss_rate"]
    assert after["prices"]["propane"]["rent"] == "120 $/year"
    assert "would not use" not in said(turn(app, "decide"))


@pytest.mark.long
def test_nothing_is_compared_that_nobody_chose() -> None:
    app = opened("start")
    app.selectbox(key="start/place").set_value("greensboro.csv").run()
    assert "Nothing is chosen yet: the answer would tell of Natural gas alone." in said(app)
    press(app, "Show my answer")
    assert [one["name"] for one in app.session_state["typed"]["option"]] == ["Natural gas"]


@pytest.mark.long
def test_the_use_was_at_one_setting_and_the_answer_is_for_another() -> None:
    as_before, cooler = answered(used="620", thermostat="70"), answered(used="620", thermostat="67")
    cooler.text_input(key="start/used_at").set_value("70").run()
    assert "The use tells the heat loss at 70 °F; the answer is for 67 °F (question 2)." in said(cooler)
    for app in (as_before, cooler):
        press(app, "Show my answer")
        turn(app, "decide")
    houses = [app.session_state["typed"]["house"] for app in (as_before, cooler)]
    assert houses[0]["heat_loss_rate"] == houses[1]["heat_loss_rate"]
    assert houses[1]["indoor_temperature"] == "67 degF"
    # three degrees less over the same house: less fuel, and no question which of the two settings was meant
    case = case_from(cooler.session_state["typed"])
    season = simulate(case, load_weather(case)).option("Propane").sources[0]
    assert case.prices["propane"].sold("propane", season.input_j, "us")[0] < 0.95 * 620
    text = said(cooler)
    assert "at 70 °F in that year. The answer is for 67 °F." in text
    assert "Did you use" not in text
    assert "Size assumed: " in text
    care = next(one.label for one in cooler.expander if one.label.startswith("Take care: "))
    assert all(word in care for word in ("scalding", "freezing", "carbon monoxide", "Local codes and licensed trades"))
    for app in (cooler, again(cooler)):
        assert "Size assumed: " in said(app)
        turn(app, "start")
        kept = [app.text_input(key=f"start/{key}").value for key in ("thermostat", "used_at", "used")]
        assert kept == ["67 °F", "70 °F", "620 gal"]


@pytest.mark.long
def test_a_guess_is_told_at_the_top_and_an_odd_number_is_asked_about() -> None:
    app = answered(area="165", price__electricity="16")
    text = said(app)
    assert "165 ft² is far from what is usual here. Is that right?" in text
    cents = next(one for one in app.get("button_group") if one.key == "start/price/electricity/answer")
    assert "Are these cents?" in cents.proto.label
    assert [one.content for one in cents.proto.options] == ["$0.16/kWh", "$16/kWh"]
    app.text_input(key="start/area").set_value("1650").run()
    app.text_input(key="start/price/electricity").set_value("16c").run()
    press(app, "Show my answer")
    turn(app, "decide")
    assert "We guessed your house's heat loss from its size;" in said(app)
    # the math of a card is worked out when it is opened
    assert " × " not in said(app)
    app.session_state["math/run/sure"] = True
    app.run()
    assert "kWh × $0.16/kWh = $" in said(app)
    assert "as you entered it" in said(app)
    # a heat pump is sized in tons, in thousands of Btu an hour, and shown in the reader's units
    turn(app, "sources")
    for box in ("source", "more"):
        app.session_state[f"{box}/option[2].source[1]"] = True
    app.run()
    outputs = next(one for one in app.text_input if str(one.key).endswith("source[1].outputs"))
    assert next(one for one in app.selectbox if str(one.key).endswith("source[1].outputs")).value == "kBtu/h"
    outputs.set_value("24,000 Btu/h, 3 tons").run()
    assert app.session_state["typed"]["option"][1]["source"][0]["outputs"] == ["24000 Btu/h", "36 kBtu/h"]
    assert not app.error
    # one size scales the whole curve, is shown back, and is refused at its own field
    for typed, curve in (
        ("4 tons", ["32 kBtu/h", "48 kBtu/h"]),
        ("36,000 Btu/h", ["24 kBtu/h", "36 kBtu/h"]),
        ("10 kW", ["22.75 kBtu/h", "34.12 kBtu/h"]),
        ("30", ["20 kBtu/h", "30 kBtu/h"]),
    ):
        field(app, "Size").set_value(typed).run()
        assert app.session_state["typed"]["option"][1]["source"][0]["outputs"] == curve, typed
    assert field(app, "Size").value == "30"
    assert "30.0 kBtu/h at 47 °F outside, 20.0 kBtu/h at 5 °F outside." in said(app)
    field(app, "Size").set_value("large").run()
    assert field(app, "Size").value == "large"
    assert any("does not start with a number" in one.value for one in app.error)
    field(app, "Size").set_value("30 kBtu/h").run()
    # a curve that cannot be read is told by its label; a size typed over it mends it
    next(one for one in app.text_input if str(one.key).endswith("source[1].outputs")).set_value("a lot").run()
    assert "backup, Heat pump, Heat at those temperatures, at full speed: 'a lot' does not start" in said(app)
    assert "option[" not in said(app)
    field(app, "Size").set_value("2 tons").run()
    assert not app.error
    turn(app, "house")
    field(app, "Time zone").set_value("Eastern").run()
    assert not app.error
    field(app, "Electricity for all but heating").set_value("9000").run()
    assert "Read as 9,000 kWh/year." in said(app)


@pytest.mark.long
def test_the_size_of_todays_heating_is_taken_and_the_design_temperature_is_named() -> None:
    app = answered(size__propane="50 kBtu/h")
    assert "Empty: " in said(app)
    assert "°F, the design temperature of this station." in said(app)
    app.text_input(key="start/size/propane").set_value("big").run()
    press(app, "Show my answer")
    assert "First correct: [question 3](#q3): “Its size, if you know it”" in said(app)
    app.text_input(key="start/size/propane").set_value("50 kBtu/h").run()
    press(app, "Show my answer")
    today, other = app.session_state["typed"]["option"]
    assert (today["source"][0]["output"], today["today"]) == ("50 kBtu/h", True)
    assert "output" not in other["source"][0]
    turn(app, "start")
    assert app.text_input(key="start/size/propane").value == "50 kBtu/h"


@pytest.mark.long
def test_todays_heater_stays_with_its_size_beside_what_is_added() -> None:
    app = opened("start")
    app.session_state["start/place"] = "greensboro.csv"
    app.session_state["start/now"] = "electric"
    app.session_state["start/considered"] = ["off_peak_propane", "off_peak_store"]
    app.run()
    for key, text in {"area": "1,800", "size/electric": "9 kW", "size/off_peak_propane": "50 kBtu/h"}.items():
        app.text_input(key=f"start/{key}").set_value(text)
    app.run()
    label = app.text_input(key="start/size/off_peak_propane").label
    assert label == "Propane beside off-peak electric: size of the propane boiler"
    assert (
        "What heats the house today (9 kW) stays in: Propane beside off-peak electric, Off-peak electric with"
        in said(app)
    )
    press(app, "Show my answer")
    today, beside, store = app.session_state["typed"]["option"]
    assert today["source"][0]["output"] == "9 kW"
    assert [(one["kind"], one["output"]) for one in beside["source"]] == [
        ("off_peak_electric", "9 kW"),
        ("gas", "50 kBtu/h"),
    ]
    # a store is bought with elements of its own, beside which today's help by day, and brings its own tank
    assert store["source"][0]["output"] != "9 kW"
    assert (store["source"][1]["output"], store["source"][1]["backup_only"]) == ("9 kW", True)
    assert (app.session_state["typed"]["tank"]["volume"], store["tank"]["volume"]) == ("120 gal", "500 gal")
    turn(app, "start")
    assert app.text_input(key="start/size/off_peak_propane").value == "50 kBtu/h"
    # as much of it as is the same heater: all but its name at the same rate, its plate's figures on another one
    today = {"kind": "electric", "name": "Old boiler", "output": "9 kW", "volts": "240 V", "price": "electricity"}
    sun, night = ({"source": TEMPLATES[key].sources(1e4, "us")} for key in ("sun", "off_peak_propane"))
    assert keep_todays(sun, today, sized=True)
    assert keep_todays(night, today, sized=True)
    assert sun["source"][1] == today | {"name": "Electric boiler"}
    kept = night["source"][0]
    assert (kept["kind"], kept["output"], kept["volts"], kept.get("price")) == (
        "off_peak_electric",
        "9 kW",
        "240 V",
        None,
    )
    pump = {"source": TEMPLATES["heat_pump"].sources(1e4, "us")}
    assert keep_todays(pump, today, sized=True)
    assert pump["source"][1] == today | {"name": "Electric backup", "backup_only": True}
    assert not keep_todays(pump, {"kind": "oil", "output": "20 kW"}, sized=True)


@pytest.mark.long
def test_the_questions_can_be_left_and_come_back_to_and_the_reader_stays_who_it_is() -> None:
    app = opened(persona="planner", study="valley_row")
    turn(app, "start")
    app.text_input(key="start/area").set_value("1,500 sq ft").run()
    for page in ("house", "start", "decide", "start"):
        turn(app, page)
        assert not app.exception
    assert app.text_input(key="start/area").value == "1,500 sq ft"
    assert app.selectbox(key="persona").value == "planner"


@pytest.mark.long
def test_a_us_reader_who_looks_at_the_planners_page_goes_on_in_feet_and_dollars() -> None:
    app = opened()
    app.selectbox(key="persona").set_value("planner").run()
    assert app.session_state["study_name"] == "valley_row"
    turn(app, "start")
    assert "1,500 sq ft" in str(app.text_input(key="start/area").placeholder)
    app.selectbox(key="start/place").set_value("greensboro.csv").run()
    app.text_input(key="start/area").set_value("1500").run()
    press(app, "Show my answer")
    turn(app, "decide")
    assert "$" in verdict(app)
    assert "€" not in verdict(app)
    assert app.selectbox(key="persona").value == "planner"
    assert app.session_state["typed"]["house"]["floor_area"] == "1500 ft2"


def test_what_the_questions_do_not_ask_stays() -> None:
    data = {
        "prices": {"electricity": {}, "oil": {}},
        "house": {},
        "option": [{"name": "Oil", "today": True}, {"name": "Pump"}],
    }
    costs = {"rebate": "500 $", "maintenance": "80 $/year", "replacement": "9000 $", "replacement_year": 9}
    typed = {
        "prices": {"electricity": {}, "propane": {}},
        "economics": {"discount_rate": "4 %/year", "escalation": {"propane": "2 %/year", "electricity": "1 %/year"}},
        "house": {"other_electricity": "6500 kWh/year", "floor_area": "9 m2"},
        "option": [{"name": "Oil", **costs}, {"name": "Pump", **costs}, {"name": "Gone", **costs}],
    }
    keep_typed(data, typed)
    assert data["economics"] == {"discount_rate": "4 %/year", "escalation": {"electricity": "1 %/year"}}
    assert data["house"] == {"other_electricity": "6500 kWh/year"}
    # when today's heater is replaced is one of the questions
    assert data["option"] == [
        {"name": "Oil", "today": True, "rebate": "500 $", "maintenance": "80 $/year"},
        {"name": "Pump", **costs},
    ]
    assert "propane" in typed["economics"]["escalation"]


def test_a_renamed_option_keeps_its_name_and_all_that_was_typed_for_it() -> None:
    costs = {"first_cost": "14500 $", "rebate": "500 $", "maintenance": "80 $/year"}
    pump = {"kind": "heat_pump", "outdoor": ["5 degF", "47 degF"], "outputs": ["30 kBtu/h", "40 kBtu/h"]}
    sources = [pump, {"kind": "electric", "output": "10 kW", "backup_only": True}]
    oil = {"kind": "oil", "output": "60 kBtu/h"}
    typed = {
        "prices": {"electricity": {}, "heating_oil": {}},
        "option": [
            {"name": "The old boiler", "today": True, "first_cost": "0 $", "rebate": "1 $", "source": [oil]},
            {"name": "Quote of Nov 3", "source": sources, **costs},
        ],
    }
    # the page that is come back to offers both again, with the quote
    found = answers_of(typed)
    assert (found["now"], found["considered"], found["quote/heat_pump"]) == ("oil", ["heat_pump"], "14500 $")
    data = {
        "prices": {"electricity": {}, "heating_oil": {}},
        "house": {},
        "option": [
            {"name": "Oil boiler", "today": True, "source": [oil]},
            {"name": "Heat pump with electric backup", "first_cost": "15000 $", "source": sources},
        ],
    }
    keep_typed(data, typed)
    today, other = data["option"]
    assert (today["name"], today["rebate"]) == ("The old boiler", "1 $")
    assert (other["name"], other["first_cost"]) == ("Quote of Nov 3", "15000 $")  # the answer counts
    assert (other["rebate"], other["maintenance"]) == ("500 $", "80 $/year")


@pytest.mark.long
def test_a_changed_price_leaves_what_other_pages_hold() -> None:
    app = answered(used="620", price__propane="2.55")
    press(app, "Show my answer")
    app.session_state["typed"]["economics"] = {"discount_rate": "4 %/year"}
    app.session_state["typed"]["house"]["other_electricity"] = "6500 kWh/year"
    turn(app, "start")
    app.text_input(key="start/price/propane").set_value("2.65").run()
    press(app, "Show my answer")
    typed = app.session_state["typed"]
    assert typed["prices"]["propane"]["energy"].startswith("2.65")
    assert (typed["economics"]["discount_rate"], typed["house"]["other_electricity"]) == ("4 %/year", "6500 kWh/year")


def test_a_size_that_was_typed_is_never_called_not_typed(monkeypatch: pytest.MonkeyPatch) -> None:
    """12 kW is what a template would give too; typed in the five questions it follows the house no more."""
    load_w = 9000.0
    source = dict(following.TEMPLATES["electric"].sources(load_w, "us")[0])
    data = {"option": [{"source": [source]}]}
    for answers, known in (
        ({}, 1),
        ({"start/size/electric": f" {source['output']}"}, 0),
        ({"start/size/electric": ""}, 1),
    ):
        monkeypatch.setattr(following, "st", SimpleNamespace(session_state={"answers": answers}))
        following.follow_sources(data, following.Followed(load_w, 0.0), "us")
        assert len(following.st.session_state.get("following", {})) == known  # type: ignore[attr-defined]


@pytest.mark.long
def test_a_floor_and_baseboard_are_answered_told_and_found_again() -> None:
    app = answered(price__propane="2.55")
    app.selectbox(key="start/emitter").set_value("mixed").run()
    app.text_input(key="start/beside_area").set_value("900").run()
    assert "Read as 900 ft²" in said(app)
    press(app, "Show my answer")
    assert app.session_state["typed"]["house"]["zone"] == [
        {"name": "Baseboard", "emitter": "baseboard", "area": "900 ft2"}
    ]
    turn(app, "decide")
    # 900 of 1,500 ft²
    assert "Baseboard (60% of the heat loss) takes 167 °F water at design" in said(app).replace("\xa0", " ")
    assert "A mixing valve keeps the floor cooler" in said(app)
    turn(app, "start")
    kept = {str(one.key): one.value for one in (*app.text_input, *app.selectbox)}
    assert [kept[f"start/{key}"] for key in ("emitter", "beside", "beside_area")] == ["mixed", "baseboard", "900 ft²"]
