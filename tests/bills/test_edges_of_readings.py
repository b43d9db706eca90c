"""Readings of meters on both sides of every limit: what counts, what is filled, what is refused, and on which clock."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from bills.test_readers_csv import lines_of

from costsim.bills.columns import Table
from costsim.bills.green_button import Channel, ReadingType
from costsim.bills.intervals import (
    _of_meter,
    _once,
    _one_channel,
    _sorted_out,
    readings_to_bills,
    readings_to_year,
)
from costsim.bills.local_time import LocalTime
from costsim.bills.meters_beside import on_one_register, one_meter
from costsim.bills.sheet import table_of
from costsim.bills.times import Times, times_of
from costsim.bills.unfold import unfolded
from costsim.bills.whole_days import day_lengths, without_begun
from costsim.bills.zone import on_clock, zone_time
from costsim.errors import InputError

DAY, HOUR = 86400, 3600
JAN = 1704067200  # 1 January 2024, UTC
UTC = LocalTime(known=True)


def channel(
    start: Any, length: Any = HOUR, value: Any = 1.0, *, point: str = "p", flags: Any = False, **codes: int
) -> Channel:
    """Readings of one meter; electricity in Wh by default."""
    at = np.asarray(start, dtype=np.int64)
    service = codes.pop("service", -1)
    kinds = ReadingType(**{"uom": 72, "commodity": 1, **codes})
    full = [
        np.broadcast_to(np.asarray(one), at.shape).copy() for one in (length, np.asarray(value, dtype=float), flags)
    ]
    return Channel(
        point, "m", service, kinds, at, full[0].astype(np.int64), full[1], full[2].astype(bool), f"the {point}"
    )


def hours(days: float, first: int = JAN) -> np.ndarray:
    return first + np.arange(round(days * 24)) * HOUR


def told(call: Any, *args: Any, **more: Any) -> str:
    with pytest.raises(InputError) as caught:
        call(*args, **more)
    return str(caught.value)


def test_meters_of_other_fuels_and_of_what_is_fed_in_are_passed_over_beside_one_that_counts() -> None:
    assert "passed over: 1 readings of natural gas" in told(
        _sorted_out, [channel([JAN], commodity=7)], "electricity", "f"
    )
    both, passed = _sorted_out([channel([JAN]), channel([JAN], flow=19)], "", "f")
    assert (len(both), passed) == (1, ["passed over: 1 readings of energy fed into the grid"])


def test_meters_are_chosen_by_number_title_or_part() -> None:
    two = [
        channel([JAN], point="UsagePoint/11"),
        channel([JAN], point="UsagePoint/12"),
        channel([JAN], point="UsagePoint/11"),
    ]
    assert _of_meter(two, "", "f") is two
    for asked, count in (("1", 2), ("2", 1), ("the usagepoint/12", 1), ("/11", 2), ("UsagePoint/12", 1)):
        assert len(_of_meter(two, asked, "f")) == count
    for asked, what in (("0", "none"), ("3", "none"), ("usage", "more than one"), ("house", "none")):
        assert f"'{asked}' is {what} of its meters: 1 ('the UsagePoint/11', UsagePoint/11: 1 readings, 1 Wh)" in told(
            _of_meter, two, asked, "f"
        )


def test_meters_that_follow_one_another_are_chained_up_to_a_day_of_overlap() -> None:
    first = channel(hours(10))
    for over, refused in ((DAY, False), (DAY + HOUR, True)):
        other = channel(hours(10, JAN + 10 * DAY - over), point="q")
        if refused:
            assert "two meters of electricity run at the same time" in told(
                _one_channel, [first, other], "electricity", "f"
            )
        else:
            assert len(_one_channel([other, first], "electricity", "f")[0].value) == 480
    half = channel(JAN + np.arange(480) * 1800, 1800)
    taken, notes = _one_channel([first, half], "electricity", "f")
    assert (len(taken.value), notes) == (480, ["1 further series of the same meter repeat it and were passed over"])
    longer = channel(hours(12))
    assert len(_one_channel([half, longer], "electricity", "f")[0].value) == 288
    other_unit = channel(hours(10, JAN + 20 * DAY), uom=31)
    assert "replaced by one with another unit" in told(_one_channel, [first, other_unit], "electricity", "f")


def test_readings_that_come_twice_or_last_no_time() -> None:
    notes: list[str] = []
    twice = channel([JAN, JAN, JAN + HOUR], value=[1.0, 2.0, 3.0])
    start, _, energy, _ = _once(twice, twice.value, notes)
    assert (start.tolist(), energy.tolist()) == ([JAN, JAN + HOUR], [2.0, 3.0])
    empty = channel([JAN, JAN + 1800, JAN + HOUR, JAN + 3 * HOUR], [HOUR, 0, HOUR, 0], [1.0, 0.5, 2.0, 0.25])
    start, _, energy, _ = _once(empty, empty.value, notes)
    assert (start.tolist(), energy.tolist()) == ([JAN, JAN + HOUR], [1.0, 2.75])
    assert [note[:2] for note in notes] == ["1 ", "2 "]


def test_days_are_whole_filled_or_refused() -> None:
    def days(one: Channel) -> Any:
        return readings_to_bills(one, one.value * 3600.0, UTC, "electricity", "f", [])

    whole = hours(10)
    assert days(channel(whole)).energy_j.tolist() == [24 * 3600.0] * 10
    # eighteen of twenty-four hours are three quarters of a day, and are scaled up; one less is no day
    for gone, notes in (
        (6, "1 day was read in part and scaled up"),
        (7, "1 day was not read and take their neighbours' mean"),
    ):
        found = days(channel(np.delete(whole, np.arange(100, 100 + gone))))
        assert found.energy_j == pytest.approx([24 * 3600.0] * 10)
        assert notes in found.notes
    for lost, filled in ((3, True), (4, False)):
        some = channel(np.delete(whole, np.arange(48, 48 + 24 * lost)))
        if filled:
            assert "3 days were not read and take their neighbours' mean" in days(some).notes
        else:
            assert "no readings cover the 4 days from 2024-01-03" in told(days, some)
    # an hour and a half more than a day are two ways to write one; more overlap
    extra = np.sort(np.concatenate([whole, [JAN + 5 * DAY + 1800]]))
    assert len(days(channel(extra)).energy_j) == 10
    double = np.sort(np.concatenate([whole, JAN + 5 * DAY + 1800 + np.arange(2) * HOUR]))
    assert "readings overlap on 1 days, the first on 2024-01-06" in told(days, channel(double))
    assert "not one day is read as a whole" in told(days, channel(hours(0.7)))
    guessed = np.zeros(240, dtype=bool)
    guessed[24:37] = guessed[48:60] = True
    found = days(channel(whole, flags=guessed))
    assert found.estimated.tolist() == [False, True, *[False] * 8]
    assert "1 days rest on estimated readings for the most part" in found.notes
    # an end of the file that has only begun is left out
    late = days(channel(whole[2:]))
    assert (late.n_periods, str(late.start_day[0])) == (9, "2024-01-02")
    assert any("2024-01-01 was read in part, at an end of the file" in note for note in late.notes)
    # up to two days are readings, more are bills
    assert "readings overlap" in told(days, channel(JAN + np.arange(5) * 2 * DAY, 2 * DAY))
    weeks = days(channel(JAN + np.arange(5) * 7 * DAY + 40000, 7 * DAY, 7.0))
    assert (weeks.n_periods, str(weeks.start_day[0]), weeks.energy_j[0]) == (5, "2024-01-01", 7 * 3600.0)
    assert str(days(channel(JAN + np.arange(5) * 7 * DAY + 43200, 7 * DAY)).start_day[0]) == "2024-01-02"
    flagged = np.array([True, False, False, True, True])
    assert days(channel(JAN + np.arange(5) * 7 * DAY, 7 * DAY, flags=flagged)).n_periods == 2
    assert "all readings are estimated" in told(days, channel(JAN + np.arange(5) * 7 * DAY, 7 * DAY, flags=True))
    assert "the file does not tell its time zone" in " ".join(
        readings_to_bills(channel(whole), np.ones(240), LocalTime(), "electricity", "f", []).notes
    )


def test_days_with_a_change_of_the_clock_have_their_own_length() -> None:
    start = JAN + np.arange(96) * HOUR
    clock = start + np.where(start >= JAN + DAY + 2 * HOUR, HOUR, 0)
    assert day_lengths(start, clock, np.full(96, HOUR), JAN // DAY, 4, []).tolist() == [DAY, DAY - HOUR, DAY, DAY]
    clock = start - np.where(start >= JAN + DAY + 2 * HOUR, HOUR, 0)
    assert day_lengths(start, clock, np.full(96, HOUR), JAN // DAY, 4, [])[1] == DAY + HOUR
    daily = JAN + np.arange(4) * DAY
    assert day_lengths(daily, daily + np.array([0, 0, HOUR, HOUR]), np.full(4, DAY), JAN // DAY, 4, []).tolist() == [
        DAY,
        DAY - HOUR,
        DAY,
        DAY,
    ]

    def lacking(day: str, hour: int) -> list[float]:
        first = int(np.datetime64(day, "s").astype(int)) - DAY
        at = np.delete(first + np.arange(72) * HOUR, 24 + hour)
        return day_lengths(at, at, np.full(71, HOUR), first // DAY, 3, []).tolist()

    whole, short = [DAY] * 3, [DAY, DAY - HOUR, DAY]
    assert (lacking("2024-03-31", 2), lacking("2024-03-31", 3), lacking("2024-03-31", 4), lacking("2024-04-01", 2)) == (
        short,
        short,
        whole,
        whole,
    )
    assert (lacking("2024-04-26", 0), lacking("2024-06-26", 0), lacking("2024-03-01", 0), lacking("2024-05-03", 0)) == (
        short,
        whole,
        short,
        whole,
    )
    notes: list[str] = []
    good = np.array([True] * 4)
    for lacks, span in (
        ([0, 0, 0, 0], slice(0, 4)),
        ([1, 0, 0, 1], slice(1, 3)),
        ([1, 0, 0, 0], slice(1, 4)),
        ([0, 0, 0, 1], slice(0, 3)),
        ([0, 1, 1, 0], slice(0, 4)),
    ):
        assert without_begun(good, np.array(lacks, dtype=bool), 19723, notes) == span
    assert notes[0] == "2024-01-01 and 2024-01-04 were read in part, at an end of the file, and left out"


def test_a_year_of_hours_from_shorter_and_longer_readings() -> None:
    quarter = channel(JAN - 365 * DAY + np.arange(4 * 8760) * 900, 900)
    year, _ = readings_to_year(quarter, quarter.value, UTC, "f")
    assert (len(year), set(year.tolist())) == (8760, {4.0})
    long = channel(
        [JAN - 365 * DAY, *(JAN - 365 * DAY + 2 * HOUR + np.arange(8758) * HOUR)], [2 * HOUR, *[HOUR] * 8758]
    )
    year, _ = readings_to_year(long, long.value * 2, UTC, "f")
    assert year[:3].tolist() == [1.0, 1.0, 2.0]
    some = channel(JAN - 365 * DAY + np.arange(8000) * HOUR)
    assert "holds no whole year; 8,000 of the year's 8,760 hours were read" in told(
        readings_to_year, some, some.value, UTC, "f"
    )


def test_times_are_starts_or_ends_of_readings() -> None:
    def laid(seconds: Any, lone: str = "date", **more: Any) -> tuple[list[int], list[int], list[str]]:
        notes: list[str] = []
        at = np.asarray(seconds, dtype=np.int64)
        start, length, _, _ = unfolded(Times(at, more.get("end"), more.get("offset"), True), lone, notes)
        return (start - JAN).tolist()[:2], length.tolist()[:2], notes

    even = JAN + np.arange(48) * HOUR
    assert laid(even)[0] == [0, HOUR]
    assert laid(even + HOUR)[0] == [0, HOUR]  # begins at one: the end of the first hour of the day
    assert laid(even, "end")[0] == [-HOUR, 0]
    assert laid(even + HOUR, "start")[0] == [HOUR, 2 * HOUR]
    assert laid(JAN + 5 * HOUR + np.arange(20) * HOUR)[0] == [4 * HOUR, 5 * HOUR]  # the last one is midnight
    assert laid(JAN + 5 * HOUR + np.arange(21) * HOUR)[0] == [5 * HOUR, 6 * HOUR]
    for short in (60, 1):
        start, _, notes = laid(even + HOUR - short)
        assert (start, notes) == ([0, HOUR], ["each time is taken as the last moment of its reading"])
    assert laid(even + HOUR - 120)[0] == [HOUR - 120, 2 * HOUR - 120]
    minutes = JAN + np.arange(60) * 60
    assert laid(minutes)[0] == [0, 60]
    assert laid(even[::-1])[0] == [0, HOUR]
    for short in (0, 1, 60):
        assert laid(even, end=even + HOUR - short)[1] == [HOUR, HOUR]
    assert laid(even, end=even + HOUR - 61)[1] == [HOUR - 61, HOUR - 61]
    odd = even + HOUR
    odd[0], odd[1] = even[0] + 3 * HOUR, even[1] - 5
    assert laid(even, end=odd)[1] == [HOUR, HOUR]  # cut at the next one; none that ends before it begins


def test_numbers_of_hours_and_times_over_midnight() -> None:
    def times(head: str, *rows: str) -> Times | None:
        one = table_of("\n".join([head, *rows]), [], "f")
        faults: list[Any] = []
        found = times_of(one, "f", faults)
        assert not faults, faults
        return found

    for most, first, step in (
        (24, 1, 3600),
        (23, 0, 3600),
        (48, 1, 1800),
        (96, 1, 900),
        (25, 1, 3600),
        (50, 1, 1800),
        (100, 1, 900),
    ):
        rows = [f"2024-01-{day:02d},{hour},1.5" for day in (1, 2) for hour in range(first, most + 1)]
        found = times("Date,Hour,Usage (kWh)", *rows)
        assert found is not None
        assert (found.start_s[0] - JAN, found.end_s[0] - JAN, found.start_s[1] - JAN) == (0, step, step)
    rows = [f"2024-01-{day:02d},{hour}:00,{(hour + 1) % 24}:00,1.5" for day in (1, 2) for hour in range(24)]
    found = times("Date,Start Time,End Time,Usage (kWh)", *rows)
    assert set((found.end_s - found.start_s).tolist()) == {HOUR}
    daily = times("Date,Start Time,End Time,Usage (kWh)", *(f"2024-01-{day:02d},0:00,0:00,1.5" for day in range(1, 20)))
    assert set((daily.end_s - daily.start_s).tolist()) == {DAY}
    assert (
        "'25:00' is no time of day"
        in lines_of(
            "Date,Time,Usage (kWh)\n2024-01-01,1:00,5\n2024-01-01,2:00,5\n2024-01-02,25:00,5\n2024-01-02,2:00,4"
        )[0]
    )


def test_clocks_by_name() -> None:
    zone = zone_time("America/Chicago")
    summer = np.array(
        [
            int(np.datetime64(text, "s").astype(int))
            for text in ("2024-11-03T01:30", "2024-11-03T01:30", "2024-11-03T02:30", "2024-07-01T00:00")
        ]
    )
    assert ((summer - zone.utc(summer)) // HOUR).tolist() == [-5, -6, -6, -5]
    assert (zone.standard(summer) - summer).tolist() == [-6 * HOUR] * 4
    assert len(zone.standard(np.zeros(0, dtype=np.int64))) == 0
    notes: list[str] = []
    plain = Times(summer[2:], None, None, True)
    assert on_clock(plain, "", False, notes) is plain
    turned = on_clock(Times(np.array([JAN]), np.array([JAN + HOUR]), None, True), "America/Chicago", True, notes)
    assert (turned.start_s[0] - JAN, turned.end_s[0] - JAN, turned.offset_s[0]) == (-6 * HOUR, -5 * HOUR, -6 * HOUR)
    assert notes == ["times were turned into the clock of America/Chicago"]
    assert "'Mars/Base' is no time zone" in told(zone_time, "Mars/Base")


def test_several_meters_in_one_table() -> None:
    def table(*rows: str) -> Table:
        return Table(
            [row.split(",") for row in rows],
            list(range(2, 2 + len(rows))),
            ["Meter", "Date", "kWh"],
            {"meter": 0, "date": 1, "amount": 2},
        )

    one = table("A-1,2024-01-01,5", "B-2,2024-01-01,6", "A-1,2024-01-02,7")
    assert "2 meters run at the same time: 'A-1' (2 rows), 'B-2' (1 rows)" in told(one_meter, one, "", "f")
    for asked, rows in (("A-1", 2), ("b", 1), ("2", 1)):
        some = table("A-1,2024-01-01,5", "B-2,2024-01-01,6", "A-1,2024-01-02,7")
        one_meter(some, asked, "f")
        assert len(some.rows) == rows
    for asked, what in (("0", "none"), ("3", "none"), ("-", "more than one")):
        assert f"'{asked}' is {what} of its meters: 'A-1', 'B-2'" in told(one_meter, one, asked, "f")
    handed = table("A,2024-01-01,5", "A,2024-01-02,6", "B,2024-01-02,0", "B,2024-01-03,3")
    one_meter(handed, "", "f")
    assert handed.notes == ["2 meters follow one another and were joined"]
    handed.register = True
    states = on_one_register(handed, np.array([5.0, 6.0, 100.0, 103.0]))
    assert (states.tolist(), handed.lines) == ([5.0, 6.0, 9.0], [2, 3, 5])
