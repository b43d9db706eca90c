"""First and last days of bills: from two dates, from a date and a number of days, or from one date to the next."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from costsim.bills.columns import Table
from costsim.bills.model import ONE_DAY, Days
from costsim.bills.stamps import Seconds
from costsim.bills.times import Times, days_column
from costsim.units.arrays import Bools, Floats, Ints
from costsim.units.table import WHOLE_DAY_S


@dataclass(frozen=True, slots=True, eq=False)
class Periods:
    """One reading of the dates of bills (n,): days, energy [J], flags, lines, and how the dates were read."""

    start: Days
    end: Days
    energy_j: Floats
    flags: Bools
    lines: Ints
    notes: str = ""


def periods_of(table: Table, times: Times, energy_j: Floats, flags: Bools, delivered: bool) -> Iterator[Periods]:
    """Give the periods of bills; two readings where a single date is start or end and nothing of the file tells which.

    Parameters
    ----------
    table : Table
        Its notes take what was decided.
    times : Times
    energy_j, flags : array (n,)
        Of each row, in the order of the file; of a register, what was used since the row before in time.
    delivered : bool
        Whether each amount replaces what was burned before its date.
    """
    lines = np.array(table.lines)
    start = days_of(times.start_s)
    if times.month:
        end = days_of(times.end_s if times.end_s is not None else times.start_s)
        yield Periods(start, end, energy_j, flags, lines)
        return
    if times.end_s is not None:
        yield Periods(start, _exclusive(start, days_of(times.end_s), table), energy_j, flags, lines)
        return
    order = np.argsort(start, kind="stable")
    start, energy_j, flags, lines = start[order], energy_j[order], flags[order], lines[order]
    if table.register:
        known = np.isfinite(energy_j[1:])  # not where the meter was replaced
        yield Periods(start[:-1][known], start[1:][known], energy_j[1:][known], flags[1:][known], lines[1:][known])
        return
    lengths = days_column(table)
    if lengths is not None:
        yield _with_lengths(start, lengths[order], energy_j, flags, lines, table)
        return
    if delivered or table.lone == "end":
        note = (
            "each delivery replaces what was burned since the one before"
            if delivered
            else "each amount was used since the date before"
        )
        table.notes.append(f"{note}; the first row has no period and is left out")
        yield _ends(start, energy_j, flags, lines)
    elif table.lone == "start":
        table.notes.append(
            "each amount was used from its date to the next one; the last row has no end and is left out"
        )
        yield _starts(start, energy_j, flags, lines)
    else:
        yield _ends(start, energy_j, flags, lines, "single dates are read as the ends of their periods")
        yield _starts(start, energy_j, flags, lines, "single dates are read as the starts of their periods")


def days_of(seconds: Seconds) -> Days:
    """Days of moments of the local clock (n,)."""
    return np.asarray((seconds // WHOLE_DAY_S).astype("datetime64[D]"))


def _starts(start: Days, energy: Floats, flags: Bools, lines: Ints, note: str = "") -> Periods:
    return Periods(start[:-1], start[1:], energy[:-1], flags[:-1], lines[:-1], note)


def _ends(dates: Days, energy: Floats, flags: Bools, lines: Ints, note: str = "") -> Periods:
    first = int(np.argmax(~flags)) if (~flags).any() else 0  # before the first actual reading nothing is known
    return Periods(
        dates[first:-1], dates[first + 1 :], energy[first + 1 :], flags[first + 1 :], lines[first + 1 :], note
    )


def _with_lengths(dates: Days, lengths: Floats, energy: Floats, flags: Bools, lines: Ints, table: Table) -> Periods:
    """A date and a number of days: the end or the start, whichever makes the periods run on."""
    days = lengths.astype("timedelta64[D]")
    backward = int((np.abs(((dates - days)[1:] - dates[:-1]).astype(int)) <= 1).sum())
    forward = int((np.abs(((dates + days)[:-1] - dates[1:]).astype(int)) <= 1).sum())
    if forward > backward or (forward == backward and table.lone == "start"):
        table.notes.append("each date is the start of its period, by the number of days beside it")
        return Periods(dates, _joined_ends(dates, dates + days), energy, flags, lines)
    table.notes.append("each date is the end of its period, by the number of days beside it")
    start = dates - days
    near = np.abs((start[1:] - dates[:-1]).astype(int)) <= 1
    start[1:] = np.where(near, dates[:-1], start[1:])
    return Periods(start, dates, energy, flags, lines)


def _joined_ends(start: Days, end: Days) -> Days:
    """Ends that meet the next start where they miss it by a day."""
    near = np.abs((start[1:] - end[:-1]).astype(int)) <= 1
    end = end.copy()
    end[:-1] = np.where(near, start[1:], end[:-1])
    return end


def _exclusive(start: Days, end: Days, table: Table) -> Days:
    """Ends as the day after the last: told from the seams between periods."""
    order = np.argsort(start, kind="stable")
    seams = (start[order][1:] - end[order][:-1]).astype(int)
    if int((seams == 1).sum()) > int((seams == 0).sum()):
        table.notes.append("ends are taken as the last day of each bill, since the next one begins a day later")
        return end + ONE_DAY
    table.notes.append("ends are taken as reading dates, which belong to the next bill")
    return end
