"""Clock windows, days and months as a grid of full hours, and back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from costsim.tariffs.calendar import DAYS, SHORT_MONTHS
from costsim.tariffs.windows import parse_windows
from costsim.units.table import DAY_MIN

SHORT_DAYS = tuple(day[:3].title() for day in DAYS)


def hours_of(windows: Sequence[str], days: str, months: str) -> dict[str, list[bool]] | None:
    """The grid of a table's hours; None where they do not lie on full hours, name holidays, or cannot be read.

    Examples
    --------
    >>> grid = hours_of(["22:00-06:00"], "Mon-Fri", "")
    >>> [hour for hour in range(24) if grid["hours"][hour]], sum(grid["days"]), sum(grid["months"])
    ([0, 1, 2, 3, 4, 5, 22, 23], 5, 12)
    """
    try:
        windows_read = parse_windows(windows, days=days, months=months)
    except ValueError:
        return None
    edges = [minute for span in windows_read.spans for minute in span]
    if windows_read.holidays is not None or any(minute % 60 for minute in edges):
        return None
    hours = [False] * 24
    for first, last in windows_read.spans:
        for minute in range(first, last, 60):
            hours[minute % DAY_MIN // 60] = True
    return {
        "hours": hours,
        "days": [day in windows_read.days for day in range(7)],
        "months": [month in windows_read.months for month in range(1, 13)],
    }


def painted_text(hours: Sequence[Any], days: Sequence[Any], months: Sequence[Any]) -> tuple[list[str], str, str]:
    """Windows, days and months of a painted grid, as a study writes them.

    Windows run across midnight only where all days are in, since they belong to the day on which they start.

    Examples
    --------
    >>> night = [hour < 6 or hour >= 22 for hour in range(24)]
    >>> painted_text(night, [True] * 7, [True] * 12)
    (['22:00-06:00'], 'every day', '')
    >>> painted_text(night, [True] * 5 + [False] * 2, [month > 9 or month < 3 for month in range(12)])
    (['00:00-06:00', '22:00-24:00'], 'Mon-Fri', 'Jan-Mar, Nov-Dec')
    """
    spans = _runs([bool(hour) for hour in hours])
    if all(days) and spans and spans[0][0] == 0 and spans[-1][1] == 24:
        spans = [*spans[1:-1], (spans[-1][0], spans[0][1])]
    windows = [f"{first:02d}:00-{last:02d}:00" for first, last in spans]
    named = "every day" if all(days) else _named(days, SHORT_DAYS)
    return windows, named, "" if all(months) else _named(months, SHORT_MONTHS)


def _runs(flags: Sequence[bool]) -> list[tuple[int, int]]:
    """First and one past the last of each run of true values."""
    runs, start = [], None
    for at, on in enumerate([*flags, False]):
        if on and start is None:
            start = at
        elif not on and start is not None:
            runs.append((start, at))
            start = None
    return runs


def _named(flags: Sequence[Any], names: Sequence[str]) -> str:
    parts = []
    for first, last in _runs([bool(flag) for flag in flags]):
        parts.append(names[first] if last - first == 1 else f"{names[first]}-{names[last - 1]}")
    return ", ".join(parts)
