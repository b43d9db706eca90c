"""How long each day was by the clock, and which days at the ends of a file had only begun."""

from __future__ import annotations

import numpy as np

from costsim.bills.unfold import NIGHT_H, is_change
from costsim.units.arrays import Bools, Floats, Ints
from costsim.units.table import WHOLE_DAY_S, WHOLE_HOUR_S


def day_lengths(
    start: Ints,
    clock: Ints,
    length: Ints,
    first: int,
    count: int,
    notes: list[str],
) -> Floats:
    """Length of each day (count,) [s]: 23 or 25 hours where the clock is set, by what the readings show.

    Parameters
    ----------
    start, clock, length : array of int (n,)
        Of readings in the order of time: on a scale without folds, by the clock, and how long each lasts [s].
    first, count : int
        Day of the first of them since 1970, and number of days.
    notes : list of str

    Notes
    -----
    Where readings follow the clock on the wall and show no other change, an hour missing on a Sunday night of spring or autumn is one
    that the clock leaves out; so is the only one missing from midnight on in March or April, on whatever day, which is told.
    """
    lengths = np.full(count, float(WHOLE_DAY_S))
    moved = np.diff(clock - start)
    at = np.where(length[:-1] > WHOLE_DAY_S // 2, clock[:-1], clock[1:])  # a reading of a day has the change inside
    rows = np.clip(at // WHOLE_DAY_S - first, 0, count - 1)
    np.add.at(lengths, rows, -moved)
    if not moved.any():
        ends = clock[:-1] + length[:-1]
        night = (clock[1:] - ends == WHOLE_HOUR_S) & (ends % WHOLE_DAY_S < NIGHT_H * WHOLE_HOUR_S)
        sundays = [int(row) for row in np.flatnonzero(night) if is_change(int(clock[row + 1]))]
        lengths[rows[sundays]] -= WHOLE_HOUR_S
        spring = [
            int(row) for row in np.flatnonzero(night & (ends % WHOLE_DAY_S == 0)) if _is_spring(int(clock[row + 1]))
        ]
        if not sundays and len(spring) == 1:
            lengths[rows[spring]] -= WHOLE_HOUR_S
            day = np.datetime64(int(clock[spring[0] + 1]), "s").astype("datetime64[D]")
            notes.append(
                f"the clock is taken to leave out the hour from midnight on {day}, which is missing; --zone tells it for sure"
            )
    return lengths


def _is_spring(second: int) -> bool:
    return np.datetime64(second, "s").astype("datetime64[M]").astype(int) % 12 in (2, 3)


def without_begun(good: Bools, lacks: Bools, first: int, notes: list[str]) -> slice:
    """Days from the first to the last good one, without a day at either end that was read in part, which is told.

    Parameters
    ----------
    good, lacks : array of bool (days,)
        Read for the most part; lacking some of it.
    first : int
        Day of the first of them since 1970.
    notes : list of str
    """
    ends = np.flatnonzero(good)
    low, high = int(ends[0]), int(ends[-1])
    begun = [at for at in dict.fromkeys((low, high)) if lacks[at]]
    if begun and high - low > len(begun):
        named = " and ".join(str(np.datetime64(first + at, "D")) for at in begun)
        notes.append(
            f"{named} {'was' if len(begun) == 1 else 'were'} read in part, at an end of the file, and left out"
        )
        low, high = low + int(lacks[low]), high - int(lacks[high])
    return slice(low, high + 1)
