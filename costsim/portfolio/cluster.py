"""The same blocks on a Dask cluster. Needs the extra ``costsim[cluster]``."""

from __future__ import annotations

import importlib
import logging
import re
import time
from collections.abc import Iterable, Iterator
from concurrent.futures import CancelledError
from contextlib import contextmanager
from itertools import islice
from typing import Any

from costsim.errors import Fault, InputError
from costsim.portfolio.compute import Part, run_block
from costsim.portfolio.homes import Block
from costsim.portfolio.memory import keep_memory
from costsim.portfolio.plan import PortfolioPlan, prepare
from costsim.portfolio.run import Compute

CONNECT_S, POLL_S = 10, 1
"""How long to wait for a scheduler, and for workers that are gone to come back; and how often to look after them [s]."""
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
    if not re.fullmatch(r"(tcp|tls|ws|wss|ucx)://[^\s/:]{1,253}:\d{1,5}", address):
        raise InputError(Fault("--scheduler", f"'{address}' is no address", "write it like tcp://host:8786"))
    for name in list(logging.root.manager.loggerDict):
        if name.partition(".")[0] in ("distributed", "tornado"):  # which tell of a lost scheduler with tracebacks
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)
    try:
        client = distributed.Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError, RuntimeError) as error:
        problem = f"no scheduler answers at '{address}' ({type(error).__name__})"
        raise InputError(Fault("--scheduler", problem, "start one, or check address and port")) from None
    try:
        try:
            client.wait_for_workers(1, timeout=CONNECT_S)
        except TimeoutError:
            raise InputError(Fault("--scheduler", f"'{address}' has no workers", "start some first")) from None
        yield lambda recipe, blocks: _run(distributed, client, recipe, blocks)
    finally:
        client.close(timeout=1)


def _run(distributed: Any, client: Any, recipe: PortfolioPlan, blocks: Iterable[Block]) -> Iterator[Part]:
    """Hand out blocks a few at a time, and give parts as they come.

    Raises
    ------
    InputError
        The scheduler or all workers are lost, or a block kills each worker that takes it.
    """
    try:
        yield from _handed_out(distributed, client, recipe, blocks)
    except (OSError, CancelledError, RuntimeError):  # whatever was waited for when the scheduler went
        raise _lost("the scheduler was lost") from None


def _lost(what: str) -> InputError:
    return InputError(Fault("--scheduler", what, "start it again and run the same command; what is done stays"))


def _handed_out(distributed: Any, client: Any, recipe: PortfolioPlan, blocks: Iterable[Block]) -> Iterator[Part]:
    # lowered there, so that it can be lowered again should its worker die
    there = client.submit(prepare, recipe.case, recipe.weather, recipe.layout, pure=False)
    every = iter(blocks)
    threads = max(1, sum(client.nthreads().values()))

    def handed(block: Block) -> Any:
        return client.submit(_work, there, block, pure=False)

    waiting = {handed(block) for block in islice(every, AHEAD * threads)}
    alone_since = None
    while waiting:
        try:
            with client.as_current():
                done, waiting = distributed.wait(waiting, timeout=POLL_S, return_when="FIRST_COMPLETED")
        except TimeoutError:
            if client.status != "running":
                raise _lost("the scheduler was lost") from None
            now = time.monotonic()
            alone_since = None if client.nthreads() else alone_since or now
            if alone_since is not None and now - alone_since > CONNECT_S:
                raise _lost("all workers were lost") from None
            continue
        for future in done:
            yield _part(distributed, future)
            waiting |= {handed(block) for block in islice(every, 1)}


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
