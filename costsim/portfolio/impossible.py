"""Values that no home has: a heat loss that no floor area of that size loses, a price that no fuel costs. Such homes are set aside."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from costsim.engine.house_loss import altitude_m, route_of
from costsim.portfolio.columns import BY_AREA, BY_FUEL, LOADS, Column
from costsim.portfolio.plan import PortfolioPlan
from costsim.study.case import Case
from costsim.units.arrays import Bools
from costsim.units.quantity import Quantity, pretty_unit, read_quantity, to_display, unit_for
from costsim.units.reading import MOST_PRICE
from costsim.units.system import default_units

LOAD_PER_AREA_W_M2 = (3.0, 400.0)
"""Design heat loss per floor area of any house, from far better than passive to far worse than uninsulated; common practice, no source."""
PER_AREA, AREA = "house.heat_loss_per_area", "house.floor_area"


def beyond_prices(quantity: Quantity) -> float:
    """The most that a price of these dimensions may be, in SI: of fuel by energy, volume or mass; any for others."""
    return MOST_PRICE.get(quantity.dims[:3], math.inf)


def no_house(recipe: PortfolioPlan, case: Case) -> Bools:
    """Which homes lose more or less heat than any house of their floor area (homes,).

    Parameters
    ----------
    recipe : PortfolioPlan
        Its columns say whether heat loss and area are the homes' own.
    case : Case
        The study with the figures of one home, or of many as arrays (homes,).
    """
    given = {column.key for _, column in recipe.layout.columns if column.heading != BY_AREA}
    flux = np.atleast_1d(_flux_w_m2(recipe, case))
    if not (PER_AREA in given or (AREA in given and given & set(LOADS))):
        return np.zeros(flux.shape, dtype=bool)
    return np.asarray((flux < LOAD_PER_AREA_W_M2[0]) | (flux > LOAD_PER_AREA_W_M2[1]))


def _flux_w_m2(recipe: PortfolioPlan, case: Case) -> Any:
    own = case.place.design_outdoor_c
    outdoor_c = recipe.common.design_outdoor_c if own is None else own
    return route_of(case, outdoor_c, altitude_m(case, recipe.weather)).load_w / case.house.floor_area_m2


def impossible_cells(recipe: PortfolioPlan, cells: Sequence[str], case: Case) -> Iterator[tuple[str, str, str]]:
    """Column, value and reason of each cell that no home has.

    Parameters
    ----------
    recipe : PortfolioPlan
    cells : sequence of str
        Of one row, tidy.
    case : Case
        The study with its values.
    """
    layout = recipe.layout
    given = {column.key: (at, column) for at, column in layout.columns if cells[at] and column.heading != BY_AREA}
    for at, column in given.values():
        if column.path[0] == "prices" and column.path[-1] == "energy":
            amount = read_quantity(f"{cells[at]} {column.unit}")
            if amount.value > (most := beyond_prices(amount)):
                times = float(cells[at]) * most / amount.value
                reason = f"is more than any fuel costs, {times:,.3g} {pretty_unit(column.unit)}; correct the price"
                yield column.heading, cells[at], reason
    loads = [load for key, load in given.items() if key in LOADS]
    flux = float(_flux_w_m2(recipe, case)) if loads and (AREA in given or PER_AREA in given) else LOAD_PER_AREA_W_M2[0]
    if LOAD_PER_AREA_W_M2[0] <= flux <= LOAD_PER_AREA_W_M2[1]:
        return
    system = default_units(recipe.case.typed)
    flux_shown, low, high = (
        f"{to_display(flux_w_m2, 'power_per_area', system):,.3g}" for flux_w_m2 in (flux, *LOAD_PER_AREA_W_M2)
    )
    unit = unit_for("power_per_area", system)
    parts = [*_fuels(recipe, cells, loads), *((given[AREA],) if AREA in given else ())]
    names = ", ".join(column.heading for _, column in parts)
    values = ", ".join(
        f"{cells[at]} {column.unit}" if getattr(column, "in_cells", False) else cells[at] for at, column in parts
    )
    yield (
        names,
        values,
        f"is a design heat loss of {flux_shown} {unit}, and no house is beyond {low} to {high}; correct it",
    )


def _fuels(
    recipe: PortfolioPlan, cells: Sequence[str], loads: Sequence[tuple[int, Column]]
) -> Iterator[tuple[int, Any]]:
    """Columns by which a heat loss was given: those of fuels where it follows from them."""
    for at, column in loads:
        if column.heading == BY_FUEL:
            yield from ((place, use) for place, use in recipe.layout.uses if cells[place])
        else:
            yield at, column
