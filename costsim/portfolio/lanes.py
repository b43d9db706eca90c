"""Homes side by side: each home is a lane of the kernel, with hourly rows of its own only where it differs from the study."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.engine import rows as k
from costsim.engine.batch import ELECTRICITY, own_rows
from costsim.engine.block import Shared, Years, kinds_of, lanes_of, run_lanes
from costsim.engine.lower import Common, Point, house_rows, house_scalars, steady_house, with_house
from costsim.errors import Fault, InputError
from costsim.portfolio.costs import costs_of, own_tariff
from costsim.portfolio.recipe import (
    CO2,
    COST,
    SHORT,
    SHORT_HOURS,
    WORST,
    OneSource,
    Ready,
    Recipe,
    SourceRows,
    most_electricity_w,
    shared_by_homes,
)
from costsim.portfolio.rows import Home
from costsim.tariffs.bill import hourly_price_per_j
from costsim.units import KWH_J

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
STEP_W = 2.0**-20
"""Electricity is summed in whole steps of about a microwatt, so that sums do not depend on the order of homes."""
MOST_SUM_W = 4e12
MASS_ROWS = range(k.GAINS, k.COLD_BELOW + 1)


@dataclass(frozen=True, slots=True)
class Lowered:
    """One home. Where its hours differ but for the weather there is its own `common` and, of each option, its sources."""

    first: Point
    scalars: Floats
    common: Common | None
    sources: tuple[SourceRows, ...]


def lower_home(recipe: Recipe, home: Home) -> Lowered:
    """Lower one home beside what all share.

    Raises
    ------
    InputError
        Its house and the study do not fit each other, or its electricity is more than whole steps can hold.
    """
    study, common = recipe.common, None
    sources = tuple(ready.rows for ready in recipe.options)
    first = steady_house(study, home.case) if recipe.steady else None
    if first is None:
        common = with_house(study, home.case)
        if recipe.looks_at_prices:
            common = _with_prices(common, home)
        known: dict[int, OneSource] = {}
        sources = tuple(ready.rows_for(common.surroundings, known) for ready in recipe.options)
        first = Point(common.loss_w_k, float(common.setpoint_c[0]), float(common.balance_c[0]), common.water)
    found = Lowered(first, house_scalars(study, home.case, first), common, sources)
    most = [
        ready.most_w if common is None else most_electricity_w(rows)
        for ready, rows in zip(recipe.options, sources, strict=True)
    ]
    if home.weight * (max(most) + first.water.pump_w) > MOST_SUM_W:
        raise InputError(Fault("weight", "the homes could take more than 4,000 GW", "give smaller weights"))
    return found


def _with_prices(common: Common, home: Home) -> Common:
    """What sources and rules see of this home's prices."""
    prices = dict(common.surroundings.price_per_j)
    for key in home.prices:
        prices[key] = hourly_price_per_j(own_tariff(common, home, key), common.calendar)
    return replace(common, surroundings=replace(common.surroundings, price_per_j=prices))


def run_homes(recipe: Recipe, homes: Sequence[Home], lowered: Sequence[Lowered], power: Ints) -> Floats:
    """Run the years of some homes.

    Parameters
    ----------
    recipe : Recipe
    homes : sequence of Home
    lowered : sequence of Lowered
    power : array of int (options, n)
        The weighted electricity of all is added here, in steps of `STEP_W`.

    Returns
    -------
    array (homes, columns)
    """
    values = np.zeros((len(homes), len(recipe.columns)))
    if not homes:
        return values
    steady = [i for i, one in enumerate(lowered) if one.common is None]
    for group in (steady, [i for i in range(len(homes)) if i not in set(steady)]):
        if group:
            house = _house_side(recipe, [homes[i] for i in group], [lowered[i] for i in group])
            _run_group(recipe, homes, lowered, group, house, values, power)
    return values


def _run_group(
    recipe: Recipe,
    homes: Sequence[Home],
    lowered: Sequence[Lowered],
    group: list[int],
    house: _House,
    values: Floats,
    power: Ints,
) -> None:
    """Run homes that are all steady, or all not, under every option."""
    for at, ready in enumerate(recipe.options):
        rows = [lowered[i].sources[at] for i in group]
        for same in _alike(ready, rows):
            years = _run_alike(recipe, ready, house, rows, same, power[at])
            these = [group[i] for i in same]
            _put(values, these, ready, years, recipe.common)
            costs = costs_of(recipe, ready, [homes[i] for i in these], years.energy_j)
            values[these, ready.sheet.last.start + COST] = costs


@dataclass(frozen=True, slots=True)
class _House:
    """House and water of homes, by home: scalars (SCALARS, homes), and hourly rows where they differ, by their place.

    Of steady homes the set-point stands in `indoor_c`, else in the hours.
    """

    steady: bool
    scalars: Floats
    loss_w_k: Floats
    shift_k: Floats
    indoor_c: Floats
    limit_w: Floats
    steps: Floats
    rows: dict[int, list[Floats]]


def _house_side(recipe: Recipe, homes: Sequence[Home], lowered: Sequence[Lowered]) -> _House:
    firsts, commons = [one.first for one in lowered], [one.common for one in lowered if one.common is not None]
    rows, even = (_rows_apart(recipe.common, commons), _even(commons)) if commons else ({}, True)
    return _House(
        steady=not commons,
        scalars=np.stack([one.scalars for one in lowered], axis=1),
        loss_w_k=np.array([one.loss_w_k for one in firsts]),
        shift_k=np.array([one.balance_c if even else 0.0 for one in firsts]),
        indoor_c=np.array([0.0 if commons else one.setpoint_c for one in firsts]),
        limit_w=np.array([one.water.limit_w for one in firsts]),
        steps=np.array([home.weight for home in homes]) / STEP_W,
        rows=rows,
    )


def _even(commons: Sequence[Common]) -> bool:
    """Whether every home's balance point is the same at all hours."""
    return all(bool((one.balance_c == one.balance_c[0]).all()) for one in commons)


def _rows_apart(study: Common, commons: Sequence[Common]) -> dict[int, list[Floats]]:
    """Hourly rows of the house in which homes differ, by their place."""
    rows: dict[int, list[Floats]] = {}
    _put_if_apart(rows, k.ROOM, study.setpoint_c, [one.setpoint_c for one in commons])
    if not _even(commons):
        rows[k.DEGREES] = [one.balance_c - one.weather.outdoor_c for one in commons]
    if study.water.mass is not None:
        shared, hours = house_rows(study)[1], [house_rows(one)[1] for one in commons]
        for row in MASS_ROWS:
            _put_if_apart(rows, row, shared[row], [one[row] for one in hours])
    return rows


def _put_if_apart(rows: dict[int, list[Floats]], place: int, shared: Floats, own: list[Floats]) -> None:
    if not all(np.array_equal(one, shared) for one in own):
        rows[place] = own


def _alike(ready: Ready, rows: Sequence[SourceRows]) -> list[list[int]]:
    """Homes that can stand side by side: the same kinds of source in the same order at every hour."""
    if all(ready.fixed):
        return [list(range(len(rows)))]
    groups: dict[Any, list[int]] = {}
    for i, one in enumerate(rows):
        same = one.order is ready.rows.order or np.array_equal(one.order, ready.rows.order)
        groups.setdefault((tuple(kinds_of(one.scalars)), b"" if same else one.order.tobytes()), []).append(i)
    return list(groups.values())


def _run_alike(
    recipe: Recipe, ready: Ready, house: _House, rows: Sequence[SourceRows], same: list[int], power: Ints
) -> Years:
    """Run homes side by side."""
    apart = {place: [values[i] for i in same] for place, values in house.rows.items()}
    first, shared = rows[same[0]], ready.steady if house.steady else ready.shared
    if not all(ready.fixed):
        alike = kinds_of(first.scalars) == kinds_of(ready.rows.scalars)
        if not alike or not np.array_equal(first.order, ready.rows.order):
            shared = shared_by_homes(recipe.common, first, ready.shares)
        _put_sources(apart, shared, ready, [rows[i] for i in same])
    lanes = lanes_of(
        house.scalars[:, same], np.stack([rows[i].scalars for i in same], axis=-1), len(same), loss_w_k=house.loss_w_k[same],
        shift_k=house.shift_k[same], indoor_c=house.indoor_c[same], limit_w=house.limit_w[same], steps=house.steps[same],
    )  # fmt: skip
    return run_lanes(shared, lanes, own=own_rows(apart, shared.count), power=power, all_of=MANY)


def _put_sources(apart: dict[int, list[Floats]], shared: Shared, ready: Ready, homes: Sequence[SourceRows]) -> None:
    """Put the hourly rows of sources in which homes differ."""
    for i in (i for i, fixed in enumerate(ready.fixed) if not fixed):
        for row in range(k.SOURCE_HOURS):
            _put_if_apart(apart, _place(i, row), shared.source_hours[i, row], [one.hours[i][row] for one in homes])
        first = homes[0].per_input[i]
        even = all(np.array_equal(one.per_input[i], first) for one in homes[1:])
        inputs = [1.0 / first] * len(homes) if even else [1.0 / one.per_input[i] for one in homes]
        _put_if_apart(apart, _place(i, k.PER_HEAT), shared.per_heat[i], inputs)


MANY = 1 << 20
"""A table of homes is always worth a compiled form."""


def _place(source: int, row: int) -> int:
    return k.SOURCES + source * k.SOURCE_ROWS + row


def _put(values: Floats, same: list[int], ready: Ready, years: Years, common: Common) -> None:
    """Write the columns of an option, but for costs."""
    sheet, sums, energy = ready.sheet, years.sums, years.energy_j
    # one after the other, so that a home's sum does not depend on how many stand beside it
    inputs = energy.reshape(*energy.shape[:2], -1).cumsum(axis=-1)[..., -1]
    values[same, sheet.first] = sums[:, k.SUM_DEMAND]
    values[same, sheet.heat] = sums[:, k.SUMS :]
    used = {key: np.zeros(len(same)) for key in sheet.keys}
    used[ELECTRICITY] += inputs[:, -1]
    co2 = inputs[:, -1] * common.surroundings.co2_kg_per_j[ELECTRICITY]
    for i, offer in enumerate(ready.offers):
        if offer.price_key in used:
            used[offer.price_key] += inputs[:, i]
        co2 = co2 + (0.0 if offer.biogenic else inputs[:, i] * offer.co2_kg_per_j)
    values[same, sheet.used] = np.stack(list(used.values()), axis=1) / KWH_J
    last = sheet.last.start
    values[same, last + SHORT], values[same, last + SHORT_HOURS] = sums[:, k.SUM_SHORT] / KWH_J, sums[:, k.SHORT_HOURS]
    values[same, last + WORST], values[same, last + CO2] = sums[:, k.WORST_SHORT] / 1e3, co2
