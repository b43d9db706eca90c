"""Bills many times larger or smaller than the weather says: a missed decimal point, most often."""

from __future__ import annotations

import numpy as np

from costsim.bills.line import Season
from costsim.bills.model import ONE_DAY, Bills
from costsim.errors import Fault
from costsim.units.arrays import Floats

SIGMAS, FACTOR = 6.0, 5.0
SHORTEST_D = 5.0
SMALLEST_SIGMA, SMALLEST_USE = 0.01, 0.02  # shares of the middle use: bills without noise, summers without use
MOST_PAIRS = 40_000


def odd_rows(bills: Bills, season: Season) -> tuple[np.ndarray[tuple[int], np.dtype[np.int64]], Floats]:
    """Find bills more than six robust standard deviations and five times off a line that odd bills do not bend.

    Notes
    -----
    The line is the median of the slopes between pairs (Theil and Sen), at the balance point that leaves the least median
    residual; nearly three of ten bills may be wrong before it bends. Periods under five days are left alone. With each
    row comes the factor between use and line, of all bills (n,).
    """
    expected, sigma = _robust(season, bills.mean_w)
    middle = float(np.median(bills.mean_w))
    expected = np.maximum(expected, SMALLEST_USE * middle)
    left = np.abs(bills.mean_w - expected)
    factor = np.maximum(bills.mean_w, 1e-9) / expected
    odd = (left > SIGMAS * sigma) & ((factor >= FACTOR) | (factor <= 1.0 / FACTOR)) & (bills.days >= SHORTEST_D)
    return np.flatnonzero(odd), factor


def odd_faults(bills: Bills, season: Season) -> list[Fault]:
    """Refuse odd bills; see `odd_rows`."""
    rows, factor = odd_rows(bills, season)
    return [_fault(bills, int(i), float(factor[i])) for i in rows]


def _fault(bills: Bills, i: int, factor: float) -> Fault:
    where = f"line {bills.lines[i]}" if bills.lines[i] else "period"
    dates = f"the bill from {bills.start_day[i]} to {bills.end_day[i] - ONE_DAY}"
    times = (
        f"is {factor:.1f} times"
        if factor > 1
        else f"is one {1 / factor:.0f}th of"
        if factor > 1e-6
        else "is nothing beside"
    )
    remedy = (
        "check the decimal point; mark a reading that is none as estimated, so that it joins the next"
        if factor > 1e-6
        else "check the amount; mark a reading that is none as estimated, so that it joins the next; if nobody was at home, take the line out"
    )
    return Fault(where, f"{dates} {times} what weather and the other bills say", remedy, bills.name)


def _robust(season: Season, use_w: Floats) -> tuple[Floats, float]:
    """Use by the robust line (n,) and its robust standard deviation [W]."""
    first, second = np.triu_indices(len(use_w), 1)
    if len(first) > MOST_PAIRS:
        chosen = np.random.default_rng(0).choice(len(first), MOST_PAIRS, replace=False)
        first, second = first[chosen], second[chosen]
    best: tuple[float, Floats] = (np.inf, np.zeros_like(use_w))
    for balance in np.arange(8.0, 23.0, 1.0):
        excess = season.excess_k(float(balance))
        across = excess[second] - excess[first]
        apart = np.abs(across) > 1.0
        if not apart.any():
            continue
        slope = float(np.median((use_w[second] - use_w[first])[apart] / across[apart]))
        fitted = slope * excess
        fitted = fitted + float(np.median(use_w - fitted))
        middle = float(np.median(np.abs(use_w - fitted)))
        if middle < best[0]:
            best = (middle, fitted)
    return best[1], max(1.4826 * best[0], SMALLEST_SIGMA * float(np.median(use_w)))
