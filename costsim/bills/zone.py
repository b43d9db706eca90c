"""The house's own clock: times of a file in UTC, or on a clock whose changes the file does not show, by a named time zone."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from costsim.bills.stamps import Seconds
from costsim.bills.times import Times
from costsim.errors import Fault, InputError
from costsim.units.table import WHOLE_DAY_S

QUARTER_S = 900
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class ZoneTime:
    """A clock by its name in the tz database, such as ``"America/Chicago"``; takes the place of `LocalTime` and `ReadClock`."""

    zone: ZoneInfo
    known: bool = True

    def clock(self, utc_s: Seconds) -> Seconds:
        """Local clock time, summer time included (n,) [s since 1970]."""
        at, inverse = np.unique(utc_s // QUARTER_S, return_inverse=True)
        return utc_s + np.array([self._offset_s(int(quarter) * QUARTER_S) for quarter in at], dtype=np.int64)[inverse]

    def standard(self, utc_s: Seconds) -> Seconds:
        """Local standard time (n,) [s since 1970]: the least offset of the moments' years."""
        if not len(utc_s):
            return utc_s
        least = min(
            self._offset_s(int(moment))
            for moment in range(int(utc_s[0]), int(utc_s[0]) + 366 * WHOLE_DAY_S, 15 * WHOLE_DAY_S)
        )
        return utc_s + least

    def utc(self, wall_s: Seconds) -> Seconds:
        """Moments of clock times in the order of time (n,) [s since 1970]; of a clock time that comes twice, the second is later."""
        early, late = self._from_wall(wall_s, 0), self._from_wall(wall_s, 1)
        twice = early != late
        if not twice.any():
            return early
        _, first, inverse = np.unique(wall_s, return_index=True, return_inverse=True)
        again = first[inverse] != np.arange(len(wall_s))
        return np.where(twice & again, late, early)

    def _from_wall(self, wall_s: Seconds, fold: int) -> Seconds:
        at, inverse = np.unique(wall_s // QUARTER_S, return_inverse=True)
        offsets = []
        for quarter in at:
            naive = datetime(1970, 1, 1) + timedelta(seconds=int(quarter) * QUARTER_S)
            offsets.append(int((naive.replace(tzinfo=self.zone, fold=fold).utcoffset() or timedelta()).total_seconds()))
        return wall_s - np.array(offsets, dtype=np.int64)[inverse]

    def _offset_s(self, utc_s: int) -> int:
        moment = (_EPOCH + timedelta(seconds=utc_s)).astimezone(self.zone)
        return int((moment.utcoffset() or timedelta()).total_seconds())


def zone_time(name: str) -> ZoneTime:
    """Find a clock by its name.

    Raises
    ------
    InputError
        There is no such time zone.
    """
    try:
        return ZoneTime(ZoneInfo(name))
    except (ZoneInfoNotFoundError, ValueError, OSError):
        remedy = "write it like America/Chicago or Europe/Vienna"
        raise InputError(Fault("--zone", f"'{name}' is no time zone", remedy)) from None


def on_clock(times: Times, zone: str, utc: bool, notes: list[str]) -> Times:
    """Put times on the clock of a zone: those with an offset, or said to be in UTC, are turned; others are taken as its clock.

    Parameters
    ----------
    times : Times
        In the order of the file.
    zone : str
        Name of a time zone; empty leaves the clock as it is.
    utc : bool
        Whether times without an offset are in UTC.
    notes : list of str

    Raises
    ------
    InputError
        There is no such zone.
    """
    if utc and times.offset_s is None and times.timed:
        zero = np.zeros(len(times.start_s), dtype=np.int64)
        times = replace(times, offset_s=zero, end_offset_s=None if times.end_s is None else zero)
    if not zone or not times.timed or times.day_s is not None:
        return times
    clock = zone_time(zone)
    if times.offset_s is None:
        turned = bool(times.start_s[0] > times.start_s[-1])
        in_order = times.start_s[::-1] if turned else times.start_s
        moments = clock.utc(in_order)
        offset = in_order - moments
        notes.append(f"times are taken as the clock of {zone}, with its changes")
        return replace(times, offset_s=offset[::-1] if turned else offset)
    start = clock.clock(times.start_s - times.offset_s)
    notes.append(f"times were turned into the clock of {zone}")
    turned_to = replace(times, start_s=start, offset_s=start - (times.start_s - times.offset_s))
    if times.end_s is None:
        return turned_to
    until = times.end_s - (times.end_offset_s if times.end_offset_s is not None else times.offset_s)
    end = clock.clock(until)
    return replace(turned_to, end_s=end, end_offset_s=end - until)
