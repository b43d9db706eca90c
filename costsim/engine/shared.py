"""What all lanes of a job share, as the kernel takes it: hourly rows, and the year cut where month, price period or order changes."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.engine import layout as k
from costsim.engine.lane_inputs import kinds_of
from costsim.units.arrays import Bools, Floats, Ints


@dataclass(frozen=True, slots=True)
class Shared:
    """What all lanes share, as the kernel takes it. `kinds`, `mass`, `zones` and `uses` say which form of the kernel fits."""

    kinds: tuple[int, int, int]
    mass: int
    zones: int
    uses: int
    hours: Floats
    degrees: Floats
    source_hours: Floats
    per_heat: Floats
    first: Ints
    month: Ints
    slots: Ints
    shares: Floats
    meters: Floats
    payers: Floats
    free: Floats
    takers: Floats

    @property
    def count(self) -> int:
        """Number of sources."""
        return len(self.source_hours)


def share(
    scalars: Floats,
    hours: Floats,
    source_scalars: Floats,
    source_hours: Floats,
    order: Ints,
    *,
    per_input: Sequence[Floats] | Floats | None = None,
    shares: Floats | None = None,
    months: NDArray[Any] | None = None,
    degrees: Floats | None = None,
    meters: Floats | None = None,
    payers: Floats | None = None,
    free: Floats | None = None,
    takers: Floats | None = None,
    first: Ints | None = None,
) -> Shared:
    """Prepare what all lanes share.

    Parameters
    ----------
    scalars, hours, source_scalars, source_hours, order
        A plant's rows: (SCALARS,), (HOURS, n), (sources, BILLED_SCALARS), (sources, SOURCE_HOURS, n) and (sources, n).
    per_input : arrays (n,), optional
        Heat per input of each source.
    shares : array (sources + 1, periods, n), optional
        Share of the hour billed in each period of the source's tariff; the last row is that of auxiliary electricity.
        Without it no energy is billed.
    months : array of int (n,), optional
        1 to 12.
    degrees : array (n,), optional
        Balance point minus outdoor temperature [K], unclipped; for lanes with a loss per kelvin.
    meters : array (charges, n), optional
        Other power on the meter of each demand charge [W], which may be negative, OUTSIDE_W in hours that the charge does not see.
    payers : array (charges, sources + 1), optional
        1 for the sources (last: auxiliary electricity) on that meter.
    free : array (n,), optional
        Own generation that is left after the rest of the house [W].
    takers : array (sources + 1,), optional
        1 for the sources (last: auxiliary electricity) that it can serve.
    first : array of int (pieces + 1,), optional
        First hour of each piece and the end, by `pieces`, where they are known; `shares` are then those of the pieces.

    Notes
    -----
    Fires give first, then collectors, then the others in their order. The year is cut into pieces in which month,
    price periods and order stay the same.
    """
    count, n = len(source_scalars), hours.shape[1]
    shares = np.empty((count + 1, 0, n)) if shares is None else shares
    if first is None:
        first = pieces(changes([*order, *shares.reshape(-1, n), *([] if months is None else [months])], n))
        shares = shares[:, :, first[:-1]]
    kinds, slots = _slots(kinds_of(source_scalars), order[:, first[:-1]])
    return Shared(
        kinds,
        int((scalars[k.WITH_MASS] > 0.5).any()),
        int((scalars[k.ZONES_KEPT] > 0.0).any()),
        int((hours[k.USE] > 0.0).any()),
        _plain(hours),
        _plain(np.zeros(n) if degrees is None else degrees),
        _plain(source_hours),
        _ones(count, n) if per_input is None else inputs_per_heat(per_input),
        first,
        np.zeros(len(first) - 1, dtype=np.int64) if months is None else months[first[:-1]].astype(np.int64) - 1,
        slots,
        _plain(shares.transpose(2, 0, 1)),
        np.empty((0, n)) if meters is None else _plain(meters),
        np.empty((0, count + 1)) if payers is None else _plain(payers),
        np.empty(0) if free is None else _plain(free),
        np.zeros(count + 1) if takers is None else _plain(takers),
    )


def _plain(values: NDArray[Any]) -> Floats:
    """The array as the kernel was compiled for: its own, contiguous and writable."""
    ready = values.dtype == np.float64 and values.flags.carray
    return values if ready else np.array(values, dtype=np.float64, order="C")


@functools.lru_cache(maxsize=8)
def _ones(count: int, n: int) -> Floats:
    return np.ones((count, n))


def inputs_per_heat(per_input: Sequence[Floats] | Floats) -> Floats:
    """Input for each watt of heat (sources, n), of the heat per input of each."""
    inputs = np.empty((len(per_input), len(per_input[0])))
    for row, values in zip(inputs, per_input, strict=True):
        np.divide(1.0, values, out=row)
    return inputs


def changes(rows: Sequence[NDArray[Any]], n: int) -> Bools:
    """Whether a row changes after each hour but the last (n - 1,)."""
    new = np.zeros(n - 1, dtype=bool)
    for row in rows:
        new |= row[1:] != row[:-1]
    return new


def pieces(new: Bools) -> Ints:
    """First hour of each piece in which nothing changes, and the end."""
    n = len(new) + 1
    return np.concatenate(([0], np.flatnonzero(new) + 1, [n])).astype(np.int64)


def _slots(kinds: list[int], order: Ints) -> tuple[tuple[int, int, int], Ints]:
    """Kind of each slot, and of each piece (pieces, SLOTS) which source is in it."""
    fixed = [i for kind in (k.BATCH_FIRED, k.SOLAR) for i, slot_kind in enumerate(kinds) if slot_kind == kind]
    dispatched = [i for i, kind in enumerate(kinds) if kind >= k.DISPATCHABLE]
    slots = np.zeros((order.shape[1], k.SLOTS), dtype=np.int64)
    slots[:, : len(fixed)] = fixed
    if dispatched:
        slots[:, len(fixed) : len(kinds)] = order.T[np.array(kinds)[order.T] >= k.DISPATCHABLE].reshape(
            -1, len(dispatched)
        )
    moving = bool((slots != slots[:1]).any())
    # a slot keeps its kind: without losses of its own a source does not mind being asked for them
    slot_ends = [
        max(kinds[i] for i in dispatched) if moving and kinds[at] >= k.DISPATCHABLE else kinds[at]
        for at in slots[0, : len(kinds)].tolist()
    ]
    first, second, third = (*slot_ends, 0, 0)[:3]
    return (first, second, third), slots
