"""The hours of one year: the form of the kernel that runs one lane, and keeps every hour of it.

What an hour does stands in `costsim.engine.balance`, in the order in which it happens; the rows of what comes out in
`costsim.engine.layout`.
"""

from __future__ import annotations

import numpy as np

from costsim.engine import layout as k
from costsim.engine.block import AnnualTotals, energy_shape, form_of_one, sums_of
from costsim.engine.lanes import lanes_of
from costsim.engine.shared import Shared, share
from costsim.units.arrays import Floats, Ints


def one_year(
    scalars: Floats, hours: Floats, source_scalars: Floats, source_hours: Floats, order: Ints
) -> tuple[Floats, Floats, Floats, Floats]:
    """Run one year and keep its hours.

    Returns
    -------
    out : array (RESULTS, n)
    heat, dumped, available : arrays (sources, n)
        Heat given to the tank, heat thrown away and capacity in the hour [W].
    """
    return lane_of(share(scalars, hours, source_scalars, source_hours, order), lanes_of(scalars, source_scalars, 1))[0]


def room_for(shared: Shared, *, hours: bool = True) -> tuple[Floats, Floats]:
    """Where a year's hours find room, or none of them: (RESULTS, n) and (3, sources, n)."""
    n = shared.hours.shape[1] if hours else 0
    return np.empty((k.RESULTS, n)), np.empty((3, shared.count, n))


def lane_of(
    shared: Shared, lane: Floats, room: tuple[Floats, Floats] | None = None, *, dumped: bool = False
) -> tuple[tuple[Floats, Floats, Floats, Floats], AnnualTotals]:
    """Run the year of one lane (LANES, 1): its hours, as `one_year` gives them, and its sums, with what was dumped where asked for.

    The hours lie in `room` where that is given, until it is used again: new memory costs as much as a year.
    """
    count = shared.count
    out, kept = room or room_for(shared)
    lanes = np.ascontiguousarray(lane[None])
    sums, energy = np.empty((1, sums_of(count, dumped), 1)), np.empty((1, *energy_shape(shared), 1))
    peaks = np.empty((1, len(shared.meters), 12, 1))
    form_of_one(shared, False).run(shared, lanes, None, (sums, energy, peaks), out=out, kept=kept)
    return (out, kept[0], kept[1], kept[2]), AnnualTotals(sums[..., 0], energy[..., 0], peaks[..., 0])
