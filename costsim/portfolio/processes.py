"""The same blocks in processes of this machine, which do not wait for each other as Python's threads do."""

from __future__ import annotations

import multiprocessing as mp
import multiprocessing.connection
import os
import pickle
import signal
import tempfile
import threading
from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager
from itertools import chain, islice
from pathlib import Path

from costsim.errors import Fault, InputError
from costsim.portfolio.compute import Part, run_block
from costsim.portfolio.homes import Block
from costsim.portfolio.memory import keep_memory
from costsim.portfolio.plan import PortfolioPlan, prepare
from costsim.portfolio.run import Compute, on_this_machine

MOST, WORTH = 256, 5
AHEAD = 2
"""Blocks waiting for each process, so that memory does not grow with the table."""
_HERE: dict[str, PortfolioPlan] = {}


def on_processes(count: int | None = None) -> Compute | None:
    """Compute blocks in this many processes; with one, in this process, for which None is given.

    Without a number each processor gets one where the table has at least `WORTH` blocks, which is more than it takes to
    start them.

    Raises
    ------
    InputError
        Not a number of processes.
    """
    if count is not None and not 1 <= count <= MOST:
        raise InputError(Fault("--processes", f"{count} processes", f"give a number from 1 to {MOST}"))
    if count is None:
        return _by_size
    return None if count == 1 else lambda recipe, blocks: _run(count, recipe, blocks)


def _by_size(recipe: PortfolioPlan, blocks: Iterable[Block]) -> Iterator[Part]:
    every, processors = iter(blocks), min(os.cpu_count() or 1, MOST)
    first = list(islice(every, WORTH))
    if len(first) < WORTH or processors == 1:
        yield from on_this_machine()(recipe, chain(first, every))
    else:
        yield from _run(processors, recipe, chain(first, every))


def _run(count: int, recipe: PortfolioPlan, blocks: Iterable[Block]) -> Iterator[Part]:
    every = iter(blocks)
    # started anew rather than forked: compiled code and its threads do not live through a fork
    with _kept(recipe) as start, ProcessPoolExecutor(count, mp.get_context("spawn"), _begin, (start,)) as pool:
        others = set(mp.active_children())
        with _deaf_children():
            waiting: set[Future[Part]] = {pool.submit(_work, block) for block in islice(every, AHEAD * count)}
        try:
            while waiting:
                done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
                for future in done:
                    yield _part(future)
                    waiting |= {pool.submit(_work, block) for block in islice(every, 1)}
        except BaseException:  # such as Ctrl-C: nobody wants what they are still at
            for child in set(mp.active_children()) - others:
                child.terminate()
            raise


@contextmanager
def _deaf_children() -> Iterator[None]:
    """Start processes that Ctrl-C does not reach, so that one line tells of it and not one for each of them."""
    if not hasattr(signal, "pthread_sigmask"):  # on Windows
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})  # children start with what is blocked here
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextmanager
def _kept(recipe: PortfolioPlan) -> Iterator[str]:
    """The study in a file: what does not fit into a pipe at once would have each process wait for the one before it."""
    with ExitStack() as stack:
        try:
            start = Path(stack.enter_context(tempfile.TemporaryDirectory())) / "study"
            start.write_bytes(pickle.dumps((recipe.case, recipe.weather, recipe.layout)))
        except OSError as error:
            problem = f"no temporary file can be written ({error.strerror or error})"
            raise InputError(Fault("--processes", problem, "make room for it, or use --processes 1")) from None
        yield str(start)


def _part(future: Future[Part]) -> Part:
    try:
        return future.result()
    except BrokenProcessPool:
        remedy = "run the same command again, with fewer processes or smaller blocks; what is done stays"
        raise InputError(Fault("--processes", "a process died", remedy)) from None


def _begin(start: str) -> None:
    """Lower the study once in each process, and end with the one that started it."""
    threading.Thread(target=_end_with_parent, daemon=True).start()
    keep_memory()
    _HERE["recipe"] = prepare(*pickle.loads(Path(start).read_bytes()))


def _end_with_parent() -> None:
    parent = mp.parent_process()
    if parent is not None:
        multiprocessing.connection.wait([parent.sentinel])
        os._exit(1)


def _work(block: Block) -> Part:
    return run_block(_HERE["recipe"], block, threads=1)
