"""Units and dimensions: sizes exact by definition, and how each audience reads a dimension."""

from __future__ import annotations

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
INCH_OF_WATER_PA = FOOT_OF_WATER_PA / 12
ZERO_C_K = 273.15
HOUR_S = 3600.0
DAY_S = 24 * HOUR_S
YEAR_S = 365 * DAY_S
MONTH_S = YEAR_S / 12
WHOLE_HOUR_S, WHOLE_DAY_S = 3600, 86400
"""For stamps, which are counted in whole seconds."""
DAY_H, DAY_MIN = 24, 1440
YEARS_H = (8760, 8784)
"""Hours of a plain year and of a leap year."""

Dims = tuple[int, ...]  # powers of metre, kilogram, second, kelvin, money

_M, _KG, _S, _K, _MONEY = (tuple(int(i == j) for j in range(5)) for i in range(5))
_ENERGY, _POWER, _NONE = (2, 1, -2, 0, 0), (2, 1, -3, 0, 0), (0, 0, 0, 0, 0)

CURRENCIES = {
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
    "US$": "$",
    "C$": "CAD",
    "CA$": "CAD",
    "A$": "AUD",
    "AU$": "AUD",
    "NZ$": "NZD",
    "¥": "¥",
    "JPY": "¥",
    "SEK": "SEK",
    "NOK": "NOK",
    "DKK": "DKK",
    "PLN": "PLN",
    "CZK": "CZK",
    "HUF": "HUF",
    "RON": "RON",
    "ISK": "ISK",
    "yen": "¥",
    "zł": "PLN",
    "Kč": "CZK",
}
HUNDREDTHS = {"p": "£", "pence": "£", "öre": "SEK", "Rp": "CHF"}
"""Hundredths that say whose they are; cents say it by the other amounts of the study."""

UNITS: dict[str, tuple[float, Dims]] = {
    **{name: (size, _M) for name, size in {"m": 1, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "ft": FOOT_M, "in": INCH_M}.items()},
    **{name: (size, _KG) for name, size in {"kg": 1, "g": 1e-3, "lb": POUND_KG, "tonne": 1e3, "short_ton": 2e3 * POUND_KG}.items()},
    **{name: (size, _S) for name, size in {"s": 1, "min": 60, "h": HOUR_S, "hr": HOUR_S, "hour": HOUR_S, "hours": HOUR_S}.items()},
    **{name: (size, _S) for name, size in {"day": DAY_S, "days": DAY_S, "month": MONTH_S, "year": YEAR_S, "yr": YEAR_S, "a": YEAR_S}.items()},
    **{name: (1.0, _K) for name in ("K", "degC", "°C", "C")},
    **{name: (5 / 9, _K) for name in ("degF", "°F", "F", "degR", "°R", "R")},
    **{name: (1.0, _MONEY) for name in CURRENCIES},
    **{name: (0.01, _MONEY) for name in ("¢", "cent", "cents", "ct", "øre", *HUNDREDTHS)},
    "J": (1.0, _ENERGY), "kJ": (1e3, _ENERGY), "MJ": (1e6, _ENERGY), "GJ": (1e9, _ENERGY),
    "Wh": (3.6e3, _ENERGY), "kWh": (KWH_J, _ENERGY), "MWh": (1e3 * KWH_J, _ENERGY),
    "Btu": (BTU_J, _ENERGY), "kBtu": (1e3 * BTU_J, _ENERGY), "MMBtu": (1e6 * BTU_J, _ENERGY),
    "therm": (THERM_J, _ENERGY), "therms": (THERM_J, _ENERGY), "Dth": (10 * THERM_J, _ENERGY), "dekatherm": (10 * THERM_J, _ENERGY),
    "W": (1.0, _POWER), "kW": (1e3, _POWER), "MW": (1e6, _POWER), "kVA": (1e3, _POWER), "MBH": (1e3 * BTU_J / HOUR_S, _POWER),
    "m2": (1.0, (2, 0, 0, 0, 0)), "ft2": (FOOT_M**2, (2, 0, 0, 0, 0)), "sqft": (FOOT_M**2, (2, 0, 0, 0, 0)),
    "m3": (1.0, (3, 0, 0, 0, 0)), "ft3": (FOOT_M**3, (3, 0, 0, 0, 0)), "L": (1e-3, (3, 0, 0, 0, 0)), "l": (1e-3, (3, 0, 0, 0, 0)),
    "gal": (GALLON_M3, (3, 0, 0, 0, 0)), "gallon": (GALLON_M3, (3, 0, 0, 0, 0)), "gallons": (GALLON_M3, (3, 0, 0, 0, 0)),
    "imp_gal": (4.54609e-3, (3, 0, 0, 0, 0)), "cord": (CORD_M3, (3, 0, 0, 0, 0)), "cords": (CORD_M3, (3, 0, 0, 0, 0)),
    "CCF": (100 * FOOT_M**3, (3, 0, 0, 0, 0)), "Mcf": (1000 * FOOT_M**3, (3, 0, 0, 0, 0)),
    "gpm": (GALLON_M3 / 60, (3, 0, -1, 0, 0)), "cfm": (FOOT_M**3 / 60, (3, 0, -1, 0, 0)), "lpm": (1e-3 / 60, (3, 0, -1, 0, 0)),
    "Pa": (1.0, (-1, 1, -2, 0, 0)), "kPa": (1e3, (-1, 1, -2, 0, 0)), "bar": (1e5, (-1, 1, -2, 0, 0)), "mbar": (1e2, (-1, 1, -2, 0, 0)),
    "psi": (PSI_PA, (-1, 1, -2, 0, 0)), "inH2O": (INCH_OF_WATER_PA, (-1, 1, -2, 0, 0)),
    "ftH2O": (FOOT_OF_WATER_PA, (-1, 1, -2, 0, 0)), "mH2O": (9806.38, (-1, 1, -2, 0, 0)),
    "V": (1.0, _NONE), "A": (1.0, _NONE), "%": (0.01, _NONE), "deg": (1.0, _NONE), "°": (1.0, _NONE), "vol%": (0.01, _NONE),
}  # fmt: skip

REFUSED = {
    "ton": "write short_ton (2000 lb), tonne (1000 kg) or the power in kBtu/h",
    "MBtu": "write kBtu (a thousand) or MMBtu (a million)",
    "hp": "write the power in kW or kBtu/h",
    "therm_US": "write therm",
    "kcal": "write kWh or kJ",
    "kr": "write SEK, NOK, DKK or ISK",
    "c": "write ¢ or ct for a hundredth of the study's money",
    "face_cord": "write the stacked volume in ft3 or m3, or a fraction of a cord",
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
    "mass_per_area": _dimension((-2, 1, 0, 0, 0), "kg/m2", "lb/ft2", "130 kg/m2"),
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
    "heat_capacity_per_area": _dimension((0, 1, -2, -1, 0), "kJ/(m2 K)", "Btu/(ft2 degF)", "50 kJ/(m2 K)"),
    "conductivity": _dimension((1, 1, -3, -1, 0), "W/(m K)", "Btu/(h ft degF)", "1.7 W/(m K)"),
    "temperature": _dimension(_K, "degC", "degF", "70 degF", "degC"),
    "temperature_difference": _dimension(_K, "K", "degF", "5 K"),
    "rate": _dimension((0, 0, -1, 0, 0), "1/h", "1/h", "0.5 1/h"),
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
