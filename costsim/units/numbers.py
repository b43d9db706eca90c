"""Numbers in the writing of several countries: what a comma, a point, a space or an apostrophe in them may mean."""

from __future__ import annotations

import re

NUMBER = re.compile(r"[-+]?\d[\d.,'  ]*(?:[eE][-+]?\d+)?|[-+]?[.,]\d+")


def is_bare(typed: str) -> bool:
    """Whether a text is a number without a unit; a sign of money before it is none.

    Examples
    --------
    >>> is_bare("1,500"), is_bare("$2.40"), is_bare("2.40/gal"), is_bare("22c"), is_bare("large")
    (True, True, False, False, False)
    """
    match = NUMBER.search(typed)
    return match is not None and not typed[match.end() :].strip()


def number_readings(text: str, system: str) -> list[str]:
    """The number in plain writing; two where a comma or point can be meant either way, such as 3,65 in US units.

    There a comma stands between thousands, three digits behind it; before any other number of digits it is a decimal
    comma or one that slipped.
    """
    body = re.sub(r"[' ]", "", text.rstrip(".,"))
    if "," not in body:
        if re.fullmatch(r"[-+]?\d{1,3}(\.\d{3}){2,}", body):
            return [body.replace(".", "")]
        if system == "si" and re.fullmatch(r"[-+]?[1-9]\d{0,2}\.\d{3}", body):
            return [body, body.replace(".", "")]
        return [re.sub(r"^([-+]?)\.", r"\g<1>0.", body)]
    if "." in body:
        thousands, decimal = (",", ".") if body.rindex(".") > body.rindex(",") else (".", ",")
        return [body.replace(thousands, "").replace(decimal, ".")]
    if body.count(",") > 1:
        return [body.replace(",", "")]
    before, after = body.split(",")
    if before.lstrip("+-") in ("", "0"):
        return [f"{before or '0'}.{after}"]
    if len(after) != 3:
        return [f"{before}.{after}", *([f"{before}{after}"] if system == "us" else [])]
    whole, split = f"{before}{after}", tidy(f"{before}.{after}")
    return [whole] if system == "us" else [split, whole]


def tidy(number: str) -> str:
    """A number in at most twelve figures."""
    return f"{float(number):.12g}"
