"""Present values of many years in one step, as NIST Handbook 135 has them, for what the program sums year by year."""

from __future__ import annotations

import math


def uniform_present_value(*, rate: float, years: int) -> float:
    """Worth today of one unit paid at the end of each year.

    Notes
    -----
    ``((1 + d)^n − 1) / (d (1 + d)^n)``, and ``n`` at a rate of zero.

    Examples
    --------
    >>> round(uniform_present_value(rate=0.03, years=20), 2)
    14.88
    """
    return float(years) if rate == 0.0 else -math.expm1(-years * math.log1p(rate)) / rate


def escalating_present_value(*, rate: float, rise: float, years: int) -> float:
    """Worth today of yearly payments that rise, the first one already by a year's rise.

    Notes
    -----
    ``(1 + e)/(d − e) · (1 − ((1 + e)/(1 + d))^n)``, and ``n`` where rise and rate are equal.

    Examples
    --------
    >>> round(escalating_present_value(rate=0.03, rise=0.01, years=20), 3)
    16.383
    """
    if rate == rise:
        return float(years)
    return (1.0 + rise) / (rate - rise) * -math.expm1(years * (math.log1p(rise) - math.log1p(rate)))
