"""How much of an option's heat the sun gives: over the year, in summer, for hot water and for the house."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.units.arrays import Floats

SUMMER, SOUTHERN_SUMMER = (5, 6, 7, 8, 9), (11, 12, 1, 2, 3)


@dataclass(frozen=True, slots=True)
class SolarShare:
    """Solar fraction: the sun's share of the heat put into the tank, 0 to 1; None where nothing was taken.

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
    *, sun_w: Floats, others_w: Floats, taken_w: Floats, hot_water_w: Floats, months: NDArray[np.int8], southern: bool
) -> SolarShare | None:
    """Solar shares of an option with collectors.

    Parameters
    ----------
    sun_w, others_w : array (n,)
        Heat of collectors that found a place in the tank, and of all other sources [W].
    taken_w : array (n,)
        Heat that house and uses took from the tank [W].
    hot_water_w : array (n,)
        What of it the taps took [W].
    months : array (n,)
        Month of each hour, 1 to 12.
    southern : bool

    Returns
    -------
    SolarShare or None
        None where nothing is taken.

    Notes
    -----
    Solar heat over solar and auxiliary heat (VDI 6002, value from memory). The tank loses as much without the sun, so both bear its
    loss: the share is about the share of bought heat that is saved against the same plant without collectors (fractional savings of
    Duffie and Beckman, value from memory). Within a month house and taps have the same share, as they draw from one tank.

    Examples
    --------
    >>> taken, sun, others = np.array([2.0, 1.0]), np.array([1.0, 1.0]), np.array([1.0, 0.0])
    >>> solar_share(sun_w=sun, others_w=others, taken_w=taken, hot_water_w=np.ones(2), months=np.array([1, 7]), southern=False)
    SolarShare(year=0.6666666666666666, summer=1.0, hot_water=0.75, space=0.5)
    """
    load, taps, sun, aid = (
        np.bincount(months, values, 13)[1:].astype(np.float64) for values in (taken_w, hot_water_w, sun_w, others_w)
    )
    if load.sum() <= 0:
        return None
    put_in = sun + aid
    share = np.divide(sun, put_in, out=np.zeros_like(sun), where=put_in > 0)
    summer = np.array(SOUTHERN_SUMMER if southern else SUMMER) - 1
    return SolarShare(
        solar_fraction(float(sun.sum()), float(aid.sum())) or 0.0,
        solar_fraction(float(sun[summer].sum()), float(aid[summer].sum())) if load[summer].sum() > 0 else None,
        _mean(share, taps),
        _mean(share, load - taps),
    )


def solar_fraction(sun_j: float, others_j: float) -> float | None:
    """Solar heat over all heat put into the tank; None where none was.

    Examples
    --------
    >>> solar_fraction(1.0, 3.0)
    0.25
    """
    return sun_j / (sun_j + others_j) if sun_j + others_j > 0 else None


def _mean(share: Floats, load: Floats) -> float | None:
    return float(share @ load / load.sum()) if load.sum() > 1e-9 else None
