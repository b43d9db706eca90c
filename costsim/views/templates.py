"""Common options to begin with, each with a sentence and a symbol; sizes follow the house, prices are examples to replace."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from costsim.units.quantity import GALLON_M3, parse, with_currency
from costsim.views import template_sources as made
from costsim.views.sold import in_thin_air
from costsim.views.template_sources import gas_boiler
from costsim.words import tr

LARGE_GALLONS = 300
"""A store this large comes with the option that is named after it, and with no other, whatever tank the house has."""


@dataclass(frozen=True, slots=True)
class Template:
    """An option ready to add: `sources(load_w, system)` gives its sources, `prices` the price tables they need."""

    name: str
    about: str
    icon: str
    sources: Callable[[float, str], list[dict[str, Any]]]
    prices: tuple[str, ...]
    gallons: int = 0
    """Tank that comes with it where the study has none [US gal]."""
    store: bool = False
    heats_water: bool = False
    """Whether it is chosen for hot water, which then every option heats."""


EXAMPLE_PRICES: dict[str, dict[str, Any]] = {
    "electricity": {"energy": "0.16 $/kWh"},
    "off_peak": {"fuel": "electricity", "energy": "0.09 $/kWh"},
    "natural_gas": {"energy": "1.40 $/therm", "fixed": "14 $/month"},
    "propane": {"energy": "2.60 $/gal"},
    "heating_oil": {"energy": "3.80 $/gal"},
    "wood": {"energy": "300 $/cord"},
    "pellets": {"energy": "320 $/short_ton"},
}
"""Invented, to be replaced by the reader's own."""
EXAMPLE_SI = {
    "natural_gas": "0.12 $/kWh",
    "propane": "0.90 $/L",
    "heating_oil": "1.10 $/L",
    "wood": "110 $/m3",
    "pellets": "340 $/tonne",
    "electricity": "0.30 $/kWh",
    "off_peak": "0.22 $/kWh",
}
"""The same for readers in SI units; invented too."""


FIRST: dict[str, Template] = {
    "gas": Template(
        "Natural gas",
        "A boiler on the street's gas line; with an AFUE of 90% or more it condenses.",
        "local_fire_department",
        gas_boiler("natural_gas", "Gas boiler"),
        ("natural_gas", "electricity"),
    ),
    "heat_pump": Template(
        "Heat pump with electric backup",
        "Outdoor air heats the water; electric elements help on the coldest days, and carry the house when it stops.",
        "heat_pump",
        made.pump_with_electric,
        ("electricity",),
    ),
    "heat_pump_gas": Template(
        "Heat pump with a gas boiler",
        "A smaller heat pump for most days and gas for the cold ones.",
        "heat_pump",
        made.pump_with_gas,
        ("natural_gas", "electricity"),
    ),
    "electric": Template(
        "Electric boiler",
        "Resistance heat: cheap to buy, each kWh at the full price.",
        "bolt",
        made.electric,
        ("electricity",),
    ),
    "propane": Template(
        "Propane",
        "A boiler fed from a tank outside; with an AFUE of 90% or more it condenses.",
        "propane_tank",
        gas_boiler("propane", "Propane boiler"),
        ("propane", "electricity"),
    ),
    "off_peak_propane": Template(
        "Propane beside off-peak electric",
        "Electricity in its cheap hours, or all but those in which the utility switches it off; propane when it is not enough.",
        "nightlight",
        made.beside_off_peak(gas_boiler("propane", "Propane boiler")),
        ("off_peak", "propane", "electricity"),
        gallons=120,
    ),
    "off_peak_gas": Template(
        "Natural gas beside off-peak electric",
        "Electricity in its cheap hours, kept in a tank; natural gas when it is not enough.",
        "nightlight",
        made.beside_off_peak(gas_boiler("natural_gas", "Gas boiler")),
        ("off_peak", "natural_gas", "electricity"),
        gallons=120,
    ),
    "off_peak_oil": Template(
        "Oil beside off-peak electric",
        "Electricity in its cheap hours, kept in a tank; heating oil when it is not enough.",
        "nightlight",
        made.beside_off_peak(made.oil),
        ("off_peak", "heating_oil", "electricity"),
        gallons=120,
    ),
    "off_peak": Template(
        "Off-peak electric alone",
        "Cheap electricity in some hours, kept in the tank; by itself it may leave the house cold in the others.",
        "nightlight",
        made.off_peak,
        ("off_peak", "electricity"),
        gallons=120,
    ),
    "off_peak_store": Template(
        "Off-peak electric with a 500 gal store",
        "Electricity in its cheap hours heats a large tank; the house lives on it in the others, with electric when it is not enough.",
        "nightlight",
        made.off_peak_store,
        ("off_peak", "electricity"),
        gallons=500,
    ),
    "oil": Template(
        "Oil boiler",
        "Heating oil from a tank in or beside the house.",
        "oil_barrel",
        made.oil,
        ("heating_oil", "electricity"),
    ),
    "wood": Template(
        "Wood with a large water tank",
        "One or two fires a day heat a 500 gal tank that carries the house between them; electric heat when it is not enough.",
        "forest",
        made.wood,
        ("wood", "electricity"),
        gallons=500,
        store=True,
    ),
    "wood_gas": Template(
        "Wood beside natural gas",
        "One or two fires a day heat a 500 gal tank; the gas boiler runs when the tank is no longer hot enough.",
        "forest",
        made.wood_beside(gas_boiler("natural_gas", "Gas boiler")),
        ("wood", "natural_gas", "electricity"),
        gallons=500,
        store=True,
    ),
    "wood_propane": Template(
        "Wood beside propane",
        "One or two fires a day heat a 500 gal tank; the propane boiler runs when the tank is no longer hot enough.",
        "forest",
        made.wood_beside(gas_boiler("propane", "Propane boiler")),
        ("wood", "propane", "electricity"),
        gallons=500,
        store=True,
    ),
    "wood_oil": Template(
        "Wood beside oil",
        "One or two fires a day heat a 500 gal tank; the oil boiler runs when the tank is no longer hot enough.",
        "forest",
        made.wood_beside(made.oil),
        ("wood", "heating_oil", "electricity"),
        gallons=500,
        store=True,
    ),
    "pellets": Template(
        "Pellet boiler",
        "Fed by itself from a store of wood pellets.",
        "grain",
        made.pellets,
        ("pellets", "electricity"),
    ),
    "sun": Template(
        "Sun with electric",
        "Collectors for the mild months, electric for the rest.",
        "sunny",
        made.sun_with(made.electric),
        ("electricity",),
        gallons=120,
    ),
    "sun_propane": Template(
        "Propane with sun",
        "Collectors for the mild months, a propane boiler for the rest.",
        "sunny",
        made.sun_with(gas_boiler("propane", "Propane boiler")),
        ("propane", "electricity"),
        gallons=120,
    ),
}
"""What may heat a house today, by key, the most asked for first."""
WATER_ABOUT = (
    "Collectors heat the tap water first, through a tank, and the rooms with what is left; today's heating does the rest. Hot water is then"
    " counted in every option."
)


def _sun_water(name: str, others: made.Maker, *prices: str) -> Template:
    sources = made.sun_for_water(others)
    gallons = made.tank_for_water_gal(made.USUAL_PEOPLE)
    return Template(name, WATER_ABOUT, "sunny", sources, prices, gallons, heats_water=True)


SUN_WATER: dict[str, Template] = {
    "sun_water_gas": _sun_water(
        "Natural gas with sun for hot water", gas_boiler("natural_gas", "Gas boiler"), "natural_gas", "electricity"
    ),
    "sun_water_propane": _sun_water(
        "Propane with sun for hot water", gas_boiler("propane", "Propane boiler"), "propane", "electricity"
    ),
    "sun_water_oil": _sun_water("Oil with sun for hot water", made.oil, "heating_oil", "electricity"),
    "sun_water_pellets": _sun_water("Pellets with sun for hot water", made.pellets, "pellets", "electricity"),
    "sun_water_electric": _sun_water("Electric boiler with sun for hot water", made.electric, "electricity"),
}
"""Today's heating with sun for hot water; each is offered where its fuel heats the house today."""
NEW_BOILERS = {
    "gas": "New gas boiler",
    "propane": "New propane boiler",
    "oil": "New oil boiler",
    "pellets": "New pellet boiler",
}
WOOD_BESIDE = {"wood_gas": "gas", "wood_propane": "propane", "wood_oil": "oil"}
"""Of wood beside a boiler, the template of that boiler: it is offered where that heats the house today."""
IN_PLACE = "In place of the one that heats today, with the efficiency of a new one."
RENEWED = {f"new_{key}": key for key in NEW_BOILERS}
"""Of a new heater like today's, the template of today's."""
TEMPLATES = (
    FIRST
    | SUN_WATER
    | {new: replace(FIRST[old], name=NEW_BOILERS[old], about=IN_PLACE) for new, old in RENEWED.items()}
)


def sources_of(key: str, load_w: float, system: str, altitude_m: float) -> list[dict[str, Any]]:
    """A template's sources, sized for a design load [W] at an altitude [m]."""
    sources = TEMPLATES[key].sources(load_w, system)
    for source in sources:
        in_thin_air(source, altitude_m, system)
    return sources


def add_template(
    study: dict[str, Any], key: str, *, load_w: float, system: str, currency: str, altitude_m: float = 0.0
) -> list[str]:
    """Put an option made from a template at the end of a study.

    Parameters
    ----------
    study : dict
        The study, changed in place.
    key : str
        Of `TEMPLATES`.
    load_w : float
        Design load that sizes follow [W].
    system, currency : str
        In which amounts are written.
    altitude_m : float
        Of the place: burners are taken so much larger as its thin air takes away.

    Returns
    -------
    list of str
        Price tables that were added with example prices.
    """
    template = TEMPLATES[key]
    options = study.setdefault("option", [])
    taken = [str(option.get("name", "")) for option in options]
    name, number = tr(template.name), 2
    while name in taken:
        name, number = f"{tr(template.name)} {number}", number + 1
    options.append({"name": name, "source": sources_of(key, load_w, system, altitude_m)})
    if template.gallons:
        tank = {
            "volume": f"{template.gallons} gal",
            "max_temperature": "180 degF",
        }
        tank |= {"store": "175 degF"} if template.store else {}
        if template.gallons >= LARGE_GALLONS or template.heats_water:
            if _gallons(study.get("tank", {"volume": "0 gal"})) < min(LARGE_GALLONS, template.gallons):
                options[-1]["tank"] = study.get("tank", {}) | tank
        elif "tank" not in study:
            study["tank"] = tank
            without_new_tank(options[:-1])
    if template.heats_water:
        count_hot_water(study, made.USUAL_PEOPLE)
    return add_prices(study, template.prices, currency, system)


def count_hot_water(study: dict[str, Any], people: int) -> None:
    """Let every option heat the tap water of so many people; what a study already says of its hot water stays."""
    uses = study.setdefault("use", [])
    if not any(use.get("kind") == "hot_water" for use in uses):
        uses.append({"kind": "hot_water", "people": people})


def without_new_tank(options: Sequence[dict[str, Any]]) -> None:
    """Leave what heats the house today without a tank that is only now proposed: it has no such loss."""
    for option in options:
        if option.get("today") and "tank" not in option:
            option["no_tank"] = True


def _gallons(tank: Mapping[str, Any]) -> float:
    """Volume of a tank as typed; without bound where it cannot be read."""
    try:
        return round(parse(str(tank.get("volume")), "volume").value / GALLON_M3, 6)
    except ValueError:
        return math.inf


def example_price(key: str, system: str, currency: str) -> str:
    """An invented energy price of a price table, in the reader's units and currency."""
    table = EXAMPLE_PRICES.get(key, {"energy": "0.15 $/kWh"})
    text = EXAMPLE_SI.get(key, table["energy"]) if system == "si" else table["energy"]
    return with_currency(str(text), currency)


def example_words(key: str, system: str, currency: str) -> str:
    """What an example price asks for, as people write it.

    Examples
    --------
    >>> example_words("natural_gas", "us", "$"), example_words("electricity", "si", "€")
    ('$1.40/therm + $14/month', '€0.30/kWh')
    """
    fixed = with_currency(str(EXAMPLE_PRICES.get(key, {}).get("fixed", "")), currency)
    texts = [example_price(key, system, currency), *filter(None, [fixed])]
    return " + ".join(f"{currency}{text.replace(f' {currency}', '')}" for text in texts)


def add_prices(study: dict[str, Any], keys: tuple[str, ...], currency: str, system: str = "us") -> list[str]:
    """Add price tables that are missing, with example prices in the study's currency; those that were added."""
    prices = study.setdefault("prices", {})
    new = [key for key in keys if key and key not in prices]
    for key in new:
        table = copy.deepcopy(EXAMPLE_PRICES.get(key, {"energy": "0.15 $/kWh", "fuel": "electricity"}))
        prices[key] = _coined(table, currency) | {"energy": example_price(key, system, currency)}
    return new


def _coined(table: Mapping[str, Any], currency: str) -> dict[str, Any]:
    return {key: with_currency(value, currency) if isinstance(value, str) else value for key, value in table.items()}


def offered(now: str) -> list[str]:
    """Templates that are offered for comparison in a house that `now` heats.

    Examples
    --------
    >>> [key for key in offered("oil") if "wood" in key or "new" in key]
    ['wood', 'wood_oil', 'new_oil']
    >>> "oil" in offered("oil"), "wood_propane" in offered("wood"), [key for key in offered("oil") if "sun_water" in key]
    (False, True, ['sun_water_oil'])
    """
    beside = {key: key.removeprefix("sun_water_") for key in SUN_WATER} | RENEWED
    return [
        key
        for key in TEMPLATES
        if key != now and beside.get(key, now) == now and (now == "wood" or WOOD_BESIDE.get(key, now) == now)
    ]
