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
Search = tuple[str, Case, Weather, int, Callable[[], Any], Callable[[Any], int]]


def searches() -> Iterator[Search]:
    """Name, study, weather and option of each search, the search, and how many years or prices it tried, from what it found."""
    known = {name: (case, load_weather(case)) for name in PRICED for case in [read_study(name)]}
    for name, at, what, source, hours in SIZED:
        case, weather = known[name]
        size = partial(smallest, case, weather, option=case.options[at].name, what=what, source=source, hours=hours)
        borne = f", {hours} h borne" if hours else ""
        yield f"{what}{borne}: {name}, {case.options[at].name}", case, weather, at, size, lambda found: found.tried
    for name, at in SUNNY:
        case, weather = known[name]
        option = case.options[at].name
        sweep = partial(
            marginal_collector_area, case, weather, option=option, areas_m2=sweep_areas_m2(case, option)
        )  # fmt: skip
        yield f"collectors: {name}, {option}", case, weather, at, sweep, lambda _: len(SWEEP)
    for name, (case, weather) in known.items():
        keys = list(case.prices)
        turns = partial(breakeven_prices, case, weather)
        yield f"turning prices: {name}", case, weather, 1, turns, lambda found: len(TRIED) * len(found)
        chart = partial(price_map, case, weather, keys[0], keys[1], steps=STEPS)
        yield f"price map: {name}", case, weather, 1, chart, lambda _: STEPS**2


def search_rows(rounds: int = 5) -> list[list[str]]:
    """Least processor time of each search, its years or prices, and that of so many studies lowered and simulated anew."""
    rows = []
    for name, case, weather, at, search, tried_of in searches():
        tried = tried_of(search())

        def anew(case: Case = case, weather: Weather = weather, at: int = at) -> object:
            return simulate_option(lower_study(case, weather), case.options[at])

        least = least_each({"search": (search, 1), "anew": (anew, 1)}, rounds)
        rows.append(
            [name, str(tried), f"{least['search'] * 1e3:.1f} ms", f"{tried * least['anew'] / least['search']:.1f}"]
        )
    return rows
