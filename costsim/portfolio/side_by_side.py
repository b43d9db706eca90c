"""Homes lowered in arrays and run as lanes of the kernel: no Python for each of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k
from costsim.engine.block import AnnualTotals, lanes_of, run_lanes
from costsim.engine.houses import lower_houses
from costsim.engine.lane_inputs import LaneInputs
from costsim.engine.lower import Point
from costsim.engine.shared import Shared
from costsim.portfolio.lanes import MANY, MOST_SUM_W, STEP_W
from costsim.portfolio.plan import (
    ROW_OF,
    PortfolioPlan,
    PreparedOption,
    most_electric_w,
    shared_by_homes,
)
from costsim.portfolio.table import HomeTable
from costsim.sources import HeatSource, Offer
from costsim.sources.base import may_run
from costsim.sources.houses import HouseOffers, Houses
from costsim.study.rules import RULES
from costsim.tariffs.bill import prices_of_many_per_j

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
WIDE = 64
"""Homes run at once where they have hourly rows of their own, which should stay in a processor's cache."""
MOST_ORDERS = 256
"""Orders of sources kept with what homes share under them."""
NAME_OF = {row: name for name, row in ROW_OF.items()}


@dataclass(frozen=True, slots=True)
class Lowered:
    """Homes in arrays: house and water, what the sources that follow the house offer them, and the kernel's rows of that.

    `offers` goes by number of the source, `rows` by place among `PortfolioPlan.own`: (moments, homes), None where hours differ by
    more than their moment.
    """

    point: Point
    scalars: Floats
    houses: Houses
    offers: Mapping[int, HouseOffers]
    rows: tuple[Floats | None, ...]


def lower_table(recipe: PortfolioPlan, table: HomeTable) -> Lowered:
    """Lower all homes of a table.

    Parameters
    ----------
    recipe : PortfolioPlan
        Whose homes are `in_arrays`.
    table : HomeTable
    """
    assert recipe.moments is not None
    point, scalars, houses = lower_houses(recipe.common, table.case(recipe.case), recipe.moments)
    sources = {n: s for one in recipe.options for n, s in zip(one.numbers, one.option.sources, strict=True)}
    offers: dict[int, HouseOffers] = {}
    for number, source in sources.items():
        found = source.for_houses(houses) if any(number == one for one, _ in recipe.own) else None
        if found is not None:
            allowed = _allowed(recipe, source)[recipe.moments.first][:, None]
            by_moment = {name: row * allowed if name == "capacity" else row for name, row in found.by_moment.items()}
            offers[number] = replace(found, by_moment=by_moment)
    rows: list[Floats | None] = []
    for number, row in recipe.own:
        values = offers[number].by_moment.get(NAME_OF[row])
        rows.append(1.0 / values if row == k.PER_HEAT and values is not None else values)
    return Lowered(point, scalars, houses, offers, tuple(rows))


def _allowed(recipe: PortfolioPlan, source: HeatSource) -> Floats:
    return may_run(source, recipe.weather, recipe.common.calendar)


def too_much(recipe: PortfolioPlan, table: HomeTable, lowered: Lowered) -> Bools:
    """Homes whose weighted electricity may be more than whole steps can hold (homes,)."""
    most = np.zeros(len(table))
    for ready in recipe.options:
        total = np.zeros(len(table)) + lowered.point.water.pump_w
        for source, number in zip(ready.sources, ready.numbers, strict=True):
            rows, offer = lowered.offers[number].by_moment if number in lowered.offers else {}, source.offer
            if rows:
                capacity, heat = (
                    rows.get(name, getattr(offer, f"{name}{unit}"))
                    for name, unit in (("capacity", "_w"), ("heat_per_input", ""))
                )
                total += most_electric_w(offer, capacity.max(axis=0), heat.min(axis=0))
            else:
                total += source.most_w
        most = np.maximum(most, total)
    return np.asarray(table.weights * most > MOST_SUM_W)


@dataclass(slots=True)
class _Room:
    """Memory for hourly rows, nothing but in the hours in which rows of that many lanes a block were written."""

    values: Floats
    width: int = 0

    def of(self, width: int, *, hourly: bool) -> Floats:
        """The memory for blocks of so many lanes; `hourly` where some rows will not be written in all hours."""
        if hourly and width != self.width:
            self.values[:] = 0.0
            self.width = width
        return self.values


class Runs:
    """The years of many homes, and room for the hourly rows they have for themselves."""

    def __init__(self, recipe: PortfolioPlan) -> None:
        self._recipe = recipe
        rows = WIDE * len(recipe.own) * recipe.weather.n_hours
        self._rooms = [_Room(np.zeros(rows)) for _ in range(2)]

    def years(self, table: HomeTable, lowered: Lowered, power: Ints) -> list[AnnualTotals]:
        """Run all homes under every option, and add their weighted electricity to `power` (options, n).

        Homes whose sources are called in the same order stand side by side.
        """
        recipe, found = self._recipe, []
        orders = [_orders(recipe, at, table, lowered) for at in range(len(recipe.options))]
        places: list[list[Ints]] = [[] for _ in orders]
        years: list[list[AnnualTotals]] = [[] for _ in orders]
        sorted_homes = np.lexsort([groups for groups, _ in orders])
        width = WIDE if recipe.own else len(table)
        for lanes in (sorted_homes[first : first + width] for first in range(0, len(table), width)):
            rows = self._inputs(lowered, lanes, self._rooms[0])
            for at, (groups, shared) in enumerate(orders):
                for group in np.unique(groups[lanes]).tolist():
                    same = lanes[groups[lanes] == group]
                    own = rows if len(same) == len(lanes) else self._inputs(lowered, same, self._rooms[1])
                    places[at].append(same)
                    years[at].append(self._run(at, table, lowered, same, own, shared[group], power[at]))
        for some, where in zip(years, places, strict=True):
            back = np.argsort(np.concatenate(where))
            whole = (np.concatenate([getattr(one, name) for one in some]) for name in AnnualTotals.__slots__)
            found.append(AnnualTotals(*(values[back] for values in whole)))
        return found

    def _inputs(self, lowered: Lowered, lanes: Ints, room: _Room) -> LaneInputs:
        """The hourly rows of some homes, which are made when the kernel asks for them."""
        shape, hourly = (self._recipe.weather.n_hours, len(self._recipe.own)), any(row is None for row in lowered.rows)

        def make(width: int) -> Floats:
            blocks = -(-len(lanes) // width)
            found = room.of(width, hourly=hourly)[: blocks * shape[0] * shape[1] * width].reshape(blocks, *shape, width)
            for at, some in enumerate(found):
                picked = np.minimum(np.arange(at * width, (at + 1) * width), len(lanes) - 1)
                _put_hours(self._recipe, lowered, lanes[picked], some)
            return found

        return LaneInputs(np.empty((len(lanes), 0, 0)), np.empty(0, dtype=np.int64), make=make)

    def _run(
        self, at: int, table: HomeTable, lowered: Lowered, same: Ints, own: LaneInputs, shared: Shared, power: Ints
    ) -> AnnualTotals:
        """Run homes whose sources are called in one order."""
        ready, point = self._recipe.options[at], lowered.point
        scalars = np.repeat(np.array([one.scalars for one in ready.sources])[:, :, None], len(same), axis=2)
        for mine, number in zip(scalars, ready.numbers, strict=True):
            slope = lowered.offers[number].scalars.get("slope_w_k") if number in lowered.offers else None
            if slope is not None:
                mine[k.SLOPE] = slope[same]
        limit = np.broadcast_to(point.water.limit_w, (len(table),))
        lanes = lanes_of(
            lowered.scalars[:, same], scalars, len(same), loss_w_k=point.loss_w_k[same], shift_k=point.balance_c[same],
            indoor_temperature_c=point.setpoint_c[same], limit_w=limit[same], steps=table.weights[same] / STEP_W,
        )  # fmt: skip
        rows = replace(own, at=ready.own_at) if (ready.own_at >= 0).any() else None
        return run_lanes(shared, lanes, own=rows, power=power, all_of=MANY)


def _put_hours(recipe: PortfolioPlan, lowered: Lowered, lanes: Ints, into: Floats) -> None:
    """Write the hourly rows of some homes as the kernel takes them (n, rows, lanes); hours in which a row is nothing stay."""
    assert recipe.moments is not None
    of = recipe.moments.of
    known = [row[:, lanes] for row in lowered.rows if row is not None]
    if len(known) == len(lowered.rows):
        np.take(np.stack(known, axis=1), of, axis=0, out=into, mode="clip")
        return
    for place, values in enumerate(lowered.rows):
        if values is not None:
            into[:, place] = values[:, lanes].take(of, axis=0)
    sources = {n: s for one in recipe.options for n, s in zip(one.numbers, one.option.sources, strict=True)}
    for number, offers in lowered.offers.items():
        if offers.by_hour is not None:
            hours = offers.by_hour.hours
            for name, values in zip(offers.by_hour.names, offers.by_hour.values(lanes), strict=True):
                allowed = _allowed(recipe, sources[number])[hours, None] if name == "capacity" else 1.0
                into[hours, recipe.own.index((number, ROW_OF[name]))] = values * allowed


def _orders(recipe: PortfolioPlan, at: int, table: HomeTable, lowered: Lowered) -> tuple[Ints, list[Shared]]:
    """Which homes call their sources in the same order at every hour (homes,), and what each such group shares."""
    ready = recipe.options[at]
    if ready.option.rule == "fixed" or all(ready.fixed):
        return np.zeros(len(table), dtype=np.int64), [ready.shared]
    order = _order_at_moments(recipe, ready, table, lowered)
    groups: dict[bytes, int] = {}
    each = np.ascontiguousarray(np.moveaxis(order, -1, 0))
    known = np.array([groups.setdefault(one.tobytes(), len(groups)) for one in each], dtype=np.int64)
    kinds = (np.frombuffer(key, dtype=np.int8).reshape(order.shape[:2]) for key in groups)
    return known, [_shared(recipe, at, one) for one in kinds]


def _shared(recipe: PortfolioPlan, at: int, order: NDArray[np.int8]) -> Shared:
    """What homes share whose sources are called in this order (sources, moments)."""
    assert recipe.moments is not None
    ready, key = recipe.options[at], (at, order.tobytes())
    if key not in recipe.orders:
        hourly = order[:, recipe.moments.of].astype(np.int64)
        found = ready.shared
        if not np.array_equal(hourly, ready.order):
            found = shared_by_homes(recipe.common, ready.offers, hourly, ready.shares, even=recipe.even)
            # hourly rows that are the same in any order are kept once
            rows = {name: getattr(ready.shared, name) for name in ("hours", "degrees", "source_hours", "per_heat")}
            found = replace(found, **rows)
        if len(recipe.orders) >= MOST_ORDERS:
            return found
        recipe.orders[key] = found
    return recipe.orders[key]


def _order_at_moments(
    recipe: PortfolioPlan, ready: PreparedOption, table: HomeTable, lowered: Lowered
) -> NDArray[np.int8]:
    """Order of each home's sources at each moment (sources, moments, homes)."""
    assert recipe.moments is not None
    first, seen = recipe.moments.first, []
    shape = len(first), len(table)
    for offer, number in zip(ready.offers, ready.numbers, strict=True):
        own = lowered.offers[number].by_moment if number in lowered.offers else {}
        heat = own.get("heat_per_input", offer.heat_per_input[first][:, None])
        price = _price_per_j(recipe, offer, table)
        heat, price = (np.broadcast_to(one, shape).ravel() for one in (heat, price))
        seen.append(replace(offer, capacity_w=heat, heat_per_input=heat, price_per_j=price))
    return RULES[ready.option.rule](seen).astype(np.int8).reshape(len(seen), *shape)


def _price_per_j(recipe: PortfolioPlan, offer: Offer, table: HomeTable) -> Floats:
    """Price of a source's energy at each moment for each home (moments, homes or 1)."""
    assert recipe.moments is not None
    own = table.prices.get(offer.price_key)
    if own is None or own.per_j is None:
        return offer.price_per_j[recipe.moments.first][:, None]
    tariff = recipe.common.tariffs[offer.price_key]
    return prices_of_many_per_j(tariff, recipe.common.calendar, own.per_j, recipe.moments.first)
