"""Days away as people write them: "Dec 20 - Jan 5 at 50 °F", "weekends only, 45 °F otherwise"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from costsim.units.calendar_words import MONTHS, window_words

_LENGTHS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
SPANS = {"f": (36.0, 77.0), "c": (2.0, 25.0)}
"""What an empty house is kept at; the two scales share no number, so that one without a unit has but one meaning."""
REMEDY = (
    "write it like 'Dec 20 - Jan 5 at 50 degF' or 'weekends only, 45 degF otherwise', and part several by a semicolon"
)


class TwoMeaningsError(ValueError):
    """What can be meant two ways: a `question` and its `answers`, each as it would be typed."""

    def __init__(self, question: str, answers: tuple[str, ...]) -> None:
        self.question, self.answers = question, answers
        super().__init__(f"{question}; write {' or '.join(repr(answer) for answer in answers)}")


_REST = r"otherwise|else|in between|meanwhile|(?:on )?the (?:rest of the week|rest of the time|other days)"
_WARM = (
    re.compile(r"(?:(?:\bat|\bto|\bdown to)\s+|@ ?)?(?<![\w/:.-])(-?\d+(?:[.,]\d+)?) ?(?:°|deg(?:rees)?)? ?(f|c)(?:ahrenheit|elsius)?\b"),
    re.compile(r"(?:(?:\bat|\bto|\bdown to)\s+|@ ?)?(?<![\w/:.-])(-?\d+(?:[.,]\d+)?) ?(?:°|deg(?:rees)?\b)()"),
    re.compile(r"(?<![\w/:.-])(-?\d+(?:[.,]\d+)?) (?=otherwise)()"),
    re.compile(r"(?:\bat|\bdown to|@) ?(-?\d+(?:[.,]\d+)?)(?![\d:/.])(?! ?[ap]\.?m\b)()"),
)  # fmt: skip
_BACK = re.compile(
    r"\b(?:back|home|return|returning|warm|warm again)(?: (?:at|by|from|around))? (noon|midnight|[01]?\d|2[0-4])(?!\d|\W*(?:°|deg|[fc]\b))"
    r"(?:[:.](\d{2}))? ?(?:([ap])\.?m\b\.?)?"
)
_TO = r" ?(?:-|–|—|\bto\b|\buntil\b|\btill\b|\bthrough\b|\bthru\b) ?(?:the )?"
_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
_NUMBER = r"\d{1,2}(?:st|nd|rd|th|\.)?(?!\d)"
_YEAR = r"(?:,? \d{4}\b)?"
_DAY = rf"(?:\d{{4}}-\d{{2}}-\d{{2}}|\b{_MONTH} {_NUMBER}{_YEAR}|\b{_NUMBER}(?: of)? {_MONTH}{_YEAR}|\b\d{{1,2}}/\d{{1,2}}(?:/\d{{2,4}})?)"
_RANGE = re.compile(
    rf"(?:(?P<first>{_DAY}){_TO}(?P<last>{_DAY}|{_NUMBER})|(?P<early>\b{_NUMBER}){_TO}(?P<late>{_NUMBER}(?: of)? {_MONTH}{_YEAR})"
    rf"|(?P<only>{_DAY})|\b(?P<month>{_MONTH})(?![a-z])(?:{_TO}(?P<final>{_MONTH}))?)"
)
_WEEKDAY = r"(?:mon|tue|wed|thu|fri|sat|sun)(?:days?|s|sday|sdays|rs|rsdays?|nesdays?|urdays?)?\b\.?"
_WEEKLY = re.compile(
    rf"\b(?:(?P<end>week-?ends?)|(?P<work>(?:week-?|work ?|working )days?|(?:work|working )?week)|(?P<one>{_WEEKDAY})(?:{_TO}(?P<two>{_WEEKDAY}))?)\b"
)
_AWAY = r"away|gone|absent|empty|vacant|closed|unoccupied|nobody|unused|vacation|holidays?|out of town|not"
_THERE = r"used|there|occupied|open|lived in|in use|here|visited|otherwise"
_FILLER = re.compile(
    rf"\b(?:{_AWAY}|{_THERE}|we|i|are|am|is|be|will|it|we're|i'm|the|a|an|on|at|of|in|from|between|for|with|during|every|each|all|only|alone"
    r"|just|and|house|home|cabin|cottage|kept|keep|held|thermostat|frost|set|heat|heated|heating|again|then|back|days?|year|while|when|but)\b|[,.:()&+-]"
)


def absences(text: str) -> list[dict[str, str]]:
    """Read days away, each as a table ``absence`` of a study.

    Parameters
    ----------
    text : str
        One absence, or several with ``;`` or "and" between; of those that "and" joins all take the one temperature that is said.

    Raises
    ------
    TwoMeaningsError
        It can be meant two ways.
    ValueError
        It cannot be read; with what would be right.

    Examples
    --------
    >>> absences("away Dec 20 - Jan 5 at 50 °F")
    [{'from': 'Dec 20', 'to': 'Jan 5', 'indoor_temperature': '50 degF'}]
    >>> absences("weekends only, 45 °F otherwise")
    [{'days': 'Mon-Fri', 'indoor_temperature': '45 degF'}]
    >>> absences("Feb 3 to 10, back at 4 pm")
    [{'from': 'Feb 3', 'to': 'Feb 10', 'back_at': '16:00'}]
    """
    groups = [parts for group in re.split(r"[;\n]", text) if (parts := _parts(group))]
    absences_read: list[dict[str, str]] = []
    for parts in groups:
        read: list[dict[str, str]] = []
        for at, part in enumerate(parts):
            try:
                read.append(_one(part))
            except TwoMeaningsError as unclear:
                ways = [
                    [[*parts[:at], answer, *parts[at + 1 :]] if group is parts else group for group in groups]
                    for answer in unclear.answers
                ]
                answers = ("; ".join(" and ".join(group) for group in way) for way in ways)
                raise TwoMeaningsError(unclear.question, tuple(answers)) from None
        said = {absence["indoor_temperature"] for absence in read if "indoor_temperature" in absence}
        absences_read += [
            absence | {"indoor_temperature": next(iter(said))} if len(said) == 1 else absence for absence in read
        ]
    if not absences_read:
        raise ValueError(f"'{text}' names no days; {REMEDY}")
    return absences_read


def _parts(group: str) -> list[str]:
    """The absences of a group, in small letters."""
    plain = " ".join(group.lower().split())
    if len(plain) > 200:
        raise ValueError(f"'{plain[:40]}…' is too long for days away; {REMEDY}")
    plain = re.sub(r"\bsat(?:urdays?|s)? ?(?:and|&|,) ?sun(?:days?|s)?\b", "weekends", plain)
    plain = re.sub(rf"\b(?:{_REST})\b", "otherwise", plain)
    parts: list[str] = []
    for part in re.split(
        rf" ?(?:,? and|&|,|,? plus) (?=(?:again )?(?:from |away )?(?:{_DAY}|\b{_MONTH}(?![a-z])))", plain
    ):
        if parts and not _RANGE.search(parts[-1]):
            parts[-1] = f"{parts[-1]}, {part}"
        elif part:
            parts.append(part)
    return parts


def _one(text: str) -> dict[str, str]:
    """One absence."""
    part, back = _back(text)
    part, warmth = _warmth(part)
    match = _RANGE.search(part)
    dates = _dates(match, text) if match else {}
    left = f"{part[: match.start()]} , {part[match.end() :]}" if match else part
    weekly = _WEEKLY.search(left)
    days = _weekly(weekly, left, text, warmth) if weekly else ""
    left = f"{left[: weekly.start()]} {left[weekly.end() :]}" if weekly else left
    if rest := _FILLER.sub(" ", left).strip():
        raise ValueError(f"'{text}': '{' '.join(rest.split())}' is not understood; {REMEDY}")
    if not dates and not days:
        raise ValueError(f"'{text}' names no days; {REMEDY}")
    if dates and not days and re.search(r"\b(?:only|otherwise)\b", left) and not re.search(rf"\b(?:{_AWAY})\b", left):
        tail = f" at {_degrees(warmth)}" if warmth else ""
        span = away_text(dates)
        raise TwoMeaningsError(
            f"'{text}': is nobody there {span}, or only then?", (f"away {span}{tail}", f"away {_others(dates)}{tail}")
        )
    said = {"days": days, "back_at": back, "indoor_temperature": warmth}
    return dates | {key: value for key, value in said.items() if value}


def _warmth(part: str) -> tuple[str, str]:
    """What is left of it, and its temperature as a study has it; empty where none is said."""
    match = next((warm for pattern in _WARM if (warm := pattern.search(part))), None)
    if match is None:
        return part, ""
    number = match[1].replace(",", ".")
    unit = match[2] or next((key for key, (low, high) in SPANS.items() if low <= float(number) <= high), "")
    low, high = SPANS[unit or "f"]
    if not low <= float(number) <= high:
        both = ", ".join(f"{ends[0]:g} to {ends[1]:g} deg{key.upper()}" for key, ends in SPANS.items())
        raise ValueError(f"an empty house cannot be kept at {number} deg{(unit or 'f').upper()}; give one of {both}")
    return f"{part[: match.start()]} , {part[match.end() :]}", f"{number} deg{unit.upper()}"


def _back(text: str) -> tuple[str, str]:
    """What is left of it, and the clock time from which the house is warm again."""
    match = _BACK.search(text)
    if match is None:
        return text, ""
    hour, minute, half = match[1], match[2] or "00", match[3]
    number = {"noon": 12, "midnight": 0}.get(hour)
    if number is None:
        number = int(hour)
        if not half and not match[2] and 1 <= number <= 12:
            said = match[0].strip()
            answers = tuple(text.replace(said, f"{said} {am_or_pm}", 1) for am_or_pm in ("am", "pm"))
            raise TwoMeaningsError(f"'{text}': in the morning or in the afternoon?", answers)
        if half:
            number = number % 12 + 12 * (half == "p") if 1 <= number <= 12 else 24
    if number > 23 or int(minute) > 59:
        raise ValueError(f"'{text}': there is no such clock time; write it like back at 4 pm")
    return f"{text[: match.start()]} , {text[match.end() :]}", f"{number:02d}:{minute}"


def _weekly(match: re.Match[str], left: str, text: str, warmth: str) -> str:
    """Days away of every week, such as ``Mon-Fri``, by whether the days that are named are those away or those there."""
    if match["end"] or match["work"]:
        first, last = (5, 6) if match["end"] else (0, 4)
    else:
        first = WEEK.index(match["one"][:3])
        last = WEEK.index(match["two"][:3]) if match["two"] else first
    named, others = _named(first, last), _named((last + 1) % 7, (first - 1) % 7)
    if (last + 1) % 7 == first:
        raise ValueError(f"'{text}' names every day of the week; leave one out, or name dates")
    if not re.search(r"\b(?:not|nobody)\b", left) and re.search(rf"\b(?:{_THERE})\b", left):
        return others
    if re.search(rf"\b(?:{_AWAY})\b", left) or named == "Mon-Fri":
        return named
    if re.search(r"\b(?:only|alone|just)\b", left):
        return others
    tail = f" at {_degrees(warmth)}" if warmth else ""
    raise TwoMeaningsError(
        f"'{text}': is nobody there {named}, or only then?", (f"away {named}{tail}", f"away {others}{tail}")
    )


def _named(first: int, last: int) -> str:
    names = [WEEK[first].capitalize(), WEEK[last].capitalize()]
    return names[0] if first == last else "-".join(names)


def _dates(match: re.Match[str], text: str) -> dict[str, str]:
    """First and last day away, such as ``Dec 20``."""
    if match["month"]:
        first, last = _month(match["month"]), _month(match["final"] or match["month"])
        return {"from": _written(first, 1, text), "to": _written(last, _LENGTHS[last - 1], text)}
    if match["early"]:
        begin, end = match["early"], match["late"]
    else:
        begin = match["first"] or match["only"]
        end = match["last"] or begin
    ways = [(_read(begin, end, swap), _read(end, begin, swap)) for swap in (False, True)]
    possible = [span for span in dict.fromkeys(ways) if all(1 <= month <= 12 for month, _ in span)]
    if len(possible) == 2:
        answers = tuple(
            text.replace(match[0].strip(), " - ".join(_written(*day, text) for day in span), 1) for span in possible
        )
        raise TwoMeaningsError(f"'{text}': does the month or the day come first?", answers)
    if not possible:
        raise ValueError(f"'{text}' has no such day; {REMEDY}")
    first_day, last_day = possible[0]
    if re.fullmatch(_NUMBER, end) and last_day[1] < first_day[1]:
        raise ValueError(f"'{text}': {end} lies before {_written(*first_day, text)}; name the month of the last day")
    return {"from": _written(*first_day, text), "to": _written(*last_day, text)}


def _read(day: str, beside: str, swap: bool) -> tuple[int, int]:
    """Month and day of one end of a span; of a number alone the month of the other end. `swap` reads 5/12 as 5 December."""
    numbers = [int(number) for number in re.findall(r"\d+", day)]
    if re.fullmatch(_NUMBER, day):
        return _read(beside, beside, swap)[0], numbers[0]
    if re.match(r"\d{4}-", day):
        return numbers[1], numbers[2]
    if "/" in day:
        return (numbers[1], numbers[0]) if swap else (numbers[0], numbers[1])
    name = re.search(_MONTH, day)
    return _month(name[0]) if name else 0, numbers[0]


def _others(dates: Mapping[str, str]) -> str:
    """All days but these."""
    ends = []
    for key, by in (("to", 1), ("from", -1)):
        name, number = dates[key].split()
        month, day = _month(name.lower()) - 1, int(number) + by
        if day > _LENGTHS[month]:
            month, day = (month + 1) % 12, 1
        elif day < 1:
            month = (month - 1) % 12
            day = _LENGTHS[month]
        ends.append(f"{MONTHS[month].capitalize()} {day}")
    return " - ".join(ends)


def _month(name: str) -> int:
    return MONTHS.index(name[:3]) + 1


def _written(month: int, day: int, text: str) -> str:
    if not 1 <= day <= _LENGTHS[month - 1]:
        raise ValueError(f"'{text}': {MONTHS[month - 1].capitalize()} has no day {day}; {REMEDY}")
    return f"{MONTHS[month - 1].capitalize()} {day}"


def _degrees(warmth: str) -> str:
    return warmth.replace("deg", "°")


def away_text(item: Mapping[str, Any], system: str = "us") -> str:
    """An absence of a study as it would be typed: `absences` reads it back.

    Examples
    --------
    >>> away_text({"from": "Dec 20", "to": "Jan 5", "back_at": "16:00", "indoor_temperature": "50 degF"})
    'Dec 20 - Jan 5 at 50 °F, back at 4 pm'
    >>> away_text({"days": "Mon-Fri", "from": "Nov 1", "to": "Mar 31", "indoor_temperature": "7 degC"}, "si")
    'away Mon-Fri, Nov 1 - Mar 31 at 7 °C'
    """
    first, last, days = (str(item.get(key) or "") for key in ("from", "to", "days"))
    dates = first if first == last else f"{first} - {last}"
    text = ", ".join(filter(None, [f"away {days}" if days else "", dates]))
    if warmth := str(item.get("indoor_temperature") or ""):
        text += f" at {_degrees(warmth)}"
    if back := str(item.get("back_at") or ""):
        text += f", back at {window_words(f'{back.zfill(5)}-{back.zfill(5)}', system).partition(' to ')[0].partition('-')[0]}"
    return text
