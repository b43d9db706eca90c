"""A study made ready for many homes: what they share is lowered once, and every result has its column."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from costsim.engine import layout as k
from costsim.engine.batch import meters_of, tariff_shares
from costsim.engine.generation import generation_j
from costsim.engine.houses import hours_apart
from costsim.engine.lower import LoweredStudy, house_rows, lower_study, source_rows, source_scalars_of, south_sun_w_m2
from costsim.engine.shared import Shared, share
from costsim.errors import InputError
from costsim.portfolio.columns import AS_ARRAYS, Layout
from costsim.sources import HeatSource, Offer
from costsim.sources.base import may_run
from costsim.sources.houses import Moments
from costsim.sources.traits import HOURLY
from costsim.study.case import Case, Option
from costsim.study.emitter_parts import emitters_differ
from costsim.study.rules import RULES
from costsim.study.services import ELECTRICITY
from costsim.study.zone_loops import loops_are_named
from costsim.tariffs.bill import house_profile_j
from costsim.tariffs.charges import period_shares
from costsim.tariffs.charges.tariff import billing_month
from costsim.units.arrays import Floats, Ints
from costsim.weather import Weather

FAST_PRICES = ("energy", "fixed")
MASS_ROWS = range(k.GAINS, k.COLD_BELOW + 1)
FEWEST_HOMES, MOST_HOMES, MOST_ENTRIES = 64, 512, 1_500_000


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
        """Cost, short, unmet hours, worst hour and CO2."""
        return slice(self.used.stop, self.first + self.width)

    def place(self, which: int) -> int:
        """Place of one of `LAST` among all columns."""
        return int(self.last.start) + which


LAST = ("cost [{coin}/year]", "unmet [kWh]", "unmet [h]", "largest unmet [kW]", "CO2 [kg]")
COST, SHORT, SHORT_HOURS, WORST, CO2 = range(5)


def shared_by_homes(
    common: LoweredStudy, offers: Sequence[Offer], order: Ints, shares: Floats, *, even: bool, own_use: bool
) -> Shared:
    """What all homes share; loss, balance point and floor are their own, and of even homes the set-point too."""
    (scalars, hours), (source_scalars, source_hours) = house_rows(common), source_rows(offers)
    hours = hours.copy()  # the study's own stay as they are
    hours[k.FLOOR_LIMIT] = np.inf
    if even:
        hours[k.ROOM] = 0.0
    keys, case, clock = (*(offer.price_key for offer in offers), ELECTRICITY), common.case, common.calendar
    meters, payers = meters_of(common, keys, house_profile_j(1.0, clock) if own_use else None)
    free = None
    if case.solar_electric and case.solar_electric.net_metering == "none" and case.other_electricity_known:
        free = np.maximum(generation_j(case, common.weather) - case.other_electricity_j(clock), 0.0) / k.HOUR_S
    return share(
        scalars, hours, source_scalars, source_hours, np.ascontiguousarray(order), shares=shares,
        per_input=np.stack([offer.heat_per_input for offer in offers]), months=common.calendar.month,
        degrees=-common.weather.outdoor_c, meters=meters, payers=payers, free=free,
        takers=np.array([key == ELECTRICITY for key in keys], dtype=float),
    )  # fmt: skip


def kernel_offers(recipe: PortfolioPlan, option: Option, offers: Sequence[Offer]) -> list[Offer]:
    """What the kernel takes of offers: of collectors whose loss is a home's own what the sun gives alone."""
    kept_offers = []
    for source, offer in zip(option.sources, offers, strict=True):
        shared = source.shared_capacity_w(recipe.common.surroundings)
        if shared is not None:
            allowed = may_run(source, recipe.weather, recipe.common.calendar)
            shared = np.where((allowed > 0) & (shared > -np.inf), np.maximum(shared, 0.0) * allowed, -np.inf)
        kept_offers.append(offer if shared is None else replace(offer, capacity_w=shared))
    return kept_offers


@dataclass(frozen=True, slots=True)
class PreparedSource:
    """What the kernel takes of a source but for its hours, and the most electricity it can take, fans included [W]."""

    offer: Offer
    scalars: tuple[float, ...]
    most_w: float


def taken(offer: Offer) -> PreparedSource:
    """What the kernel takes of an offer."""
    most = most_electric_w(offer, float(offer.capacity_w.max()), float(offer.heat_per_input.min()))
    return PreparedSource(offer, source_scalars_of(offer), most)


def most_electric_w(offer: Offer, capacity_w: Any, heat_per_input: Any) -> Any:
    """Most electricity that a source can take, from its highest capacity [W] and least heat per input, of one house or many."""
    most: Any = offer.auxiliary_w
    heat = np.maximum(capacity_w, offer.burn_power_w)
    if offer.auxiliary_share > 0:
        most = most + offer.auxiliary_share * heat
    if offer.fuel == ELECTRICITY:
        least = heat_per_input * (1.0 - offer.degradation)
        most = most + np.where(least > 0, heat / np.maximum(least, 1e-300), np.inf) + offer.standby_w
    return most


@dataclass(frozen=True, slots=True)
class PreparedOption:
    """One option lowered for the study's own house.

    `numbers` tells the sources of the study apart, the same number where several options have the same; `fixed` says of
    each whether its offer is any home's. `shared` is what the kernel takes for homes with a loss, a balance point and a
    floor of their own, and `own_at` where their own hourly rows stand.
    """

    option: Option
    sources: tuple[PreparedSource, ...]
    numbers: tuple[int, ...]
    fixed: tuple[bool, ...]
    order: Ints
    shares: Floats
    shared: Shared
    own_at: Ints
    sheet: Sheet

    @property
    def offers(self) -> tuple[Offer, ...]:
        """What the sources offer the study's own house."""
        return tuple(source.offer for source in self.sources)


@dataclass(frozen=True, slots=True)
class PortfolioPlan:
    """Everything that a block of homes needs besides its rows; the same in every process.

    Homes are `even` where their hours differ by weather and sources alone. `own` names the hourly rows of sources that
    follow the house, by number of the source and row; after `house` rows of the house they are a home's own.
    `moments` are the year's different hours where homes can be lowered in arrays, and `orders` what homes share whose sources
    are called in another order than the study's, by option. `variants` are studies of their own, by values of the columns that need one.
    """

    case: Case
    weather: Weather
    common: LoweredStudy
    layout: Layout
    options: tuple[PreparedOption, ...]
    columns: tuple[str, ...]
    slow: tuple[str, ...]
    even: bool
    house: tuple[int, ...]
    own: tuple[tuple[int, int], ...]
    moments: Moments | None = None
    orders: dict[tuple[int, bytes], Shared] = field(default_factory=dict)
    variants: dict[tuple[str, ...], PortfolioPlan | None] = field(default_factory=dict)

    @property
    def in_arrays(self) -> bool:
        """Whether many homes are lowered at once; otherwise one after the other."""
        return self.moments is not None

    @property
    def at_once(self) -> int:
        """So many homes are lowered together, a table of whose hourly rows stays in a processor's cache."""
        if self.moments is None:
            return FEWEST_HOMES
        # most rows of a house go with the outdoor temperature alone
        entries = len(self.moments.first) * (bool(self.house) + len(self.own))
        homes = min(MOST_HOMES, MOST_ENTRIES // max(entries, 1))
        return max(homes // FEWEST_HOMES, 1) * FEWEST_HOMES

    @property
    def own_use(self) -> bool:
        """Whether other electricity differs from home to home."""
        return "house.other_electricity" in self.layout.keys

    @property
    def own_prices(self) -> bool:
        """Whether prices differ from home to home, be it by the block that a home's other electricity has reached."""
        electricity = self.common.tariffs.get(ELECTRICITY)
        by_use = bool(electricity and electricity.blocks) and "house.other_electricity" in self.layout.keys
        return by_use or any(key.startswith("prices.") for key in self.layout.keys)


def prepare(case: Case, weather: Weather, layout: Layout) -> PortfolioPlan:
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
    PortfolioPlan
        `slow` names what keeps the homes from the fast path, empty where nothing does.

    Raises
    ------
    InputError
        Case and weather do not fit each other.
    """
    common = lower_study(case, weather)
    sources = [source for option in case.options for source in option.sources]
    # the same source in several options is asked once
    follows = {at: _follows(source) for at, source in enumerate(sources) if sources.index(source) == at}
    even = not (case.house.varies or common.water.mass or _sunlit(case, layout))
    house = () if even else (k.ROOM, k.DEGREES, *(MASS_ROWS if common.water.mass else ()))
    own = tuple((number, row) for number, rows in follows.items() for row in rows or ())
    recipe = PortfolioPlan(case, weather, common, layout, (), (), _slow(case, layout), even, house, own)
    ready: list[PreparedOption] = []
    columns: list[str] = []
    for option in case.options:
        numbers = tuple(sources.index(source) for source in option.sources)
        ready.append(_ready(recipe, option, len(columns), numbers, [follows[number] for number in numbers]))
        columns += _names(ready[-1], case.currency)
    recipe = replace(recipe, options=tuple(ready), columns=tuple(columns))
    recipe = replace(recipe, slow=(*recipe.slow, *_asked_one_by_one(recipe, sources)))
    return replace(recipe, moments=None if recipe.slow else _moments(recipe))


def _asked_one_by_one(recipe: PortfolioPlan, sources: Sequence[HeatSource]) -> Iterator[str]:
    """What of house, sources and rules is told of one home at a time."""
    case, keys = recipe.case, recipe.layout.keys
    if case.floor is not None and case.floor.layout is not None and not case.floor.loops_typed:
        yield "floor.layout"
    if case.floor is not None and case.floor.loads_typed:
        yield "floor.loops.load"
    if any(zone.area_m2 is not None for zone in case.house.zone) and "house.floor_area" in keys:
        yield "house.zone.area"
    for number in dict.fromkeys(number for number, _ in recipe.own):
        if type(sources[number]).for_houses is HeatSource.for_houses:
            yield f"a source of kind {sources[number].kind}"
    generates = case.solar_electric is not None and case.solar_electric.net_metering == "none"
    if generates and any(ready.option.rule != "fixed" for ready in recipe.options):
        yield "solar_electric"
    if any(source.charging == "forecast" for source in sources):
        yield "option.source.charging"
    if "house.solar_aperture" in keys and not _has_sun(recipe):
        yield "house.solar_aperture"


def _has_sun(recipe: PortfolioPlan) -> bool:
    """Whether the weather tells the sun on a window."""
    try:
        return len(south_sun_w_m2(recipe.case, recipe.weather)) > 0
    except InputError:
        return False


def _moments(recipe: PortfolioPlan) -> Moments:
    """The year's different hours, as houses, sources and rules see them."""
    common = recipe.common
    rows = [common.weather.outdoor_c, *hours_apart(common, sunlit=_sunlit(recipe.case, recipe.layout))]
    for ready in recipe.options:
        for source, number, offer in zip(ready.option.sources, ready.numbers, ready.offers, strict=True):
            follows = any(number == owner for owner, _ in recipe.own)
            if follows:
                rows.append(may_run(source, common.weather, common.calendar))
            if ready.option.rule == "fixed":
                continue
            rows += [] if follows else [offer.heat_per_input]
            rows.append(offer.price_per_j)
            if offer.price_key in common.tariffs:
                tariff = common.tariffs[offer.price_key]
                rows += list(period_shares(tariff, common.calendar))
                each = (charge.price_per_j(tariff, common.calendar) for charge in tariff.extra)
                rows += [np.broadcast_to(np.asarray(charged, dtype=float), offer.price_per_j.shape) for charged in each]
                if tariff.blocks:
                    rows.append(billing_month(tariff.read_day, common.calendar).astype(float))
    return Moments.of_rows(rows)


def _sunlit(case: Case, layout: Layout) -> bool:
    """Whether the sun through windows makes gains of some homes differ from hour to hour."""
    return case.house.solar_aperture_m2 > 0 or "house.solar_aperture" in layout.keys


def _slow(case: Case, layout: Layout) -> tuple[str, ...]:
    """What needs a study of its own for each home: fields beyond house and plain prices, and what an option or a use has for itself."""
    slow_keys = [key for key in layout.keys if not _is_fast(key, case)]
    charged = []
    if case.solar_electric and "house.other_electricity" in layout.keys:
        charged.append("solar_electric")
    charged += [
        f"option.{key}" for key in ("tank", "no_tank", "floor") if any(getattr(option, key) for option in case.options)
    ]
    apart = case.floor is not None and emitters_differ(case.house)
    charged += ["house.zone"] if apart or loops_are_named(case.house) or _weighed_by_zone(case) else []
    charged += ["use"] if any(use.priority == "after_house" for use in case.use) else []
    return (*slow_keys, *charged, *(["sizes"] if layout.to_load else []))


def _weighed_by_zone(case: Case) -> bool:
    """Whether what zones lack is added to the hours of a house with thermal mass, as `costsim.results.zones` does."""
    return bool(case.house.zone) and case.floor is not None and case.floor.mass is not None


def _is_fast(key: str, case: Case) -> bool:
    parts = key.split(".")
    if parts[0] != "prices":
        metered = bool(case.house.other_electricity_profile) and key == "house.other_electricity"
        return parts[0] == "house" and len(parts) == 2 and parts[1] in AS_ARRAYS and not metered
    return len(parts) == 3 and parts[2] in FAST_PRICES


def _ready(
    recipe: PortfolioPlan,
    option: Option,
    first: int,
    numbers: tuple[int, ...],
    follows: Sequence[tuple[int, ...] | None],
) -> PreparedOption:
    common = recipe.common
    offers = tuple(source.offer(common.surroundings) for source in option.sources)
    # a rule that looks at prices must see those of the home
    by_price = option.rule != "fixed" and recipe.own_prices
    fixed = tuple(rows is None and not by_price for rows in follows)
    keys = tuple(dict.fromkeys([*(o.price_key for o in offers if o.price_key in common.tariffs), ELECTRICITY]))
    names = tuple(_apart([offer.name for offer in offers]))
    sheet = Sheet(first, names, keys, 1 + len(names) + len(keys) + len(LAST))
    order = RULES[option.rule](offers)
    shares = tariff_shares(common, (*(offer.price_key for offer in offers), ELECTRICITY))
    shared = shared_by_homes(
        common, kernel_offers(recipe, option, offers), order, shares, even=recipe.even, own_use=recipe.own_use
    )
    sources = tuple(taken(offer) for offer in offers)
    return PreparedOption(option, sources, numbers, fixed, order, shares, shared, _own_at(recipe, numbers), sheet)


def _own_at(recipe: PortfolioPlan, numbers: tuple[int, ...]) -> Ints:
    """Where an option's rows stand among those that a home has for itself; -1 where all share them."""
    at = np.full(k.SOURCES + len(numbers) * k.SOURCE_ROWS, -1, dtype=np.int64)
    at[list(recipe.house)] = np.arange(len(recipe.house))
    for place, (number, row) in enumerate(recipe.own, len(recipe.house)):
        for i in (i for i, source in enumerate(numbers) if source == number):
            at[k.SOURCES + i * k.SOURCE_ROWS + row] = place
    return at


def _apart(names: Sequence[str]) -> list[str]:
    """Number names that stand twice.

    Examples
    --------
    >>> _apart(["Stove", "Boiler", "Stove"])
    ['Stove', 'Boiler', 'Stove 2']
    """
    return [f"{name} {names[: at + 1].count(name)}" if name in names[:at] else name for at, name in enumerate(names)]


def _names(ready: PreparedOption, coin: str) -> list[str]:
    name, sheet = ready.option.name, ready.sheet
    return [
        f"{name}: heat wanted [J]",
        *(f"{name}: heat from {source} [J]" for source in sheet.sources),
        *(f"{name}: {key} [kWh]" for key in sheet.keys),
        *(f"{name}: {text.format(coin=coin)}" for text in LAST),
    ]


ROW_OF = {
    "capacity": k.CAPACITY, "heat_per_input": k.PER_HEAT, "target": k.TARGET, "charge": k.CHARGE, "ahead": k.AHEAD, "until": k.UNTIL,
}  # fmt: skip
"""Row of the kernel for each hourly part of an offer that may follow the house."""


def _follows(source: HeatSource) -> tuple[int, ...] | None:
    """Which hourly rows of a source follow the house, none where its scalars alone do; None where nothing does."""
    declared = source.follows_house() | ({"target"} if source.charging == "forecast" else set())
    return tuple(sorted(ROW_OF[name] for name in declared & HOURLY)) if declared else None
