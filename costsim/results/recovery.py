"""How long the house takes to be warm again after a set-back: a figure of its own, never unmet load."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from costsim.units.arrays import Floats

WARM_WITHIN_K = 0.5
"""The house is back when it is so near to its set-point; common practice, no source."""
RISE_K = 0.5
"""A set-point that rises by less is no end of a set-back."""


@dataclass(frozen=True, slots=True)
class Recovery:
    """Recoveries of a year: the longest with its hour and outdoor temperature, the median, and how many never ended.

    The median is of those that took any time; `count` is of all ends of set-backs.
    """

    longest_h: float
    longest_at: int
    outdoor_c: float
    setpoint_c: float
    median_h: float
    count: int
    unfinished: int

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        names = ("longest_h", "outdoor_c", "setpoint_c", "median_h", "count", "unfinished")
        return {name: getattr(self, name) for name in names}


def recovery_of(*, setpoint_c: Floats, room_c: Floats, outdoor_c: Floats) -> Recovery | None:
    """Find every rise of the set-point and how long the room takes to follow.

    Parameters
    ----------
    setpoint_c, room_c, outdoor_c : array (n,)
        Set-point, room at the hour's end and outdoors [°C].

    Returns
    -------
    Recovery or None
        None where the set-point never rises. A room that has not followed before the set-point falls again counts as
        unfinished, with the hours until then.

    Notes
    -----
    Between two hours the room is taken as going straight from one temperature to the next.

    Examples
    --------
    >>> found = recovery_of(setpoint_c=np.array([16.0, 20.0, 20.0, 20.0]), room_c=np.array([16.0, 17.0, 19.0, 20.0]),
    ...                     outdoor_c=np.zeros(4))
    >>> found.longest_h, found.count, found.unfinished
    (2.5, 1, 0)
    """
    starts = np.flatnonzero(np.diff(setpoint_c) > RISE_K) + 1
    if not len(starts):
        return None
    falls = np.append(np.flatnonzero(np.diff(setpoint_c) < -RISE_K) + 1, len(setpoint_c))
    hours, unfinished = [], 0
    for start in starts.tolist():
        end = int(falls[np.searchsorted(falls, start, side="right")])
        wanted = float(setpoint_c[start]) - WARM_WITHIN_K
        path = np.concatenate((room_c[start - 1 : start], room_c[start:end]))
        warm = np.flatnonzero(path >= wanted)
        unfinished += not len(warm)
        hours.append(float(end - start) if not len(warm) else _crossing(path, int(warm[0]), wanted))
    worst = int(np.argmax(hours))
    at = int(starts[worst])
    # on a mild day the house is not cool at the end of a set-back, and has nothing to catch up
    median = float(np.median([took for took in hours if took > 0] or [0.0]))
    return Recovery(hours[worst], at, float(outdoor_c[at]), float(setpoint_c[at]), median, len(hours), unfinished)


def _crossing(path: Floats, first: int, wanted: float) -> float:
    """Hours from the path's start to where it reaches what is wanted, in its `first` hour at the latest."""
    if first == 0:
        return 0.0
    before, after = float(path[first - 1]), float(path[first])
    return first - 1 + (wanted - before) / (after - before)
