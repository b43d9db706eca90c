"""From amounts as they are sold to energy: units, the heat content of a fuel, and which fuel a unit or a word speaks of."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from costsim.errors import Fault, InputError
from costsim.physics.fuels import FUELS
from costsim.units.quantity import UnitError, read_quantity, show

ENERGY, VOLUME, MASS, POWER = (2, 1, -2, 0, 0), (3, 0, 0, 0, 0), (0, 1, 0, 0, 0), (2, 1, -3, 0, 0)
PER_VOLUME, PER_MASS = (-1, 1, -2, 0, 0), (2, 0, -2, 0, 0)
_NATURAL = {"m3": VOLUME, "kg": MASS, "J": ENERGY}
_ALIASES = {
    "ccf": "CCF", "hcf": "CCF", "mcf": "Mcf", "cf": "ft3", "cu ft": "ft3", "cubic feet": "ft3", "thm": "therm",
    "thms": "therm", "m³": "m3", "cbm": "m3", "cubic metres": "m3", "cubic meters": "m3", "ltr": "L", "litre": "L",
    "litres": "L", "liter": "L", "liters": "L", "gals": "gal", "gal.": "gal", "lbs": "lb", "pounds": "lb",
    "dth": "Dth", "kwh": "kWh", "mwh": "MWh", "mj": "MJ", "gj": "GJ", "mmbtu": "MMBtu", "kwhs": "kWh", "t": "tonne",
    "ton": "short_ton", "tons": "short_ton", "short tons": "short_ton", "short ton": "short_ton", "tonnes": "tonne",
    "metric tons": "tonne", "metric ton": "tonne", "dkt": "Dth", "dkth": "Dth", "dekatherm": "Dth",
    "dekatherms": "Dth", "decatherms": "Dth", "dths": "Dth", "smc": "m3", "sm3": "m3", "nm3": "m3", "nm³": "m3",
    "m^3": "m3", "stere": "m3", "steres": "m3", "stère": "m3", "stères": "m3", "ster": "m3", "raummeter": "m3",
    "rm": "m3", "l": "L", "litros": "L", "litri": "L", "kgs": "kg",
}  # fmt: skip
_WORDS = {
    "natural_gas": r"\bnatural\b|erdgas|\bng\b|\bgas(?! oil)\b|\bgaz\b|gasverbrauch|aardgas|metano|ガス",
    "propane": r"propan|\blpg?\b|\blp gas\b|fl[uü]ssiggas|butan",
    "heating_oil": r"\boil\b|heiz[oö]l|diesel|fuel oil|kerosene|fioul|mazout|gas[oó]leo|stookolie",
    "electricity": r"ele[ck]tr|électr|\bstrom|\bstroom\b|\bpower\b|\bluz\b|電気|電力",
    "pellets": r"pellet",
    "wood": r"wood|\bcords?\b|brennholz|holz|\bbois\b|\bleña\b|\bst[eè]res?\b",
}
_AROUND_GAS = re.compile(
    r"calorific|brennwert|zustandszahl|correction factor|coefficient de conversion|gazi[eè]re|\bmprn\b|\bpcs\b|\bccf\b|\bsmc\b|m³|\bm3\b|"
    + _WORDS["natural_gas"]
)
"""What stands beside amounts of gas in units of energy: its volume, and what turns that into energy."""
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
DENSITY_KG_M3 = {"propane": 507.0}
"""Of liquids that are also sold by weight, at 15 °C (value from memory)."""
_COUNTED = re.compile(r"\d{1,4}(?:\.\d{1,2})? [A-Za-z]")
_ONE = {"short_ton": "ton", "gallons": "gallon", "therms": "therm", "cords": "cord"}
TANK_FUELS = tuple(name for name, fuel in FUELS.items() if not fuel.metered)
"""What is bought ahead and kept at the house."""


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
    fuels = [fuel for fuel, pattern in _WORDS.items() if re.search(pattern, plain)]
    if len(fuels) == 2 and fuels[0] == "natural_gas" and fuels[1] in ("propane", "heating_oil"):
        fuels = fuels[1:]  # as in propane gas
    return fuels[0] if len(fuels) == 1 else ""


def gas_around(texts: Iterable[str]) -> str:
    """Word by which texts around amounts of energy tell that these are of natural gas; empty where other fuels are named as well.

    Examples
    --------
    >>> gas_around(["Period", "Units used (m³)", "kWh"]), gas_around(["Gas (m³)", "Electricity (kWh)"])
    ('Units used (m³)', '')
    """
    gas = ""
    for text in texts:
        plain = re.sub(r"[_.\-]+", " ", text.lower())
        if (
            any(re.search(pattern, plain) for fuel, pattern in _WORDS.items() if fuel != "natural_gas")
            or "water" in plain
        ):
            return ""
        gas = gas or (text.strip() if _AROUND_GAS.search(plain) else "")
    return gas


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
        quantity = read_quantity(name if _COUNTED.match(name) else f"1 {name}")  # such as 40 lb, of a bag
    except UnitError as error:
        remedy = "write kWh, therm, CCF, m3, gal, L, cord, MMBtu or MJ, in the heading or in a column 'unit'"
        raise InputError(Fault("unit", str(error), remedy, file)) from None
    if quantity.dims in (ENERGY, POWER):
        return Conversion(quantity.value, "")
    facts = FUELS[fuel]
    if quantity.dims == MASS and fuel in DENSITY_KG_M3 and heat_content_j is None:
        each_kg = facts.heat_content_j_per_unit / DENSITY_KG_M3[fuel]
        source = f"{show(each_kg, 'heat', 'si', 2)} a kg, from a density of {DENSITY_KG_M3[fuel] / 1000:g} kg/L, value from memory"
        return Conversion(each_kg * quantity.value, f"propane by weight holds {source}")
    if quantity.dims != _NATURAL[facts.natural_unit] or (name in _NEVER.get(fuel, ()) and heat_content_j is None):
        what = f"an amount in {unit} cannot be turned into the energy of {facts.title.lower()}"
        if fuel == "natural_gas" and quantity.dims == VOLUME and name in (*_NEVER[fuel], "L"):
            remedy = "gas sold by the gallon or litre is propane: type --fuel propane"
            raise InputError(Fault("unit", what, remedy, file, "fuel", ("propane", "heating_oil")))
        raise InputError(Fault("unit", what, "name the fuel with --fuel, or write another unit", file))
    content = heat_content_j or facts.heat_content_j_per_unit
    each = show(content * quantity.value, "heat", "si", 2)
    where = "as given" if heat_content_j else f"default of this program, {facts.source}"
    where += "; tons of 2,000 lb are meant, say --unit tonne for metric ones" if name == "short_ton" else ""
    counted = name if _COUNTED.match(name) else f"one {_ONE.get(name, name)}"
    return Conversion(content * quantity.value, f"{counted} holds {each} ({where})")


def heat_content(text: str, file: str = "") -> float:
    """Read a heat content such as ``"1.03 therm/CCF"`` or ``"10.6 kWh/m3"`` [J/m³ or J/kg].

    Raises
    ------
    InputError
        It is none.
    """
    try:
        quantity = read_quantity(text)
        if quantity.dims in (PER_VOLUME, PER_MASS) and quantity.value > 0:
            return quantity.value
        problem = f"'{text}' is no energy per volume or mass"
    except UnitError as error:
        problem = str(error)
    raise InputError(Fault("heat content", problem, 'write it like "1.03 therm/CCF" or "10.6 kWh/m3"', file)) from None
