"""Homes lowered in arrays: what the kernel takes of all homes of a table, no Python for each of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from costsim.engine import layout as k
from costsim.engine.houses import LoweredHouses, lower_houses
from costsim.engine.lane_inputs import LaneInputs
from costsim.engine.lower import Point
from costsim.portfolio.plan import ROW_OF, PortfolioPlan, most_electric_w
from costsim.portfolio.table import HomeTable
from costsim.sources import HeatSource
from costsim.sources.base import may_run
from costsim.sources.houses import HouseOffers
from costsim.study.case import Case
from costsim.units.arrays import Bools, Floats, Ints

STEP_W = 2.0**-20
"""Electricity is summed in whole steps of about a microwatt, so that sums do not depend on the order of homes."""
MOST_SUM_W = 4e12


@dataclass(frozen=True, slots=True)
class Lowered:
    """Homes in arrays: house and water, what the sources that follow the house offer them, and the hourly rows they have for themselves.

    `offers` goes by number of the source; `own` has the rows of the house, then those of `PortfolioPlan.own`.
    """

    point: Point
    scalars: Floats
    offers: Mapping[int, HouseOffers]
    own: LaneInputs


def with_houses(table: HomeTable, case: Case) -> Case:
    """The study with the houses of all homes, whose figures are arrays (homes,), that of the set-point always."""
    warm = table.house.get("indoor_temperature_c", case.house.indoor_temperature_c)
    own = {**table.house, "indoor_temperature_c": np.broadcast_to(np.asarray(warm, dtype=float), (len(table),))}
    return case.model_copy(update={"house": case.house.model_copy(update=own)})


def lower_table(recipe: PortfolioPlan, table: HomeTable) -> Lowered:
    """Lower all homes of a table.

    Parameters
    ----------
    recipe : PortfolioPlan
        Whose homes are `in_arrays`.
    table : HomeTable
    """
    assert recipe.moments is not None
    houses = lower_houses(recipe.common, with_houses(table, recipe.case), recipe.moments, even=recipe.even)
    offers: dict[int, HouseOffers] = {}
    for number, source in _followers(recipe).items():
        house_offers = source.for_houses(houses.houses)
        if house_offers is not None:
            allowed = may_run(source, recipe.weather, recipe.common.calendar)[recipe.moments.first][:, None]
            by_moment = {
                name: row * allowed if name == "capacity" else row for name, row in house_offers.by_moment.items()
            }
            offers[number] = replace(house_offers, by_moment=by_moment)
    return Lowered(houses.point, houses.scalars, offers, _own(recipe, houses, offers, len(table)))


def _followers(recipe: PortfolioPlan) -> dict[int, HeatSource]:
    """Sources that follow the house, by number."""
    wanted = {number for number, _ in recipe.own}
    return {
        number: source
        for ready in recipe.options
        for number, source in zip(ready.numbers, ready.option.sources, strict=True)
        if number in wanted
    }


def _own(recipe: PortfolioPlan, houses: LoweredHouses, offers: Mapping[int, HouseOffers], homes: int) -> LaneInputs:
    """Hourly rows of the homes: hours of one moment share an entry."""
    assert recipe.moments is not None
    of = recipe.moments.of
    rows = _Entries(len(of), len(recipe.house) + len(recipe.own), homes)
    for place, row in enumerate(recipe.house):
        if row in houses.rows:
            rows.put(place, *houses.rows[row])
    for place, (number, row) in enumerate(recipe.own, len(recipe.house)):
        name, offer = NAME_OF[row], offers[number]
        if name in offer.by_moment:
            values = offer.by_moment[name]
            rows.put(place, 1.0 / values if row == k.PER_HEAT else values, of)
        elif offer.by_hour is not None:
            rows.put(place, offer.by_hour.values[name], np.arange(len(offer.by_hour.hours)), offer.by_hour.hours)
    return rows.whole()


class _Entries:
    """A table of entries that grows row by row; its first one is nothing."""

    def __init__(self, hours: int, rows: int, homes: int) -> None:
        self._of = np.zeros((hours, rows), dtype=np.int32)
        self._parts, self._count = [np.zeros((1, homes))], 1

    def put(self, place: int, values: Floats, of: Ints, hours: Ints | slice = slice(None)) -> None:
        """Let a row take values (entries, homes), by their number in all hours or in some."""
        self._of[hours, place] = self._count + of
        self._parts.append(values)
        self._count += len(values)

    def whole(self) -> LaneInputs:
        """The table; which of house and sources has which row is the option's."""
        return LaneInputs(np.concatenate(self._parts), np.empty(0, dtype=np.int64), self._of)


NAME_OF = {row: name for name, row in ROW_OF.items()}


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
