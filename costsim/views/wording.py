"""A sentence as its reader takes it: one system of units, and signs as US English sets them."""

from __future__ import annotations

import re

from costsim.units.fields import in_words
from costsim.words import tr

_FIGURE = r"[-−]?\d[\d,]*+(?:\.\d++)?+"
_NUMBER = rf"((?:{_FIGURE} (?:and|to) )?+{_FIGURE}(?:[ ×x]|(?=°)))"
_SI = r"(?:kW|W|°C|K d|K|W/K|W/m²|W/\(m² K\)|kWh/m³|kWh|L|m|mm|m²|m³|m³/h|bar|kPa|kg/kWh|kg|kg/m²)"
_US = (
    r"(?:ft|ft²|ft³|°F|in|gal|gpm|psi|lb/(?:short ton|[\w²]++)|lb|therms?|kBtu/h|Btu/h|kBtu|MMBtu"
    r"|[kM]*Btu/[^\s()]++|Btu/\([^()]*+\)|°F d|h °F/Btu)"
)
_REST = r"(?![\w/²³])[^()]*+(?:\([^()]*+\)[^()]*+)?+"


def _pair(outside: str, inside: str) -> re.Pattern[str]:
    """A figure and, in brackets, the same in a unit of the other system; "Electric 7.2 kW (25 hours too cold)" is none."""
    return re.compile(rf"(?<![\w.,]){_NUMBER}({outside}) \(({_NUMBER}(?:{inside}){_REST})\)")


_SI_FIRST, _US_FIRST = _pair(_SI, _US), _pair(_US, _SI)
_PERCENT = re.compile(r"(?<=\d) %")
_MADE_BY = re.compile(r", seed \d++(?:; python -m [\w.]++)?+")
"""How a made year can be made again: for who keeps the program, not for who reads of a house."""
_DOLLARS = re.compile(r"(?<![\w.,$])(\d[\d,]*+(?:\.\d++)?+) \$")


def one_system(text: str, system: str) -> str:
    """Leave one of two figures for the same thing: that of the reader's units.

    Examples
    --------
    >>> one_system("7.60 kW (25.9 kBtu/h); entered", "us"), one_system("7.60 kW (25.9 kBtu/h)", "si")
    ('25.9 kBtu/h; entered', '7.60 kW')
    >>> one_system("4 % less for each 1,000 ft (305 m)", "si"), one_system("248.7 W/K (471.5 Btu/(h °F))", "us")
    ('4 % less for each 305 m', '471.5 Btu/(h °F)')
    >>> one_system("Electric 7.2 kW (25 hours too cold)", "us"), one_system("1 W (5.68 h °F/Btu)", "us")
    ('Electric 7.2 kW (25 hours too cold)', '5.68 h °F/Btu')
    >>> one_system("12 and 30 psi (0.8 and 2.1 bar)", "si"), one_system("474 Btu/(h °F) (425 to 524 Btu/(h °F))", "us")
    ('0.8 and 2.1 bar', '474 Btu/(h °F) (425 to 524 Btu/(h °F))')
    """
    first, second = (_SI_FIRST, _US_FIRST) if system == "us" else (_US_FIRST, _SI_FIRST)
    text = first.sub(lambda match: match[3], text)
    return second.sub(lambda match: f"{match[1]}{match[2]}", text)


def for_reader(text: str, system: str) -> str:
    """One system of units, percent signs close to their numbers and dollars before them, as US English sets them.

    Examples
    --------
    >>> for_reader("7.60 kW (25.9 kBtu/h), a margin of 15 % at 0.128 $/kWh", "us")
    '25.9 kBtu/h, a margin of 15% at $0.128/kWh'
    >>> for_reader("made from monthly means, seed 7; python -m costsim.weather.make_samples", "us")
    'made from monthly means'
    """
    text = _MADE_BY.sub("", text)
    return _PERCENT.sub("%", _DOLLARS.sub(r"$\1", one_system(text, system)))


STUDY_TABLES = (
    "place", "house", "floor", "tank", "fluid", "use", "ratings", "selection", "program", "economics", "uncertainty", "solar_electric", "prices",
    "option",
)  # fmt: skip
_TO_ADD = re.compile(r"add a table \[\[(source|option)\]\]")
_PRICE = re.compile(r"\[\[?+prices\.(\w++)\]\]?+")
_TABLE = re.compile(rf"\[\[?+(?:{'|'.join(STUDY_TABLES)})(?:\.[a-z_]++)*+\]\]?+")


def without_tables(text: str) -> str:
    """Name the tables of a study's file in plain words, for who never sees the file.

    Examples
    --------
    >>> without_tables('add [prices.off_peak], or [[floor.loops]] of [tank]')
    'add a price of off peak (Prices page), or “Loops” of “Tank”'
    >>> without_tables("heat by month [kWh], wood [kg]: option[1].name")
    'heat by month [kWh], wood [kg]: option[1].name'
    """
    text = _TO_ADD.sub(lambda match: tr("use “Add {name}”", name=in_words(match[1]).lower()), text)
    text = _PRICE.sub(lambda match: tr("a price of {key} (Prices page)", key=match[1].replace("_", " ")), text)
    return _TABLE.sub(lambda match: f"“{tr(in_words(match[0].strip('[]').rpartition('.')[2]))}”", text)


FORMS = (
    "price of {what}", "path of the price of {what}", "efficiency of {what}", "cheapest over {what} years", "weather of {what}",
    "tax on {what}", "one of {what} weather years, each as likely", "energy, block {what}",
    "{what}, so that the band told as “give or take” holds nine in ten",
)  # fmt: skip
DRIVERS = (
    "design load", "indoor temperature", "winter", "burners", "heat pumps", "cheapest to buy", "cheapest to run", "least carbon",
    "never cold", "hours a year", "metric tons CO2 a year", "curtailment hours", "laminar", "turbulent", "days", "winter, degree-days", "correlation of prices",
    "full loads", "labor", "useful", "irradiation", "collected", "dumped", "stagnation", "starts", "most starts per hour", "wood", "dumping",
    "breaker", "altitude", "flow", "sun", "capacity", "floor", "curtailment", "fuel",
)  # fmt: skip
"""Names that analyses give to what is drawn and to what is asked."""


MOVES = "how the price of {what} moves over the years"


def named(what: str) -> str:
    """A name that an analysis gives, in the reader's language."""
    for form in FORMS:
        before, after = form.split("{what}")
        if what.startswith(before) and what.endswith(after):
            inner = tr(what[len(before) : len(what) - len(after)])
            return tr(MOVES if before == "path of the price of " else form, what=inner)
    return tr(what)
