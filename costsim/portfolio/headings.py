"""Headings as people type them, read as keys of the study: "Heat loss (kW)" is ``house.design_heat_loss [kW]``."""

from __future__ import annotations

import re
from collections.abc import Iterator

from costsim.errors import Fault, InputError
from costsim.study.case import Case
from costsim.study.house import House
from costsim.study.prices import Price
from costsim.units.fields import QuantityField
from costsim.units.quantity import UnitError, read_quantity
from costsim.units.reading import own_unit, unit_words
from costsim.units.system import default_units

HOME, WEIGHT = "home", "weight"
NAMES: dict[str, tuple[str, ...]] = {
    HOME: (
        "home", "home name", "home id", "house", "house number", "name", "id", "address", "street", "dwelling", "building", "addr",
        "street address", "home address", "site address", "property", "situs", "situs addr", "situs address", "property address",
        "property addr", "location address", "site addr", "parcel", "parcel id", "parcel number", "parcel no", "apn", "pin",
    ),
    WEIGHT: ("weight", "homes", "number of homes", "count", "how many", "how many homes"),
    "house.floor_area": (
        "floor area", "heated area", "living area", "area", "gla", "gross living area", "htd area", "fin area", "finished area",
        "conditioned area", "conditioned floor area", "finished floor area", "living space",
    ),
    "house.design_heat_loss": (
        "heat loss", "design load", "heating load", "heat load", "peak load", "load", "heat loss @ design", "heat loss at design",
        "heat loss @ design temp", "heat loss at design temperature", "design heat loss",
    ),
    "house.heat_loss_rate": ("heat loss", "heat loss rate", "loss per kelvin", "ua"),
    "house.heat_loss_per_area": ("heat loss", "heat loss per area"),
    "house.indoor_temperature": (
        "indoor temperature", "indoor", "indoor set point", "set point", "setpoint", "room temperature", "thermostat",
        "indoor temp", "inside temperature", "inside temp", "room temp", "thermostat setting", "house temperature", "tstat",
        "t stat", "tstat setting",
    ),
    "house.balance_point": ("balance point", "balance temperature"),
    "house.gains": ("internal gains",),
    "house.other_electricity": ("household electricity", "electricity of the household"),
    "house.solar_aperture": ("south glass",),
}  # fmt: skip
"""Words for what a column often holds, beside the titles of the fields themselves."""
_TITLES = {
    f"house.{field.alias}": (measured.title, measured)
    for field in House.model_fields.values()
    for measured in field.metadata
    if isinstance(measured, QuantityField)
}
_PRICE = {
    str(field.alias): measured
    for field in Price.model_fields.values()
    for measured in field.metadata
    if isinstance(measured, QuantityField) and field.alias in ("energy", "fixed")
}


def as_key(heading: str, case: Case, file: str) -> str:
    """A heading as key and unit, such as ``house.floor_area [m2]``; one that is no plain word for a field stays as it is.

    Raises
    ------
    InputError
        It may be several things, of which no unit tells which.

    Examples
    --------
    >>> from costsim import read_study
    >>> [as_key(one, read_study("valley_row"), "") for one in ("Address", "Heat loss (W/K)", "price of wood, €/m3", "Year built")]
    ['home', 'house.heat_loss_rate [W/K]', 'prices.wood.energy [€/m3]', 'Year built']
    """
    written, unit = parted(heading.strip())
    if is_path(heading):
        return heading
    if _HEATED.fullmatch(unit):
        written, unit = parted(written)
    name, unit = plain_heading(written), unit_words(unit)
    known = dict(known_words(case))
    able = {key: measured for (key, word), measured in known.items() if word == name}
    if set(able) & {HOME, WEIGHT}:
        return next(iter(able)) if not unit else heading
    fitting = [key for key, measured in able.items() if measured is not None and reads(measured, unit)]
    if unit and len(fitting) == 1:
        return f"{fitting[0]} [{unit}]"
    if len(able) > 1:
        samples = ", ".join(
            f'"{written} [{sample_of(measured, key, case)}]"' for key, measured in able.items() if measured is not None
        )
        raise InputError(
            Fault(heading, "may be several things" if not unit else f"has the unit [{unit}], which fits none", f"write one of {samples}", file)
        )  # fmt: skip
    own = next(iter(able), "") or next(
        (key for key, title in option_titles(case).items() if plain_heading(title) == name), ""
    )
    return f"{own} [{unit}]".removesuffix(" []") if own else _unit_alone(heading)


_HEATED = re.compile(r"(?:heated|conditioned|finished|living)(?: (?:area|space))?", re.IGNORECASE)
"""What people put in parentheses behind a floor area, which is no unit."""


def is_path(heading: str) -> bool:
    """Whether a heading is written like a key of the study, with a point between letters; "Addr." and "eff. %" are not."""
    return re.search(r"[\w\]]\.\w", heading.split(" [")[0]) is not None


def plain_heading(name: str) -> str:
    """A heading without its unit in small letters and single spaces, as `known_words` has it."""
    return " ".join(re.sub(r"[_\-]|\.(?=\s|$)", " ", name).lower().split())


def option_titles(case: Case) -> dict[str, str]:
    """Sizes and efficiencies of options with one source that has them, by key: what people write for it as a heading.

    Examples
    --------
    >>> from costsim import read_study
    >>> option_titles(read_study("lantern_cottage"))["option[3].source[1].efficiency"]
    'Efficiency of Natural gas'
    """
    titles = {}
    for at, option in enumerate(case.options, 1):
        for name in ("output", "efficiency", "area"):
            able = [
                i
                for i, source in enumerate(option.sources, 1)
                if name in {f.alias for f in type(source).model_fields.values()}
            ]
            if len(able) == 1:
                titles[f"option[{at}].source[{able[0]}].{name}"] = f"{name.capitalize()} of {option.name}"
    return titles


def _unit_alone(heading: str) -> str:
    """A heading that is no more than a unit of area or power, which tells what it is of a home; any other as it stands.

    Examples
    --------
    >>> [_unit_alone(one) for one in ("Htd SqFt", "Sqft_living", "BTUH", "Year built")]
    ['house.floor_area [ft2]', 'house.floor_area [ft2]', 'house.design_heat_loss [Btu/h]', 'Year built']
    """
    written, last = parted(heading.strip())
    unit = unit_words(_LEADING.sub("", written if _HEATED.fullmatch(last) else heading.strip()))
    for key in ("house.floor_area", "house.design_heat_loss"):
        if unit and reads(_TITLES[key][1], unit) and not read_quantity(f"1 {unit}").per:  # fuel in a year is power too
            return f"{key} [{unit}]"
    return heading


_STATES = "heated|htd|conditioned|cond|finished|fin|living|liv"
_LEADING = re.compile(rf"^(?:{_STATES})[ _]|[ _](?:{_STATES})$", re.IGNORECASE)


def key_title(key: str) -> str:
    """What a key is called on screen, the key itself where that is all there is.

    Examples
    --------
    >>> key_title("house.floor_area"), key_title("prices.natural_gas.energy"), key_title("tank.volume")
    ('Heated floor area', 'Price of natural gas', 'tank.volume')
    """
    parts = key.split(".")
    if parts[0] == "prices" and parts[-1] in _PRICE:
        what = "Price" if parts[-1] == "energy" else "Fixed charge"
        return f"{what} of {parts[1].replace('_', ' ')}"
    return _TITLES[key][0] if key in _TITLES else key


def known_words(case: Case) -> Iterator[tuple[tuple[str, str], QuantityField | None]]:
    """Keys that a heading may mean, each with a word for it."""
    for key, words in NAMES.items():
        title, measured = _TITLES.get(key, ("", None))
        for word in filter(None, dict.fromkeys((*words, " ".join(title.lower().replace("-", " ").split())))):
            yield (key, word), measured
    for key in case.prices:
        services = (key.replace("_", " "), *(("gas",) if key == "natural_gas" else ()))
        for last, measured in _PRICE.items():
            what = ("price",) if last == "energy" else ("fixed charge", "standing charge")
            for word in (
                text for each in what for service in services for text in (f"{service} {each}", f"{each} of {service}")
            ):
                yield (f"prices.{key}.{last}", word), measured


def sample_of(measured: QuantityField, key: str, case: Case) -> str:
    """The unit that an example of a heading has: the reader's own, or what a fuel is sold by.

    Examples
    --------
    >>> from costsim import read_study
    >>> [sample_of(_TITLES["house.design_heat_loss"][1], "house.design_heat_loss", read_study(one)) for one in ("lantern_cottage", "valley_row")]
    ['kBtu/h', 'kW']
    """
    parts = key.split(".")
    fuel = case.prices[parts[1]].fuel_name(parts[1]) if parts[0] == "prices" and parts[1] in case.prices else ""
    return own_unit(measured, default_units(case.typed), fuel, case.currency)


def reads(measured: QuantityField, unit: str) -> bool:
    """Whether a field may be given in a unit."""
    try:
        measured.quantity(f"1 {unit}")
    except (UnitError, ValueError):
        return False
    return True


def parted(heading: str) -> tuple[str, str]:
    """Name and unit of a heading.

    Examples
    --------
    >>> [parted(one) for one in ("Heat loss [kW]", "Area (sq ft)", "gas price, $/therm", "Heat loss in kW", "Home")]
    [('Heat loss', 'kW'), ('Area', 'sq ft'), ('gas price', '$/therm'), ('Heat loss', 'kW'), ('Home', '')]
    """
    for begin, end in (("[", "]"), ("(", ")"), (", ", ""), (" in ", "")):
        name, title, unit = heading.removesuffix(end).rpartition(begin)
        if title and heading.endswith(end) and (begin != " in " or " " not in unit.strip()):
            return name.strip(), unit.strip()
    return heading, ""
