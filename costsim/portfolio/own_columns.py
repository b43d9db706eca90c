"""Columns of the planner's own, such as Utility or Year built: told from headings that nearly are known ones, and kept."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from costsim.portfolio.headings import NAMES, known_words, option_titles, parted, sample_of
from costsim.study.case import Case
from costsim.units.quantity import UnitError, read_quantity
from costsim.units.reading import unit_words

NEAR = 0.8
"""Headings more alike than that are taken for one mistyped; common practice, no source."""
LOOSELY = 0.76
"""Headings that alike are asked about, and no more; common practice, no source."""
_EFFICIENCY = {"afue", "efficiency", "eff"}
SHORTEST = 6
"""Letters of a word that others may nearly be: "County" is no "count"."""
TODAY = (
    "today", "fuel today", "heating today", "heat today", "today's fuel", "today's heating", "current fuel", "current heating",
    "existing fuel", "existing heating", "existing heat", "heating fuel", "main fuel", "primary fuel", "fuel", "heated by",
    "heating system", "system today", "fuel now", "heating now", "heat now", "heating type", "heat type", "heat source", "current heat",
    "heats with", "heated with", "heating with", "present fuel", "present heating", "primary heating", "existing system", "current system",
)  # fmt: skip
"""Headings of a column that says what heats each home today."""
_KEY = re.compile(r"(\w+)(?:\[\d{1,9}\])?\.\w")


def is_own(heading: str, case: Case) -> bool:
    """Whether a heading, which names no field of a study, is a column of the planner's own.

    Examples
    --------
    >>> from costsim import read_study
    >>> [is_own(one, read_study("lantern_cottage")) for one in ("Utility", "Year built", "Flor area [ft2]", "house.flor_area [ft2]", "")]
    [True, True, False, False, False]
    """
    return bool(heading) and not _is_key(heading) and (plain_words(heading) in TODAY or not near(heading, case))


def plain_words(heading: str) -> str:
    """A heading in small letters, without its unit."""
    return " ".join(parted(heading.lower().replace("_", " ").replace("’", "'"))[0].split())


def today_column(columns: Iterable[tuple[int, str]]) -> int | None:
    """Place of the column, of those by place and heading, that says what heats each home today; None where none does."""
    names = {plain_words(name): at for at, name in reversed([*columns])}
    return next((names[heading] for heading in TODAY if heading in names), None)


def _is_key(heading: str) -> bool:
    """Whether a heading is written like a key of the study, right or wrong."""
    match = _KEY.match(heading)
    tables = [*Case.model_fields, *(field.alias for field in Case.model_fields.values() if field.alias)]
    return match is not None and bool(difflib.get_close_matches(match[1], tables, cutoff=0.75))


def near(heading: str, case: Case, cutoff: float = NEAR) -> str:
    """The known heading that one is nearly, with a unit; empty where it is like none."""
    written, unit = parted(heading.strip())
    name, unit = " ".join(re.sub(r"[_\-.]", " ", written).lower().split()), unit_words(unit)
    first, _, last = name.rpartition(" ")
    if not unit and first and _reads(unit_words(last)):
        name, unit = first, unit_words(heading.rsplit(maxsplit=1)[-1])  # "Heat loss kBtu/h"
    words = dict.fromkeys(word for _, word, _ in _words(case) if len(word) >= SHORTEST)
    matches = difflib.get_close_matches(name, words, cutoff=cutoff)
    if matches:
        key, _, sample = next(entry for entry in _words(case) if entry[1] == matches[0])
        title = NAMES[key][0] if key in NAMES else matches[0]
        return f"{title.capitalize()} [{unit or sample}]" if sample else title.capitalize()
    return _price_meant(name, unit, case)


def _price_meant(name: str, unit: str, case: Case) -> str:
    """A service with money for a unit is its price: "Electricity $/kWh"."""
    for service in case.prices:
        words = service.replace("_", " ")
        if words == name and case.currency in unit and _reads(unit):
            return f"{words.capitalize()} price [{unit}]"
    return ""


def meant(heading: str, case: Case) -> str:
    """The heading that one of the planner's own may have meant, more loosely than `near`; empty where it is like none.

    Examples
    --------
    >>> from costsim import read_study
    >>> [meant(one, read_study("lantern_cottage")) for one in ("AFUE", "Balance temp", "Utility", "Year built", "Insulation")]
    ['Efficiency of Natural gas [%]', 'Balance point [degF]', '', '', '']
    """
    if plain_words(heading) in TODAY:
        return ""
    if {*re.sub(r"[-.%]", " ", plain_words(heading)).split()} & _EFFICIENCY:
        return _efficiency_key(case)
    word = near(heading, case, LOOSELY)
    return word if "[" in word else ""  # names and numbers of homes are found by their words alone


def all_headings(typed: Sequence[str], read: Mapping[int, str], kept: Collection[int], case: Case) -> str:
    """What every heading was taken for, so that all can be mended at once; empty where none is the planner's own.

    Parameters
    ----------
    typed : sequence of str
    read : mapping of int to str
        What is read from a column, by its place; empty where nothing is.
    kept : collection of int
        Places of the planner's own.
    case : Case

    Examples
    --------
    >>> from costsim import read_study
    >>> all_headings(["Addr.", "AFUE", "Utility"], {0: "name of the home"}, [1, 2], read_study("lantern_cottage"))
    'read: "Addr." as name of the home; kept, not used: "AFUE" (did you mean "Efficiency of Natural gas [%]"?), "Utility"'
    """
    pairs = ", ".join(f'"{name}" as {read[at]}' for at, name in enumerate(typed) if read.get(at))
    own = [(name, meant(name, case)) for at, name in enumerate(typed) if at in kept and not read.get(at)]
    words = ", ".join(f'"{name}"' + f' (did you mean "{other}"?)' * bool(other) for name, other in own)
    return f"read: {pairs or 'none'}; kept, not used: {words}" if own else ""


def _efficiency_key(case: Case) -> str:
    """A heading for the efficiency of what burns fuel in the option of today, else in the first that burns any."""
    burners = [
        (not option.today, at, number)
        for at, option in enumerate(case.options, 1)
        for number, source in enumerate(option.sources, 1)
        if source.burns_fuel and "efficiency" in {field.alias for field in type(source).model_fields.values()}
    ]
    key = "option[{}].source[{}].efficiency".format(*min(burners)[1:]) if burners else ""
    return f"{option_titles(case).get(key, key)} [%]" if key else ""


def _reads(unit: str) -> bool:
    try:
        read_quantity(f"1 {unit}")
    except (UnitError, ValueError):
        return False
    return True


def _words(case: Case) -> Iterator[tuple[str, str, str]]:
    for (key, word), measured in known_words(case):
        yield key, word, sample_of(measured, key, case) if measured is not None else ""
