"""What a reader of bills chooses between, on both sides of each choice: orders of dates, readings that come again, money, columns."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from bills.test_readers_csv import lines_of

from costsim.bills import green_button, times
from costsim.bills.amounts import fuels_in
from costsim.bills.columns import Table, kinds_of
from costsim.bills.cost import costs_of
from costsim.bills.readers_csv import _drop_payments, _power, _readings, read_hours_csv
from costsim.bills.sheet import _first_of_data, _long, table_of
from costsim.bills.temperatures import _daily
from costsim.bills.times import Times, _evenest, _timed, times_of
from costsim.errors import InputError
from costsim.weather.hours import MOST_YEARS

HOUR, DAY = 3600, 86400

# orders of dates


@pytest.mark.parametrize(
    ("month_first", "day_first", "order"),
    [
        ((0, 0), (1, 0), "mdy"), ((2, 0), (1, 5), "dmy"), ((1, 0), (1, 0), ""), ((0, 0), (0, 0), ""), ((1, 0), (1, 2), ""), ((1, 0), (1, 3), "mdy"),
        ((0, 0), (0, 2), ""), ((0, 0), (0, 3), "mdy"), ((1, 1), (1, 3), ""), ((1, 1), (1, 4), "mdy"), ((0, 4), (0, 1), "dmy"), ((0, 1), (1, 0), "mdy"),
    ],
)  # fmt: skip
def test_an_order_of_dates_is_taken_where_it_breaks_less_or_is_even_in_a_third_more_of_the_rows(
    month_first: tuple[int, int], day_first: tuple[int, int], order: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    scores = iter([month_first, day_first])
    monkeypatch.setattr(times, "evenness", lambda start, end: next(scores))
    # six bills of 152 days by month and 35 by day: neither are days in a row
    texts = [[f"{date}/{year}" for year in range(2011, 2017)] for date in ("1/6", "6/7")]
    assert _evenest(Table([], [], ["start", "end"]), texts, ["mdy", "dmy"]) == order


@pytest.mark.parametrize(
    ("short", "long", "word", "order"),
    [
        # periods of four days at most beside some of more than five, none of 100: the heading's month of 30 days, or day, within five
        ([4, 4, 4], [30, 30, 30], "monthly", "long"), ([5, 4, 4], [30, 30, 30], "monthly", ""), ([1, 1, 1], [35, 35, 35], "monthly", "long"),
        ([1, 1, 1], [36, 36, 36], "monthly", ""), ([1, 1, 1], [25, 25, 25], "monthly", "long"), ([1, 1, 1], [24, 24, 24], "monthly", ""),
        ([1, 1, 1], [30, 30, 99], "monthly", "long"), ([1, 1, 1], [30, 30, 100], "monthly", ""), ([1, 1, 1], [30, 30, 105], "monthly", ""),
        ([1, 1, 1], [7, 7, 7], "daily", "short"), ([1, 1, 1], [6, 6, 6], "daily", ""), ([1, 1, 1], [30, 30, 30], "", ""),
    ],
)  # fmt: skip
def test_even_days_and_even_months_are_told_apart_by_the_heading(
    short: list[int], long: list[int], word: str, order: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    start = np.arange(3) * np.timedelta64(100, "D") + np.datetime64("2023-01-01")
    days = {("start", one): start for one in ("short", "long")} | {
        ("end", one): start + np.array(each).astype("timedelta64[D]")
        for one, each in (("short", short), ("long", long))
    }
    monkeypatch.setattr(times, "to_days", lambda column, order: days[column[0], order])
    monkeypatch.setattr(times, "evenness", lambda start, end: (0, 0))
    for orders in (["short", "long"], ["long", "short"]):
        found = _evenest(Table([], [], [f"{word} use", "to"]), [["start"] * 2, ["end"] * 2], orders)
        assert found == order


def test_days_in_a_row_may_be_months_in_a_row_whichever_way_the_file_runs() -> None:
    rows = [f"{at}/1/2023" for at in range(1, 9)]  # eight days of January, or the first of eight months
    for texts in (rows, rows[::-1]):
        for word, order in (("daily", "dmy"), ("monthly", "mdy"), ("", "")):
            assert _evenest(Table([], [], [f"{word} use"]), [texts], ["mdy", "dmy"]) == order
    # two dates are too few, but not where each stands beside several readings
    assert _evenest(Table([], [], ["daily"]), [["1/1/2023", "2/1/2023"]], ["mdy", "dmy"]) == ""
    assert _evenest(Table([], [], [""]), [["1/1/2023"] * 3 + ["2/1/2023"] * 3], ["mdy", "dmy"]) == "dmy"
    assert _evenest(Table([], [], [""]), [["1/1/2023"] * 6], ["mdy", "dmy"]) == ""
    # two readings a day are half as many days as rows, three are less
    assert _evenest(Table([], [], [""]), [[row for row in rows for _ in range(2)]], ["mdy", "dmy"]) == ""
    assert _evenest(Table([], [], [""]), [[row for row in rows for _ in range(3)]], ["mdy", "dmy"]) == "dmy"


def test_numbered_hours_are_halves_from_26_and_quarters_from_51_on() -> None:
    for most, step in ((25, HOUR), (26, 1800), (50, 1800), (51, 900), (100, 900)):
        rows = [["2024-01-01", str(hour), "1.5"] for hour in range(1, most + 1)]
        one = Table(rows, list(range(most)), ["Date", "Hour", "kWh"], {"date": 0, "hour": 1, "amount": 2})
        found = times_of(one, "f", [])
        assert found is not None
        assert (found.end_s[0] - found.start_s[0], found.start_s[1] - found.start_s[0]) == (step, step)


def test_an_end_before_its_start_is_of_the_next_day() -> None:
    cells = [("23:00", "01:00"), ("10:00", "10:00"), ("00:00", "00:00"), ("10:00", "11:00")]
    one = Table([[*cell] for cell in cells], list(range(4)), ["a", "b"])
    days = np.arange(4) * DAY
    found = _timed(one, Times(days, None, None, False), *([*column] for column in zip(*cells, strict=True)), "f", [])
    assert found is not None
    assert (found.end_s - found.start_s).tolist() == [2 * HOUR, 0, DAY, HOUR]
    # where the end has a date of its own that is not needed
    dated = Times(days[:1], days[:1] + DAY, None, False)
    found = _timed(one, dated, ["23:00"], ["01:00"], "f", [])
    assert found is not None
    assert (found.end_s - found.start_s).tolist() == [2 * HOUR]


# readings


def readings(n: int, *, again: int = 0, other: float = 1.0) -> Any:
    """So many readings of an hour each, the last of which stand at times that were there already."""
    start = np.arange(n, dtype=np.int64) * HOUR
    start[n - again :] = start[:again]
    table = Table([["1"]] * n, list(range(n)), ["kWh"], {"amount": 0}, unit="kWh", lone="start")
    amounts = np.ones(n)
    amounts[n - again :] = other
    return _readings(table, Times(start, None, np.zeros(n, dtype=np.int64), True), amounts, np.full(n, 3.6e6), np.zeros(n, dtype=bool), "f")  # fmt: skip


def test_of_a_hundred_readings_one_may_come_again_with_another_amount() -> None:
    assert len(readings(100, again=1, other=2.0)[1]) == 100
    with pytest.raises(InputError, match="2 readings have a time that was there already, with another amount"):
        readings(100, again=2, other=2.0)
    # the same amounts may come again for up to six tenths of the rows, as where a file holds them twice
    assert len(readings(100, again=50)[1]) == 100
    for same in (60, 61):
        start = np.array([0] * (same + 1) + [HOUR * at for at in range(1, 100 - same)])
        table = Table([["1"]] * 100, list(range(100)), ["kWh"], {"amount": 0}, unit="kWh", lone="start")
        given: Any = (Times(start, None, 0 * start, True), np.ones(100), np.ones(100), start < 0, "f")
        if same == 60:
            assert len(_readings(table, *given)[1]) == 100
        else:
            with pytest.raises(InputError, match=r"61 readings .* as where a column of times is not understood"):
                _readings(table, *given)


def test_hours_of_a_year_want_readings_of_an_hour() -> None:
    for step, count in (("2h", 40), ("1D", 40)):
        stamps = np.datetime64("2023-01-01T00:00") + np.arange(count) * np.timedelta64(int(step[0]), step[1])
        text = "\n".join(["Start,Usage (kWh)", *(f"{str(one).replace('T', ' ')},1.5" for one in stamps)])
        with pytest.raises(InputError, match="has no readings of an hour or shorter"):
            read_hours_csv("h.csv", content=text.encode())


def test_a_number_of_days_is_one_number() -> None:
    def days(*cells: str) -> Any:
        found = times.days_column(Table([[cell] for cell in cells], [2, 3], ["days"], {"days": 0}))
        return None if found is None else found.tolist()

    assert days("31", "28.5 d") == [31.0, 28.5]
    assert days("31", "1.2.3") is days("31", "x") is days("31", "") is None
    assert times.days_column(Table([["31"]], [2], ["days"])) is None


def test_of_a_long_column_sixty_cells_are_looked_at() -> None:
    """Of 119 rows each second one: fifty numbers and ten words among them, and 59 words that are not seen."""
    cells = ["word" if at % 2 or at >= 100 else "5" for at in range(119)]
    assert kinds_of(Table([[cell] for cell in cells], list(range(119)), [""])) == ["number"]
    assert kinds_of(Table([[cell] for cell in cells[60:]], list(range(59)), [""])) == ["text"]


def test_an_account_without_payments_says_nothing_of_them() -> None:
    one = Table([["d", "bill", "5"], ["d", "bill", ""]], [2, 3], ["date", "what", "kWh"], {"date": 0, "amount": 2})
    _drop_payments(one)
    assert (one.lines, one.notes) == ([2, 3], [])


# money


def test_a_column_is_the_sum_of_the_others_to_two_cents_and_a_thousandth() -> None:
    def paid(whole: float) -> bool:
        rows = [["x", "12.00", "6.00", f"{whole:.3f}"], ["x", "10.00", "5.00", "15.00"]]
        table = Table(rows, [2, 3], ["start", "Energy cost", "Delivery cost", "Cost of both"], {"start": 0})
        return costs_of(table)[0] is not None

    assert [paid(18.0 + off) for off in (0.037, 0.0385, -0.037, -0.0385)] == [True, False, True, False]


def test_a_heading_tells_one_reading_of_two_columns() -> None:
    assert "can each be the use" in lines_of("start,end,A kWh,B kWh\n2023-01-01,2023-02-01,5,7\n2023-02-01,2023-03-01,6,3\n")[0]  # fmt: skip


def test_power_beside_energy_is_refused() -> None:
    one = Table([["5", "kW"], ["6", "kWh"]], [2, 3], ["use", "unit"], {"amount": 0, "unit": 1})
    with pytest.raises(InputError, match="amounts are in kW and kWh; give energy or power alone"):
        _power(one, "f")
    one.rows = [["5", "kW"], ["6", "kW"]]
    assert _power(one, "f") == "kW"
    one.rows = [["5", "kWh"], ["6", "therm"]]
    assert _power(one, "f") == ""


# tables without numbers


def refused(*lines: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        table_of("\n".join(lines), [], "f")
    return str(caught.value).split("\n")


def test_headings_are_sought_in_forty_rows_and_twenty_bad_ones_are_told() -> None:
    assert refused(*["note,x"] * 39, "date,kWh", "2024-01-01,x") == [
        "f: line 41: 'x' in column 'kWh' is no amount; write a number; a bill without use has the amount 0"
    ]
    assert "dates and amounts were not found" in refused(*["note,x"] * 40, "date,kWh", "2024-01-01,x")[0]
    assert len(refused("date,kWh", *["2024-01-01,x"] * 19)) == 19
    assert len(refused("date,kWh", *["2024-01-01,x"] * 21)) == 20


def test_three_days_of_a_spreadsheet_are_looked_at() -> None:
    said = "is a day as spreadsheets count them inside"
    assert said in refused("date,kWh", "45000,x", "45001,x", "45002,x", "note,x")[0]
    assert said not in refused("date,kWh", "45000,x", "45001,x", "note,x")[0]
    assert said in refused("kWh,date", "x", "x,45000", "x,45001")[0]


def test_headings_in_two_rows_are_taken_where_they_tell_a_unit() -> None:
    rows = [f"2024-0{m}-01,2024-0{m + 1}-01,{m + 4}" for m in (1, 2, 3)]
    assert table_of("\n".join(["Gas,,CCF", "from,to,use", *rows]), [], "f").unit == "CCF"
    assert table_of("\n".join(["Gas,,Note", "from,to,use", *rows]), [], "f").headings == ["from", "to", "use"]


# weather of days


def daily(days: list[str], **columns: list[float]) -> Any:
    """Temperatures of a record by day."""
    arrays = {name: np.array(one) for name, one in columns.items()}
    record: Any = SimpleNamespace(notes=[], times=np.array(days, dtype="datetime64[s]"), columns=arrays)
    return _daily(record, "f")


def test_daily_means_are_taken_or_made_of_lowest_and_highest() -> None:
    days, nan = ["2023-01-01", "2023-01-02", "2023-01-03"], float("nan")
    made = "daily temperature taken as the mean of lowest and highest"
    for outdoor, wanted in (([1.0, 2.0, 3.0], [1.0, 2.0, 3.0]), ([1.0, nan, 3.0], [5.0, 5.5, 6.0])):
        found = daily(days, outdoor=outdoor, low=[0.0, 1.0, 2.0], high=[10.0, 10.0, 10.0])
        assert found.outdoor_c[:, 0].tolist() == wanted
        assert (made in found.notes) == (wanted[0] == 5.0)
    gap = daily(days, outdoor=[1.0, nan, 3.0], low=[0.0, nan, 2.0], high=[10.0] * 3)
    assert gap.outdoor_c[:, 0].tolist() == [1.0, 2.0, 3.0]
    assert "1 missing temperatures were interpolated" in gap.notes
    # two values of a day count by their mean
    twice = daily(["2023-01-01", "2023-01-01T12", "2023-01-02"], outdoor=[2.0, 4.0, 7.0])
    assert twice.outdoor_c[:, 0].tolist() == [3.0, 7.0]


def test_a_record_is_as_long_as_its_years_may_be() -> None:
    for days, said in (
        (366 * MOST_YEARS, "days in a row are missing"),
        (366 * MOST_YEARS + 1, "more years than a record can have"),
    ):
        last = str(np.datetime64("1900-01-01") + np.timedelta64(days, "D"))
        with pytest.raises(InputError, match=said):
            daily(["1900-01-01", last], outdoor=[1.0, 2.0])


# where data begin


def test_data_begin_where_half_of_the_next_eight_rows_are_data() -> None:
    data, other = ["2024-01-05", "5"], ["x", "y"]
    assert _first_of_data([data, data, *[other] * 4, *[data] * 3, *[data] * 20]) == 0
    assert _first_of_data([data, *[other] * 4, *[data] * 4, other, *[data] * 20]) == 0
    # of seventy rows that are looked at
    assert _first_of_data([*[other] * 65, data, *[other] * 4, *[data] * 40]) is None
    assert _first_of_data([*[other] * 65, data, other, other, data, data, other, *[data] * 40]) == 65


def test_hours_side_by_side_are_times_where_more_than_half_are() -> None:
    def labels(*heads: str) -> list[str]:
        rows = [["2024-01-01", *(str(at) for at in range(1, 1 + len(heads)))] for _ in range(3)]
        return _long(rows, [2, 3, 4], ["Date", *heads], 0, "f", []).headings

    assert "hour" in labels("1:00", "H7")
    assert "time" in labels("1:00", "2:00", "H7")
    assert "time" in labels("1:00", "2:00")


def test_a_file_has_ten_thousand_meters_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    assert green_button.MOST_METERS == 10_000
    monkeypatch.setattr(green_button, "MOST_METERS", 2)
    green_button._room({"a": 1}, "b")
    green_button._room({"a": 1, "b": 1}, "b")
    with pytest.raises(ValueError, match="more than 2 meters"):
        green_button._room({"a": 1, "b": 1}, "c")


def test_a_column_parts_rows_by_fuel_where_it_names_one_in_each() -> None:
    def rows(*cells: str) -> dict[str, list[int]]:
        return fuels_in(Table([[cell] for cell in cells], [], ["Service"]))

    assert rows("Electricity", "Gas", "electricity") == {"electricity": [0, 2], "natural_gas": [1]}
    assert rows("gas", "usage") == rows("usage", "note") == {}
    assert rows("Electricity", "12") == {}
    assert rows("Natural gas usage", "propane") == {"natural_gas": [0], "propane": [1]}
