"""From a meter's interval readings to bills: periods as they were billed, or the use of each day; and hours of a year."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import IO

import numpy as np

from costsim.bills.convert import conversion
from costsim.bills.cost import CURRENCIES, with_costs
from costsim.bills.green_button import Channel, read_channels
from costsim.bills.local_time import LocalTime, ReadClock
from costsim.bills.model import Bills, Days, merge_estimated, raise_faults, span_faults
from costsim.bills.periods import days_of
from costsim.bills.whole_days import day_lengths, without_begun
from costsim.bills.year import year_of_hours
from costsim.bills.zone import ZoneTime, zone_time
from costsim.errors import Fault, InputError
from costsim.physics.fuels import FUELS
from costsim.units.arrays import Bools, Floats, Ints
from costsim.units.table import WHOLE_DAY_S, WHOLE_HOUR_S

# UomType, commodity, FlowDirection and AccumulationBehaviour codes of the ESPI schema (NAESB REQ.21, seen in public copies)
UNITS = {31: "J", 42: "m3", 72: "Wh", 119: "ft3", 128: "gal", 130: "imp_gal", 132: "Btu", 134: "L", 169: "therm"}
COMMODITIES = {1: "electricity", 2: "electricity", 7: "natural_gas", 8: "propane"}
SERVICES = {0: "electricity", 1: "natural_gas"}
FROM_CUSTOMER, REGISTERS, MOMENTS = 19, (1, 2, 3), (6, 12)
LONGEST_FILLED_D, LEAST_OF_DAY, MOST_LACKING = 3, 0.75, 1e-3
SECOND, DAY = np.timedelta64(1, "s"), np.timedelta64(1, "D")


def read_green_button(
    path: str | Path, *, fuel: str = "", heat_content_j: float | None = None, content: IO[bytes] | None = None,
    meter: str = "", zone: str = "",
) -> list[Bills]:  # fmt: skip
    """Read a Green Button file; one `Bills` a fuel comes back, by day where its readings are by day or shorter.

    Parameters
    ----------
    path : str or Path
        The file; with `content` only its name for messages.
    fuel : str
        Key of `FUELS`, to take the meters of this fuel only.
    heat_content_j : float, optional
        Of metered volumes of gas [J/m³]; the default of `FUELS` otherwise.
    content : binary stream, optional
        What was uploaded.
    meter : str
        Number, or part of the address or title, of the usage point to take where several run at the same time.
    zone : str
        Name of the house's time zone, in place of what the file tells.

    Raises
    ------
    InputError
        No meter can be used, two meters of a fuel count at once, or days are missing or counted twice.
    """
    file = str(path) if content is not None else Path(path).name
    channels, channel_notes = read_channels(path, content=content)
    time = zone_time(zone) if zone else channel_notes
    usable, passed = _sorted_out(_of_meter(channels, meter, file), fuel, file)
    all_bills = []
    for name in dict.fromkeys(name for name, _ in usable):
        channel, notes = _one_channel([channel for other, channel in usable if other == name], name, file)
        energy = _joule(channel, name, heat_content_j, file, notes)
        bills = readings_to_bills(channel, energy, time, name, file, [*notes, *passed])
        if channel.cost is not None:
            sign = CURRENCIES.get(channel.reads.currency, "")
            bills = with_costs(bills, days_of(time.clock(channel.start_s)), channel.cost, sign)
        all_bills.append(bills)
    return all_bills


def _points(channels: Sequence[Channel]) -> list[str]:
    """Addresses of the usage points, in the order of the file."""
    return list(dict.fromkeys(channel.point for channel in channels))


def _of_meter(channels: list[Channel], meter: str, file: str) -> list[Channel]:
    """Channels of the usage point that was asked for, by its number in the file or a part of its address or title.

    Raises
    ------
    InputError
        None or several are meant.
    """
    if not meter:
        return channels
    points, titles = _points(channels), {channel.point: channel.title for channel in channels}
    wanted = meter.lower()
    if meter.isdecimal() and 1 <= int(meter) <= len(points):
        meant = [points[int(meter) - 1]]
    else:
        exact = [point for point in points if wanted in (point.lower(), titles[point].lower())]
        meant = exact or [point for point in points if wanted in f"{point} {titles[point]}".lower()]
    if len(meant) != 1:
        what = f"'{meter}' is {'none' if not meant else 'more than one'} of its meters: {_listed(channels)}"
        raise InputError(Fault("--meter", what, "give one of these numbers", file))
    return [channel for channel in channels if channel.point == meant[0]]


def _answers(channels: Sequence[Channel]) -> tuple[str, ...]:
    """What names each usage point: its title, where no two are the same, else its own name."""
    titles = {channel.point: channel.title for channel in channels}
    return tuple(titles.values() if all(titles.values()) and len(set(titles.values())) == len(titles) else titles)


def _listed(channels: Sequence[Channel]) -> str:
    """Name the usage points with their numbers, titles, readings and amounts."""
    intervals = []
    for number, point in enumerate(_points(channels), 1):
        own = [channel for channel in channels if channel.point == point]
        most = max(own, key=lambda channel: len(channel.value))
        amount = f"{most.value.sum():,.4g} {UNITS.get(most.reads.uom, '')}".strip()
        title = f"'{own[0].title}', " if own[0].title else ""
        intervals.append(f"{number} ({title}{point}: {len(most.value):,} readings, {amount})")
    return ", ".join(intervals[:12]) + (" …" if len(intervals) > 12 else "")


def _sorted_out(channels: Sequence[Channel], fuel: str, file: str) -> tuple[list[tuple[str, Channel]], list[str]]:
    """Meters of energy bought, each with its fuel, and words for what was passed over."""
    usable, passed = [], []
    for channel in channels:
        reads = channel.reads
        name = COMMODITIES.get(reads.commodity, "") if reads.commodity > 0 else SERVICES.get(channel.service, "")
        name = name or {72: "electricity", 169: "natural_gas"}.get(reads.uom if reads.commodity <= 0 else 0, "")
        why = ""
        if reads.uom not in UNITS:
            why = f"in unit {reads.uom}, which is no energy or volume" if reads.uom >= 0 else "without a unit"
        elif reads.flow == FROM_CUSTOMER:
            why = "of energy fed into the grid"
        elif reads.accumulation in (*REGISTERS, *MOMENTS):
            why = "of a register or of moments, not of use over time"
        elif not name:
            why = f"of commodity {reads.commodity}, which heats no house"
        elif fuel and name != fuel:
            why = f"of {FUELS[name].title.lower()}"
        if why:
            passed.append(f"passed over: {len(channel.value):,} readings {why}")
        else:
            usable.append((name, channel))
    if not usable:
        remedy = "download the usage of electricity, gas or propane" + (", or leave out --fuel" if fuel else "")
        raise InputError(Fault("ReadingType", "; ".join(passed).replace("; ", ", "), remedy, file))
    return usable, passed


def _one_channel(channels: list[Channel], fuel: str, file: str) -> tuple[Channel, list[str]]:
    """Take the meter that covers most, the finest first; others of its usage point repeat it, other points are refused.

    Raises
    ------
    InputError
        Meters of two usage points run at the same time.
    """
    for first, other in combinations(channels, 2):
        if first.point != other.point and _together_s(first, other) > WHOLE_DAY_S:
            what = f"two meters of {FUELS[fuel].title.lower()} run at the same time: {_listed(channels)}"
            remedy = "choose the one that heats the house with --meter and its number"
            raise InputError(Fault("UsagePoint", what, remedy, file, "meter", _answers(channels)))
    taken: list[Channel] = []
    for channel in sorted(channels, key=_rank, reverse=True):
        if all(_together_s(channel, other) <= WHOLE_DAY_S for other in taken):
            taken.append(channel)
    notes = []
    if len(channels) > len(taken):
        notes.append(f"{len(channels) - len(taken)} further series of the same meter repeat it and were passed over")
    if len({channel.reads.uom for channel in taken}) > 1:
        remedy = "download them one by one and give both files"
        raise InputError(Fault("ReadingType", "the meter was replaced by one with another unit", remedy, file))
    return _chained(sorted(taken, key=lambda channel: int(channel.start_s[0]))), notes


def _together_s(channel: Channel, other: Channel) -> int:
    return min(_end(channel), _end(other)) - max(int(channel.start_s[0]), int(other.start_s[0]))


def _rank(channel: Channel) -> tuple[int, float]:
    """Sort key whose last is best: days covered, then shortness of the readings."""
    return int(channel.length_s.sum()) // WHOLE_DAY_S, -float(np.median(channel.length_s))


def _end(channel: Channel) -> int:
    return int((channel.start_s + channel.length_s).max())


def _chained(parts: list[Channel]) -> Channel:
    def put(name: str) -> np.ndarray:
        return np.concatenate([getattr(part, name) for part in parts])

    first = parts[0]
    arrays = (put("start_s"), put("length_s"), put("value"), put("estimated"))
    costs = [np.full(len(part.value), np.nan) if part.cost is None else part.cost for part in parts]
    return Channel(first.point, first.meter, first.service, first.reads, *arrays, first.title, np.concatenate(costs))


def _joule(channel: Channel, fuel: str, content_j: float | None, file: str, notes: list[str]) -> Floats:
    """Energy of each reading (n,) [J]."""
    unit = UNITS[channel.reads.uom]
    per_unit = conversion(unit, fuel, content_j if unit in ("m3", "ft3", "gal", "imp_gal", "L") else None, file)
    if (channel.value < 0).any():
        what = f"{int((channel.value < 0).sum()):,} readings are negative, as where a house feeds the grid"
        raise InputError(Fault("value", what, "download what was delivered to the house alone", file))
    notes.append(f"amounts in {unit} times ten to the power of {channel.reads.power_of_ten}")
    if per_unit.note:
        notes.append(per_unit.note)
    return channel.value * per_unit.joule_per_unit


def readings_to_bills(
    channel: Channel, energy: Floats, time: LocalTime | ReadClock | ZoneTime, fuel: str, file: str, notes: list[str]
) -> Bills:
    """Make bills of readings over weeks or months, and the use of each day of shorter ones.

    Parameters
    ----------
    channel : Channel
    energy : array (n,)
        Of each reading [J].
    time : LocalTime, ReadClock or ZoneTime
        Clock by which days begin.
    fuel, file : str
        Key of `FUELS`; name for messages.
    notes : list of str
        What has been told so far.

    Raises
    ------
    InputError
        Days are missing or counted twice, or not one is whole.
    """
    typical = float(np.median(channel.length_s))
    notes = [f"{len(energy):,} readings of {_long(typical)}", *notes]
    if not time.known:
        notes.append("the file does not tell its time zone, so days begin at midnight UTC")
    start, length, energy, flags = _once(channel, energy, notes)
    if typical > 2 * WHOLE_DAY_S:
        return _billed(time.clock(start), length, energy, flags, fuel, file, notes)
    return _daily(start, time.clock(start), length, energy, flags, fuel, file, notes)


def _long(seconds: float) -> str:
    return f"{seconds / WHOLE_DAY_S:.3g} days" if seconds > WHOLE_DAY_S else f"{seconds / 60:g} minutes"


def _once(channel: Channel, energy: Floats, notes: list[str]) -> tuple[Ints, Ints, Floats, Bools]:
    """Readings without those that come twice, of which the later one in the file stands, and without length."""
    start, length, flags = channel.start_s, channel.length_s, channel.estimated
    empty = np.flatnonzero(length == 0)
    if len(empty):
        energy, kept = energy.copy(), np.flatnonzero(length > 0)
        into = kept[np.minimum(np.searchsorted(start[kept], start[empty]), len(kept) - 1)]
        np.add.at(energy, into, energy[empty])
        start, length, energy, flags = start[kept], length[kept], energy[kept], flags[kept]
        notes.append(
            f"{len(empty):,} readings of 0 s, as some files write them where the clock is set, were added to the next one"
        )
    keep = np.flatnonzero(np.append(start[1:] != start[:-1], True))
    if len(keep) < len(start):
        notes.append(f"{len(start) - len(keep):,} readings come twice; the later one in the file counts")
    return start[keep], length[keep], energy[keep], flags[keep]


def _billed(
    clock: Ints, length: Ints, energy: Floats, flags: Bools, fuel: str, file: str,
    notes: list[str],
) -> Bills:  # fmt: skip
    """Bills of readings over weeks or months, from the midnight nearest to each start to that nearest to each end."""
    half = WHOLE_DAY_S // 2
    start = ((clock + half) // WHOLE_DAY_S).astype("datetime64[D]")
    end = ((clock + length + half) // WHOLE_DAY_S).astype("datetime64[D]")
    lines = np.zeros(len(start), dtype=np.int64)
    raise_faults(span_faults(file, start, end, lines.tolist(), notes))
    start, end, energy, merged, lines = merge_estimated(start, end, energy, flags, lines, notes)
    if not len(start):
        raise InputError(Fault("quality", "all readings are estimated", "wait for a reading that is none", file))
    return Bills(file, fuel, start, end, energy, merged, lines, tuple(notes))


@dataclass(frozen=True, slots=True, eq=False)
class _Sums:
    """Sums of steps in a row (n,): energy [J], seconds read, seconds of estimated readings."""

    first: int
    energy_j: Floats
    read_s: Floats
    estimated_s: Floats


def _summed(clock: Ints, length: Ints, energy: Floats, flags: Bools, step_s: int) -> _Sums:
    """Sum readings into days or hours by the middle of each reading."""
    at = (clock + length // 2) // step_s
    first, count = int(at.min()), int(at.max() - at.min()) + 1
    rows = at - first

    def put(values: Floats) -> Floats:
        return np.bincount(rows, weights=values, minlength=count).astype(np.float64)

    return _Sums(first, put(energy), put(length.astype(np.float64)), put(np.where(flags, length, 0).astype(np.float64)))


def _daily(
    start: Ints, clock: Ints, length: Ints, energy: Floats, flags: Bools,
    fuel: str, file: str, notes: list[str],
) -> Bills:  # fmt: skip
    """Use of each day; days read for the most part are scaled up, up to three missing in a row take their neighbours' mean."""
    sums = _summed(clock, length, energy, flags, WHOLE_DAY_S)
    good = sums.read_s >= LEAST_OF_DAY * WHOLE_DAY_S
    if not good.any():
        raise InputError(Fault("IntervalReading", "not one day is read as a whole", "download a year at least", file))
    lasts = day_lengths(start, clock, length, sums.first, len(good), notes)
    lacks = good & (sums.read_s < lasts * (1.0 - MOST_LACKING))
    inside = without_begun(good, lacks, sums.first, notes)
    share, use, estimated = sums.read_s[inside] / WHOLE_DAY_S, sums.energy_j[inside].copy(), sums.estimated_s[inside]
    good, part = good[inside], lacks[inside]
    days: Days = (sums.first + np.arange(inside.start, inside.stop)).astype("datetime64[D]")
    raise_faults(_day_faults(days, share, good, file))
    use[part] *= lasts[inside][part] / sums.read_s[inside][part]
    use[~good] = np.interp(np.flatnonzero(~good), np.flatnonzero(good), use[good])
    for count, what in (
        (part.sum(), "read in part and scaled up"),
        ((~good).sum(), "not read and take their neighbours' mean"),
    ):
        if count:
            notes.append(f"{int(count):,} {'day was' if count == 1 else 'days were'} {what}")
    if (guessed := int((estimated > WHOLE_DAY_S / 2).sum())) > 0:
        notes.append(f"{guessed:,} days rest on estimated readings for the most part")
    lines = np.zeros(len(days), dtype=np.int64)
    return Bills(file, fuel, days, days + DAY, use, estimated > WHOLE_DAY_S / 2, lines, tuple(notes))


def _day_faults(days: Days, share: Floats, good: Bools, file: str) -> list[Fault]:
    faults = []
    edges = np.flatnonzero(np.diff(np.concatenate(([0], (~good).astype(np.int8), [0]))))
    for first, end in zip(edges[::2], edges[1::2], strict=True):
        if end - first > LONGEST_FILLED_D:
            what = f"no readings cover the {end - first} days from {days[first]}"
            remedy = f"up to {LONGEST_FILLED_D} days in a row are filled; download the missing ones, or one side only"
            faults.append(Fault("IntervalReading", what, remedy, file))
    double = np.flatnonzero(share > 1.0 + 1.5 / 24.0)
    if len(double):
        what = f"readings overlap on {len(double):,} days, the first on {days[double[0]]}"
        faults.append(Fault("IntervalReading", what, "download one series of readings alone", file))
    return faults


def read_hours(path: str | Path, *, content: IO[bytes] | None = None) -> tuple[Floats, list[str]]:
    """Electricity of each hour of a year, in standard time (8760,) or (8784,) [J], and what was folded or filled.

    Raises
    ------
    InputError
        The file holds no year of readings of an hour or shorter.
    """
    file = Path(path).name
    channels, time = read_channels(path, content=content)
    usable, _ = _sorted_out(channels, "electricity", file)
    fine = [channel for _, channel in usable if np.median(channel.length_s) <= WHOLE_HOUR_S]
    if not fine:
        raise InputError(
            Fault("IntervalReading", "has no readings of an hour or shorter", "download interval data", file)
        )
    channel, notes = _one_channel(fine, "electricity", file)
    return readings_to_year(channel, _joule(channel, "electricity", None, file, notes), time, file)


def readings_to_year(
    channel: Channel, energy: Floats, time: LocalTime | ReadClock, file: str
) -> tuple[Floats, list[str]]:
    """Put readings of an hour or shorter into a year of hours; see `costsim.bills.year`.

    Raises
    ------
    InputError
        More than a day of the year was not read.
    """
    notes: list[str] = []
    start, length, energy, flags = _once(channel, energy, notes)
    parts = np.maximum(-(-length // WHOLE_HOUR_S), 1)  # a reading over the hour that a set clock leaves out lies in two
    nth = np.arange(parts.sum()) - np.repeat(np.cumsum(parts) - parts, parts)
    each = np.repeat(length // parts, parts)
    start = np.repeat(time.standard(start), parts) + nth * each
    sums = _summed(start, each, np.repeat(energy / parts, parts), np.repeat(flags, parts), WHOLE_HOUR_S)
    hours = (sums.first + np.arange(len(sums.energy_j))).astype("datetime64[h]")
    year, year_notes, count = year_of_hours(hours, sums.energy_j, np.abs(sums.read_s - WHOLE_HOUR_S) < 1.0)
    if year is None:
        what = f"holds no whole year; {count:,} of the year's 8,760 hours were read"
        raise InputError(Fault("IntervalReading", what, "download twelve months of hours, or shorter readings", file))
    return year, [*notes, *year_notes]
