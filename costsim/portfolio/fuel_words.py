"""What heats a home in the words that people write into a table: "Nat. gas", "elec", "oil #2", "electric baseboard"."""

from __future__ import annotations

import re

_FILLERS = re.compile(
    r"\b(?:heat(?:ing|er|ed)?|fired|furnaces?|boilers?|baseboards?|radiators?|radiant|floor|hot|water|hydronic|steam|forced|air|resistance"
    r"|by|with|system|central|fuel|no|number|nr|[1-6])\b"
)
"""Words that say how or which grade, not what is burned."""
_PUMP = re.compile(
    r"(?:(?:air|ground|water|electric|source|to|geothermal) )*(?:heat ?pumps?|hp|ashp|gshp|mini ?splits?)(?: system)?"
)
_WORDS = {
    "natural gas": ("gas", "natural gas", "nat gas", "natgas", "natl gas", "nat l gas", "ng", "n gas", "piped gas", "city gas", "utility gas", "mains gas"),
    "propane": ("propane", "lp", "lpg", "l p", "l p gas", "lp gas", "lpg gas", "propane gas", "propane lp", "lp propane", "bottled gas", "tank gas"),
    "heating oil": ("oil", "heating oil", "ho"),
    "electricity": ("electric", "electricity", "electrical", "elec", "elect"),
    "wood": ("wood", "cordwood", "cord wood", "firewood", "fire wood", "logs"),
    "pellets": ("pellet", "pellets", "wood pellet", "wood pellets"),
}  # fmt: skip
"""Fuels as `FUELS` names them, in words of common practice, no source."""
_FUEL = {word: fuel for fuel, words in _WORDS.items() for word in words}


def what_heats(text: str) -> str:
    """A fuel in the words of `FUELS` with spaces, or "heat pump"; a text that is neither in small letters.

    Examples
    --------
    >>> [what_heats(one) for one in ("Nat. gas", "elec", "electric baseboard", "oil #2", "Gas furnace", "LP", "Mini-split")]
    ['natural gas', 'electricity', 'electricity', 'heating oil', 'natural gas', 'propane', 'heat pump']
    >>> [what_heats(one) for one in ("Off-peak electric", "gas and wood", "Heat pump + gas", "coal", "")]
    ['off peak electric', 'gas and wood', 'heat pump gas', 'coal', '']
    """
    plain = " ".join(re.sub(r"[^\w]|_", " ", text.lower()).split())
    if _PUMP.fullmatch(plain):
        return "heat pump"
    if plain == "resistance":
        return "electricity"
    bare = " ".join(_FILLERS.sub(" ", plain).split())
    return _FUEL.get(plain) or _FUEL.get(bare) or plain


def fuel_of_words(text: str) -> str:
    """Key of the fuel that a text names; empty where it names none alone.

    Examples
    --------
    >>> [fuel_of_words(one) for one in ("oil #2", "Nat. gas", "heat pump", "oil or wood", "")]
    ['heating_oil', 'natural_gas', '', '', '']
    """
    named = what_heats(text)
    return named.replace(" ", "_") if named in _WORDS else ""
