"""Ways to compute the same years, one after the other in one process, each with its ratio."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np

from costsim import load_weather, read_study
from costsim.benchmarks.core import slow_ways
from costsim.benchmarks.yardstick import Year, yardstick
from costsim.engine import kernel as k
from costsim.engine.lower import lower_common, lower_option

RACES = (("valley_row", 1), ("lantern_cottage", 2), ("net_loft", 1))
"""Study and option: sun and electric on a tank; one gas boiler; two sources."""
SCENARIOS = 512


def least_s(work: Callable[[], Any], runs: int = 5) -> float:
    """Least time of some runs after a first that is not counted; others share the machine."""
    work()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def year_of(study: str, option: int, scenarios: int = SCENARIOS) -> Year:
    """A built-in study's option under invented draws of load and warmth."""
    case = read_study(study)
    common = lower_common(case, load_weather(case))
    plant, rng = lower_option(common, case.options[option]), np.random.default_rng(1)
    return Year(
        plant=plant,
        degrees=common.balance_c - common.weather.outdoor_c,
        per_input=np.ascontiguousarray(np.stack([offer.heat_per_input for offer in plant.offers])),
        months=common.calendar.month,
        loss_w_k=common.loss_w_k * np.exp(0.1 * rng.standard_normal(scenarios)),
        shift_k=rng.standard_normal(scenarios),
    )


def one_by_one(year: Year) -> tuple[Any, Any]:
    """All scenarios by the kernel, one after the other."""
    scenarios, count, n = len(year.loss_w_k), len(year.per_input), len(year.degrees)
    sums, energy = np.empty((scenarios, k.SUMS + count)), np.empty((scenarios, count + 1, 12, 1))
    plant, draws = year.plant, np.column_stack([year.loss_w_k, year.shift_k])
    k.dispatch(
        plant.scalars, plant.hours, plant.source_scalars, plant.source_hours, plant.order, year.degrees, year.per_input,
        np.ones((count + 1, 1, n)), year.months, draws, np.ones((scenarios, count)), sums, energy, np.empty((0, n)),
        np.empty((0, count + 1)), np.empty((scenarios, 0, 12)), np.empty((k.RESULTS, 0)), np.empty((3, count, 0)), np.empty(0),
    )  # fmt: skip
    return sums, energy[..., 0]


def apart(a: tuple[Any, Any], b: tuple[Any, Any]) -> float:
    """Largest difference of sums and energy, as a share of the largest of their kind."""
    return max(float(np.max(np.abs(x - y) / (np.abs(y).max(axis=0) + 1e-9))) for x, y in zip(a, b, strict=True))


def race_rows(study: str, option: int) -> list[list[str]]:
    """Years a second on one thread: the kernel, C, and ways without a compiler."""
    year = year_of(study, option)
    rows = []
    c_years, why = yardstick(year)
    exact = one_by_one(year)
    times = {"kernel, one scenario at a time": least_s(lambda: one_by_one(year)) / SCENARIOS}
    if c_years is not None:
        if apart(c_years(), exact) > 1e-9:
            raise RuntimeError("the yardstick in C and the kernel do not agree")
        times["C, sixteen scenarios side by side"] = least_s(c_years) / SCENARIOS
    slow = slow_ways(year)
    times |= {name: least_s(work, 2) / done for name, (work, done) in slow.items()}
    python = times["plain Python over lists"]
    for name, took in times.items():
        rows.append([name, f"{took * 1e6:,.1f} µs", f"{1 / took:,.0f}", f"{python / took:,.2f} ×"])
    if c_years is None:
        rows.append(["C, sixteen scenarios side by side", f"not measured: {why}", "", ""])
    return rows
