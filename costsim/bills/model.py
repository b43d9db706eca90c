"""Fuel bills as frozen arrays, and the checks that hold for every format."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.errors import Fault, InputError
from costsim.units.arrays import Bools, Floats, Ints
from costsim.units.table import DAY_S

Days = NDArray[np.datetime64]
ONE_DAY = np.timedelta64(1, "D")
MOST_FAULTS = 20
MOST_MISSING = 0.10  # of the days between the first and the last one


@dataclass(frozen=True, slots=True, eq=False)
class Bills:
    """Fuel bought or metered over periods; arrays are (n,), in the order of time. Few days may be missing between them.

    Parameters
    ----------
    name : str
        File, or files, as the person gave them.
    fuel : str
        Key of `costsim.physics.fuels.FUELS`.
    start_day, end_day : array of datetime64[D] (n,)
        First day of each period, and the day after its last.
    energy_j : array (n,)
        Higher heating value bought [J].
    estimated : array of bool (n,)
        Whether the period was put together because its inner readings were estimated.
    lines : array of int (n,)
        Line of the file on which the period's (last) amount stands; 0 where there are no lines.
    notes : tuple of str
        Everything that was guessed, mended or left out.
    delivered : bool
        Whether the amounts are deliveries into a tank or shed instead of a meter's.
    other : Bills or None
        The same file with its dates read the other way, where the file alone does not tell which way is right.
    told : str
        How the dates were read, where there is another way.
    cost : array (n,) or None
        What each period came to, as its file says, NaN where it does not; None where the file tells nothing of it.
    currency : str
        Sign of its currency; empty where the file does not tell.
    left_out : tuple
        First day, and the day after the last, of each bill that somebody marked as days away: no gap.
    """

    name: str
    fuel: str
    start_day: Days
    end_day: Days
    energy_j: Floats
    estimated: Bools
    lines: Ints
    notes: tuple[str, ...] = ()
    delivered: bool = False
    other: Bills | None = None
    told: str = ""
    cost: Floats | None = None
    currency: str = ""
    left_out: tuple[tuple[np.datetime64, np.datetime64], ...] = ()

    @property
    def n_periods(self) -> int:
        """Number of periods."""
        return len(self.energy_j)

    @property
    def days(self) -> Floats:
        """Length of each period (n,) [d]."""
        return (self.end_day - self.start_day).astype(np.float64)

    @property
    def mean_w(self) -> Floats:
        """Mean fuel power of each period (n,) [W]."""
        return self.energy_j / (self.days * DAY_S)

    def grouped(self, least_d: int) -> Bills:
        """Put periods together until each group reaches a number of days; a short rest joins the group before it.

        No group reaches over days that are missing.
        """
        gaps = np.append(self.start_day[1:] > self.end_day[:-1], True)
        firsts: list[int] = []
        total, begin = 0.0, 0
        for i, length in enumerate(self.days):
            total += length
            if total >= least_d or gaps[i]:
                short = total < least_d and firsts and not gaps[begin - 1]
                if not short:
                    firsts.append(begin)
                total, begin = 0.0, i + 1
        return self.put_together(np.array(firsts))

    def put_together(self, firsts: Ints) -> Bills:
        """Make one period of each run of periods that begins at one of `firsts`; it has the line of its last."""
        lasts = np.append(firsts[1:], self.n_periods) - 1
        return replace(
            self,
            start_day=self.start_day[firsts],
            end_day=self.end_day[lasts],
            energy_j=np.add.reduceat(self.energy_j, firsts),
            estimated=np.logical_or.reduceat(self.estimated, firsts),
            lines=self.lines[lasts],
            cost=None if self.cost is None else np.add.reduceat(self.cost, firsts),
        )

    def part(self, chosen: slice | Bools) -> Bills:
        """Take some periods, in a row or by flags."""
        return replace(
            self,
            start_day=self.start_day[chosen],
            end_day=self.end_day[chosen],
            energy_j=self.energy_j[chosen],
            estimated=self.estimated[chosen],
            lines=self.lines[chosen],
            cost=None if self.cost is None else self.cost[chosen],
        )


def raise_faults(faults: Sequence[Fault]) -> None:
    """Raise all faults at once; of very many, the first twenty and the number of the rest."""
    if not faults:
        return
    shown = list(faults[:MOST_FAULTS])
    if len(faults) > MOST_FAULTS:
        more = f"{len(faults) - MOST_FAULTS:,} more faults of this kind were found"
        shown.append(Fault("", more, "mend the first ones and run it again", faults[0].file))
    raise InputError(shown)


def span_faults(
    file: str, start: Days, end: Days, lines: Sequence[int], notes: list[str],
    left_out: Sequence[tuple[np.datetime64, np.datetime64]] = (),
) -> list[Fault]:  # fmt: skip
    """Find periods that end before they begin, overlap, or leave out more days than a fit can do without.

    Parameters
    ----------
    file : str
        For messages.
    start, end : array of datetime64[D] (n,)
        In the order of time; ends are exclusive.
    lines : sequence of int (n,)
        Lines of the file.
    notes : list of str
        Takes the gaps that are left out: together no more than a tenth of the days.
    left_out : sequence
        Spans that are missing on purpose.
    """
    faults, gaps = [], []
    if not len(start):
        return []
    for i in range(len(start)):
        where = f"line {lines[i]}" if lines[i] else f"{start[i]}"
        if end[i] <= start[i]:
            what = f"the period from {start[i]} ends on {end[i]}"
            faults.append(Fault(where, what, "an end lies after its start; check both dates", file))
        if i and end[i - 1] > start[i] and end[i] > start[i]:
            over = (end[i - 1] - start[i]).astype(int)
            what = f"the period from {start[i]} begins {over} days before the one before it ends ({end[i - 1]})"
            faults.append(Fault(where, what, "take out what is double, or correct the dates", file))
        between = np.arange(end[i - 1], start[i]) if i else start[:0]
        if any(not any(first <= day < last for first, last in left_out) for day in between):
            gaps.append((where, end[i - 1], start[i]))
    missing = sum(int((after - before).astype(int)) for _, before, after in gaps)
    if faults or missing <= MOST_MISSING * float((end[-1] - start[0]).astype(int)):
        if gaps and not faults:
            spans = ", ".join(f"{before} to {after - ONE_DAY}" for _, before, after in gaps[:3])
            notes.append(
                f"no bill covers {missing} days ({spans}{' …' if len(gaps) > 3 else ''}); they are left out of the fit"
            )
        return faults
    for where, before, after in gaps:
        what = f"no bill covers the {(after - before).astype(int)} days from {before} to {after - ONE_DAY}"
        remedy = "add the missing bill, or fit the two parts one by one"
        faults.append(Fault(where, what, remedy, file))
    return faults


def joined(parts: Iterable[Bills]) -> list[Bills]:
    """Join bills of one fuel into one row of periods; one `Bills` a fuel comes back.

    Raises
    ------
    InputError
        Together they overlap or leave days out.
    """
    by_fuel: dict[str, list[Bills]] = {}
    for part in parts:
        by_fuel.setdefault(part.fuel, []).append(part)
    return [_one(same_fuel) for same_fuel in by_fuel.values()]


def _one(parts: list[Bills]) -> Bills:
    parts = _once(parts)
    if len(parts) == 1:
        return parts[0]
    start = np.concatenate([part.start_day for part in parts])
    order = np.argsort(start, kind="stable")

    def put(name: str) -> Any:
        return np.concatenate([getattr(part, name) for part in parts])[order]

    name = " + ".join(part.name for part in parts)
    raise_faults(_twice(parts, name))
    notes = [f"{part.name}: {note}" for part in parts for note in part.notes]
    left_out = tuple(span for part in parts for span in part.left_out)
    raise_faults(span_faults(name, start[order], put("end_day"), [0] * len(order), notes, left_out))
    rest = {key: put(key) for key in ("end_day", "energy_j", "estimated", "lines")}
    told_all = all(part.cost is not None for part in parts) and len({part.currency for part in parts}) == 1
    rest["cost"] = put("cost") if told_all else None
    whole = replace(
        parts[0], name=name, start_day=start[order], notes=tuple(notes), **rest, other=None, left_out=left_out
    )
    if not any(part.other for part in parts):
        return whole
    try:
        other = _one([part.other or replace(part, told="") for part in parts])
    except InputError:
        return whole
    return replace(whole, other=other, told=next(part.told for part in parts if part.told))


def _twice(parts: Sequence[Bills], name: str) -> list[Fault]:
    """Two files that hold the same days with other amounts, in one line."""
    for bills, other in combinations(parts, 2):
        before = np.searchsorted(other.start_day, bills.end_day)  # periods of the other that begin before each ends
        over = before > np.searchsorted(other.end_day, bills.start_day, side="right")
        if int(over.sum()) > 1:
            what = f"'{bills.name}' and '{other.name}' both hold the days from {bills.start_day[over][0]} to {bills.end_day[over][-1] - ONE_DAY}"
            return [Fault("", f"{what}, and not alike", "give one of the two, or cut one of them there", name)]
    return []


def _once(parts: Sequence[Bills]) -> list[Bills]:
    """The files without rows that an earlier one holds already, which is told."""
    kept, seen = list[Bills](), set[tuple[int, int, float]]()
    for part in parts:
        rows = list(
            zip(
                part.start_day.astype(int).tolist(),
                part.end_day.astype(int).tolist(),
                part.energy_j.tolist(),
                strict=True,
            )
        )
        new = np.array([row not in seen for row in rows], dtype=bool)
        seen.update(rows)
        if new.all():
            kept.append(part)
        elif new.any():
            note = f"{int((~new).sum()):,} rows stand in another file too and count once"
            kept.append(replace(part.part(new), notes=(*part.notes, note)))
        else:
            kept[0] = replace(
                kept[0], notes=(*kept[0].notes, f"all rows of '{part.name}' stand in another file too and count once")
            )
    return kept


def merge_estimated(
    start: Days, end: Days, energy: Floats, flags: Bools, lines: Ints, notes: list[str]
) -> tuple[Days, Days, Floats, Bools, Ints]:
    """Put estimated readings together with the next actual one; those after the last actual one are left out."""
    actual = np.flatnonzero(~flags)
    if len(actual) == len(flags):
        return start, end, energy, flags, lines
    firsts = np.concatenate(([0], actual[:-1] + 1)).astype(int) if len(actual) else actual
    gaps = np.flatnonzero(start[1:] > end[:-1]) + 1
    before = np.searchsorted(gaps, actual, side="right") - 1
    firsts = np.maximum(firsts, np.where(before >= 0, gaps[before], 0)) if len(gaps) else firsts
    joined = int((actual - firsts).sum())
    if joined:
        notes.append(f"{joined} estimated or partial readings were put together with the next actual one")
    if left := int(flags.sum()) - joined:
        notes.append(f"{left} estimated readings at the end, with no actual one after them, were left out")
    sums = np.array([energy[first : last + 1].sum() for first, last in zip(firsts, actual, strict=True)])
    return start[firsts], end[actual], sums, actual > firsts, lines[actual]
