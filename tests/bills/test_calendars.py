"""Clocks set on any day, files in UTC, seconds since 1970, months side by side, quarters, registers that roll over, money."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from bills.espi import feed, meter, reading, reads

from costsim.bills.intervals import read_green_button
from costsim.bills.model import Bills
from costsim.bills.readers_csv import read_bills_csv
from costsim.errors import InputError

KWH_J, THERM_J = 3.6e6, 105.505585262e6


def table(*rows: str, name: str = "use.csv", **more) -> Bills:
    return read_bills_csv(name, content="\n".join(rows).encode(), **more)


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
    [("America/Chicago", date(2021, 10, 20)), ("Asia/Amman", date(2021, 10, 10)), ("Asia/Tehran", date(2021, 9, 10))],
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


def test_quarters_in_a_column_of_their_own() -> None:
    rows = [f"{y},{q},{100 * q}" for y in (2019, 2020) for q in (1, 2, 3, 4)]
    bills = table("Year,Quarter,usage (therm)", *rows)
    assert str(bills.start_day[1]) == "2019-04-01"
    assert bills.energy_j == pytest.approx(THERM_J * np.tile([100.0, 200, 300, 400], 2))


def test_a_monthly_register_rolls_over_and_a_new_meter_does_not() -> None:
    states = [9530, 9720, 9850, 20, 210, 400]
    rows = [f"2021-{month:02}-01,{state}" for month, state in enumerate(states, 1)]
    bills = table("Date,Meter Reading (therm)", *rows)
    assert bills.energy_j == pytest.approx(THERM_J * np.array([190, 130, 170, 190, 190.0]))
    assert any("rolls over at line 5, from 9850 to 20" in note for note in bills.notes)
    with pytest.raises(InputError, match="the register falls from 5850 to 20; a replaced meter needs a file before"):
        table("Date,Meter Reading (therm)", *(row.replace(",9", ",5") for row in rows))


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
