"""Priority rules: in which order the sources are called, hour by hour.

Lockouts, clock windows, seasons and backup duty are said by each source; a rule orders what is left.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations

import numpy as np

from costsim.sources.offer import Offer
from costsim.units.arrays import Ints

Order = Ints
Rule = Callable[[Sequence[Offer]], Order]

RULES: dict[str, Rule] = {}


def _rule(name: str) -> Callable[[Rule], Rule]:
    def put(function: Rule) -> Rule:
        RULES[name] = function
        return function

    return put


@_rule("fixed")
def fixed_priority(offers: Sequence[Offer]) -> Order:
    """Call the sources as listed, those for backup only after all others.

    Parameters
    ----------
    offers : sequence of Offer

    Returns
    -------
    array of int (sources, n)
        Index of the source called first, second, third.
    """
    n = len(offers[0].capacity_w)
    order = sorted(range(len(offers)), key=lambda i: (offers[i].rank, i))
    return np.repeat(np.array(order, dtype=np.int64)[:, None], n, axis=1)


@_rule("cheapest_now")
def cheapest_now(offers: Sequence[Offer]) -> Order:
    """Call the source with the lowest money per delivered heat at this hour's tariff and efficiency first.

    Parameters
    ----------
    offers : sequence of Offer

    Returns
    -------
    array of int (sources, n)
        Equal prices keep the listed order; backups stay last.
    """
    prices = [offer.price_per_heat_j for offer in offers]
    # how many are called before each: to hold pairs against each other is quicker than to sort every hour
    places = np.zeros((len(offers), len(prices[0])), dtype=np.int8)
    order = np.zeros(places.shape, dtype=np.int64)
    for i, j in combinations(range(len(offers)), 2):
        if offers[i].rank == offers[j].rank:
            other_first = ~(prices[i] <= prices[j]) & ~np.isnan(prices[j])
        else:
            other_first = np.full(len(prices[0]), offers[j].rank < offers[i].rank)
        places[i] += other_first
        places[j] += ~other_first
    for i in range(1, len(offers)):
        for row, place in zip(order, range(len(offers)), strict=True):
            np.copyto(row, i, where=places[i] == place)
    return order
