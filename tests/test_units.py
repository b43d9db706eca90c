"""Text to SI and back."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim.units import quantity as units
from costsim.units.fields import QuantityField
from costsim.units.quantity import (
    DIMENSIONS,
    UnitError,
    parse,
    pretty_unit,
    read_quantity,
    show,
    to_display,
    unit_for,
    with_currency,
)


def test_exact_factors(published) -> None:
    rows = published("units")
    found = {
        "unit_foot": units.FOOT_M,
        "unit_square_foot": parse("1 ft2", "area").value,
        "unit_gallon": parse("1 gal", "volume").value,
        "unit_cord": parse("1 cord", "volume").value,
        "unit_btu_per_hour": parse("1 Btu/h", "power").value,
        "unit_btu_per_hour_ft2": parse("1 Btu/(h ft2)", "power_per_area").value,
        "unit_btu_per_hour_degf": parse("1 Btu/(h degF)", "heat_loss_rate").value,
        "unit_btu_per_kwh": units.KWH_J / units.BTU_J,
        "unit_therm": units.THERM_J,
        "unit_12kw_in_kbtu_h": to_display(12e3, "power", "us"),
        "unit_22_btu_h_ft2_on_1180_ft2": parse("22 Btu/(h ft2)", "power_per_area").value
        * parse("1180 ft2", "area").value
        / 1e3,
    }
    assert set(found) == set(rows)
    for key, value in found.items():
        rows[key].check(value)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("70 degF", "temperature", 21.1111111),
        ("70 °F", "temperature", 21.1111111),
        ("294.15 K", "temperature", 21.0),
        ("-40 degF", "temperature", -40.0),
        ("9 degF", "temperature_difference", 5.0),
        ("7.6 KW", "power", 7600.0),
        ("38 MBH", "power", 11136.7007),
        ("$2.40/gal", "money_per_volume", 634.0129),
        ("2.40 $/gal", "money_per_volume", 634.0129),
        ("12.8 ¢/kWh", "money_per_energy", 0.128 / 3.6e6),
        ("24 Btu/h·ft²", "power_per_area", 75.7101779),
        ("0.3 W/m2K", "u_value", 0.3),
        ("11 ft2·h·°F/Btu", "r_value", 1.937212),
        ("100 cfm", "flow", 0.0471947),
        ("0.6 gpm", "flow", 3.785411784e-5),
        ("99 %", "share", 0.99),
        ("14 $/month", "money_per_month", 14.0),
        ("0.50 $/day", "money_per_month", 0.5 * 365 / 12),
        ("7200 kWh/year", "energy_per_year", 7200 * 3.6e6),
    ],
)
def test_what_people_write_is_read(text: str, dimension: str, value: float) -> None:
    assert parse(text, dimension).value == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("70", "temperature", "bare number"),
        ("7.6 kWh", "power", "no power"),
        ("6 kW/h", "power", "no power"),
        ("1,180 ft2", "area", "comma"),
        ("5 ton", "mass", "more than one meaning"),
        ("5 wat", "power", "not known"),
        ("ninety", "share", "does not start with a number"),
        ("30 %", "volume_share", "no volume share"),
        ("1e999 W", "power", "finite"),
        ("3 $/€", "share", "two currencies"),
        ("3 W)", "power", "out of place"),
        ("3 W/", "power", "not complete"),
        ("14 $", "money_per_month", "no money per month"),
    ],
)
def test_what_cannot_be_read_is_refused_by_name(text: str, dimension: str, says: str) -> None:
    with pytest.raises(UnitError, match=says):
        parse(text, dimension)


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(sorted(DIMENSIONS)), st.floats(1e-3, 1e4), st.sampled_from(["si", "us"]))
def test_round_trip(dimension: str, value: float, system: str) -> None:
    text = f"{to_display(value, dimension, system)!r} {unit_for(dimension, system)}"
    assert parse(text, dimension).value == pytest.approx(value, rel=1e-9, abs=1e-9)


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=40), st.sampled_from(sorted(DIMENSIONS)))
def test_any_text_is_read_or_refused(text: str, dimension: str) -> None:
    try:
        parse(text, dimension)
    except UnitError as error:
        assert str(error)


def test_currency_is_kept() -> None:
    assert parse("0.31 €/kWh", "money_per_energy").currency == "€"
    assert show(14.0, "money_per_month", "si", 2, "€") == "€14.00/month"


@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
def test_signs_of_print_are_read_like_those_of_a_keyboard(dimension: str) -> None:
    typed = DIMENSIONS[dimension].example
    assert parse(pretty_unit(typed), dimension) == parse(typed, dimension)


def test_a_is_a_year_and_no_ampere() -> None:
    # ISO 80000-3, annex: "a" for the year (value from memory); amperes have the capital
    assert parse("3500 kWh/a", "energy_per_year").value == parse("3500 kWh/year", "energy_per_year").value
    assert parse("40 A", "current").value == 40.0
    with pytest.raises(UnitError):
        parse("40 a", "current")


@pytest.mark.parametrize(
    ("text", "value", "currency"),
    [
        ("28.6 p/kWh", 0.286, "£"),
        ("28.6 pence/kWh", 0.286, "£"),
        ("C$0.12/kWh", 0.12, "CAD"),
        ("0.12 CA$/kWh", 0.12, "CAD"),
        ("A$0.31/kWh", 0.31, "AUD"),
        ("0.25 NZ$/kWh", 0.25, "NZD"),
        ("¥31/kWh", 31.0, "¥"),
        ("31 JPY/kWh", 31.0, "¥"),
        ("1.9 SEK/kWh", 1.9, "SEK"),
        ("US$0.15/kWh", 0.15, "$"),
        ("0.30 CHF/kWh", 0.30, "CHF"),
    ],
)
def test_money_of_many_countries(text: str, value: float, currency: str) -> None:
    found = read_quantity(text)
    assert found.value * 3.6e6 == pytest.approx(value)
    assert found.currency == currency


def test_money_that_has_more_than_one_meaning_is_refused() -> None:
    with pytest.raises(UnitError, match="write SEK, NOK, DKK or ISK"):
        read_quantity("1.2 kr/kWh")
    with pytest.raises(UnitError, match="write ¢ or ct"):
        read_quantity("30 c/kWh")
    assert with_currency("28.6 p/kWh", "€") == "0.286 €/kWh"
    assert with_currency("A$0.31/kWh", "£") == "0.31 £/kWh"


@pytest.mark.parametrize(
    ("dimension", "texts", "not_text"),
    [
        ("price", ["0.13 $/kWh", "2.4 $/gal", "0.3 $/kg"], "5 $/m2"),
        ("amount", ["20 kWh", "200 gal", "3 kg"], "3 kW"),
        ("amount_per_year", ["20 kWh/year", "300 gal/year", "3 kg/year"], "300 gal"),
        ("money_by_time", ["0.45 $/day", "12 $/month"], "12 $"),
        ("money_by_power", ["9 $/kW", "0.30 $/kW/day"], "12 $"),
        ("tier", ["10 kWh/day", "10 gal/day", "1 lb/day", "200 h"], "10 kW/day"),
        ("heat_content", ["1036 Btu/ft3", "15 MJ/kg"], "10 MJ/m2"),
    ],
)
def test_what_a_fuel_must_settle_is_read_by_energy_volume_and_mass(
    dimension: str, texts: list[str], not_text: str
) -> None:
    field = QuantityField(dimension, "Anything")
    for text in texts:
        assert field.quantity(text).value > 0, text
    with pytest.raises(UnitError):
        field.quantity(not_text)


def test_numbers_end_at_ten_to_the_thirty() -> None:
    assert read_quantity("1e30 W").value == read_quantity("-1e30 W").value * -1 == 1e30
    with pytest.raises(UnitError, match="beyond all numbers"):
        read_quantity("1.01e30 W")
