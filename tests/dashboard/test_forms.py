"""What people type and drop: wrong entries, bare numbers, questions, files in the wrong box, and choices that stay."""

from __future__ import annotations

from typing import Any

import pytest
from dashboard.app import SCRIPT, field, opened, press, said, slide, turn, verdict
from streamlit.testing.v1 import AppTest

from costsim.dashboard.kinds import starter
from costsim.study.uses import HotWater


@pytest.mark.long
def test_a_wrong_value_stays_at_its_field_and_everything_else_is_computed() -> None:
    app = opened("house")
    field(app, "Heated floor area").set_value("large").run()
    assert field(app, "Heated floor area").value == "large"
    assert "Until then 1,180 ft² is used, as before." in said(app)
    # an optional entry that never was right is left out; both stay as typed
    field(app, "Time zone").set_value("Mars/Olympus").run()
    assert "Until then America/New_York is used, as before." in said(app)
    before = verdict(turn(app, "decide"))
    assert "House page, Heated floor area: 'large' does not start with a number" in said(app)
    assert "House page, Time zone: 'Mars/Olympus'" in said(app)
    assert "last one that could be" not in said(app)
    turn(app, "prices")
    field(app, "Date of the prices").set_value("some time").run()
    assert "left out" in said(app) or "as before" in said(app)
    field(app, "Energy price").set_value("40c").run()
    assert app.session_state["typed"]["prices"]["electricity"]["energy"] == "0.4 $/kWh"
    assert verdict(turn(app, "decide")) != before
    turn(app, "house")
    assert field(app, "Heated floor area").value == "large"
    field(app, "Heated floor area").set_value("1180").run()
    field(app, "Time zone").set_value("Eastern").run()
    turn(app, "prices")
    field(app, "Date of the prices").set_value("January 2026").run()
    assert not app.error


def test_a_number_with_its_word_is_read_and_what_is_none_is_told_at_its_field() -> None:
    app = opened("money", study="your_house")
    field(app, "Study period, years").set_value("15 years").run()
    assert app.session_state["typed"]["economics"]["study_period"] == 15
    assert field(app, "Study period, years").value == "15"
    field(app, "Study period, years").set_value("15 months").run()
    assert "'15 months' cannot be used; write a whole number. Until then 15 is used, as before." in said(app)
    field(app, "Study period, years").set_value("").run()
    assert "study_period" not in app.session_state["typed"]["economics"]
    assert not app.error


def test_what_a_typed_temperature_does_beyond_its_field_is_told() -> None:
    app = opened("house")
    house = app.session_state["typed"]["house"]
    house.pop("gains", None)
    house |= {"indoor_temperature": "69 degF", "design_indoor": "70 degF", "balance_point": "62 degF"}
    # another weather brings its own design temperature, and not the one that was typed for the invented house's place
    assert app.session_state["typed"]["place"]["design_outdoor"]
    station = next(one for one in app.selectbox if one.label == "Weather station")
    station.set_value("cold_valley.csv").run()
    assert "design_outdoor" not in app.session_state["typed"]["place"]
    text = said(app)
    assert "Heating starts below 61" in text  # as far below as the thermostat is
    assert "with the thermostat at 69" in text
    assert "every milder hour gets cooler water" not in text
    field(app, "Outdoor design temperature").set_value("-5").run()
    assert "every milder hour gets cooler water" in said(app)


def test_what_cannot_be_spared_leaves_the_last_answer_named_as_such() -> None:
    app = opened()
    app.session_state["typed"]["option"].append({"name": "New", "source": [{"kind": "gas", "output": "a lot"}]})
    turn(app, "decide")
    assert any("last one that could be" in one.value for one in app.error)
    assert "Sources page, New, " in said(app)
    assert "option[" not in said(app)


@pytest.mark.long
def test_a_bare_number_is_read_in_the_unit_of_its_menu() -> None:
    app = opened("house")

    def menu(label: str) -> Any:
        return next(one for one in app.selectbox if one.label == f"Unit of {label}")

    field(app, "Electricity for all but heating").set_value("900 kWh/month").run()
    assert (field(app, "Electricity for all but heating").value, menu("Electricity for all but heating").value) == (
        "900",
        "kWh/month",
    )
    field(app, "Electricity for all but heating").set_value("800").run()
    assert app.session_state["typed"]["house"]["other_electricity"] == "800 kWh/month"
    assert "Read as 800 kWh/month." in said(app)
    # another unit shows the same quantity; the study, and so the answer, stays to the bit
    before = dict(app.session_state["typed"]["house"])
    menu("Electricity for all but heating").set_value("kWh/year").run()
    menu("Thermostat setting").set_value("degC").run()
    menu("Heated floor area").set_value("m2").run()
    shown = {
        label: field(app, label).value
        for label in ("Electricity for all but heating", "Thermostat setting", "Heated floor area")
    }
    assert shown == {
        "Electricity for all but heating": "9,600",
        "Thermostat setting": "21.11",
        "Heated floor area": "109.6",
    }
    assert app.session_state["typed"]["house"] == before
    menu("Thermostat setting").set_value("degF").run()
    assert field(app, "Thermostat setting").value == "70"
    # a bare number counts in the unit that was chosen, and a unit that is typed moves the menu
    field(app, "Heated floor area").set_value("120").run()
    assert app.session_state["typed"]["house"]["floor_area"] == "120 m2"
    field(app, "Heated floor area").set_value("1,300 sq ft").run()
    assert (field(app, "Heated floor area").value, menu("Heated floor area").value) == ("1,300", "ft2")
    # an empty field shows its example in the unit in which it will read a bare number
    field(app, "Design heat loss").set_value("").run()
    assert field(app, "Design heat loss").placeholder == "such as 25.9"
    menu("Design heat loss").set_value("kW").run()
    assert field(app, "Design heat loss").placeholder == "such as 7.6"
    field(app, "Design heat loss").set_value("9").run()
    assert app.session_state["typed"]["house"]["design_heat_loss"] == "9 kW"
    assert "Read as 9 kW." in said(app)
    # a price is shown in cents, and by another unit of the fuel through the heat it holds
    turn(app, "prices")
    menus = [one for one in app.selectbox if one.label == "Unit of Energy price"]
    keys = list(app.session_state["typed"]["prices"])
    at = keys.index("electricity")
    menus[at].set_value("¢/kWh").run()
    fields = [one for one in app.text_input if one.label == "Energy price"]
    fields[at].set_value("14.5").run()
    assert app.session_state["typed"]["prices"]["electricity"]["energy"] == "0.145 $/kWh"
    assert [one for one in app.text_input if one.label == "Energy price"][at].value == "14.5"


@pytest.mark.long
def test_tables_and_curves_say_their_units_and_take_bare_numbers_and_others() -> None:
    app = opened("layout", persona="installer", study="two_levels")
    curve = field(app, "Pump curve")
    assert (curve.value, field(app, "Flows of the curve").value) == ("16, 12, 6", "0, 2, 4")
    curve.set_value("15, 11, 5").run()
    assert app.session_state["typed"]["floor"]["pump"]["heads"] == ["15 ftH2O", "11 ftH2O", "5 ftH2O"]
    menu = next(one for one in app.selectbox if one.label == "Unit of Flows of the curve")
    assert menu.value == "gpm"
    menu.set_value("L/min").run()
    assert field(app, "Flows of the curve").value == "0, 7.571, 15.14"
    assert app.session_state["typed"]["floor"]["pump"]["flows"] == ["0 gpm", "2 gpm", "4 gpm"]
    # the mix of antifreeze fills all there is, and the page says so and what else can be done
    assert "This mix fills the whole system, loops, mains and tank" in said(app)
    app.session_state["typed"]["floor"] |= {"antifreeze": "none", "concentration": "0 vol%"}
    app.session_state["typed"]["option"][0]["source"].insert(
        0, {"kind": "solar", "name": "Collectors", "area": "100 ft2"}
    )
    app.run()
    assert "Antifreeze outdoors alone: Collectors is computed behind an exchanger of its own" in said(app)
    # hot water begins with people who use it, so that the study goes on being computed
    assert starter(HotWater)["people"] == 3
    # a number alone in the table of surfaces counts in its heading's unit, and a typed unit as it is
    walls = [
        {"name": "Wall", "area": "430", "u_value": "0.05"},
        {"name": "Roof", "area": "40 m2", "u_value": "0.3 W/(m2 K)"},
    ]
    app.session_state["typed"]["house"]["surface"] = walls
    app.session_state["house/surfaces"] = True
    turn(app, "house")
    app.session_state["house/surfaces"] = True
    app.run()
    assert app.session_state["typed"]["house"]["surface"] == [
        {"name": "Wall", "area": "430 ft2", "u_value": "0.05 Btu/(h ft2 degF)"},
        walls[1],
    ]
    columns = " ".join(str(one.proto.columns) for one in app.dataframe)
    assert '"label": "Area, ft\\u00b2"' in columns or "Area, ft²" in columns, columns


def test_what_can_be_read_two_ways_is_one_question() -> None:
    app = opened("house", study="valley_row")
    field(app, "Heated floor area").set_value("1,180").run()
    assert any("two ways" in one.value for one in app.warning)
    press(app, "1180 m²")
    assert app.session_state["typed"]["house"]["floor_area"] == "1180 m2"
    assert not any("two ways" in one.value for one in app.warning)


def test_an_implausible_price_is_asked_about_once() -> None:
    app = opened("prices")
    field(app, "Energy price").set_value("1000000").run()
    assert any("1,000,000" in one.value for one in app.warning)
    press(app, "Yes, it is right")
    assert not any("Is that right" in one.value for one in app.warning)


def test_a_cleared_field_keeps_its_place() -> None:
    app = opened("house")
    before = [one.label for one in app.text_input]
    field(app, "Electricity for all but heating").set_value("").run()
    assert "other_electricity" not in app.session_state["typed"]["house"]
    assert [one.label for one in app.text_input] == before


@pytest.mark.long
def test_files_in_the_wrong_box_and_two_over_the_same_days_are_one_sentence() -> None:
    app = AppTest.from_file(str(SCRIPT), default_timeout=90)
    app.session_state["house/bills"] = True
    turn(app, "house")
    rows = [f"2024-{month:02d}-01,2024-{month + 1:02d}-01,{60 - 4 * month}" for month in range(1, 12)]
    bills = "\n".join(["start,end,usage (therm)", *rows]).encode()
    app.file_uploader(key="bills_weather/files/0").set_value(("gas.csv", bills, "text/csv")).run()
    assert "gas.csv looks like bills, not weather" in said(app)
    app.file_uploader(key=f"weather_file/{app.session_state['revision']}").set_value(
        ("gas.csv", bills, "text/csv")
    ).run()
    assert "gas.csv looks like bills, not weather. Open it under “Measure it from bills”" in said(app)
    app.file_uploader(key="bills_weather/files/0").set_value(None).run()
    days = b"date,outdoor [degF]\n" + b"".join(b"2024-01-%02d,30\n" % day for day in range(1, 29))
    app.file_uploader(key="bills/files/0").set_value([("days.csv", days, "text/csv")]).run()
    assert "days.csv looks like weather, not bills" in said(app)
    # the same months once more, read a little higher: one question, and the answer leaves one file
    again = bills.replace(b",56", b",57")
    both = [("gas.csv", bills, "text/csv"), ("new.csv", again, "text/csv")]
    app.file_uploader(key="bills/files/0").set_value(both).run()
    assert "gas.csv and new.csv cover the same dates. Replace the old one?" in said(app)
    assert "days before" not in said(app)
    press(app, "Replace gas.csv")
    assert list(app.session_state["papers"]["bills"]) == ["new.csv"]
    assert "cover the same dates" not in said(app)


def test_cold_days_open_on_the_worst_option_and_say_how_cold_it_gets() -> None:
    app = opened("cold-days", study="net_loft")
    rooms = next(frame.value for frame in app.dataframe if "coldest indoors" in frame.value)
    # °F of the option that is too small; the two others are never too cold
    assert [found < 75 for found in rooms["coldest indoors"].dropna()] == [True]
    assert rooms["coldest indoors"].idxmin() == 0
    assert app.radio(key="option/cold").value == "The 10.5 kW electric alone"
    app.radio(key="option/cold").set_value("Electric and propane, the cheaper first").run()
    turn(app, "money")
    turn(app, "cold-days")
    assert app.radio(key="option/cold").value == "Electric and propane, the cheaper first"


def test_a_quoted_size_is_taken_and_an_assumed_one_is_said() -> None:
    app = opened("start")
    app.session_state["start/place"] = "greensboro.csv"
    app.session_state["start/considered"] = ["electric", "heat_pump"]
    app.run()
    app.text_input(key="start/area").set_value("1,850 sq ft")
    app.text_input(key="start/size/electric").set_value("9 kW")
    app.text_input(key="start/size/heat_pump").set_value("lots")
    app.run()
    press(app, "Show my answer")
    assert "First correct: [question 4](#q4): “Heat pump with electric backup: size of the heat pump”" in said(app)
    app.text_input(key="start/size/heat_pump").set_value("").run()
    press(app, "Show my answer")
    sizes = {one["name"]: one["source"][0] for one in app.session_state["typed"]["option"]}
    assert sizes["Electric boiler"]["output"] == "9 kW"
    assert "outputs" in sizes["Heat pump with electric backup"]
    turn(app, "cold-days")
    text = said(app)
    assert "Electric boiler is too small: the house would fall to " in text
    assert "Sized for your house, not typed by you: " in text
    assert "Electric boiler (" not in text
    assert app.radio(key="option/cold").value == "Electric boiler"
    turn(app, "sources")
    assert any("Heat pump · " in one.label and "coldest hour" in one.label for one in app.expander)
    # what was typed is found again, as it is by now
    app.session_state["typed"]["option"][1]["source"][0]["output"] = "12 kW"
    turn(app, "start")
    assert app.text_input(key="start/size/electric").value in ("12 kW", "9 kW")


@pytest.mark.long
def test_what_if_is_about_prices_and_nothing_else() -> None:
    app = opened()
    slide(app, "Natural gas", 1.1)
    assert any("change" in one.value.columns for one in app.table)
    app.session_state["typed"]["house"]["floor_area"] = "1300 ft2"
    press(app, "As in the study")
    assert app.session_state["typed"]["house"]["floor_area"] == "1300 ft2"
    assert not any("change" in one.value.columns for one in app.table)


def test_a_date_is_refused_in_words_of_the_screen() -> None:
    app = opened("prices")
    for typed in ("yesterday", "13/2026"):
        field(app, "Date of the prices").set_value(typed).run()
        assert f'\'{typed}\' is not a day or month; write it like "Feb 2026" or "2026-02-24"' in said(app)
    assert "price_date" not in said(app)


@pytest.mark.long
def test_a_copied_option_is_not_today_s_and_a_tank_of_its_own_begins_as_the_study_s() -> None:
    app = opened("sources")
    typed = app.session_state["typed"]
    typed["option"][0]["today"] = True
    typed["tank"] = {"volume": "80 gal", "max_temperature": "180 degF"}
    app.run()
    app.button(key="copy/option[1]").click().run()
    assert [one.get("today") for one in app.session_state["typed"]["option"][:2]] == [True, None]
    app.session_state["show_all"] = True
    app.run()
    app.button(key="add/option[1].tank").click().run()
    assert app.session_state["typed"]["option"][0]["tank"] == typed["tank"]
    assert not app.exception


@pytest.mark.long
def test_a_gas_boiler_burns_the_fuel_that_is_priced_and_leaves_no_example_behind() -> None:
    app = opened("sources")
    typed = app.session_state["typed"]
    typed["prices"] = {"electricity": {"energy": "0.15 $/kWh"}, "propane": {"energy": "2.40 $/gal"}}
    typed["option"] = [{"name": "Kept", "source": [{"kind": "electric", "output": "9 kW"}]}]
    typed.pop("economics", None)
    app.run()
    app.button(key="kind/0/gas").click().run()
    source = app.session_state["typed"]["option"][0]["source"][1]
    assert (source["fuel"], source["condensing"]) == ("propane", True)
    assert set(app.session_state["typed"]["prices"]) == {"electricity", "propane"}
    app.session_state["source/option[1].source[2]"] = True
    app.run()
    assert any("Gas boiler · " in one.label and " output" in one.label for one in app.expander)
    for fuel, priced in (
        ("natural_gas", {"electricity", "propane", "natural_gas"}),
        ("propane", {"electricity", "propane"}),
    ):
        next(one for one in app.selectbox if one.label == "Fuel").set_value(fuel).run()
        assert set(app.session_state["typed"]["prices"]) == priced
    assert not app.error
    # the tick follows the efficiency, unless somebody took it out
    for typed_share, ticked in (("84%", None), ("95%", True)):
        field(app, "Efficiency").set_value(typed_share).run()
        assert app.session_state["typed"]["option"][0]["source"][1].get("condensing") is ticked
    next(one for one in app.checkbox if one.label == "Condensing").set_value(False).run()
    field(app, "Efficiency").set_value("92%").run()
    assert app.session_state["typed"]["option"][0]["source"][1]["condensing"] is False
    assert not app.error


@pytest.mark.long
def test_slips_of_a_stranger_are_told_truly_and_doubted_where_the_answer_stands() -> None:
    app = opened("house")
    field(app, "Outdoor design temperature").set_value("-500").run()
    assert "'-500 °F' is colder than any town on earth; must be at least -85 °F; write it like \"15 °F\"" in said(app)
    field(app, "Outdoor design temperature").set_value("95").run()
    assert "'95 °F' is warmer than any day that needs heat; must be at most 77 °F" in said(app)
    field(app, "Outdoor design temperature").set_value("").run()
    field(app, "Heated floor area").set_value("1800 m").run()
    assert "“1800 m” can be read two ways. Which one is meant?" in said(app)
    press(app, "1800 ft²")
    assert app.session_state["typed"]["house"]["floor_area"] == "1800 ft2"
    field(app, "Design heat loss").set_value("34 Btu/h").run()
    turn(app, "decide")
    assert "Design heat loss (House page): 34 Btu/h is far from what is usual here. Is that right?" in said(app)
    assert any(one.label == "Does a second source pay?" for one in app.expander)


@pytest.mark.long
def test_what_is_wrong_is_told_with_an_example_in_the_reader_s_units() -> None:
    app = opened("house", units="us")
    field(app, "Outdoor design temperature").set_value("200").run()
    wrong = "\n".join(str(one.value) for one in app.error).replace("\\", "")
    assert "200 °F" in wrong
    assert '°F"' in wrong
    assert '°C"' not in wrong
    assert "Read as 200" not in said(app)
