"""Priority rules: in which order the sources are called, hour by hour.

Lockouts, clock windows, seasons and backup duty are said by each source; a rule orders what is left.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from costsim.sources.base import Offer

Order = NDArray[np.int64]
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
    prices = np.stack([offer.price_per_heat_j for offer in offers])
    ranks = np.array([offer.rank for offer in offers])[:, None]
    return np.lexsort((prices, np.broadcast_to(ranks, prices.shape)), axis=0).astype(np.int64)
