"""From readings to hours of standard time, one value each, with gaps filled within stated limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from costsim.errors import Fault, InputError
from costsim.units.arrays import Floats
from costsim.units.table import WHOLE_DAY_S, WHOLE_HOUR_S
from costsim.weather.checks import LONGEST_GAP_H, believable
from costsim.weather.record import Record

LONGEST_FILLED_H = 72
"""Gaps of a dated record beyond `LONGEST_GAP_H` and up to this are filled from the same hours of the days around."""
MOST_YEARS = 130


@dataclass(frozen=True, slots=True, eq=False)
class Hours:
    """Hours in a row from `first`, on the record's clock; arrays (n,), NaN where missing."""

    first: np.datetime64
    values: Mapping[str, Floats]
    notes: tuple[str, ...] = ()

    @property
    def n(self) -> int:
        """Number of hours."""
        return len(self.values["outdoor"])

    @property
    def times(self) -> NDArray[np.datetime64]:
        """Beginnings of the hours (n,)."""
        return self.first + np.arange(self.n) * np.timedelta64(1, "h")


def step_words(step_s: int) -> str:
    """Say how often readings come.

    Examples
    --------
    >>> step_words(900), step_words(3600), step_words(10800), step_words(86400)
    ('every 15 minutes', 'hourly', 'every 3 hours', 'daily')
    """
    if step_s >= WHOLE_DAY_S:
        return "daily" if step_s < 2 * WHOLE_DAY_S else f"every {step_s // WHOLE_DAY_S} days"
    if step_s > WHOLE_HOUR_S:
        return f"every {step_s // WHOLE_HOUR_S} hours"
    return "hourly" if step_s == WHOLE_HOUR_S else f"every {step_s // 60} minutes"


def to_hours(record: Record, file: str) -> Hours:
    """Put readings into hours: several in one hour are averaged, values nobody has measured are gaps.

    Parameters
    ----------
    record : Record
        With times, and not daily.
    file : str

    Raises
    ------
    InputError
        The times span more years than anybody has measured.
    """
    assert record.times is not None
    notes: list[str] = []
    times = record.times.astype("datetime64[s]").astype(np.int64)
    if (np.diff(times) < 0).any():
        notes.append("rows were not in the order of their times; they were sorted")
    if len(np.unique(times)) < len(times):
        notes.append(f"{len(times) - len(np.unique(times))} rows have a time that came before; they were averaged")
    if record.step_s < WHOLE_HOUR_S:
        notes.append(f"readings {step_words(record.step_s)} were averaged to hours")
    elif record.step_s > WHOLE_HOUR_S:
        notes.append(f"readings come {step_words(record.step_s)}; the hours between were interpolated")
    start = (int(times.min()) - (1 if record.ends else 0)) // WHOLE_HOUR_S
    n = int(times.max()) // WHOLE_HOUR_S - start + 1
    if n > MOST_YEARS * 8784:
        first, last = (np.datetime64(int(time_s), "s").astype("datetime64[D]") for time_s in (times.min(), times.max()))
        what = f"runs from {first} to {last}, more years than a record can have"
        raise InputError(Fault("time", what, "check the dates of the first and last rows", file))
    values = {}
    for name, readings in record.columns.items():
        if name in ("low", "high"):
            continue
        at = ((times - 1) // WHOLE_HOUR_S if name in record.ends else times // WHOLE_HOUR_S) - start
        readings, doubts = believable(readings, name)
        notes += doubts
        good = np.isfinite(readings) & (at >= 0)
        count = np.bincount(at[good], minlength=n)[:n]
        total = np.bincount(at[good], weights=readings[good], minlength=n)[:n]
        with np.errstate(invalid="ignore"):
            values[name] = np.where(count > 0, total / np.maximum(count, 1), np.nan)
    return Hours(np.datetime64(start, "h"), values, tuple(notes))


def gaps(values: Floats) -> list[tuple[int, int]]:
    """First and end of every run of missing values."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], np.isnan(values).astype(np.int8), [0]))))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def filled(values: Floats, name: str) -> tuple[Floats, list[str]]:
    """Fill gaps: up to six hours by a straight line, up to three days from the same hours of the days around.

    Returns
    -------
    array (n,), notes
        Longer gaps stay NaN.
    """
    runs = gaps(values)
    if not runs or np.isnan(values).all():
        return values, []
    filled_values = values.copy()
    short = [(a, b) for a, b in runs if b - a <= LONGEST_GAP_H]
    if short:
        at = np.arange(len(values))
        good = ~np.isnan(values)
        line = np.interp(at, at[good], values[good])
        for a, b in short:
            filled_values[a:b] = line[a:b]
    long = [(a, b) for a, b in runs if LONGEST_GAP_H < b - a <= LONGEST_FILLED_H]
    for a, b in long:
        for slot in range(a, b):
            before, after = slot - 24 * ((slot - a) // 24 + 1), slot + 24 * ((b - 1 - slot) // 24 + 1)
            known = [hour for hour in (before, after) if 0 <= hour < len(values) and not np.isnan(values[hour])]
            if known:
                filled_values[slot] = np.interp(slot, known, values[known])
    notes = []
    if short:
        longest = max(b - a for a, b in short)
        notes.append(
            f"{name}: {sum(b - a for a, b in short):,} missing hours were interpolated, the longest run {longest} h"
        )
    if long:
        longest = max(b - a for a, b in long)
        total = sum(b - a for a, b in long)
        notes.append(f"{name}: {total:,} missing hours were filled from the days around, the longest run {longest} h")
    return filled_values, notes
