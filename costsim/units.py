"""The only place where text becomes SI and SI becomes text.

A quantity is text with its unit, such as ``"38 kBtu/h"`` or ``"2.40 $/gal"``. `parse` reads it against the dimension
that the field expects and gives an SI float; `show` writes an SI float in the reader's units.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass

# Exact by definition (NIST SP 811, 2008, appendix B); the Btu is the International Table one throughout.
FOOT_M = 0.3048
INCH_M = FOOT_M / 12
POUND_KG = 0.45359237
GALLON_M3 = 231 * INCH_M**3
CORD_M3 = 128 * FOOT_M**3
BTU_J = 1055.05585262
THERM_J = 1e5 * BTU_J
KWH_J = 3.6e6
PSI_PA = POUND_KG * 9.80665 / INCH_M**2
FOOT_OF_WATER_PA = 2989.067
ZERO_C_K = 273.15
HOUR_S = 3600.0

Dims = tuple[int, ...]  # powers of metre, kilogram, second, kelvin, money

_M, _KG, _S, _K, _MONEY = (tuple(int(i == j) for j in range(5)) for i in range(5))
_ENERGY, _POWER, _NONE = (2, 1, -2, 0, 0), (2, 1, -3, 0, 0), (0, 0, 0, 0, 0)
_MONTH_S = 365 * 86400 / 12

_UNITS: dict[str, tuple[float, Dims]] = {
    **{name: (size, _M) for name, size in {"m": 1, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "ft": FOOT_M, "in": INCH_M}.items()},
    **{name: (size, _KG) for name, size in {"kg": 1, "g": 1e-3, "lb": POUND_KG, "tonne": 1e3, "short_ton": 2e3 * POUND_KG}.items()},
    **{name: (size, _S) for name, size in {"s": 1, "min": 60, "h": HOUR_S, "hr": HOUR_S, "hour": HOUR_S, "hours": HOUR_S}.items()},
    **{name: (size, _S) for name, size in {"day": 86400, "days": 86400, "month": _MONTH_S, "year": 12 * _MONTH_S, "yr": 12 * _MONTH_S}.items()},
    **{name: (1.0, _K) for name in ("K", "degC", "°C", "C")},
    **{name: (5 / 9, _K) for name in ("degF", "°F", "F", "degR", "°R", "R")},
    **{name: (1.0, _MONEY) for name in ("$", "USD", "CAD", "AUD", "NZD", "EUR", "€", "GBP", "£", "CHF")},
    **{name: (0.01, _MONEY) for name in ("¢", "cent", "cents", "ct")},
    "J": (1.0, _ENERGY), "kJ": (1e3, _ENERGY), "MJ": (1e6, _ENERGY), "GJ": (1e9, _ENERGY),
    "Wh": (3.6e3, _ENERGY), "kWh": (KWH_J, _ENERGY), "MWh": (1e3 * KWH_J, _ENERGY),
    "Btu": (BTU_J, _ENERGY), "kBtu": (1e3 * BTU_J, _ENERGY), "MMBtu": (1e6 * BTU_J, _ENERGY),
    "therm": (THERM_J, _ENERGY), "therms": (THERM_J, _ENERGY), "Dth": (10 * THERM_J, _ENERGY),
    "W": (1.0, _POWER), "kW": (1e3, _POWER), "MW": (1e6, _POWER), "MBH": (1e3 * BTU_J / HOUR_S, _POWER),
    "m2": (1.0, (2, 0, 0, 0, 0)), "ft2": (FOOT_M**2, (2, 0, 0, 0, 0)), "sqft": (FOOT_M**2, (2, 0, 0, 0, 0)),
    "m3": (1.0, (3, 0, 0, 0, 0)), "ft3": (FOOT_M**3, (3, 0, 0, 0, 0)), "L": (1e-3, (3, 0, 0, 0, 0)), "l": (1e-3, (3, 0, 0, 0, 0)),
    "gal": (GALLON_M3, (3, 0, 0, 0, 0)), "gallon": (GALLON_M3, (3, 0, 0, 0, 0)), "gallons": (GALLON_M3, (3, 0, 0, 0, 0)),
    "imp_gal": (4.54609e-3, (3, 0, 0, 0, 0)), "cord": (CORD_M3, (3, 0, 0, 0, 0)), "cords": (CORD_M3, (3, 0, 0, 0, 0)),
    "CCF": (100 * FOOT_M**3, (3, 0, 0, 0, 0)), "Mcf": (1000 * FOOT_M**3, (3, 0, 0, 0, 0)),
    "gpm": (GALLON_M3 / 60, (3, 0, -1, 0, 0)), "cfm": (FOOT_M**3 / 60, (3, 0, -1, 0, 0)), "lpm": (1e-3 / 60, (3, 0, -1, 0, 0)),
    "Pa": (1.0, (-1, 1, -2, 0, 0)), "kPa": (1e3, (-1, 1, -2, 0, 0)), "bar": (1e5, (-1, 1, -2, 0, 0)), "mbar": (1e2, (-1, 1, -2, 0, 0)),
    "psi": (PSI_PA, (-1, 1, -2, 0, 0)), "ftH2O": (FOOT_OF_WATER_PA, (-1, 1, -2, 0, 0)), "mH2O": (9806.38, (-1, 1, -2, 0, 0)),
    "V": (1.0, _NONE), "A": (1.0, _NONE), "%": (0.01, _NONE), "deg": (1.0, _NONE), "vol%": (0.01, _NONE),
}  # fmt: skip

_REFUSED = {
    "ton": "write short_ton (2000 lb), tonne (1000 kg) or the power in kBtu/h",
    "MBtu": "write kBtu (a thousand) or MMBtu (a million)",
    "hp": "write the power in kW or kBtu/h",
    "therm_US": "write therm",
    "kcal": "write kWh or kJ",
    "face_cord": "write the stacked volume in ft3 or m3, or a fraction of a cord",
}
_CURRENCIES = {
    "$": "$",
    "USD": "$",
    "CAD": "CAD",
    "AUD": "AUD",
    "NZD": "NZD",
    "EUR": "€",
    "€": "€",
    "GBP": "£",
    "£": "£",
    "CHF": "CHF",
}


@dataclass(frozen=True, slots=True)
class Dimension:
    """What a field expects: powers of the base units, SI unit, and how each audience reads it."""

    dims: Dims
    si: str
    us: str
    example: str
    base: str = ""


def _dimension(dims: Dims, si: str, us: str, example: str, base: str = "") -> Dimension:
    return Dimension(dims, si, us, example, base)


DIMENSIONS: dict[str, Dimension] = {
    "length": _dimension(_M, "m", "ft", "90 m"),
    "small_length": _dimension(_M, "mm", "in", "300 mm"),
    "area": _dimension((2, 0, 0, 0, 0), "m2", "ft2", "1180 ft2"),
    "volume": _dimension((3, 0, 0, 0, 0), "L", "gal", "300 L"),
    "mass": _dimension(_KG, "kg", "lb", "20 kg"),
    "duration": _dimension(_S, "h", "h", "6 h"),
    "energy": _dimension(_ENERGY, "kWh", "kWh", "9000 kWh"),
    "energy_per_year": _dimension(_POWER, "kWh/year", "kWh/year", "9000 kWh/year"),
    "heat": _dimension(_ENERGY, "kWh", "MMBtu", "60 MMBtu"),
    "power": _dimension(_POWER, "kW", "kBtu/h", "7.6 kW"),
    "electric_power": _dimension(_POWER, "kW", "kW", "9 kW"),
    "small_power": _dimension(_POWER, "W", "W", "60 W"),
    "power_per_area": _dimension((0, 1, -3, 0, 0), "W/m2", "Btu/(h ft2)", "24 Btu/(h ft2)"),
    "heat_loss_rate": _dimension((2, 1, -3, -1, 0), "W/K", "Btu/(h degF)", "180 W/K"),
    "u_value": _dimension((0, 1, -3, -1, 0), "W/(m2 K)", "Btu/(h ft2 degF)", "0.30 W/(m2 K)"),
    "u_value_per_k": _dimension((0, 1, -3, -2, 0), "W/(m2 K2)", "Btu/(h ft2 degF2)", "0.015 W/(m2 K2)"),
    "r_value": _dimension((0, -1, 3, 1, 0), "m2 K/W", "h ft2 degF/Btu", "2.0 m2 K/W"),
    "conductivity": _dimension((1, 1, -3, -1, 0), "W/(m K)", "Btu/(h ft degF)", "1.7 W/(m K)"),
    "temperature": _dimension(_K, "degC", "degF", "70 degF", "degC"),
    "temperature_difference": _dimension(_K, "K", "degF", "5 K"),
    "flow": _dimension((3, 0, -1, 0, 0), "L/min", "gpm", "2.4 gpm"),
    "pressure": _dimension((-1, 1, -2, 0, 0), "kPa", "psi", "200 kPa"),
    "head": _dimension((-1, 1, -2, 0, 0), "kPa", "ftH2O", "18 kPa"),
    "share": _dimension(_NONE, "%", "%", "95 %", "%"),
    "share_per_year": _dimension((0, 0, -1, 0, 0), "%/year", "%/year", "2 %/year", "%/year"),
    "volume_share": _dimension(_NONE, "vol%", "vol%", "30 vol%", "vol%"),
    "voltage": _dimension(_NONE, "V", "V", "240 V", "V"),
    "current": _dimension(_NONE, "A", "A", "40 A", "A"),
    "angle": _dimension(_NONE, "deg", "deg", "60 deg", "deg"),
    "money": _dimension(_MONEY, "$", "$", "2400 $"),
    "money_per_month": _dimension((0, 0, -1, 0, 1), "$/month", "$/month", "14 $/month"),
    "money_per_year": _dimension((0, 0, -1, 0, 1), "$/year", "$/year", "120 $/year"),
    "money_per_energy": _dimension((-2, -1, 2, 0, 1), "$/kWh", "$/kWh", "0.128 $/kWh"),
    "money_per_power": _dimension((-2, -1, 3, 0, 1), "$/kW", "$/kW", "9 $/kW"),
    "money_per_area": _dimension((-2, 0, 0, 0, 1), "$/m2", "$/ft2", "450 $/m2"),
    "money_per_time": _dimension((0, 0, -1, 0, 1), "$/h", "$/h", "15 $/h"),
    "money_per_volume": _dimension((-3, 0, 0, 0, 1), "$/L", "$/gal", "2.60 $/gal"),
    "money_per_mass": _dimension((0, -1, 0, 0, 1), "$/kg", "$/lb", "0.32 $/kg"),
    "volume_per_year": _dimension((3, 0, -1, 0, 0), "L/year", "gal/year", "300 gal/year"),
    "mass_per_year": _dimension((0, 1, -1, 0, 0), "kg/year", "lb/year", "2000 kg/year"),
    "energy_per_volume": _dimension((-1, 1, -2, 0, 0), "kWh/m3", "Btu/ft3", "1036 Btu/ft3"),
    "emission": _dimension((-2, 0, 2, 0, 0), "kg/kWh", "kg/kWh", "0.37 kg/kWh"),
}


# Kept per month or year inside, since bills and contracts count those and not seconds.
_PER_TIME = {
    "money_per_month": _MONTH_S,
    "money_per_year": 12 * _MONTH_S,
    "share_per_year": 12 * _MONTH_S,
    "energy_per_year": 12 * _MONTH_S,
}


class UnitError(ValueError):
    """A text that is not a quantity of the expected dimension; the message says what would be right."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """An SI value with its dimension and, where money is in it, the currency that was written."""

    value: float
    dims: Dims
    currency: str = ""


_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")
_TOKEN = re.compile(r"\s*(vol%|[A-Za-z°µ_]+[A-Za-z_]*|[$€£¢%]|[0-9]+|\^|[²³]|[()/*·])")
_SUPERSCRIPT = {"²": 2, "³": 3}
_FOLDED: dict[str, list[str]] = {}
for _name in _UNITS:
    _FOLDED.setdefault(_name.lower(), []).append(_name)


def _unit(name: str) -> tuple[float, Dims]:
    if name in _REFUSED:
        raise UnitError(f"the unit '{name}' has more than one meaning; {_REFUSED[name]}")
    for candidate in (name, *_FOLDED.get(name.lower(), [])):
        if candidate in _UNITS and (candidate == name or len(name) > 1):
            return _UNITS[candidate]
    near = difflib.get_close_matches(name, _UNITS, 3, 0.5)
    raise UnitError(f"the unit '{name}' is not known" + (f"; did you mean {' or '.join(near)}?" if near else ""))


def _tokens(text: str) -> list[str]:
    found, at = [], 0
    text = re.sub(r"\bper\b", "/", text.strip())
    while at < len(text):
        match = _TOKEN.match(text, at)
        if match is None:
            raise UnitError(f"'{text[at:].strip()}' is not a unit")
        found.append(match.group(1))
        at = match.end()
    return found


class _Expression:
    """A unit expression, read left to right; `loose` reads everything after a slash as the divisor."""

    def __init__(self, tokens: list[str], loose: bool) -> None:
        self._tokens, self._at, self._loose = tokens, 0, loose
        self.currencies: set[str] = set()

    def read(self) -> tuple[float, Dims]:
        """Read the whole expression."""
        size, dims = self._product()
        if self._at != len(self._tokens):
            raise UnitError(f"'{self._tokens[self._at]}' is out of place in the unit")
        return size, dims

    def _peek(self) -> str:
        return self._tokens[self._at] if self._at < len(self._tokens) else ""

    def _take(self) -> str:
        token = self._peek()
        self._at += 1
        return token

    def _product(self) -> tuple[float, Dims]:
        size, dims, sign = *self._factor(), 1
        while self._peek() not in ("", ")"):
            if self._peek() == "/":
                self._take()
                sign = -1
            elif self._peek() in ("*", "·"):
                self._take()
                sign = sign if self._loose else 1
            elif not self._loose:
                sign = 1
            factor, other = self._factor()
            size *= factor**sign
            dims = tuple(a + sign * b for a, b in zip(dims, other, strict=True))
        return size, dims

    def _factor(self) -> tuple[float, Dims]:
        token = self._take()
        if token == "(":
            size, dims = self._product()
            if self._take() != ")":
                raise UnitError("a bracket is not closed in the unit")
        elif token and token not in "/*·)^" and not token.isdigit():
            size, dims = self._named(token)
        else:
            raise UnitError("the unit is not complete")
        power = self._power()
        return size**power, tuple(power * d for d in dims)

    def _named(self, token: str) -> tuple[float, Dims]:
        if token in _CURRENCIES:
            self.currencies.add(_CURRENCIES[token])
        after = self._peek()
        if token + after in _UNITS and after.isdigit():
            self._take()
            return _unit(token + after)
        return _unit(token)

    def _power(self) -> int:
        if self._peek() == "^":
            self._take()
        if self._peek() in _SUPERSCRIPT:
            return _SUPERSCRIPT[self._take()]
        return int(self._take()) if self._peek().isdigit() else 1


def _number_and_unit(text: str) -> tuple[float, str]:
    stripped = text.strip().replace("\u2212", "-").replace("\u00a0", " ")
    sign_of_money = re.match(r"([$€£])\s*(?=[-+\d.])", stripped)
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
    value = float(number.group())
    if not math.isfinite(value):
        raise UnitError(f"'{text}' is not a finite number")
    return value, f"{prefix}{'' if rest.startswith('/') or not rest else ' '}{rest}" if prefix else rest


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
    tokens, quantities = _tokens(unit), []
    for loose in (False, True):
        expression = _Expression(tokens, loose)
        size, dims = expression.read()
        if len(expression.currencies) > 1:
            raise UnitError(f"'{text}' mixes two currencies")
        quantities.append(Quantity(value * size, dims, next(iter(expression.currencies), "")))
    return next((quantity for quantity in quantities if quantity.dims == expected), quantities[0])


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
        raise UnitError(f"'{text}' is not a {dimension.replace('_', ' ')}")
    scale = _PER_TIME.get(dimension, 1.0)
    return Quantity(_tidy(quantity.value * scale), wanted.dims, quantity.currency)


def _tidy(value: float) -> float:
    """Take off the last bits that a detour over seconds leaves, so that 14 $/month is 14."""
    return float(f"{value:.15g}")


def _same_kind(text: str, wanted: Dimension) -> bool:
    return _number_and_unit(text)[1].replace(" ", "") in (
        wanted.base,
        wanted.base.replace("year", "yr"),
        f"{wanted.base}".lower(),
    )


def _parse_temperature(text: str, wanted: Dimension) -> Quantity:
    value, unit = _number_and_unit(text)
    if not unit:
        raise UnitError(f"{text} is a bare number")
    name = unit.replace("°", "deg").replace(" ", "")
    celsius = {"degc": value, "c": value, "degf": (value - 32) / 1.8, "f": (value - 32) / 1.8, "k": value - ZERO_C_K}
    if name.lower() not in celsius:
        raise UnitError(f"'{text}' is not a temperature")
    return Quantity(celsius[name.lower()], wanted.dims)


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
    return value / _PER_TIME.get(dimension, 1.0) / _Expression(_tokens(unit), loose=False).read()[0]


def show(value: float, dimension: str, system: str, digits: int = 1, currency: str = "$") -> str:
    """Write an SI value for a reader, with its unit.

    Examples
    --------
    >>> show(7600.0, "power", "us")
    '25.9 kBtu/h'
    """
    unit = pretty_unit(unit_for(dimension, system), currency)
    number = f"{to_display(value, dimension, system):,.{digits}f}"
    if unit.startswith(currency) and "money" in dimension:
        return f"{currency}{number}{unit[len(currency) :]}"
    return f"{number} {unit}"


def pretty_unit(unit: str, currency: str = "$") -> str:
    """Write a unit the way people do: degree signs, raised powers, the study's currency."""
    for plain, nice in (("deg", "°"), ("m2", "m²"), ("ft2", "ft²"), ("m3", "m³"), ("ft3", "ft³"), ("$", currency)):
        unit = unit.replace(plain, nice)
    return "°" if unit == "°" else unit
