"""One change of the house in the middle of its bills: a furnace replaced, insulation added; told where the bills show it clearly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from costsim.bills.line import HIGHEST_BALANCE_C, LOWEST_BALANCE_C, Line, Season, best_line, robust_spread, t_quantile
from costsim.bills.model import Bills
from costsim.errors import SolverError
from costsim.units.arrays import Floats

FEWEST_EACH, SHORTEST_EACH_D = 6, 150.0
LEAST_SPREAD_K = 3.0
CLEAR_BIC = 10.0  # "very strong" in the scale of Kass and Raftery 1995 (value from memory)
PLAIN_BIC = 30.0  # rule of ours: so plain a change counts though the band of its slopes is wide, as without warm bills
CLEAR_BANDS = 2.0
MOST_SPLITS = 80
GRID_K = 0.5


@dataclass(frozen=True, slots=True)
class Change:
    """Where bills part into two regimes.

    Parameters
    ----------
    day : datetime64[D]
        First day of the first period of the later regime.
    index : int
        Its number.
    kind : str
        What the bills need to be told apart: ``"slope"`` alone, or ``"base and slope"``.
    slope_before_w_k, slope_after_w_k : float
        Fuel slopes at one common balance point [W/K].
    ratio, ratio_band : float, tuple of float
        After over before, and a 90 % band that does not know that the date was searched too (8 of 10 invented houses lie in it).
    base_before_w, base_after_w : float
        Base uses [W].
    balance_c : float
        The common balance point [°C].
    bic_drop : float
        By how much the split lowers the Bayesian information criterion.
    """

    day: np.datetime64
    index: int
    kind: str
    slope_before_w_k: float
    slope_after_w_k: float
    ratio: float
    ratio_band: tuple[float, float]
    base_before_w: float
    base_after_w: float
    balance_c: float
    bic_drop: float


def find_change(bills: Bills, season: Season) -> Change | None:
    """Find the split of the bills that lowers the Bayesian information criterion most, if it does so clearly.

    Parameters
    ----------
    bills : Bills
    season : Season
        Outdoor temperatures of their days.

    Returns
    -------
    Change or None
        None where no split lowers the criterion by ten, or by less than thirty and the ratio of slopes is
        less than two half bands away from one.

    Notes
    -----
    Each regime keeps six periods and 150 days with warm and cold ones among them; up to 80 splits are tried, on a balance
    point common to both. The criterion counts the date as one parameter: ``n ln(squares/n) + p ln n``. Trying many dates finds
    chance splits more often than the criterion allows for, hence the high bar.
    """
    splits = _splits(season)
    if not len(splits):
        return None
    try:
        whole = best_line(season, bills.mean_w)
    except SolverError:
        return None
    n = bills.n_periods
    floor = 1e-12 * float((season.days * bills.mean_w**2).sum())
    plain = n * np.log(max(whole.squares, floor) / n) + (2 if whole.through_zero else 3) * np.log(n)
    tried = [_best_split(season, bills.mean_w, splits, both, whole) for both in (False, True)]
    scores = [
        n * np.log(max(squares, floor) / n) + p * np.log(n) for (squares, *_), p in zip(tried, (5, 6), strict=True)
    ]
    chosen = int(np.argmin(scores))
    drop = float(plain - scores[chosen])
    if drop < CLEAR_BIC:
        return None
    _, balance, index = tried[chosen]
    change = _told(bills, season, index, balance, bool(chosen), drop)
    half = (change.ratio_band[1] - change.ratio_band[0]) / 2.0
    return change if drop >= PLAIN_BIC or abs(change.ratio - 1.0) > CLEAR_BANDS * half else None


def _splits(season: Season) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Numbers of periods at which a later regime may begin."""
    n, ends = len(season.days), np.cumsum(season.days)
    excess = season.excess_k(18.0)
    good = [
        i
        for i in range(FEWEST_EACH, n - FEWEST_EACH + 1)
        if ends[i - 1] >= SHORTEST_EACH_D
        and ends[-1] - ends[i - 1] >= SHORTEST_EACH_D
        and min(np.ptp(excess[:i]), np.ptp(excess[i:])) >= LEAST_SPREAD_K
    ]
    step = max(1, -(-len(good) // MOST_SPLITS))
    return np.array(good[::step], dtype=np.int64)


def _columns(excess: Floats, index: int, both: bool) -> Floats:
    """Columns of base (or two) and two slopes (n, 3 or 4)."""
    late = (np.arange(len(excess)) >= index).astype(np.float64)
    base = [1.0 - late, late] if both else [np.ones_like(late)]
    return np.column_stack([*base, excess * (1.0 - late), excess * late])


def _best_split(
    season: Season, use_w: Floats, splits: np.ndarray[tuple[int], np.dtype[np.int64]], both: bool, whole: Line
) -> tuple[float, float, int]:
    """Least squares, balance point and number of the split."""
    root, best = np.sqrt(season.days), (np.inf, 0.0, 0)
    late = (np.arange(len(root)) >= splits[:, None]).astype(np.float64)
    base = [1.0 - late, late] if both else [np.ones_like(late)]
    near = np.arange(whole.balance_c - 4.0, whole.balance_c + 4.0 + GRID_K / 2, GRID_K)
    for balance in near[(near >= LOWEST_BALANCE_C) & (near <= HIGHEST_BALANCE_C)]:
        excess = season.excess_k(float(balance))
        columns = [*base, excess * (1.0 - late), excess * late, np.broadcast_to(use_w, late.shape)]
        # what the last column keeps after the others is what the line leaves; a slope that no bill shows is no change
        triangle = np.linalg.qr(np.stack(columns, axis=-1) * root[:, None], mode="r")
        sizes = np.abs(np.diagonal(triangle, axis1=1, axis2=2))
        seen = sizes[:, :-1].min(axis=1) > 1e-9 * sizes[:, 0]
        squares = np.where(seen, sizes[:, -1] ** 2, np.inf)
        at = int(np.argmin(squares))
        if squares[at] < best[0]:
            best = (float(squares[at]), float(balance), int(splits[at]))
    return best


def _told(bills: Bills, season: Season, index: int, balance_c: float, both: bool, drop: float) -> Change:
    root = np.sqrt(season.days)
    columns = _columns(season.excess_k(balance_c), index, both) * root[:, None]
    solution = np.linalg.lstsq(columns, bills.mean_w * root, rcond=None)[0]
    before, after = float(solution[-2]), float(solution[-1])
    slopes = np.where(np.arange(bills.n_periods) < index, before, after)
    moved = (slopes * season.cold_share(balance_c) * root)[:, None]  # by the balance point, which was searched too
    spread = robust_spread(np.hstack((columns, moved)), bills.mean_w * root - columns @ solution)
    free = bills.n_periods - columns.shape[1] - 2
    by = np.array([-after / before, 1.0]) / before
    half = float(t_quantile(0.95, max(free, 1)) * np.sqrt(max(float(by @ spread[-3:-1, -3:-1] @ by), 0.0)))
    ratio = after / before
    return Change(
        day=bills.start_day[index],
        index=index,
        kind="base and slope" if both else "slope",
        slope_before_w_k=before,
        slope_after_w_k=after,
        ratio=ratio,
        ratio_band=(ratio - half, ratio + half),
        base_before_w=float(solution[0]),
        base_after_w=float(solution[1]) if both else float(solution[0]),
        balance_c=balance_c,
        bic_drop=drop,
    )


def change_day(bills: Bills, season: Season, change: Change, reach_d: int = 28) -> np.datetime64:
    """Find the day of a change in daily use: that which leaves the least squares with the slopes and bases of both sides.

    Parameters
    ----------
    bills : Bills
        By day.
    season : Season
        Outdoor temperatures of their days.
    change : Change
        As found in weeks.
    reach_d : int
        How many days before and after it are tried [d].
    """
    excess, use = season.excess_k(change.balance_c), bills.mean_w
    before = change.base_before_w + change.slope_before_w_k * excess
    after = change.base_after_w + change.slope_after_w_k * excess
    middle = int(np.searchsorted(bills.start_day, change.day))
    low, high = max(middle - reach_d, 1), min(middle + reach_d, bills.n_periods - 1)
    gain = (use - before) ** 2 - (use - after) ** 2  # what a day loses when it is counted among those before
    left = np.concatenate(([0.0], np.cumsum(gain[low:high])))
    return np.datetime64(bills.start_day[low + int(np.argmin(left))], "D")
