"""Searches on the simulation, each against as many whole simulations of the option as it tries sizes or prices."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from costsim import load_weather, read_study
from costsim.analysis.breakeven import TRIED, breakeven_prices, price_map
from costsim.analysis.collector_sweep import marginal_collector_area, sweep_areas_m2
from costsim.analysis.sizing import smallest
from costsim.benchmarks.race import least_each
from costsim.engine.lower import lower_study
from costsim.simulation import simulate_option

STEPS = 11


def search_rows(rounds: int = 5) -> list[list[str]]:
    """Least processor time of each search, its years or prices, and that of so many studies lowered and simulated anew."""
    cottage, loft, row = (read_study(name) for name in ("lantern_cottage", "net_loft", "valley_row"))
    electric, both, sunny = cottage.options[0].name, loft.options[1].name, row.options[1].name
    areas = sweep_areas_m2(row, sunny)
    keys = list(loft.prices)
    searches: list[tuple[str, Any, int, Callable[[Any], Any]]] = [
        ("output, cottage", cottage, 0, lambda weather: smallest(cottage, weather, option=electric, what="output")),
        ("tank, loft", loft, 1, lambda weather: smallest(loft, weather, option=both, what="tank")),
        (
            "collectors, row",
            row,
            1,
            lambda weather: marginal_collector_area(row, weather, option=sunny, areas_m2=areas),
        ),
        ("break-even, loft", loft, 1, lambda weather: breakeven_prices(loft, weather)),
        ("price map, loft", loft, 1, lambda weather: price_map(loft, weather, keys[0], keys[1], steps=STEPS)),
    ]
    rows = []
    for name, case, at, search in searches:
        weather = load_weather(case)
        found = search(weather)
        tried = getattr(found, "tried", 0) or (
            len(areas) if "collectors" in name else STEPS**2 if "map" in name else len(TRIED) * len(found)
        )

        def anew(case: Any = case, weather: Any = weather, at: int = at) -> object:
            return simulate_option(lower_study(case, weather), case.options[at])

        least = least_each({"search": (partial(search, weather), 1), "anew": (anew, 1)}, rounds)
        rows.append(
            [name, str(tried), f"{least['search'] * 1e3:.1f} ms", f"{tried * least['anew'] / least['search']:.1f}"]
        )
    return rows
