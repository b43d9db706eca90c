"""How figures are rounded for people: one rule for a year's money, one for money over the years, and parts that add up."""

from __future__ import annotations

import math
from collections.abc import Sequence

from costsim.units.quantity import pretty_unit, to_display, unit_for
from costsim.words import tr


def money(value: float, currency: str) -> str:
    """Write money without cents, which a forecast does not have.

    Examples
    --------
    >>> money(1234.5, "$"), money(-20.0, "€")
    ('$1,234', '-€20')
    """
    rounded = round(value)
    return f"{'-' if rounded < 0 else ''}{currency}{abs(rounded):,}"


def round_money(value: float) -> float:
    """Round to what a forecast of a year's heating is worth: two figures, and nothing below ten.

    Examples
    --------
    >>> round_money(312.0), round_money(1234.0), round_money(4.0)
    (310.0, 1200.0, 0.0)
    """
    if abs(value) < 10:
        return 0.0
    step = _place(value, 2)
    return round(value / step) * step


def above_zero(amount: float, digits: int) -> str:
    """An amount with some digits; one too small for them is told from none at all.

    Examples
    --------
    >>> above_zero(0.004, 2), above_zero(0.005001, 2), above_zero(0.0, 2)
    ('<0.01', '0.01', '0.00')
    """
    nothing = amount > 0 and float(f"{amount:.{digits}f}") == 0.0
    return f"<{10.0**-digits:.{digits}f}" if nothing else f"{amount:,.{digits}f}"


def show_missing(value: float, dimension: str, system: str, digits: int = 1) -> str:
    """Heat or power that is missing, in SI, written for a reader by `above_zero`.

    Examples
    --------
    >>> show_missing(2.0, "power", "si"), show_missing(7600.0, "power", "us")
    ('<0.1 kW', '25.9 kBtu/h')
    """
    number = above_zero(to_display(value, dimension, system), digits)
    return f"{number} {pretty_unit(unit_for(dimension, system))}"


MOST_OFF = 0.05
"""Share of a difference by which rounded costs may miss it; common practice, no source."""


def apart(low: float, high: float, figures: int = 2) -> tuple[float, float, float]:
    """Two costs, and what the second is more, rounded to one place, so that what is shown adds up.

    The place is the finest of two figures of the difference and `figures` of each cost, and one finer where the difference
    of the rounded costs is off by more than a twentieth; under ten they are the same.

    Examples
    --------
    >>> apart(1128.0, 1897.0), apart(1234.0, 1240.0), apart(2332.0, 3352.0)
    ((1130.0, 1900.0, 770.0), (1200.0, 1200.0, 0.0), (2330.0, 3350.0, 1020.0))
    """
    places = [_place(low, figures), _place(high, figures)]
    if abs(high - low) < 10:
        both = round(low / max(places)) * max(places)
        return both, both, 0.0
    step = min(_place(high - low, 2), *places)
    first, second = round(low / step) * step, round(high / step) * step
    if step > 10 and abs(second - first - (high - low)) > MOST_OFF * abs(high - low):
        step /= 10
        first, second = round(low / step) * step, round(high / step) * step
    return first, second, second - first


def _place(value: float, figures: int) -> float:
    return float(10.0 ** max(1, len(str(int(abs(value)))) - figures))


def over_money(value: float, coin: str, like: float = 0.0) -> str:
    """An amount over the years to three figures, or to the place of one it is told `like`, so that a difference agrees."""
    step = 10.0 ** max(0, len(str(int(abs(like or value)))) - 3)
    return money(round(value / step) * step, coin)


def whole_parts(values: Sequence[float]) -> list[int]:
    """Parts in whole units of money that add up to their total in whole units.

    Examples
    --------
    >>> whole_parts([655.5, 11.4, 43.4]), sum(whole_parts([655.5, 11.4, 43.4]))
    ([656, 11, 43], 710)
    """
    floors = [math.floor(value) for value in values]
    left = round(sum(values)) - sum(floors)
    order = sorted(range(len(values)), key=lambda at: floors[at] - values[at])
    return [floor + (at in order[:left]) for at, floor in enumerate(floors)]


def enough_digits(amount: float, per: float, cost: float) -> str:
    """An amount with so many digits, two at most, that times the price shown it gives the cost to the unit of money.

    Examples
    --------
    >>> enough_digits(780.46, 3.29, 2567.71), enough_digits(780.0, 2.0, 1560.0), enough_digits(12.34, 0.0, 0.0)
    ('780.5', '780', '12.3')
    """
    least = 0 if amount >= 20 else 1
    texts = [(round(amount, digits), digits) for digits in range(least, 3)]
    value, digits = next((shown for shown in texts if abs(shown[0] * per - cost) < 0.5), texts[0])
    return f"{value:,.{digits}f}"


def years_text(years: float, rate: float = 0.0) -> str:
    """A payback, the same wherever one is told: tenths below ten years, and the interest that is in it.

    Examples
    --------
    >>> years_text(15.9), years_text(0.42), years_text(3.61, 0.03)
    ('16 years', '0.4 years', '3.6 years, with 3% interest')
    """
    tenths = max(0.1, round(years, 1))
    text = tr("{years} years", years=f"{round(years)}" if tenths >= 10.0 else f"{tenths:.1f}")
    if not rate:
        return text
    return tr("{years}, with {rate} interest", years=text, rate=f"{round(rate * 100.0, 1):g}%")
