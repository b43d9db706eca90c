"""In which order sources are called."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.study.rules import RULES


@pytest.mark.parametrize("ranks", [(0,), (0, 0), (1, 0), (0, 0, 0), (0, 1, 0), (1, 1, 0)])
def test_the_cheapest_are_sorted_by_rank_then_price_and_equal_ones_stay_as_listed(ranks: tuple[int, ...]) -> None:
    prices = np.random.default_rng(3).choice([0.1, 0.2, 0.3, np.inf, np.nan], (len(ranks), 2000))
    offers: Any = [SimpleNamespace(price_per_heat_j=own, rank=rank) for own, rank in zip(prices, ranks, strict=True)]
    sorted_hours = np.lexsort((prices, np.broadcast_to(np.array(ranks)[:, None], prices.shape)), axis=0)
    assert np.array_equal(RULES["cheapest_now"](offers), sorted_hours)
