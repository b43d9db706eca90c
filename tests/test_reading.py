"""Numbers as people type them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costsim.units.fields import QuantityField
from costsim.units.reading import odd, understand

AREA = QuantityField("area", "Area", above=0)
WARM = QuantityField("temperature", "Indoor", at_least=5, at_most=30, example="70 degF")
OUT = QuantityField("temperature", "Design", at_least=-65, at_most=25, example="15 degF")
PRICE = QuantityField("price", "Price", at_least=0)
SHARE = QuantityField("share", "Efficiency", at_least=0.3, at_most=1.0, example="92 %")
POWER = QuantityField("power", "Output", above=0)
AMPS = QuantityField("current", "Breaker", above=0)
MONTHLY = QuantityField("money_per_month", "Fixed")
MONEY = QuantityField("money", "First cost")
USE = QuantityField("amount_per_year", "Minimum use", example="300 gal/year")


@pytest.mark.parametrize(
    ("typed", "field", "us", "si"),
    [
        ("1500", AREA, "1500 ft2", "1500 m2"),
        ("1,500 sq ft", AREA, "1500 ft2", None),
        ("1500sqft", AREA, "1500 ft2", "1500 ft2"),
        ("1500 square feet", AREA, "1500 ft2", "1500 ft2"),
        ("about 139 m²", AREA, "139 m2", "139 m2"),
        ("1.500,5", AREA, "1500.5 ft2", "1500.5 m2"),
        ("70", WARM, "70 degF", "70 degF"),
        ("21", WARM, "21 degC", "21 degC"),
        ("70°", WARM, "70 degF", "70 degF"),
        ("70 F", WARM, "70 degF", "70 degF"),
        ("-10", OUT, "-10 degF", "-10 degC"),
        ("92", SHARE, "92 %", "92 %"),
        ("0.92", SHARE, "92 %", "92 %"),
        ("92 percent", SHARE, "92 %", "92 %"),
        ("38", POWER, "38 kBtu/h", "38 kW"),
        ("38,000 BTU", POWER, "38000 Btu/h", None),
        ("40k btu/hr", POWER, "40000 Btu/h", "40000 Btu/h"),
        ("38 MBH", POWER, "38 kBtu/h", "38 kBtu/h"),
        ("11kw", POWER, "11 kW", "11 kW"),
        ("60 amps", AMPS, "60 A", "60 A"),
        ("$15 a month", MONTHLY, "15 $/month", "15 $/month"),
        ("15", MONTHLY, "15 $/month", "15 €/month"),
        ("$15,000", MONEY, "15000 $", None),
        ("15k", MONEY, "15000 $", "15000 €"),
    ],
)
def test_what_people_type_is_understood(typed: str, field: QuantityField, us: str, si: str | None) -> None:
    assert understand(typed, field, system="us").text == us
    if si is not None:
        assert understand(typed, field, system="si", currency="€").text == si


@pytest.mark.parametrize(
    ("fuel", "typed", "us"),
    [
        ("propane", "$2.40/gal", "2.40 $/gal"),
        ("propane", "2.40", "2.40 $/gal"),
        ("propane", "2.40 a gallon", "2.40 $/gal"),
        ("electricity", "22c", "0.22 $/kWh"),
        ("electricity", "12 cents per kilowatt-hour", "0.12 $/kWh"),
        ("electricity", "$.14", "0.14 $/kWh"),
        ("electricity", "0,31 €/kWh", "0.31 €/kWh"),
        ("natural_gas", "1.22 per therm", "1.22 $/therm"),
        ("natural_gas", "$1.22/CCF", "1.22 $/CCF"),
        ("wood", "300 a cord", "300 $/cord"),
        ("pellets", "280/ton", "280 $/short_ton"),
    ],
)
def test_prices_are_understood_by_what_the_fuel_is_sold_by(fuel: str, typed: str, us: str) -> None:
    assert understand(typed, PRICE, system="us", fuel=fuel).text == us


def test_two_readings_are_one_question() -> None:
    reading = understand("1,500", AREA, system="si")
    assert reading.answers == ("1.5 m2", "1500 m2")
    assert "two ways" in reading.question
    assert understand("280/ton", PRICE, system="si", fuel="pellets", currency="€").answers == (
        "280 €/short_ton",
        "280 €/tonne",
    )


def test_a_bare_number_is_read_in_the_unit_the_field_asks_for_or_asked_about() -> None:
    other = QuantityField("energy_per_year", "Other electricity", example="9000 kWh/year")
    assert understand("300", USE, system="us", fuel="propane").text == "300 gal/year"
    assert understand("9000", other, system="us", before="900 kWh/year").text == "9000 kWh/year"
    # it replaces 900 kWh a month in a field whose hint is kWh a year
    two = understand("9000", other, system="us", before="900 kWh/month")
    assert two.answers == ("9000 kWh/year", "9000 kWh/month")
    assert "two ways" in two.question
    assert understand("12", POWER, system="us", before="9 kW").answers == ("12 kBtu/h", "12 kW")
    # 68 can be no room in degrees Celsius, 20 none in degrees Fahrenheit
    assert understand("68", WARM, system="us", before="20 degC").text == "68 degF"
    assert understand("20", WARM, system="us", before="20 degC").text == "20 degC"


def test_what_a_stranger_typed_is_taken() -> None:
    used = QuantityField("amount", "Use", above=0, example="620 gal")
    assert understand("700 gal/yr", used, system="us", fuel="propane").text == "700 gal"
    assert understand("2.65 dollars", PRICE, system="us", fuel="propane").text == "2.65 $/gal"
    assert understand("1850 ft", AREA, system="us").text == "1850 ft2"


def test_what_is_far_from_usual_is_asked_about() -> None:
    assert "1,000,000" in odd("1000000 $/kWh", PRICE)
    assert not odd("0.22 $/kWh", PRICE)
    assert odd("4 m2", QuantityField("money", "First cost")) == ""


def test_what_is_no_number_stays_as_typed() -> None:
    assert understand("cheap", PRICE, system="us").text == "cheap"
    assert understand("", PRICE, system="us").text == ""


@given(
    st.text(max_size=40), st.sampled_from([AREA, WARM, PRICE, SHARE, POWER, MONEY, USE]), st.sampled_from(["us", "si"])
)
def test_any_text_gives_a_reading_and_one_that_fits_is_stable(typed: str, field: QuantityField, system: str) -> None:
    reading = understand(typed, field, system=system)
    for answer in reading.answers:
        field.read(answer)
    again = understand(reading.text, field, system=system)
    if not reading.answers and not again.answers and reading.changed:
        assert again.text == reading.text
