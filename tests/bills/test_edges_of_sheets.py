"""Where a table begins, which mark parts it, and what is put one below the other: both sides of each rule."""

from __future__ import annotations

from typing import Any

import pytest

from costsim.bills.columns import Table
from costsim.bills.sheet import (
    _first_of_data,
    _is_data,
    _is_headings,
    _is_told_before,
    _is_wide,
    _joined,
    _label,
    _long,
    _months_apart,
    _told_unit,
    _with_spoilt,
    separator,
    table_of,
)
from costsim.errors import InputError


def table(*lines: str, **more: Any) -> Table:
    return table_of("\n".join(lines), [], "f.csv", **more)


def refused(*lines: str) -> str:
    with pytest.raises(InputError) as caught:
        table(*lines)
    return str(caught.value)


def test_the_mark_is_the_one_that_parts_most_rows_alike() -> None:
    for lines, mark in (
        (["a;b", "1,5;2,5"], ";"),
        (["a,b", "1,2"], ","),
        (["a\tb", "1,5\t2"], "\t"),
        (["a|b,c", "1|2,5"], "|"),
        (["a;b,c", "1;2,3"], ";"),  # a tie: semicolons
        (["a;b", "1,2,3", "1,2,3"], ","),
        (["one", "two"], ";"),
    ):
        assert separator(lines) == mark
    # of 120 lines each second one counts, of 119 each
    odd_ones = ["1;2", "1,2"] * 60
    assert separator(odd_ones) == ";"
    assert separator(["1,2", "1;2"] * 60) == ","
    assert separator([*(["1,2", "1;2"] * 59), "1;2"]) == ";"


def test_rows_of_data_and_rows_of_headings() -> None:
    for row, data in (
        (["2024-01-05", "5"], True),
        (["5", "2024-01-05"], True),
        (["2024-01-05", "2024-02-05", "5"], True),
        (["2024-01-05", "x"], False),
        (["2024-01-05"], False),
        (["2024-01-05", " "], False),
        (["2024-01-05", "2024-02-05"], False),
        (["x", "5"], False),
    ):
        assert _is_data(row) == data, row
    for row, headings in (
        (["date", "kWh"], True),
        (["start", "usage"], True),
        (["end", "usage"], True),
        (["date", "note"], False),
        (["note", "kWh"], False),
    ):
        assert _is_headings(row) == headings, row


def test_data_begin_where_more_of_their_kind_follow() -> None:
    data, other = ["2024-01-05", "5"], ["x", "y"]
    assert _first_of_data([other, other]) is None
    assert _first_of_data([other, data]) == 1
    assert _first_of_data([data, data]) == 0
    # half of the eight rows below are enough; less are not where data follow further below
    assert _first_of_data([data, *[other] * 4, *[data] * 4, *[data] * 9]) == 0
    assert _first_of_data([data, *[other] * 5, *[data] * 3, *[data] * 9]) == 6
    assert _first_of_data([data, *[other] * 60]) == 0  # the only one
    assert _first_of_data([data, *[other] * 39, *[data] * 20]) == 0  # the next are too far off to be the real ones
    assert _first_of_data([data, *[other] * 38, *[data] * 20]) == 39
    for before, found in ((69, 69), (70, None)):
        assert _first_of_data([*[other] * before, data, data]) == found


def test_a_row_about_the_whole_file_is_told_from_a_row_of_it() -> None:
    def told(*rows: list[str]) -> bool:
        return _is_told_before(
            [["2023-12-31", "7"], *rows], 0, lambda at: at == 0 or rows[at - 1][0].startswith("2024")
        )

    good = ["2024-01-01", "5"]
    assert told(["date", "usage"], good)
    assert not told(good, good)
    assert not told(["date", "usage"], ["x", "y"])
    assert not told(["date", "usage 1"], good)
    assert not told(["note", "usage"], good)
    assert not told(["date", ""], good)
    assert not told(["date", "usage"])


def test_rows_before_the_first_good_one_belong_to_it_up_to_the_headings() -> None:
    spoilt, good = ["2024-01-01", "x"], ["2024-02-01", "5"]
    assert _with_spoilt([["date", "kWh"], spoilt, good], 2) == 1
    assert _with_spoilt([["note", "kWh"], spoilt, good], 2) == 2
    assert _with_spoilt([["date", "kWh"], ["x", "x"], good], 2) == 2
    assert _with_spoilt([["date", "kWh"], ["2024-01-01", "x", "y"], good], 2) == 2


def test_headings_above_one_another_are_joined() -> None:
    assert _joined([["Usage", "", "Cost"], ["kWh", "therm", "$"]], 3) == ["Usage kWh", "Usage therm", "Cost $"]
    assert _joined([["", "Usage", ""], ["Date", "kWh"]], 3) == ["Date", "Usage kWh", "Usage"]
    assert _joined([["Date", "", "kWh", "more"]], 3) == ["Date", "", "kWh"]
    two = table("Bill,,Usage", "from,to,therm", *(f"2024-{m:02d}-01,2024-{m + 1:02d}-01,5" for m in (1, 2, 3)))
    assert two.headings == ["from", "to", "therm"]
    assert two.lines == [3, 4, 5]
    three = table("Account,17", "Customer,B", "Note,x", "Date,Usage (kWh)", "2024-01-01,5", "2024-02-01,6")
    assert (three.headings, three.lines) == (["Date", "Usage (kWh)"], [5, 6])
    assert three.above == ["Account", "17", "Customer", "B", "Note", "x"]
    assert "3 lines above the headings were passed over" in three.notes
    assert two.above == ["Bill", "Usage"]
    unit = table("Meter,Units", "17,therm", "Date,Usage", "2024-01-01,5", "2024-02-01,6")
    assert unit.unit == "therm"
    assert _told_unit([["Meter", "Units"], ["17", "therm"], ["a", "b"]]) == "therm"
    assert _told_unit([["Meter", "Units"], ["therm", "17"]]) == ""
    bare = table("2024-01-01,2024-01-31,5 kWh", "2024-02-01,2024-02-29,6 kWh")
    assert (bare.headings, bare.lines) == (["", "", ""], [1, 2])


def test_year_and_month_in_columns_of_their_own() -> None:
    def months(head: list[str], *rows: list[str]) -> Table | None:
        return _months_apart([["Account", "17"], head, *rows], list(range(1, 3 + len(rows))))

    found = months(
        ["Year", "Month", "kWh"],
        ["2024", "1", "5"],
        ["2024", "feb", "6"],
        ["24", "3", "7"],
        ["2024", "13", "8"],
        ["2024"],
    )
    assert found is not None
    assert [row[0] for row in found.rows] == ["2024-01", "2024-02"]
    assert (found.rows[0], found.lines, found.headings) == (
        ["2024-01", "2024", "1", "5"],
        [3, 4],
        ["Month", "", "", "kWh"],
    )
    quarters = months(
        ["Quarter", "Year", "kWh"], ["q1", "2024", "5"], ["2", "2024", "6"], ["T3", "2024", "6"], ["5", "2024", "1"]
    )
    assert quarters is not None
    assert [row[0] for row in quarters.rows] == ["Q1 2024", "Q2 2024", "Q3 2024"]
    assert months(["Year", "kWh"], ["2024", "5"]) is None
    assert months(["Month", "kWh"], ["1", "5"]) is None
    assert months(["Year month", "kWh"], ["2024", "5"]) is None
    assert months(["Year", "Month"], ["x", "1"]) is None


def test_columns_of_hours() -> None:
    labels = {"1:00": "1:00", "1:00 - 2:00": "1:00", "13:30-14:00": "13:30", "HE01": "01", "Hour 7": "7", "kWh_3": "3", "V48": "48", "24": "24", "h.5": "5",
              "usage": None, "123": None, "29:00": None, "HE": None, "": None}  # fmt: skip
    assert {text: _label(text) for text in labels} == labels
    assert _is_wide([f"H{at}" for at in range(1, 24)])
    assert not _is_wide([f"H{at}" for at in range(1, 23)])
    assert not _is_wide([f"H{at}" for at in range(1, 23)] + ["", "total"])
    heads = ["Date", *(f"{at}:00" for at in range(24)), "Total kWh", "7"]
    rows = [["2024-01-01", *map(str, range(24)), "276", "9"], ["2024-01-02", *map(str, range(23))]]
    found = _long(rows, [2, 3], heads, 0, "f", [])
    assert found.headings == ["Date", "7", "time", "usage (kWh)"] or found.headings == ["Date", "time", "usage (kWh)"]
    assert (len(found.rows), found.lines[23:25], found.rows[1][0], found.rows[1][-2:]) == (
        47,
        [2, 3],
        "2024-01-01",
        ["1:00", "1"],
    )
    assert "24 columns of times of day were put one below the other" in found.notes
    plain = _long([["2024-01-01", *map(str, range(24))]], [2], ["Date", *(f"H{at}" for at in range(1, 25))], 0, "f", [])
    assert (plain.headings, plain.rows[23]) == (["Date", "hour", "usage"], ["2024-01-01", "24", "23"])


def test_sums_and_days_of_spreadsheets() -> None:
    some = table("date,therm", "2024-01-01,5", "2024-02-01,6", "Total,11", "average,5.5", "2024-03-01,7")
    assert (some.lines, some.notes[-1]) == ([2, 3, 6], "left out as a sum: line 4, 5")
    for serial, seen in ((32874, True), (55153, True), (32873, False), (55154, False)):
        said = refused("date,kWh", f"{serial},x", "45000,x", "45000,x")
        assert (f"line 2: '{serial}' is a day as spreadsheets count them inside" in said) == seen
        assert ("holds headings but no bills" in said) != seen
    assert "holds headings but no bills" in refused("date,kWh", "note,x")
    assert "line 2: 'x'" in refused("date,kWh", "2024-01-01,x", "2024-02-01,y")
    wide = ",".join(["x"] * 498)
    assert table(f"date,kWh,{wide}", f"2024-01-01,5,{wide}", f"2024-02-01,6,{wide}").lines == [2, 3]
    assert "columns: a row has 501" in refused(f"date,kWh,{wide},x", f"2024-01-01,5,{wide},x")
    assert "the first row is 'a, b'" in refused("a,b", "c,d")
    assert refused("a" * 200, "c").count("a" * 80) == 1
    assert "those of a fiscal year" in refused("Fiscal year,kWh", "FY 23,5", "FY 24,6")
    quoted = table('"date,kWh"', '"2024-01-01,5"', '"2024-02-01,6"')
    assert quoted.lines == [2, 3]
    assert "columns parted by semicolons" in table("date;kWh", "2024-01-01;5,5", "2024-02-01;6,5").notes
    assert table("# told", "date,kWh", ",,", "2024-01-01,5", "2024-02-01,6").lines == [4, 5]


def test_a_blank_before_quotation_marks_does_not_part_a_number() -> None:
    for lines in (
        ("date, kWh", '2024-01-01, "1,005"', '2024-02-01, "1,006"'),
        ('"date, kWh"', '"2024-01-01, ""1,005"""', '"2024-02-01, ""1,006"""'),
    ):
        assert table(*lines).rows == [["2024-01-01", "1,005"], ["2024-02-01", "1,006"]]
