"""What a verdict leads with where the cheapest to run alone would mislead: the cheapest over the years, or two that are near each other."""

from __future__ import annotations

import math
from collections.abc import Callable

from costsim.analysis.breakeven import BreakEven
from costsim.analysis.lifecycle import over_years
from costsim.analysis.winning_price import WinningPrice
from costsim.results.result import OptionResult, Result
from costsim.views.answer import about, called, named, pair, ranked
from costsim.views.rounding import apart
from costsim.views.tables import money
from costsim.views.turning import below_text
from costsim.words import tr

NEAR = 0.1
"""Bills that are nearer to each other than this share do not decide alone."""
MOST_WORDS = 25
"""Of a verdict."""
STEP = 10.0
"""What two options save at least is told in such steps of money, rounded down."""

Turns = Callable[[Result], tuple[BreakEven | None, tuple[WinningPrice, ...]]]


def near_sentences(result: Result, system: str, turns: Turns) -> list[str]:
    """Say so where the answer compares with today's heating, which would hide the next best; empty elsewhere.

    Empty too where the first costs are known: then the years decide.
    """
    warm, both = [option for option in ranked(result) if option.keeps_warm], pair(result)
    if both is None or len(warm) < 3 or both[1].name == warm[1].name:
        return []
    best, second = warm[:2]
    if second.cost_total - best.cost_total >= NEAR * best.cost_total:
        return []
    case = result.lowered.case
    if over_years(case, result, [option.name for option in warm]).cheapest is not None:
        return []
    words = {"name": called(best.name), "other": called(second.name)}
    wins = [win for win in turns(result)[1] if win.option == second.name and win.factor and math.isfinite(win.factor)]
    ways = [tr("{name} and {other} cost about the same to run.", **words)]
    if wins:
        nearest = max(wins, key=lambda win: min(win.factor, 1.0 / win.factor))
        below = below_text(case, nearest, system)
        ways.insert(
            0, tr("{name} and {other} cost about the same to run; {other} wins below {price}.", price=below, **words)
        )
    first = next((way for way in ways if len(way.split()) <= MOST_WORDS), ways[-1])
    saved = (both[1].cost_total - second.cost_total) // STEP * STEP
    if saved <= 0:
        return [first]
    now = called(both[1].name)
    return [
        first,
        tr("Both save at least {cost} a year against {name} today.", cost=money(saved, result.currency), name=now),
    ]


def years_sentences(result: Result, leader: OptionResult, best: OptionResult) -> list[str]:
    """That the `leader` costs least over the years though `best` is cheaper to run, unless their bills are alike; the longest way first."""
    costs = dict(over_years(result.lowered.case, result, [leader.name, best.name]).order)
    cost, _, less = (money(figure, result.currency) for figure in apart(costs[leader.name], costs[best.name], 3))
    words = {
        "name": named(result, leader.name),
        "years": str(result.lowered.case.economics.study_period),
        "cost": cost,
        "less": less,
        "other": called(best.name),
        "run": money(about(result, best), result.currency),
    }
    if apart(best.cost_total, leader.cost_total)[2]:
        ways = [
            tr(
                "{name} costs least over {years} years: {cost}, {less} less than {other}, which is cheapest to run ({run} a year).",
                **words,
            ),
            tr(
                "{name} costs least over {years} years: {cost}, {less} less than {other}, which is cheapest to run.",
                **words,
            ),
        ]
    else:
        ways = [tr("{name} costs least over {years} years: {cost}, {less} less than {other}.", **words)]
    return [
        *ways,
        tr("{name} costs least over {years} years, {less} less than {other}.", **words),
        tr("{name} costs least over {years} years: {cost}.", **words),
    ]
