"""Homes run as lanes of the kernel, those whose sources are called in one order side by side."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k
from costsim.engine.block import AnnualTotals, run_lanes
from costsim.engine.lane_inputs import LaneInputs
from costsim.engine.lanes import lanes_of
from costsim.engine.shared import Shared
from costsim.portfolio.costs import AS_TYPED, own_tariff
from costsim.portfolio.lowered import STEP_W, Lowered
from costsim.portfolio.plan import PortfolioPlan, PreparedOption, kernel_offers, shared_by_homes
from costsim.portfolio.table import HomeTable, OwnPrice
from costsim.sources import Offer
from costsim.study.rules import RULES
from costsim.study.services import ELECTRICITY
from costsim.tariffs.bill import blocks_reached, hourly_price_per_j, house_profile_j, prices_of_many_per_j
from costsim.tariffs.charges import Tariff
from costsim.units.arrays import Floats, Ints

MOST_ORDERS = 256
"""Orders of sources kept with what homes share under them."""
MANY = 1 << 20
"""A table of homes is always worth a compiled form."""


def years_of(recipe: PortfolioPlan, table: HomeTable, lowered: Lowered, power: Ints) -> list[AnnualTotals]:
    """Run all homes under every option, and add their weighted electricity to `power` (options, n).

    Returns
    -------
    list of AnnualTotals
        One an option, in the order of the table.
    """
    return [_years(recipe, at, table, lowered, power[at]) for at in range(len(recipe.options))]


def _years(recipe: PortfolioPlan, at: int, table: HomeTable, lowered: Lowered, power: Ints) -> AnnualTotals:
    groups, shared = _orders(recipe, at, table, lowered)
    if len(shared) == 1:
        return _run(recipe, at, table, lowered, np.arange(len(table)), lowered.own, shared[0], power)
    places = [np.flatnonzero(groups == group) for group in range(len(shared))]
    years = [
        _run(recipe, at, table, lowered, same, lowered.own.pick(same), order, power)
        for same, order in zip(places, shared, strict=True)
    ]
    back = np.argsort(np.concatenate(places))
    whole = (np.concatenate([getattr(part, name) for part in years]) for name in AnnualTotals.__slots__)
    return AnnualTotals(*(values[back] for values in whole))


def _run(
    recipe: PortfolioPlan,
    at: int,
    table: HomeTable,
    lowered: Lowered,
    same: Ints,
    own: LaneInputs,
    shared: Shared,
    power: Ints,
) -> AnnualTotals:
    """Run homes whose sources are called in one order."""
    ready, point, even = recipe.options[at], lowered.point, recipe.even
    scalars = np.repeat(np.array([source.scalars for source in ready.sources])[:, :, None], len(same), axis=2)
    for mine, number in zip(scalars, ready.numbers, strict=True):
        slope = lowered.offers[number].scalars.get("slope_w_k") if number in lowered.offers else None
        if slope is not None:
            mine[k.SLOPE] = slope[same]
    limit = np.broadcast_to(point.water.limit_w, (len(table),))
    other = table.other_electricity_j(recipe.case)[same] if recipe.own_use else 1.0
    # what of the house is no hourly row of its own
    steady = {"shift_k": point.balance_c[same], "indoor_temperature_c": point.setpoint_c[same]} if even else {}
    lanes = lanes_of(
        lowered.scalars[:, same], scalars, len(same), loss_w_k=point.loss_w_k[same], limit_w=limit[same],
        steps=table.weights[same] / STEP_W, other=other, **steady,
    )  # fmt: skip
    rows = replace(own, at=ready.own_at) if (ready.own_at >= 0).any() else None
    return run_lanes(shared, lanes, own=rows, power=power, all_of=MANY)


def _orders(recipe: PortfolioPlan, at: int, table: HomeTable, lowered: Lowered) -> tuple[Ints, list[Shared]]:
    """Which homes call their sources in the same order at every hour (homes,), and what each such group shares."""
    ready = recipe.options[at]
    if ready.option.rule == "fixed" or all(ready.fixed):
        return np.zeros(len(table), dtype=np.int64), [ready.shared]
    order = _order_at_moments(recipe, ready, table, lowered)
    groups: dict[bytes, int] = {}
    each = np.ascontiguousarray(np.moveaxis(order, -1, 0))
    known = np.array([groups.setdefault(hours.tobytes(), len(groups)) for hours in each], dtype=np.int64)
    kinds = (np.frombuffer(key, dtype=np.int8).reshape(order.shape[:2]) for key in groups)
    return known, [_shared(recipe, at, kind) for kind in kinds]


def _shared(recipe: PortfolioPlan, at: int, order: NDArray[np.int8]) -> Shared:
    """What homes share whose sources are called in this order (sources, moments)."""
    assert recipe.moments is not None
    ready, key = recipe.options[at], (at, order.tobytes())
    if key not in recipe.orders:
        hourly = order[:, recipe.moments.of].astype(np.int64)
        shared = ready.shared
        if not np.array_equal(hourly, ready.order):
            shared = shared_by_homes(
                recipe.common,
                kernel_offers(recipe, ready.option, ready.offers),
                hourly,
                ready.shares,
                even=recipe.even,
                own_use=recipe.own_use,
            )
            # hourly rows that are the same in any order are kept once
            rows = {name: getattr(ready.shared, name) for name in ("hours", "degrees", "source_hours", "per_heat")}
            shared = replace(shared, **rows)
        if len(recipe.orders) >= MOST_ORDERS:
            return shared
        recipe.orders[key] = shared
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
        heat, price = (np.broadcast_to(row, shape).ravel() for row in (heat, price))
        seen.append(replace(offer, capacity_w=heat, heat_per_input=heat, price_per_j=price))
    return RULES[ready.option.rule](seen).astype(np.int8).reshape(len(seen), *shape)


def _price_per_j(recipe: PortfolioPlan, offer: Offer, table: HomeTable) -> Floats:
    """Price of a source's energy at each moment for each home (moments, homes or 1)."""
    assert recipe.moments is not None
    key, common, first = offer.price_key, recipe.common, recipe.moments.first
    own, tariff = table.prices.get(key, AS_TYPED), common.tariffs.get(key)
    reached = _reached(recipe, tariff, table) if key == ELECTRICITY else None
    if tariff is None or (own.per_j is None and reached is None):
        return offer.price_per_j[first][:, None]
    if own.per_j is not None and not tariff.blocks and not tariff.extra:
        return prices_of_many_per_j(tariff, common.calendar, own.per_j, first)
    # blocks and typed charges are asked for one price at a time
    each = [None] * len(table) if own.per_j is None else own.per_j.tolist()
    blocks = reached or [(1,) * 12] * len(table)
    prices = [
        hourly_price_per_j(own_tariff(tariff, OwnPrice(price)), common.calendar, block)[first]
        for price, block in zip(each, blocks, strict=True)
    ]
    return np.stack(prices, axis=1)


def _reached(recipe: PortfolioPlan, tariff: Tariff | None, table: HomeTable) -> list[tuple[int, ...]] | None:
    """Block of each month that each home's other electricity has reached; None where there are no blocks."""
    clock, years, case = recipe.common.calendar, table.house.get("other_electricity_j_year"), recipe.case
    if tariff is None or not tariff.blocks or (years is None and not case.other_electricity_known):
        return None
    if years is None:
        return [blocks_reached(tariff, clock, case.other_electricity_j(clock))] * len(table)
    return [blocks_reached(tariff, clock, house_profile_j(year, clock)) for year in years.tolist()]
