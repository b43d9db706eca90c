"""Readings and hours whose values are plain to see."""

from __future__ import annotations

from typing import Any

import numpy as np

from costsim.weather.hours import Hours
from costsim.weather.record import Record

HOUR = np.timedelta64(1, "h")


def record(first: str, values: Any, step_s: int = 3600, **more: Any) -> Record:
    """Readings of one column at even steps."""
    found = np.asarray(values, dtype=float)
    times = np.datetime64(first, "s") + np.arange(len(found)) * np.timedelta64(step_s, "s")
    return Record("r", "s", "made", times, {"outdoor": found}, step_s=step_s, **more)


def hours_of(first: str, n: int, gone: slice = slice(0)) -> Hours:
    """Hours whose values count them."""
    values = np.arange(float(n))
    values[gone] = np.nan
    return Hours(np.datetime64(first, "h"), {"outdoor": values})
