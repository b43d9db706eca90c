"""Byte code of a fresh checkout, made in a process apart while the dashboard's own imports Streamlit: half a second of its first page."""

from __future__ import annotations

import contextlib
import importlib.util
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

PACKAGE = Path(__file__).parents[1]
FIRST = (
    "units",
    "tariffs",
    "study",
    "physics",
    "weather",
    "sources",
    "results",
    "engine",
    "dashboard",
    "views",
    "analysis",
)
"""Folders in the order in which the first page needs them."""


def begin() -> None:
    """Start that process, unless the byte code is there or Python is told to write none."""
    if (
        sys.dont_write_bytecode
        or Path(importlib.util.cache_from_source(str(PACKAGE / "dashboard" / "shell.py"))).exists()
    ):
        return
    command = [sys.executable, "-m", "compileall", "-q", *(str(PACKAGE / one) for one in FIRST)]
    quiet: dict[str, Any] = {"stdin": subprocess.DEVNULL, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    with contextlib.suppress(OSError):
        made = subprocess.Popen(command, start_new_session=True, **quiet)
        threading.Thread(target=made.wait, daemon=True).start()  # nobody waits but this, which buries it
