"""The menu of units in a quantity's field: another unit shows the same quantity in other figures, and nothing else changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.keyed import follow
from costsim.errors import InputError
from costsim.study.prices import Price
from costsim.tariffs.charges.base import FuelUnits
from costsim.units.faults import build
from costsim.units.fields import OPEN, QuantityField
from costsim.units.quantity import UnitError, pretty_unit, split_text
from costsim.units.reading import foreign
from costsim.units.usual import PerJoule, menu_unit, shown_number, usual_units
from costsim.words import tr

SLIM, WIDE = 6, 11
"""Letters up to which a unit's name has room in the two narrower menus."""


@dataclass(frozen=True, slots=True)
class Menu:
    """Units of a field, the one that stands in its menu, and the number that stands beside it.

    `units` holds one alone where no other is usual: the field then shows number and unit, without a menu.
    """

    where: str
    units: tuple[str, ...]
    unit: str
    shown: str
    currency: str

    @property
    def read_in(self) -> str:
        """The unit in which a bare number is read; empty where there is no menu."""
        return self.unit if len(self.units) > 1 else ""


def menu_of(
    where: str,
    texts: list[str],
    measured: QuantityField,
    *,
    system: str,
    currency: str,
    fuel: str = "",
    plain: Callable[[str], str],
) -> Menu:
    """The menu of a field.

    Parameters
    ----------
    where : str
        Name of the field in this session, under which the chosen unit is kept.
    texts : list of str
        Its values as the study holds them; empty ones count as none.
    measured : QuantityField
    system, currency, fuel : str
    plain : callable
        Writes a value where there is no menu.
    """
    texts = [text for text in texts if text]
    held = _held(texts[0], measured) if texts else ""
    units = usual_units(measured, system, fuel, currency, held)
    if len(units) < 2:
        return Menu(where, units, units[0], ", ".join(map(plain, texts)), currency)
    chosen = st.session_state.get("unit_of", {}).get(where)
    # what was typed in the other system's unit stands in the reader's own, unless it was typed or chosen so here
    turned = held and measured.dimension not in OPEN and foreign(held, system, measured.dimension)
    unit = chosen if chosen in units else units[0] if turned else menu_unit(measured, units, held)
    per_j = of_fuel(where, fuel) if measured.dimension == "price" and fuel else None
    numbers = [shown_number(text, measured, unit, system, per_j) for text in texts]
    return Menu(where, units, unit, ", ".join(numbers), currency)


def _held(text: str, measured: QuantityField) -> str:
    """The unit of a value; empty where it cannot be read."""
    unit = split_text(text)[1]
    try:
        measured.quantity(text)
    except UnitError:
        return ""
    return unit


def of_fuel(where: str, fuel: str) -> PerJoule | None:
    """How prices of a fuel turn into each other by the heat it holds; None where that cannot be told."""
    key = where.split(".")[1] if where.startswith("prices.") else ""
    try:
        if key:
            return build(Price, state.get(("prices", key)) or {}).fuel_units(key).per_j
        return FuelUnits.of(fuel).per_j
    except (InputError, ValueError, KeyError):
        return None


def draw_menu(menu: Menu, label: str, then: Callable[[str], None] | None = None) -> None:
    """Draw the menu in the right end of the text field before it; nothing where there is one unit alone.

    `then` is called with a unit that was chosen.
    """
    if len(menu.units) < 2:
        return
    names = {unit: pretty_unit(unit, menu.currency).replace("_", " ") for unit in menu.units}
    letters = max(map(len, names.values()))
    size = "slim" if letters <= SLIM else ("wide" if letters <= WIDE else "long")
    widget = f"unit/{size}/{state.revision()}/{menu.where}"
    follow(widget, menu.unit)
    st.selectbox(
        tr("Unit of {label}", label=label),
        menu.units,
        key=widget,
        format_func=names.__getitem__,
        label_visibility="collapsed",
        filter_mode=None,
        on_change=_chosen,
        args=(menu.where, widget, then),
    )


def _chosen(where: str, widget: str, then: Callable[[str], None] | None) -> None:
    unit = str(st.session_state[widget])
    choose(where, unit)
    if then is not None:
        then(unit)


def choose(where: str, unit: str) -> None:
    """Let a field stand in a unit; an empty one gives it back to what is typed."""
    kept: dict[str, Any] = st.session_state.setdefault("unit_of", {})
    kept.pop(where, None)
    if unit:
        kept[where] = unit
