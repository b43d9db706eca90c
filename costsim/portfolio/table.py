"""Rows of the table read as columns: many homes at once, and the rows that must be read one by one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from costsim.portfolio.columns import RIVALS, Column
from costsim.portfolio.impossible import beyond_prices
from costsim.portfolio.plan import PortfolioPlan
from costsim.portfolio.rows import MOST_WEIGHT, NUMBER, PRICE_FIELDS, plain_cell
from costsim.study.case import Case
from costsim.study.house import House
from costsim.units.arrays import Bools, Floats, Ints
from costsim.units.fields import QuantityField

FIGURES = {
    str(field.alias): (name, measured)
    for name, field in House.model_fields.items()
    for measured in field.metadata
    if isinstance(measured, QuantityField)
}
"""Fields of the house that are plain figures, by key: the attribute, and how it is read."""


@dataclass(frozen=True, slots=True)
class OwnPrice:
    """What homes pay for one service where that is not the study's: money per joule and per month (homes,)."""

    per_j: Any = None
    per_month: Any = None


@dataclass(frozen=True, slots=True)
class HomeTable:
    """Homes as columns (homes,): number of the row, name, weight, figures of the house and own prices.

    `house` has attributes of `House` that differ from the study's, `prices` by table what a home pays for each joule and month.
    """

    rows: Ints
    names: tuple[str, ...]
    weights: Floats
    house: Mapping[str, Any]
    prices: Mapping[str, OwnPrice]

    def __len__(self) -> int:
        """Number of homes."""
        return len(self.rows)

    def pick(self, mask: Bools) -> HomeTable:
        """The homes of a mask."""
        names = tuple(name for name, inside in zip(self.names, mask.tolist(), strict=True) if inside)
        house = {key: _picked(value, mask) for key, value in self.house.items()}
        prices = {
            key: OwnPrice(_picked(price.per_j, mask), _picked(price.per_month, mask))
            for key, price in self.prices.items()
        }
        return HomeTable(self.rows[mask], names, self.weights[mask], house, prices)

    def other_electricity_j(self, case: Case) -> Floats:
        """The year's other electricity of each home (homes,); nothing where it is not known."""
        year = self.house.get("other_electricity_j_year", case.house.other_electricity_j_year)
        return np.broadcast_to(np.asarray(0.0 if year is None else year, dtype=float), (len(self),))


def _picked(value: Any, mask: Bools) -> Any:
    return value[mask] if isinstance(value, np.ndarray) else value


def read_table(recipe: PortfolioPlan, numbers: Ints, rows: Sequence[Sequence[str]]) -> tuple[HomeTable, list[int]]:
    """Read rows as columns.

    Parameters
    ----------
    recipe : PortfolioPlan
        Whose homes are `in_arrays`.
    numbers : array of int (rows,)
        Of the homes, from 1.
    rows : sequence of sequence of str

    Returns
    -------
    table : HomeTable
        Homes whose every cell is a plain number within its limits, and whose figures fit each other.
    odd : list of int
        Places of the other rows, whose faults `read_row` names.
    """
    layout = recipe.layout
    shaped = np.array([len(row) == len(layout.headings) for row in rows], dtype=bool)
    good, kept = shaped.copy(), [rows[at] for at in np.flatnonzero(shaped).tolist()]
    columns = list(zip(*kept, strict=True)) if kept else [()] * len(layout.headings)
    names = [cell.strip() for cell in columns[layout.home]]
    whole = ["\n" not in cell and "\ufffd" not in cell for cell in columns[layout.home]]
    fine = np.array([bool(name) and plain for name, plain in zip(names, whole, strict=True)], dtype=bool)
    weights = np.ones(len(kept))
    if layout.weight is not None:
        weights, read = numbers_of(columns[layout.weight], recipe.case)
        fine &= read & (weights >= 0.0) & (weights <= MOST_WEIGHT)
    house: dict[str, Any] = {}
    prices: dict[str, OwnPrice] = {}
    for at, column in layout.columns:
        figures, read = numbers_of(columns[at], recipe.case)
        fine &= read
        if column.path[0] == "house":
            fine &= _put_figure(column, figures, house)
        else:
            fine &= _put_price(recipe.case, column, figures, prices)
    fine &= _fits(recipe, house, len(kept))
    good[shaped] = fine
    table = HomeTable(numbers[shaped], tuple(names), weights, house, prices)
    return table.pick(fine), np.flatnonzero(~good).tolist()


def numbers_of(cells: Sequence[str], case: Case) -> tuple[Floats, Bools]:
    """Cells as numbers, and which of them are plain finite ones; the others are 1."""
    texts = [cell.strip() for cell in cells]
    plain = np.array([NUMBER.fullmatch(text) is not None for text in texts], dtype=bool)
    for at in np.flatnonzero(~plain).tolist():  # a few cells with commas between thousands
        texts[at] = plain_cell(texts[at], case)
        plain[at] = NUMBER.fullmatch(texts[at]) is not None
    if plain.all():
        values = np.array(list(map(float, texts)), dtype=float)
    else:
        values = np.array([float(text) if fits else 1.0 for text, fits in zip(texts, plain.tolist(), strict=True)])
    finite = np.isfinite(values)
    return np.where(finite, values, 1.0), plain & finite


def _put_figure(column: Column, numbers: Floats, house: dict[str, Any]) -> Bools:
    """Put one figure of the house, which takes the place of its rivals; give where it is within its limits."""
    name, measured = FIGURES[str(column.path[-1])]
    house[name] = np.array(measured.numbers(numbers.tolist(), column.unit))
    for rival in RIVALS.get(column.key, ()):
        other = rival.removeprefix("house.")
        attribute, field = next((n, f) for n, f in House.model_fields.items() if other in (n, f.alias))
        house[attribute] = field.get_default()
    return np.asarray(measured.allows(house[name]))


def _put_price(case: Case, column: Column, numbers: Floats, prices: dict[str, OwnPrice]) -> Bools:
    """Put what homes pay for one service; give where it is within its limits."""
    key, last = str(column.path[1]), str(column.path[2])
    measured = PRICE_FIELDS[last]
    values = np.array(measured.numbers(numbers.tolist(), column.unit))
    before = prices.get(key, OwnPrice())
    allowed = np.asarray(measured.allows(values))
    if last == "energy":
        quantity = replace(measured.quantity(f"1 {column.unit}"), value=values)  # type: ignore[arg-type]
        prices[key] = replace(before, per_j=case.prices[key].per_j(quantity, key))
        allowed &= values <= beyond_prices(quantity)
    else:
        prices[key] = replace(before, per_month=values)
    return allowed


def _fits(recipe: PortfolioPlan, house: Mapping[str, Any], count: int) -> Bools:
    """Where the figures of a house fit each other and the place, by the rules of `House`."""

    def figure(name: str) -> Any:
        return house.get(name, getattr(recipe.case.house, name))

    indoor, balance, supply = (
        figure(name) for name in ("indoor_temperature_c", "balance_point_c", "design_supply_temperature_c")
    )
    fitting = np.ones(count, dtype=bool) & (indoor > recipe.common.design_outdoor_c)
    if balance is not None:
        fitting &= balance <= (
            indoor if recipe.case.house.design_indoor_c is None else recipe.case.house.design_indoor_c
        )
    if supply is not None:
        fitting &= supply > indoor
    return np.asarray(fitting)
