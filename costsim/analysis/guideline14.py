"""Measures of ASHRAE Guideline 14: bias and scatter of predicted against metered use, and the uncertainty of avoided use."""

from __future__ import annotations

import numpy as np

from costsim.bills.line import t_quantile
from costsim.units.arrays import Floats

MONTHLY_NMBE, MONTHLY_CV = 0.05, 0.15
"""Limits for monthly data (value from memory; seen in secondary copies only)."""


def nmbe(metered: Floats, predicted: Floats, parameters: int = 1) -> float:
    """Normalized mean bias error.

    Parameters
    ----------
    metered, predicted : array (n,)
        Of one unit.
    parameters : int
        p: those fitted; 1 for a simulation, by the guideline.

    Returns
    -------
    float
        ``Σ(m − s) / ((n − p) · mean(m))``; above zero where the prediction is too low.

    Examples
    --------
    >>> round(nmbe(np.array([100.0, 200.0, 300.0]), np.array([90.0, 210.0, 280.0])), 4)
    0.05
    """
    free = max(len(metered) - parameters, 1)
    return float((metered - predicted).sum() / (free * metered.mean()))


def cv_rmse(metered: Floats, predicted: Floats, parameters: int = 1) -> float:
    """Coefficient of variation of the root mean square error: ``sqrt(Σ(m − s)² / (n − p)) / mean(m)``.

    Examples
    --------
    >>> round(cv_rmse(np.array([100.0, 200.0, 300.0]), np.array([90.0, 210.0, 280.0])), 4)
    0.0866
    """
    free = max(len(metered) - parameters, 1)
    return float(np.sqrt(((metered - predicted) ** 2).sum() / free) / metered.mean())


def within(bias: float, scatter: float) -> bool:
    """Whether NMBE and CV(RMSE) keep the monthly limits."""
    return abs(bias) <= MONTHLY_NMBE and scatter <= MONTHLY_CV


def lag_one(residuals: Floats) -> float:
    """Correlation of each residual with the one before it; nothing where it is below zero or cannot be told."""
    if len(residuals) < 4 or not residuals[:-1].std() or not residuals[1:].std():
        return 0.0
    return max(float(np.corrcoef(residuals[:-1], residuals[1:])[0, 1]), 0.0)


def savings_uncertainty(
    *, cv: float, fraction: float, before: int, after: int, parameters: int, correlation: float = 0.0, confidence: float = 0.9
) -> float:  # fmt: skip
    """Fractional savings uncertainty: half the band of avoided use, as a share of it.

    Parameters
    ----------
    cv : float
        CV(RMSE) of the baseline model.
    fraction : float
        Avoided use over what would have been used.
    before, after : int
        Periods of the baseline n and after the retrofit m.
    parameters : int
        p of the baseline model, for Student's t.
    correlation : float
        Of each residual with the one before; it leaves ``n' = n (1 − ρ)/(1 + ρ)`` periods that count.
    confidence : float
        Of the band.

    Notes
    -----
    ``t · 1.26 · CV / F · sqrt(n/n' · (1 + 2/n') / m)``: ASHRAE Guideline 14-2014 annex B after Reddy and Claridge 2000
    (formula from memory).

    Examples
    --------
    Twelve months before and after, CV 10 %, a fifth saved, three parameters: t is 1.833.

    >>> round(savings_uncertainty(cv=0.10, fraction=0.2, before=12, after=12, parameters=3), 3)
    0.36
    """
    counted = max(before * (1.0 - correlation) / (1.0 + correlation), 1.0)
    t = t_quantile((1.0 + confidence) / 2.0, max(before - parameters, 1))
    return t * 1.26 * cv / abs(fraction) * float(np.sqrt(before / counted * (1.0 + 2.0 / counted) / after))
