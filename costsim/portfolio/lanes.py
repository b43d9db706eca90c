"""Homes side by side: each home is a lane of the kernel, with hourly rows of its own only where it differs from the study."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k
from costsim.engine.batch import ELECTRICITY
from costsim.engine.block import AnnualTotals, lanes_of, run_lanes
from costsim.engine.lane_inputs import LaneInputs, kinds_of
from costsim.engine.lower import (
    LoweredStudy,
    Point,
    house_rows,
    house_scalars,
    source_row,
    steady_house,
    with_house,
)
from costsim.engine.prices import prices_seen
from costsim.errors import Fault, InputError
from costsim.physics.fuels import co2_kg
from costsim.portfolio.costs import AS_TYPED, costs_of, own_tariff
from costsim.portfolio.plan import (
    CO2,
    COST,
    SHORT,
    SHORT_HOURS,
    WORST,
    PortfolioPlan,
    PreparedOption,
    PreparedSource,
    shared_by_homes,
    taken,
)
from costsim.portfolio.rows import Home
from costsim.portfolio.table import HomeTable
from costsim.study.rules import RULES
from costsim.units.quantity import KWH_J

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Order = NDArray[np.int64]
STEP_W = 2.0**-20
"""Electricity is summed in whole steps of about a microwatt, so that sums do not depend on the order of homes."""
MOST_SUM_W = 4e12


@dataclass(frozen=True, slots=True)
class Lowered:
    """One home, by option: what the kernel takes of its sources, and their order where it is not the study's."""

    first: Point
    scalars: Floats
    sources: tuple[tuple[PreparedSource, ...], ...]
    orders: tuple[Order | None, ...]


@dataclass(frozen=True, slots=True)
class Workspace:
    """Room for the hourly rows that some homes have for themselves (homes, rows, n), and to put them side by side."""

    rows: Floats
    room: Floats

    @classmethod
    def of(cls, recipe: PortfolioPlan, homes: int) -> Workspace:
        """Room for so many homes, which must be a multiple of a block's lanes."""
        rows = np.empty((homes, len(recipe.house) + len(recipe.own), recipe.weather.n_hours))
        return cls(rows, np.empty(rows.size))


def lower_home(recipe: PortfolioPlan, home: Home, own: Floats) -> Lowered:
    """Lower one home beside what all share.

    Parameters
    ----------
    recipe : PortfolioPlan
    home : Home
    own : array (rows, n)
        Gets its own hourly rows.

    Raises
    ------
    InputError
        Its house and the study do not fit each other, or its electricity is more than whole steps can hold.
    """
    options = recipe.options
    found: tuple[tuple[PreparedSource, ...], ...] = tuple(ready.sources for ready in options)
    orders: tuple[Order | None, ...] = (None,) * len(options)
    first = steady_house(recipe.common, home.case) if recipe.steady else None
    if first is None:
        common = with_house(recipe.common, home.case)
        if recipe.looks_at_prices:
            common = _with_prices(common, home)
        known = _asked(recipe, common)
        found = tuple(_of(ready, known) for ready in options)
        orders = tuple(_order(ready, one) for ready, one in zip(options, found, strict=True))
        _put_rows(recipe, common, known, own)
        first = Point(common.loss_w_k, float(common.setpoint_c[0]), float(common.balance_c[0]), common.water)
    most_w = max(sum(one.most_w for one in sources) for sources in found) + first.water.pump_w
    if home.weight * most_w > MOST_SUM_W:
        raise InputError(Fault("weight", "the homes could take more than 4,000 GW", "give smaller weights"))
    return Lowered(first, house_scalars(recipe.common, home.case, first), found, orders)


def _asked(recipe: PortfolioPlan, common: LoweredStudy) -> dict[int, PreparedSource]:
    """Every source that is not the same for all, as it offers itself to this house, by number."""
    known: dict[int, PreparedSource] = {}
    for ready in recipe.options:
        for source, number, fixed in zip(ready.option.sources, ready.numbers, ready.fixed, strict=True):
            if not fixed and number not in known:
                known[number] = taken(source.offer(common.surroundings))
    return known


def _of(ready: PreparedOption, known: dict[int, PreparedSource]) -> tuple[PreparedSource, ...]:
    return tuple(known.get(number, one) for number, one in zip(ready.numbers, ready.sources, strict=True))


def _order(ready: PreparedOption, found: tuple[PreparedSource, ...]) -> Order | None:
    """Order of this home's sources; None where it is the study's."""
    if ready.option.rule == "fixed" or all(ready.fixed):
        return None
    order = RULES[ready.option.rule]([one.offer for one in found])
    return None if np.array_equal(order, ready.order) else order


def _put_rows(recipe: PortfolioPlan, common: LoweredStudy, known: dict[int, PreparedSource], own: Floats) -> None:
    """Write the hourly rows of house and sources that are this home's own."""
    if recipe.house:
        hours = house_rows(common)[1]
        for into, row in zip(own, recipe.house, strict=False):
            into[:] = common.balance_c - common.weather.outdoor_c if row == k.DEGREES else hours[row]
    for into, (number, row) in zip(own[len(recipe.house) :], recipe.own, strict=True):
        source_row(known[number].offer, row, into)


def _with_prices(common: LoweredStudy, home: Home) -> LoweredStudy:
    """What sources and rules see of this home's prices."""
    tariffs = {key: own_tariff(one, home.prices.get(key, AS_TYPED)) for key, one in common.tariffs.items()}
    prices = prices_seen(home.case, tariffs, common.calendar)
    return replace(common, surroundings=replace(common.surroundings, price_per_j=prices))


def run_homes(
    recipe: PortfolioPlan, homes: Sequence[Home], lowered: Sequence[Lowered], bench: Workspace, power: Ints
) -> list[AnnualTotals]:
    """Run the years of some homes.

    Parameters
    ----------
    recipe : PortfolioPlan
    homes : sequence of Home
    lowered : sequence of Lowered
    bench : Workspace
        Their own hourly rows, by `lower_home`.
    power : array of int (options, n)
        The weighted electricity of all is added here, in steps of `STEP_W`.

    Returns
    -------
    list of AnnualTotals
        One an option.
    """
    house, found = _house_side(recipe, homes, lowered), []
    rows = LaneInputs(bench.rows[: len(homes)], np.empty(0, dtype=np.int64), room=bench.room)
    for at, ready in enumerate(recipe.options):
        groups = _alike(ready, [one.sources[at] for one in lowered], [one.orders[at] for one in lowered])
        years = [_run_alike(recipe, at, house, [lowered[i] for i in same], same, rows, power[at]) for same in groups]
        found.append(together(years, [i for same in groups for i in same]))
    return found


def together(parts: Sequence[AnnualTotals], places: Sequence[int] | None = None) -> AnnualTotals:
    """Put years into one, each home at its place."""
    if len(parts) == 1:
        return parts[0]
    order = slice(None) if places is None else np.argsort(places)
    return AnnualTotals(
        *(np.concatenate([getattr(one, name) for one in parts])[order] for name in AnnualTotals.__slots__)
    )


def rows_of_homes(recipe: PortfolioPlan, homes: HomeTable, years: Sequence[AnnualTotals]) -> Floats:
    """The table's rows (homes, columns) from the years of all homes, one an option."""
    values = np.zeros((len(homes), len(recipe.columns)))
    for ready, found in zip(recipe.options, years, strict=True):
        _put(values, ready, found, recipe.common)
        values[:, ready.sheet.last.start + COST] = costs_of(recipe, ready, homes, found.energy_j)
    return values


@dataclass(frozen=True, slots=True)
class _House:
    """House and water of homes, by home: scalars (SCALARS, homes), and what stands in no hourly row."""

    scalars: Floats
    loss_w_k: Floats
    shift_k: Floats
    indoor_temperature_c: Floats
    limit_w: Floats
    steps: Floats


def _house_side(recipe: PortfolioPlan, homes: Sequence[Home], lowered: Sequence[Lowered]) -> _House:
    firsts = [one.first for one in lowered]
    return _House(
        scalars=np.stack([one.scalars for one in lowered], axis=1),
        loss_w_k=np.array([one.loss_w_k for one in firsts]),
        shift_k=np.array([one.balance_c if recipe.even else 0.0 for one in firsts]),
        indoor_temperature_c=np.array([one.setpoint_c if recipe.even else 0.0 for one in firsts]),
        limit_w=np.array([one.water.limit_w for one in firsts]),
        steps=np.array([home.weight for home in homes]) / STEP_W,
    )


def _alike(
    ready: PreparedOption, sources: Sequence[tuple[PreparedSource, ...]], orders: Sequence[Order | None]
) -> list[list[int]]:
    """Homes that can stand side by side: the same kinds of source in the same order at every hour."""
    if all(ready.fixed):
        return [list(range(len(sources)))]
    groups: dict[Any, list[int]] = {}
    for i, (found, order) in enumerate(zip(sources, orders, strict=True)):
        groups.setdefault((_kinds(found), b"" if order is None else order.tobytes()), []).append(i)
    return list(groups.values())


def _kinds(sources: Sequence[PreparedSource]) -> tuple[int, ...]:
    return tuple(kinds_of(np.array([one.scalars for one in sources])))


def _run_alike(
    recipe: PortfolioPlan,
    at: int,
    house: _House,
    lowered: Sequence[Lowered],
    same: list[int],
    own: LaneInputs,
    power: Ints,
) -> AnnualTotals:
    """Run homes side by side."""
    ready, first = recipe.options[at], lowered[0]
    shared, sources, order = ready.shared, first.sources[at], first.orders[at]
    if order is not None or (not all(ready.fixed) and _kinds(sources) != _kinds(ready.sources)):
        offers = [one.offer for one in sources]
        shared = shared_by_homes(
            recipe.common, offers, ready.order if order is None else order, ready.shares, even=recipe.even
        )
    scalars = np.moveaxis(np.array([[one.scalars for one in home.sources[at]] for home in lowered]), 0, -1)
    lanes = lanes_of(
        house.scalars[:, same], scalars, len(same), loss_w_k=house.loss_w_k[same], shift_k=house.shift_k[same],
        indoor_temperature_c=house.indoor_temperature_c[same], limit_w=house.limit_w[same], steps=house.steps[same],
    )  # fmt: skip
    if len(same) < len(own.rows):
        own = LaneInputs(own.rows[same], own.at)
    rows = replace(own, at=ready.own_at) if (ready.own_at >= 0).any() else None
    return run_lanes(shared, lanes, own=rows, power=power, all_of=MANY)


MANY = 1 << 20
"""A table of homes is always worth a compiled form."""


def _period_rows(ready: PreparedOption, common: LoweredStudy) -> Floats:
    """Which hourly rows of each source's tariff part its energy among the periods (sources + 1, rows), as 0 or 1."""
    keys = [*(offer.price_key for offer in ready.offers), ELECTRICITY]
    counts = np.array([common.tariffs[key].n_periods if key in common.tariffs else 1 for key in keys])
    return (np.arange(ready.shares.shape[1]) < counts[:, None]).astype(float)


def _put(values: Floats, ready: PreparedOption, years: AnnualTotals, common: LoweredStudy) -> None:
    """Write the columns of an option, but for costs."""
    sheet, sums = ready.sheet, years.sums
    energy = years.energy_j * _period_rows(ready, common)[:, None, :]
    # one after the other, so that a home's sum does not depend on how many stand beside it
    inputs = energy.reshape(*energy.shape[:2], -1).cumsum(axis=-1)[..., -1]
    values[:, sheet.first] = sums[:, k.SUM_DEMAND]
    values[:, sheet.heat] = sums[:, k.SUMS :]
    used = {key: np.zeros(len(values)) for key in sheet.keys}
    used[ELECTRICITY] += inputs[:, -1]
    co2 = co2_kg(inputs[:, -1], common.surroundings.co2_kg_per_j[ELECTRICITY])
    for i, offer in enumerate(ready.offers):
        if offer.price_key in used:
            used[offer.price_key] += inputs[:, i]
        co2 = co2 + (0.0 if offer.biogenic else co2_kg(inputs[:, i], offer.co2_kg_per_j))
    values[:, sheet.used] = np.stack(list(used.values()), axis=1) / KWH_J
    last = sheet.last.start
    values[:, last + SHORT], values[:, last + SHORT_HOURS] = sums[:, k.SUM_SHORT] / KWH_J, sums[:, k.SHORT_HOURS]
    values[:, last + WORST], values[:, last + CO2] = sums[:, k.WORST_SHORT] / 1e3, co2
