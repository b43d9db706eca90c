"""Which homes lack heat for longest, option by option."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.portfolio.plan import SHORT_HOURS, PortfolioPlan
from costsim.units.arrays import Floats

MOST_NAMED = 10


class Coldest:
    """The homes that lack heat in the most hours of each option, `MOST_NAMED` of them; of equal ones by name."""

    def __init__(self, recipe: PortfolioPlan) -> None:
        self._recipe = recipe
        self._found: list[list[tuple[float, str]]] = [[] for _ in recipe.options]
        self._count = [0 for _ in recipe.options]

    def add(self, values: Floats, names: Callable[[], Sequence[str]]) -> None:
        """Add a part: all columns (columns, homes), and what gives the names of its homes, called where any lacks heat."""
        names_at: NDArray[np.object_] | None = None
        for at, ready in enumerate(self._recipe.options):
            hours = values[ready.sheet.place(SHORT_HOURS)]
            short = np.flatnonzero(hours > 0)
            if len(short):
                names_at = np.array(names(), dtype=object) if names_at is None else names_at
                worst = short[np.lexsort((names_at[short], -hours[short]))[:MOST_NAMED]]
                rows = zip((-hours[worst]).tolist(), names_at[worst].tolist(), strict=True)
                self._found[at] = heapq.nsmallest(MOST_NAMED, [*self._found[at], *rows])
                self._count[at] += len(short)

    def told(self) -> list[dict[str, Any]]:
        """Of each option that leaves any home short: its name, how many rows of the table, and the worst with their hours."""
        return [
            {
                "option": ready.option.name,
                "rows": count,
                "homes": [{"home": home, "hours": -hours} for hours, home in coldest],
            }
            for ready, coldest, count in zip(self._recipe.options, self._found, self._count, strict=True)
            if count
        ]
