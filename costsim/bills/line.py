"""The straight line of use on degree-days: weighted least squares at one balance point, and the search for the best one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from costsim.bills.model import Bills
from costsim.bills.temperatures import Temperatures
from costsim.errors import SolverError
from costsim.units.arrays import Bools, Floats

LOWEST_BALANCE_C, HIGHEST_BALANCE_C, STEP_K = 4.0, 25.0, 0.5


@dataclass(frozen=True, slots=True, eq=False)
class Season:
    """Outdoor temperatures of the days of bills, ready for degree-days of any base.

    Parameters
    ----------
    outdoor_c : array (days, values a day)
        All days of the bills, one period after the other [°C].
    firsts : array of int (n,)
        First row of each period.
    days : array (n,)
        Length of each period [d].
    """

    outdoor_c: Floats
    firsts: np.ndarray[tuple[int], np.dtype[np.int64]]
    days: Floats

    def excess_k(self, balance_c: float) -> Floats:
        """Mean degree-hours of each period over its hours, clipped value by value (n,) [K], which is K·d a day."""
        return self._mean(np.maximum(balance_c - self.outdoor_c, 0.0))

    def cold_share(self, balance_c: float) -> Floats:
        """Share of each period's hours that are colder than the balance point (n,): the excess's slope."""
        return self._mean((self.outdoor_c < balance_c).astype(np.float64))

    def mean_c(self) -> Floats:
        """Mean outdoor temperature of each period (n,) [°C]."""
        return self._mean(self.outdoor_c)

    def deviation_k(self) -> Floats:
        """Quantiles of the hours' distance from the mean of their period (48,) [K]."""
        mean = np.repeat(self.mean_c(), self.days.astype(int))
        return np.asarray(np.quantile(self.outdoor_c - mean[:, None], (np.arange(48) + 0.5) / 48))

    def _mean(self, values: Floats) -> Floats:
        return np.asarray(np.add.reduceat(values.mean(axis=1), self.firsts) / self.days)

    def chosen(self, kept: Bools) -> Season:
        """Take periods by flags (n,)."""
        lengths = self.days.astype(np.int64)
        days = lengths[kept]
        return Season(self.outdoor_c[np.repeat(kept, lengths)], np.cumsum(days) - days, self.days[kept])

    def part(self, chosen: slice) -> Season:
        """Take some periods in a row."""
        days = self.days[chosen]
        first = int(self.firsts[chosen][0])
        return Season(self.outdoor_c[first : first + int(days.sum())], self.firsts[chosen] - first, days)


def season_of(bills: Bills, temperatures: Temperatures) -> Season:
    """Cut the weather to the days of the bills.

    Raises
    ------
    InputError
        The weather does not reach over them.
    """
    outdoor = temperatures.over(bills.start_day[0], bills.end_day[-1])
    lengths = bills.days.astype(np.int64)
    firsts = np.cumsum(lengths) - lengths
    in_period = np.arange(lengths.sum()) - np.repeat(firsts, lengths)
    rows = np.repeat((bills.start_day - bills.start_day[0]).astype(np.int64), lengths) + in_period
    return Season(np.ascontiguousarray(outdoor[rows]), firsts, bills.days)


@dataclass(frozen=True, slots=True)
class Line:
    """``use = base + slope · excess``, with the weighted sum of squares it leaves [W² d]."""

    balance_c: float
    base_w: float
    slope_w_k: float
    squares: float
    through_zero: bool = False

    def at(self, excess_k: Floats) -> Floats:
        """Use at an excess (n,) [W]."""
        return self.base_w + self.slope_w_k * excess_k


def line_at(season: Season, use_w: Floats, balance_c: float, *, through_zero: bool = False) -> Line:
    """Fit base and slope at one balance point, each period weighted by its length.

    Parameters
    ----------
    season : Season
    use_w : array (n,)
        Mean fuel power of each period [W].
    balance_c : float
        Balance point [°C].
    through_zero : bool
        Whether nothing is used without heating.
    """
    excess, root = season.excess_k(balance_c), np.sqrt(season.days)
    columns = excess[:, None] if through_zero else np.column_stack((np.ones_like(excess), excess))
    solution, *_ = np.linalg.lstsq(columns * root[:, None], use_w * root, rcond=None)
    left = use_w - columns @ solution
    base = 0.0 if through_zero else float(solution[0])
    return Line(balance_c, base, float(solution[-1]), float((season.days * left**2).sum()), through_zero)


def best_line(season: Season, use_w: Floats) -> Line:
    """Search the balance point that leaves the least squares; a base below nothing is set to nothing.

    Raises
    ------
    SolverError
        At no balance point does the use rise with the cold.

    References
    ----------
    Variable-base degree-day method: M. Fels, PRISM: an introduction, Energy and Buildings 9 (1986) 5–18 (formula from memory).
    """
    line = _searched(season, use_w, through_zero=False)
    return line if line.base_w >= 0.0 else _searched(season, use_w, through_zero=True)


def t_quantile(share: float, free: int) -> float:
    """Quantile of Student's t for `free` degrees of freedom.

    Examples
    --------
    A printed table of t has 2.228 for 10 degrees of freedom and 5 % outside of both tails.

    >>> round(t_quantile(0.975, 10), 3)
    2.228
    """
    from scipy.special import stdtrit  # scipy.stats takes a second to import

    return float(stdtrit(free, share))


def _searched(season: Season, use_w: Floats, *, through_zero: bool) -> Line:
    from scipy.optimize import minimize_scalar

    def at(balance_c: float) -> Line:
        return line_at(season, use_w, balance_c, through_zero=through_zero)

    grid = [at(balance) for balance in np.arange(LOWEST_BALANCE_C, HIGHEST_BALANCE_C + STEP_K / 2, STEP_K)]
    rising = [line for line in grid if line.slope_w_k > 0.0 and season.excess_k(line.balance_c).max() > 0.1]
    if not rising:
        raise SolverError("the use does not rise with the cold")
    best = min(rising, key=lambda line: line.squares)
    low, high = max(LOWEST_BALANCE_C, best.balance_c - STEP_K), min(HIGHEST_BALANCE_C, best.balance_c + STEP_K)
    minimum = minimize_scalar(
        lambda t: at(float(t)).squares, bounds=(low, high), method="bounded", options={"xatol": 1e-4}
    )
    refined = at(float(minimum.x))
    return refined if refined.squares <= best.squares and refined.slope_w_k > 0.0 else best


def jacobian(season: Season, line: Line) -> Floats:
    """Derivatives of each period's use by base, slope and balance point (n, 3); base is left out through zero (n, 2)."""
    excess = season.excess_k(line.balance_c)
    columns = [excess, line.slope_w_k * season.cold_share(line.balance_c)]
    if not line.through_zero:
        columns.insert(0, np.ones_like(excess))
    return np.column_stack(columns)


def covariance(season: Season, line: Line, use_w: Floats) -> Floats:
    """Covariance of base, slope and balance point (3, 3), linearised at the fit.

    Parameters
    ----------
    season : Season
    line : Line
    use_w : array (n,)
        Mean fuel power of each period [W].

    Notes
    -----
    Large bills scatter more than small ones, so each residual counts as it is and not by one common variance: the estimator HC3,
    residuals over one minus leverage (MacKinnon and White 1985, formula from memory). Base and balance point cannot be told
    apart where every hour is cold: their own rows are then of little worth, the slope's stands.
    """
    root = np.sqrt(season.days)
    left = (use_w - line.at(season.excess_k(line.balance_c))) * root
    spread = robust_spread(jacobian(season, line) * root[:, None], left)
    return np.asarray(np.pad(spread, ((1, 0), (1, 0))) if line.through_zero else spread)


def robust_spread(columns: Floats, left: Floats) -> Floats:
    """Covariance of least-squares coefficients by HC3 (p, p), from columns (n, p) and residuals (n,)."""
    scale = np.linalg.norm(columns, axis=0)
    scale = np.where(scale > 0, scale, 1.0)
    unit = columns / scale
    inner = np.linalg.pinv(unit.T @ unit, rcond=1e-10, hermitian=True)
    leverage = np.minimum(np.einsum("ij,jk,ik->i", unit, inner, unit), 0.95)
    spread = inner @ (unit.T * (left / (1.0 - leverage)) ** 2) @ unit @ inner
    return np.asarray(spread / np.outer(scale, scale))
