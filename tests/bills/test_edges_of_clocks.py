"""Readings by a clock that is set: laid on one scale without gap or overlap, whatever the zone, the step and the ends of the file."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from costsim.bills.times import Times
from costsim.bills.unfold import _by_number, _folds, _last_moment, _lengths, _spring, _without_fold, unfolded
from costsim.bills.zone import ZoneTime

DAY, HOUR = 86400, 3600


def seconds(text: str) -> int:
    return int(np.datetime64(text, "s").astype(int))


def wall(zone: str, first: str, last: str, step: int) -> tuple[np.ndarray, np.ndarray]:
    """Readings evenly through UTC, and what a clock on the wall shows at each."""
    utc = np.arange(seconds(first), seconds(last), step)
    return utc, ZoneTime(ZoneInfo(zone)).clock(utc)


@pytest.mark.parametrize(
    ("zone", "first", "last", "times", "step"),
    [
        ("America/Chicago", "2024-03-01", "2024-12-01", 1, 900),
        ("America/Chicago", "2024-06-01", "2025-06-01", 1, HOUR),  # begins in summer, ends in summer
        ("Europe/Berlin", "2023-01-01", "2025-01-01", 2, HOUR),
        ("Australia/Sydney", "2024-01-01", "2025-01-01", 1, 1800),
        ("Africa/Cairo", "2024-01-01", "2025-01-01", 1, HOUR),  # on a Thursday at midnight
    ],
)
def test_a_clock_that_is_set_leaves_readings_evenly_apart(
    zone: str, first: str, last: str, times: int, step: int
) -> None:
    _, clock = wall(zone, first, last, step)
    clock = clock[np.argmax(clock % DAY == 0) :]
    notes: list[str] = []
    base, length, back, order = unfolded(Times(clock, None, None, True), "start", notes)
    assert (np.diff(base) == step).all()
    assert (length == step).all()
    assert np.array_equal(back.clock(base), clock)
    assert np.array_equal(order, np.arange(len(clock)))
    told = next(note for note in notes if "is set" in note)
    assert told.startswith(f"the clock is set {times} time{'s' if times > 1 else ''} in autumn")
    assert ("--zone tells it for sure" in told) == (zone == "Africa/Cairo")
    # from the last to the first it is the same
    again = unfolded(Times(clock[::-1], None, None, True), "start", [])
    assert np.array_equal(again[0], base)
    assert np.array_equal(again[3], np.arange(len(clock))[::-1])


def test_no_fold_no_change() -> None:
    _, spring = wall("America/Chicago", "2024-01-01T06", "2024-06-01", HOUR)
    assert np.array_equal(_without_fold(spring, HOUR, []), spring)  # a file that ends in summer does not show it
    days = np.repeat(np.arange(5) * DAY, 2)
    assert np.array_equal(_without_fold(days, DAY, []), days)
    twice = np.array([0, HOUR, HOUR, 2 * HOUR]) + seconds("2024-06-04")  # a Tuesday of June
    assert np.array_equal(_without_fold(twice, HOUR, []), twice)


def test_nights_on_which_an_hour_comes_twice() -> None:
    def folds(day: str, hour: int, step: int = HOUR, times: int = 1) -> tuple[list[int], bool]:
        clock = seconds(day) + np.arange(0, DAY, step)
        again = np.flatnonzero(clock % DAY // HOUR == hour)
        clock = np.insert(clock, again[-1] + 1, np.tile(clock[again], times))
        repeated = np.zeros(len(clock), dtype=bool)
        repeated[again[-1] + 1 : again[-1] + 1 + len(again) * times] = True
        return _folds(clock, repeated, step)

    sunday, thursday = "2024-11-03", "2024-10-31"
    assert [folds(sunday, hour) for hour in (0, 1, 3, 4)] == [([1], False), ([2], False), ([4], False), ([], True)]
    assert [folds(thursday, hour) for hour in (0, 3, 4, 22, 23)] == [
        ([1], True),
        ([4], True),
        ([], True),
        ([], True),
        ([24], True),
    ]
    assert folds(sunday, 1, 1800) == ([4], False)
    assert folds(thursday, 23, 900) == ([96], True)
    assert folds(sunday, 1, HOUR, 2) == ([], True)  # three times is no clock
    assert folds("2024-06-06", 23) == ([], True)  # a Thursday of June
    assert folds("2024-06-02", 1) == ([], True)


def test_the_missing_hour_of_a_night() -> None:
    def spring(day: str, hour: int, **more: Any) -> int:
        clock = np.delete(seconds(day) + np.arange(0, DAY, HOUR), hour)
        return _spring(clock, HOUR, whole=more.pop("whole", False), **more)

    assert [spring("2024-03-10", hour) for hour in (1, 2, 3, 4, 5)] == [1, 2, 3, 4, 23]
    assert [spring("2024-03-11", 2), spring("2024-03-11", 2, whole=True)] == [23, 0]
    assert [
        spring("2024-04-25", 2, any_day=True),
        spring("2024-06-06", 2, any_day=True),
        spring("2024-02-29", 2, any_day=True),
    ] == [2, 23, 23]
    assert [spring(day, 2, any_day=True) for day in ("2024-03-01", "2024-05-31")] == [2, 2]
    two_days = np.delete(
        seconds("2024-04-25") + np.arange(0, 2 * DAY, HOUR), 24
    )  # what is missing is the first hour of the 26th
    assert _spring(two_days, HOUR, whole=False, any_day=True) == 24
    assert _spring(two_days, HOUR, whole=False) == 47
    wide = np.delete(seconds("2024-03-10") + np.arange(0, DAY, HOUR), [2, 3])
    assert _spring(wide, HOUR, whole=False) == 22


def test_hours_by_number_on_days_of_23_and_25() -> None:
    def numbered(*days: tuple[str, int]) -> tuple[list[int], list[int]]:
        start = np.concatenate([seconds(day) + np.arange(n) * HOUR for day, n in days])
        day_s = np.concatenate([np.full(n, seconds(day)) for day, n in days])
        base, clock = _by_number(start, day_s, HOUR)
        return np.diff(base).tolist(), (clock - day_s).tolist()

    gaps, clock = numbered(("2024-03-09", 24), ("2024-03-10", 23), ("2024-03-11", 24))
    assert set(gaps) == {HOUR}
    assert clock[24:47] == [0, HOUR, *(np.arange(3, 24) * HOUR).tolist()]
    gaps, clock = numbered(("2024-11-02", 24), ("2024-11-03", 25), ("2024-11-04", 24))
    assert set(gaps) == {HOUR}
    assert (clock[47:49], clock[49]) == ([23 * HOUR, 23 * HOUR], 0)
    gaps, clock = numbered(("2024-06-02", 24), ("2024-06-03", 23), ("2024-06-04", 24))  # only an hour that was not read
    assert gaps.count(2 * HOUR) == 1
    assert clock[24:47] == (np.arange(23) * HOUR).tolist()
    gaps, _ = numbered(("2024-03-09", 24), ("2024-03-10", 22), ("2024-03-11", 24))
    assert gaps.count(3 * HOUR) == 1


def test_lengths_by_their_ends() -> None:
    def lengths(start: str, *ends: int, step: int = HOUR, offsets: Any = None) -> list[int]:
        """Of readings of an hour from a moment on, the last ones with lengths of their own."""
        at = seconds(start) - (20 - len(ends)) * step + np.arange(20) * step
        length = np.array([step] * (20 - len(ends)) + list(ends))
        first, last = (None, None) if offsets is None else (np.zeros(20, dtype=int), np.full(20, offsets))
        return _lengths(Times(at, at + length, first, True, end_offset_s=last), at, step)[-len(ends) :].tolist()

    assert lengths("2024-03-10T01:00", 2 * HOUR) == [HOUR]  # the clock is set forward inside it
    assert lengths("2024-03-10T03:00", 2 * HOUR) == [HOUR]
    assert lengths("2024-03-10T04:00", 2 * HOUR) == [2 * HOUR]
    assert lengths("2024-03-12T01:00", 2 * HOUR) == [2 * HOUR]
    assert lengths("2024-03-12T23:00", 2 * HOUR) == [HOUR]  # at the end of any day, once
    assert lengths("2024-03-12T22:00", 2 * HOUR, 2 * HOUR) == [2 * HOUR, 2 * HOUR]
    assert lengths("2024-03-10T01:00", 2 * HOUR + 1) == [2 * HOUR + 1]
    assert lengths("2024-03-12T10:00", 3 * HOUR, 3 * HOUR + 1, 0, -5) == [3 * HOUR, HOUR, HOUR, HOUR]
    assert lengths("2024-03-12T10:00", 3 * HOUR, step=DAY) == [3 * HOUR]
    assert lengths("2024-03-12T10:00", 2 * HOUR, offsets=HOUR) == [HOUR]
    for step in (HOUR, 1800, 900, DAY):
        assert lengths("2024-03-12T00:00", step - 60, step=step) == [step - 60]  # the others are whole: it is short
        at = seconds("2024-03-12") + np.arange(9) * step
        for short in (0, 1, 60):
            assert set(_lengths(Times(at, at + step - short, None, True), at, step - short).tolist()) == {step}
        assert set(_lengths(Times(at, at + step - 2, None, True), at, step - 2).tolist()) == {step - 2}


def test_last_moments_of_readings() -> None:
    even = np.arange(10) * HOUR
    for short in (1, 60):
        assert _last_moment(even - short, HOUR) == short
    assert [_last_moment(even - short, HOUR) for short in (0, 2, 59, 61, HOUR - 1)] == [0] * 5
    assert _last_moment(np.append(even - 1, 5), HOUR) == 0
    assert _last_moment(np.arange(10) * 60 - 1, 60) == 0  # of a minute each, 59 seconds are no last moment
    assert _last_moment(np.arange(10) * 120 - 60, 120) == 60
