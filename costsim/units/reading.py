"""Numbers as people type them: "1500", "1,500 sq ft", "70", "$2.40/gal", "22c", "0,31 €/kWh".

`understand` is the one function that turns such text into the text a study file holds. What can be read two ways is
not guessed: it comes back as a question with its answers.
"""

from __future__ import annotations

import dataclasses
import math
import re
from dataclasses import dataclass

from costsim.units.fields import OPEN, QuantityField
from costsim.units.numbers import NUMBER, is_bare, number_readings, tidy
from costsim.units.quantity import KWH_J, UnitError, parse, pretty_unit, read_quantity, split_text, unit_for
from costsim.units.table import DIMENSIONS

_WORDS: tuple[tuple[str, str], ...] = (
    (r"square feet|square foot|sq\.? ?ft\.?|sq\.? ?feet|\bsf\b|ft\^2|ft²", "ft2"),
    (r"square met(?:er|re)s?|sq\.? ?m\b|qm\b|m\^2|m²", "m2"),
    (r"cubic feet|cubic foot|cu\.? ?ft\.?|\bcf\b|ft³", "ft3"),
    (r"cubic met(?:er|re)s?|m³", "m3"),
    (r"degrees? ?(?:fahrenheit|f)\b|fahrenheit|° ?f\b|deg ?f\b", "degF"),
    (r"degrees? ?(?:celsius|c)\b|celsius|° ?c\b|deg ?c\b", "degC"),
    (r"kilowatt[- ]hours?|kwhs?\b|kw[- ]?hr?s?\b", "kWh"),
    (r"kilowatts?|\bkws?\b", "kW"),
    (r"\bwatts?\b", "W"),
    (r"\bmbtus?\b(?= */? *h)", "kBtu"),
    (r"\bkbtuh\b|\bmbh\b", "kBtu/h"),
    (r"\bbtuh\b|\bbtu/?hr\b", "Btu/h"),
    (r"\bmmbtus?\b|million btus?", "MMBtu"),
    (r"\bkbtus?\b|thousand btus?", "kBtu"),
    (r"\bbtus?\b", "Btu"),
    (r"\bimp(?:erial|\.)? gal(?:lon)?s?\.?", "imp_gal"),
    (r"\b(?:us )?gal(?:lon)?s?\b\.?", "gal"),
    (r"\blit(?:er|re)s?\b", "L"),
    (r"\btherms?\b", "therm"),
    (r"\bccf\b|\bhcf\b", "CCF"),
    (r"\bmcf\b", "Mcf"),
    (r"\bcords?\b", "cord"),
    (r"\bpounds?\b|\blbs?\b\.?", "lb"),
    (r"\bkilos?\b|\bkilograms?\b|\bkgs\b", "kg"),
    (r"\bfeet\b|\bfoot\b|\bft\b\.|(?<=\d)'", "ft"),
    (r"\binch(?:es)?\b|\bin\.|(?<=\d)\"", "in"),
    (r"\bmet(?:er|re)s?\b", "m"),
    (r"\bamp(?:ere)?s?\b", "A"),
    (r"\bvolts?\b", "V"),
    (r"\bpercent\b|\bpct\b", "%"),
    (r"\bmonthly\b|\ba month\b|\bmo\b\.?|\beach month\b", "/month"),
    (r"\byearly\b|\bannually\b|\ba year\b|\byr\b\.?|\beach year\b", "/year"),
    (r"\ban hour\b|\bhours?\b|\bhrs?\b", "h"),
    (r"\beach\b(?= *(?:gal|kWh|therm|cord|L\b|kg|lb))", "/"),
    (r"\bdollars?\b|\busd\b", "$"),
    (r"\beuros?\b|\beur\b", "€"),
    (r"\bcents?\b|\bct\b|¢", "cent"),
)
_PATTERNS = tuple((re.compile(pattern, re.IGNORECASE), unit) for pattern, unit in _WORDS)

FUEL_UNITS: dict[str, dict[str, str]] = {
    "electricity": {"us": "kWh", "si": "kWh"},
    "natural_gas": {"us": "therm", "si": "kWh"},
    "propane": {"us": "gal", "si": "L"},
    "heating_oil": {"us": "gal", "si": "L"},
    "wood": {"us": "cord", "si": "m3"},
    "pellets": {"us": "short_ton", "si": "tonne"},
}
"""What each fuel is sold by, where somebody types a bare price."""

PLAUSIBLE: dict[str, tuple[float, float]] = {
    "area": (1.0, 20_000.0),
    "power": (200.0, 2e6),
    "electric_power": (200.0, 1e6),
    "volume": (1e-3, 500.0),
    "length": (0.1, 4_000.0),
    "heat_loss_rate": (0.1, 20_000.0),
    "energy_per_year": (100 * KWH_J, 500_000 * KWH_J),
    "money": (0.0, 500_000.0),
    "money_per_month": (0.0, 2_000.0),
    "money_per_year": (0.0, 20_000.0),
}
"""SI limits beyond which a value is asked about, not refused; common practice, no source."""
MOST_PRICE: dict[tuple[int, ...], float] = {(-2, -1, 2): 3.0 / KWH_J, (-3, 0, 0): 4_000.0, (0, -1, 0): 20.0}
"""Money for a joule, a cubic metre or a kilogram beyond which a price is asked about; common practice, no source."""


LEAST_BTU_H = 1000.0
"""A bare number of kBtu/h from which on it is more likely Btu/h: 293 kW is no house's; common practice, no source."""
TON_KBTU_H = 12.0
"""A ton of refrigeration in kBtu/h, exactly 12,000 Btu/h (NIST SP 811, 2008, appendix B.8), as heat pumps are sold by."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What a typed text means.

    Parameters
    ----------
    text : str
        For the study file, such as ``"1500 ft2"``; what was typed where it could not be understood.
    question : str
        Asked where a text can be read two ways or is far from what is usual; empty otherwise.
    answers : tuple of str
        Texts that the person can choose from.
    changed : bool
        Whether a unit was added or words were replaced, so that the reading is worth showing.
    """

    text: str
    question: str = ""
    answers: tuple[str, ...] = ()
    changed: bool = False


def understand(
    typed: str,
    measured: QuantityField,
    *,
    system: str,
    fuel: str = "",
    currency: str = "$",
    before: str = "",
    unit: str = "",
) -> Reading:
    """Read what a person typed into a field.

    Parameters
    ----------
    typed : str
        Such as ``"1,500 sq ft"``.
    measured : QuantityField
        The field: its dimension, limits and example.
    system : str
        ``"us"`` or ``"si"``: which unit a bare number has and what a comma means.
    fuel : str
        Key of the fuel that a price belongs to.
    currency : str
        Of the study.
    before : str
        What the field held; a bare number where that unit is another one than the field asks for is a question.
    unit : str
        Of the menu beside the field, in which a bare number is read.

    Examples
    --------
    >>> area = QuantityField("area", "Area")
    >>> understand("1,500 sq ft", area, system="us").text, understand("1500", area, system="us").text
    ('1500 ft2', '1500 ft2')
    >>> understand("1,500", area, system="si").answers
    ('1.5 m2', '1500 m2')
    >>> price = QuantityField("price", "Price")
    >>> understand("22c", price, system="us", fuel="electricity").text
    '0.22 $/kWh'
    """
    text = " ".join(typed.replace("\u00a0", " ").replace("\u2212", "-").split())
    if not text:
        return Reading("")
    money = next((sign for sign in ("$", "€", "£") if sign in text), "")
    if money and not _holds_money(measured):
        return Reading(typed)
    match = NUMBER.search(text)
    if match is None:
        return Reading(typed)
    lead, rest = text[: match.start()].strip(), text[match.end() :].strip()
    if lead and lead not in ("$", "€", "£", "~", "about", "ca.", "approx.", "=", currency):
        return Reading(typed)
    numbers = number_readings(match.group().strip(), system)
    coin = lead if lead in ("$", "€", "£", currency) else money
    if unit.startswith("¢"):
        rest, unit = rest or ("" if coin else "¢"), f"{currency}{unit[1:]}"
    asked_in, held = unit or own_unit(measured, system, fuel, currency), "" if unit else split_text(before)[1]
    words = unit_words(rest)
    if asked_in == "kBtu/h" and not rest and all(abs(float(figure)) >= LEAST_BTU_H for figure in numbers):
        question = f"“{typed.strip()}” can be read two ways. Which one is meant?"
        return Reading(typed, question, tuple(f"{numbers[0]} {power_unit}" for power_unit in ("Btu/h", "kBtu/h")))
    readings = []
    for number in numbers:
        full, loose = _with_unit(number, words, coin, measured, system, currency, asked_in, held)
        readings += [full, *loose]
    fits = [reading for reading in dict.fromkeys(readings) if _fits(reading, measured)]
    anywhere = dataclasses.replace(measured, usual=None)
    fits = [reading for reading in fits if not odd(reading, anywhere, currency)] or fits
    if len(fits) > 1:
        question = f"“{typed.strip()}” can be read two ways. Which one is meant?"
        return Reading(typed, question, tuple(fits[:3]))
    if not fits:
        return Reading(readings[0] if words or len(readings) == 1 or measured.dimension == "temperature" else typed)
    asked = odd(fits[0], measured, currency)
    if asked and measured.dimension == "price" and fits[0].startswith(f"{numbers[0]} {currency}/"):
        cents = f"{tidy(str(float(numbers[0]) / 100))}{fits[0].removeprefix(numbers[0])}"
        if not odd(cents, measured, currency):
            return Reading(typed, f"“{typed.strip()}” is far from what fuels cost. Are these cents?", (cents, fits[0]))
    return Reading(fits[0], asked, (), fits[0] != typed.strip())


def unit_words(text: str) -> str:
    """Units in words and everyday spellings as `costsim.units` writes them."""
    for pattern, unit in _PATTERNS:
        text = pattern.sub(unit, text)
    text = re.sub(r"\bper\b|\ba(?= (?:gal|kWh|therm|cord|month|year|L|kg|lb|ton))", "/", text)
    first, *others = [part.strip() for part in text.split("/")]
    text = "/".join([first, *filter(None, others[:-1]), *others[-1:]])
    text = re.sub(r"(?<![A-Za-z])F\b", "degF", text)
    text = re.sub(r"(?<![A-Za-z])C\b(?!/)", "degC", text)
    return text.strip(" .,;")


def in_thousands(number: str, unit: str) -> tuple[str, str]:
    """A number with a k behind it in full, and the unit that is left.

    Examples
    --------
    >>> in_thousands("2", "k"), in_thousands("38", "k Btu/h"), in_thousands("38", "kBtu/h")
    (('2000', ''), ('38000', 'Btu/h'), ('38', 'kBtu/h'))
    """
    if re.match(r"k\b(?!/h)", unit):
        return tidy(str(float(number) * 1000)), unit[1:].strip()
    return number, unit


def _with_unit(
    number: str, unit: str, money: str, measured: QuantityField, system: str, currency: str, wanted: str, held: str
) -> tuple[str, list[str]]:
    """Number and unit together, and other readings where the unit was left out and more than one is usual."""
    coin = money or currency
    number, unit = in_thousands(number, unit)
    if unit in ("", "/"):
        if money and wanted.startswith(currency):
            wanted = f"{coin}{wanted[len(currency) :]}"
        if held and not money and not _same_unit(held, wanted, measured):
            return _either(number, (wanted, held), measured)
        return f"{number} {wanted}", _other_readings(number, measured, wanted)
    cents = re.match(r"(?:cent|c)\b", unit)
    if cents and _is_money(measured):
        unit = f"{coin}{unit[cents.end() :].strip() or wanted[len(currency) :]}"
        return f"{tidy(str(float(number) / 100))} {unit}", []
    if money and not unit.startswith(money):
        unit = f"{money}{unit if unit.startswith('/') else '/' + unit}"
    elif unit == money and wanted.startswith(currency):
        unit = f"{money}{wanted[len(currency) :]}"
    elif unit.startswith("/") and wanted.startswith(currency):
        unit = f"{currency}{unit}"
    elif unit in ("$", "€", "£") and measured.dimension == "price":
        unit = f"{unit}{wanted[len(currency) :]}"
    if measured.dimension == "area" and unit in ("ft", "m"):
        # a length is no area: feet are squared where people count in them, and metres are asked about
        asked = unit == "m" or system != "us"
        return f"{number} {unit}2", [f"{number} {'ft2' if unit == 'm' else 'm2'}"] if asked else []
    if measured.dimension == "amount" and unit.endswith("/year"):
        unit = unit.removesuffix("/year")
    if measured.dimension == "power" and unit in ("Btu", "kBtu"):
        unit = f"{unit}/h"
    if measured.dimension in ("power", "electric_power") and re.fullmatch(
        r"-?tons?( of (cooling|refrigeration))?", unit
    ):
        return f"{tidy(str(float(number) * TON_KBTU_H))} kBtu/h", []
    if re.search(r"\btons?\b", unit):
        tons = [re.sub(r"\btons?\b", ton, unit) for ton in ("short_ton", "tonne")]
        return f"{number} {tons[0]}", [f"{number} {tons[1]}"] if system == "si" else []
    if measured.dimension.endswith("_per_year") and "/" not in unit:
        unit = f"{unit}/year"
    if measured.dimension == "temperature" and unit.lower() in ("°", "deg", "degrees", "degree"):
        return f"{number} {wanted}", _other_readings(number, measured, wanted)
    if measured.dimension == "volume_share" and unit == "%":
        unit = "vol%"
    if measured.dimension == "temperature_difference" and unit.lower() in ("°", "deg", "degrees"):
        unit = wanted
    return f"{number} {unit}", []


def _holds_money(measured: QuantityField) -> bool:
    """Whether money is part of what a field asks for."""
    if measured.dimension in OPEN:
        return any(dims[-1] for dims in OPEN[measured.dimension][1])
    return DIMENSIONS[measured.dimension].dims[-1] != 0


def _is_money(measured: QuantityField) -> bool:
    return measured.dimension == "price" or measured.dimension.startswith("money")


def _other_readings(number: str, measured: QuantityField, wanted: str) -> list[str]:
    """A bare number can be of the other system where it makes no sense in this one; a share below 1 can be per cent."""
    if measured.dimension == "temperature":
        other = "degC" if wanted.endswith("F") else "degF"
        here, there = f"{number} {wanted}", f"{number} {other}"
        if _fits(here, measured) and _likely_temperature(here, measured):
            return []
        return [there]
    if measured.dimension == "share" and 0 < abs(float(number)) <= 1:
        return [f"{tidy(str(float(number) * 100))} %"]
    return []


def _likely_temperature(text: str, measured: QuantityField) -> bool:
    """Whether a temperature is one that this field usually has; the span around its example, common practice."""
    try:
        value, usual = parse(text, "temperature").value, parse(measured.sample, "temperature").value
    except UnitError:
        return False
    return abs(value - usual) < 25.0 or usual < 0.0 or usual > 45.0


def _same_unit(held: str, wanted: str, measured: QuantityField) -> bool:
    """Whether a unit that a field held is the one it asks for, or none that it could be asked for in."""
    try:
        return measured.quantity(f"1 {held}").value == measured.quantity(f"1 {wanted}").value
    except UnitError:
        return True


def _either(number: str, units: tuple[str, str], measured: QuantityField) -> tuple[str, list[str]]:
    """A bare number in the unit a field asks for, and in that of the value it replaces."""
    first, second = (f"{number} {unit}" for unit in units)
    if measured.dimension == "temperature" and not _likely_temperature(first, measured):
        first, second = second, first
    likely = measured.dimension != "temperature" or _likely_temperature(second, measured)
    return first, [second] if likely else []


_SI_ONLY = re.compile(r"\b(?:m|m2|m3|mm|L|kPa|K|degC|J|kJ|kg|W/K)\b")
_US_ONLY = re.compile(r"Btu|degF|\bft|\bgal|\bgpm|\bin\b|\bpsi|H2O|\btherm|\blb|\bcord|\bshort_ton|CCF")
_TWINS = {"m3": {"us": "ft3"}, "ft3": {"si": "m3"}, "Btu/ft3": {"si": "kWh/m3"}, "kg/kWh": {"us": "lb/kWh"}}
"""Units whose twin in the other system is not that of their dimension: rooms are no tanks."""


def own_unit(measured: QuantityField, system: str, fuel: str = "", currency: str = "$") -> str:
    """The unit of a bare number, which the field's hint shows.

    That is what its fuel is sold by, else that of its example where the reader uses it, else the reader's own.

    Examples
    --------
    >>> own_unit(QuantityField("power", "Output"), "us"), own_unit(QuantityField("price", "Price"), "us", "propane")
    ('kBtu/h', '$/gal')
    >>> own_unit(QuantityField("length", "Diameter", example="37 in"), "us"), own_unit(QuantityField("volume", "Air", example="250 m3"), "us")
    ('in', 'ft3')
    """
    unit, dimension = split_text(measured.sample)[1], measured.dimension
    sold = FUEL_UNITS.get(fuel, {}).get(system, "")
    if dimension == "price":
        unit = f"$/{sold or (FUEL_UNITS['electricity'][system] if foreign(unit, system, dimension) else unit[2:])}"
    elif dimension in ("amount", "amount_per_year", "tier") and sold:
        unit = "/".join([sold, *unit.split("/")[1:]])
    elif foreign(unit, system, dimension):
        unit = _TWINS.get(unit, {}).get(system) or (unit if dimension in OPEN else unit_for(dimension, system))
    return unit.replace("$", currency)


def foreign(unit: str, system: str, dimension: str) -> bool:
    """Whether a unit is one of the system that the reader does not use."""
    if system == "si":
        return _US_ONLY.search(unit) is not None
    return _SI_ONLY.search(unit) is not None or (dimension == "power" and unit == "kW")


def _fits(text: str, measured: QuantityField, limits: bool = True) -> bool:
    try:
        if limits:
            measured.read(text)
        else:
            measured.quantity(text)
    except Exception as error:  # UnitError, or what pydantic makes of a limit
        if isinstance(error, UnitError | ValueError):
            return False
        raise
    return True


def odd(text: str, measured: QuantityField, currency: str = "$") -> str:
    """A question about a value that is possible and far from what is usual; empty for a usual one and for no value."""
    if not _fits(text, measured, limits=False):
        return ""
    if measured.dimension == "price":
        quantity = read_quantity(text)
        number, unit = split_text(text)
        if quantity.value > MOST_PRICE.get(quantity.dims[:3], math.inf):
            return f"{number:,.10g} {pretty_unit(unit, currency)} is far from what fuels cost. Is that right?"
        return ""
    limits = measured.usual or PLAUSIBLE.get(measured.dimension)
    if limits is None:
        return ""
    value = parse(text, measured.dimension).value
    if value and not limits[0] <= abs(value) <= limits[1]:
        return f"{pretty_unit(text)} is far from what is usual here. Is that right?"
    return ""


__all__ = ["FUEL_UNITS", "Reading", "foreign", "is_bare", "number_readings", "odd", "own_unit", "understand"]
