"""Compiling ahead of need: a process apart makes a form of the kernel and leaves it in the cache on disk.

Nobody waits for it, a Ctrl-C does not reach it, and a lock keeps others from doing the same work; one that a lost process left
behind is broken after ten minutes. ``python -m costsim.engine.ahead FORM LOCK`` is that process. It waits a little for further forms
on its standard input: what forms have in common, most of all, is compiled once a process.
"""

from __future__ import annotations

import contextlib
import os
import select
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from typing import Any

STALE_S = 600.0
WAITS_S = 10.0
"""How long the process waits for a further form."""
_at_work: Any = None
_lock = threading.Lock()


def begin(function: Any, spec: str) -> None:
    """Start the process, where the cache is a folder to write into and none is at it.

    Parameters
    ----------
    function : callable
        The form, by `costsim.engine.compiling.compiled`.
    spec : str
        Which one it is, as `costsim.engine.block.compile_form` reads it.
    """
    folder = getattr(getattr(function, "_cache", None), "cache_path", None)
    if folder is None or function.signatures:
        return
    lock = Path(folder) / f"compiling-{spec}.lock"
    try:
        lock.parent.mkdir(parents=True, exist_ok=True)
        if lock.exists() and time.time() - lock.stat().st_mtime > STALE_S:
            lock.unlink()
        lock.touch(exist_ok=False)
    except OSError:
        return
    with _lock:
        try:
            _tell(spec, lock)
        except OSError:
            lock.unlink(missing_ok=True)


def _tell(spec: str, lock: Path) -> None:
    """Hand a form to the process that is at work, or start one."""
    global _at_work
    if _at_work is not None:
        with contextlib.suppress(OSError):  # it has just stopped listening
            if _at_work.poll() is None:
                _at_work.stdin.write(f"{spec}\t{lock}\n".encode())
                return
        _at_work.stdin.close()
    command = [sys.executable, "-m", "costsim.engine.ahead", spec, str(lock)]
    pipes: dict[str, Any] = {"stdin": subprocess.PIPE, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    _at_work = subprocess.Popen(command, cwd=Path(__file__).parents[2], start_new_session=True, bufsize=0, **pipes)
    threading.Thread(target=_at_work.wait, daemon=True).start()  # nobody waits but this, which buries it


def main(words: list[str], inbox: int | None = None) -> None:
    """Compile, quietly and after everybody else, and take the locks away; then what is told through a pipe, until nothing more is."""
    from costsim.engine.block import compile_form

    with contextlib.suppress(AttributeError, OSError):
        os.nice(5)
    for spec, lock in chain([words], () if inbox is None else _told(inbox)):
        try:
            compile_form(spec)
        finally:
            Path(lock).unlink(missing_ok=True)


def _told(inbox: int) -> Iterator[list[str]]:
    """Forms and locks from a pipe, until it is closed or nothing comes for a while."""
    text = b""
    with contextlib.suppress(OSError, ValueError):  # no pipe, or none that can be waited for
        while select.select([inbox], [], [], WAITS_S)[0]:
            more = os.read(inbox, 4096)
            *lines, text = (text + more).split(b"\n")
            for line in lines:
                yield line.decode().split("\t")
            if not more:
                break
        # from here on whoever writes is told so, and starts another
        os.close(inbox)


if __name__ == "__main__":
    main(sys.argv[1:], 0)
