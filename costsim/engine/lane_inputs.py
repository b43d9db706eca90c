"""Hourly rows that lanes have for themselves, and how the kernel takes them."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k
from costsim.units.arrays import Floats, Ints


@dataclass(frozen=True, slots=True)
class LaneInputs:
    """Hourly rows that lanes have for themselves: what stands in each hour is an entry of a table (entries, lanes).

    Hours that are alike share an entry: of `entries` (n, rows) each says which. `at` says where each row of house and sources
    stands among them: HOURS of the house, DEGREES, then SOURCE_ROWS of each source; -1 where all lanes share the row. A
    collector's capacity is added to the one that all share, and never less than nothing.
    """

    values: Floats
    at: Ints
    entries: NDArray[np.int32]
    packs: dict[int, Floats] = field(default_factory=dict)

    @classmethod
    def of_hours(cls, rows: Floats, at: Ints) -> LaneInputs:
        """Rows whose hours are all unlike (lanes, rows, n)."""
        lanes, count, n = rows.shape
        entries = np.arange(n * count, dtype=np.int32).reshape(n, count)
        return cls(np.ascontiguousarray(rows.transpose(2, 1, 0)).reshape(n * count, lanes), at, entries)

    def pick(self, lanes: Ints) -> LaneInputs:
        """Some of the lanes."""
        return LaneInputs(self.values[:, lanes], self.at, self.entries)

    def packed(self, width: int) -> Floats:
        """The table in blocks (blocks, entries, width); the last lane again where a block is not full."""
        if width not in self.packs:
            entries, lanes = self.values.shape
            packed_rows = np.empty((-(-lanes // width), entries, width))
            for at, block in enumerate(packed_rows):
                mine = self.values[:, at * width : (at + 1) * width]
                block[:, : mine.shape[1]], block[:, mine.shape[1] :] = mine, mine[:, -1:]
            self.packs[width] = packed_rows
        return self.packs[width]


def kinds_of(source_scalars: Floats) -> list[int]:
    """Kind of each source, as the kernel tells them apart."""
    kinds = []
    for own in source_scalars.tolist():
        cycles = own[k.MIN_FIRE] > 0 and (own[k.DEGRADATION] > 0 or own[k.AUX_W] > 0)
        dispatched = k.CYCLING if cycles else k.DISPATCHABLE
        kinds.append(k.BATCH_FIRED if own[k.BURN_POWER] > 0 else k.SOLAR if own[k.MUST_RUN] > 0.5 else dispatched)
    return kinds
