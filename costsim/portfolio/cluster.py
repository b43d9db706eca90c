"""The same blocks on a Dask cluster. Needs the extra ``costsim[cluster]``."""

from __future__ import annotations

import asyncio
import importlib
import logging
import re
import time
from collections.abc import Iterable, Iterator
from concurrent.futures import CancelledError
from contextlib import contextmanager, suppress
from itertools import islice
from queue import Empty, SimpleQueue
from typing import Any

from costsim.errors import Fault, InputError, reason
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
        if name.partition(".")[0] in (
            "distributed",
            "tornado",
            "asyncio",
        ):  # which tell of a lost scheduler with tracebacks
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
        with suppress(Exception):  # of a cluster that is gone
            client.close(timeout=1)


def _run(distributed: Any, client: Any, recipe: PortfolioPlan, blocks: Iterable[Block]) -> Iterator[Part]:
    """Hand out blocks a few at a time, and give parts as they come.

    Raises
    ------
    InputError
        The scheduler or all workers are lost, or a block kills each worker that takes it.
    """
    watch, finished, waiting = _Watch(client), SimpleQueue[Any](), set[Any]()
    every = iter(blocks)

    def hand_out(count: int) -> None:
        for block in islice(every, count):
            future = client.submit(_work, there, block, pure=False)
            waiting.add(future)
            future.add_done_callback(finished.put)

    try:
        # lowered there, so that it can be lowered again should its worker die
        there = client.submit(prepare, recipe.case, recipe.weather, recipe.layout, pure=False)
        hand_out(AHEAD * max(1, watch.threads()))
        while waiting:
            future = watch.next_of(finished)
            waiting.remove(future)
            yield _part(distributed, watch, future)
            hand_out(1)
    except (OSError, CancelledError, RuntimeError):  # whatever was waited for when the scheduler went
        raise _lost("the scheduler was lost") from None


def _lost(what: str) -> InputError:
    return InputError(Fault("--scheduler", what, "start it again and run the same command; what is done stays"))


def _work(recipe: PortfolioPlan, block: Block) -> Part:
    keep_memory()
    # one thread each: the workers' own threads are the parallel ones
    return run_block(recipe, block, threads=1)


def _part(distributed: Any, watch: _Watch, future: Any) -> Part:
    """What a block gave; a worker that dies before it was fetched is waited for, as the scheduler hands it out again."""
    try:
        while True:
            try:
                part: Part = future.result(timeout=POLL_S)
            except TimeoutError:
                if future.status == "error":
                    raise
                watch.look()
            else:
                return part
    except distributed.KilledWorker:
        remedy = "give the workers more memory, or smaller blocks with --block; what is done stays"
        raise InputError(Fault("--scheduler", "workers died again and again on one block", remedy)) from None
    except (InputError, CancelledError):
        raise
    except Exception as error:
        if future.status != "error":
            raise
        problem = f"a worker failed ({reason(error)})"
        remedy = "give the workers the same costsim as here; what is done stays"
        raise InputError(Fault("--scheduler", problem, remedy)) from None
    finally:
        future.release()


class _Watch:
    """Looks after scheduler and workers while something is waited for; never waits on a cluster that is gone."""

    def __init__(self, client: Any) -> None:
        self._client = client
        self._asked: Any = None
        self._answered = self._peopled = time.monotonic()
        self._known: dict[str, int] = {}
        self._ask()

    def _ask(self) -> None:
        # not by the client's own methods, which wait without end where the scheduler answers nothing
        self._asked = asyncio.run_coroutine_threadsafe(self._client.scheduler.ncores(), self._client.loop.asyncio_loop)

    def threads(self) -> int:
        """How many threads the workers have.

        Raises
        ------
        InputError
            The scheduler does not say.
        """
        try:
            self._known = self._asked.result(CONNECT_S)
        except Exception:  # whatever Dask raises
            raise _lost("the scheduler was lost") from None
        return sum(self._known.values())

    def next_of(self, finished: SimpleQueue[Any]) -> Any:
        """Wait for the next future that is done.

        Raises
        ------
        InputError
            Nobody is left who could finish one.
        """
        while True:
            with suppress(Empty):
                return finished.get(timeout=POLL_S)
            self.look()

    def look(self) -> None:
        """Ask the scheduler whether it and any worker are there.

        Raises
        ------
        InputError
            The scheduler has not answered, or no worker was there, for `CONNECT_S`.
        """
        now, client = time.monotonic(), self._client
        if client.status != "running" or client.scheduler is None:
            raise _lost("the scheduler was lost")
        if self._asked.done():
            if self._asked.cancelled() or self._asked.exception() is not None:
                raise _lost("the scheduler was lost")
            self._answered, self._known = now, self._asked.result()
            self._ask()
        if self._known:
            self._peopled = now
        if now - self._answered > CONNECT_S:
            raise _lost("the scheduler was lost")
        if now - self._peopled > CONNECT_S:
            raise _lost("all workers were lost")
