"""A study made ready for many homes: what they share is lowered once, and every result has its column."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.case import Case, Option
from costsim.engine import rows as k
from costsim.engine.batch import ELECTRICITY, tariff_shares
from costsim.engine.block import Shared, share
from costsim.engine.lower import Common, house_rows, lower_common, lower_option, source_rows
from costsim.portfolio.columns import Layout
from costsim.rules import RULES
from costsim.sources import HeatSource, Offer, Surroundings
from costsim.weather import Weather

Floats = NDArray[np.float64]
FAST_PRICES = ("energy", "fixed")


@dataclass(frozen=True, slots=True)
class Sheet:
    """One option's columns in the table of results: where they begin, its sources and its services."""

    first: int
    sources: tuple[str, ...]
    keys: tuple[str, ...]
    width: int

    @property
    def heat(self) -> slice:
        """Heat by source [J]."""
        return slice(self.first + 1, self.first + 1 + len(self.sources))

    @property
    def used(self) -> slice:
        """Energy bought by service [kWh]."""
        return slice(self.heat.stop, self.heat.stop + len(self.keys))

    @property
    def last(self) -> slice:
        """Cost, short, hours short, worst hour and CO2."""
        return slice(self.used.stop, self.first + self.width)


LAST = ("cost [{coin}/year]", "short [kWh]", "short [h]", "worst short [kW]", "CO2 [kg]")
COST, SHORT, SHORT_HOURS, WORST, CO2 = range(5)


@dataclass(frozen=True, slots=True)
class SourceRows:
    """Sources as the kernel takes them.

    Scalars (sources, BILLED_SCALARS), order (sources, n), and of each source its hours (SOURCE_HOURS, n) and heat per
    input (n,).
    """

    scalars: Floats
    hours: tuple[Floats, ...]
    order: NDArray[np.int64]
    per_input: tuple[Floats, ...]


@dataclass(frozen=True, slots=True)
class OneSource:
    """One source's offer and what the kernel takes of it."""

    offer: Offer
    scalars: Floats
    hours: Floats


def one_source(offer: Offer) -> OneSource:
    """What the kernel takes of an offer."""
    scalars, hours = source_rows([offer])
    return OneSource(offer, scalars[0], hours[0])


def rows_of(option: Option, found: Sequence[OneSource], order: NDArray[np.int64] | None = None) -> SourceRows:
    """Put the sources of an option together."""
    offers = tuple(one.offer for one in found)
    if order is None:
        order = np.ascontiguousarray(RULES[option.rule](offers))
    scalars = np.stack([one.scalars for one in found])
    return SourceRows(
        scalars, tuple(one.hours for one in found), order, tuple(offer.heat_per_input for offer in offers)
    )


def shared_by_homes(common: Common, rows: SourceRows, shares: Floats, *, steady: bool = False) -> Shared:
    """What all homes share; loss, balance point and floor are their own, and of steady homes the set-point too."""
    scalars, hours = house_rows(common)
    hours[k.FLOOR_LIMIT] = np.inf
    if steady:
        hours[k.ROOM] = 0.0
    return share(
        scalars, hours, rows.scalars, np.stack(rows.hours), rows.order, per_input=np.stack(rows.per_input), shares=shares, months=common.calendar.month,
        degrees=-common.weather.outdoor_c,
    )  # fmt: skip


def most_electricity_w(rows: SourceRows) -> float:
    """What the sources of an option could take at once, fans and controls included."""
    most = 0.0
    for one, hour, per in zip(rows.scalars, rows.hours, rows.per_input, strict=True):
        heat = max(float(hour[k.CAPACITY].max()), float(one[k.BURN_POWER]))
        least = float(per.min()) * (1.0 - float(one[k.DEGRADATION]))
        most += float(one[k.AUX_SHARE]) * heat + float(one[k.AUX_W])
        if one[k.ELECTRIC]:
            most += (heat / least if least > 0 else np.inf) + float(one[k.STANDBY])
    return most


@dataclass(frozen=True, slots=True)
class Ready:
    """One option lowered for the study's own house.

    `fixed` says of each source whether its offer is any home's; `alike` numbers the sources of the study, the same number
    where several options have the same. `rows` are what the kernel takes of the sources, `shared` and `steady` what it
    takes besides, for homes with a loss, a balance point and a floor of their own.
    """

    option: Option
    lowered: tuple[OneSource, ...]
    fixed: tuple[bool, ...]
    alike: tuple[int, ...]
    rows: SourceRows
    shares: Floats
    shared: Shared
    steady: Shared
    most_w: float
    sheet: Sheet

    @property
    def offers(self) -> tuple[Offer, ...]:
        """What the sources offer the study's own house."""
        return tuple(one.offer for one in self.lowered)

    def rows_for(self, seen: Surroundings, known: dict[int, OneSource]) -> SourceRows:
        """What the kernel takes of the sources in another house; `known` are that house's sources so far, by `alike`."""
        if all(self.fixed):
            return self.rows
        found = []
        for source, one, fixed, number in zip(self.option.sources, self.lowered, self.fixed, self.alike, strict=True):
            if not fixed and number not in known:
                known[number] = one_source(source.offer(seen))
            found.append(one if fixed else known[number])
        return rows_of(self.option, found, self.rows.order if self.option.rule == "fixed" else None)


@dataclass(frozen=True, slots=True)
class Recipe:
    """Everything that a block of homes needs besides its rows; the same in every process."""

    case: Case
    weather: Weather
    common: Common
    layout: Layout
    options: tuple[Ready, ...]
    columns: tuple[str, ...]
    slow: tuple[str, ...]

    @property
    def steady(self) -> bool:
        """Whether homes need no hourly rows of their own where their set-point and gains never change."""
        return all(all(ready.fixed) for ready in self.options) and not self.looks_at_prices

    @property
    def looks_at_prices(self) -> bool:
        """Whether a rule must see prices that differ from home to home."""
        own = any(key.startswith("prices.") for key in self.layout.keys)
        return own and any(ready.option.rule != "fixed" for ready in self.options)


def prepare(case: Case, weather: Weather, layout: Layout) -> Recipe:
    """Lower a study once for all homes of a table.

    Parameters
    ----------
    case : Case
    weather : Weather
        The same for every home.
    layout : Layout
        Which fields the table overrides.

    Returns
    -------
    Recipe
        `slow` names what keeps the homes from the fast path, empty where nothing does.

    Raises
    ------
    InputError
        Case and weather do not fit each other.
    """
    common = lower_common(case, weather)
    all_sources = [source for option in case.options for source in option.sources]
    ready: list[Ready] = []
    columns: list[str] = []
    for option in case.options:
        ready.append(_ready(common, option, layout, len(columns), all_sources))
        columns += _names(ready[-1], case.currency)
    return Recipe(case, weather, common, layout, tuple(ready), tuple(columns), _slow(case, layout))


def _slow(case: Case, layout: Layout) -> tuple[str, ...]:
    """What needs a study of its own for each home: fields beyond house and plain prices, and demand charges."""
    found = [key for key in layout.keys if not _is_fast(key, case)]
    charged = [f"prices.{key}.demand" for key, price in case.prices.items() if price.demand]
    return (*found, *charged)


def _is_fast(key: str, case: Case) -> bool:
    parts = key.split(".")
    if parts[0] != "prices":
        metered = bool(case.house.other_electricity_hours) and key == "house.other_electricity"
        return parts[0] == "house" and len(parts) == 2 and key != "house.other_electricity_hours" and not metered
    return len(parts) == 3 and parts[2] in FAST_PRICES


def _ready(common: Common, option: Option, layout: Layout, first: int, all_sources: list[HeatSource]) -> Ready:
    offers = lower_option(common, option).offers
    # a rule that looks at prices must see those of the home
    by_price = option.rule != "fixed" and any(key.startswith("prices.") for key in layout.keys)
    fixed = (False,) * len(offers) if by_price else _same_for_all(common, option, offers)
    keys = tuple(dict.fromkeys([*(o.price_key for o in offers if o.price_key in common.tariffs), ELECTRICITY]))
    sources = tuple(_apart([offer.name for offer in offers]))
    shares = tariff_shares(common, (*(offer.price_key for offer in offers), ELECTRICITY))
    sheet = Sheet(first, sources, keys, 1 + len(sources) + len(keys) + len(LAST))
    lowered = tuple(one_source(offer) for offer in offers)
    rows, alike = rows_of(option, lowered), tuple(all_sources.index(source) for source in option.sources)
    shared, steady = (shared_by_homes(common, rows, shares, steady=one) for one in (False, True))
    return Ready(option, lowered, fixed, alike, rows, shares, shared, steady, most_electricity_w(rows), sheet)


def _apart(names: Sequence[str]) -> list[str]:
    """Number names that stand twice.

    Examples
    --------
    >>> _apart(["Stove", "Boiler", "Stove"])
    ['Stove', 'Boiler', 'Stove 2']
    """
    return [f"{name} {names[: at + 1].count(name)}" if name in names[:at] else name for at, name in enumerate(names)]


def _names(ready: Ready, coin: str) -> list[str]:
    name, sheet = ready.option.name, ready.sheet
    return [
        f"{name}: heat wanted [J]",
        *(f"{name}: heat from {source} [J]" for source in sheet.sources),
        *(f"{name}: {key} [kWh]" for key in sheet.keys),
        *(f"{name}: {text.format(coin=coin)}" for text in LAST),
    ]


def _same_for_all(common: Common, option: Option, offers: tuple[Offer, ...]) -> tuple[bool, ...]:
    """Which sources offer the same whatever the house: they are asked again in three others, one without any numbers."""
    same = [True] * len(offers)
    for other in _other_houses(common.surroundings):
        for i, (source, offer) in enumerate(zip(option.sources, offers, strict=True)):
            try:
                with np.errstate(all="ignore"):
                    same[i] = same[i] and _equal(source.offer(other), offer)
            except (ArithmeticError, ValueError, IndexError):
                same[i] = False
    return tuple(same)


def _other_houses(seen: Surroundings) -> list[Surroundings]:
    """Another load, another warmth, and neither known."""
    nothing = np.full(seen.n_hours, np.nan)
    return [
        replace(seen, demand_w=0.4 * seen.demand_w[::-1].copy(), water_c=seen.water_c - 4.0, room_c=seen.room_c - 3.0),
        replace(seen, demand_w=2.5 * seen.demand_w + 900.0, water_c=seen.water_c + 9.0, room_c=seen.room_c + 3.0),
        replace(seen, demand_w=nothing, water_c=nothing, room_c=nothing),
    ]


def _equal(a: Offer, b: Offer) -> bool:
    """Whether kernel and rule would take two offers for one."""
    return all(np.array_equal(x, y) for x, y in zip(_numbers(a), _numbers(b), strict=True))


def _numbers(offer: Offer) -> list[Any]:
    none = np.empty(0)
    charges = [none if one is None else one for one in (offer.charge_j, offer.ahead_j)]
    scalars = (
        offer.slope_w_k, offer.must_run, offer.burn_power_w, offer.min_fire_w, offer.degradation, offer.standby_w,
        offer.auxiliary_share, offer.auxiliary_w, offer.rank, offer.co2_kg_per_j, offer.biogenic,
    )  # fmt: skip
    return [offer.capacity_w, offer.heat_per_input, offer.price_per_heat_j, offer.target_c, *charges, np.array(scalars)]
