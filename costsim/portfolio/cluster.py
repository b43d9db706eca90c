"""The same blocks on a Dask cluster. Needs the extra ``costsim[cluster]``."""

from __future__ import annotations

import importlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import islice
from typing import Any

from costsim.errors import Fault, InputError
from costsim.portfolio.compute import Part, run_block
from costsim.portfolio.homes import Block
from costsim.portfolio.memory import keep_memory
from costsim.portfolio.plan import PortfolioPlan, prepare
from costsim.portfolio.run import Compute

CONNECT_S = 10
AHEAD = 2
"""Blocks waiting for each thread of the cluster, so that neither workers nor this machine's memory run full."""


@contextmanager
def on_cluster(address: str | None) -> Iterator[Compute | None]:
    """Connect to a scheduler.

    Parameters
    ----------
    address : str, optional
        Such as ``tcp://host:8786``; without one, nothing is done and None is given.

    Raises
    ------
    InputError
        Dask is not installed, or no scheduler answers.

    Notes
    -----
    Blocks of a worker that dies are given to another one. Workers need the same version of costsim.
    """
    if address is None:
        yield None
        return
    try:
        distributed: Any = importlib.import_module("distributed")
    except ImportError:
        remedy = 'install it with: pip install "costsim[cluster]"'
        raise InputError(Fault("--scheduler", "Dask's distributed is not installed", remedy)) from None
    try:
        client = distributed.Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        problem = f"no scheduler answers at '{address}' ({type(error).__name__})"
        raise InputError(Fault("--scheduler", problem, "start one, or check address and port")) from None
    with client:
        try:
            client.wait_for_workers(1, timeout=CONNECT_S)
        except TimeoutError:
            raise InputError(Fault("--scheduler", f"'{address}' has no workers", "start some first")) from None
        yield lambda recipe, blocks: _run(distributed, client, recipe, blocks)


def _run(distributed: Any, client: Any, recipe: PortfolioPlan, blocks: Iterable[Block]) -> Iterator[Part]:
    """Hand out blocks a few at a time, and give parts as they come."""
    # lowered there, so that it can be lowered again should its worker die
    there = client.submit(prepare, recipe.case, recipe.weather, recipe.layout, pure=False)
    every = iter(blocks)
    threads = max(1, sum(client.nthreads().values()))

    def handed(block: Block) -> Any:
        return client.submit(_work, there, block, pure=False)

    waiting = distributed.as_completed([handed(block) for block in islice(every, AHEAD * threads)], loop=client.loop)
    for future in waiting:
        yield _part(distributed, future)
        for block in islice(every, 1):
            waiting.add(handed(block))


def _work(recipe: PortfolioPlan, block: Block) -> Part:
    keep_memory()
    # one thread each: the workers' own threads are the parallel ones
    return run_block(recipe, block, threads=1)


def _part(distributed: Any, future: Any) -> Part:
    try:
        part: Part = future.result()
    except distributed.KilledWorker:
        remedy = "give the workers more memory, or smaller blocks with --block; what is done stays"
        raise InputError(Fault("--scheduler", "workers died again and again on one block", remedy)) from None
    finally:
        future.release()
    return part
