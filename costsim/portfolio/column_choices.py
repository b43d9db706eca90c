"""What a column of a table of homes is understood to hold, and what its planner can say that it holds instead."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from costsim.errors import InputError
from costsim.physics.fuels import FUELS
from costsim.portfolio.columns import HEATS_NOW, KEPT, UnitOfCells, read_column
from costsim.portfolio.fuel_columns import names_no_fuel, units_beside, use_of
from costsim.portfolio.headings import HOME, WEIGHT, as_key, known_words, option_titles, parted
from costsim.portfolio.own_columns import TODAY, is_own, plain_words
from costsim.sources.base import HeatSource
from costsim.study.case import Case
from costsim.units.fields import QuantityField
from costsim.units.usual import SOLD, usual_units

YEARS_FUEL, UNITS_OF_FUEL = "a year's fuel", "(unit of the year's fuel)"
"""Stand for a heading of yearly use whose fuel the cells tell, and for that of a column with the unit of each row."""


def all_understood(headings: Sequence[str], case: Case, cells: Mapping[int, UnitOfCells]) -> list[str]:
    """What each column of a table holds; a year's use and the column of its units are told from each other's presence.

    Examples
    --------
    >>> from costsim import read_study
    >>> all_understood(["Situs Addr", "Annl Use", "Use UOM"], read_study("lantern_cottage"), {})
    ['home', "a year's fuel", "(unit of the year's fuel)"]
    """
    read = [understood(heading, case, cells.get(at)) for at, heading in enumerate(headings)]
    try:
        pair = units_beside(headings, case)
    except InputError:  # which of several is told where the table is read
        pair = None
    if pair is not None:
        read[pair[0]], read[pair[1]] = YEARS_FUEL, UNITS_OF_FUEL
    return read


def understood(heading: str, case: Case, cells: UnitOfCells | None = None) -> str:
    """What a column holds by its heading alone: a key with its unit, `HEATS_NOW`, `YEARS_FUEL` or `KEPT`; empty where that is not clear.

    Examples
    --------
    >>> from costsim import read_study
    >>> study = read_study("lantern_cottage")
    >>> [understood(one, study) for one in ("Addr.", "Sqft", "Utility", "Fuel", "Annual therms", "Heat loss", "Flor area [ft2]")]
    ['home', 'house.floor_area [ft2]', '(kept, not used)', 'Heating today', "a year's fuel", '', '']
    """
    cells = cells or UnitOfCells("")
    whole = f"{heading} [{cells.unit}]" if cells.unit else heading
    if plain_words(heading) in TODAY:
        return HEATS_NOW
    try:
        key = as_key(whole, case, "")
        if key in (HOME, WEIGHT):
            return key
        if key == whole and is_own(heading, case):
            use = use_of(whole, case, "", cells.several or names_no_fuel(heading))
            return YEARS_FUEL if use else "" if cells.use else KEPT
        column = read_column(key, heading, case, "", cells.problem)
    except InputError:
        return ""
    return f"{column.key} [{column.unit}]" if column.unit else column.key


def choices(case: Case, system: str) -> tuple[str, ...]:
    """Headings that a planner can choose from for a column, each with a unit; those of the reader's own units come first of their kind.

    Examples
    --------
    >>> from costsim import read_study
    >>> able = choices(read_study("lantern_cottage"), "us")
    >>> able[:5]
    ('(kept, not used)', 'home', 'weight', 'Heating today', 'house.floor_area [ft2]')
    >>> [one for one in able if "therm" in one]
    ['prices.natural_gas.energy [$/therm]', 'Annual natural gas use [therm]']
    """
    return (
        KEPT,
        HOME,
        WEIGHT,
        HEATS_NOW,
        *dict.fromkeys((*_fields(case, system), *_years(case), *_plants(case, system))),
    )


def _fields(case: Case, system: str) -> Iterator[str]:
    """Figures of the house, and prices."""
    for (key, _), measured in known_words(case):
        if measured is None:
            continue
        service = key.split(".")[1] if key.startswith("prices.") else ""
        fuel = case.prices[service].fuel_name(service) if service else ""
        for unit in usual_units(measured, system, fuel, case.currency):
            yield f"{key} [{unit}]"


def _years(case: Case) -> Iterator[str]:
    """A year's use of each fuel of the study."""
    for fuel in dict.fromkeys(price.fuel_name(key) for key, price in case.prices.items()):
        heats = "heating " if fuel == "electricity" else ""
        for unit in SOLD.get(fuel, ()):
            heading = f"Annual {heats}{fuel.replace('_', ' ')} use [{unit}]"
            if use_of(heading, case, "") is not None:
                yield heading


def _plants(case: Case, system: str) -> Iterator[str]:
    """Sizes and efficiencies of options."""
    for key in option_titles(case):
        measured = _measured(key, case)
        for unit in usual_units(measured, system, "", case.currency) if measured is not None else ():
            yield f"{key} [{unit}]"


def _measured(key: str, case: Case) -> QuantityField | None:
    """The quantity of a field of a source, by its key path, counted from 1 as people do."""
    option, source, name = (part.rstrip("]").split("[")[-1] for part in key.split("."))
    model: type[HeatSource] = type(case.options[int(option) - 1].sources[int(source) - 1])
    source_field = next(field for field in model.model_fields.values() if field.alias == name)
    return next((item for item in source_field.metadata if isinstance(item, QuantityField)), None)


def fuel_of_choice(choice: str) -> tuple[str, str]:
    """Title of the fuel and unit of a choice of yearly use; empty texts of any other.

    Examples
    --------
    >>> fuel_of_choice("Annual natural gas use [therm]"), fuel_of_choice("house.floor_area [ft2]")
    (('Natural gas', 'therm'), ('', ''))
    """
    name, unit = parted(choice)
    text = name.removeprefix("Annual ").removesuffix(" use").removeprefix("heating ")
    fuel = FUELS.get(text.replace(" ", "_")) if name.startswith("Annual ") else None
    return (fuel.title, unit) if fuel is not None else ("", "")
