"""Compiling ahead of need: a process apart makes a form of the kernel and leaves it in the cache on disk.

Nobody waits for it, a Ctrl-C does not reach it, and a lock keeps others from doing the same work; one that a lost process left
behind is broken after ten minutes. ``python -m costsim.engine.ahead FORM LOCK`` is that process.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

STALE_S = 600.0


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
    command = [sys.executable, "-m", "costsim.engine.ahead", spec, str(lock)]
    nowhere: dict[str, Any] = dict.fromkeys(("stdin", "stdout", "stderr"), subprocess.DEVNULL)
    try:
        process = subprocess.Popen(command, cwd=Path(__file__).parents[2], start_new_session=True, **nowhere)
        threading.Thread(target=process.wait, daemon=True).start()  # nobody waits but this, which buries it
    except OSError:
        lock.unlink(missing_ok=True)


def main(words: list[str]) -> None:
    """Compile, quietly and after everybody else, and take the lock away."""
    from costsim.engine.block import compile_form

    with contextlib.suppress(AttributeError, OSError):
        os.nice(5)
    try:
        compile_form(words[0])
    finally:
        for lock in words[1:]:
            Path(lock).unlink(missing_ok=True)


if __name__ == "__main__":
    main(sys.argv[1:])
