"""How time and memory grow with hours, sources, scenarios and threads, and what the first use costs."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import partial
from typing import Any

from costsim.benchmarks.homes import homes_of
from costsim.benchmarks.race import LARGE, SCENARIOS, lanes_of_year, least_each, year_of
from costsim.benchmarks.yardstick import Year, yardstick
from costsim.engine.block import run_lanes
from costsim.portfolio.compute import run_block


def cut(year: Year, hours: int) -> Year:
    """The first hours of a year."""
    plant = year.plant
    short = replace(
        plant,
        hours=plant.hours[:, :hours].copy(),
        source_hours=plant.source_hours[:, :, :hours].copy(),
        order=plant.order[:, :hours].copy(),
    )
    rows: dict[str, Any] = {"degrees": year.degrees[:hours], "months": year.months[:hours]}
    return replace(year, plant=short, per_input=year.per_input[:, :hours], **rows)


def work_of(year: Year) -> tuple[Callable[[], Any], int]:
    """All scenarios of a year in blocks."""
    shared, lanes = lanes_of_year(year)
    return partial(run_lanes, shared, lanes, all_of=LARGE), lanes.shape[1]


def growth_rows() -> list[list[str]]:
    """Processor time of one scenario, in blocks on one thread, as hours, sources and scenarios grow."""
    whole = year_of("valley_row", 1)
    ways = {f"{hours:,} hours": work_of(cut(whole, hours)) for hours in (2190, 4380, 8760)}
    topologies = {"1 source": 0, "2 sources, sun": 1, "3 sources, sun and wood": 2}
    ways |= {name: work_of(year_of("valley_row", option)) for name, option in topologies.items()}
    ways |= {f"{n:,} scenarios": work_of(year_of("valley_row", 1, n)) for n in (16, 256, 4096)}
    return [[name, f"{took * 1e6:.1f} µs"] for name, took in least_each(ways, 7).items()]


def thread_rows(rounds: int = 9) -> list[list[str]]:
    """Wall-clock time on one thread and on two, in turns, with C beside it to tell what the machine has to give."""
    year = year_of("valley_row", 1, 4 * SCENARIOS)
    shared, lanes = lanes_of_year(year)
    parts = [lanes[:, first : first + 64] for first in range(0, lanes.shape[1], 64)]
    jobs: dict[str, list[Callable[[], Any]]] = {
        "kernel": [partial(run_lanes, shared, part, all_of=LARGE) for part in parts]
    }
    halves = [yardstick(year_of("valley_row", 1, 2 * SCENARIOS))[0] for _ in range(2)]
    jobs |= {"C": [half for half in halves if half is not None]}
    least: dict[tuple[str, int], float] = {}
    for _ in range(rounds):
        for name, work in jobs.items():
            for threads in (1, 2):
                start = time.perf_counter()
                with ThreadPoolExecutor(threads) as pool:
                    list(pool.map(lambda job: job(), work))
                took = time.perf_counter() - start
                least[name, threads] = min(took, least.get((name, threads), took))
    rows = [
        [f"{name}, {n} threads", f"{lanes.shape[1] / took:,.0f}", f"{least[name, 1] / took:.2f}"]
        for (name, n), took in least.items()
        if jobs[name]
    ]
    return [*rows, [f"load average meanwhile, {os.cpu_count()} processors", f"{os.getloadavg()[0]:.1f}", ""]]


def memory_rows() -> list[list[str]]:
    """Highest memory beyond what was there before."""
    rows = []
    for homes in (256, 1024):
        recipe, block = homes_of("lantern_cottage", homes)
        rows.append([f"{homes:,} homes in one block", f"{peak_mb(partial(run_block, recipe, block, 2)):.0f} MB"])
    for n in (1000, 10_000):
        work, _ = work_of(year_of("valley_row", 1, n))
        rows.append([f"{n:,} scenarios", f"{peak_mb(work):.0f} MB"])
    return rows


def peak_mb(work: Callable[[], Any]) -> float:
    """Highest memory that some work takes."""
    work()
    tracemalloc.start()
    work()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 1e6


FIRST_USE = """
import time
from costsim.benchmarks.race import lanes_of_year, year_of
from costsim.engine import block
year = year_of("valley_row", 1, 16)
plant = year.plant
start = time.perf_counter()
plant.year()
print(time.perf_counter() - start)
block.AT_ONCE, block.PATIENCE_S, block.WORTH = 0, 600.0, 0
start = time.perf_counter()
block.run_lanes(*lanes_of_year(year), all_of=1 << 20)
print(time.perf_counter() - start)
"""


def first_use_rows() -> list[list[str]]:
    """What the first use costs in a new process: nothing on disk yet, and everything there."""
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        for name in ("nothing on disk", "from disk"):
            done = subprocess.run(
                [sys.executable, "-c", FIRST_USE],
                env={**os.environ, "NUMBA_CACHE_DIR": folder},
                capture_output=True,
                text=True,
                check=True,
            )
            rows.append([name, *(f"{float(text):.2f} s" for text in done.stdout.split())])
    return rows
