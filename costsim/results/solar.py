"""How much of an option's heat the sun gives: over the year, in summer, for hot water and for the house."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SUMMER, SOUTHERN_SUMMER = (5, 6, 7, 8, 9), (11, 12, 1, 2, 3)


@dataclass(frozen=True, slots=True)
class SolarShare:
    """Shares of the heat taken that no other source gave, 0 to 1; None where nothing was taken.

    `summer` is May to September, November to March south of the equator; `hot_water` is what the taps take, `space` all else.
    """

    year: float
    summer: float | None
    hot_water: float | None
    space: float | None

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {name: getattr(self, name) for name in ("year", "summer", "hot_water", "space")}


def solar_share(
    *, taken_w: Floats, hot_water_w: Floats, others_w: Floats, months: NDArray[np.int8], southern: bool
) -> SolarShare | None:
    """Solar shares of an option with collectors.

    Parameters
    ----------
    taken_w : array (n,)
        Heat that house and uses took from the tank [W].
    hot_water_w : array (n,)
        What of it the taps took [W].
    others_w : array (n,)
        Heat of the sources other than collectors [W].
    months : array (n,)
        Month of each hour, 1 to 12.
    southern : bool

    Returns
    -------
    SolarShare or None
        None where nothing is taken.

    Notes
    -----
    The textbook solar fraction, one less auxiliary heat over load, so that the tank's loss counts against the sun. Within a
    month house and taps have the same share, as they draw from one tank.

    Examples
    --------
    >>> taken, others = np.array([2.0, 1.0]), np.array([1.0, 0.0])
    >>> solar_share(taken_w=taken, hot_water_w=np.ones(2), others_w=others, months=np.array([1, 7]), southern=False)
    SolarShare(year=0.6666666666666667, summer=1.0, hot_water=0.75, space=0.5)
    """
    sums = [np.bincount(months, values, 13)[1:].astype(np.float64) for values in (taken_w, hot_water_w, others_w)]
    load, taps, aid = sums
    if load.sum() <= 0:
        return None
    share = np.clip(1.0 - aid / np.where(load > 0, load, 1.0), 0.0, 1.0)
    summer = np.array(SOUTHERN_SUMMER if southern else SUMMER) - 1
    return SolarShare(
        float(np.clip(1.0 - aid.sum() / load.sum(), 0.0, 1.0)),
        float(np.clip(1.0 - aid[summer].sum() / load[summer].sum(), 0.0, 1.0)) if load[summer].sum() > 0 else None,
        _mean(share, taps),
        _mean(share, load - taps),
    )


def _mean(share: Floats, load: Floats) -> float | None:
    return float(share @ load / load.sum()) if load.sum() > 1e-9 else None
