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
    if match := _BY_NAME.fullmatch(plain):
        if match[1][:3] not in MONTHS:
            return text
        day = f"-{int(match[2]):02d}" if match[2] else ""
        return f"{match[3]}-{MONTHS.index(match[1][:3]) + 1:02d}{day}"
    if (match := _BY_NUMBER.fullmatch(plain)) and 1 <= int(match[1]) <= 12:
        return f"{match[2]}-{int(match[1]):02d}"
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
    >>> clock_window("all but 4 to 9 pm"), clock_window("switched off 4-9 pm"), clock_window("not 11 pm to 6 am")
    ('21:00-16:00', '21:00-16:00', '06:00-23:00')
    """
    if (off := hours_off(text)) and off[:5] != off[6:]:
        return f"{off[6:]}-{off[:5]}"
    match = _HOURS.fullmatch(text.lower()) if len(text) < 60 else None
    # "10-6 pm" can be meant two ways, and so stays as it stands
    if match is None or not ((match[3] or match[1].isalpha()) and (match[6] or match[4].isalpha())):
        return text
    ends = [_clock(match[1], match[2], match[3]), _clock(match[4], match[5], match[6])]
    return text if "" in ends else "-".join(ends)


_BUT = re.compile(
    r"(?:(?:all|any ?time|always|every ?hour|every ?thing)?(?: day| hours)? ?(?:but|except(?:ing)?(?: for)?|without|outside)"
    r"|(?:it is |is |are )?(?:switched |turned |shut )?off|not|no power|interrupted)(?: (?:from|between|at|of))?"
)


def hours_off(text: str) -> str:
    """Hours that words leave out, as ``16:00-21:00``; empty where they leave out none.

    Without "am" or "pm" at one end that of the other counts, so that the shorter time is meant; without any, that is the afternoon.

    Examples
    --------
    >>> hours_off("all but 4 to 9 pm"), hours_off("off 4 to 9"), hours_off("except between 10 and 2 pm"), hours_off("4 to 9 pm")
    ('16:00-21:00', '16:00-21:00', '10:00-14:00', '')
    """
    plain = " ".join(text.lower().split()) if len(text) < 60 else ""
    begun = _BUT.match(plain)
    match = _HOURS.fullmatch(plain[begun.end() :].strip().replace(" and ", " to ")) if begun else None
    if match is None:
        return ""
    first, last = (match[1], match[3]), (match[4], match[6])
    ends = [_hour_of(*end) for end in (first, last)]
    if not first[1] and not last[1] and 0 < ends[0] < ends[1] <= 12 and len(first[0]) == 1:
        first, last = (first[0], "p"), (last[0], "p" if ends[1] < 12 else "a")
    elif last[1] and not first[1] and first[0].isdigit() and ends[0] <= 12:
        late = ends[0] % 12 < ends[1] % 12
        first = (first[0], last[1] if late else "ap"[last[1] == "a"])
    elif first[1] and not last[1] and last[0].isdigit() and ends[1] <= 12:
        late = ends[0] % 12 < ends[1] % 12
        last = (last[0], first[1] if late else "ap"[first[1] == "a"])
    clock = [_clock(first[0], match[2], first[1]), _clock(last[0], match[5], last[1])]
    window = "-".join(clock)
    return window if _WINDOW.fullmatch(window) else ""


def _hour_of(hour: str, half: str | None) -> int:
    return int(hour) if hour.isdigit() else 0


_DEGREES = r"(\d+(?:[.,]\d+)?) ?((?:°|deg(?:rees)?)? ?[fc]\b|°)?"
_DAY, _NIGHT = (
    r"(?:by day|during the day|in the day(?:time)?|days?|daytime)",
    r"(?:at night|by night|during the night|over ?night|in the night|nights?)",
)
_BETWEEN = r"(?: ?(?:,|;|/| and | then | but ) ?| )"
_DAY_FIRST = re.compile(rf"{_DEGREES}(?: {_DAY})?{_BETWEEN}{_DEGREES} ?(?:,? ?({_NIGHT})|,? ?(?:from |between )?(.+))")
_NIGHT_FIRST = re.compile(rf"{_DEGREES} ({_NIGHT}){_BETWEEN}{_DEGREES}(?: {_DAY})?()")
NIGHT_HOURS = "22:00-06:00"
"""Taken for "at night" where no hours are said; common practice, no source."""


def two_temperatures(text: str) -> tuple[str, str, str, bool] | None:
    """A thermostat's setting by day, the one at night, the hours of that, and whether these were only taken; None where there is one setting.

    Examples
    --------
    >>> two_temperatures("70, 65 at night"), two_temperatures("70 65 from 10 pm to 6 am")
    (('70', '65', '22:00-06:00', True), ('70', '65', '22:00-06:00', False))
    >>> two_temperatures("65 at night and 70 by day"), two_temperatures("21 °C by day, 18 °C 23:00-05:00"), two_temperatures("70 F")
    (('70', '65', '22:00-06:00', True), ('21 °c', '18 °c', '23:00-05:00', False), None)
    """
    plain = " ".join(text.lower().split()) if len(text) < 100 else ""
    if match := _NIGHT_FIRST.fullmatch(plain):
        night, day, words = (match[1], match[2]), (match[4], match[5]), ""
    elif match := _DAY_FIRST.fullmatch(plain):
        day, night, words = (match[1], match[2]), (match[3], match[4]), match[6] or ""
    else:
        return None
    hours = clock_window(words) if words else NIGHT_HOURS
    if not _WINDOW.fullmatch(hours):
        return None
    unit = day[1] or night[1] or ""
    return f"{day[0]} {day[1] or unit}".strip(), f"{night[0]} {night[1] or unit}".strip(), hours, not words


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
    match = _WINDOW.fullmatch(text) if system == "us" else None
    return f"{_twelve(match[1], match[2])} to {_twelve(match[3], match[4])}" if match else text


def _twelve(hour: str, minute: str) -> str:
    number = int(hour) % 24
    if minute == "00" and number % 12 == 0:
        return "noon" if number else "midnight"
    past = "" if minute == "00" else f":{minute}"
    return f"{number % 12 or 12}{past} {'pm' if number >= 12 else 'am'}"
