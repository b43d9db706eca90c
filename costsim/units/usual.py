"""The units that people usually write a quantity in, for menus beside fields, and its number in each of them."""

from __future__ import annotations

import functools
from collections.abc import Callable

from costsim.units.fields import QuantityField
from costsim.units.quantity import Quantity, UnitError, split_text, to_display
from costsim.units.reading import foreign, own_unit
from costsim.units.table import CURRENCIES

USUAL: dict[str, tuple[str, ...]] = {
    "length": ("ft", "in", "m", "cm"),
    "small_length": ("in", "ft", "mm", "cm"),
    "area": ("ft2", "m2"),
    "volume": ("gal", "ft3", "L", "m3"),
    "mass": ("lb", "kg"),
    "mass_per_area": ("lb/ft2", "kg/m2"),
    "duration": ("h", "min", "day"),
    "energy": ("kWh", "therm", "MMBtu"),
    "energy_per_year": ("kWh/year", "kWh/month"),
    "heat": ("MMBtu", "therm", "kWh"),
    "power": ("kBtu/h", "Btu/h", "kW", "W"),
    "electric_power": ("kW", "W"),
    "small_power": ("W", "kW", "Btu/h"),
    "power_per_area": ("Btu/(h ft2)", "W/m2"),
    "heat_loss_rate": ("Btu/(h degF)", "W/K"),
    "u_value": ("Btu/(h ft2 degF)", "W/(m2 K)"),
    "u_value_per_k": ("Btu/(h ft2 degF2)", "W/(m2 K2)"),
    "r_value": ("h ft2 degF/Btu", "m2 K/W"),
    "heat_capacity_per_area": ("Btu/(ft2 degF)", "kJ/(m2 K)"),
    "conductivity": ("Btu/(h ft degF)", "W/(m K)"),
    "temperature": ("degF", "degC"),
    "temperature_difference": ("degF", "K"),
    "flow": ("gpm", "L/min", "m3/h"),
    "pressure": ("psi", "kPa", "bar"),
    "head": ("ftH2O", "psi", "kPa", "mH2O"),
    "money_per_month": ("$/month", "$/year"),
    "money_per_year": ("$/year", "$/month"),
    "money_by_time": ("$/month", "$/day", "$/year"),
    "money_per_energy": ("$/kWh", "$/therm", "$/MMBtu"),
    "money_per_area": ("$/ft2", "$/m2"),
    "money_per_volume": ("$/gal", "$/L"),
    "money_per_mass": ("$/short_ton", "$/lb", "$/tonne", "$/kg"),
    "emission": ("lb/kWh", "lb/MMBtu", "kg/kWh"),
    "heat_content": ("Btu/ft3", "kBtu/gal", "MMBtu/cord", "Btu/lb", "kWh/m3", "kWh/L", "kWh/kg"),
}
"""By dimension; one that is usual in a single unit, such as a share, has none. `$` stands for the study's money."""

SOLD: dict[str, tuple[str, ...]] = {
    "electricity": ("kWh", "MWh"),
    "natural_gas": ("therm", "CCF", "Mcf", "MMBtu", "kWh", "m3"),
    "propane": ("gal", "L"),
    "heating_oil": ("gal", "L"),
    "wood": ("cord", "ft3", "m3"),
    "pellets": ("short_ton", "lb", "tonne", "kg"),
}
"""What each fuel is sold by, for its prices and amounts."""
BY_SPAN = {"amount": ("",), "amount_per_year": ("/month", "/year"), "tier": ("/day", "/month")}
WITH_CENTS = ("$", "€")

PerJoule = Callable[[Quantity], float]
"""Turns a price by any unit that a fuel is sold in into one per joule of its heat, or raises `ValueError`."""


@functools.lru_cache(maxsize=4096)
def usual_units(
    measured: QuantityField, system: str, fuel: str = "", currency: str = "$", held: str = ""
) -> tuple[str, ...]:
    """Units for a field's menu, the one of a bare number first; a single one where no other is usual.

    Parameters
    ----------
    measured : QuantityField
    system, fuel, currency : str
        As `own_unit` takes them.
    held : str
        Unit of the value that stands in the field: only what that value can be turned into is given then.

    Examples
    --------
    >>> usual_units(QuantityField("area", "Area"), "us"), usual_units(QuantityField("area", "Area"), "si", held="ft2")
    (('ft2', 'm2'), ('m2', 'ft2'))
    >>> usual_units(QuantityField("price", "Price"), "us", "natural_gas")
    ('$/therm', '$/CCF', '$/Mcf', '$/MMBtu', '$/kWh', '$/m3')
    >>> usual_units(QuantityField("share", "Efficiency"), "us")
    ('%',)
    """
    first, dimension = own_unit(measured, system, fuel, currency), measured.dimension
    sold = SOLD.get(fuel, ())
    if dimension == "price":
        more = [f"{currency}/{unit_sold}" for unit_sold in sold]
        if first.endswith("/kWh") and currency in WITH_CENTS:
            more.insert(1, "¢/kWh")
    elif dimension in BY_SPAN:
        more = [f"{unit_sold}{span}" for unit_sold in sold for span in BY_SPAN[dimension]]
    else:
        more = [spelling.replace("$", currency) for spelling in USUAL.get(dimension, ())]
    if dimension != "price":
        more.sort(key=lambda spelling: foreign(spelling, system, dimension))
    through_fuel = dimension == "price" and bool(sold)
    units: dict[tuple[float, tuple[int, ...], str], str] = {}
    for unit in (first, *more, *([held] if held else [])):
        try:
            in_unit = measured.quantity(f"1 {unit}")
            now = measured.quantity(f"1 {held}") if held else in_unit
        except UnitError:
            continue
        if through_fuel or (in_unit.dims, in_unit.per) == (now.dims, now.per):
            units.setdefault((in_unit.value, in_unit.dims, in_unit.per), unit)
    return tuple(units.values()) or (first,)


def menu_unit(measured: QuantityField, units: tuple[str, ...], held: str) -> str:
    """The unit of a menu in which a value stands: another name of the same one counts as that one.

    Examples
    --------
    >>> menu_unit(QuantityField("temperature", "Set-point"), ("degF", "degC"), "°C")
    'degC'
    """
    try:
        now = measured.quantity(f"1 {held}")
        return next(unit for unit in units if _same(measured.quantity(f"1 {unit}"), now))
    except (UnitError, StopIteration):
        return units[0]


def _same(first: Quantity, other: Quantity) -> bool:
    return (first.value, first.dims, first.per) == (other.value, other.dims, other.per)


def number_in(text: str, measured: QuantityField, unit: str, per_j: PerJoule | None = None) -> float:
    """The number of a quantity in another unit; the quantity stays the same.

    Parameters
    ----------
    text : str
        As a study file holds it.
    measured : QuantityField
    unit : str
        One of `usual_units`.
    per_j : callable, optional
        Of the fuel, for a price by volume that is to be read by energy, or the other way round.

    Raises
    ------
    ValueError
        The text is no such quantity, or has nothing in common with the unit.

    Examples
    --------
    >>> number_in("25 kW", QuantityField("power", "Output"), "W"), number_in("70 degF", QuantityField("temperature", "T"), "degF")
    (25000.0, 70.0)
    """
    quantity = measured.quantity(text)
    if measured.dimension == "temperature":
        return to_display(quantity.value, "temperature", "us" if unit == "degF" else "si")
    in_unit = measured.quantity(f"1 {unit}")
    if in_unit.dims == quantity.dims:
        return quantity.value / in_unit.value
    if per_j is None or measured.dimension != "price":
        raise UnitError(f"'{text}' has no value in {unit}")
    return per_j(quantity) / per_j(in_unit)


def figures(number: float, system: str) -> str:
    """A number in four figures, or whole ones, as a field shows it.

    Examples
    --------
    >>> figures(109.6255872, "si"), figures(12345.6, "us"), figures(0.30 / 5.678, "us")
    ('109.6', '12,346', '0.05284')
    """
    if abs(number) >= 1000.0:
        return f"{number:,.0f}" if system == "us" else f"{number:.0f}"
    return f"{float(f'{number:.4g}'):.10f}".rstrip("0").rstrip(".")


def shown_number(text: str, measured: QuantityField, unit: str, system: str, per_j: PerJoule | None = None) -> str:
    """What a field shows beside a menu that stands at a unit: as typed where that is its own unit.

    Examples
    --------
    >>> field = QuantityField("area", "Area")
    >>> shown_number("1180 ft2", field, "ft2", "us"), shown_number("1180 ft2", field, "m2", "us"), shown_number("big", field, "m2", "us")
    ('1,180', '109.6', 'big')
    """
    _, held = split_text(text)
    head = text[: len(text) - len(held)].strip() if held and text.endswith(held) else ""
    try:
        number = number_in(text, measured, unit, per_j)
    except ValueError:
        return text
    if head and _same(measured.quantity(f"1 {held}"), measured.quantity(f"1 {unit}")):
        return as_typed(head, held, system)
    return figures(number, system)


def as_typed(number: str, unit: str, system: str) -> str:
    """A number that was typed, as its reader writes it: thousands apart in US English, and money's tenths with their hundredths.

    Examples
    --------
    >>> as_typed("1180", "ft2", "us"), as_typed("16.5", "$/month", "us"), as_typed("0.2", "€/kWh", "si"), as_typed("2.5", "kW", "us")
    ('1,180', '16.50', '0.20', '2.5')
    >>> as_typed("0.128", "$/kWh", "us"), as_typed("2400", "$", "us"), as_typed("1180", "ft2", "si")
    ('0.128', '2,400', '1180')
    """
    if system == "us" and number.isdigit() and int(number) >= 1000:
        return f"{int(number):,}"
    tenths, coin = number.partition(".")[2], unit.partition("/")[0].strip()
    return f"{number}0" if coin in CURRENCIES and len(tenths) == 1 and tenths.isdigit() else number
