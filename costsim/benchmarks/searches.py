"""Searches on the simulation, each against as many whole simulations of the option as it tries sizes or prices."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from costsim import load_weather, read_study
from costsim.analysis.breakeven import TRIED, breakeven_prices, price_map
from costsim.analysis.collector_sweep import SWEEP, marginal_collector_area, sweep_areas_m2
from costsim.analysis.sizing import smallest
from costsim.benchmarks.race import least_each
from costsim.engine.lower import lower_study
from costsim.simulation import simulate_option
from costsim.study.case import Case
from costsim.weather import Weather

STEPS = 11
SIZED = (
    # study, option, what, source, hours borne
    ("lantern_cottage", 0, "output", 0, 0), ("lantern_cottage", 3, "output", 0, 0), ("net_loft", 1, "output", 1, 0),
    ("valley_row", 2, "output", 2, 40), ("net_loft", 0, "breaker", 0, 0), ("net_loft", 0, "tank", 0, 0),
    ("valley_row", 0, "tank", 0, 0), ("valley_row", 2, "tank", 0, 0),
)  # fmt: skip
SUNNY = (("valley_row", 1), ("valley_row", 2))
PRICED = ("lantern_cottage", "net_loft", "valley_row")
Search = tuple[str, Case, Weather, int, Callable[[Case], Any], Callable[[Any], int]]


def searches() -> Iterator[Search]:
    """Name, study, weather and option of each search, the search in a study, and how many years or prices it tried, from what it found."""
    known = {name: (case, load_weather(case)) for name in PRICED for case in [read_study(name)]}
    for name, at, what, source, hours in SIZED:
        case, weather = known[name]
        size = partial(smallest, weather=weather, option=case.options[at].name, what=what, source=source, hours=hours)
        borne = f", {hours} h borne" if hours else ""
        yield f"{what}{borne}: {name}, {case.options[at].name}", case, weather, at, size, lambda year: year.tried
    for name, at in SUNNY:
        case, weather = known[name]
        option = case.options[at].name
        sweep = partial(
            marginal_collector_area, weather=weather, option=option, areas_m2=sweep_areas_m2(case, option)
        )  # fmt: skip
        yield f"collectors: {name}, {option}", case, weather, at, sweep, lambda _: len(SWEEP)
    for name, (case, weather) in known.items():
        keys = list(case.prices)
        turns = partial(breakeven_prices, weather=weather)
        yield f"turning prices: {name}", case, weather, 1, turns, lambda year: len(TRIED) * len(year)
        chart = partial(price_map, weather=weather, across=keys[0], up=keys[1], steps=STEPS)
        yield f"price map: {name}", case, weather, 1, chart, lambda _: STEPS**2


def search_rows(rounds: int = 5) -> list[list[str]]:
    """Years or prices of each search, its least processor time, and how many times that is in so many studies lowered and simulated anew.

    Time and times are those of the first search of a study, then of one that follows another of the same option.
    """
    rows = []
    for name, case, weather, at, search, tried_of in searches():
        tried = tried_of(search(case))

        def anew(case: Case = case, weather: Weather = weather, at: int = at) -> object:
            return simulate_option(lower_study(case, weather), case.options[at])

        def first(case: Case = case, search: Callable[[Case], Any] = search) -> object:
            return search(case.model_copy())

        least = least_each({"first": (first, 1), "again": (partial(search, case), 1), "anew": (anew, 1)}, rounds)
        table = [
            (f"{least[turn] * 1e3:.1f} ms", f"{tried * least['anew'] / least[turn]:.1f}") for turn in ("first", "again")
        ]
        rows.append([name, str(tried), *table[0], *table[1]])
    return rows
