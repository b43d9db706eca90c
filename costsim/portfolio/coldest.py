"""Which homes lack heat for longest, option by option."""

from __future__ import annotations

import heapq
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.portfolio.plan import SHORT_HOURS, PortfolioPlan
from costsim.portfolio.store import Store

MOST_NAMED = 10


class Coldest:
    """The homes that lack heat in the most hours of each option, `MOST_NAMED` of them; of equal ones the first of the table."""

    def __init__(self, recipe: PortfolioPlan) -> None:
        self._recipe = recipe
        self._found: list[list[tuple[float, int, int]]] = [[] for _ in recipe.options]
        self._count = [0 for _ in recipe.options]

    def add(self, number: int, values: NDArray[np.float64]) -> None:
        """Add a part: its number, and all columns (columns, homes)."""
        for at, ready in enumerate(self._recipe.options):
            hours = values[ready.sheet.place(SHORT_HOURS)]
            short = np.flatnonzero(hours > 0)
            worst = short[np.argsort(-hours[short], kind="stable")[:MOST_NAMED]]
            rows = zip((-hours[worst]).tolist(), [number] * len(worst), worst.tolist(), strict=True)
            self._found[at] = heapq.nsmallest(MOST_NAMED, [*self._found[at], *rows])
            self._count[at] += len(short)

    def told(self, store: Store) -> list[dict[str, Any]]:
        """Of each option that leaves any home short: its name, how many rows of the table, and the worst with their hours."""
        parts = sorted({number for found in self._found for _, number, _ in found})
        names = {number: store.texts(["home"], number)[0] for number in parts}
        return [
            {
                "option": ready.option.name,
                "rows": count,
                "homes": [{"home": names[number][at], "hours": -hours} for hours, number, at in found],
            }
            for ready, found, count in zip(self._recipe.options, self._found, self._count, strict=True)
            if count
        ]
