"""Which column of a table is what, one rule at a time: kinds of cells, times, hours, what was asked for, parts and totals."""

from __future__ import annotations

from typing import Any

import pytest

from costsim.bills.beside import _is_year, _month_in, _year_in, months_beside
from costsim.bills.columns import (
    Table,
    _asked_for,
    _is_flag,
    _is_hour,
    _is_time_span,
    _kind,
    _place_dates,
    _place_times,
    choose,
)
from costsim.bills.convert import named_fuel, plain_unit
from costsim.bills.cost import costs_of
from costsim.bills.green_button import _plain, looks_like_xml
from costsim.bills.meters_beside import on_one_register, one_meter
from costsim.bills.nem12 import as_table, is_nem12
from costsim.errors import InputError

# kinds of cells


@pytest.mark.parametrize(
    ("cell", "role", "kind"),
    [
        ("1700000000", "", "number"), ("1700000000", "date", "date"), ("1700000000000", "start", "date"), ("1700000000000", "", "number"),
        ("20240105", "", "date"), ("20240105", "amount", "number"), ("20240105", "end", "date"), ("0130", "time", "time"), ("0131", "time", "number"),
        ("130", "time", "number"), ("01300", "time", "number"), ("0145", "", "number"), ("2345", "time", "time"), ("5.5", "amount", "number"),
        ("17000000000", "", "number"), ("2024-01-05", "amount", "date"), ("kWh", "unit", "text"), ("5 kWh", "", "number"), ("10:30", "", "time"),
    ],
)  # fmt: skip
def test_a_cell_is_of_a_kind_that_its_heading_may_change(cell: str, role: str, kind: str) -> None:
    assert _kind(cell, role) == kind


def table(head: str, *rows: str, **more: Any) -> Table:
    """A table whose places are not chosen yet."""
    return Table([row.split(",") for row in rows], list(range(2, 2 + len(rows))), head.split(","), **more)


def test_hours_are_four_different_numbers_or_more_up_to_a_hundred() -> None:
    def hours(*cells: str) -> bool:
        return _is_hour(table("Hour", *cells), 0)

    assert [hours("1", "2", "3"), hours("1", "2", "3", "4"), hours("1", "2", "2", "3")] == [False, True, False]
    assert [hours("1", "2", "3", last) for last in ("100", "101", "1.5", "")] == [True, False, False, True]


def test_estimates_are_told_by_the_heading_or_by_what_stands_below() -> None:
    assert _is_flag(table("Estimated reading", "perhaps"), 0)
    assert _is_flag(table("Est.", "perhaps"), 0)
    assert _is_flag(table("Status", "A", "e"), 0)
    assert not _is_flag(table("Status", "A", "paid"), 0)


def test_spans_of_times_are_none_of_dates() -> None:
    spans = ("0:00 - 0:30", "2024-01-05 0:00 - 2024-01-05 1:00", "1/2/2024 0:00-1:00", "5.1.2024 0:00-1:00", "2024-01-01 to 2024-02-01")  # fmt: skip
    assert [_is_time_span(table("when", "", one), 0) for one in spans] == [True, False, False, False, False]
    assert not _is_time_span(table("when", "", ""), 0)


def placed(head: str, *kinds: str) -> tuple[dict[str, int], str]:
    """Places of dates by headings and kinds of columns, and what a lone one is."""
    from costsim.bills.words import role_of

    one = table(head)
    found = _place_dates(one, [*kinds], [role_of(heading) for heading in one.headings])
    return (one.places if found else {"none": 0}), one.lone


def test_dates_by_their_headings() -> None:
    assert placed("note,kWh", "text", "number") == ({"none": 0}, "")
    assert placed("start,end", "date", "date") == ({"start": 0, "end": 1}, "")
    assert placed("date,end", "date", "date") == ({"start": 0, "end": 1}, "")
    assert placed("date,end", "month", "date") == ({"date": 0}, "date")
    assert placed("date,end", "date", "month") == ({"date": 0}, "date")
    assert placed("end,kWh", "date", "number") == ({"date": 0}, "end")
    assert placed("start,kWh", "date", "number") == ({"date": 0}, "start")
    assert placed("read date,kWh", "date", "number") == ({"date": 0}, "end")
    assert placed("bill date,date", "date", "date") == ({"date": 1}, "date")
    assert placed("due date,date", "date", "date") == ({"date": 1}, "date")
    assert placed("due date,kWh", "date", "number") == ({"date": 0}, "date")
    assert placed(",", "date", "date") == ({"start": 0, "end": 1}, "")
    assert placed(",,", "date", "date", "date") == ({"date": 0}, "date")
    assert placed("when,period", "date", "span") == ({"date": 1}, "")


def test_times_of_day_by_their_headings() -> None:
    def times(*roles: str) -> dict[str, int]:
        one = table("")
        _place_times(one, list(range(len(roles))), [*roles])
        return one.places

    assert times("time") == {"time": 0}
    assert times("time", "time") == {"start_time": 0, "end_time": 1}
    assert times("time", "time", "time") == {"time": 0}
    assert times("start", "end") == {"start_time": 0, "end_time": 1}
    assert times("end", "start") == {"start_time": 1, "end_time": 0}
    assert times("time", "end") == {"start_time": 0, "end_time": 1}
    assert times("start", "time") == {"start_time": 0}
    assert times("end") == {"end_time": 0}
    assert times() == {}


def test_columns_that_were_asked_for() -> None:
    def asked(*names: str, head: str = "date,Gas kWh,Gas use,Light kWh", places: Any = None) -> Any:
        one = table(head)
        one.places = {"date": 0, "unit": 2} if places is None else places
        try:
            return _asked_for(one, names, "f"), one.places
        except InputError as error:
            return str(error).split("; ")[0]

    assert asked("gas KWH ") == ([1], {"date": 0, "unit": 2})
    assert asked("light") == ([3], {"date": 0, "unit": 2})
    assert asked("Gas use") == ([2], {"date": 0})  # it is no column of units then
    assert asked("Gas kWh", "4") == ([1, 3], {"date": 0, "unit": 2})
    assert (
        asked("gas") == "f: --column: 'gas' is more than one of the columns 'date', 'Gas kWh', 'Gas use', 'Light kWh'"
    )
    assert asked("5").startswith("f: --column: '5' is none of the columns")
    assert asked("0").startswith("f: --column: '0' is none of the columns")
    assert asked("").startswith("f: --column: '' is none of the columns")
    assert asked("1") == asked("date") == "f: --column: the column of dates cannot be the use"
    assert asked("2", "3") == "f: --column: the columns are in different units"
    assert asked("1", head=",", places={}) == ([0], {})
    assert asked("3", head=",", places={}) == "f: --column: '3' is none of the columns 1 to 2"


def test_tons_are_short_ones_but_where_europe_writes() -> None:
    def unit(head: str, cost: str, **more: Any) -> str:
        one = table(head, f"2024-01-05,5,{cost}", f"2024-02-05,6,{cost}", **more)
        assert choose(one)
        return one.unit

    assert unit("date,delivered (tons),Cost", "10") == "short_ton"
    assert unit("date,delivered (tons),Cost", "10", comma=True) == "tonne"
    assert unit("date,delivered (tons),Cost", "€10") == "tonne"
    assert unit("date,delivered (tons),Cost £", "10") == "tonne"
    assert unit("date,delivered (kg),Cost £", "10") == "kg"


def test_what_was_taken_and_what_was_passed_over_is_said() -> None:
    one = table("date,Peak kWh,Off-Peak kWh,Note", "2024-01-05,5,7,x", "2024-02-05,6,3,y", "2024-03-05,6,4,y")
    assert choose(one)
    assert one.amounts == [1, 2]
    assert one.notes[-2:] == [
        "columns taken: date 'date', amount 'Peak kWh', and 'Off-Peak kWh', which are added up",
        "columns passed over: 'Note'",
    ]
    many = table("date,kWh," + ",".join(f"Note {at}" for at in range(40)), *(f"2024-0{m}-05,{m + 4}" + ",x" * 40 for m in (1, 2, 3)))  # fmt: skip
    assert choose(many)
    assert len(many.notes[-1]) == 140
    bare = table(",,", "2024-01-05,5 kWh,A", "2024-02-05,6 kWh,E")
    assert choose(bare)
    assert bare.notes[-1] == "no headings were found; date from column 1, flag from column 3, amount from column 2"


@pytest.mark.parametrize(("left", "said"), [("Note", ["columns passed over: 'Note'"]), ("", [])])
def test_a_column_that_what_was_paid_is_taken_from_is_not_passed_over(left: str, said: list[str]) -> None:
    one = table(f"date,kWh,cost,{left}", *(f"2024-0{month}-05,{month + 4},{month + 1}.50,x" for month in (1, 2, 3)))
    assert choose(one)
    paid, _ = costs_of(one)
    assert paid is not None
    assert paid.tolist() == [2.5, 3.5, 4.5]
    assert one.notes[-len(said) - 2 :] == [
        "columns taken: date 'date', amount 'kWh'",
        *said,
        "what was paid is taken from 'cost'",
    ]


# years and months in headings


def test_years_of_headings() -> None:
    told = [text for text in ("1969", "1970", "2100", "2101", "202", "20240", "２０２４") if _is_year(text)]
    assert told == ["1970", "2100"]
    years = {
        "2023": 2023,
        "2023 (therms)": 2023,
        "Usage 2023": 2023,
        "2023 cost": 0,
        "2023 2024 kWh": 0,
        "2023 kWh 2": 0,
        "kWh": 0,
        "1969 kWh": 0,
    }
    assert {text: _year_in(text) for text in years} == years
    months = {
        "Jan-24 Therms": "2024-01-01",
        "Feb 2024 kWh": "2024-02-01",
        "Jan-24 Cost": None,
        "Jan-24": None,
        "Therms": None,
    }
    assert {text: (found and found.isoformat()) if (found := _month_in(text)) else None for text in months} == months


def test_months_beside_one_another_stand_within_forty_rows() -> None:
    names = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct".split()  # noqa: SIM905
    body = [["kWh", *names], ["2023", *map(str, range(10))]]
    for above, found in ((39, True), (40, False)):
        rows = [["x", "y"]] * above + body
        assert (months_beside(rows, list(range(len(rows)))) is not None) is found
    twice = months_beside([*body, ["2023", *map(str, range(10))]], [1, 2, 3])
    assert twice is None  # the same month twice is another table


# small words


def test_addresses_in_files_and_what_begins_like_xml() -> None:
    plain = {
        "https://host/a/b": "a/b",
        "/a/b": "a/b",
        "a/b": "a/b",
        "http://h": "",
        "/a?x=http://h/b": "a?x=http://h/b",
        "espi-12://h/a": "a",
        "espi-123://h/a": "espi-123://h/a",
    }
    assert {href: _plain(href) for href in plain} == plain
    heads = {
        b"<a": True,
        b"\xef\xbb\xbf <a": True,
        b"a<": False,
        b"<\x00a\x00": True,
        b"\xff\xfe<\x00": True,
        b"\xfe\xff\x00<": True,
        b" " * 200 + b"<": False,
    }
    assert {head: looks_like_xml(head) for head in heads} == heads


def test_names_of_fuels_and_units() -> None:
    fuels = {
        "propane gas": "propane",
        "natural gas and propane": "propane",
        "gas oil": "heating_oil",
        "oil": "heating_oil",
    }
    fuels |= {"gas, propane and oil": "", "gas and wood": ""}
    assert {text: named_fuel(text) for text in fuels} == fuels
    assert [plain_unit(text) for text in (" kWh. ", ".", "Gallons", "Cord")] == ["kWh", ".", "gallons", "cord"]


def test_meters_that_follow_one_another_are_one() -> None:
    def kept(*rows: str, meter: str = "") -> list[int] | str:
        one = table("date,meter,kWh", *rows)
        one.places = {"date": 0, "meter": 1, "amount": 2}
        try:
            one_meter(one, meter, "f")
        except InputError as error:
            return str(error).split("; ")[0]
        return [line - 2 for line in one.lines]

    follow = ("1,a,5", "2,a,5", "2,b,5", "3,b,5")
    assert kept(*follow) == [0, 1, 2, 3]
    assert kept("1,a,5", "2,b,5", "3,a,5") == [0, 1, 2]
    assert (
        kept("1,a,5", "1,b,5", "2,a,5", "2,b,5")
        == "f: meter: 2 meters run at the same time: 'a' (2 rows), 'b' (2 rows)"
    )
    assert kept(*follow, meter="B") == [2, 3]
    assert kept(*follow, meter="1") == [0, 1]
    assert kept(*follow, meter="3") == "f: --meter: '3' is none of its meters: 'a', 'b'"
    assert kept("1,ab,5", "1,ac,5", meter="a") == "f: --meter: 'a' is more than one of its meters: 'ab', 'ac'"
    assert kept("1,,5", "2,,5", meter="1") == "f: --meter: '1' is more than one of its meters: the table names none"
    import numpy as np

    register = table("date,meter,kWh", "1,a,100", "2,a,130", "2,b,20", "3,b,70", "4,c,10")
    register.places, register.register = {"date": 0, "meter": 1, "amount": 2}, True
    found = on_one_register(register, np.array([100.0, 130.0, 20.0, 70.0, 10.0]))
    # the second meter goes on from 130 at 20; the third was put in on another day
    assert (found.tolist(), register.lines) == ([100.0, 130.0, 180.0, 120.0], [2, 3, 5, 6])
    assert register.notes == ["at line 4 another meter goes on where the one before it ends"]


def test_a_file_of_interval_meters_by_its_first_words() -> None:
    """AEMO's meter data file format: record 200 has nine cells at least, its fifth is the suffix, its ninth the length."""
    assert [is_nem12(text) for text in ("\ufeff 100,NEM12,1", "100,nem12", "100,NEM13", "1100,NEM12")] == [True, True, False, False]  # fmt: skip
    day = ",".join(["1"] * 24)
    good = f"100,NEM12,1\n200,6,E1,1,E1,N1,M1,kWh,60\n300,20230101,{day},A\n"
    head, row, _ = as_table(good, [], "f").split("\n")
    assert (head.split(",")[4], head.split(",")[-1], row) == ("00:00", "23:00", f"6 E1,2023-01-01,kWh,Actual,{day}")
    assert as_table(good.replace(",A\n", "\n"), [], "f").split("\n")[1] == row  # without a quality it counts
    for wrong, said in (
        (good.replace(",60", ""), "tells no meter with its unit"),
        (good.replace("200,6,E1,1,E1", "200,6,E1"), "tells no meter with its unit"),
        (good + good.replace(",60", ",30").replace(day, f"{day},{day}"), "holds intervals of several lengths"),
        (good.replace("20230101", "2023010"), "holds 24 values for '2023010', and a day has 24"),
        (good.replace("20230101", "2023O101"), "holds 24 values for '2023O101', and a day has 24"),
    ):
        with pytest.raises(InputError, match=said):
            as_table(wrong, [], "f")
