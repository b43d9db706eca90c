"""At which price the answer turns: the root of the real simulation, and a map over two prices."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from costsim.analysis.known import known_study
from costsim.analysis.price_costs import OptionCosts, costs_together, prepare
from costsim.engine import layout as k
from costsim.engine.lower import LoweredStudy
from costsim.study.case import Case, Option
from costsim.units.arrays import Floats, Ints
from costsim.units.quantity import KWH_J
from costsim.weather import Weather

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

    @property
    def cheaper_above(self) -> str:
        """The option that wins just above the price."""
        return self.second if self.cheaper_below == self.first else self.first

    @property
    def lies_below(self) -> bool:
        """Whether the price is below today's."""
        return self.factor is not None and self.factor < 1

    @property
    def winner(self) -> str:
        """The option that wins beyond the price, as seen from today's."""
        return self.cheaper_below if self.lies_below else self.cheaper_above


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
    common = known_study(case, weather)
    today = costs_today(common)
    return turning_prices(common, warm_options(common, today), today)


def turning_prices(
    common: LoweredStudy, options: Sequence[Option], today: Mapping[str, OptionCosts] | None = None
) -> tuple[BreakEven, ...]:
    """Turning prices of each pair of some options; `today` is what `costs_today` gave."""
    known = {option.name: today[option.name] if today else OptionCosts(common, option) for option in options}
    used = {name: costs.paid_keys() for name, costs in known.items()}
    prepare(known.values(), TRIED)
    pairs = [(first, second) for i, first in enumerate(options) for second in options[i + 1 :]]
    break_evens = {
        key: _turns(common, [(a, b) for a, b in pairs if key in used[a.name] | used[b.name]], key, known)
        for key in common.case.prices
    }
    turns = []
    for first, second in pairs:
        for key in common.case.prices:
            break_even = break_evens[key].get((first.name, second.name))
            if break_even is None:
                continue
            turned = break_even.factor is not None or (
                break_even.over_years and break_even.over_years.factor is not None
            )
            # a price that both pay is told where it changes the decision
            if turned or not (key in used[first.name] and key in used[second.name]):
                turns.append(break_even)
    return tuple(turns)


def costs_today(common: LoweredStudy) -> dict[str, OptionCosts]:
    """What every option comes to, by its name, with its year at today's prices run."""
    return {option.name: OptionCosts(common, option) for option in common.case.options}


def warm_options(common: LoweredStudy, today: Mapping[str, OptionCosts]) -> tuple[Option, ...]:
    """Options that keep the house warm; all of them where fewer than two do, since something must be compared."""
    hours = [today[option.name].today.sums[0, k.SHORT_HOURS] for option in common.case.options]
    most = common.case.house.max_unmet_hours
    warm = tuple(o for o, short in zip(common.case.options, hours, strict=True) if short <= most)
    return warm if len(warm) > 1 else common.case.options


def turn(
    common: LoweredStudy, first: Option, second: Option, key: str, known: Mapping[str, OptionCosts] | None = None
) -> BreakEven:
    """Find the price of one table, nearest to today's, at which two options cost the same: a root of the simulated costs.

    `known` is what `costs_today` gave.
    """
    known = known or {option.name: OptionCosts(common, option) for option in (first, second)}
    return _turns(common, [(first, second)], key, known)[first.name, second.name]


@dataclass(slots=True)
class _Span:
    """Two factors on a price between which what one option costs more than another changes its sign, and that gap at both.

    Bills of many prices cost little more than of one, so each round asks for a ladder of them about the point where a line
    through the ends crosses zero, which for a plain price is the answer, and for the quarters of the span.
    """

    question: tuple[str, str, int]
    ends: Floats
    at_ends: Floats

    def points(self) -> Floats:
        """Factors to ask for next; none once the root is known to 1e-12 of itself."""
        (low, high), (at_low, at_high) = self.ends, self.at_ends
        if high - low <= ROOT_SHARE * low:
            return np.empty(0)
        line = low - at_low * (high - low) / (at_high - at_low)
        points = np.sort(np.concatenate((line * LADDER, low + QUARTERS * (high - low))))
        return np.asarray(points[(points > low) & (points < high)])

    def narrow(self, points: Floats, gap: Floats) -> None:
        """Take the first two between which the gap changes its sign."""
        x, gaps = (
            np.concatenate((outer[:1], inner, outer[1:])) for outer, inner in ((self.ends, points), (self.at_ends, gap))
        )
        at = int(np.argmax((gaps[1:] < 0.0) != (gaps[0] < 0.0)))
        self.ends, self.at_ends = x[at : at + 2], gaps[at : at + 2]

    def root(self) -> float:
        """The end at which less is missing."""
        return float(self.ends[np.argmin(np.abs(self.at_ends))])


def _turns(
    common: LoweredStudy, pairs: Sequence[tuple[Option, Option]], key: str, known: Mapping[str, OptionCosts]
) -> dict[tuple[str, str], BreakEven]:
    """The turning price of one table for each of some pairs, by their names: each option is billed once a round, for all of them."""
    both = [option.name for pair in pairs for option in pair]
    names = list(dict.fromkeys(both))
    tried = dict(zip(names, costs_together([(known[name], {key: TRIED}) for name in names]), strict=True))
    gaps: dict[tuple[str, str, int], Floats] = {}
    for first, other in pairs:
        for kind, (a, b) in enumerate(zip(tried[first.name], tried[other.name], strict=True)):
            if a is not None and b is not None:
                gaps[first.name, other.name, kind] = a - b
    spans = [
        _Span(question, TRIED[at : at + 2], gap[at : at + 2]) for question, gap in gaps.items() for at in _changes(gap)
    ]
    _narrow(spans, key, known)
    today = common.case.prices[key].base_per_j(key) or float(common.surroundings.price_per_j[key].mean())

    def told(first: str, other: str, kind: int) -> BreakEven | None:
        gap = gaps.get((first, other, kind))
        if gap is None:
            return None
        roots = [span.root() for span in spans if span.question == (first, other, kind)]
        # of several the nearest: two options may change places more than once
        factor = min(roots, key=lambda root: abs(np.log(root)), default=None)
        at = 0 if factor is None else int(np.searchsorted(TRIED, factor, side="right")) - 1
        return BreakEven(key, first, other, factor, today, first if gap[at] < 0.0 else other)

    turns = {}
    for first, other in pairs:
        pair = first.name, other.name
        year = told(*pair, 0)
        assert year is not None
        turns[pair] = replace(year, over_years=told(*pair, 1))
    return turns


def _changes(gap: Floats) -> list[int]:
    """Where a gap at `TRIED` changes its sign, the nearest below and the nearest above today's price."""
    below_wins, today = gap < 0.0, len(TRIED) // 2
    changes = np.flatnonzero(below_wins[:-1] != below_wins[1:])
    return [*changes[changes < today][-1:].tolist(), *changes[changes >= today][:1].tolist()]


def _narrow(spans: Sequence[_Span], key: str, known: Mapping[str, OptionCosts]) -> None:
    """Narrow all spans together until each holds its root alone."""
    while asked := [(span, points) for span in spans if len(points := span.points())]:
        costs: dict[tuple[int, str], Floats] = {}
        names = list(dict.fromkeys(name for span, _ in asked for name in span.question[:2]))
        wanted = [
            [(at, points) for at, (span, points) in enumerate(asked) if name in span.question[:2]] for name in names
        ]
        both_costs = costs_together(
            [
                (known[name], {key: np.concatenate([points for _, points in mine])})
                for name, mine in zip(names, wanted, strict=True)
            ]
        )
        for name, mine, money in zip(names, wanted, both_costs, strict=True):
            first = 0
            for at, points in mine:
                kind = money[asked[at][0].question[2]]
                assert kind is not None
                costs[at, name] = kind[first : first + len(points)]
                first += len(points)
        for at, (span, points) in enumerate(asked):
            left, other, _ = span.question
            span.narrow(points, costs[at, left] - costs[at, other])


@dataclass(frozen=True, slots=True)
class PriceMap:
    """What a year costs over two prices (options, rows, columns), index of the cheapest (rows, columns), factors along both sides."""

    across: str
    up: str
    across_factors: Floats
    up_factors: Floats
    winner: Ints
    options: tuple[str, ...]
    costs: Floats


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
    common = known_study(case, weather)
    factors = widest ** np.linspace(-1.0, 1.0, steps)
    grid = {up: np.repeat(factors, steps), across: np.tile(factors, steps)}
    today = costs_today(common)
    options = warm_options(common, today)
    costs = np.stack([year for year, _ in costs_together([(today[o.name], grid) for o in options], life=False)])
    costs = costs.reshape(len(options), steps, steps)
    return PriceMap(across, up, factors, factors, costs.argmin(axis=0), tuple(option.name for option in options), costs)


def as_json(turns: tuple[BreakEven, ...]) -> list[dict[str, Any]]:
    """Turning prices as plain data, per kWh of the fuel's higher heating value."""
    return [
        {
            "price": break_even.price,
            "first": break_even.first,
            "second": break_even.second,
            "today_per_kwh": break_even.today_per_j * KWH_J,
            "turns_at_per_kwh": _per_kwh(break_even),
            "cheaper_below": break_even.cheaper_below,
            "turns_over_years_at_per_kwh": _per_kwh(break_even.over_years),
            "cheaper_below_over_years": break_even.over_years.cheaper_below if break_even.over_years else None,
        }
        for break_even in turns
    ]


def _per_kwh(break_even: BreakEven | None) -> float | None:
    price = break_even.price_per_j() if break_even else None
    return None if price is None else price * KWH_J
