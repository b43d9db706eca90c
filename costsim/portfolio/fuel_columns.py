"""Columns that hold what heats each home took of a fuel in a year, such as "Annual therms" or "Propane gal/yr"."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from costsim.errors import Fault, InputError
from costsim.study.case import Case
from costsim.study.services import ELECTRICITY
from costsim.units.quantity import split_text
from costsim.units.system import default_units

_UNITS = {
    "therm": "therm", "therms": "therm", "thm": "therm", "thms": "therm", "ccf": "CCF", "hcf": "CCF", "mcf": "Mcf", "mmbtu": "MMBtu", "kwh": "kWh",
    "mwh": "MWh", "gal": "gal", "gals": "gal", "gallon": "gal", "gallons": "gal", "l": "L", "liter": "L", "liters": "L", "litre": "L",
    "litres": "L", "m3": "m3", "cord": "cord", "cords": "cord", "kg": "kg", "tonne": "tonne", "tonnes": "tonne", "lb": "lb", "lbs": "lb",
}  # fmt: skip
_FUELS = {
    "natural gas": "natural_gas", "gas": "natural_gas", "propane": "propane", "lpg": "propane", "lp": "propane",
    "heating oil": "heating_oil", "fuel oil": "heating_oil", "oil": "heating_oil", "electricity": "electricity",
    "electric": "electricity", "firewood": "wood", "cordwood": "wood", "wood": "wood", "pellets": "pellets", "pellet": "pellets",
}  # fmt: skip
_BY_UNIT = {"therm": "natural_gas", "CCF": "natural_gas", "Mcf": "natural_gas", "cord": "wood"}
_METERED = ("kWh", "MWh")
"""What a meter of electricity counts; where nothing speaks of heating, it is what all of a household takes."""
_LIQUID = ("propane", "heating_oil")
_HEATING = {"heating", "heat"}
_YEAR = {
    "annual",
    "annl",
    "ann",
    "annually",
    "yearly",
    "year",
    "yr",
    "winter",
    "season",
    "use",
    "used",
    "usage",
    "consumption",
    "burned",
}
_AMOUNTS = _YEAR - {"year", "yr", "winter", "season"}
_SAMPLES = {
    "natural_gas": ("therms", "kWh"), "propane": ("gal", "L"), "heating_oil": ("gal", "L"), "electricity": ("kWh", "kWh"),
    "wood": ("cords", "m3"), "pellets": ("lb", "kg"),
}  # fmt: skip
_UNIT_HEADING = re.compile(
    r"(?:(?:annl|ann|annual|yearly|year|yr|fuel|energy|heat|heating) )*(?:use|usage|used|consumption|fuel)? ?"
    r"(?:uom|units? of measure(?:ment)?|(?<=[a-z] )units?)"
)
"""Headings of a column whose cells are the units of another; "Units" alone may count dwellings."""
_OTHERS = {"per", "a", "in", "of", "for", "the", "fuel", "last", "total"}


@dataclass(frozen=True, slots=True)
class Use:
    """A column of yearly use: its heading, the fuel, its key among the study's prices, and the unit of its cells.

    With `by_row` it holds what each home's own heating took, which another column names; `fuel` is that of homes it names nothing for,
    empty where the unit tells none. `unit_at` is the place of a column with the unit of each row, which goes before `unit`; -1 without one.
    """

    heading: str
    fuel: str
    key: str
    unit: str
    by_row: bool = False
    unit_at: int = -1


def units_beside(headings: Sequence[str], case: Case, answered: Collection[int] = ()) -> tuple[int, int] | None:
    """Places of a column of yearly use and of the one with the unit of each of its rows; None where there is no such pair.

    Parameters
    ----------
    headings : sequence of str
    case : Case
    answered : collection of int
        Places of columns of which a planner says what they hold, so that no other column does.

    Raises
    ------
    InputError
        Several columns may be the one whose units those are.

    Examples
    --------
    >>> from costsim import read_study
    >>> study = read_study("lantern_cottage")
    >>> units_beside(["Home", "Annl Use", "Use UOM"], study), units_beside(["Home", "Annual therms", "Fuel units"], study)
    ((1, 2), (1, 2))
    >>> units_beside(["Home", "Annual therms", "Units"], study), units_beside(["Home", "UOM"], study)
    (None, None)
    """
    free = [(at, heading) for at, heading in enumerate(headings) if at not in answered]
    units = [at for at, heading in free if is_unit_heading(heading)]
    uses = [at for at, heading in free if at not in units and _is_use(heading, case)]
    if len(units) != 1 or not uses:
        return None
    bare = [at for at in uses if may_be_use(headings[at], case)]
    mine = uses if len(uses) == 1 else bare
    if len(mine) != 1:
        columns = " or ".join(f'"{headings[at]}"' for at in bare or uses)
        remedy = "write the unit into the heading of each, such as [therm], and take this column out"
        raise InputError(Fault(headings[units[0]], f"may be the units of {columns}", remedy))
    return mine[0], units[0]


def is_unit_heading(heading: str) -> bool:
    """Whether a column holds the units of another one's numbers.

    Examples
    --------
    >>> [is_unit_heading(one) for one in ("Use UOM", "UOM", "Fuel_Unit", "Annl Use Units", "Units", "Utility", "Use")]
    [True, True, True, True, False, False, False]
    """
    return _UNIT_HEADING.fullmatch(" ".join(re.sub(r"[_\-.]", " ", heading.lower()).split())) is not None


def _is_use(heading: str, case: Case) -> bool:
    """Whether a heading is of yearly use, with a unit or without one."""
    try:
        return may_be_use(heading, case) or use_of(heading, case, "") is not None
    except InputError:  # of which fuel, the rows tell
        return True


def use_by_rows(heading: str, unit_at: int, case: Case) -> Use:
    """A column of yearly use whose every row has its own unit; what the heading tells counts for rows that have none."""
    try:
        use = use_of(heading, case, "") or use_of(f"{heading} [{use_without_unit(heading, case)}]", case, "")
    except InputError:
        use = None
    if use is None:
        return Use(heading, "", "", "", True, unit_at)
    return replace(
        use, heading=heading, unit=use.unit if use_of(heading, case, "") else "", by_row=True, unit_at=unit_at
    )


def own_use(use: Use, row_fuel: str, cell: str, case: Case) -> tuple[str, str, str]:
    """Fuel of a cell of yearly use, its key among the study's prices, and the amount; an empty amount where it is none.

    Parameters
    ----------
    use : Use
    row_fuel : str
        Key of the fuel that heats the home; empty where nothing says it.
    cell : str
        A number in the column's unit, or one with its own behind it.
    case : Case

    Examples
    --------
    >>> from costsim import read_study
    >>> study, use = read_study("lantern_cottage"), Use("Annual fuel use", "natural_gas", "natural_gas", "therm", True)
    >>> own_use(use, "electricity", "12130 kWh", study), own_use(use, "", "900", study), own_use(use, "", "3 cords", study)
    (('electricity', 'electricity', '12130 kWh'), ('natural_gas', 'natural_gas', '900 therm'), ('wood', '', '3 cord'))
    """
    number, unit = split_text(cell)
    unit = _UNITS.get(unit.lower(), unit) or use.unit
    by_unit = _BY_UNIT.get(unit, ELECTRICITY if unit in _METERED else "")
    fuel = row_fuel or (by_unit if unit != use.unit else "") or use.fuel
    key = next((key for key, price in case.prices.items() if price.fuel_name(key) == fuel), "")
    return fuel, key, f"{number:.12g} {unit}" if number is not None and number >= 0 else ""


def names_no_fuel(heading: str) -> bool:
    """Whether a heading of yearly use leaves open which fuel it is of.

    Examples
    --------
    >>> [names_no_fuel(one) for one in ("Annual fuel use", "Gallons a year", "Annual fuel use (kWh)", "Heating kWh", "Annual gas use")]
    [True, True, True, False, False]
    """
    words = re.sub(r"[_\-\[\]()/,.:]", " ", heading.lower()).split()
    units = {_UNITS[word] for word in words if word in _UNITS}
    text = " ".join(words)
    return units <= {"gal", "L", *(_METERED if "fuel" in words else ())} and not any(
        re.search(rf"\b{name}\b", text) for name in _FUELS
    )


def use_of(heading: str, case: Case, file: str, by_row: bool = False) -> Use | None:
    """What a heading of yearly use holds; None where it is none, or the study has no price for that fuel.

    Raises
    ------
    InputError
        It may be of several fuels.

    Examples
    --------
    >>> from costsim import read_study
    >>> study = read_study("lantern_cottage")
    >>> [(one.fuel, one.unit) for one in (use_of(text, study, "") for text in ("Annual therms", "Gas use (CCF/yr)", "Heating kWh", "Annual fuel (kWh)")) if one]
    [('natural_gas', 'therm'), ('natural_gas', 'CCF'), ('electricity', 'kWh'), ('electricity', 'kWh')]
    >>> [use_of(text, study, "") for text in ("Gas price, $/therm", "Tank gallons", "Household kWh", "Year built", "kWh per year")]
    [None, None, None, None, None]
    """
    text = " ".join(re.sub(r"[_\-\[\]()/,.:]", " ", heading.lower()).split())
    fuel = ""
    for name, fuel_key in _FUELS.items():
        rest = re.sub(rf"\b{name}\b", " ", text)
        if rest != text:
            fuel, text = fuel_key, rest
            break
    words = text.split()
    units = [_UNITS[word] for word in words if word in _UNITS]
    left = {word for word in words if word not in _UNITS and not re.fullmatch(r"(19|20)\d\d", word)}
    if len(units) != 1 or left - _HEATING - _YEAR - _OTHERS:
        return None
    unit, heats = units[0], bool(left & _HEATING)
    if unit in _METERED and fuel in ("", ELECTRICITY):
        fuel = ELECTRICITY if heats or "fuel" in left else ""
    elif not fuel and unit in ("gal", "L") and (heats or left & _YEAR):
        if by_row:
            return Use(heading, "", "", unit, True)
        fuel = _liquid(heading, case, file)
    fuel = fuel or _BY_UNIT.get(unit, "")
    key = next((key for key, price in case.prices.items() if price.fuel_name(key) == fuel), "")
    return Use(heading, fuel, key, unit, by_row) if fuel and key else None


def use_in_unit(heading: str, unit: str, case: Case) -> bool:
    """Whether a heading without a unit is of yearly use where its cells have this one.

    Examples
    --------
    >>> from costsim import read_study
    >>> study = read_study("lantern_cottage")
    >>> [use_in_unit(text, "therms", study) for text in ("Annual gas use", "Annual use", "Gas", "Year", "Annual income")]
    [True, True, False, False, False]
    """
    if not {*re.sub(r"[_\-/,.:]", " ", heading.lower()).split()} & _AMOUNTS:
        return False
    try:
        return use_of(f"{heading} [{unit}]", case, "") is not None
    except InputError:  # of which fuel is asked once the table is read
        return True


def may_be_use(heading: str, case: Case) -> bool:
    """Whether a heading without a unit is of yearly use in any unit."""
    return any(use_in_unit(heading, unit, case) for pair in _SAMPLES.values() for unit in pair)


def use_without_unit(heading: str, case: Case) -> str:
    """The unit that a heading which names a fuel's yearly use may lack, as an example; empty where it names none."""
    for fuel, samples in _SAMPLES.items():
        sample = samples[default_units(case.typed) == "si"]
        use = use_of(f"{heading} [{sample}]", case, "") if use_in_unit(heading, sample, case) else None
        if use and use.fuel == fuel and any(re.search(rf"\b{name}\b", heading.lower()) for name in _FUELS):
            return sample
    return ""


def _liquid(heading: str, case: Case, file: str) -> str:
    """The one fuel of the study that is sold by volume."""
    fuels = {price.fuel_name(key) for key, price in case.prices.items()} & set(_LIQUID)
    if len(fuels) > 1:
        remedy = 'write "Propane gallons a year" or "Oil gallons a year"'
        raise InputError(Fault(heading, "may be of several fuels", remedy, file))
    return next(iter(fuels), "")
