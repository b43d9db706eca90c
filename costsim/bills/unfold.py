"""Readings in a row: the hour that a set clock repeats or leaves out, starts told from ends, and how long each lasted."""

from __future__ import annotations

import numpy as np

from costsim.bills.local_time import ReadClock
from costsim.bills.stamps import Seconds
from costsim.bills.times import Times
from costsim.bills.zone import zone_time
from costsim.units.arrays import Bools, Floats, Ints
from costsim.units.table import WHOLE_DAY_S, WHOLE_HOUR_S

SUNDAY, NIGHT_H = 3, 4  # days since 1970-01-01, a Thursday, modulo 7
_CHANGES = (3, 4, 9, 10, 11)  # months in which clocks are set


def unfolded(times: Times, lone: str, notes: list[str], zone: str = "") -> tuple[Seconds, Seconds, ReadClock, Ints]:
    """Lay readings on a scale without folds.

    Parameters
    ----------
    times : Times
        Of readings of a day or shorter, in the order of the file.
    lone : str
        What single times are by their heading: ``"start"``, ``"end"``, or open.
    notes : list of str
    zone : str
        Name of the clock, where a person tells it.

    Returns
    -------
    start, length : array of int (n,)
        On that scale, in the order of time [s].
    clock : ReadClock
        From that scale to the local clock.
    order : array of int (n,)
        Rows of the file in the order of time.
    """
    turned = bool(times.start_s[0] > times.start_s[-1])
    order = np.arange(len(times.start_s))[:: -1 if turned else 1]
    times = times.rows(order)
    wall, step = times.start_s, max(times.step_s, 1)
    if times.end_s is None and times.timed and step <= WHOLE_DAY_S and lone != "start":
        if short := _last_moment(wall, step):
            wall = wall + short - step
            notes.append("each time is taken as the last moment of its reading")
        elif _are_ends(times, lone, step, notes):
            wall = wall - step
    if times.day_s is not None:
        base, wall = _by_number(wall, times.day_s, step)
    elif times.offset_s is not None:
        base = wall - times.offset_s
        wall = zone_time(zone).clock(base) if zone else wall
    else:
        base = _without_fold(wall, step, notes)
    length = _lengths(times, wall, step)
    by_time = np.argsort(base, kind="stable")
    base, wall, length, order = base[by_time], wall[by_time], length[by_time], order[by_time]
    gaps = np.append(np.diff(base), 0)
    length = np.where((gaps > 0) & (length > gaps), gaps, length)  # the hour that the clock leaves out is none
    return base, length, ReadClock(base, wall), order


def _last_moment(wall: Seconds, step: int) -> int:
    """What is missing to the end of each reading where times such as 13:59 or 13:59:59 name its last moment [s]; else 0."""
    short = step - int(wall[0]) % step
    return short if short in (1, 60) and step > 60 and bool((wall % step == step - short).all()) else 0


def _are_ends(times: Times, lone: str, step: int, notes: list[str]) -> bool:
    """Whether single times are the ends of their readings."""
    first, last = int(times.start_s.min()) % WHOLE_DAY_S, int(times.start_s.max()) % WHOLE_DAY_S
    if lone == "end" or (first == step % WHOLE_DAY_S and first):
        notes.append("each time is taken as the end of its reading")
        return True
    if first != 0 and last == 0:
        notes.append("each time is taken as the end of its reading, since the last one is midnight")
        return True
    reason = "since the first one is midnight" if first == 0 else "as the file does not tell whether it is the end"
    notes.append(f"each time is taken as the start of its reading, {reason}")
    return False


def _lengths(times: Times, wall: Seconds, step: int) -> Seconds:
    """Length of each reading by its end, of which the last minute or second may be left out; else the usual step."""
    usual = max(
        (WHOLE_HOUR_S, WHOLE_HOUR_S // 2, WHOLE_HOUR_S // 4, WHOLE_DAY_S), key=lambda length_s: -abs(length_s - step)
    )
    if times.end_s is None:
        return np.full(len(wall), step)
    length = times.end_s - times.start_s
    if times.offset_s is not None and times.end_offset_s is not None:
        length = length - (times.end_offset_s - times.offset_s)  # not the hour that the clock leaves out or repeats
    if usual - step in (0, 1, 60):
        length = np.where(usual - length == usual - step, usual, length)
        step = usual
    if times.offset_s is None and step <= WHOLE_HOUR_S:
        longer = (length > step) & (length <= step + WHOLE_HOUR_S)
        sunday = (times.start_s % WHOLE_DAY_S < NIGHT_H * WHOLE_HOUR_S) & _changes(times.start_s)
        midnight = ((times.start_s + step) % WHOLE_DAY_S == 0) & (
            longer.sum() == 1
        )  # a clock that is set at the end of any day
        length = np.where(longer & (sunday | midnight), step, length)  # the clock is set forward inside it
    return np.where((length <= 0) | (length > 3 * step), step, length)


SET_AT_S = 2 * WHOLE_HOUR_S
"""When clocks are set, of a day whose hours are numbered: it makes no difference to the day."""


def _by_number(start: Seconds, day_s: Seconds, step: int) -> tuple[Seconds, Seconds]:
    """Days whose hours are numbered to 23, 24 or 25, laid end to end; and their clock times, the 25th hour like the 24th."""
    days, inverse = np.unique(day_s, return_inverse=True)
    hours = np.zeros(len(days), dtype=np.int64)
    np.maximum.at(hours, inverse, start - day_s + step)
    extra = hours - WHOLE_DAY_S
    changed = np.array([is_change(int(day)) for day in days]) & (np.abs(extra) == WHOLE_HOUR_S)
    shift = np.cumsum(np.where(changed, extra, 0))
    shift = np.append(0, shift[:-1])  # a day's own last hours need none: they follow one another
    wall = np.where(start - day_s >= WHOLE_DAY_S, start - WHOLE_HOUR_S, start)
    forward = (changed & (extra < 0))[inverse] & (start - day_s >= SET_AT_S)
    return start + shift[inverse], np.where(forward, start + WHOLE_HOUR_S, wall)


def _without_fold(wall: Seconds, step: int, notes: list[str]) -> Seconds:
    """Clock times with summer time taken off, where the file shows that its clock was set: an hour of a Sunday comes twice."""
    _, first, inverse = np.unique(wall, return_index=True, return_inverse=True)
    again = first[inverse] != np.arange(len(wall))
    if not again.any() or step > WHOLE_HOUR_S:
        return wall
    folds, any_day = _folds(wall, again, step)
    base, begin = wall.copy(), 0
    for nth, end in enumerate(folds):
        spring = _spring(wall[begin:end], step, whole=not nth, any_day=any_day)
        base[begin + spring : end] -= WHOLE_HOUR_S
        begin = end
    if folds:
        last = _spring(wall[begin:], step, whole=False, any_day=any_day)
        base[begin + last :] -= WHOLE_HOUR_S
        times = f"{len(folds)} time{'s' if len(folds) > 1 else ''}"
        days = ", ".join(str(np.datetime64(int(wall[end]), "s").astype("datetime64[D]")) for end in folds[:3])
        hint = f" (on {days}, by the hour that comes twice; --zone tells it for sure)" if any_day else ""
        notes.append(f"the clock is set {times} in autumn: the hour that comes twice counts twice{hint}")
    return base


def _folds(wall: Seconds, again: Bools, step: int) -> tuple[list[int], bool]:
    """Rows at which an hour of a night begins for the second time: of a Sunday, else of one other day a year; and which it was."""
    most, hour = WHOLE_HOUR_S // step, wall % WHOLE_DAY_S // WHOLE_HOUR_S
    sundays: list[int] = []
    others: dict[int, list[int]] = {}
    for day in np.unique(wall[again] // WHOLE_DAY_S):
        rows = np.flatnonzero(again & (wall // WHOLE_DAY_S == day))
        at = int(rows[0])
        if len(rows) <= most and hour[rows].max() < NIGHT_H and is_change(int(day) * WHOLE_DAY_S):
            sundays.append(at)
        comes_twice = len(rows) == most and (hour[rows] == hour[at]).all() and (hour[at] < NIGHT_H or hour[at] == 23)
        if comes_twice and rows[-1] - at == most - 1 and at >= most and wall[at - most] == wall[at]:
            others.setdefault(int(np.datetime64(int(day), "D").astype("datetime64[Y]").astype(int)), []).append(at)
    if sundays or any(len(rows) > 1 for rows in others.values()):
        return sundays, False
    return [at for rows in others.values() for at in rows if _month(int(wall[at])) in _CHANGES], True


def _spring(wall: Seconds, step: int, *, whole: bool, any_day: bool = False) -> int:
    """Row at which summer time begins: behind the last missing hour of a Sunday night; else all rows, or none of them."""
    gaps = np.flatnonzero(np.diff(wall) == WHOLE_HOUR_S + step)
    for at in gaps[::-1]:
        night = wall[at] % WHOLE_DAY_S < NIGHT_H * WHOLE_HOUR_S
        day = int(wall[at] + step) // WHOLE_DAY_S * WHOLE_DAY_S
        if any_day and (night or (wall[at] + step) % WHOLE_DAY_S == 0) and _month(day) in (3, 4, 5):
            return int(at) + 1
        if night and is_change(int(wall[at]) // WHOLE_DAY_S * WHOLE_DAY_S):
            return int(at) + 1
    return 0 if whole else len(wall)


def _changes(seconds: Seconds) -> Bools:
    days, inverse = np.unique(seconds // WHOLE_DAY_S, return_inverse=True)
    return np.array([is_change(int(day) * WHOLE_DAY_S) for day in days], dtype=bool)[inverse]


def is_change(second: int) -> bool:
    """Whether clocks may be set on the day of a moment: a Sunday of spring or autumn."""
    return second // WHOLE_DAY_S % 7 == SUNDAY and _month(second) in _CHANGES


def _month(second: int) -> int:
    return int(np.datetime64(second, "s").astype("datetime64[M]").astype(int)) % 12 + 1


def differing(base: Seconds, values: Floats) -> int:
    """Number of readings that come again with another amount, in the order of time."""
    same = base[1:] == base[:-1]
    return int((same & (np.abs(values[1:] - values[:-1]) > 1e-9 * np.maximum(np.abs(values[1:]), 1e-9))).sum())
