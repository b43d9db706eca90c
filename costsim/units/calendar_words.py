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


_HOURS = re.compile(
    r"\s*(?:from )?(\d{1,2}|noon|midnight)(?:[:.](\d{2}))? ?([ap])?\.?m?\.? *(?:-|–|to|until|till) *"
    r"(\d{1,2}|noon|midnight)(?:[:.](\d{2}))? ?([ap])?\.?m?\.?\s*"
)


def clock_window(text: str) -> str:
    """Hours in words as ``22:00-06:00``; any other text as it stands.

    Examples
    --------
    >>> clock_window("10 pm to 6 am"), clock_window("9pm-7am"), clock_window("noon - 5:30 p.m."), clock_window("10-6 pm")
    ('22:00-06:00', '21:00-07:00', '12:00-17:30', '10-6 pm')
    """
    found = _HOURS.fullmatch(text.lower()) if len(text) < 60 else None
    # "10-6 pm" can be meant two ways, and so stays as it stands
    if found is None or not ((found[3] or found[1].isalpha()) and (found[6] or found[4].isalpha())):
        return text
    ends = [_clock(found[1], found[2], found[3]), _clock(found[4], found[5], found[6])]
    return text if "" in ends else "-".join(ends)


def _clock(hour: str, minute: str | None, half: str | None) -> str:
    """An hour of the twelve of a morning or evening on the clock of twenty-four; empty where there is none."""
    number = {"noon": 12, "midnight": 0}.get(hour)
    if number is None:
        number = int(hour)
        if half is not None:
            if not 1 <= number <= 12:
                return ""
            number = number % 12 + (12 if half == "p" else 0)
    return f"{number:02d}:{minute or '00'}"


_WINDOW = re.compile(r"([01]\d|2[0-4]):([0-5]\d)-([01]\d|2[0-4]):([0-5]\d)")


def window_words(text: str, system: str) -> str:
    """Hours of a study as the reader's clock shows them; any other text as it stands.

    Examples
    --------
    >>> window_words("22:00-06:00", "us"), window_words("00:00-12:30", "us"), window_words("22:00-06:00", "si")
    ('10 pm to 6 am', 'midnight to 12:30 pm', '22:00-06:00')
    """
    found = _WINDOW.fullmatch(text) if system == "us" else None
    return f"{_twelve(found[1], found[2])} to {_twelve(found[3], found[4])}" if found else text


def _twelve(hour: str, minute: str) -> str:
    number = int(hour) % 24
    if minute == "00" and number % 12 == 0:
        return "noon" if number else "midnight"
    past = "" if minute == "00" else f":{minute}"
    return f"{number % 12 or 12}{past} {'pm' if number >= 12 else 'am'}"
