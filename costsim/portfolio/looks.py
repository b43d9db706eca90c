"""A table looked over: empty cells, values that are computed and look wrong, columns that change nothing in this study."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from collections.abc import Set as AbstractSet
from typing import Any

import numpy as np

from costsim.engine.lower import house_rows, lower_study
from costsim.errors import Fault, InputError
from costsim.portfolio.columns import BY_AREA, BY_FUEL, LOADS, RIVALS, Column
from costsim.portfolio.fuel_columns import Use
from costsim.portfolio.homes import Block, Homes
from costsim.portfolio.impossible import LOAD_PER_AREA_W_M2, beyond_prices
from costsim.portfolio.overrides import overridden
from costsim.portfolio.plan import PortfolioPlan
from costsim.portfolio.rows import PRICE_FIELDS, RowError, read_row, tidy_cells
from costsim.portfolio.table import FIGURES, numbers_of
from costsim.study.case import Case, case_from
from costsim.study.heat_loss import ROUTES
from costsim.study.services import ELECTRICITY
from costsim.units.arrays import Bools, Floats, Ints
from costsim.units.fields import QuantityField
from costsim.units.quantity import pretty_unit, read_quantity, to_display, unit_for
from costsim.units.reading import PLAUSIBLE
from costsim.units.system import default_units
from costsim.words import tr

MOST_LOOKED, MOST_LISTED = 200_000, 1000
FAR_FROM_MEDIAN = 20.0
"""Times the median, or its share, beyond which a value is listed; common practice, no source."""
FUEL_FROM_MEDIAN = 8.0
"""The same of a year's fuel, of which homes in one town differ less; common practice, no source."""
_TRIED = 20
_SCALELESS = ("temperature",)
_BILL_ONLY = ("other_electricity", "other_electricity_profile")


class Seen:
    """The first homes of a table, noted as its blocks are read: cells as one text a block and column, which takes little memory."""

    def __init__(self, recipe: PortfolioPlan) -> None:
        self._width = len(recipe.layout.headings)
        self._cells: dict[int, list[str]] = {
            at: []
            for at in (
                recipe.layout.home,
                *(at for at, _ in recipe.layout.columns),
                *(at for at, _ in recipe.layout.uses),
            )
        }
        self.swallowed = 0
        """Rows that lie in a cell of another, as a quotation mark was not closed."""
        self._rows: list[Ints] = []
        self.computed = 0
        """How many homes of these blocks are known to be computed; from `MOST_LOOKED` on no more are noted."""

    def add(self, block: Block) -> None:
        """Note a block's rows, but for those that are set aside for their length."""
        self.swallowed += sum("".join(row).count("\n") for row in block.rows)
        if self.computed >= MOST_LOOKED:
            return
        rows = [row for row in block.rows if len(row) == self._width]
        self._rows.append(block.numbers[[len(row) == self._width for row in block.rows]])
        for at, texts in self._cells.items() if rows else ():
            # a row with a break in a cell is set aside too
            texts.append("\n".join([row[at].strip().replace("\n", " ") for row in rows]))

    def homes(self, aside: AbstractSet[int]) -> tuple[list[int], Callable[[int], list[str]]]:
        """Numbers of the rows that were computed, and what gives their cells of a column."""
        rows = np.concatenate([np.empty(0, dtype=np.int64), *self._rows]).tolist()
        places = [at for at, number in enumerate(rows) if number not in aside][:MOST_LOOKED]

        def cells(at: int) -> list[str]:
            texts = "\n".join(self._cells[at]).split("\n")
            return [texts[place] for place in places]

        return [rows[place] for place in places], cells


def look_over(recipe: PortfolioPlan, seen: Seen, aside: AbstractSet[int]) -> dict[str, Any]:
    """What a planner should look at in a table that was computed.

    Parameters
    ----------
    recipe : PortfolioPlan
    seen : Seen
        Its first homes.
    aside : set of int
        Rows that were set aside, which are told elsewhere.

    Returns
    -------
    dict
        `by_study_value` by column, how many homes left it empty and what stands there; `look` as rows, column, value and why, by
        row; `looked_at` the number of rows looked at, which are the first `MOST_LOOKED`.
    """
    rows, cells = seen.homes(aside)
    looks: list[dict[str, Any]] = [*_doubled(recipe, rows, cells(recipe.layout.home))]
    by_study: list[dict[str, Any]] = []
    si: dict[str, Floats] = {}
    found_load = _filled_in(recipe, cells)
    for at, column in recipe.layout.columns:
        texts, filled = cells(at), at in recipe.layout.filled
        bare = [not text for text in texts]
        if column.key in LOADS:
            bare = [none and not load for none, load in zip(bare, found_load, strict=True)]
        if sum(bare) and not filled:
            value = _own_value(recipe.case, column)
            by_study.append({"column": column.heading, "homes": sum(bare), "value": value})
        if column.heading == BY_FUEL:
            numbers, plain = _figures(texts, recipe.case)
            drop_k = recipe.case.house.indoor_temperature_c - recipe.common.design_outdoor_c
            si[BY_FUEL] = np.where(plain, numbers * drop_k, np.nan)
        if not column.measured or filled:
            continue
        numbers, plain = _figures(texts, recipe.case)
        looks += _far(column, rows, numbers, plain, texts)
        if column.key in ("house.design_heat_loss", "house.floor_area"):
            values = np.array(FIGURES[str(column.path[1])][1].numbers(numbers.tolist(), column.unit), dtype=float)
            si[column.key] = np.where(plain, values, np.nan)
    for at, use in recipe.layout.uses:
        numbers, plain = _figures(cells(at), recipe.case)
        looks += _far(use, rows, numbers, plain, cells(at))
    looks += _per_area(recipe, rows, si)
    looks.sort(key=lambda look: look["rows"])
    return {
        "by_study_value": by_study,
        "look": looks[:MOST_LISTED],
        "look_count": len(looks),
        "looked_at": len(rows),
        "loads_found": _loads_found(recipe, cells, found_load),
        "rows_in_cells": seen.swallowed,
    }


def _filled_in(recipe: PortfolioPlan, cells: Callable[[int], list[str]]) -> list[bool]:
    """Which homes' heat losses were worked out by fuel or area."""
    columns = [cells(at) for at in recipe.layout.filled]
    return [any(row) for row in zip(*columns, strict=True)] if columns else [False] * len(cells(recipe.layout.home))


def _loads_found(recipe: PortfolioPlan, cells: Callable[[int], list[str]], filled: list[bool]) -> dict[str, int]:
    """Homes whose heat loss was worked out by fuel and by area or is the study's, and those that give fuel and a heat loss, which counts."""
    layout = recipe.layout
    by = {layout.headings[at]: sum(map(bool, cells(at))) for at in layout.filled}
    uses, loads = (
        [any(row) for row in zip(*(cells(at) for at in places), strict=True)] if places else []
        for places in (
            [at for at, _ in layout.uses],
            [at for at, column in layout.columns if column.key in LOADS and at not in layout.filled],
        )
    )
    both = sum(use and load for use, load in zip(uses, loads, strict=True)) if uses and loads else 0
    own = sum(not (load or filled_in) for load, filled_in in zip(loads or filled, filled, strict=True))
    return {"by_fuel": by.get(BY_FUEL, 0), "by_area": by.get(BY_AREA, 0), "both": both, "by_study": own}


def _figures(texts: Sequence[str], case: Case) -> tuple[Floats, Bools]:
    """Cells of homes that were computed as numbers, and which of them are there."""
    try:
        values = np.array([float(text) if text else math.nan for text in texts])
    except ValueError:  # some have commas between thousands
        return numbers_of(texts, case)
    return np.where(np.isnan(values), 1.0, values), ~np.isnan(values)


def _doubled(recipe: PortfolioPlan, rows: Sequence[int], names: Sequence[str]) -> Iterator[dict[str, Any]]:
    """Names that several homes have."""
    if len(set(names)) == len(names):
        return
    places: dict[str, list[int]] = {}
    for row, name in zip(rows, names, strict=True):
        places.setdefault(name, []).append(row)
    heading = recipe.layout.headings[recipe.layout.home]
    for name, mine in places.items():
        if len(mine) > 1:
            yield {
                "rows": mine,
                "column": heading,
                "value": name,
                "why": tr("stands {count} times, and all count", count=len(mine)),
            }


def _far(
    column: Column | Use, rows: Sequence[int], numbers: Floats, plain: Bools, texts: Sequence[str]
) -> Iterator[dict[str, Any]]:
    """Values of nothing, far from the others, or far from what is usual."""
    if not plain.any():
        return
    measured, price, most = None, False, FUEL_FROM_MEDIAN
    if isinstance(column, Column):
        measured, price, most = _field_of(column), column.path[0] == "prices", FAR_FROM_MEDIAN
    middle = float(np.median(numbers[plain]))
    free = plain & (numbers == 0.0) & price
    far = np.zeros(len(numbers), dtype=bool)
    if middle > 0 and (measured is None or measured.dimension not in _SCALELESS):
        far = plain & (numbers != 0.0) & ((numbers >= most * middle) | (numbers * most <= middle))
    unusual = np.zeros(len(numbers), dtype=bool)
    if measured is not None:
        unusual = plain & _unusual(numbers, column.unit, measured)
    for at in np.flatnonzero(free | far | unusual).tolist():
        if free[at]:
            why = tr("is a price of nothing")
        elif far[at]:
            times = numbers[at] / middle
            usual = f"{middle:,.6g} {pretty_unit(column.unit)}".strip()
            why = (
                tr("is {times} times the median, {usual}", times=f"{times:,.0f}", usual=usual)
                if numbers[at] > middle
                else tr("is 1/{share} of the median, {usual}", share=f"{1 / times:,.0f}", usual=usual)
            )
        else:
            why = tr("is far from what is usual")
        yield {"rows": [rows[at]], "column": column.heading, "value": texts[at], "why": why}


def _unusual(numbers: Floats, unit: str, measured: QuantityField) -> Bools:
    """Which numbers in a unit are possible and far from what is usual: the limits of `odd`, for many at once."""
    if measured.dimension == "price":
        in_unit = read_quantity(f"1 {unit}")
        return np.asarray(numbers * in_unit.value > beyond_prices(in_unit))
    limits = measured.usual or PLAUSIBLE.get(measured.dimension)
    if limits is None:
        return np.zeros(len(numbers), dtype=bool)
    size = np.abs(measured.numbers(numbers.tolist(), unit))
    return np.asarray((size > 0) & ((size < limits[0]) | (size > limits[1])))


def _field_of(column: Column) -> QuantityField | None:
    """How a column is read, where it is one of the house or of prices."""
    last = str(column.path[-1])
    if column.path[0] == "house" and len(column.path) == 2:
        return FIGURES[last][1] if last in FIGURES else None
    return PRICE_FIELDS.get(last) if column.path[0] == "prices" and len(column.path) == 3 else None


def _per_area(recipe: PortfolioPlan, rows: Sequence[int], si: dict[str, Floats]) -> Iterator[dict[str, Any]]:
    """Heat losses, typed or by fuel, that no floor area of that size has."""
    if not {"house.design_heat_loss", BY_FUEL} & si.keys():
        return
    nothing = np.full(len(rows), np.nan)
    typed, by_fuel = si.get("house.design_heat_loss", nothing), si.get(BY_FUEL, nothing)
    area = si.get("house.floor_area", np.full(len(rows), recipe.case.house.floor_area_m2))
    flux = np.where(np.isnan(typed), by_fuel, typed) / np.where(area > 0, area, np.nan)
    system = default_units(recipe.case.typed)
    loads = [listed.heading for _, listed in recipe.layout.columns if listed.key == "house.design_heat_loss"]
    uses = ", ".join(use.heading for _, use in recipe.layout.uses)
    for at in np.flatnonzero((flux < LOAD_PER_AREA_W_M2[0]) | (flux > LOAD_PER_AREA_W_M2[1])).tolist():
        value = f"{to_display(float(flux[at]), 'power_per_area', system):,.0f} {unit_for('power_per_area', system)}"
        column = uses if np.isnan(typed[at]) else loads[0]
        why = (
            tr("is the heat loss for its floor area, which no house has")
            if "house.floor_area" in si
            else tr(
                "would be the heat loss on the study's own floor area, which no house has; a column Floor area tells it apart"
            )
        )
        yield {"rows": [rows[at]], "column": column, "value": value, "why": why}


def _own_value(case: Case, column: Column) -> str:
    """What the study says in place of a column; of a heat loss by which route."""
    node: Any = case.typed
    for part in column.path:
        node = node.get(part) if isinstance(node, dict) else node[int(part)] if isinstance(node, list) else None
        if node is None:
            break
    if node is not None and not isinstance(node, dict | list):
        return str(node)
    loads = {load_key for key in RIVALS for load_key in (key, *RIVALS[key]) if "heat_loss" in key}
    return str(ROUTES[case.house.route_used][0]) if column.key in loads else ""


def idle_columns(recipe: PortfolioPlan, table: Homes) -> list[dict[str, str]]:
    """Columns that change nothing in this study, each with the reason: tried with the first home that can be read.

    Raises
    ------
    InputError
        None of the columns changes anything, so that all homes would be the same.
    """
    bought = {key for ready in recipe.options for key in ready.sheet.keys}
    idle = [
        {
            "column": column.heading,
            "why": tr("no option of the study buys {what}", what=str(column.path[1]).replace("_", " ")),
        }
        for _, column in recipe.layout.columns
        if column.path[0] == "prices" and str(column.path[1]) not in bought | {ELECTRICITY}
    ]
    figures = [
        (place, column)
        for place, (_, column) in enumerate(recipe.layout.columns)
        if column.path[0] == "house" and len(column.path) == 2 and column.measured and column.path[1] not in _BILL_ONLY
    ]
    cells = _first_cells(recipe, table) if figures else None
    if cells is not None:
        before = _lowered(recipe, cells)
        for place, column in figures:
            if before is not None and cells[place] and _same(before, _lowered(recipe, _moved(cells, place, column))):
                idle.append({"column": column.heading, "why": _idle_figure(recipe, column)})
    if idle and len(idle) == len(recipe.layout.columns):
        raise InputError(
            Fault(
                unused["column"],
                "changes nothing in this study, and all homes would be the same",
                unused["why"],
                str(table.path),
            )
            for unused in idle
        )
    return idle


def still_idle(recipe: PortfolioPlan, idle: list[dict[str, str]], loads_found: dict[str, int]) -> list[dict[str, str]]:
    """Columns that change nothing in any home: the floor area counts where a heat loss goes by it."""
    by_study = loads_found["by_study"] if recipe.case.house.route_used == "area" else 0
    areas = [column.heading for _, column in recipe.layout.columns if column.key == "house.floor_area"]
    return [column for column in idle if not ((loads_found["by_area"] or by_study) and column["column"] in areas)]


def _idle_figure(recipe: PortfolioPlan, column: Column) -> str:
    """Why a figure of the house changes nothing, and what would be right."""
    house, keys = recipe.case.house, recipe.layout.keys
    if column.key != "house.floor_area":
        return tr("the study is worked out by other figures; take the column out")
    given = next((key for key in RIVALS if key in keys and "heat_loss" in key), "")
    if given:
        return tr("the heat loss is a column of its own, from which everything follows")
    system, load_w = default_units(recipe.case.typed), recipe.common.route.load_w
    unit = unit_for("power", system)
    typed = f"{to_display(load_w, 'power', system):,.3g} {unit}"
    how = (
        tr("the study's heat loss is typed ({load})", load=typed)
        if house.route_used == "entered"
        else tr("the study's heat loss is {load} by other figures", load=typed)
    )
    remedy = tr("add a column Heat loss [{unit}], or give the study heat_loss_per_area in place of it", unit=unit)
    return f"{how}; {remedy}"


def _first_cells(recipe: PortfolioPlan, table: Homes) -> list[str] | None:
    """Cells of the columns of the first home that can be read."""
    block = next(table.blocks(_TRIED), None)
    if block is None:
        return None
    for number, row in zip(block.numbers.tolist(), block.rows, strict=True):
        try:
            read_row(recipe, number, row)
        except RowError:
            continue
        cells = tidy_cells(recipe.layout, row, recipe.case)
        return [cells[at] for at, _ in recipe.layout.columns]
    return None


def _moved(cells: Sequence[str], place: int, column: Column) -> list[str]:
    """The same home with one figure a little less."""
    number = float(cells[place])
    degrees = FIGURES[str(column.path[1])][1].dimension == "temperature"
    moved = number - 0.5 if degrees else number * 0.95 if number else 1.0
    return [f"{moved!r}" if at == place else text for at, text in enumerate(cells)]


def _lowered(recipe: PortfolioPlan, cells: Sequence[str]) -> list[Floats] | None:
    """What the kernel takes of a home; None where it cannot be computed."""
    case = recipe.case
    try:
        common = lower_study(
            case_from(overridden(case.typed, recipe.layout, cells), file=case.file, files=case.files), recipe.weather
        )
    except InputError:
        return None
    offers = [source.offer(common.surroundings) for option in common.case.options for source in option.sources]
    return [*house_rows(common), *(row for offer in offers for row in (offer.capacity_w, offer.heat_per_input))]


def _same(first: Sequence[Floats], second: Sequence[Floats] | None) -> bool:
    return second is not None and all(map(np.array_equal, first, second))
