"""From amounts as they are sold to energy: units, the heat content of a fuel, and which fuel a unit or a word speaks of."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from costsim.errors import Fault, InputError
from costsim.physics.fuels import FUELS
from costsim.units.quantity import UnitError, read_quantity, show

ENERGY, VOLUME, MASS, POWER = (2, 1, -2, 0, 0), (3, 0, 0, 0, 0), (0, 1, 0, 0, 0), (2, 1, -3, 0, 0)
PER_VOLUME, PER_MASS = (-1, 1, -2, 0, 0), (2, 0, -2, 0, 0)
_NATURAL = {"m3": VOLUME, "kg": MASS, "J": ENERGY}
_ALIASES = {
    "ccf": "CCF", "hcf": "CCF", "mcf": "Mcf", "cf": "ft3", "cu ft": "ft3", "cubic feet": "ft3", "thm": "therm", "thms": "therm",
    "m³": "m3", "cbm": "m3", "cubic metres": "m3", "cubic meters": "m3", "ltr": "L", "litre": "L", "litres": "L", "liter": "L",
    "liters": "L", "gals": "gal", "gal.": "gal", "lbs": "lb", "pounds": "lb", "dth": "Dth", "kwh": "kWh", "mwh": "MWh", "mj": "MJ",
    "gj": "GJ", "mmbtu": "MMBtu", "kwhs": "kWh", "t": "tonne", "tons": "ton",
}  # fmt: skip
_WORDS = {
    "natural_gas": r"natural|erdgas|\bng\b|gas (meter|bill)",
    "propane": r"propan|\blpg?\b|\blp gas\b|fl[uü]ssiggas",
    "heating_oil": r"\boil\b|heiz[oö]l|diesel|fuel oil|kerosene",
    "electricity": r"electr|\bstrom\b|\bpower\b",
    "pellets": r"pellet",
    "wood": r"wood|cord|brennholz|holz",
}
_TYPICAL = {
    "kW": "electricity", "W": "electricity", "kWh": "electricity", "MWh": "electricity", "Wh": "electricity", "therm": "natural_gas", "therms": "natural_gas",
    "CCF": "natural_gas", "Mcf": "natural_gas", "Dth": "natural_gas", "ft3": "natural_gas", "m3": "natural_gas", "cord": "wood",
    "cords": "wood", "MMBtu": "natural_gas", "MJ": "natural_gas", "GJ": "natural_gas", "kg": "pellets",
}  # fmt: skip
_NEVER = {  # a volume of another thing: liquid, vapour or stacked logs
    "propane": ("cord", "cords", "CCF", "Mcf", "ft3"),
    "heating_oil": ("cord", "cords", "CCF", "Mcf", "ft3"),
    "wood": ("gal", "gallon", "gallons", "imp_gal", "L", "l", "CCF", "Mcf"),
    "natural_gas": ("gal", "gallon", "gallons", "imp_gal", "cord", "cords"),
}
_COUNTED = re.compile(r"\d{1,4}(?:\.\d{1,2})? [A-Za-z]")
_ONE = {"gallons": "gallon", "therms": "therm", "cords": "cord"}
TANK_FUELS = ("propane", "heating_oil", "wood", "pellets")


@lru_cache(maxsize=1000)
def plain_unit(text: str) -> str:
    """Write a unit the way `costsim.units` knows it.

    Examples
    --------
    >>> plain_unit("CU FT"), plain_unit("Therms"), plain_unit("m³")
    ('ft3', 'therms', 'm3')
    """
    text = text.strip().rstrip(".") or text.strip()
    low = " ".join(text.lower().split())
    if low in _ALIASES:
        return _ALIASES[low]
    return low if low in ("therm", "therms", "gal", "gallon", "gallons", "cord", "cords") else text


def named_fuel(text: str) -> str:
    """Find the fuel that a heading or file name speaks of; empty where it names none or several.

    Examples
    --------
    >>> named_fuel("LP gas delivered (gal)"), named_fuel("usage")
    ('propane', '')
    """
    plain = re.sub(r"[_.\-]+", " ", text.lower())
    found = [fuel for fuel, pattern in _WORDS.items() if re.search(pattern, plain)]
    return found[0] if len(found) == 1 else ""


def typical_fuel(unit: str) -> str:
    """Name the fuel that is most often sold in a unit; empty for gallons and litres, which hold anything."""
    return _TYPICAL.get(plain_unit(unit), "")


@dataclass(frozen=True, slots=True)
class Conversion:
    """How one unit of one fuel becomes joules, and the words for it where a heat content was assumed."""

    joule_per_unit: float
    note: str


def conversion(unit: str, fuel: str, heat_content_j: float | None, file: str) -> Conversion:
    """Say how many joules one unit holds; of power, how many watts.

    Parameters
    ----------
    unit : str
        As typed.
    fuel : str
        Key of `FUELS`.
    heat_content_j : float or None
        Of one m³ or kg, where a bill or an argument tells it [J/m³ or J/kg]; else the fuel's default.
    file : str
        For messages.

    Raises
    ------
    InputError
        The unit is unknown, or the fuel is not sold in it.
    """
    name = plain_unit(unit)
    try:
        found = read_quantity(name if _COUNTED.match(name) else f"1 {name}")  # such as 40 lb, of a bag
    except UnitError as error:
        remedy = "write kWh, therm, CCF, m3, gal, L, cord, MMBtu or MJ, in the heading or in a column 'unit'"
        raise InputError(Fault("unit", str(error), remedy, file)) from None
    if found.dims == ENERGY:
        return Conversion(found.value, "")
    if found.dims == POWER:
        return Conversion(found.value, "")
    facts = FUELS[fuel]
    if found.dims != _NATURAL[facts.natural_unit] or (name in _NEVER.get(fuel, ()) and heat_content_j is None):
        what = f"an amount in {unit} cannot be turned into the energy of {facts.title.lower()}"
        raise InputError(Fault("unit", what, "name the fuel with --fuel, or write another unit", file))
    content = heat_content_j or facts.heat_content_j_per_unit
    each = show(content * found.value, "heat", "si", 2)
    where = "as given" if heat_content_j else f"default of this program, {facts.source}"
    one = name if _COUNTED.match(name) else f"one {_ONE.get(name, name)}"
    return Conversion(content * found.value, f"{one} holds {each} ({where})")


def heat_content(text: str, file: str = "") -> float:
    """Read a heat content such as ``"1.03 therm/CCF"`` or ``"10.6 kWh/m3"`` [J/m³ or J/kg].

    Raises
    ------
    InputError
        It is none.
    """
    try:
        found = read_quantity(text)
        if found.dims in (PER_VOLUME, PER_MASS) and found.value > 0:
            return found.value
        problem = f"'{text}' is no energy per volume or mass"
    except UnitError as error:
        problem = str(error)
    raise InputError(Fault("heat content", problem, 'write it like "1.03 therm/CCF" or "10.6 kWh/m3"', file)) from None
