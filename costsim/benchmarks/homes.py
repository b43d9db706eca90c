"""How many homes a second: on one thread, on two processes, and on two workers of a Dask cluster on this machine."""

from __future__ import annotations

import importlib.util
import re
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager

import numpy as np

from costsim import load_weather, read_study
from costsim.engine.lower import lower_study
from costsim.portfolio.cluster import on_cluster
from costsim.portfolio.columns import read_layout
from costsim.portfolio.compute import Part, run_block
from costsim.portfolio.homes import Block
from costsim.portfolio.plan import PortfolioPlan, prepare
from costsim.portfolio.processes import on_processes
from costsim.portfolio.run import BLOCK, Compute

STUDIES = ("lantern_cottage", "net_loft", "valley_row")
BLOCKS, FIRST = 24, 12
"""Blocks of a run, and how many of them pass until every process has begun."""


def homes_of(name: str, homes: int) -> tuple[PortfolioPlan, Block]:
    """A table of homes of a built-in study, load and warmth differing from home to home."""
    rng, case = np.random.default_rng(1), read_study(name)
    load, indoor = lower_study(case, load_weather(case)).route.load_w / 1e3, case.house.indoor_temperature_c
    layout = read_layout(["home", "house.design_heat_loss [kW]", "house.balance_point [degC]"], case, "homes")
    cells = [(f"{i}", f"{load * rng.uniform(0.5, 1.5)}", f"{indoor - rng.uniform(1, 6)}") for i in range(homes)]
    return prepare(case, load_weather(case), layout), Block(0, 0, tuple(cells))


def home_rows() -> list[list[str]]:
    """Home-years (a home under an option) a second of each built-in study."""
    with _cluster() as address:
        return [_row(name, address) for name in STUDIES]


def _row(name: str, address: str | None) -> list[str]:
    recipe, whole = homes_of(name, BLOCKS * BLOCK)
    blocks = [Block(i, i * BLOCK, whole.rows[i * BLOCK : (i + 1) * BLOCK]) for i in range(BLOCKS)]
    options, kind = len(recipe.options), "sources follow the house" if recipe.own else "steady"
    alone = min(_least(recipe, blocks[0]) for _ in range(3))
    two, far = _paces(recipe, blocks, address)
    return [
        f"{name}, {options} options, {kind}",
        *(f"{BLOCK * options / took:,.0f}" for took in (alone, two)),
        f"{1e6 / options / BLOCK * two:.0f} s",
        "not installed" if far is None else f"{far / two:.2f}",
    ]


def _least(recipe: PortfolioPlan, block: Block) -> float:
    start = time.perf_counter()
    run_block(recipe, block, 1)
    return time.perf_counter() - start


def _paces(recipe: PortfolioPlan, blocks: list[Block], address: str | None) -> tuple[float, float | None]:
    """Least time between one block and the next on two processes, and on the cluster, in turns."""
    processes = on_processes(2)
    assert processes is not None
    two, far = np.inf, np.inf
    with on_cluster(address) as cluster:
        for _ in range(2):
            two = min(two, _pace(processes, recipe, blocks))
            far = min(far, _pace(cluster, recipe, blocks)) if cluster else far
    return float(two), float(far) if address else None


def _pace(compute: Compute, recipe: PortfolioPlan, blocks: Iterable[Block]) -> float:
    parts: Iterator[Part] = compute(recipe, blocks)
    for _ in range(FIRST):
        next(parts)
    start = time.perf_counter()
    left = sum(1 for _ in parts)
    return (time.perf_counter() - start) / left


@contextmanager
def _cluster() -> Iterator[str | None]:
    """A scheduler and two workers in processes of their own; None where Dask is not installed."""
    if importlib.util.find_spec("distributed") is None:
        yield None
        return
    started = [_start("dask_scheduler", "--port", "0")]
    try:
        assert started[0].stderr is not None
        address = next(
            address_parts[0]
            for line in started[0].stderr
            if (address_parts := re.findall(r"tcp://127\.0\.0\.1:\d+", line))
        )
        started.append(_start("dask_worker", address, "--nworkers", "2", "--nthreads", "1"))
        yield address
    finally:
        for process in reversed(started):
            process.terminate()
            process.communicate()


def _start(module: str, *words: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", f"distributed.cli.{module}", "--host", "127.0.0.1", "--no-dashboard", *words]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
