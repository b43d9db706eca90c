"""Signs that are easily left out of a longitude and of hours from UTC, found by what fits together."""

from __future__ import annotations

import re

HOURS_OFF = 3.0
"""Hours by which a clock may differ from the sun's; no clock on land does by more."""


def both_unsigned(longitude: str, hours: str) -> bool:
    """Whether a longitude and hours from UTC of North America (50 to 170, 3 to 11) were both typed without a sign.

    Examples
    --------
    >>> both_unsigned("111.15", "7"), both_unsigned("+111.15", "7"), both_unsigned("-111.15", "-7"), both_unsigned("13.4", "1")
    (True, False, False, False)
    """
    bare = not any(text.strip().startswith(("+", "-")) for text in (longitude, hours))
    return bare and 50.0 < float(longitude) < 170.0 and 3.0 <= float(hours) <= 11.0


def behind(longitude: float, hours: float) -> bool:
    """Whether hours from UTC fit a longitude in the west only with the sign that was left out.

    Examples
    --------
    >>> behind(-77.9, 5), behind(-77.9, -5), behind(13.4, 1), behind(-3.7, 1)
    (True, False, False, False)
    """
    sun = longitude / 15.0
    return longitude < 0 < hours and abs(hours - sun) > HOURS_OFF >= abs(-hours - sun)


def signed(text: str) -> str:
    """Degrees with a letter as degrees with a sign.

    Examples
    --------
    >>> signed("44.47 N"), signed("73.15° W"), signed("-79.9"), signed("north")
    ('44.47', '-73.15', '-79.9', 'north')
    """
    match = re.fullmatch(r"([\d.]+) ?°? ?([NSEWnsew])", text.strip())
    return text if match is None else f"{'-' if match[2] in 'SWsw' else ''}{match[1]}"
