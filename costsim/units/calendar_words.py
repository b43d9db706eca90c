"""Months and time zones as people write them: "January 2025", "Eastern"."""

from __future__ import annotations

import re

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
ZONES = {
    "eastern": "America/New_York",
    "central": "America/Chicago",
    "mountain": "America/Denver",
    "arizona": "America/Phoenix",
    "pacific": "America/Los_Angeles",
    "alaska": "America/Anchorage",
    "hawaii": "Pacific/Honolulu",
}
"""Names of US time zones by the place whose clock they follow (IANA time zone database, `zone1970.tab`)."""
_ZONE = re.compile(r"(?:us[ /])?([a-z]+)(?: (?:standard |daylight |prevailing )?time)?")
_BY_NAME = re.compile(r"([a-z]{3,9})\.? (?:(\d{1,2})(?:st|nd|rd|th)?,? )?(\d{4})")
_BY_NUMBER = re.compile(r"(\d{1,2})/(\d{4})")


def zone_name(text: str) -> str:
    """IANA name of a US time zone in words; any other text as it stands.

    Examples
    --------
    >>> zone_name("Eastern"), zone_name("US Pacific Time"), zone_name("America/Denver")
    ('America/New_York', 'America/Los_Angeles', 'America/Denver')
    """
    match = _ZONE.fullmatch(" ".join(text.lower().split())) if len(text) < 60 else None
    return ZONES.get(match[1], text) if match else text


def month_or_day(text: str) -> str:
    """A month or day with its name in words as ``2025-01`` or ``2025-01-31``; any other text as it stands.

    Examples
    --------
    >>> month_or_day("January 2025"), month_or_day("Jan 5, 2025"), month_or_day("1/2025"), month_or_day("2025-01")
    ('2025-01', '2025-01-05', '2025-01', '2025-01')
    """
    plain = " ".join(text.lower().split()) if len(text) < 60 else ""
    if found := _BY_NAME.fullmatch(plain):
        if found[1][:3] not in MONTHS:
            return text
        day = f"-{int(found[2]):02d}" if found[2] else ""
        return f"{found[3]}-{MONTHS.index(found[1][:3]) + 1:02d}{day}"
    if (found := _BY_NUMBER.fullmatch(plain)) and 1 <= int(found[1]) <= 12:
        return f"{found[2]}-{int(found[1]):02d}"
    return text
