"""The only place where text becomes SI and SI becomes text.

A quantity is text with its unit, such as ``"38 kBtu/h"`` or ``"2.40 $/gal"``. `parse` reads it against the dimension
that the field expects and gives an SI float; `show` writes an SI float in the reader's units.
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from costsim.units.expression import LONGEST_UNIT, Expression, UnitError, tokens
from costsim.units.table import (
    BTU_J,
    CORD_M3,
    CURRENCIES,
    DIMENSIONS,
    FOOT_M,
    GALLON_M3,
    HOUR_S,
    HUNDREDTHS,
    INCH_M,
    KWH_J,
    MONTH_S,
    POUND_KG,
    THERM_J,
    ZERO_C_K,
    Dimension,
    Dims,
)

# Kept per month or year inside, since bills and contracts count those and not seconds.
_PER_TIME = {
    "money_per_month": MONTH_S,
    "money_per_year": 12 * MONTH_S,
    "share_per_year": 12 * MONTH_S,
    "energy_per_year": 12 * MONTH_S,
}


@dataclass(frozen=True, slots=True)
class Quantity:
    """An SI value with its dimension and, where money is in it, the currency that was written."""

    value: float
    dims: Dims
    currency: str = ""
    per: str = ""
    """The day, month or year that it was written by, since a tier of 10 kWh a day is none of 304 kWh a month."""
    text: str = field(default="", compare=False)
    """What was typed, for messages."""


_ZERO, _STEPS = {"degf": 32.0, "f": 32.0, "k": ZERO_C_K}, {"degf": 1.8, "f": 1.8, "k": 1.0}
LARGEST = 1e30
"""Of any quantity in SI units. The sun gives 3.8e26 W; products of a few such numbers are still finite."""
_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")
_SPANS = {"day": "day", "days": "day", "month": "month", "year": "year", "yr": "year", "a": "year"}


@functools.lru_cache(maxsize=512)
def _sized(unit: str, loose: bool) -> tuple[float, Dims, frozenset[str]]:
    """Size, dimension and currencies of a unit; a table of homes asks for the same one again and again."""
    if len(unit) > LONGEST_UNIT:
        raise UnitError(f"a unit of {len(unit)} letters is not known")
    expression = Expression(tokens(unit), loose)
    try:
        size, dims = expression.read()
    except ArithmeticError:  # brackets raised to powers again and again
        raise UnitError(f"'{unit}' is beyond all numbers") from None
    return size, dims, frozenset(expression.currencies)


def _number_and_unit(text: str) -> tuple[float, str]:
    stripped = text.strip().replace("\u2212", "-").replace("\u00a0", " ")
    sign_of_money = re.match(r"((?:US|CA|C|AU|A|NZ)?[$€£¥])\s*(?=[-+\d.])", stripped)
    prefix = sign_of_money.group(1) if sign_of_money else ""
    stripped = stripped[sign_of_money.end() :] if sign_of_money else stripped
    number = _NUMBER.match(stripped)
    if number is None:
        raise UnitError(f"'{text}' does not start with a number")
    rest = stripped[number.end() :].strip()
    if rest.startswith(","):
        raise UnitError(
            f"the comma in '{text}' can be read two ways; write a point for decimals and nothing between thousands"
        )
    if rest.startswith("/") and not prefix:  # "0.5 /h", so many an hour
        rest = f"1{rest}"
    value = float(number.group())
    if not math.isfinite(value):
        raise UnitError(f"'{text}' is not a finite number")
    return value, f"{prefix}{'' if rest.startswith('/') or not rest else ' '}{rest}" if prefix else rest


def with_currency(text: str, currency: str) -> str:
    """Write an amount of money in another currency's sign; nothing is converted, and what is no money stays.

    Examples
    --------
    >>> with_currency("0.128 $/kWh", "€"), with_currency("$14/month", "CAD"), with_currency("9 kW", "€")
    ('0.128 €/kWh', '14 CAD/month', '9 kW')
    """
    try:
        if not read_quantity(text).currency:
            return text
    except UnitError:
        return text
    value, unit = _number_and_unit(text)
    hundredth = next((part for part in tokens(unit) if part in HUNDREDTHS), "")
    if hundredth:  # 28 p is 0.28 of any money
        return f"{value / 100:.10g} {unit.replace(hundredth, currency, 1).strip()}"
    text = re.sub(r"^((?:US|CA|C|AU|A|NZ)?[$€£¥])\s*+([-+\d.]++)", r"\2 \1", text.strip())
    names = sorted(CURRENCIES, key=len, reverse=True)
    return re.sub("|".join(re.escape(name) for name in names), currency, text, count=1)


def split_text(text: str) -> tuple[float | None, str]:
    """Split what was typed into its number and its unit; no number where there is none.

    Examples
    --------
    >>> split_text("0.128 $/kWh"), split_text("cheap")
    ((0.128, '$/kWh'), (None, ''))
    """
    try:
        value, unit = _number_and_unit(text)
    except UnitError:
        return None, ""
    return value, unit.strip()


def read_quantity(text: str, expected: Dims | None = None) -> Quantity:
    """Read a number with its unit into SI.

    Parameters
    ----------
    text : str
        Such as ``"24 Btu/(h ft2)"``, ``"$2.40/gal"`` or ``"12 kW"``.
    expected : Dims, optional
        Powers of metre, kilogram, second, kelvin and money. ``Btu/h ft2`` can be read two ways; the one that fits is taken.

    Returns
    -------
    Quantity
        Temperatures are read as differences here; `parse` knows absolute ones.

    Raises
    ------
    UnitError
        The text is no number with a unit, or a unit is unknown or has two meanings.

    Examples
    --------
    >>> round(read_quantity("12 kW").value)
    12000
    """
    value, unit = _number_and_unit(text)
    if not unit:
        raise UnitError(f"{text} is a bare number")
    quantities = []
    for loose in (False, True):
        size, dims, currencies = _sized(unit, loose)
        if len(currencies) > 1:
            raise UnitError(f"'{text}' mixes two currencies")
        if not abs(value * size) <= LARGEST:
            raise UnitError(f"'{text}' is beyond all numbers")
        quantities.append(Quantity(value * size, dims, next(iter(currencies), ""), _span(unit), text))
    return next((quantity for quantity in quantities if quantity.dims == expected), quantities[0])


@functools.lru_cache(maxsize=512)
def _span(unit: str) -> str:
    """The day, month or year that stands in a unit."""
    return next((_SPANS[token] for token in tokens(unit) if token in _SPANS), "")


# a table of homes says most things again and again
@functools.lru_cache(maxsize=1024)
def parse(text: str, dimension: str) -> Quantity:
    """Read a quantity of one dimension.

    Parameters
    ----------
    text : str
        Number and unit.
    dimension : str
        A key of `DIMENSIONS`. Absolute temperatures come back in degree Celsius, everything else in SI;
        money per month and per year come back per month and per year.

    Returns
    -------
    Quantity
        The value in the unit that field names end in.

    Raises
    ------
    UnitError
        With what was given and an example of what would be right.

    Examples
    --------
    >>> parse("70 degF", "temperature").value
    21.11111111111111
    >>> round(parse("24 Btu/h·ft2", "power_per_area").value, 2)
    75.71
    >>> parse("14 $/month", "money_per_month").value
    14.0
    """
    wanted = DIMENSIONS[dimension]
    if dimension == "temperature":
        return _parse_temperature(text, wanted)
    quantity = read_quantity(text, wanted.dims)
    if quantity.dims != wanted.dims or (wanted.base and not _same_kind(text, wanted)):
        raise UnitError(f"'{text}' is no {dimension.replace('_', ' ')}")
    scale = _PER_TIME.get(dimension, 1.0)
    return Quantity(_tidy(quantity.value * scale), wanted.dims, quantity.currency)


def parse_numbers(numbers: Sequence[float], unit: str, dimension: str) -> list[float]:
    """Read many numbers of one unit: what `parse` gives for each of them, to the bit.

    Raises
    ------
    UnitError
        The unit is none of this dimension.

    Examples
    --------
    >>> parse_numbers([70.0, 14.0], "degF", "temperature") == [parse(f"{x} degF", "temperature").value for x in (70, 14)]
    True
    """
    parse(f"1 {unit}", dimension)
    if dimension == "temperature":
        return [_celsius(value, unit) for value in numbers]
    size, scale = read_quantity(f"1 {unit}", DIMENSIONS[dimension].dims).value, _PER_TIME.get(dimension, 1.0)
    return [_tidy(value * size * scale) for value in numbers]


def _tidy(value: float) -> float:
    """Take off the last bits that a detour over seconds leaves, so that 14 $/month is 14."""
    return float(f"{value:.15g}")


def _same_kind(text: str, wanted: Dimension) -> bool:
    return _number_and_unit(text)[1].replace(" ", "").replace("°", "deg") in (
        wanted.base,
        wanted.base.replace("year", "yr"),
        f"{wanted.base}".lower(),
    )


def _parse_temperature(text: str, wanted: Dimension) -> Quantity:
    value, unit = _number_and_unit(text)
    if not unit:
        raise UnitError(f"{text} is a bare number")
    try:
        return Quantity(_celsius(value, unit), wanted.dims)
    except KeyError:
        raise UnitError(f"'{text}' is not a temperature") from None


def _celsius(value: float, unit: str) -> float:
    """An absolute temperature in degree Celsius; a unit that is none of a temperature is a `KeyError`."""
    name = unit.replace("°", "deg").replace(" ", "").lower()
    return value if name in ("degc", "c") else (value - _ZERO[name]) / _STEPS[name]


def unit_for(dimension: str, system: str) -> str:
    """Name the unit in which one audience reads a dimension; `system` is ``"si"`` or ``"us"``."""
    wanted = DIMENSIONS[dimension]
    return wanted.us if system == "us" else wanted.si


def to_display(value: float, dimension: str, system: str) -> float:
    """Turn an SI value into the reader's unit.

    Examples
    --------
    >>> round(to_display(21.111, "temperature", "us"), 1)
    70.0
    """
    unit = unit_for(dimension, system)
    if dimension == "temperature":
        return value * 1.8 + 32 if unit == "degF" else value
    return value / _PER_TIME.get(dimension, 1.0) / Expression(tokens(unit), loose=False).read()[0]


def show(value: float, dimension: str, system: str, digits: int = 1, currency: str = "$") -> str:
    """Write an SI value for a reader, with its unit.

    Examples
    --------
    >>> show(7600.0, "power", "us")
    '25.9 kBtu/h'
    >>> show(-0.1, "temperature", "si", 0)  # zero has no sign
    '0 °C'
    """
    unit = pretty_unit(unit_for(dimension, system), currency)
    number = f"{to_display(value, dimension, system):z,.{digits}f}"
    if unit.startswith(currency) and "money" in dimension:
        return f"{currency}{number}{unit[len(currency) :]}"
    return f"{number} {unit}"


def show_both(value: float, dimension: str, digits: int = 1) -> str:
    """Write an SI value in SI units and, in brackets, in US units.

    Examples
    --------
    >>> show_both(8000.0, "power")
    '8.0 kW (27.3 kBtu/h)'
    """
    return f"{show(value, dimension, 'si', digits)} ({show(value, dimension, 'us', digits)})"


def pretty_unit(unit: str, currency: str = "$") -> str:
    """Write a unit the way people do: degree signs, raised powers, the study's currency."""
    for plain, nice in (
        ("deg", "°"),
        ("m2", "m²"),
        ("ft2", "ft²"),
        ("m3", "m³"),
        ("ft3", "ft³"),
        ("$", currency),
        ("ftH2O", "ft of head"),
    ):
        unit = unit.replace(plain, nice)
    return "°" if unit == "°" else unit


__all__ = [
    "BTU_J",
    "CORD_M3",
    "DIMENSIONS",
    "FOOT_M",
    "GALLON_M3",
    "HOUR_S",
    "INCH_M",
    "KWH_J",
    "MONTH_S",
    "POUND_KG",
    "THERM_J",
    "Quantity",
    "UnitError",
    "parse",
    "pretty_unit",
    "read_quantity",
    "show",
    "split_text",
    "to_display",
    "unit_for",
]
