"""Memory that arrays leave is kept for the next ones: to be given new memory by the system takes as long as to run a year.

glibc hands what is freed back as soon as 128 kB lie at its end, and asks for it again page by page. A year has 70 kB a row. Up
to KEPT_B are kept instead, by the settings that mallopt(3) describes; whoever has chosen them in the environment keeps his choice.
What Dask tells every worker unasked is nobody's choice.
"""

from __future__ import annotations

import ctypes
import os
import sys

M_TRIM_THRESHOLD, M_MMAP_THRESHOLD = -1, -3
"""As malloc.h has them."""
KEPT_B, APART_B = 64 * 2**20, 4 * 2**20
"""What is kept at most, and from which size on an array has memory of its own, which goes back with it."""
OF_DASK = ("MALLOC_TRIM_THRESHOLD_", "65536")
"""As distributed.yaml has it."""


def keep_freed() -> bool:
    """Keep what is freed; False where there is another allocator, or where somebody has chosen."""
    chosen = any(setting[0].startswith("MALLOC_") and setting != OF_DASK for setting in os.environ.items())
    tell = getattr(ctypes.CDLL(None), "mallopt", None) if sys.platform == "linux" and not chosen else None
    return tell is not None and bool(tell(M_TRIM_THRESHOLD, KEPT_B)) and bool(tell(M_MMAP_THRESHOLD, APART_B))


keep_freed()
