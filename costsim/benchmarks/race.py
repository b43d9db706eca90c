"""Ways to compute the same years, one after the other in one process, each with its ratio."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from costsim import load_weather, read_study
from costsim.benchmarks.yardstick import Year, yardstick
from costsim.engine import block
from costsim.engine.block import run_lanes
from costsim.engine.lanes import lanes_of
from costsim.engine.lower import lower_option, lower_study
from costsim.engine.shared import Shared, share
from costsim.units.arrays import Floats

RACES = (("valley_row", 1), ("lantern_cottage", 2), ("net_loft", 1))
"""Study and option: sun and electric on a tank; one gas boiler; two sources."""
SCENARIOS = 512
ALONE, BLOCKS = "kernel, one scenario at a time", "kernel, blocks of sixteen"
IN_C = "C, sixteen scenarios side by side"
SHARED = "kernel, blocks in the form that topologies share"
LARGE = 1 << 20


def least_each(ways: Mapping[str, tuple[Callable[[], Any], int]], rounds: int) -> dict[str, float]:
    """Least processor time of each way for one scenario, in turns, after a first that is not counted."""
    least: dict[str, float] = {}
    for number in range(rounds + 1):
        for name, (work, scenarios) in ways.items():
            start = time.thread_time()
            work()
            took = (time.thread_time() - start) / scenarios
            if number:
                least[name] = min(took, least.get(name, took))
    return least


def year_of(study: str, option: int, scenarios: int = SCENARIOS) -> Year:
    """A built-in study's option under invented scenarios of load and warmth."""
    case = read_study(study)
    common = lower_study(case, load_weather(case))
    plant, rng = lower_option(common, case.options[option]), np.random.default_rng(1)
    return Year(
        plant=plant,
        degrees=common.balance_c - common.weather.outdoor_c,
        per_input=np.ascontiguousarray(np.stack([offer.heat_per_input for offer in plant.offers])),
        months=common.calendar.month,
        loss_w_k=common.loss_w_k * np.exp(0.1 * rng.standard_normal(scenarios)),
        shift_k=rng.standard_normal(scenarios),
    )


def lanes_of_year(year: Year) -> tuple[Shared, Floats]:
    """The same for the kernel."""
    plant, count, n = year.plant, len(year.per_input), len(year.degrees)
    shared = share(
        plant.scalars, plant.hours, plant.source_scalars, plant.source_hours, plant.order, per_input=year.per_input,
        shares=np.ones((count + 1, 1, n)), months=year.months, degrees=year.degrees,
    )  # fmt: skip
    scenarios = {"loss_w_k": year.loss_w_k, "shift_k": year.shift_k}
    return shared, lanes_of(plant.scalars, plant.source_scalars, len(year.loss_w_k), **scenarios)


def by_shared_form(shared: Shared, lanes: Floats) -> None:
    """Run lanes as if their topology's own form were not kept."""
    block.OWN_WHERE_KEPT = False
    try:
        run_lanes(shared, lanes)
    finally:
        block.OWN_WHERE_KEPT = True


def apart(a: tuple[Any, Any], b: tuple[Any, Any]) -> float:
    """Largest difference of sums and energy, as a share of the largest of their kind."""
    return max(float(np.max(np.abs(x - y) / (np.abs(y).max(axis=0) + 1e-9))) for x, y in zip(a, b, strict=True))


def race_rows(study: str, option: int) -> list[list[str]]:
    """Years a second on one thread: the kernel in its forms, and C."""
    year = year_of(study, option)
    rows = []
    c_years, why = yardstick(year)
    shared, lanes = lanes_of_year(year)
    single = lanes[:, :32]
    ways: dict[str, tuple[Callable[[], Any], int]] = {
        ALONE: (lambda: run_lanes(shared, single, alone=True), 32),
        BLOCKS: (lambda: run_lanes(shared, lanes, all_of=LARGE), SCENARIOS),
        SHARED: (lambda: by_shared_form(shared, lanes), SCENARIOS),
    }
    if c_years is not None:
        result = run_lanes(shared, lanes, all_of=LARGE)
        if apart(c_years(), (result.sums, result.energy_j[..., 0])) > 1e-9:
            raise RuntimeError("the yardstick in C and the kernel do not agree")
        ways[IN_C] = (c_years, SCENARIOS)
    times = least_each(ways, 15)
    for name, took in times.items():
        rows.append([name, f"{took * 1e6:,.1f} µs", f"{1 / took:,.0f}", f"{times[ALONE] / took:,.2f} ×"])
    if IN_C in times:
        rows.append(["blocks of sixteen against C", "", "", f"{times[BLOCKS] / times[IN_C]:.2f} of its time"])
        rows.append(["the shared form against C", "", "", f"{times[SHARED] / times[IN_C]:.2f} of its time"])
    if c_years is None:
        rows.append([IN_C, f"not measured: {why}", "", ""])
    return rows
