"""Sums and quantiles of homes that are read part by part: exact, whatever their order, in memory that does not grow with them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from costsim.units.arrays import Floats

Keys = NDArray[np.uint64]
SHARES = (0.05, 0.25, 0.50, 0.75, 0.95)
DIGITS = (51, 38, 25, 12, 0)
"""Where the digits of a value begin, of which one is found in each pass, the first of them in its highest 13 bits."""
WEIGHT_BITS = 26
"""Weights count in whole steps of so many bits of the largest one, whose sums are exact for 100 million homes."""
Parts = Callable[[], Iterable[tuple[Floats, Floats]]]


class ExactSum:
    """A sum of floats given in any order and in any pieces, correctly rounded.

    Examples
    --------
    >>> found = ExactSum()
    >>> for one in ([1e100, 1.0], [-1e100, 1e-3]):
    ...     found.add(np.array(one))
    >>> found.value
    1.001
    """

    def __init__(self) -> None:
        self._parts: list[float] = []

    def add(self, values: Floats) -> None:
        """Add some more."""
        rest, self._parts = [*self._parts, *values.tolist()], []
        # what a rounded sum leaves out is summed in its turn, until nothing is left
        while (total := math.fsum(rest)) != 0.0:
            self._parts.append(total)
            if not math.isfinite(total):
                return
            rest.append(-total)

    @property
    def value(self) -> float:
        """The sum so far."""
        return math.fsum(self._parts)


def quantiles_of(parts: Parts, count: int, heaviest: float, shares: Sequence[float] = SHARES) -> list[list[float]]:
    """Weighted quantiles of several quantities that are read again and again.

    Parameters
    ----------
    parts : callable
        Gives all homes in parts: values (quantities, homes) and weights (homes,).
    count : int
        Number of quantities.
    heaviest : float
        Largest weight, more than nothing.
    shares : sequence of float
        Of the weight, above 0 and up to 1.

    Returns
    -------
    list of list of float
        By quantity and share; each is a value of some home.

    Notes
    -----
    Values have the order of their bits, so a quantile is found digit by digit as in a phone book: a pass counts the weight
    under each value of the next digit, where the digits before it are the quantile's.
    """
    step = 2.0 ** (math.frexp(heaviest)[1] - WEIGHT_BITS)
    known = np.zeros((count, len(shares)), dtype=np.uint64)
    below = np.zeros((count, len(shares)))
    wanted = np.zeros((count, len(shares)))
    before = 64
    for first in DIGITS:
        kinds = [np.unique(row) for row in known]
        bins = [np.zeros((len(kind), 1 << (before - first))) for kind in kinds]
        for values, weights in parts():
            whole = np.rint(weights / step)
            for keys, kind, counted in zip(_keys(values), kinds, bins, strict=True):
                _count(keys, whole, kind, counted, (before, first))
        for at, (kind, counted) in enumerate(zip(kinds, bins, strict=True)):
            if before == 64:
                wanted[at] = np.array(shares) * counted.sum()
            for place in range(len(shares)):
                risen = below[at, place] + counted[np.searchsorted(kind, known[at, place])].cumsum()
                digit = min(int(np.searchsorted(risen, wanted[at, place])), len(risen) - 1)
                below[at, place] = risen[digit - 1] if digit else below[at, place]
                known[at, place] = (int(known[at, place]) << (before - first)) | digit
        before = first
    return [_values(row).tolist() for row in known]


def _count(keys: Keys, whole: Floats, kind: Keys, counted: Floats, bits: tuple[int, int]) -> None:
    """Add the weights of keys whose digits so far are of one kind under their next digit."""
    before, first = bits
    digits = ((keys >> np.uint64(first)) & np.uint64((1 << (before - first)) - 1)).astype(np.int64)
    if before == 64:
        np.add.at(counted[0], digits, whole)
        return
    top = keys >> np.uint64(before)
    at = np.minimum(np.searchsorted(kind, top), len(kind) - 1)
    inside = kind[at] == top
    np.add.at(counted, (at[inside], digits[inside]), whole[inside])


_SIGN = np.uint64(1 << 63)


def _keys(values: Floats) -> Keys:
    """Whole numbers in the order of the values."""
    bits = np.ascontiguousarray(values + 0.0).view(np.uint64)  # minus nothing is nothing
    return np.where(bits & _SIGN, ~bits, bits | _SIGN)


def _values(keys: Keys) -> Floats:
    """The values again."""
    return np.where(keys & _SIGN, keys ^ _SIGN, ~keys).view(np.float64)
