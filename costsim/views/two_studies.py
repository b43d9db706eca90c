"""Rows that hold two studies side by side: their options, and the keys on which they differ."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from costsim.results.result import Result
from costsim.study.case import Case
from costsim.units.fields import in_words
from costsim.units.quantity import pretty_unit
from costsim.views.answer import called, ranked
from costsim.views.carbon import carbon
from costsim.views.tables import money
from costsim.words import tr

MOST_ROWS = 60


def titles(first: Case, second: Case) -> tuple[str, str]:
    """What two studies are called side by side; those of one name are told apart."""
    here, there = (_name(case) for case in (first, second))
    if here != there:
        return here, there
    return tr("{title}, this one", title=here), tr("{title}, the other", title=there)


def _name(case: Case) -> str:
    """A study's title, or where that is a question the name of its file."""
    return in_words(case.file.removesuffix(".toml")) if case.title.endswith("?") and case.file else case.title


def verdict_sentence(first: Result, second: Result, names: tuple[str, str]) -> str:
    """The cheapest option of each study that keeps its house warm, and the gap between them."""
    best = [ranked(result)[0] for result in (first, second)]
    parts = [
        tr(
            "{study}: {option}, {cost} a year",
            study=study,
            option=called(option.name),
            cost=money(option.cost_total, result.currency),
        )
        for study, option, result in zip(names, best, (first, second), strict=True)
    ]
    text = tr("Cheapest to run. {first}. {second}.", first=parts[0], second=parts[1])
    gap = best[1].cost_total - best[0].cost_total
    if first.currency != second.currency:
        return text
    if round(gap) == 0:
        return f"{text} {tr('Both cost the same.')}"
    return f"{text} {tr('{study} costs {gap} a year less.', study=names[0] if gap > 0 else names[1], gap=money(abs(gap), first.currency))}"


def option_rows(first: Result, second: Result, names: tuple[str, str]) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of every option of two results: one row an option, a column for each study."""
    rows = []
    for name in dict.fromkeys(option.name for result in (first, second) for option in result.options):
        both = [next((option for option in result.options if option.name == name), None) for result in (first, second)]
        costs = [
            money(option.cost_total, result.currency) if option else ""
            for option, result in zip(both, (first, second), strict=True)
        ]
        gap = (
            money(both[1].cost_total - both[0].cost_total, first.currency)
            if both[0] and both[1] and first.currency == second.currency
            else ""
        )
        cold = [f"{option.unmet.hours:,}" if option else "" for option in both]
        tons = [carbon(option.co2_kg) if option else "" for option in both]
        rows.append([name, *costs, gap, *cold, *tons])
    a_year, hours, co2 = tr("a year"), tr("hours too cold"), tr("CO2 metric tons")
    heads = [f"{study}: {what}" for what in (a_year, hours, co2) for study in names]
    return [tr("option"), *heads[:2], tr("difference"), *heads[2:]], rows


def differing_rows(
    first: Mapping[str, Any],
    second: Mapping[str, Any],
    names: tuple[str, str] = ("", ""),
    label: Callable[[str, Mapping[str, Any]], str] = lambda key, study: key,
) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the keys whose values differ, at most `MOST_ROWS`; `label` gives a key's words.

    Examples
    --------
    >>> differing_rows({"place": {"weather": "a"}, "title": "x"}, {"place": {"weather": "b"}, "title": "x"})[1]
    [['place.weather', 'a', 'b']]
    """
    left, right = dict(_leaves(first, "")), dict(_leaves(second, ""))
    keys = [key for key in dict.fromkeys([*left, *right]) if left.get(key) != right.get(key)]
    none = tr("not given")
    rows = [
        [label(key, first if key in left else second), left.get(key, none), right.get(key, none)]
        for key in keys[:MOST_ROWS]
    ]
    if len(keys) > MOST_ROWS:
        rows.append([tr("… and {keys} more", keys=len(keys) - MOST_ROWS), "", ""])
    return [tr("entry"), names[0] or tr("this study"), names[1] or tr("the other")], rows


def _leaves(value: Any, where: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for key, part in value.items():
            yield from _leaves(part, f"{where}.{key}".lstrip("."))
    elif isinstance(value, list | tuple):
        for at, part in enumerate(value, 1):
            yield from _leaves(part, f"{where}[{at}]")
    else:
        yield where, pretty_unit(value) if isinstance(value, str) else str(value)
