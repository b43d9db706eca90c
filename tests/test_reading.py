"""Numbers as people type them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costsim.units.calendar_words import clock_window, month_or_day, zone_name
from costsim.units.fields import QuantityField
from costsim.units.price_words import amount_less, price_and_charges
from costsim.units.quantity import UnitError
from costsim.units.reading import _likely_temperature, is_bare, number_readings, odd, own_unit, understand
from costsim.units.rows import understand_all
from costsim.units.usual import figures, menu_unit, number_in, shown_number, usual_units

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


def test_a_comma_that_parts_no_thousands_is_one_question_where_both_readings_may_be_meant() -> None:
    """In US writing a comma parts groups of three digits (common practice, no source): $3,65 is $3.65 or a slip."""
    asked = understand("$3,65", MONEY, system="us")
    assert (asked.text, asked.answers) == ("$3,65", ("3.65 $", "365 $"))
    assert "two ways" in asked.question
    assert understand("$3,65", MONEY, system="si").text == "3.65 $"
    # $365 a gallon is far from any fuel's price: what is left is taken, and shown back
    one = understand("$3,65", PRICE, system="us", fuel="propane")
    assert (one.text, one.answers, one.changed) == ("3.65 $/gal", (), True)
    assert understand("12,5 %", SHARE, system="us").text == "12.5 %"
    # money is no size
    assert understand("$3.65", POWER, system="us").text == "$3.65"


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
    # a length is no area: feet are meant square, metres among feet may be either
    for system in ("us", "si"):
        asked = understand("1800 m", AREA, system=system)
        assert (asked.text, asked.answers) == ("1800 m", ("1800 m2", "1800 ft2")), system
        assert "Which one is meant?" in asked.question
    # a temperature that nothing allows keeps its unit, so that its limit is named and not the unit that was left out
    out = QuantityField("temperature", "Design", at_least=-65, at_most=25, example="15 degF")
    assert [understand(text, out, system="us").text for text in ("-500", "95")] == ["-500 degF", "95 degF"]


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


@pytest.mark.parametrize(
    ("text", "us", "si"),
    [
        ("1,234", ["1234"], ["1.234", "1234"]), ("12,00", ["12.00", "1200"], ["12.00"]),
        ("1,5", ["1.5", "15"], ["1.5"]), ("3,65", ["3.65", "365"], ["3.65"]), ("0,125", ["0.125"], ["0.125"]),
        (",5", ["0.5"], ["0.5"]), (".5", ["0.5"], ["0.5"]), ("-.5", ["-0.5"], ["-0.5"]), ("1,234,567", ["1234567"], ["1234567"]),
        ("1.234,5", ["1234.5"], ["1234.5"]), ("1,234.5", ["1234.5"], ["1234.5"]), ("1.234.567", ["1234567"], ["1234567"]),
        ("1.234", ["1.234"], ["1.234", "1234"]), ("0.234", ["0.234"], ["0.234"]), ("1234.567", ["1234.567"], ["1234.567"]), ("12.5.", ["12.5"], ["12.5"]),
        ("1'500", ["1500"], ["1500"]), ("1 500", ["1500"], ["1500"]), ("1234,567", ["1234567"], ["1234.567", "1234567"]),
        ("1,2345", ["1.2345", "12345"], ["1.2345"]),
        ("-1,234", ["-1234"], ["-1.234", "-1234"]), ("123.456", ["123.456"], ["123.456", "123456"]),
    ],
)  # fmt: skip
def test_points_and_commas_are_read_as_each_country_writes_them(text: str, us: list[str], si: list[str]) -> None:
    assert (number_readings(text, "us"), number_readings(text, "si")) == (us, si)


# dimension, the last values on both sides that nobody is asked about, and the first that somebody is
ASKED = {
    "area": ("1 m2", "20000 m2", "0.99 m2", "20001 m2"), "power": ("200 W", "2000 kW", "199 W", "2001 kW"),
    "electric_power": ("200 W", "1000 kW", "199 W", "1001 kW"), "volume": ("1 L", "500 m3", "0.99 L", "501 m3"),
    "length": ("0.1 m", "4000 m", "0.099 m", "4001 m"), "heat_loss_rate": ("0.1 W/K", "20000 W/K", "0.099 W/K", "20001 W/K"),
    "energy_per_year": ("100 kWh/year", "500000 kWh/year", "99 kWh/year", "500001 kWh/year"),
    "money": ("0.01 $", "500000 $", "", "500001 $"), "money_per_month": ("0.01 $/month", "2000 $/month", "", "2001 $/month"),
    "money_per_year": ("0.01 $/year", "20000 $/year", "", "20001 $/year"),
    "price": ("0.01 $/kWh", "3 $/kWh", "", "3.01 $/kWh"), "tier": ("1 kWh/day", "1000000 kWh/day", "", ""),
}  # fmt: skip


@pytest.mark.parametrize("dimension", sorted(ASKED))
def test_a_value_is_asked_about_beyond_what_is_usual(dimension: str) -> None:
    field = QuantityField(dimension, "Anything")
    low, high, below, above = ASKED[dimension]
    assert (odd(low, field), odd(high, field)) == ("", "")
    for text in filter(None, (below, above)):
        assert odd(text, field).endswith("Is that right?"), text
    assert odd("nonsense", field) == ""
    zero = f"0 {low.split(' ', 1)[1]}"
    assert odd(zero, field) == ""


def test_prices_by_volume_and_mass_and_a_field_s_own_limits_are_asked_about() -> None:
    for usual, far in (("4000 $/m3", "4001 $/m3"), ("20 $/kg", "20.1 $/kg"), ("15 $/gal", "15.2 $/gal")):
        assert odd(usual, PRICE) == ""
        assert "is far from what fuels cost" in odd(far, PRICE)
    own = QuantityField("power", "Output", usual=(5e3, 30e3))
    assert [bool(odd(text, own)) for text in ("4.9 kW", "5 kW", "30 kW", "30.1 kW", "-10 kW")] == [
        True,
        False,
        False,
        True,
        False,
    ]
    cents = understand("22", PRICE, system="us", fuel="electricity")
    assert cents.answers == ("0.22 $/kWh", "22 $/kWh")
    assert "Are these cents?" in cents.question
    assert understand("3", PRICE, system="us", fuel="electricity").answers == ()
    whole = understand("2,800,000 kBtu/h", QuantityField("power", "Output"), system="us")
    assert whole.text == "2800000 kBtu/h"
    assert "far from what is usual" in whole.question


@pytest.mark.parametrize(
    ("typed", "dimension", "us"),
    [
        ("2 tons", "power", "24 kBtu/h"), ("1.5 ton of cooling", "electric_power", "18 kBtu/h"), ("280 a ton", "price", "280 $/short_ton"),
        ("120 $ yearly", "money_per_year", "120 $/year"), ("40k", "power", "40000 kBtu/h"), ("5 in.", "length", "5 in"),
        ("8 lbs", "mass", "8 lb"), ("5'", "length", "5 ft"), ("50 pct", "share", "50 %"), ("1", "share", "1 %|100 %"),
        ("1.1", "share", "1.1 %"), ("0", "share", "0 %"), ("30 %", "volume_share", "30 vol%"), ("5 degrees", "temperature_difference", "5 degF"),
        ("€300", "money", "300 €"), ("~ 300", "money", "300 $"), ("ca. 300", "money", "300 $"), ("maybe 300", "money", "maybe 300"),
        ("300 dollars", "money", "300 $"), ("£2.1/L", "price", "2.1 £/L"), ("30 cents", "price", "0.3 $/kWh"), ("30 ct/kWh", "price", "0.3 $/kWh"),
        ("1.2 per therm", "price", "1.2 $/therm"), ("300 gal/yr", "amount", "300 gal"), ("300 gal", "amount_per_year", "300 gal/year"),
        ("15 m", "area", "15 m2|15 ft2"), ("900 btu", "power", "900 Btu/h"), ("12 mbtu/h", "power", "12 kBtu/h"), ("3 feet", "length", "3 ft"),
    ],
)  # fmt: skip
def test_everyday_spellings_are_read(typed: str, dimension: str, us: str) -> None:
    found = understand(
        typed, QuantityField(dimension, "Anything"), system="us", fuel="electricity" if dimension == "price" else ""
    )
    assert "|".join(found.answers or (found.text,)) == us


def test_a_reading_says_whether_something_was_changed() -> None:
    assert [understand(text, AREA, system="us").changed for text in ("1500 ft2", "1500", "1500 sq ft", "")] == [
        False,
        True,
        True,
        False,
    ]
    assert understand("68 F", WARM, system="si").text == "68 degF"
    # degrees that can be no room in one system are those of the other; example 70 °F ± 25 K counts as likely
    assert understand("46", QuantityField("temperature", "T", example="70 degF"), system="si").text == "46 degC"
    assert [understand(text, WARM, system="us").text for text in ("45", "8")] == ["45 degF", "8 degC"]
    assert (
        understand("40", QuantityField("temperature", "Hot", at_most=90, example="55 degC"), system="si").text
        == "40 degC"
    )
    assert understand("22", PRICE, system="us", fuel="electricity", unit="¢/kWh").text == "0.22 $/kWh"
    assert understand("$0.22", PRICE, system="us", fuel="electricity", unit="¢/kWh").text == "0.22 $/kWh"
    assert understand("12", POWER, system="us", unit="W").text == "12 W"
    assert understand("12", POWER, system="us", before="9 kBtu/h").text == "12 kBtu/h"
    assert [is_bare(text) for text in ("12", "$ 12", "12 W", "W", "")] == [True, True, False, False, False]


def test_units_of_bare_numbers_and_of_menus() -> None:
    volume, power = QuantityField("volume", "Room", example="250 m3"), QuantityField("power", "Output")
    assert [own_unit(volume, system) for system in ("us", "si")] == ["ft3", "m3"]
    assert own_unit(QuantityField("volume", "Room", example="900 ft3"), "si") == "m3"
    assert [own_unit(power, system) for system in ("us", "si")] == ["kBtu/h", "kW"]
    assert [own_unit(PRICE, system, fuel, "€") for system, fuel in (("us", "wood"), ("si", "pellets"), ("si", ""), ("us", "natural_gas"))] == [
        "€/cord", "€/tonne", "€/kWh", "€/therm",
    ]  # fmt: skip
    assert own_unit(QuantityField("amount", "Use", example="200 gal"), "si", "propane") == "L"
    assert own_unit(QuantityField("heat_content", "Heat", example="1036 Btu/ft3"), "si") == "kWh/m3"
    assert usual_units(power, "us") == ("kBtu/h", "Btu/h", "W", "kW")  # what the reader does not use comes last
    assert usual_units(power, "si")[0] == "kW"
    assert usual_units(PRICE, "us", "electricity") == ("$/kWh", "¢/kWh", "$/MWh")
    assert usual_units(PRICE, "us", "electricity", "SEK") == ("SEK/kWh", "SEK/MWh")
    assert usual_units(USE, "us", "propane") == ("gal/year", "gal/month", "L/month", "L/year")
    assert usual_units(power, "us", held="hp") == ("kBtu/h",)
    assert usual_units(QuantityField("heat_content", "Heat", example="1036 Btu/ft3"), "us", held="Btu/lb") == (
        "Btu/lb",
        "kWh/kg",
    )
    assert menu_unit(power, ("kW", "W"), "hp") == "kW"
    assert menu_unit(power, ("kW", "W"), "W") == "W"
    warm = QuantityField("temperature", "T")
    assert [number_in("70 degF", warm, unit) for unit in ("degF", "degC")] == [
        pytest.approx(70.0),
        pytest.approx(21.11, abs=0.01),
    ]
    assert number_in("2.40 $/gal", PRICE, "$/kWh", lambda q: q.value / 2.5e10 if q.dims[0] == -3 else q.value) == pytest.approx(
        2.40 / 3.785411784e-3 / 2.5e10 * 3.6e6
    )  # fmt: skip
    with pytest.raises(UnitError, match="has no value in"):
        number_in("2.40 $/gal", PRICE, "$/kWh")
    assert [figures(one, "us") for one in (999.96, 1000.0, 0.000123456, 12.0, -1234.5)] == [
        "1000",
        "1,000",
        "0.0001235",
        "12",
        "-1,234",
    ]
    assert figures(1000.0, "si") == "1000"
    for text, shown in (
        ("1000 ft2", "1,000"),
        ("999 ft2", "999"),
        ("1000.5 ft2", "1000.5"),
        ("ft2", "ft2"),
        ("10 m2", "107.6"),
    ):
        assert shown_number(text, AREA, "ft2", "us") == shown
    assert shown_number("1180 ft2", AREA, "ft2", "si") == "1180"
    assert understand_all("24,000 Btu/h, 36,000 BTU;5 kW,", POWER, system="us") == [
        "24000 Btu/h",
        "36000 Btu/h",
        "5 kW",
    ]


def test_months_zones_hours_and_charges_in_words() -> None:
    names = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ]
    for at, name in enumerate(names, 1):
        assert month_or_day(f"{name} 2025") == f"2025-{at:02d}"
        assert month_or_day(f"{name[:3]}. 3rd, 2024") == f"2024-{at:02d}-03"
        assert month_or_day(f"{at}/2025") == f"2025-{at:02d}"
    for text in ("13/2025", "0/2025", "Smarch 2025", "2025-01", "", "January 25", "Jan 2025" + " " * 60):
        assert month_or_day(text) == text
    places = {"Eastern": "America/New_York", "us central time": "America/Chicago", "Mountain Standard Time": "America/Denver",
              "Arizona": "America/Phoenix", "US/Pacific": "America/Los_Angeles", "alaska": "America/Anchorage", "Hawaii time": "Pacific/Honolulu",
              "Europe/Berlin": "Europe/Berlin", "Middle Earth time": "Middle Earth time"}  # fmt: skip
    assert {typed: zone_name(typed) for typed in places} == places
    hours = {"10 pm to 6 am": "22:00-06:00", "noon-5:30 pm": "12:00-17:30", "12 am - 12 pm": "00:00-12:00", "midnight until 6a": "00:00-06:00",
             "1.15 p.m. till 11 p.m.": "13:15-23:00", "13 pm to 2 pm": "13 pm to 2 pm", "0 am to 6 am": "0 am to 6 am", "10 to 6 pm": "10 to 6 pm",
             "10 pm to 6": "10 pm to 6", "22:00-06:00": "22:00-06:00", "1 am to 12 am": "01:00-00:00"}  # fmt: skip
    assert {typed: clock_window(typed) for typed in hours} == hours
    assert price_and_charges("12c + $5/mo plus 7 dollars each month and $100 annually", "€") == (
        "12c", {"fixed": "12 €/month", "rent": "100 €/year"},
    )  # fmt: skip
    assert price_and_charges("12c and $1,200.50 per year", "$") == ("12c", {"rent": "1200.5 $/year"})
    assert price_and_charges("12c + 5", "$") == ("12c", None)
    assert [amount_less(text) for text in ("9 - 3", "9 less 3", "9 minus 3", "9 - 3 - 1", "-3")] == [
        ("9", "3"), ("9", "3"), ("9", "3"), ("9 - 3 - 1", ""), ("-3", ""),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("sample", "likely", "not_likely"),
    [
        ("20 degC", ["44.9 degC", "-4.9 degC", "112.8 degF"], ["45 degC", "-5 degC", "113 degF"]),
        ("-0.1 degC", ["80 degC", "-80 degC"], []), ("0 degC", ["24.9 degC"], ["25 degC", "80 degC"]), ("45 degC", ["69.9 degC"], ["70 degC", "20 degC"]),
        ("45.1 degC", ["5 degC", "120 degC"], []),
    ],
)  # fmt: skip
def test_a_temperature_is_likely_within_25_k_of_its_example(
    sample: str, likely: list[str], not_likely: list[str]
) -> None:
    field = QuantityField("temperature", "Water", example=sample)
    assert [text for text in (*likely, *not_likely) if _likely_temperature(text, field)] == likely
    assert not _likely_temperature("x", field)


def test_a_large_bare_number_of_heat_may_be_btu_an_hour() -> None:
    loss = QuantityField("power", "Design heat loss")
    assert understand("42000", loss, system="us").answers == ("42000 Btu/h", "42000 kBtu/h")
    assert (understand("42", loss, system="us").text, understand("42000", loss, system="si").answers) == (
        "42 kBtu/h",
        (),
    )
