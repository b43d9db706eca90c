"""Tests collected once: a process that holds them and all of costsim, and answers in forks of itself.

A fork may have functions of one module changed: their code is put in place of what it was, so that whoever imported the
function has the change. What runs when a module is imported cannot be changed so.
"""

from __future__ import annotations

import contextlib
import functools
import gc
import importlib
import inspect
import marshal
import multiprocessing
import os
import resource
import signal
import sys
import threading
import time
import types
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import pytest

FORK = multiprocessing.get_context("fork")
KEPT = ("costsim.engine.kernel", "costsim.engine.block", "costsim.engine.access", "costsim.engine.compiling")
"""Modules that keep compiled code, which forks may share."""
MAPPED_S = 20.0
"""After so much processor time no further tests of a file are mapped."""


@dataclass
class Answer:
    """What a fork found: the first test that failed, processor time of each, tests of each executed line."""

    failed: str = ""
    seconds: dict[str, float] = field(default_factory=dict)
    lines: dict[str, dict[int, list[str]]] = field(default_factory=dict)
    changed: int = 0
    """Functions that were changed."""


class Collected:
    """The process that holds the collected tests of some folders and files of the copy."""

    def __init__(self, copy: Path, paths: Sequence[str], settle: Callable[[], None]) -> None:
        self._mine, theirs = FORK.Pipe()
        self._process = FORK.Process(target=_serve, args=(copy, paths, settle, theirs))
        self._process.start()
        theirs.close()
        self.tests: list[str]
        self.at_import: dict[str, set[int]]
        try:
            self.tests, self.at_import = self._mine.recv()
        except EOFError:
            raise RuntimeError((copy / "collected").read_text(encoding="utf-8")[-3000:]) from None

    def run(
        self, tests: Sequence[str], limit_s: int, changed: tuple[str, bytes] | None = None, mapped: bool = False
    ) -> Answer:
        """Run tests in a fork, within so much processor time, with a module (its path in the copy, its marshalled code) changed."""
        self._mine.send((list(tests), limit_s, changed, mapped))
        answer = self._mine.recv()
        assert isinstance(answer, Answer)
        return answer

    def end(self) -> None:
        """Let the process go."""
        self._mine.send(None)
        self._process.join()


def _serve(copy: Path, paths: Sequence[str], settle: Callable[[], None], pipe: Connection) -> None:
    """In the process apart: collect, then answer until nothing more is asked."""
    settle()
    coverage = _coverage(copy)
    coverage.start()
    arguments = ["-q", "-s", "--hypothesis-seed=1", "-W", "ignore::pytest.PytestAssertRewriteWarning", *paths]
    code = pytest.main(arguments, plugins=[Session(copy, pipe, coverage)])
    os._exit(int(code))


def _coverage(copy: Path) -> Any:
    found = importlib.import_module("coverage").Coverage(
        data_file=None, include=[f"{copy}/costsim/*"], config_file=False, messages=False
    )
    # a file of tests may execute no line of costsim: pytest would make an error of the warning
    found.set_option("run:disable_warnings", ["no-data-collected"])
    return found


class Session:
    """Takes the place of pytest's loop over the tests."""

    def __init__(self, copy: Path, pipe: Connection, coverage: Any) -> None:
        self.copy, self.pipe, self.coverage = copy, pipe, coverage
        self.items: dict[str, pytest.Item] = {}
        self.functions: dict[str, list[types.FunctionType]] = {}
        self.failed = False

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Answer what is asked."""
        self.coverage.stop()
        data = self.coverage.get_data()
        at_import = {str(Path(path).relative_to(self.copy)): set(data.lines(path)) for path in data.measured_files()}
        self.items = {item.nodeid: item for item in session.items}
        self._warm()
        gc.collect()
        gc.freeze()
        self.pipe.send((list(self.items), at_import))
        while (asked := self.pipe.recv()) is not None:
            self.pipe.send(self._in_a_fork(*asked))
        return True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Remember a failure."""
        self.failed |= report.failed

    def _warm(self) -> None:
        """Have the kernel's machine code loaded and nothing else remembered."""
        block: Any = importlib.import_module("costsim.engine.block")
        block.AT_ONCE = 0
        main: Any = importlib.import_module("costsim.simulation")
        study: Any = importlib.import_module("costsim")
        case = study.read_study("lantern_cottage")
        main.simulate(case, study.load_weather(case))
        for thread in threading.enumerate():
            if thread is not threading.current_thread():
                thread.join(60)
        left = [thread.name for thread in threading.enumerate()]
        assert len(left) == 1, f"a fork would wait for threads that it has not: {left}"
        gc.unfreeze()  # what `conftest` has set aside is looked through too
        for thing in gc.get_objects():
            if isinstance(thing, functools._lru_cache_wrapper) and thing.__module__ not in KEPT and self._ours(thing):
                thing.cache_clear()
            elif isinstance(thing, types.FunctionType):
                self.functions.setdefault(thing.__code__.co_filename, []).append(thing)

    def _ours(self, cached: Any) -> bool:
        return str(self.copy) in str(getattr(sys.modules.get(cached.__module__), "__file__", ""))

    def _in_a_fork(self, tests: list[str], limit_s: int, changed: tuple[str, bytes] | None, mapped: bool) -> Answer:
        for path in (self.copy / "numba").glob("*.kept"):  # what a mutant worked out is not for the next one
            path.unlink()
        mine, theirs = FORK.Pipe(duplex=False)
        process = FORK.Process(target=self._answer, args=(theirs, tests, limit_s, changed, mapped))
        process.start()
        theirs.close()
        try:
            answer = mine.recv() if mine.poll(15 * limit_s) else Answer(failed="too late")
        except EOFError:
            answer = Answer(failed="died")
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid or 0, signal.SIGKILL)
        process.join()
        mine.close()
        return answer

    def _answer(
        self, pipe: Connection, tests: list[str], limit_s: int, changed: tuple[str, bytes] | None, mapped: bool
    ) -> None:
        """In the fork: run until one fails, or all of them and see which lines each executes."""
        os.setsid()
        resource.setrlimit(resource.RLIMIT_CPU, (limit_s, limit_s))
        answer = Answer()
        if changed:
            path = self.copy / changed[0]
            answer.changed = put_in_place(path, changed[1], self.functions.get(str(path), []))
            if not answer.changed:
                pipe.send(answer)
                return
        coverage = _coverage(self.copy) if mapped else None
        if coverage:
            coverage.start()
        items, began = [self.items[one] for one in tests], time.process_time()
        for item, after in zip(items, [*items[1:], None], strict=True):
            if coverage:
                coverage.switch_context(item.nodeid)
            start, self.failed = time.process_time(), False
            item.ihook.pytest_runtest_protocol(item=item, nextitem=after)
            answer.seconds[item.nodeid] = time.process_time() - start
            if self.failed and not mapped:
                answer.failed = item.nodeid
                break
            if mapped and time.process_time() - began > MAPPED_S:
                break
        if coverage:
            coverage.stop()
            data = coverage.get_data()
            for path in data.measured_files():
                answer.lines[str(Path(path).relative_to(self.copy))] = data.contexts_by_lineno(path)
        pipe.send(answer)


def put_in_place(path: Path, marshalled: bytes, functions: Sequence[types.FunctionType]) -> int:
    """Give functions of a module the code of its mutant; how many there were. None where more than functions would change."""
    old = compile(path.read_text(encoding="utf-8"), str(path), "exec", dont_inherit=True)
    pairs = functions_changed(old, marshal.loads(marshalled))
    count = 0
    for function in functions:
        new = next((after for before, after in pairs if function.__code__ == before), None)
        if new is not None:
            function.__code__ = new
            count += 1
    return count


def functions_changed(old: types.CodeType, new: types.CodeType) -> list[tuple[types.CodeType, types.CodeType]]:
    """Functions in which two codes of a module differ, with those that hold them; empty where modules or classes differ themselves."""
    if old == new:
        return []
    inside = list(_inside(old)), list(_inside(new))
    if len(inside[0]) != len(inside[1]):
        return []
    found = [pair for one, other in zip(*inside, strict=True) for pair in functions_changed(one, other)]
    return [(old, new), *found] if old.co_flags & inspect.CO_OPTIMIZED else found


def _inside(code: types.CodeType) -> Iterator[types.CodeType]:
    return (one for one in code.co_consts if isinstance(one, types.CodeType))
