"""A limit on how long one turn of a page may work, whatever it is at: it is ended from beside, and the page says so."""

from __future__ import annotations

import contextlib
import contextvars
import ctypes
import math
import threading
import time
from collections.abc import Callable
from typing import TypeVar

from costsim.errors import Fault, InputError
from costsim.words import tr

MOST_SECONDS = 60.0
AGAIN_S = 1.0
"""How long after a first try that something swallowed it is tried again."""
Found = TypeVar("Found")
_HERE = threading.local()


class _Over(BaseException):
    """The time is over; no `except Exception` on the way takes it for a fault of its own."""


class _Here:
    """The thread that makes it, for as long as `_Over` may be raised in it from beside.

    What is raised must arrive: one that is taken back, or whose thread has ended, leaves CPython 3.11 looking for it at
    every call from then on, and code under a trace function going round for ever.
    """

    def __init__(self) -> None:
        self._thread, self._lock = threading.get_ident(), threading.Lock()
        self._raised, self.left = False, threading.Event()

    def end(self) -> None:
        """Raise `_Over` in it, from another thread."""
        with self._lock:
            if not self.left.is_set():
                self._raised = True
                self._raise()

    def _raise(self) -> None:
        ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(self._thread), ctypes.py_object(_Over))

    def leave(self) -> None:
        """Nothing is raised from here on, and what is still on its way arrives now."""
        with self._lock:
            self.left.set()
        if self._raised:
            with contextlib.suppress(_Over):
                self._raise()  # in the place of the one on its way, if it is still that
                while True:
                    time.sleep(0)
            self._raised = False


class _Watch:
    """Ends what a thread is at once its deadline has passed."""

    def __init__(self, seconds: float) -> None:
        self.seconds, self._deadline, self._here = seconds, time.monotonic() + seconds, _Here()
        threading.Thread(target=self._look, name=tr("time limit"), daemon=True).start()

    def allow(self, seconds: float) -> None:
        """Take another limit, counted from now."""
        self.seconds, self._deadline = seconds, time.monotonic() + seconds

    def _look(self) -> None:
        while not self._here.left.wait(max(self._deadline - time.monotonic(), 0.01)):
            if time.monotonic() < self._deadline:
                continue  # it was allowed more
            self._here.end()
            if self._here.left.wait(AGAIN_S):
                return

    def end(self) -> None:
        """Look no longer."""
        self._here.leave()


def in_time(work: Callable[[], Found], seconds: float | None = None) -> Found:
    """What `work` gives, unless it takes too long; inside another one the outer limit holds.

    Parameters
    ----------
    work : callable
        Of any kind; code that was compiled or comes from a library ends at its next step of Python.
    seconds : float, optional
        `MOST_SECONDS` by default.

    Raises
    ------
    InputError
        The time is over.
    """
    if getattr(_HERE, "watch", None) is not None:
        return work()
    watch = _HERE.watch = _Watch(MOST_SECONDS if seconds is None else seconds)
    try:
        try:
            return work()
        finally:
            _HERE.watch = None
            watch.end()
    except _Over:
        _HERE.watch = None
        watch.end()
        remedy = tr("reload the page, since a first look takes longest; or ask for less at once")
        raise InputError(Fault("", f"this took longer than {watch.seconds:.0f} s and was stopped", remedy)) from None


def beside(work: Callable[[], Found], progress: Callable[[float], None], seconds: float) -> Found:
    """Do work in a thread of its own and tell meanwhile how much of the usual time is over, so that a page can be left.

    Parameters
    ----------
    work : callable
        Touches nothing of the page.
    progress : callable
        Called with a share below one, ten times a second. What it raises ends the work at its next step of Python.
    seconds : float
        Usual time.
    """
    results: list[Found] = []
    failed: list[BaseException] = []
    there: list[_Here] = []

    def run() -> None:
        there.append(_Here())
        try:
            results.append(work())
        except BaseException as error:  # raised again where it was asked for
            failed.append(error)
        with contextlib.suppress(_Over):
            there[0].leave()
        there[0].leave()

    thread = threading.Thread(target=contextvars.copy_context().run, args=(run,), name="long work", daemon=True)
    start = time.monotonic()
    thread.start()
    try:
        while thread.is_alive():
            thread.join(0.1)
            progress(1.0 - math.exp(-(time.monotonic() - start) / seconds))
    except BaseException:
        for limit in there:
            limit.end()
        raise
    if failed:
        raise failed[0]
    return results[0]


def allow(seconds: float) -> None:
    """Give what is under way another limit, counted from now; does nothing where there is none."""
    watch: _Watch | None = getattr(_HERE, "watch", None)
    if watch is not None:
        watch.allow(seconds)
