"""Many houses in one place at once: what sources see of them, and what they offer to each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from costsim.sources.offer import Surroundings
from costsim.units.arrays import Floats, Ints
from costsim.units.quantity import HOUR_S


@dataclass(frozen=True, slots=True)
class Moments:
    """The different hours of a year: hours in which weather, uses and prices are alike are one moment.

    `first` is an hour of each moment (moments,), `of` the moment of each hour (n,).
    """

    first: Ints
    of: Ints

    @classmethod
    def of_rows(cls, rows: list[Floats]) -> Moments:
        """Tell the moments of a year apart by hourly rows (n,).

        Examples
        --------
        >>> Moments.of_rows([np.array([3.0, 1.0, 3.0])]).of
        array([1, 0, 1])
        """
        differing = [row for at, row in enumerate(rows) if at == 0 or bool((row != row[0]).any())]
        _, first, of = np.unique(np.stack(differing, axis=1), axis=0, return_index=True, return_inverse=True)
        return cls(first.astype(np.int64), of.reshape(-1).astype(np.int64))


@dataclass(frozen=True, slots=True)
class Houses:
    """Houses at the year's moments.

    `seen` is `Surroundings` whose arrays are (moments, houses), that of the outdoor temperature (moments, 1), and of rooms
    (houses,) where they never change; its clock and `whole`, as any house sees it, are those of the year. Its demand is the house's
    own, never more in a warmer moment where houses are `even`; what the uses of the tank want beside it is `uses_w` (n,).
    """

    seen: Surroundings
    whole: Surroundings
    moments: Moments
    uses_w: Floats
    even: bool

    def wanted_j(self, starts: Ints, ends: Ints) -> Floats:
        """What each house and its uses want from some hours until others (starts, houses) [J]."""
        demand, of = self.seen.demand_w, self.moments.of
        wanted = np.zeros((len(starts), demand.shape[1]))
        used = bool((self.uses_w > 0).any())
        for at in range(int((ends - starts).max(initial=0))):
            going = np.flatnonzero(starts + at < ends)
            wanted[going] += demand.take(of[starts[going] + at], axis=0)
            if used:
                wanted[going] += self.uses_w[starts[going] + at][:, None]
        return np.multiply(wanted, HOUR_S, out=wanted)


@dataclass(frozen=True, slots=True)
class HourlyRows:
    """Rows of an offer that are nothing but in some `hours`, by name (hours, houses)."""

    hours: Ints
    values: Mapping[str, Floats]


@dataclass(frozen=True, slots=True)
class HouseOffers:
    """What of a source's offer follows the house, for many houses, before clock and lockouts.

    `by_moment` has arrays (moments, houses) by the names of `traits.HOURLY`, `by_hour` what no moment settles, and `scalars`
    figures of `Offer` (houses,); of these ``slope_w_k`` alone may follow the house.
    """

    by_moment: Mapping[str, Floats] = field(default_factory=dict)
    by_hour: HourlyRows | None = None
    scalars: Mapping[str, Floats] = field(default_factory=dict)
