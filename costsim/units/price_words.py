"""What people write after a price: "+ $120/yr tank rent", "+ $12/month"; and money less a rebate."""

from __future__ import annotations

import re

_AND = re.compile(r" ?(?:\+|\bplus\b|\band\b) ?", re.IGNORECASE)
_LESS = re.compile(r" (?:[-−–]|less|minus) ", re.IGNORECASE)
_FIXED = re.compile(
    r"(?:[$€£]|CHF )?\s?(\d[\d,]*(?:\.\d+)?)\s?(?:[$€£]|dollars?|CHF)?\s?(?:/|\bper\b|\ba\b|\bevery\b|\beach\b)?\s?"
    r"(months?|mo|monthly|years?|yr|yearly|annually|annual)\b[.,]?(?:[ a-z]{0,40})",
    re.IGNORECASE,
)


def price_and_charges(typed: str, currency: str) -> tuple[str, dict[str, str] | None]:
    """Part an energy price from the fixed charges written after it.

    Parameters
    ----------
    typed : str
        As people type it.
    currency : str
        Sign of the study's money.

    Returns
    -------
    tuple
        The text of the energy price, and the charges by key of a price table (`fixed` a month, `rent` a year); None for these
        where one cannot be read.

    Examples
    --------
    >>> price_and_charges("$2.40/gal + $120/yr tank rent", "$")
    ('$2.40/gal', {'rent': '120 $/year'})
    >>> price_and_charges("14.5c plus $12 a month", "$"), price_and_charges("14.5c + tax", "$")
    (('14.5c', {'fixed': '12 $/month'}), ('14.5c', None))
    """
    first, *others = _AND.split(" ".join(typed.split()))
    prices: dict[str, float] = {}
    for part in others:
        match = _FIXED.fullmatch(part.strip())
        if match is None:
            return first, None
        key = "fixed" if match[2].lower().startswith("mo") else "rent"
        prices[key] = prices.get(key, 0.0) + float(match[1].replace(",", ""))
    spans = {"fixed": "month", "rent": "year"}
    return first, {key: f"{amount:g} {currency}/{spans[key]}" for key, amount in prices.items()}


def amount_less(typed: str) -> tuple[str, str]:
    """Part an amount from what is taken off it; nothing is taken off where the second text is empty.

    Examples
    --------
    >>> amount_less("$19,500 - $3,000"), amount_less("19,500 less 3,000"), amount_less("9000")
    (('$19,500', '$3,000'), ('19,500', '3,000'), ('9000', ''))
    """
    parts = _LESS.split(" ".join(typed.split()))
    return (parts[0], parts[1]) if len(parts) == 2 else (typed, "")
