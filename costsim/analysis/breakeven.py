"""At which price the answer turns: the root of the real simulation, and a map over two prices."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.analysis.cash_flow import payments_of, price_factor
from costsim.analysis.decision import co2_of_runs
from costsim.analysis.lifecycle import single_present_value
from costsim.engine import layout as k
from costsim.engine.batch import ELECTRICITY, BatchResult, price_by_service, run_once, run_plant
from costsim.engine.generation import seen_by_rule
from costsim.engine.lower import LoweredStudy, lower_option, lower_study, option_study, priced
from costsim.simulation import simulate_option
from costsim.study.case import Case, Option
from costsim.study.rules import RULES
from costsim.tariffs.bill import fixed_of_many
from costsim.units.quantity import KWH_J
from costsim.weather import Weather

Floats = NDArray[np.float64]
WIDEST = 20.0
"""Prices are searched up to so many times and down to so small a part of today's."""
TRIED = np.geomspace(1.0 / WIDEST, WIDEST, 9)
"""Factors at which costs are held against each other before a root is sought between two; today's is the middle one."""

ROOT_SHARE = 1e-12
"""How near to a turning price its factor lies, as a share of it."""
LADDER = 1.0 + np.array([-1e-3, -1e-8, -0.4e-12, 0.0, 0.4e-12, 1e-8, 1e-3])
QUARTERS = np.array([0.25, 0.5, 0.75])


@dataclass(frozen=True, slots=True)
class BreakEven:
    """The price of one table at which two options cost the same.

    `factor` is that price over today's, the nearest one where there are several, None where no price within `WIDEST` turns the
    answer; `cheaper_below` names the option that wins just below it. `over_years` is the same of the life-cycle costs; None where
    a first cost of the two is not given.
    """

    price: str
    first: str
    second: str
    factor: float | None
    today_per_j: float
    cheaper_below: str
    over_years: BreakEven | None = None

    def price_per_j(self) -> float | None:
        """The price itself [money/J]."""
        return None if self.factor is None else self.factor * self.today_per_j


def cost_of(common: LoweredStudy, option: Option, factors: dict[str, float]) -> float:
    """Cost of a year of one option at changed prices, simulated anew since a rule may follow the prices."""
    return simulate_option(priced(common, factors), option).cost_total


Costs = Callable[[Mapping[str, Floats]], Floats]
"""Factors on prices (n,) by their table in, money (n,) out."""
Counted = Callable[[LoweredStudy, BatchResult], Costs]
"""What a year as run comes to at any prices."""


def bills_of(common: LoweredStudy, many: BatchResult) -> Costs:
    """The bills of a year: only those of what moved are written anew."""
    still = price_by_service(common, many, {})

    def costs(factors: Mapping[str, Floats]) -> Floats:
        bills = {**still, **price_by_service(common, many, factors, services=factors)}
        total = np.zeros(len(next(iter(factors.values()))))
        for one in bills.values():
            total += one
        return total

    return costs


def life_cycle_of(option: Option) -> Counted:
    """The life-cycle cost of an option, as `lifecycle.outlay` has it, with a price's whole path moved by the factor.

    Notes
    -----
    ``first + Σ_t paid_t / (1 + d)^t + Σ_services (fixed Σ_t 1/(1 + d)^t + (bill − fixed) Σ_t path_t/(1 + d)^t)``: NIST
    Handbook 135; what of a bill buys no energy does not follow the path.
    """

    def counted(common: LoweredStudy, many: BatchResult) -> Costs:
        case = common.case
        economics = case.economics
        years = range(1, economics.study_period + 1)
        worth = np.array(
            [single_present_value(rate=economics.discount_rate_share_per_year, year=year) for year in years]
        )
        carbon = 0.0 if economics.carbon_price is None else float(co2_of_runs(common, option, many)[0])
        paid = payments_of(case, option, carbon)
        yearly = np.array(paid.yearly) + option.maintenance_per_year
        if 1 <= option.replacement_year <= economics.study_period:
            yearly[option.replacement_year - 1] += option.replacement_money
        always = option.first_cost_money - option.rebate_money + paid.first + float(yearly @ worth)
        bills = price_by_service(common, many, {})
        fixed = price_by_service(common, many, {}, price=fixed_of_many)
        weights = {
            key: float(np.array([price_factor(economics, key, year) for year in years]) @ worth) for key in bills
        }

        def costs(factors: Mapping[str, Floats]) -> Floats:
            billed = {**bills, **price_by_service(common, many, factors, services=factors)}
            stays = {**fixed, **price_by_service(common, many, factors, services=factors, price=fixed_of_many)}
            total = np.full(len(next(iter(factors.values()))), always)
            for key, bill in billed.items():
                total += stays[key] * float(worth.sum()) + (bill - stays[key]) * weights[key]
            return total

        return costs

    return counted


def costs_at(
    common: LoweredStudy, option: Option, today: BatchResult | None = None, counted: Counted = bills_of
) -> Costs:
    """Cost of a year of one option at many prices, or what else a year is `counted` as: factors (n,) in, money (n,) out.

    Prices move nothing in a year but the order in which sources are called, so each order is run once, whatever the number of
    prices that give it, and only billed anew; a rule that never looks at prices has one. `today` is what `run_once` gave for it.
    """
    if option.rule == "fixed":
        return counted(common, today or run_once(common, option))
    own = option_study(common, option)
    plant = lower_option(own, option)
    known: dict[bytes, Costs] = {}

    def order_at(factors: dict[str, float]) -> NDArray[np.int64]:
        prices = priced(own, factors).surroundings.price_per_j
        offers = [replace(one, price_per_j=prices.get(one.price_key, one.price_per_j)) for one in plant.offers]
        return RULES[option.rule](seen_by_rule(own.case, own.weather, own.calendar, own.demand_w, offers))

    def costs(factors: Mapping[str, Floats]) -> Floats:
        number = len(next(iter(factors.values())))
        alike: dict[bytes, list[int]] = {}
        for i in range(number):
            order = order_at({key: float(values[i]) for key, values in factors.items()})
            name = order.tobytes()
            if name not in known:
                known[name] = counted(own, run_plant(own, replace(plant, order=order)))
            alike.setdefault(name, []).append(i)
        found = np.empty(number)
        for name, at in alike.items():
            found[at] = known[name]({key: values[at] for key, values in factors.items()})
        return found

    return costs


def breakeven_prices(case: Case, weather: Weather) -> tuple[BreakEven, ...]:
    """Find every price at which two options change places.

    Parameters
    ----------
    case : Case
    weather : Weather

    Returns
    -------
    tuple of BreakEven
        For each pair of options that keep the house warm and each price that either of them pays: on bills alone, and over
        the years where the first costs of both are given.
    """
    common = lower_study(case, weather)
    today = run_today(common)
    return turning_prices(common, warm_options(common, today), today)


def turning_prices(
    common: LoweredStudy, options: Sequence[Option], today: Mapping[str, BatchResult] | None = None
) -> tuple[BreakEven, ...]:
    """Turning prices of each pair of some options; `today` is what `run_today` gave."""
    runs = {option.name: today[option.name] if today else run_once(common, option) for option in options}
    used = {option.name: paid_keys(common, option) for option in options}
    costs = {option.name: costs_at(common, option, runs[option.name]) for option in options}
    later = {
        option.name: costs_at(common, option, runs[option.name], life_cycle_of(option))
        for option in options
        if option.first_cost_given
    }
    turns = []
    for i, first in enumerate(options):
        for second in options[i + 1 :]:
            for key in common.case.prices:
                payers = (key in used[first.name]) + (key in used[second.name])
                if not payers:
                    continue
                found = turn(common, first, second, key, costs)
                if first.name in later and second.name in later:
                    found = replace(found, over_years=turn(common, first, second, key, later))
                turned = found.factor is not None or (found.over_years and found.over_years.factor is not None)
                # a price that both pay is told where it changes the decision
                if payers == 1 or turned:
                    turns.append(found)
    return tuple(turns)


def run_today(common: LoweredStudy) -> dict[str, BatchResult]:
    """A year of every option at today's prices, by its name."""
    return {option.name: run_once(common, option) for option in common.case.options}


def warm_options(common: LoweredStudy, today: Mapping[str, BatchResult]) -> tuple[Option, ...]:
    """Options that keep the house warm; all of them where fewer than two do, since something must be compared."""
    hours = [today[option.name].sums[0, k.SHORT_HOURS] for option in common.case.options]
    most = common.case.house.max_unmet_hours
    warm = tuple(o for o, short in zip(common.case.options, hours, strict=True) if short <= most)
    return warm if len(warm) > 1 else common.case.options


def paid_keys(common: LoweredStudy, option: Option) -> set[str]:
    """Price tables that an option pays, electricity for pumps and fans among them."""
    common = option_study(common, option)
    plant = lower_option(common, option)
    keys = {offer.price_key for offer in plant.offers}
    fans = common.water.pump_w > 0 or any(offer.auxiliary_w > 0 or offer.auxiliary_share > 0 for offer in plant.offers)
    return keys | ({ELECTRICITY} if fans else set())


def turn(
    common: LoweredStudy, first: Option, second: Option, key: str, costs: Mapping[str, Costs] | None = None
) -> BreakEven:
    """Find the price of one table, nearest to today's, at which two options cost the same: a root of the simulated costs.

    `costs` holds `costs_at` of each option by name, where several prices are asked of the same options.
    """
    known = costs or {option.name: costs_at(common, option) for option in (first, second)}

    def gaps(factors: Floats) -> Floats:
        return np.asarray(known[first.name]({key: factors}) - known[second.name]({key: factors}))

    today = common.case.prices[key].base_per_j(key) or float(common.surroundings.price_per_j[key].mean())
    tried = gaps(TRIED)
    below_wins = tried < 0.0
    factor = _nearest_root(gaps, tried)
    at = 0 if factor is None else int(np.searchsorted(TRIED, factor, side="right")) - 1
    below = first.name if below_wins[at] else second.name
    return BreakEven(key, first.name, second.name, factor, today, below)


Gaps = Callable[[Floats], Floats]
"""What one option costs more than another at factors on a price (n,)."""


def _nearest_root(gaps: Gaps, tried: Floats) -> float | None:
    """The factor nearest to one at which a gap changes its sign: two options may change places more than once."""
    below_wins, today = tried < 0.0, len(TRIED) // 2
    changes = np.flatnonzero(below_wins[:-1] != below_wins[1:])
    spans = [*changes[changes < today][-1:], *changes[changes >= today][:1]]
    roots = [_root(gaps, TRIED[at : at + 2], tried[at : at + 2]) for at in spans]
    return min(roots, key=lambda root: abs(np.log(root)), default=None)


def _root(gaps: Gaps, ends: Floats, at_ends: Floats) -> float:
    """The factor between two at which a gap changes its sign, to 1e-12 of itself.

    Bills of many prices cost little more than of one, so each round asks for a ladder of them about the point where a line
    through the ends crosses zero, which for a plain price is the answer, and for the quarters of the span.
    """
    while ends[1] - ends[0] > ROOT_SHARE * ends[0]:
        line = ends[0] - at_ends[0] * (ends[1] - ends[0]) / (at_ends[1] - at_ends[0])
        points = np.sort(np.concatenate((line * LADDER, ends[0] + QUARTERS * (ends[1] - ends[0]))))
        points = points[(points > ends[0]) & (points < ends[1])]
        if not len(points):
            break
        x, gap = (np.concatenate((one[:1], two, one[1:])) for one, two in ((ends, points), (at_ends, gaps(points))))
        at = int(np.argmax((gap[1:] < 0.0) != (gap[0] < 0.0)))
        ends, at_ends = x[at : at + 2], gap[at : at + 2]
    return float(ends[np.argmin(np.abs(at_ends))])


@dataclass(frozen=True, slots=True)
class PriceMap:
    """Which option is cheapest over two prices: index of the winner (rows, columns), factors along both sides."""

    across: str
    up: str
    across_factors: Floats
    up_factors: Floats
    winner: NDArray[np.int64]
    options: tuple[str, ...]


def price_map(case: Case, weather: Weather, across: str, up: str, *, steps: int = 15, widest: float = 2.0) -> PriceMap:
    """Map the cheapest option over two prices, each from half to twice today's by default.

    Parameters
    ----------
    case, weather
    across, up : str
        Two price tables.
    steps : int
        Points along each side.
    widest : float
        Largest factor on today's price.
    """
    common = lower_study(case, weather)
    factors = np.geomspace(1 / widest, widest, steps)
    grid = {up: np.repeat(factors, steps), across: np.tile(factors, steps)}
    today = run_today(common)
    options = warm_options(common, today)
    costs = np.stack([costs_at(common, option, today[option.name])(grid) for option in options])
    winner = costs.argmin(axis=0).reshape(steps, steps)
    return PriceMap(across, up, factors, factors, winner, tuple(option.name for option in options))


def as_json(turns: tuple[BreakEven, ...]) -> list[dict[str, Any]]:
    """Turning prices as plain data, per kWh of the fuel's higher heating value."""
    return [
        {
            "price": one.price,
            "first": one.first,
            "second": one.second,
            "today_per_kwh": one.today_per_j * KWH_J,
            "turns_at_per_kwh": _per_kwh(one),
            "cheaper_below": one.cheaper_below,
            "turns_over_years_at_per_kwh": _per_kwh(one.over_years),
            "cheaper_below_over_years": one.over_years.cheaper_below if one.over_years else None,
        }
        for one in turns
    ]


def _per_kwh(one: BreakEven | None) -> float | None:
    price = one.price_per_j() if one else None
    return None if price is None else price * KWH_J
