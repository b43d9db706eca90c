"""How sure the answer is: correlated draws of load, warmth, winter, efficiency and prices, the same for every option."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.case import Case, Option
from costsim.engine import kernel as k
from costsim.engine.batch import Many, price_many, run_many
from costsim.engine.lower import Common, lower_common, lower_option
from costsim.engine.run import simulate_option
from costsim.weather import Weather

Floats = NDArray[np.float64]
BAND_SIGMAS = 3.0
"""The band of doubt of a design load is read as about three standard deviations from end to middle; common practice, no source."""
PRICE_SPREAD = {
    "electricity": 0.08,
    "natural_gas": 0.15,
    "propane": 0.20,
    "heating_oil": 0.20,
    "wood": 0.15,
    "pellets": 0.10,
}
"""Standard deviation of prices within a few years, as a share; value from memory, to be replaced by the study's own."""
BURNING = ("natural_gas", "propane", "heating_oil", "wood", "pellets")
COLDEST_SHARE = 0.19
"""Degree-days of the coldest winter on record above the mean (published extremes −23 % and +19 %)."""


@dataclass(frozen=True, slots=True)
class Draws:
    """What was drawn; arrays are (draws,). `prices` are factors on today's prices."""

    load: Floats
    warmth_k: Floats
    winter_k: Floats
    efficiency: Floats
    prices: Mapping[str, Floats]

    def named(self) -> dict[str, Floats]:
        """Everything by a name for people."""
        found = {
            "design load": self.load,
            "warmth of living": self.warmth_k,
            "winter": -self.winter_k,
            "efficiency of burners": self.efficiency,
        }
        return found | {f"price of {key.replace('_', ' ')}": values for key, values in self.prices.items()}


@dataclass(frozen=True, slots=True)
class OptionDoubt:
    """One option over all draws: cost and hours short (draws,)."""

    name: str
    cost: Floats
    short_hours: Floats
    short_j: Floats

    def band(self) -> tuple[float, float, float]:
        """Cost at 10, 50 and 90 %."""
        low, middle, high = np.percentile(self.cost, [10, 50, 90])
        return float(low), float(middle), float(high)


@dataclass(frozen=True, slots=True)
class Winter:
    """One kind of winter: cost and hours short of each option."""

    name: str
    degree_days_share: float
    cost: tuple[float, ...]
    short_hours: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class DoubtResult:
    """The answer with its doubt. `ranking` orders what was drawn by its share in who is cheaper of the first two by cost."""

    seed: int
    draws: int
    options: tuple[OptionDoubt, ...]
    pair: tuple[str, str]
    first_is_cheaper: float
    gap_band: tuple[float, float, float]
    ranking: tuple[tuple[str, float], ...]
    winters: tuple[Winter, ...]


def load_spread(case: Case) -> float:
    """Standard deviation of the design load: as typed, else from the band of the route it was found by."""
    settings = case.doubt
    return settings.load_share if settings.load_share is not None else case.house.design_load_route[1] / BAND_SIGMAS


def price_spread(case: Case, key: str) -> float:
    """Standard deviation of a price: as typed, else the fuel's usual one."""
    return case.doubt.price.get(key, PRICE_SPREAD.get(case.prices[key].fuel_name(key), 0.15))


def spreads(case: Case) -> dict[str, str]:
    """Everything in doubt by a name for people, with one standard deviation."""
    settings = case.doubt
    found = {
        "design load": f"{load_spread(case):.1%}",
        "warmth of living": f"{settings.warmth_k:g} K",
        "winter, degree-days": f"{settings.winter_share:.1%}",
        "efficiency of burners": f"{settings.efficiency_share:.1%}",
    }
    found |= {f"price of {key.replace('_', ' ')}": f"{price_spread(case, key):.1%}" for key in case.prices}
    return found | {"correlation of prices": f"{settings.together:g}"}


def draw(case: Case, common: Common) -> Draws:
    """Draw everything that is in doubt.

    Notes
    -----
    Standard normals from the study's seed; load and prices go by ``exp(σ z)``, so that today's value is the middle one.
    Fuel prices share the study's correlation. A winter's degree-days move by a shift of the balance point against the
    weather that changes the year's degree-hours by the drawn share.
    """
    settings, n = case.doubt, case.doubt.draws
    rng = np.random.default_rng(settings.seed)
    shared = rng.standard_normal(n)
    load = np.exp(load_spread(case) * rng.standard_normal(n))
    warmth, winter = settings.warmth_k * rng.standard_normal(n), settings.winter_share * rng.standard_normal(n)
    efficiency = np.clip(1.0 + settings.efficiency_share * rng.standard_normal(n), 0.5, 1.25)
    prices = {}
    for key in case.prices:
        own = rng.standard_normal(n)
        z = np.sqrt(settings.together) * shared + np.sqrt(1 - settings.together) * own
        prices[key] = np.exp(price_spread(case, key) * z)
    return Draws(load, warmth, winter * kelvin_for_degree_days(common), efficiency, prices)


def kelvin_for_degree_days(common: Common) -> float:
    """Shift of the balance point that doubles the year's degree-hours, by their slope: degree-hours over heating hours [K]."""
    excess = common.balance_c - common.weather.outdoor_c
    heating = np.count_nonzero(excess > 0)
    return float(np.maximum(excess, 0.0).sum() / heating) if heating else 0.0


def simulate_draws(common: Common, draws: Draws, progress: Callable[[float], None] | None = None) -> list[Many]:
    """Run every option under every draw."""
    runs = []
    for at, option in enumerate(common.case.options):
        plant = lower_option(common, option)
        efficiency = np.ones((len(draws.load), len(plant.offers)))
        for i, offer in enumerate(plant.offers):
            if offer.fuel in BURNING:
                efficiency[:, i] = draws.efficiency

        def told(share: float, at: int = at) -> None:
            if progress is not None:
                progress((at + share) / len(common.case.options))

        loss = common.loss_w_k * draws.load
        runs.append(
            run_many(
                common,
                plant,
                loss_w_k=loss,
                shift_k=draws.warmth_k + draws.winter_k,
                efficiency=efficiency,
                progress=told,
            )
        )
    return runs


def doubt(case: Case, weather: Weather, progress: Callable[[float], None] | None = None) -> DoubtResult:
    """Put the answer in doubt.

    Parameters
    ----------
    case : Case
        Its ``[doubt]`` table says how far off things may be.
    weather : Weather
    progress : callable, optional
        Told the share done.

    Returns
    -------
    DoubtResult
        Same seed, same answer, on any number of processors.
    """
    common = lower_common(case, weather)
    draws = draw(case, common)
    runs = simulate_draws(common, draws, progress)
    options = tuple(
        OptionDoubt(
            option.name,
            price_many(common, many, draws.prices, demand_cost(common, option) * draws.load),
            many.sums[:, k.SHORT_HOURS],
            many.sums[:, k.SUM_SHORT],
        )
        for option, many in zip(case.options, runs, strict=True)
    )
    pair = pair_in_question(options)
    gap = pair[1].cost - pair[0].cost
    low, middle, high = np.percentile(gap, [10, 50, 90])
    return DoubtResult(
        seed=case.doubt.seed,
        draws=case.doubt.draws,
        options=options,
        pair=(pair[0].name, pair[1].name),
        first_is_cheaper=share_cheaper(pair[0].cost, pair[1].cost),
        gap_band=(float(low), float(middle), float(high)),
        ranking=ranking(draws, gap),
        winters=winters(common),
    )


def demand_cost(common: Common, option: Option) -> float:
    """What demand charges come to in the study's own year; a draw's peaks are taken to go with its design load."""
    if not any(tariff.demand for tariff in common.tariffs.values()):
        return 0.0
    bills = simulate_option(common, option).bills.values()
    return sum(line.amount for bill in bills for line in bill.lines if line.label.endswith("highest power"))


def pair_in_question(options: tuple[OptionDoubt, ...]) -> tuple[OptionDoubt, OptionDoubt]:
    """The two options to choose between: those that mostly keep the house warm first, then by median cost."""
    order = sorted(options, key=lambda o: (float(np.median(o.short_hours)) > 20, float(np.median(o.cost))))
    return order[0], order[1] if len(order) > 1 else order[0]


def share_cheaper(first: Floats, second: Floats) -> float:
    """Share of draws in which the first is cheaper; a tie counts half.

    Examples
    --------
    >>> share_cheaper(np.array([1.0, 2.0]), np.array([2.0, 2.0]))
    0.75
    """
    return float(np.mean(first < second) + 0.5 * np.mean(first == second))


def ranking(draws: Draws, gap: Floats) -> tuple[tuple[str, float], ...]:
    """Order what was drawn by its squared rank correlation with the gap between the two options, largest first."""
    ranks = np.argsort(np.argsort(gap))
    found = []
    for name, values in draws.named().items():
        spread = np.ptp(values) > 0 and np.ptp(gap) > 0
        r = float(np.corrcoef(np.argsort(np.argsort(values)), ranks)[0, 1]) if spread else 0.0
        found.append((name, r * r))
    return tuple(sorted(found, key=lambda pair: -pair[1]))


def winters(common: Common) -> tuple[Winter, ...]:
    """Typical, one-in-ten and coldest winter at today's prices, side by side."""
    one_in_ten = 1.2815515655446004 * common.case.doubt.winter_share
    kinds = (("this weather year", 0.0), ("one winter in ten", one_in_ten), ("coldest winter", COLDEST_SHARE))
    shift = np.array([share for _, share in kinds]) * kelvin_for_degree_days(common)
    loss = np.full(len(kinds), common.loss_w_k)
    columns = []
    for option in common.case.options:
        plant = lower_option(common, option)
        many = run_many(
            common, plant, loss_w_k=loss, shift_k=shift, efficiency=np.ones((len(kinds), len(plant.offers)))
        )
        columns.append((price_many(common, many, {}, demand_cost(common, option)), many.sums[:, k.SHORT_HOURS]))
    return tuple(
        Winter(name, share, tuple(float(cost[i]) for cost, _ in columns), tuple(int(hours[i]) for _, hours in columns))
        for i, (name, share) in enumerate(kinds)
    )


def as_json(found: DoubtResult) -> dict[str, Any]:
    """The doubt as plain data."""
    return {
        "seed": found.seed,
        "draws": found.draws,
        "pair": list(found.pair),
        "first_is_cheaper": found.first_is_cheaper,
        "gap_10_50_90": list(found.gap_band),
        "options": [
            {
                "name": one.name,
                "cost_10_50_90": list(one.band()),
                "short_hours_median": float(np.median(one.short_hours)),
            }
            for one in found.options
        ],
        "ranking": [{"what": name, "share": share} for name, share in found.ranking],
        "winters": [
            {
                "name": one.name,
                "degree_days_share": one.degree_days_share,
                "cost": list(one.cost),
                "short_hours": list(one.short_hours),
            }
            for one in found.winters
        ],
    }
