"""Text to SI and back."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim.units import quantity as units
from costsim.units.fields import LARGEST, QuantityField
from costsim.units.quantity import (
    DIMENSIONS,
    UnitError,
    parse,
    parse_numbers,
    pretty_unit,
    read_quantity,
    show,
    to_display,
    unit_for,
    with_currency,
)
from costsim.units.table import UNITS


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


IN, LB, GAL, BTU = 0.0254, 0.45359237, 231 * 0.0254**3, 1055.05585262
YEAR_S = 365 * 86400.0
# one of each unit by hand in metres, kilograms, seconds, kelvin and money: NIST SP 811 (2008), appendix B, exact by definition; the
# conventional water is NIST's at 39.2 °F for feet of it (2,989.07 Pa) and 4 °C for metres (9,806.38 Pa); a year is one of 365 days
SIZES: dict[str, dict[str, float]] = {
    "m": {"m": 1, "mm": 0.001, "cm": 0.01, "km": 1000, "ft": 0.3048, "in": 0.0254},
    "kg": {"kg": 1, "g": 0.001, "lb": LB, "tonne": 1000, "short_ton": 2000 * LB},
    "s": {"s": 1, "min": 60, "h": 3600, "hr": 3600, "hour": 3600, "hours": 3600, "day": 86400, "days": 86400, "month": YEAR_S / 12,
          "year": YEAR_S, "yr": YEAR_S, "a": YEAR_S},
    "K": {"K": 1, "degC": 1, "°C": 1, "C": 1, "degF": 5 / 9, "°F": 5 / 9, "F": 5 / 9, "degR": 5 / 9, "°R": 5 / 9, "R": 5 / 9},
    "J": {"J": 1, "kJ": 1e3, "MJ": 1e6, "GJ": 1e9, "Wh": 3600, "kWh": 3.6e6, "MWh": 3.6e9, "Btu": BTU, "kBtu": 1e3 * BTU, "MMBtu": 1e6 * BTU,
          "therm": 1e5 * BTU, "therms": 1e5 * BTU, "Dth": 1e6 * BTU, "dekatherm": 1e6 * BTU},
    "W": {"W": 1, "kW": 1e3, "MW": 1e6, "kVA": 1e3, "MBH": 1e3 * BTU / 3600},
    "m2": {"m2": 1, "ft2": (12 * IN) ** 2, "sqft": (12 * IN) ** 2},
    "m3": {"m3": 1, "ft3": (12 * IN) ** 3, "L": 1e-3, "l": 1e-3, "gal": GAL, "gallon": GAL, "gallons": GAL, "imp_gal": 4.54609e-3,
           "cord": 128 * (12 * IN) ** 3, "cords": 128 * (12 * IN) ** 3, "CCF": 100 * (12 * IN) ** 3, "Mcf": 1000 * (12 * IN) ** 3},
    "m3/s": {"gpm": GAL / 60, "cfm": (12 * IN) ** 3 / 60, "lpm": 1e-3 / 60},
    "Pa": {"Pa": 1, "kPa": 1e3, "bar": 1e5, "mbar": 100, "psi": LB * 9.80665 / IN**2, "inH2O": 2989.067 / 12, "ftH2O": 2989.067, "mH2O": 9806.38},
    "1": {"V": 1, "A": 1, "%": 0.01, "deg": 1, "°": 1, "vol%": 0.01},
    "$": {**dict.fromkeys(("$", "US$", "USD", "CAD", "C$", "CA$", "A$", "AU$", "AUD", "NZ$", "NZD", "EUR", "€", "GBP", "£", "CHF", "¥", "JPY",
                           "yen", "SEK", "NOK", "DKK", "PLN", "zł", "CZK", "Kč", "HUF", "RON", "ISK"), 1.0),
          **dict.fromkeys(("¢", "cent", "cents", "ct", "øre", "p", "pence", "öre", "Rp"), 0.01)},
}  # fmt: skip
POWERS = {
    "m": (1, 0, 0, 0, 0), "kg": (0, 1, 0, 0, 0), "s": (0, 0, 1, 0, 0), "K": (0, 0, 0, 1, 0), "J": (2, 1, -2, 0, 0), "W": (2, 1, -3, 0, 0),
    "m2": (2, 0, 0, 0, 0), "m3": (3, 0, 0, 0, 0), "m3/s": (3, 0, -1, 0, 0), "Pa": (-1, 1, -2, 0, 0), "1": (0, 0, 0, 0, 0), "$": (0, 0, 0, 0, 1),
}  # fmt: skip


def test_every_unit_has_the_size_of_its_definition() -> None:
    for si, sizes in SIZES.items():
        for name, size in sizes.items():
            found = read_quantity(f"1 {name}")
            assert found.dims == POWERS[si], name
            assert found.value == pytest.approx(size, rel=1e-12), name
    assert {name for sizes in SIZES.values() for name in sizes} == set(UNITS)


# each dimension's own units with the SI value of one, by hand; per month and per year money and energy stay as they are
ONE_OF: dict[str, tuple[float, float]] = {
    "length": (1, 0.3048), "small_length": (1e-3, IN), "area": (1, 0.3048**2), "volume": (1e-3, GAL), "mass": (1, LB),
    "mass_per_area": (1, LB / 0.3048**2), "duration": (3600, 3600), "energy": (3.6e6, 3.6e6), "energy_per_year": (3.6e6, 3.6e6),
    "heat": (3.6e6, 1e6 * BTU), "power": (1e3, BTU / 3.6), "electric_power": (1e3, 1e3), "small_power": (1, 1),
    "power_per_area": (1, BTU / 3600 / 0.3048**2), "heat_loss_rate": (1, BTU / 3600 * 1.8), "u_value": (1, BTU / 3600 * 1.8 / 0.3048**2),
    "u_value_per_k": (1, BTU / 3600 * 1.8**2 / 0.3048**2), "r_value": (1, 3600 * 0.3048**2 / 1.8 / BTU),
    "heat_capacity_per_area": (1e3, BTU / 0.3048**2 * 1.8), "conductivity": (1, BTU / 3600 / 0.3048 * 1.8), "temperature_difference": (1, 1 / 1.8),
    "rate": (1 / 3600, 1 / 3600), "flow": (1e-3 / 60, GAL / 60), "pressure": (1e3, LB * 9.80665 / IN**2), "head": (1e3, 2989.067),
    "share": (0.01, 0.01), "share_per_year": (0.01, 0.01), "volume_share": (0.01, 0.01), "voltage": (1, 1), "current": (1, 1), "angle": (1, 1),
    "money": (1, 1), "money_per_month": (1, 1), "money_per_year": (1, 1), "money_per_energy": (1 / 3.6e6, 1 / 3.6e6), "money_per_power": (1e-3, 1e-3),
    "money_per_area": (1, 1 / 0.3048**2), "money_per_time": (1 / 3600, 1 / 3600), "money_per_volume": (1e3, 1 / GAL),
    "money_per_mass": (1, 1 / LB), "volume_per_year": (1e-3 / YEAR_S, GAL / YEAR_S), "mass_per_year": (1 / YEAR_S, LB / YEAR_S),
    "energy_per_volume": (3.6e6, BTU / 0.3048**3), "emission": (1 / 3.6e6, 1 / 3.6e6),
}  # fmt: skip


def test_every_dimension_is_read_and_shown_in_its_units() -> None:
    assert set(ONE_OF) == set(DIMENSIONS) - {"temperature"}
    for dimension, sizes in ONE_OF.items():
        for system, size in zip(("si", "us"), sizes, strict=True):
            unit = unit_for(dimension, system)
            assert parse(f"1 {unit}", dimension).value == pytest.approx(size, rel=1e-9), (dimension, system)
            assert to_display(7 * size, dimension, system) == pytest.approx(7.0, rel=1e-9), (dimension, system)
            assert parse_numbers([3.0, 5.0], unit, dimension) == [
                parse(f"{x} {unit}", dimension).value for x in (3.0, 5.0)
            ]
    assert [to_display(100.0, "temperature", system) for system in ("si", "us")] == [100.0, 212.0]
    assert [parse(text, "temperature").value for text in ("32 F", "212 degF", "0 K", "5 C")] == pytest.approx(
        [0, 100, -273.15, 5]
    )


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1 kg/m2/s", 1.0), ("1 kg/m2 s", 1.0), ("6 m2 K/W", 6.0), ("1 1/h", 1 / 3600), ("2 /h", 2 / 3600), ("2 m^2", 2.0), ("3 m³", 3.0),
        ("4 W·h", 14400.0), ("4 W*h", 14400.0), ("5 kWh per day", 5 * 3.6e6 / 86400), ("1 (m2)^2", 1.0), ("2 (m s)/(kg K)", 2.0), ("7 m9", 7.0),
        ("1e3 W", 1e3), ("-.5 W", -0.5), ("+2. W", 2.0), ("1 BTU", BTU), ("1 watt", None), ("1 m10", None), ("1 w", None), ("1 /", None),
        ("1 (m", None), ("1 m)", None), ("1 ^2", None), ("1 2 m", None), ("1 m//s", None), ("1 " + "m " * 31, None), ("1,5 W", None),
        ("1 (((((km9)9)9)9)9)9", None), ("1 &", None), ("1 hp", None),
    ],
)  # fmt: skip
def test_how_units_stand_together(text: str, value: float | None) -> None:
    if value is None:
        with pytest.raises(UnitError):
            read_quantity(text)
    else:
        assert read_quantity(text).value == pytest.approx(value, rel=1e-12)


def test_the_loose_reading_of_a_slash_is_taken_where_it_fits_alone() -> None:
    # Btu/h ft2: strictly Btu ft2 an hour, loosely Btu an hour and square foot
    assert read_quantity("1 W/m2 K").dims == (0, 1, -3, 1, 0)
    assert read_quantity("1 W/m2 K", (0, 1, -3, -1, 0)).dims == (0, 1, -3, -1, 0)
    assert read_quantity("1 W/m2*K", (0, 1, -3, -1, 0)).dims == (0, 1, -3, -1, 0)
    assert read_quantity("1 W/m2*K").dims == (0, 1, -3, 1, 0)
    for typed, near in (("1 KWhh", "kWh"), ("1 thermm", "therm")):
        with pytest.raises(UnitError, match=f"did you mean .*{near}"):
            read_quantity(typed)
    spans = {
        text: read_quantity(text).per
        for text in ("1 kWh/day", "1 $/a", "1 gal/yr", "1 kWh/month", "1 kWh/h", "1 $/kW/days")
    }
    assert spans == {
        "1 kWh/day": "day",
        "1 $/a": "year",
        "1 gal/yr": "year",
        "1 kWh/month": "month",
        "1 kWh/h": "",
        "1 $/kW/days": "day",
    }


def test_money_is_shown_and_turned_by_its_sign() -> None:
    assert [show(1234.5, "money", system, 2, sign) for system, sign in (("us", "$"), ("si", "€"), ("si", "CHF"))] == [
        "$1,234.50", "€1,234.50", "CHF1,234.50",
    ]  # fmt: skip
    assert show(21.0, "temperature", "us", 0) == "70 °F"
    assert pretty_unit("W/(m2 K)") == "W/(m² K)"
    assert [pretty_unit(unit, "€") for unit in ("ft2", "m3", "ft3", "$/kWh", "ftH2O", "deg")] == [
        "ft²",
        "m³",
        "ft³",
        "€/kWh",
        "ft of head",
        "°",
    ]
    for text, sign, turned in (
        ("$2.40/gal", "€", "2.40 €/gal"), ("12 ¢/kWh", "€", "12 ¢/kWh"), ("5 pence/kWh", "$", "0.05 $/kWh"), ("cheap", "€", "cheap"),
        ("3 kW", "€", "3 kW"), ("0.1 USD/kWh", "£", "0.1 £/kWh"), ("0.1 $", "NOK", "0.1 NOK"),
    ):  # fmt: skip
        assert with_currency(text, sign) == turned


# the largest value that is read where a field has no closer limit, and one beyond: a street's, not a city's
LARGEST_READ = {
    "area": ("1000000 m2", "1000001 m2"), "duration": ("3650 day", "3651 day"), "electric_power": ("1000 MW", "1001 MW"),
    "emission": ("36 kg/kWh", "36.1 kg/kWh"), "energy_per_year": ("10000 TJ", ""), "flow": ("6000 L/min", "6001 L/min"),
    "head": ("5000 kPa", "5001 kPa"), "heat_loss_rate": ("1000000 W/K", "1000001 W/K"), "money": ("10000000000 $", "10000000001 $"),
    "money_by_time": ("86400000000000 $/day", "86400000000001 $/day"), "money_per_mass": ("10000 $/kg", "10001 $/kg"),
    "money_per_month": ("100000000 $/month", "100000001 $/month"), "money_per_power": ("1000000 $/kW", "1000001 $/kW"),
    "money_per_year": ("1000000000 $/year", "1000000001 $/year"), "power": ("1000 MW", "1001 MW"), "small_power": ("1000 kW", "1001 kW"),
    "temperature": ("150 degC", "150.1 degC"), "volume": ("100000 m3", "100001 m3"),
}  # fmt: skip
LARGEST_READ["energy_per_year"] = ("10000000 GJ/year", "10000001 GJ/year")


@pytest.mark.parametrize("dimension", sorted(LARGEST))
def test_what_no_street_has_is_refused(dimension: str) -> None:
    field, (taken, beyond) = QuantityField(dimension, "Anything"), LARGEST_READ[dimension]
    field.read(taken)
    with pytest.raises(ValueError, match="must be at most"):
        field.read(beyond)
    closer = QuantityField(dimension, "Anything", at_most=LARGEST[dimension] / 2)
    with pytest.raises(ValueError, match="must be at most"):
        closer.read(taken)


def test_limits_are_said_in_both_systems_and_hold_at_the_edge() -> None:
    warm = QuantityField("temperature", "Indoor", above=5.0, at_most=30.0)
    assert (warm.read("30 degC"), warm.read("5.01 degC")) == (30.0, 5.01)
    for text, said in (
        ("5 degC", "must be more than 5 degC (41 degF)"),
        ("31 degC", "must be at most 30 degC (86 degF)"),
    ):
        with pytest.raises(ValueError, match=re.escape(said)):
            warm.read(text)
    least = QuantityField("power", "Output", at_least=1000.0, at_most=2000.0)
    assert least.read("1 kW") == 1000.0
    with pytest.raises(ValueError, match=re.escape("must be at least 1 kW (3.412 kBtu/h); write it like")):
        least.read("0.9 kW")
    assert np.asarray(least.allows(np.array([999.0, 1000.0, 2000.0, 2001.0, np.nan]))).tolist() == [
        False,
        True,
        True,
        False,
        False,
    ]
    open_ended = QuantityField("length", "Anything", above=0.0)
    assert [bool(open_ended.allows(one)) for one in (0.0, 1e-9, 1e30, 1.1e30)] == [False, True, True, False]
    for typed, said in (
        (True, "is not a quantity"),
        (None, "is not a quantity"),
        (5, "5 is a bare number"),
        (5.5, "5.5 is a bare number"),
    ):
        with pytest.raises(ValueError, match=said):
            least.read(typed)
    price = QuantityField("price", "Price", at_least=0.0)
    assert price.numbers([1.0, 2.0], "$/kWh") == [price.quantity(f"{x} $/kWh").value for x in (1.0, 2.0)]
    assert QuantityField("length", "Anything", example="3 m").sample == "3 m"
    assert (price.sample, open_ended.sample) == ("0.128 $/kWh", "90 m")
