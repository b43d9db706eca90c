"""Compiling the kernel, with a cache on disk that is a convenience and never a reason to stop."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numba

Function = TypeVar("Function", bound=Callable[..., Any])
_HOW: Any = {"nogil": True, "error_model": "numpy"}


def compiled(function: Function) -> Function:
    """Compile a function when it is first called, and keep the code on disk where that is possible.

    Parameters
    ----------
    function : callable
        Of arrays and numbers only.

    Returns
    -------
    callable
        The same function, compiled.

    Notes
    -----
    Without a folder that may be written to (neither beside the module nor in the home, see ``NUMBA_CACHE_DIR``) it is compiled
    anew in each process. A cache that cannot be read is thrown away; one that cannot be written is done without.
    """
    try:
        made = numba.njit(cache=True, **_HOW)(function)
    except RuntimeError:  # numba found no place for its cache
        return numba.njit(**_HOW)(function)  # type: ignore[no-any-return]
    _heal(getattr(made, "_cache", None))
    return made  # type: ignore[no-any-return]


def cache_folder() -> Path:
    """Folder in which compiled code is kept: that of ``NUMBA_CACHE_DIR``, else one beside the engine."""
    from numba.core import config

    chosen = str(getattr(config, "CACHE_DIR", ""))
    return Path(chosen) if chosen else Path(__file__).with_name("__pycache__")


def _heal(cache: Any) -> None:
    """Let a spoilt or full cache count as an empty one."""
    if not hasattr(cache, "load_overload") or not hasattr(cache, "save_overload"):
        return
    load, save = cache.load_overload, cache.save_overload

    def loaded(*arguments: Any) -> Any:
        try:
            return load(*arguments)
        except Exception:  # whatever pickle makes of damaged bytes
            with contextlib.suppress(OSError):
                cache.flush()
            return None

    def saved(*arguments: Any) -> None:
        try:
            save(*arguments)
        except Exception:  # a full disk, or an index that cannot be read
            with contextlib.suppress(Exception):
                cache.flush()

    cache.load_overload, cache.save_overload = loaded, saved
