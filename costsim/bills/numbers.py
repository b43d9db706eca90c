"""Numbers as bills write them: which mark is the decimal one is told from the whole column."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from decimal import Decimal

_AMOUNT = re.compile(r"^\(?\s*+([-+\u2212]?)\s*+(\d[\d.,' \u00a0\u202f]*+|[.,]\d++)\s*+\)?\s*+([A-Za-zµ°³][\w³. ]*+)?$")
_OF_TEN = re.compile(r"([-+\u2212]?\d{1,20}(?:([.,])\d{1,20})?[eE][-+]?\d{1,3})(?:\s*+([A-Za-zµ°³][\w³. ]*+))?")
"""A number with a power of ten, and a unit."""
MOST_AMOUNT = 1e15
"""In any unit; a meter has at most a dozen digits."""


def split_amount(text: str) -> tuple[str, str] | None:
    """Split what stands in a cell into digits with marks, and a unit; None where it is no number.

    Examples
    --------
    >>> split_amount("1,234.5 kWh"), split_amount("-12"), split_amount("n/a")
    (('1,234.5', 'kWh'), ('-12', ''), None)
    >>> split_amount("1.5E+02"), split_amount("5e-05 kWh"), split_amount("1e4000")
    (('150', ''), ('0.00005', 'kWh'), None)
    """
    power = _OF_TEN.fullmatch(text.strip())
    if power is not None:  # as tables and programs write small and large numbers
        plain = format(Decimal(power[1].replace("\u2212", "-").replace(",", ".")), "f")
        return plain.replace(".", power[2] or "."), (power[3] or "").strip()
    match = _AMOUNT.match(text.strip())
    if match is None or re.match(r"[eE]\d", match[3] or ""):
        return None
    minus = match[1] in ("-", "\u2212") or text.strip().startswith("(")
    return ("-" if minus else "") + re.sub(r"[' \u00a0\u202f]", "", match[2]), (match[3] or "").strip()


def decimal_mark(texts: Sequence[str], comma_likely: bool) -> tuple[str, int]:
    """Tell the decimal mark of a column.

    Parameters
    ----------
    texts : sequence of str
        Digits with marks, as `split_amount` gives them.
    comma_likely : bool
        Whether the file has signs of a country that writes decimal commas: semicolons, or dates with points.

    Returns
    -------
    mark, at : str, int
        ``"."`` or ``","`` and -1; or ``"?"`` and the place of a text that can be read two ways, such as ``1,234``.
    """
    both = [text for text in texts if "." in text and "," in text]
    if both:
        return max(".,", key=both[0].rfind), -1
    unclear = ""
    for mark, other in (",.", ".,"):
        having = [text for text in texts if mark in text]
        if any(text.count(mark) > 1 for text in having):
            return other, -1
        # no thousands: another number of digits behind it than three, or nothing, 0 or more than three before it
        if any(len(text.rsplit(mark, 1)[1]) != 3 or re.match(r"-?0?[.,]|-?\d{4}", text) for text in having):
            return mark, -1
        unclear = unclear or (mark if having else "")
    if unclear:
        return _by_size(texts, unclear, "." if unclear == "," else ",", comma_likely)
    return ".", -1


def _by_size(texts: Sequence[str], mark: str, other: str, comma_likely: bool) -> tuple[str, int]:
    """Decide where every mark is followed by three digits: by what else is in the file, else not at all."""
    usual = "," if comma_likely else "."
    if mark != usual and any(mark not in text and len(text) > 3 for text in texts):
        return "?", next(i for i, text in enumerate(texts) if mark in text)
    if mark == usual and all(mark in text for text in texts):
        return mark, -1  # a meter with three decimals writes them in every row
    plain = [float(text) for text in texts if mark not in text]
    if mark != usual and plain and max(plain) < 1000.0:
        return other, -1
    return "?", next(i for i, text in enumerate(texts) if mark in text)


def to_number(text: str, mark: str) -> float:
    """Read digits whose decimal mark is known; nan where the marks make no number, as in ``1,2,3.4``.

    Examples
    --------
    >>> to_number("1.234,5", ","), to_number("1,234.5", "."), to_number("05.01.2023", ".")
    (1234.5, 1234.5, nan)
    """
    other = "." if mark == "," else ","
    by_thousands = rf"-?\d{{1,3}}(?:\{other}\d{{3}})+(?:\{mark}\d*)?"
    if re.fullmatch(rf"{by_thousands}|-?\d*+\{mark}?\d*+", text) is None:
        return math.nan
    return float(text.replace(other, "").replace(mark, "."))
