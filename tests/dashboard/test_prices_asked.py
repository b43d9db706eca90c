"""The fifth question: fixed charges behind a price, cheaper hours, and what replacing today's heating costs."""

from __future__ import annotations

import pytest
from dashboard.app import opened, press, said, turn

from costsim.units.price_words import price_and_charges


@pytest.mark.parametrize(
    ("typed", "charges"),
    [
        ("$2.40/gal + $120/yr tank rent", {"rent": "120 $/year"}),
        ("14.5c + $12/month", {"fixed": "12 $/month"}),
        ("19.4 cents + $18.50/month", {"fixed": "18.5 $/month"}),
        ("$2.79/gal plus 1,200 dollars a year", {"rent": "1200 $/year"}),
        ("$2.79/gal + $5 a month and $60/year", {"fixed": "5 $/month", "rent": "60 $/year"}),
        ("$2.79/gal", {}),
        ("$2.79/gal + tax", None),
    ],
)
def test_fixed_charges_are_read_behind_a_price(typed: str, charges: dict[str, str] | None) -> None:
    assert price_and_charges(typed, "$")[1] == charges


@pytest.mark.long
def test_rent_cheaper_hours_and_a_new_boiler_reach_the_study_and_come_back() -> None:
    app = opened("start")
    app.session_state["start/place"] = "greensboro.csv"
    app.session_state["start/now"] = "propane"
    app.session_state["start/considered"] = ["heat_pump", "off_peak_propane"]
    app.session_state["start/cheap"] = True
    app.run()
    for key, text in {
        "start/area": "1,850 sq ft",
        "start/price/propane": "$2.40/gal + $120/yr tank rent",
        "start/price/electricity": "14.5c + $12/month",
        "start/cheap_price": "9c",
        "start/cheap_hours": "6 o'clock",
        "start/quote/heat_pump": "$19,500 - $3,000",
        "start/size/heat_pump": "4",
        "start/renew": "$8,900",
    }.items():
        app.text_input(key=key).set_value(text)
    app.run()
    assert "Read as $2.40/gal + $120/year." in said(app)
    assert "Read as $0.145/kWh + $12/month." in said(app)
    assert "Read as $16,500" in said(app)
    assert any("6 o'clock" in one.value for one in app.error)
    press(app, "Show my answer")
    assert "First correct:" in said(app)
    app.text_input(key="start/cheap_hours").set_value("10 pm to 6 am")
    app.text_input(key="start/renew_years").set_value("5 winters")
    app.run()
    assert "“5 winters” is not understood; write a number of years from 1 to 30." in said(app)
    app.text_input(key="start/renew_years").set_value("5 years")
    app.run()
    assert "Read as 10 pm to 6 am." in said(app).replace("\u2060", "")
    app.session_state["start/size/heat_pump/answer"] = "48 kBtu/h"
    app.run()
    press(app, "Show my answer")
    data = app.session_state["typed"]
    assert data["prices"]["propane"] == {"energy": "2.40 $/gal", "rent": "120 $/year"}
    electricity = data["prices"]["electricity"]
    assert (electricity["energy"], electricity["fixed"]) == ("0.145 $/kWh", "12 $/month")
    assert electricity["period"] == [{"name": "Cheaper hours", "energy": "0.09 $/kWh", "windows": ["22:00-06:00"]}]
    options = {one["name"]: one for one in data["option"]}
    assert (options["Propane"]["replacement"], options["Propane"]["replacement_year"]) == ("8900 $", 5)
    assert options["Heat pump with electric backup"]["first_cost"].startswith("16500")
    assert options["Heat pump with electric backup"]["source"][0]["outputs"][-1] == "48 kBtu/h"
    # the price of the cheaper hours is that of the off-peak meter too, and is asked for once
    assert data["prices"]["off_peak"]["energy"] == "0.09 $/kWh"
    night = options["Propane beside off-peak electric"]["source"][0]
    assert night["windows"] == ["22:00-06:00"]


def test_sliders_and_new_hours_count_as_the_reader_does_and_change_nothing_by_themselves() -> None:
    app = opened(study="your_house", units="si")
    labels = [one.label.replace("\\", "") for one in app.select_slider]
    assert "Propane, $/L" in labels
    assert "Natural gas, $/kWh" in labels
    before = {key: dict(table) for key, table in app.session_state["typed"]["prices"].items()}
    turn(app, "prices")
    app.session_state["more/prices.electricity"] = True
    app.run()
    app.button(key="append/prices.electricity.period").click().run()
    new = app.session_state["typed"]["prices"]["electricity"]
    assert new.pop("period") == [
        {"name": "Cheaper hours", "energy": before["electricity"]["energy"], "windows": ["22:00-06:00"]}
    ]
    assert app.session_state["typed"]["prices"] == before


@pytest.mark.long
def test_an_off_peak_price_goes_on_in_the_field_of_the_cheaper_hours() -> None:
    app = opened("start")
    app.session_state["start/considered"] = ["off_peak"]
    app.run()
    app.text_input(key="start/price/off_peak").set_value("0.075").run()
    app.checkbox(key="start/cheap").set_value(True).run()
    assert app.text_input(key="start/cheap_price").value == "0.075"
    app.checkbox(key="start/cheap").set_value(False).run()
    assert app.text_input(key="start/price/off_peak").value == "0.075"


@pytest.mark.long
def test_gas_beside_off_peak_electric_is_asked_with_its_tank() -> None:
    app = opened("start")
    app.session_state["start/place"] = "greensboro.csv"
    app.session_state["start/now"] = "gas"
    app.session_state["start/considered"] = ["off_peak_gas"]
    app.run()
    assert "Empty: 120 gal, as assumed." in said(app)
    app.text_input(key="start/tank/off_peak_gas").set_value("200").run()
    press(app, "Show my answer")
    pair = app.session_state["typed"]["option"][1]
    assert pair["tank"]["volume"] == "200 gal"
    assert [one["kind"] for one in pair["source"]] == ["off_peak_electric", "gas"]
    turn(app, "start")
    assert app.text_input(key="start/tank/off_peak_gas").value == "200 gal"
    assert app.session_state["start/considered"] == ["off_peak_gas"]


@pytest.mark.long
def test_a_new_boiler_and_a_meter_of_its_own_are_asked_for_and_told() -> None:
    """The whole house buys at one price; only the off-peak unit at the other, in the hours that were typed."""
    app = opened("start")
    app.session_state["start/place"] = "greensboro.csv"
    app.session_state["start/now"] = "propane"
    app.run()
    app.session_state["start/considered"] = ["heat_pump", "off_peak_propane", "new_propane"]
    app.run()
    assert "serves only the off-peak unit: leave this unticked." in said(app)
    assert "Empty: 10 pm to 6 am is assumed." in said(app).replace("\u2060", "")
    for key, text in {
        "start/area": "1,850 sq ft",
        "start/efficiency": "78%",
        "start/new_efficiency": "95%",
        "start/quote/new_propane": "$7,500",
        "start/quote/off_peak_propane": "$9,500",
        "start/price/off_peak": "7.9c",
        "start/cheap_hours": "9 pm to 4 pm",
        "start/renew": "$7,500",
        "start/renew_years": "1",
    }.items():
        app.text_input(key=key).set_value(text)
    app.run()
    press(app, "Show my answer")
    data = app.session_state["typed"]
    now, _, mix, new = data["option"]
    assert "period" not in data["prices"]["electricity"]
    assert mix["source"][0]["windows"] == ["21:00-16:00"]
    assert (mix["replacement"], mix["replacement_year"]) == (now["replacement"], 1)
    assert (now["source"][0]["efficiency"], new["source"][0]["efficiency"]) == ("78 %", "95 %")
    assert (new["name"], new["first_cost"], "replacement" in new) == ("New propane boiler", "7500 $", False)
    text = said(app)
    assert "Counts a new heater in place of Propane in year 1 for $7,500, with the efficiency of today's" in text
    assert "Propane beside off-peak electric: keeps that heater, and pays the same for the new one." in text
    turn(app, "start")
    assert app.text_input(key="start/cheap_hours").value
    assert app.session_state["start/considered"] == ["heat_pump", "off_peak_propane", "new_propane"]


@pytest.mark.long
def test_wood_beside_todays_oil_boiler_with_its_kind_of_firewood_comes_back() -> None:
    """Red oak holds 21.0 to 25.9 million Btu a cord in print, the middle 23.45; without a kind the table of fuels counts 20."""
    app = opened("start")
    app.session_state["start/place"] = "greensboro.csv"
    app.session_state["start/now"] = "oil"
    app.run()
    assert "wood_propane" not in app.pills(key="start/considered").options
    app.session_state["start/considered"] = ["wood_oil"]
    app.run()
    assert "A wood stove heats only its own room and cannot be chosen" in said(app)
    assert "20 million Btu in a cord" in said(app)
    app.text_input(key="start/area").set_value("1800")
    app.text_input(key="start/size/oil").set_value("85 kBtu/h")
    app.text_input(key="start/efficiency").set_value("84")
    app.text_input(key="start/price/wood").set_value("$280/cord")
    app.selectbox(key="start/species").set_value("red_oak").run()
    assert "23.4 million Btu in a cord, seasoned, the middle of printed tables (21 to 25.9)" in said(app)
    press(app, "Show my answer")
    data = app.session_state["typed"]
    assert data["prices"]["wood"] == {"energy": "280 $/cord", "species": "red_oak"}
    fire, boiler = data["option"][1]["source"]
    assert fire["kind"] == "wood"
    assert boiler == data["option"][0]["source"][0] | {"backup_only": True}
    assert (boiler["output"], boiler["efficiency"]) == ("85 kBtu/h", "84 %")
    turn(app, "start")
    assert app.selectbox(key="start/species").value == "red_oak"
    assert app.session_state["start/considered"] == ["wood_oil"]
    app.session_state["start/considered"] = []
    assert "A wood stove" not in said(app.run())
