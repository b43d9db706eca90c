"""Clocks set on any day, files in UTC, seconds since 1970, months side by side, quarters, registers that roll over, money."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from bills.espi import feed, meter, reading, reads

from costsim.bills.intervals import read_green_button
from costsim.bills.model import Bills, joined
from costsim.bills.read import read_bills
from costsim.bills.readers_csv import read_bills_csv
from costsim.errors import InputError

KWH_J, THERM_J = 3.6e6, 105.505585262e6


def table(*rows: str, name: str = "use.csv", **more) -> Bills:
    [found] = read_bills_csv(name, content="\n".join(rows).encode(), **more)
    return found


def local_hours(zone: str, first: date, days: int) -> tuple[list[datetime], dict[date, float]]:
    """Moments of every hour in UTC, of amounts 1, 2, … kWh, and what each local day uses [J]."""
    tz = ZoneInfo(zone)
    begin = datetime(first.year, first.month, first.day, tzinfo=tz).astimezone(UTC)
    last = first + timedelta(days=days)
    end = datetime(last.year, last.month, last.day, tzinfo=tz).astimezone(UTC)
    moments = [begin + timedelta(hours=i) for i in range(int((end - begin).total_seconds()) // 3600)]
    truth: dict[date, float] = {}
    for nth, moment in enumerate(moments, 1):
        day = moment.astimezone(tz).date()
        truth[day] = truth.get(day, 0.0) + nth * KWH_J
    return moments, truth


def by_day(bills: Bills) -> dict[date, float]:
    return dict(zip(bills.start_day.tolist(), bills.energy_j.tolist(), strict=True))


@pytest.mark.parametrize(
    ("zone", "first"),
    [
        ("America/Chicago", date(2021, 10, 20)),
        pytest.param("Asia/Amman", date(2021, 10, 10), marks=pytest.mark.long),
        ("Asia/Tehran", date(2021, 9, 10)),
    ],
)
def test_each_way_of_telling_the_clock_gives_the_same_days(zone: str, first: date) -> None:
    moments, truth = local_hours(zone, first, 30)
    tz = ZoneInfo(zone)
    epoch = table(
        "Timestamp,Usage (kWh)", *(f"{int(at.timestamp())},{n}" for n, at in enumerate(moments, 1)), zone=zone
    )
    milli = table("epoch,kWh", *(f"{int(at.timestamp())}000,{n}" for n, at in enumerate(moments, 1)), zone=zone)
    utc = table("Start (UTC),kWh", *(f"{at:%Y-%m-%d %H:%M},{n}" for n, at in enumerate(moments, 1)), zone=zone)
    told = table("Start,kWh", *(f"{at:%Y-%m-%d %H:%M},{n}" for n, at in enumerate(moments, 1)), zone=zone, utc=True)
    wall = [f"{at.astimezone(tz):%Y-%m-%d %H:%M},{n}" for n, at in enumerate(moments, 1)]
    named = table("Start,kWh", *wall, zone=zone)
    found = table("Start,kWh", *wall)
    for bills in (epoch, milli, utc, told, named, found):
        assert by_day(bills) == pytest.approx(truth), bills.notes


def test_a_zone_that_is_none_is_one_line() -> None:
    with pytest.raises(InputError, match="'Mars/Base' is no time zone; write it like America/Chicago"):
        table("Start,kWh", *(f"2021-01-01 {hour:02}:00,1" for hour in range(24)), zone="Mars/Base")


MONTHS = [f"{2019 + i // 12}-{i % 12 + 1:02}" for i in range(24)]
USE = [310.0 - 10 * i for i in range(24)]
NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@pytest.mark.parametrize(
    "rows",
    [
        ["Gas use (therms)", "Year," + ",".join(NAMES), *(f"{2019 + y}," + ",".join(f"{u:g}" for u in USE[12 * y : 12 * y + 12]) for y in (0, 1))],
        ["Usage (therm),2019,2020", *(f"{NAMES[m]},{USE[m]:g},{USE[12 + m]:g}" for m in range(12))],
        [
            "," + ",".join(f"{NAMES[i % 12]} {2019 + i // 12}" for i in range(24)),
            "Usage (therm)," + ",".join(f"{u:g}" for u in USE),
        ],
        ["Month,usage (therm)", *(f"{month},{use:g}" for month, use in zip(MONTHS, USE, strict=True))],
    ],
)  # fmt: skip
def test_months_in_every_arrangement(rows: list[str]) -> None:
    bills = table(*rows)
    assert bills.start_day.astype("datetime64[M]").astype(str).tolist() == MONTHS
    assert bills.energy_j == pytest.approx(np.array(USE) * THERM_J)


@pytest.mark.parametrize(
    "names",
    [
        [f"Q{q} {y}" for y in (2019, 2020) for q in (1, 2, 3, 4)],
        [f"{y}-Q{q}" for y in (2019, 2020) for q in (1, 2, 3, 4)],
        [f"{q}Q{y - 2000}" for y in (2019, 2020) for q in (1, 2, 3, 4)],
    ],
)
def test_quarters(names: list[str]) -> None:
    bills = table("Quarter,usage (therm)", *(f"{name},{100 + i}" for i, name in enumerate(names)))
    assert [str(day) for day in bills.start_day[[0, 3]]] == ["2019-01-01", "2019-10-01"]
    assert str(bills.end_day[-1]) == "2021-01-01"
    assert bills.energy_j == pytest.approx(THERM_J * np.arange(100, 108))


@pytest.mark.parametrize(
    ("zone", "day"),
    [("Asia/Amman", "2021-03-25"), ("America/Chicago", "2021-03-14"), ("America/Chicago", "2021-11-07")],
)
def test_a_file_in_utc_that_ends_where_the_clock_is_set_loses_and_doubles_nothing(zone: str, day: str) -> None:
    """Mean power of 1 kW in every hour up to the one in which the clock is set, with starts and ends in UTC."""
    moments, _ = local_hours(zone, date.fromisoformat(day) - timedelta(days=2), 3)
    for last in (len(moments), len(moments) - 21):
        rows = [f"{at:%Y-%m-%d %H:%M},{at + timedelta(hours=1):%Y-%m-%d %H:%M},1" for at in moments[:last]]
        bills = table("Start (UTC),End (UTC),Use (kW)", *rows, zone=zone)
        whole = np.array([24.0, 24.0, len(moments) - 48.0])[: bills.n_periods]
        assert bills.energy_j == pytest.approx(KWH_J * whole)


def test_quarters_in_a_column_of_their_own() -> None:
    rows = [f"{y},{q},{100 * q}" for y in (2019, 2020) for q in (1, 2, 3, 4)]
    bills = table("Year,Quarter,usage (therm)", *rows)
    assert str(bills.start_day[1]) == "2019-04-01"
    assert bills.energy_j == pytest.approx(THERM_J * np.tile([100.0, 200, 300, 400], 2))


def test_a_monthly_register_rolls_over() -> None:
    states = [9530, 9720, 9850, 20, 210, 400]
    rows = [f"2021-{month:02}-01,{state}" for month, state in enumerate(states, 1)]
    bills = table("Date,Meter Reading (therm)", *rows)
    assert bills.energy_j == pytest.approx(THERM_J * np.array([190, 130, 170, 190, 190.0]))
    assert any("rolls over at line 5, from 9850 to 20" in note for note in bills.notes)


def test_a_register_goes_on_with_a_new_meter_and_the_days_of_the_change_are_left_out() -> None:
    """Six thousand, then from zero: what the old meter still counted is not known; a wrong reading is no new meter."""
    rows = [f"{2020 + m // 12}-{m % 12 + 1:02}-01" for m in range(24)]
    states = [5000 + 150 * m if m < 12 else 20 + 150 * (m - 12) for m in range(24)]
    bills = table("Date,Meter Reading (therm)", *(f"{a},{b}" for a, b in zip(rows, states, strict=True)))
    assert bills.n_periods == 22
    assert bills.energy_j == pytest.approx(150 * THERM_J)
    assert "2020-12-01" not in bills.start_day.astype(str)
    assert any("falls from 6650 to 20 at line 14, as where the meter was replaced" in note for note in bills.notes)
    assert any("no bill covers 31 days (2020-12-01 to 2020-12-31)" in note for note in bills.notes)
    hours = [
        f"2021-01-{1 + h // 24:02} {h % 24:02}:00,{1000 + 2 * h if h < 100 else 2 * (h - 100)}" for h in range(241)
    ]
    days = table("Time,Register (kWh)", *hours)
    assert days.energy_j == pytest.approx(48 * KWH_J)  # of 23 hours, scaled to 24, which is told
    assert "1 day was read in part and scaled up" in days.notes
    wrong = [b if m != 5 else b - 300 for m, b in enumerate(range(5000, 6800, 150))]
    with pytest.raises(
        InputError, match="line 7: the register falls from 5600 to 5450; correct the reading; a replaced meter"
    ):
        table("Date,Meter Reading (therm)", *(f"{a},{b}" for a, b in zip(rows, wrong, strict=False)))


def test_twelve_days_that_may_be_twelve_months_are_one_question() -> None:
    """Ten rows dated 01/05 to 10/05: months by their fifth, or the first ten days of May."""
    days = [f"{number:02}/05/2021,{100 + number}" for number in range(1, 11)]
    with pytest.raises(InputError) as caught:
        table("Date,usage (therm)", *days)
    (one,) = str(caught.value).split("\n")
    assert "'01/05/2021' can be read as 2021-01-05 or as 2021-05-01" in one
    assert "say it with --date-order mdy or dmy" in one
    assert str(table("Date,usage (therm)", *days, order="mdy").start_day[1]) == "2021-02-05"
    assert str(table("Date,usage (therm)", *days, order="dmy").start_day[1]) == "2021-05-02"
    assert str(table("Bill Date,usage (therm)", *days).start_day[1]) == "2021-02-05"
    assert str(table("Date,Daily usage (therm)", *days).start_day[1]) == "2021-05-02"
    longs = [31, 31, 28, 31, 30, 31, 30, 31, 31, 30]
    rows = [f"{row[:10]},{long},{row[11:]}" for row, long in zip(days, longs, strict=True)]
    assert str(table("Date,Days,usage (therm)", *rows).end_day[1]) == "2021-02-05"
    with pytest.raises(InputError, match="'31/05/2021' is no date"):
        table("Date,usage (therm)", "31/05/2021,3", "30/06/2021,3", "31/07/2021,3", order="mdy")


def test_two_files_may_hold_the_same_rows_once_and_other_rows_of_the_same_days_are_one_line() -> None:
    rows = [f"2021-{m:02}-01,2021-{m + 1:02}-01,{100 + m}" for m in range(1, 12)]
    one, other, third = (
        table("Start,End,usage (therm)", *part) for part in (rows[:8], rows[5:], [row + "9" for row in rows[5:]])
    )
    (both,) = joined([one, replace(other, name="other.csv")])
    assert both.energy_j == pytest.approx(THERM_J * np.arange(101.0, 112.0))
    assert any("3 rows stand in another file too" in note for note in both.notes)
    (same,) = joined([one, one])
    assert same.n_periods == 8
    with pytest.raises(
        InputError, match="both hold the days from 2021-06-01 to 2021-08-31, and not alike; give one of the two"
    ) as caught:
        joined([one, third])
    assert len(caught.value.faults) == 1


def test_what_was_paid_goes_with_the_bills() -> None:
    rows = [f'2021-{m:02}-01,2021-{m + 1:02}-01,{100 + m},1.20,"$1,{m:03}.50 ",' for m in range(1, 11)]
    bills = table('Start,End,Usage (therm),Price per therm,Cost,"Notes"', *rows)
    assert bills.currency == "$"
    assert bills.cost == pytest.approx([1000.5 + m for m in range(1, 11)])
    parts = table("Start,End,kWh,Energy charge,Tax,Delivery charge,Total charge", *(
        f"2021-{m:02}-01,2021-{m + 1:02}-01,{100 + m},20,1,11,31" for m in range(1, 11)))  # fmt: skip
    assert parts.cost == pytest.approx(31.0)
    open_question = table("Start,End,kWh,First charge,Second charge", *(
        f"2021-{m:02}-01,2021-{m + 1:02}-01,{100 + m},20,11" for m in range(1, 11)))  # fmt: skip
    assert open_question.cost is None
    assert any("none was taken as what was paid; tell it with --paid" in note for note in open_question.notes)
    merged = table("Start,End,therm,Est,Cost", *(
        f"2021-{m:02}-01,2021-{m + 1:02}-01,{100 + m},{'E' if m == 4 else 'A'},{m}" for m in range(1, 11)))  # fmt: skip
    assert merged.cost == pytest.approx([1, 2, 3, 9, 6, 7, 8, 9, 10])


def test_cost_fields_of_green_button_and_another_zone() -> None:
    """Costs are in hundred-thousandths of the currency (IntervalReading of the ESPI schema); 840 is the dollar in ISO 4217."""
    moments, truth = local_hours("America/Chicago", date(2021, 10, 20), 30)
    readings = (
        reading(int(at.timestamp()), 3600, 1000 * n).replace("<value>", f"<cost>{n * 12_000}</cost><value>")
        for n, at in enumerate(moments, 1)
    )
    raw = feed(meter(["".join(readings)], type_=reads(currency=840)), clock="").encode()
    (bills,) = read_green_button("gb.xml", content=io.BytesIO(raw), zone="America/Chicago")
    assert by_day(bills) == pytest.approx(truth)
    assert bills.currency == "$"
    assert bills.cost == pytest.approx(0.12 * bills.energy_j / KWH_J)


def test_starts_alone_tell_what_starts_and_ends_do() -> None:
    """But for the last bill, whose end the file does not hold: whatever a fit then says, it says of both."""
    edges = [date(2019, 1, 3) + timedelta(days=31 * i) for i in range(14)]
    starts = table("start,usage (therm)", *(f"{day}T00:00:00-06:00,{50 + 9 * i}" for i, day in enumerate(edges)))
    both = table("start,end,usage (therm)", *(
        f"{day},{end},{50 + 9 * i}" for i, (day, end) in enumerate(pairwise(edges))))  # fmt: skip
    assert by_day(starts) == by_day(both)
    assert (starts.end_day == both.end_day).all()


def test_any_number_of_readings_of_no_length_is_read_while_they_hold_next_to_no_use(tmp_path: Path) -> None:
    """Fifty days of hours, each tenth with an empty reading of nothing beside it; a use that has no length is refused."""
    start = int(datetime(2023, 1, 1, 5, tzinfo=UTC).timestamp())
    rows = [
        reading(start + 3600 * i, 3600, 100.0) + (reading(start + 3600 * i, 0, 0.0) if i % 10 == 9 else "")
        for i in range(1200)
    ]
    path = tmp_path / "meter.xml"
    path.write_text(feed(meter(["".join(rows)])), encoding="utf-8")
    (found,) = read_bills([path])
    assert found.energy_j == pytest.approx(24 * 100 * 3600.0)
    path.write_text(feed(meter(["".join(rows).replace(">0.0<", ">90.0<")])), encoding="utf-8")
    with pytest.raises(InputError, match="120 readings without length hold 8% of the use"):
        read_bills([path])
