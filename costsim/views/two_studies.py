"""Rows that hold two studies side by side: their options, and the keys on which they differ."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from costsim.results.result import Result
from costsim.units.quantity import pretty_unit, show
from costsim.views.carbon import carbon
from costsim.views.tables import money
from costsim.words import tr

MOST_ROWS = 60


def option_rows(first: Result, second: Result, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of every option of two results; `study` tells whose it is."""
    rows = []
    for study, result in ((tr("this one"), first), (tr("the other"), second)):
        for option in result.options:
            rows.append(
                [
                    option.name,
                    study,
                    money(option.cost_total, result.currency),
                    f"{option.unmet.hours:,} h",
                    show(option.demand_j, "heat", system),
                    carbon(option.co2_kg),
                ]
            )
    return [
        tr("option"),
        tr("study"),
        tr("cost a year"),
        tr("unmet hours"),
        tr("heat needed"),
        tr("CO2 metric tons"),
    ], rows


def differing_rows(first: Mapping[str, Any], second: Mapping[str, Any]) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the keys whose values differ, at most `MOST_ROWS`.

    Examples
    --------
    >>> differing_rows({"place": {"weather": "a"}, "title": "x"}, {"place": {"weather": "b"}, "title": "x"})[1]
    [['place.weather', 'a', 'b']]
    """
    one, two = dict(_leaves(first, "")), dict(_leaves(second, ""))
    keys = [key for key in dict.fromkeys([*one, *two]) if one.get(key) != two.get(key)]
    rows = [[key, one.get(key, "not given"), two.get(key, "not given")] for key in keys[:MOST_ROWS]]
    if len(keys) > MOST_ROWS:
        rows.append([tr("… and {keys} more", keys=len(keys) - MOST_ROWS), "", ""])
    return [tr("key"), tr("this study"), tr("the other")], rows


def _leaves(value: Any, where: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for key, part in value.items():
            yield from _leaves(part, f"{where}.{key}".lstrip("."))
    elif isinstance(value, list | tuple):
        for at, part in enumerate(value, 1):
            yield from _leaves(part, f"{where}[{at}]")
    else:
        yield where, pretty_unit(value) if isinstance(value, str) else str(value)
