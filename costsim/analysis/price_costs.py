"""What an option comes to at many prices: a year's bills, and all years of the study period."""

from __future__ import annotations

import functools
import math
from bisect import bisect
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from costsim.analysis.cash_flow import prices_rise
from costsim.analysis.known import known_plant, known_run
from costsim.analysis.lifecycle import Worth, worth_of
from costsim.engine.batch import BatchResult, cost_of_use, run_plant, use_of
from costsim.engine.generation import seen_by_rule
from costsim.engine.lower import LoweredOption, LoweredStudy, lower_option, priced
from costsim.physics.fuels import co2_kg
from costsim.study.case import Option
from costsim.study.rules import RULES
from costsim.study.services import ELECTRICITY
from costsim.tariffs.bill import price_and_fixed, price_month_period
from costsim.units.arrays import Floats, Ints

Money = tuple[Floats, Floats | None]
"""Cost of a year and life-cycle cost at so many prices, each (n,); None where no first cost of the option is given."""


class OptionCosts:
    """What an option comes to at any prices.

    Prices move nothing in a year but the order in which sources are called, so each order is run once, whatever the number of
    prices that give it, and only billed anew; a rule that never looks at prices has one.

    Parameters
    ----------
    common : LoweredStudy
    option : Option
    """

    def __init__(self, common: LoweredStudy, option: Option) -> None:
        self.option = option
        self.own, self.plant = known_plant(common, option)
        self.known: dict[bytes, _Year] = {}
        self.orders: dict[tuple[str | float, ...], _Orders] = {}

    @functools.cached_property
    def only(self) -> _Year | None:
        """Its year, where no price changes the order of its sources."""
        return self._run(b"", self.plant) if self.option.rule == "fixed" else None

    @property
    def today(self) -> BatchResult:
        """Its year at today's prices."""
        return (self.only or self._year(self.plant.order)).run

    def at(self, factors: Mapping[str, Floats], *, life: bool = True) -> Money:
        """Its costs at factors on price tables (n,); those over the years where they are asked for."""
        if self.only is not None:
            return self.only.money(factors, life=life)
        number = len(next(iter(factors.values())))
        alike: dict[bytes, list[int]] = {}
        for i, name in enumerate(self._names(factors, number)):
            alike.setdefault(name, []).append(i)
        year = np.empty(number)
        over = np.empty(number) if life and self.option.first_cost_given else None
        for name, at in alike.items():
            mine, later = self.known[name].money({key: values[at] for key, values in factors.items()}, life=life)
            year[at] = mine
            if over is not None and later is not None:
                over[at] = later
        return year, over

    def paid_keys(self) -> set[str]:
        """Price tables that it pays, electricity for pumps and fans among them."""
        offers = self.plant.offers
        fans = self.own.water.pump_w > 0 or any(offer.auxiliary_w > 0 or offer.auxiliary_share > 0 for offer in offers)
        return {*self.option.price_keys(self.own.case.prices), *((ELECTRICITY,) if fans else ())}

    def _names(self, factors: Mapping[str, Floats], number: int) -> list[bytes]:
        """Names of the orders at factors on price tables.

        Of each two sources the dearer by the hour changes at most once as one price rises and the others stay, since an hour's price
        is a line in its factor: between two factors with one order there is no other.
        """
        *still, moving = factors
        rows: dict[tuple[float, ...], list[int]] = {}
        for i in range(number):
            rows.setdefault(tuple(float(factors[key][i]) for key in still), []).append(i)
        names = [b""] * number
        for row, at in rows.items():
            known = self.orders.setdefault((moving, *still, *row), _Orders())
            asked = factors[moving][at]

            def run(value: float, row: tuple[float, ...] = row) -> bytes:
                order = self._order({**dict(zip(still, row, strict=True)), moving: value})
                return self._year(order).name

            for place, name in zip(at, known.names(asked, run), strict=True):
                names[place] = name
        return names

    def _order(self, factors: dict[str, float]) -> Ints:
        """The order in which its sources are called at some prices (sources, n)."""
        own, prices = self.own, priced(self.own, factors).surroundings.price_per_j
        offers = [
            replace(offer, price_per_j=prices.get(offer.price_key, offer.price_per_j)) for offer in self.plant.offers
        ]
        return RULES[self.option.rule](seen_by_rule(own.case, own.weather, own.calendar, own.demand_w, offers))

    def _year(self, order: Ints) -> _Year:
        """The year in an order, run when it is first asked for."""
        name = order.tobytes()
        if name not in self.known:
            today = order is self.plant.order
            plant = self.plant if today else replace(self.plant, order=np.ascontiguousarray(order))
            self.known[name] = self._run(name, plant)
        return self.known[name]

    def _run(self, name: bytes, plant: LoweredOption) -> _Year:
        run = (known_run if plant is self.plant else run_plant)(self.own, plant)
        return _Year(name, self.own, self.option, run)


class _Orders:
    """Orders at factors on one price, told by those on both sides where these are the same."""

    def __init__(self) -> None:
        self.factors: list[float] = []
        self.named: dict[float, bytes] = {}

    def names(self, values: Floats, run: Callable[[float], bytes]) -> list[bytes]:
        """The order at each factor; `run` finds one."""
        apart = np.unique(values).tolist()
        spans = [(0, len(apart) - 1)]
        while spans:
            first, last = spans.pop()
            for at in (first, last):
                self._ask(apart[at], run)
            middle = (first + last) // 2
            if last - first > 1:
                spans += [(first, middle), (middle, last)]
        return [self.named[value] for value in values.tolist()]

    def _ask(self, value: float, run: Callable[[float], bytes]) -> None:
        if value in self.named:
            return
        at = bisect(self.factors, value)
        below, above = (
            (self.named[factor] for factor in self.factors[at - 1 : at + 1])
            if 0 < at < len(self.factors)
            else (b"", b"")
        )
        self.named[value] = below if below and below == above else run(value)
        self.factors.insert(at, value)


class _Year:
    """A year as run, and what it comes to: only the bills of what moved are written anew. A price's whole path moves by its factor."""

    def __init__(self, name: bytes, own: LoweredStudy, option: Option, run: BatchResult) -> None:
        self.name, self.own, self.option, self.run = name, own, option, run
        self.services = [key for key in dict.fromkeys(run.keys) if key in own.tariffs]
        both = option.first_cost_given and prices_rise(own.case.economics)
        self.price = price_and_fixed if both else price_month_period
        self.uses = {key: use_of(own, run, key) for key in self.services}
        self.known: dict[tuple[str, bytes], Floats] = {}
        self.worth: Worth | None = None

    def money(self, factors: Mapping[str, Floats], *, life: bool = True) -> Money:
        """Its costs at factors on price tables (n,); those over the years where they are asked for."""
        for key in self.services:
            bill_together(key, [(self, factors.get(key, ONE))])
        bills = {key: self.bill(key, factors.get(key, ONE)) for key in self.services}
        number = len(next(iter(factors.values())))
        year = np.zeros(number)
        for bill in bills.values():
            year += bill[0] if self.price is price_and_fixed else bill
        return year, self._over_years(bills, number) if life and self.option.first_cost_given else None

    def bill(self, key: str, factor: Floats) -> Floats:
        """A service's bill as it was worked out for factors on its price (n,); with what of it buys no energy (2, n) where prices rise."""
        return self.known[key, factor.tobytes()]

    def _over_years(self, bills: Mapping[str, Floats], number: int) -> Floats:
        worth = self.worth or self._worth()
        worths = np.full(number, worth.always)
        for key, billed in bills.items():
            bill, fixed = billed if self.price is price_and_fixed else (billed, 0.0)
            worths += fixed * worth.still + (bill - fixed) * worth.moving[key]
        return worths

    def _worth(self) -> Worth:
        case = self.own.case
        carbon = (
            math.nan if case.economics.carbon_price is None else co2_of_runs(self.own, self.option, self.run).item()
        )
        self.worth = worth_of(case, self.option, self.services, carbon)
        return self.worth


def bill_together(key: str, asked: Sequence[tuple[_Year, Floats]]) -> None:
    """Write the bills of one service for several years, each at factors of its own on its price (n,), at once.

    Options of a study share its tariffs, so that only what generates for itself is billed alone. Each factor is billed once.
    """
    groups: dict[Any, list[tuple[_Year, Floats]]] = {}
    for year, factor in asked:
        if key in year.services and (key, factor.tobytes()) not in year.known:
            alone = None if year.run.covered is None else id(year)
            groups.setdefault((year.price, alone), []).append((year, factor))
    for askers in groups.values():
        first, _ = askers[0]
        by_factor = {id(factor): factor for _, factor in askers}
        told_apart = {
            at: np.unique(tried, return_inverse=True) if len(tried) >= ALIKE else (tried, slice(None))
            for at, tried in by_factor.items()
        }
        apart = [told_apart[id(factor)] for _, factor in askers]
        number = [len(shares) for shares, _ in apart]
        uses = zip(*(year.uses[key] for year, _ in askers), strict=True)
        energy, peaks, used = (np.repeat(np.concatenate(use), number, axis=0) for use in uses)
        factors = np.concatenate([shares for shares, _ in apart])
        costs = cost_of_use(first.own, key, (energy, peaks, used), factors, first.run.covered, first.price)
        ends = np.cumsum(number)
        for (year, factor), (_, back), start, end in zip(askers, apart, ends - number, ends, strict=True):
            year.known[key, factor.tobytes()] = costs[..., start:end][..., back]


ONE = np.ones(1)
ALIKE = 64
"""From so many factors on it is worth to look for those that are alike, as in a map of two prices."""


def costs_together(asked: Sequence[tuple[OptionCosts, Mapping[str, Floats]]], *, life: bool = True) -> list[Money]:
    """What several options of a study come to, each at factors of its own: bills of one service are written at once."""
    years = [(costs.only, factors) for costs, factors in asked if costs.only is not None]
    _bill_all([(year, key, factors.get(key, ONE)) for year, factors in years for key in year.services])
    return [costs.at(factors, life=life) for costs, factors in asked]


def prepare(options: Iterable[OptionCosts], factors: Floats) -> None:
    """Write the bills that are wanted when one price after another is at some factors and all others are as today."""
    years = [costs.only for costs in options if costs.only is not None]
    _bill_all([(year, key, moved) for year in years for key in year.services for moved in (factors, ONE)])


def _bill_all(asked: Sequence[tuple[_Year, str, Floats]]) -> None:
    for key in dict.fromkeys(key for _, key, _ in asked):
        bill_together(key, [(year, factor) for year, own_key, factor in asked if own_key == key])


def co2_of_runs(common: LoweredStudy, option: Option, run: BatchResult) -> Floats:
    """Carbon dioxide of a year in each draw (scenarios,), without that of wood and its like [kg]."""
    offers = lower_option(common, option).offers
    total = np.zeros(len(run.sums))
    for at, key in enumerate(run.keys):
        rows = common.tariffs[key].n_periods if key in common.tariffs else run.energy_j.shape[3]
        joule = run.energy_j[:, at, :, :rows].sum(axis=(1, 2))
        if at == len(offers):
            total += co2_kg(joule, common.surroundings.co2_kg_per_j[ELECTRICITY])
        elif not offers[at].biogenic:
            total += co2_kg(joule, offers[at].co2_kg_per_j)
    return total
