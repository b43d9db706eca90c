"""Times of day in columns beside the date, columns and meters chosen by number, and files too large to be bills."""

from __future__ import annotations

import gzip
from functools import partial

import numpy as np
import pytest
from bills.test_readers_csv import lines_of, read

from costsim.bills import meter, text
from costsim.bills.green_button import looks_like_xml
from costsim.bills.meter import read_heat, read_meter
from costsim.bills.read import read_bill_file
from costsim.errors import InputError
from costsim.units.quantity import KWH_J

DAYS = [f"2023-01-{day:02}" for day in range(9, 17)]


def by_the_hour(head: str, row: str) -> str:
    """Hours of eight days that use 1 kWh each, but 2 kWh from 06:00 on the 12th; `row` has day, first and last hour."""
    rows = [
        row.format(day=day, at=at, to=(at + 1) % 24, n=at + 1, use=2 if (day[-2:], at) == ("12", 6) else 1)
        for day in DAYS
        for at in range(24)
    ]
    return "\n".join([head, *rows, ""])


@pytest.mark.parametrize(
    ("head", "row"),
    [
        ("Date,Start Time,End Time,Usage (kWh)", "{day},{at:02}:00,{to:02}:00,{use}"),
        ("Date,End Time,Usage (kWh)", "{day},{n:02}:00,{use}"),
        ("Date,Start Time,Usage (kWh)", "{day},{at:02}:00,{use}"),
        ("Date,Time,Usage (kWh)", "{day},{at:02}:00,{use}"),
        ("Date,Time,Usage (kWh)", "{day},{at:02}00,{use}"),
        ("Date,Time,Usage (kWh)", "{day},{at:02}:00:00,{use}"),
        ("Date,Time,End Time,Usage (kWh)", "{day},{at:02}:00,{to:02}:00,{use}"),
        ("Date,From,To,Usage (kWh)", "{day},{at:02}:00,{to:02}:00,{use}"),
        ("Date,Time,Time,Usage (kWh)", "{day},{at:02}:00,{to:02}:00,{use}"),
        ("Date,Period,Usage (kWh)", "{day},{at:02}:00-{to:02}:00,{use}"),
        ("Start,Period,Usage (kWh)", "{day},{at:02}:00 - {to:02}:00,{use}"),
        ("Date,Hour,Usage (kWh)", "{day},{n},{use}"),
        ("Date,Hour,Usage (kWh)", "{day},{at},{use}"),
    ],
)
def test_a_time_of_day_stands_where_its_heading_says(head: str, row: str) -> None:
    found = read(by_the_hour(head, row))
    assert found.start_day.astype(str).tolist() == DAYS
    np.testing.assert_allclose(found.energy_j / KWH_J, [24, 24, 24, 25, 24, 24, 24, 24])


def test_readings_with_the_newest_first_are_those_with_the_oldest_first_on_any_clock() -> None:
    head, *rows = by_the_hour("Date,Time,Usage (kWh)", "{day},{at:02}:00,{use}").splitlines()
    for zone in ("", "America/New_York"):
        first, last = (read("\n".join([head, *some]), zone=zone) for some in (rows, rows[::-1]))
        assert last.start_day.tolist() == first.start_day.tolist() == [np.datetime64(day).item() for day in DAYS]
        assert last.energy_j.tolist() == first.energy_j.tolist()


def test_an_hour_that_is_missing_is_told_by_its_line() -> None:
    good = by_the_hour("Date,Hour,Usage (kWh)", "{day},{n},{use}").splitlines()
    for at in (1, 30):
        day, _, use = good[at].split(",")
        told = lines_of("\n".join([*good[:at], f"{day},,{use}", *good[at + 1 :]]))
        assert told == [f"bills.csv: line {at + 1}: '' is no hour; write hours as 1 to 24"]


PLAIN = ["2023-01-05,2023-02-03,120,7", "2023-02-03,2023-03-06,98,5", "2023-03-06,2023-04-05,61,3"]


@pytest.mark.parametrize(("asked", "use"), [(["3"], [120, 98, 61]), (["4"], [7, 5, 3]), (["3", "4"], [127, 103, 64])])
def test_a_column_is_chosen_by_its_number_from_1(asked: list[str], use: list[float]) -> None:
    found = read("\n".join(["start,end,a (kWh),b (kWh)", *PLAIN]), column=asked)
    np.testing.assert_allclose(found.energy_j / KWH_J, use)
    for none in ("0", "5"):
        assert "is none of the columns" in lines_of("\n".join(["start,end,a (kWh),b (kWh)", *PLAIN]), column=[none])[0]


def test_columns_without_headings_are_named_by_their_number() -> None:
    (told,) = lines_of("\n".join(PLAIN))
    assert told == (
        "bills.csv: columns: 'column 3' and 'column 4' can each be the use; choose with --column '3'; given again, columns "
        "are added up"
    )


def test_a_meter_is_chosen_by_its_name_or_its_number_from_1() -> None:
    rows = [
        f"{name},2023-0{month}-05,2023-0{month + 1}-05,{use}"
        for name, use in (("east", 10), ("west", 20), ("northwest", 30))
        for month in (1, 2, 3)
    ]
    sheet = "\n".join(["meter,start,end,usage (kWh)", *rows])
    for asked, use in (("1", 10), ("2", 20), ("3", 30), ("EAST", 10), ("west", 20), ("north", 30)):
        np.testing.assert_allclose(read(sheet, meter=asked).energy_j / KWH_J, [use] * 3)
    for asked, said in (("0", "is none of"), ("4", "is none of"), ("st", "is more than one of")):
        assert said in lines_of(sheet, meter=asked)[0]


def test_files_too_large_to_be_bills_are_told_by_their_size(monkeypatch: pytest.MonkeyPatch) -> None:
    large = b"usage (kWh)\n" + b"1\n" * 1_250_000
    monkeypatch.setattr(meter, "MOST_CSV_BYTES", 2_000_000)
    monkeypatch.setattr(text, "MOST_BYTES", 2_000_000)
    for read_it in (read_meter, read_bill_file, partial(read_heat, key="heat", file="s.toml")):
        with pytest.raises(InputError, match="is 3 MB large"):
            read_it("large.csv", content=large)
    monkeypatch.setattr(text, "MOST_GUNZIPPED", 2_000_000)
    with pytest.raises(InputError, match="unpacks to more than 2 MB"):
        read_bill_file("large.csv.gz", content=gzip.compress(large))
    assert not looks_like_xml("no such file.xml")
