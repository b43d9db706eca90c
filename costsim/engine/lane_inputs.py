"""Hourly rows that lanes have for themselves, and how the kernel takes them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LaneInputs:
    """Hourly rows of lanes (lanes, rows, n), and where each row of house and sources stands in them.

    `at` has HOURS of the house, DEGREES, then SOURCE_ROWS of each source; -1 where all lanes share the row. `packs` keeps
    the rows as the kernel takes them for all who share them, in `room` where there is some: float64 memory that is used
    again and again costs less than new one. `make` gives them at once as the kernel takes them, for so many lanes a block, where
    there are no `rows`.
    """

    rows: Floats
    at: NDArray[np.int64]
    packs: dict[int, Floats] = field(default_factory=dict)
    room: Floats | None = None
    make: Callable[[int], Floats] | None = None

    def packed(self, width: int) -> Floats:
        """Hours first and lanes last (blocks, n, rows, width); the last lane again where a block is not full."""
        if width not in self.packs:
            self.packs[width] = self._pack(width) if self.make is None else self.make(width)
        return self.packs[width]

    def _pack(self, width: int) -> Floats:
        lanes, rows, n = self.rows.shape
        shape = (-(-lanes // width), n, rows, width)
        found = np.empty(shape) if self.room is None else self.room[: int(np.prod(shape))].reshape(shape)
        for at, some in enumerate(found):
            mine = self.rows[at * width : (at + 1) * width].transpose(2, 1, 0)
            some[..., : mine.shape[2]], some[..., mine.shape[2] :] = mine, mine[..., -1:]
        return found


def kinds_of(source_scalars: Floats) -> list[int]:
    """Kind of each source, as the kernel tells them apart."""
    found = []
    for own in source_scalars:
        told = k.CYCLING if own[k.DEGRADATION] > 0 and own[k.MIN_FIRE] > 0 else k.DISPATCHABLE
        found.append(k.BATCH_FIRED if own[k.BURN_POWER] > 0 else k.SOLAR if own[k.MUST_RUN] > 0.5 else told)
    return found
