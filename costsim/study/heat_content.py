"""Heat in a unit of fuel: as typed from a bill, by the kind of firewood, or the fuel's own."""

from __future__ import annotations

from costsim.errors import Fault
from costsim.physics.fuels import FUELS
from costsim.physics.wood import SPECIES
from costsim.units.quantity import BTU_J, CORD_M3, FOOT_M, KWH_J, POUND_KG, Quantity, pretty_unit
from costsim.words import tr

_PER_VOLUME = (-1, 1, -2, 0, 0)


def held(typed: Quantity | None, species: str) -> Quantity | None:
    """Heat content [J/m³ or J/kg] as typed, else the middle of what is printed for the kind of wood; None for neither."""
    if typed is not None or not species:
        return typed
    return Quantity(SPECIES[species].middle_j_m3, _PER_VOLUME)


def source(fuel: str, typed: Quantity | None, species: str) -> str:
    """Where the heat content is from."""
    if typed is not None:
        return tr("as typed")
    if not species:
        return tr(FUELS[fuel].source)
    kind = SPECIES[species]
    low, high = (f"{value * CORD_M3 / BTU_J / 1e6:.1f}" for value in (kind.low_j_m3, kind.high_j_m3))
    return tr(
        "{kind}: middle of printed tables of seasoned wood, {low} to {high} MMBtu/cord",
        kind=tr(kind.title),
        low=low,
        high=high,
    )


def text(fuel: str, content: Quantity | None) -> str:
    """Heat content in words, in both systems of units."""
    known = FUELS[fuel]
    if known.natural_unit == "J":
        return tr("1 kWh is 1 kWh")
    value, unit = known.heat_content_j_per_unit, known.natural_unit
    if content is not None:
        value, unit = content.value, "kg" if content.dims[0] == 2 else "m3"
    return tr(
        "{content} kWh/{unit} ({us}), higher heating value",
        content=f"{value / KWH_J:,.3f}",
        unit=pretty_unit(unit),
        us=known.heat_content_us(value, unit),
    )


def faults(key: str, fuel_name: str, typed: Quantity | None, species: str, file: str) -> list[Fault]:
    """Find a heat content that the fuel cannot have: a slipped unit or decimal would move every amount."""
    fuel = FUELS[fuel_name]
    if species and fuel_name != "wood":
        return [Fault(f"prices.{key}.species", f"{fuel.title.lower()} is no firewood", "take it out", file)]
    if species and typed is not None:
        return [Fault(f"prices.{key}.species", "heat_content is given too", "give one of the two", file)]
    if typed is None:
        return []
    where = f"prices.{key}.heat_content"
    if fuel.natural_unit == "J":
        return [Fault(where, "electricity has none", "take it out", file)]
    by_mass = typed.dims[0] == 2
    usual = fuel.heat_content_j_per_unit
    if by_mass != (fuel.natural_unit == "kg"):
        low, high = (
            (5e6, 60e6) if by_mass else (1e9, 50e9)
        )  # wood to natural gas by the kilogram; loose wood to oil by the m³
    else:
        low, high = usual / 3.0, 3.0 * usual
    if low <= typed.value <= high:
        return []
    unit, size = ("Btu/lb", BTU_J / POUND_KG) if by_mass else ("Btu/ft3", BTU_J / FOOT_M**3)
    given = f"{typed.value / size:,.0f} {unit} is not between {low / size:,.0f} and {high / size:,.0f} {unit}"
    remedy = f"check the unit; {fuel.title.lower()} usually has {fuel.heat_content_us(usual)}"
    return [Fault(where, f"{given}, what {fuel.title.lower()} can have", remedy, file)]
