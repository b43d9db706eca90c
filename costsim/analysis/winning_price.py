"""Below which price of its own fuel an option would cost less than the cheapest one, however far today's price is from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from costsim.analysis.breakeven import WIDEST, turn
from costsim.analysis.price_costs import OptionCosts
from costsim.engine.lower import LoweredStudy
from costsim.study.case import Option
from costsim.units.arrays import Floats

NEARLY_FREE = np.linspace(0.0, 1.0 / WIDEST, 65)
"""Factors below those that a break-even price is searched among."""


@dataclass(frozen=True, slots=True)
class WinningPrice:
    """The price of `price` below which `option` costs less than `best`, all other prices as today.

    `factor` is that price over today's: 0 where the option costs more even if the fuel were free, infinity where it costs less
    at every price that was searched. `over_years` is the same of the life-cycle costs, None where a first cost is not given.
    """

    option: str
    best: str
    price: str
    today_per_j: float
    factor: float
    over_years: float | None


def winning_prices(
    common: LoweredStudy, best: Option, others: Sequence[Option], today: Mapping[str, OptionCosts]
) -> tuple[WinningPrice, ...]:
    """For each fuel that an option burns and `best` does not, the price at which both cost the same.

    Parameters
    ----------
    common : LoweredStudy
    best : Option
        The cheapest to run today.
    others : sequence of Option
        Those that are held against it.
    today : mapping
        Of all of them, as `costs_today` gives it.
    """
    known, prices = today[best.name], common.case.prices
    burned = best.price_keys(prices)
    wins = []
    for option in others:
        costs = today[option.name]
        for key in option.price_keys(prices):
            if key in burned:
                continue
            turn_at = turn(common, best, option, key, today)
            years, life = (_gaps(costs, known, key, kind) for kind in (0, 1))
            assert years is not None
            later = turn_at.over_years.factor if turn_at.over_years else None
            wins.append(
                WinningPrice(
                    option.name,
                    best.name,
                    key,
                    turn_at.today_per_j,
                    _factor(turn_at.factor, years),
                    None if life is None else _factor(later, life),
                )
            )
    return tuple(wins)


def _gaps(option: OptionCosts, best: OptionCosts, key: str, kind: int) -> Floats | None:
    """What an option costs more than the best while its fuel is nearly free (n,) [money]."""
    mine, least = (costs.at({key: NEARLY_FREE})[kind] for costs in (option, best))
    return None if mine is None or least is None else mine - least


def _factor(root: float | None, gaps: Floats) -> float:
    """The break-even factor: of the usual search, else among nearly free prices, where costs are lines between two."""
    if root is not None:
        return root
    if gaps[0] >= 0.0:
        return 0.0
    if gaps[-1] < 0.0:
        return float("inf")
    return float(np.interp(0.0, gaps, NEARLY_FREE))
