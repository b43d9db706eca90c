"""Memory that was freed is used again instead of asked for anew."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from costsim.engine.freed import OF_DASK

ROWS = """
import resource
import numpy as np
{before}
def rows():
    return [np.ones(8760) for _ in range(20)]
for _ in range(5):
    rows()
first = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
for _ in range(50):
    rows()
print(resource.getrusage(resource.RUSAGE_SELF).ru_minflt - first)
"""
PAGES = 50 * 20 * 8760 * 8 // os.sysconf("SC_PAGE_SIZE")


def pages(before: str, **more: str) -> int:
    """Pages that the system gave while rows of a year were made again and again."""
    found = subprocess.run(
        [sys.executable, "-c", ROWS.format(before=before)], capture_output=True, text=True, check=True, env={**os.environ, **more}
    )  # fmt: skip
    return int(found.stdout)


@pytest.mark.skipif(sys.platform != "linux" or not hasattr(os, "confstr"), reason="glibc alone is told")
def test_rows_of_a_year_are_made_in_memory_that_was_there() -> None:
    # without it nearly every page is new each time; with it next to none
    assert pages("import costsim.engine.freed") < PAGES / 20
    assert pages("import costsim.engine.freed", MALLOC_TRIM_THRESHOLD_="65536") < PAGES / 20  # Dask's own


@pytest.mark.long
def test_dask_tells_its_workers_what_we_think_it_does() -> None:
    import dask.config
    import distributed  # noqa: F401 -- brings its settings

    name, value = OF_DASK
    assert str(dask.config.get("distributed.nanny.pre-spawn-environ")[name]) == value


@pytest.mark.skipif(sys.platform != "linux", reason="glibc alone is told")
def test_what_the_environment_says_of_memory_is_left() -> None:
    told = "from costsim.engine.freed import keep_freed; assert not keep_freed()"
    assert pages(told, MALLOC_TRIM_THRESHOLD_="131072") > PAGES / 2
