"""The decision: who is cheapest to buy, to run and over the years, emits least and never leaves the house cold, and how sure.

Every option is run under the same scenarios; each draw has a path of every price over the years, on which its life-cycle cost is
computed from its own bills.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from costsim.analysis.cash_flow import incentives_of, payments_of, price_factor, upkeep_of
from costsim.analysis.lifecycle import Outlay, single_present_value
from costsim.analysis.price_costs import co2_of_runs
from costsim.analysis.scenarios import Scenarios, band, draw, lower_years, simulate_scenarios
from costsim.analysis.uncertainty import share_cheaper, shares, shares_least
from costsim.engine import layout as k
from costsim.engine.batch import BatchResult, price_batch
from costsim.engine.lower import LoweredStudy
from costsim.simulation import load_winters
from costsim.study.case import Case, Option
from costsim.units.arrays import Floats
from costsim.weather import Weather


@dataclass(frozen=True, slots=True)
class PriceSwing:
    """How a price moves about its level: standard deviation of a year's shock, the share of its distance that a year takes back, source."""

    volatility: float
    reversion: float
    source: str


EIA_JANUARY = (
    "US residential price of January, 1990-2022, EIA Monthly Energy Review table {table}: log price about its trend follows itself by {keep}"
    " from one year to the next"
)
TYPED_PATH = "typed (economics.price_volatility); way back: {source}"
FROM_MEMORY = "value from memory, of the order of US retail prices of EIA; half-lives of years after R. S. Pindyck, The Energy Journal 20 (1999)"
SWINGS = {
    "electricity": PriceSwing(0.031, 0.17, EIA_JANUARY.format(table="9.8", keep="0.83")),
    "natural_gas": PriceSwing(0.136, 0.26, EIA_JANUARY.format(table="9.10", keep="0.74")),
    "propane": PriceSwing(0.13, 0.15, FROM_MEMORY),
    "heating_oil": PriceSwing(0.16, 0.15, FROM_MEMORY),
    "wood": PriceSwing(0.06, 0.15, FROM_MEMORY),
    "pellets": PriceSwing(0.06, 0.15, FROM_MEMORY),
}
"""How household prices move from year to year; `economics.price_volatility` replaces the first figure. Nominal prices: inflation's own
ups and downs, of about a point, are in them."""


def price_swing(case: Case, key: str) -> PriceSwing:
    """How the price of a table moves: as typed, else as its fuel's does."""
    known = SWINGS.get(case.prices[key].fuel_name(key), PriceSwing(0.1, 0.15, FROM_MEMORY))
    typed = case.economics.price_volatility.get(key)
    if typed is None:
        return known
    return PriceSwing(typed, known.reversion, TYPED_PATH.format(source=known.source))


@dataclass(frozen=True, slots=True)
class OptionDecision:
    """One option over all scenarios: cost of its first year, life-cycle cost, CO2 of a year, hours unmet (scenarios,)."""

    name: str
    to_buy: float | None
    to_run: Floats
    life_cycle: Floats
    co2_kg: Floats
    unmet_hours: Floats

    def band(self) -> tuple[float, float, float]:
        """Life-cycle cost at 10, 50 and 90 %."""
        return band(self.life_cycle)


@dataclass(frozen=True, slots=True)
class Verdict:
    """Which option wins by one measure, in what share of the scenarios, and its figure; None where nothing can be said."""

    question: str
    option: str | None
    probability: float
    figure: float
    unit: str
    left_out: int = 0
    """How many options were not compared, since they leave the house cold."""
    unpriced: tuple[str, ...] = ()
    """Options that were not compared, since no first cost is given for them."""
    entered: float | None = None
    """The same figure at the prices entered, which screen and paper show; `figure` is the middle of the scenarios."""
    others: tuple[tuple[str, float], ...] = ()
    """Of what more than one option can be, in what share of the scenarios each of the others is it, the most often first."""
    alike: tuple[str, ...] = ()
    """Other options with the same figure in every scenario: none of them wins."""


@dataclass(frozen=True, slots=True)
class Decision:
    """What to decide on, and what it hangs on: `drivers` are squared rank correlations with the gap of the best two."""

    options: tuple[OptionDecision, ...]
    verdicts: tuple[Verdict, ...]
    pair: tuple[str, str]
    drivers: Mapping[str, float]
    waiting: tuple[tuple[str, float], ...]
    swings: Mapping[str, PriceSwing]
    years: int
    scenarios: int
    seed: int


def price_paths(case: Case, scenarios: Scenarios) -> dict[str, Floats]:
    """Prices of each year over today's, by table (scenarios, years).

    Notes
    -----
    ``ln p_t = ln path_t + ln level + u_t`` with ``u_t = (1 − κ) u_{t−1} + σ ε_t``: the level is the draw's own, the path the
    study's, and `u` comes back to nothing at the rate κ. The shocks of a year share the study's correlation of prices.
    """
    settings, years = case.economics, case.economics.study_period
    rng = np.random.default_rng([case.uncertainty.seed, 2])
    n, rho = len(scenarios.load), case.uncertainty.price_correlation
    shared, paths = rng.standard_normal((n, years)), {}
    for key, level in scenarios.prices.items():
        swing = price_swing(case, key)
        shock = np.sqrt(rho) * shared + np.sqrt(1.0 - rho) * rng.standard_normal((n, years))
        log, path = np.zeros(n), np.empty((n, years))
        for at in range(years):
            log = (1.0 - swing.reversion) * log + swing.volatility * shock[:, at]
            path[:, at] = price_factor(settings, key, at + 1) * level * np.exp(log)
        paths[key] = path
    return paths


def decide(case: Case, weather: Weather, outlays: Sequence[Outlay]) -> Decision:
    """Run every option under the same scenarios and judge.

    Parameters
    ----------
    case, weather
    outlays : sequence of Outlay
        What `life_cycle` gave for the options.

    Returns
    -------
    Decision
        Same seed, same answer. First costs are as typed and not drawn.
    """
    years = lower_years(case, weather, load_winters(case))
    scenarios = draw(case, *years)
    runs, paths = simulate_scenarios(years, scenarios), price_paths(case, scenarios)
    options = tuple(
        _option(years[0], option, run, scenarios, paths) for option, run in zip(case.options, runs, strict=True)
    )
    most = case.house.max_unmet_hours
    # the rule of the screens: warm at what is entered
    warm = [option for option, entered in zip(options, outlays, strict=True) if entered.unmet_hours <= most]
    order = sorted(warm or options, key=lambda option: float(np.median(option.life_cycle)))
    best, second = order[0], order[min(1, len(order) - 1)]
    named = _drivers(scenarios, paths, second.life_cycle - best.life_cycle)
    return Decision(
        options, _verdicts(case, options, warm, outlays), (best.name, second.name), named, _waiting(case, outlays),
        {key: price_swing(case, key) for key in scenarios.prices},
        case.economics.study_period, case.uncertainty.scenarios, case.uncertainty.seed,
    )  # fmt: skip


def _option(
    common: LoweredStudy, option: Option, run: BatchResult, scenarios: Scenarios, paths: Mapping[str, Floats]
) -> OptionDecision:
    case, co2 = common.case, co2_of_runs(common, option, run)
    cost = life_cycle_of_runs(common, option, run, paths, co2)
    to_run = price_batch(common, run, scenarios.prices) + upkeep_of(option)
    to_buy = None
    if option.first_cost_given:
        at_once = sum(
            paid
            for incentive, paid in incentives_of(option, case.economics.tax_liability_money)[0]
            if incentive.year == 0
        )
        to_buy = option.first_cost_money - option.rebate_money - at_once
    return OptionDecision(option.name, to_buy, to_run, cost, co2, run.sums[:, k.SHORT_HOURS])


def life_cycle_of_runs(
    common: LoweredStudy, option: Option, run: BatchResult, paths: Mapping[str, Floats], co2_kg: Floats | None = None
) -> Floats:
    """Life-cycle cost of an option in each draw (scenarios,), on the draw's own path of every price.

    `paths` is what `price_paths` gave; `co2_kg` (scenarios,) is worked out from the runs where it is left out.
    """
    case, rate = common.case, common.case.economics.discount_rate_share_per_year
    co2 = co2_of_runs(common, option, run) if co2_kg is None else co2_kg
    # carbon goes with each draw, all else beside the bills is the same in all
    still, with_one = payments_of(case, option, 0.0), payments_of(case, option, 1.0)
    cost = np.full(len(run.sums), option.first_cost_money - option.rebate_money + still.first)
    for year in range(1, case.economics.study_period + 1):
        bills = price_batch(common, run, {key: path[:, year - 1] for key, path in paths.items()})
        price = with_one.yearly[year - 1] - still.yearly[year - 1]
        carbon = price * co2 if price else 0.0  # carbon that nobody knows costs nothing where it has no price
        replaced = option.replacement_money if year == option.replacement_year else 0.0
        paid = bills + carbon + upkeep_of(option) + still.yearly[year - 1] + replaced
        cost = cost + paid * single_present_value(rate=rate, year=year)
    return cost


def _drivers(scenarios: Scenarios, paths: Mapping[str, Floats], gap: Floats) -> dict[str, float]:
    """What moves the gap of life-cycle cost: everything drawn, and the years' own ups and downs of each price."""
    from scipy.stats import rankdata

    correlations, ranks = shares(scenarios, gap), rankdata(gap)
    for key, path in paths.items():
        swing = np.log(path).mean(axis=1) - np.log(scenarios.prices[key])
        if np.ptp(swing) > 0 and np.ptp(gap) > 0:
            r = float(np.corrcoef(rankdata(swing), ranks)[0, 1])
            correlations[f"path of the price of {key.replace('_', ' ')}"] = r * r
    return dict(sorted(correlations.items(), key=lambda driver: -driver[1]))


def _verdicts(
    case: Case, options: Sequence[OptionDecision], warm: Sequence[OptionDecision], outlays: Sequence[Outlay] = ()
) -> tuple[Verdict, ...]:
    """One line for each question; costs and carbon among the options that keep the house warm, first costs among those that have one.

    Where none keeps it warm none is the cheapest.
    """
    bought = [option for option in warm if option.to_buy is not None]
    cheap = min(bought, key=lambda option: option.to_buy or 0.0) if bought else None
    lacking = tuple(option.name for option in warm if option.to_buy is None)
    paid = {outlay.option: outlay for outlay in outlays}
    left_out = len(options) - len(warm)
    period = f"over {case.economics.study_period} years"
    verdicts = [
        Verdict(
            "cheapest to buy",
            cheap.name if cheap else None,
            1.0 if cheap else 0.0,
            (cheap.to_buy or 0.0) if cheap else 0.0,
            "money",
            left_out,
            lacking,
        )
    ]
    for question, compared, values, unit in (
        ("cheapest to run", warm, [option.to_run for option in warm], "money a year"),
        (f"cheapest {period}", bought, [option.life_cycle for option in bought], "money"),
        ("least carbon", warm, [option.co2_kg / 1e3 for option in warm], "metric tons CO2 a year"),
    ):
        later = question.startswith("cheapest over")
        if not compared or any(np.isnan(value).any() for value in values):  # carbon of a grid that is not known
            verdicts.append(Verdict(question, None, 0.0, 0.0, unit, left_out, lacking if later else ()))
            continue
        odds = shares_least(values)
        at = int(odds.argmax())
        won = paid.get(compared[at].name)
        entered = None if won is None or unit.startswith("metric") else won.present_cost if later else won.running
        middle = float(np.median(values[at]))
        alike = tuple(
            option.name
            for option, value in zip(compared, values, strict=True)
            if option is not compared[at] and np.allclose(value, values[at], rtol=1e-9)
        )
        verdicts.append(
            Verdict(
                question,
                compared[at].name,
                float(odds[at]),
                middle,
                unit,
                left_out,
                lacking if later else (),
                entered,
                alike=alike,
            )
        )
    kept = [float(np.mean(option.unmet_hours <= case.house.max_unmet_hours)) for option in options]
    at = int(np.argmax(kept))
    names = ", ".join(option.name for option, share in zip(options, kept, strict=True) if share == kept[at])
    rest = [(option.name, share) for option, share in zip(options, kept, strict=True) if share < kept[at]]
    others = tuple(sorted(rest, key=lambda pair: -pair[1]))
    middle = float(np.median(options[at].unmet_hours))
    entered = paid[options[at].name].unmet_hours if options[at].name in paid else None
    verdicts.append(Verdict("never cold", names, kept[at], middle, "hours a year", entered=entered, others=others))
    return tuple(verdicts)


def _waiting(case: Case, outlays: Sequence[Outlay]) -> tuple[tuple[str, float], ...]:
    """What a year's waiting costs with today's option, or the first one, before each of the others is bought (negative where it pays).

    Life-cycle cost of a year on the first option, whose own purchase is paid for, and then the other for the years left, less that of the
    other at once: all that buying it brings, first cost, incentives, loan, renewals and what its parts are worth at the end, falls a
    year later, a replacement of the last year too, while bills and upkeep go by the calendar. Of incentives, those that expire are lost
    and the others are paid as if bought now (`payments_of`). Nothing is said of options that leave the house cold: waiting in the cold
    saves nothing; nor where the first one is worn out within the year, since nobody renews it for one more.
    """
    most = case.house.max_unmet_hours
    rate, swings = case.economics.discount_rate_share_per_year, []
    base = case.today or case.options[0]
    if base.replacement_money and base.replacement_year == 1:
        return ()
    first = outlays[case.options.index(base)]
    if first.unmet_hours > most:
        return ()
    owed = payments_of(case, base, 0.0)
    # what it pays and gets for its own purchase is there either way; what is renewed in that year is not
    kept = first.yearly[0] - owed.yearly[0] + owed.invested[0]
    for other, option in zip(outlays, case.options, strict=True):
        if other is first or not other.priced or other.unmet_hours > most:
            continue
        now, late = payments_of(case, option, 0.0), payments_of(case, option, 0.0, wait=1)
        gained = [b - a for a, b in itertools.zip_longest(now.yearly, late.yearly, fillvalue=0.0)]
        due, running = option.replacement_year, other.yearly[0] - now.yearly[0]
        if 1 <= due <= case.economics.study_period:
            gained[due - 1] -= option.replacement_money
            gained[due] += option.replacement_money
            running -= option.replacement_money if due == 1 else 0.0
        gained[0] += kept - running + other.first - now.first + late.first
        worth = math.fsum(gain * single_present_value(rate=rate, year=year) for year, gain in enumerate(gained, 1))
        swings.append((other.option, worth - other.first))
    return tuple(swings)


def as_json(decision: Decision) -> dict[str, Any]:
    """The decision as plain data."""
    return {
        "years": decision.years, "scenarios": decision.scenarios, "seed": decision.seed, "pair": list(decision.pair),
        "verdicts": [
            {"question": v.question, "option": v.option, "probability": v.probability, "figure": v.figure, "unit": v.unit}
            for v in decision.verdicts
        ],
        "life_cycle_10_50_90": {option.name: list(option.band()) for option in decision.options},
        "first_is_cheaper": share_cheaper(*(option.life_cycle for name in decision.pair for option in decision.options if option.name == name)),
        "drivers": dict(decision.drivers),
        "cost_of_waiting_a_year": dict(decision.waiting),
        "price_swings": {key: asdict(swing) for key, swing in decision.swings.items()},
    }  # fmt: skip
