"""Clocks: seconds since 1970 in UTC to local seconds, by a file's own rules for summer time or by its own clock times."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from costsim.bills.stamps import Seconds
from costsim.units.arrays import Bools
from costsim.units.table import WHOLE_DAY_S, WHOLE_HOUR_S

NO_RULE = 0xFFFFFFFF


@dataclass(frozen=True, slots=True)
class LocalTime:
    """Offset from UTC [s], what summer time adds [s], and the rules of its start and end as the file gives them."""

    offset_s: int = 0
    summer_s: int = 0
    start_rule: int = NO_RULE
    end_rule: int = NO_RULE
    known: bool = False

    def standard(self, utc_s: Seconds) -> Seconds:
        """Local standard time (n,) [s since 1970]."""
        return utc_s + self.offset_s

    def clock(self, utc_s: Seconds) -> Seconds:
        """Local clock time, summer time included (n,) [s since 1970]."""
        standard = self.standard(utc_s)
        return standard + np.where(self.is_summer(standard), self.summer_s, 0)

    def is_summer(self, standard_s: Seconds) -> Bools:
        """Whether summer time holds at local standard times (n,).

        Notes
        -----
        A rule's hour is that of the clock before it is set: standard time at the start, summer time at the end.
        """
        summer = np.zeros(len(standard_s), dtype=bool)
        if not self.summer_s or NO_RULE in (self.start_rule, self.end_rule) or not len(standard_s):
            return summer
        years = standard_s.astype("datetime64[s]").astype("datetime64[Y]")
        for year in np.unique(years):
            start = rule_s(self.start_rule, int(year.astype(int)) + 1970)
            end = rule_s(self.end_rule, int(year.astype(int)) + 1970) - self.summer_s
            here = years == year
            after, before = standard_s[here] >= start, standard_s[here] < end
            summer[here] = (after & before) if start < end else (after | before)
        return summer


@dataclass(frozen=True, slots=True, eq=False)
class ReadClock:
    """Local clock of readings whose clock times are known: standard time or UTC and what the clock showed (n,) [s]."""

    base_s: Seconds
    wall_s: Seconds
    known: bool = True

    def clock(self, base_s: Seconds) -> Seconds:
        """Clock time at moments (m,) [s since 1970]."""
        at = np.maximum(np.searchsorted(self.base_s, base_s, side="right") - 1, 0)
        return base_s + (self.wall_s - self.base_s)[at]

    def standard(self, base_s: Seconds) -> Seconds:
        """Standard time at moments (m,) [s since 1970]."""
        return base_s + int((self.wall_s - self.base_s).min())


def rule_s(rule: int, year: int) -> int:
    """When a rule falls due in a year [s of the local clock since 1970].

    References
    ----------
    DstRuleType of the ESPI schema (NAESB REQ.21, seen in public copies): bits 0-11 seconds, 12-16 hour, 17-19 day of the week
    (Monday 1), 20-24 day of the month, 25-27 operator, 28-31 month. Operators: 0 that day of the month; 1 that weekday on or
    after it; 2 to 6 the first to fifth such weekday of the month; 7 the last one.

    Examples
    --------
    >>> print(np.datetime64(rule_s(0x360E2000, 2024), "s"), np.datetime64(rule_s(0xB40E2000, 2024), "s"))
    2024-03-10T02:00:00 2024-11-03T02:00:00
    """
    seconds, hour, weekday = rule & 0xFFF, rule >> 12 & 0x1F, rule >> 17 & 0x7
    day, operator, month = rule >> 20 & 0x1F, rule >> 25 & 0x7, rule >> 28
    first = np.datetime64(f"{year}-{min(max(month, 1), 12):02}-01", "D")
    length = int(
        (first.astype("datetime64[M]") + np.timedelta64(1, "M")).astype("datetime64[D]").astype(int) - first.astype(int)
    )
    at = min(max(day, 1), length)
    if operator:
        earliest = at if operator == 1 else 1
        # 1970-01-01, day 0, was a Thursday, which is 4
        wait = (weekday - (int(first.astype(int)) + earliest - 1 + 3) % 7 - 1) % 7
        at = earliest + wait + 7 * max(operator - 2, 0)
        while at > length:  # the fifth or last one of a month with four
            at -= 7
    return (int(first.astype(int)) + at - 1) * WHOLE_DAY_S + hour * WHOLE_HOUR_S + seconds
