"""How sure the answer is: every option under the same scenarios, its band, and the odds that one is cheaper than another."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from costsim.analysis.scenarios import Scenarios, band, draw, in_winter, lower_years, price_name, simulate_scenarios
from costsim.analysis.sensitivity import Sensitivity, sensitivity
from costsim.engine import layout as k
from costsim.engine.batch import price_batch, run_once
from costsim.engine.lower import LoweredStudy
from costsim.simulation import load_winters
from costsim.study.case import Case, Option
from costsim.units.arrays import Floats
from costsim.weather import Weather
from costsim.weather.winters import Z_ONE_IN_TEN
from costsim.words import tr

COLDEST = 0.19 / 0.055
"""Degree-days of the coldest winter on record above the mean, in standard deviations: published extremes −23 % and +19 % at 5.5 %."""

ALIKE = 1e-6
"""Root of what is left of things that move as one."""


@dataclass(frozen=True, slots=True)
class OptionUncertainty:
    """One option over all scenarios: cost and unmet hours (scenarios,)."""

    name: str
    cost: Floats
    unmet_hours: Floats
    unmet_j: Floats

    def band(self) -> tuple[float, float, float]:
        """Cost at 10, 50 and 90 %."""
        return band(self.cost)


@dataclass(frozen=True, slots=True)
class Winter:
    """One kind of winter: cost and unmet hours of each option."""

    name: str
    degree_days_share: float
    cost: tuple[float, ...]
    unmet_hours: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class UncertaintyResult:
    """The answer with its uncertainty, and what of it would change the answer between the two options in question."""

    seed: int
    scenarios: int
    options: tuple[OptionUncertainty, ...]
    pair: tuple[str, str]
    first_is_cheaper: float
    gap_band: tuple[float, float, float]
    sensitivity: tuple[Sensitivity, ...]
    price_correlation: Mapping[str, float]
    winters: tuple[Winter, ...]


def uncertainty(case: Case, weather: Weather, progress: Callable[[float], None] | None = None) -> UncertaintyResult:
    """Run the options under many plausible years.

    Parameters
    ----------
    case : Case
        Its ``[uncertainty]`` table says how far off things may be.
    weather : Weather
    progress : callable, optional
        Told the share done.

    Returns
    -------
    UncertaintyResult
        Same seed, same answer, on any number of processors.
    """
    years = lower_years(case, weather, load_winters(case))
    common = years[0]
    scenarios = draw(case, *years)
    runs = simulate_scenarios(years, scenarios, progress)
    options = tuple(
        OptionUncertainty(
            option.name,
            price_batch(common, many, scenarios.prices),
            many.sums[:, k.SHORT_HOURS],
            many.sums[:, k.SUM_SHORT],
        )
        for option, many in zip(case.options, runs, strict=True)
    )
    kinds = winters(common, years[1:])
    pair = tuple(options[at] for at in pair_in_question(case, kinds[0]))
    gap = pair[1].cost - pair[0].cost
    return UncertaintyResult(
        seed=case.uncertainty.seed,
        scenarios=case.uncertainty.scenarios,
        options=options,
        pair=(pair[0].name, pair[1].name),
        first_is_cheaper=share_cheaper(pair[0].cost, pair[1].cost),
        gap_band=band(gap),
        sensitivity=sensitivity(years, scenarios, (pair[0].name, pair[1].name)),
        price_correlation=shares(scenarios, gap),
        winters=kinds,
    )


def odds(case: Case, weather: Weather) -> float:
    """Share of scenarios in which the first option of a study is cheaper than its second; only these two are simulated."""
    narrow = case.model_copy(update={"option": case.options[:2]})
    years = lower_years(narrow, weather, load_winters(case))
    scenarios = draw(narrow, *years)
    first, second = (price_batch(years[0], many, scenarios.prices) for many in simulate_scenarios(years, scenarios))
    return share_cheaper(first, second)


def pair_in_question(case: Case, year: Winter) -> tuple[int, int]:
    """Places of the two options to choose between, as the answer of `compare` chooses them.

    The best at today's prices in the study's own year, and what heats the house today; where that is the best itself,
    leaves the house cold or is not named, the next best.
    """
    cold = [hours > case.house.max_unmet_hours for hours in year.unmet_hours]
    worth = [hours if weak else cost for weak, hours, cost in zip(cold, year.unmet_hours, year.cost, strict=True)]
    order = sorted(range(len(cold)), key=lambda at: (cold[at], worth[at]))
    now = [at for at in order[1:] if case.options[at].today and not cold[at]]
    return order[0], (now or order[1:] or order)[0]


def shares_least(costs: Sequence[Floats]) -> Floats:
    """In which share of the scenarios each costs least, (options,); those that tie share a scenario.

    Examples
    --------
    >>> shares_least([np.array([1.0, 2.0]), np.array([2.0, 2.0])])
    array([0.75, 0.25])
    """
    least = np.stack(costs) == np.min(costs, axis=0)
    least_shares: Floats = (least / least.sum(axis=0)).mean(axis=1)
    return least_shares


def share_cheaper(first: Floats, second: Floats) -> float:
    """Share of scenarios in which the first is cheaper; a tie counts half."""
    return float(shares_least((first, second))[0])


def shares(scenarios: Scenarios, gap: Floats) -> dict[str, float]:
    """Share of everything that was drawn in what moves the gap between the two options.

    Notes
    -----
    The squared rank correlation with the gap. Prices that move together hide each other in it: one that the others outweigh may
    show no correlation though it matters. What they explain together is shared out by relative weights (Johnson 2000,
    Multivariate Behavioral Research 35): through the nearest set of things that do not move together.
    """
    from scipy.stats import rankdata  # ties share the mean of their ranks

    ranks, named = rankdata(gap), scenarios.named()
    prices = [price_name(key) for key in scenarios.prices]
    explained = dict.fromkeys(named, 0.0)
    if np.ptp(gap) > 0:
        moving = {name: rankdata(values) for name, values in named.items() if np.ptp(values) > 0}
        groups = [[name] for name in moving if name not in prices]
        for group in [*groups, [name for name in prices if name in moving]]:
            rows = np.atleast_2d(np.corrcoef([*(moving[name] for name in group), ranks]))
            if group:
                explained.update(zip(group, relative_weights(rows[:-1, :-1], rows[:-1, -1]).tolist(), strict=True))
    return explained


def relative_weights(among: Floats, with_gap: Floats) -> Floats:
    """Share of each of several things in what they explain together (things,), from their correlations.

    Parameters
    ----------
    among : array (things, things)
        Correlations of the things with each other.
    with_gap : array (things,)
        With what they explain.

    Examples
    --------
    Of two things that do not move together each has its squared correlation.

    >>> relative_weights(np.eye(2), np.array([0.6, 0.5])).round(2).tolist()
    [0.36, 0.25]
    """
    sizes, axes = np.linalg.eigh(among)
    roots = np.sqrt(np.maximum(sizes, 0.0))
    over = np.divide(1.0, roots, out=np.zeros_like(roots), where=roots > ALIKE)
    apart = axes @ (over * (axes.T @ with_gap))
    weights: Floats = ((axes * roots) @ axes.T) ** 2 @ apart**2
    return weights


def winters(common: LoweredStudy, others: Sequence[LoweredStudy] = ()) -> tuple[Winter, ...]:
    """Typical, one-in-ten and coldest winter, and each further weather year, at today's prices side by side."""
    spread = common.case.uncertainty.winter_share
    kinds = (
        (tr("this weather year"), 0.0),
        (tr("one winter in ten"), Z_ONE_IN_TEN * spread),
        (tr("coldest winter"), COLDEST * spread),
    )
    own = common.degree_hours_k_h
    rows = [(name, share, in_winter(common, share)) for name, share in kinds]
    for name, weather in zip(common.case.uncertainty.weather, others, strict=False):
        rows.append((tr("weather of {name}", name=name), weather.degree_hours_k_h / own - 1.0 if own else 0.0, weather))
    table = []
    for name, share, year in rows:
        costs = [_one_winter(year, option) for option in common.case.options]
        table.append(Winter(name, share, tuple(cost for cost, _ in costs), tuple(hours for _, hours in costs)))
    return tuple(table)


def _one_winter(common: LoweredStudy, option: Option) -> tuple[float, int]:
    """Cost and unmet hours of an option in a winter."""
    many = run_once(common, option)
    return float(price_batch(common, many, {})[0]), int(many.sums[0, k.SHORT_HOURS])


def as_json(uncertainty: UncertaintyResult) -> dict[str, Any]:
    """The uncertainty as plain data."""
    return {
        "seed": uncertainty.seed,
        "scenarios": uncertainty.scenarios,
        "pair": list(uncertainty.pair),
        "first_is_cheaper": uncertainty.first_is_cheaper,
        "gap_10_50_90": list(uncertainty.gap_band),
        "options": [
            {
                "name": option.name,
                "cost_10_50_90": list(option.band()),
                "unmet_hours_median": float(np.median(option.unmet_hours)),
            }
            for option in uncertainty.options
        ],
        "ranking": [
            {
                "what": row.what,
                "low_high": list(row.values),
                "gap_at_low_high": [row.low, row.high],
                "turns_the_answer": row.turns,
                "share": uncertainty.price_correlation[row.what],
            }
            for row in uncertainty.sensitivity
        ],
        "winters": [
            {
                "name": winter.name,
                "degree_days_share": winter.degree_days_share,
                "cost": list(winter.cost),
                "unmet_hours": list(winter.unmet_hours),
            }
            for winter in uncertainty.winters
        ],
    }
