"""What a reader of bills chooses between, on both sides of each choice: orders of dates, readings that come again, money, columns."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from bills.test_readers_csv import lines_of

from costsim.bills import times
from costsim.bills.columns import Table, kinds_of
from costsim.bills.cost import costs_of
from costsim.bills.readers_csv import _drop_payments, _readings, read_hours_csv
from costsim.bills.times import Times, _evenest, _timed, times_of
from costsim.errors import InputError

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
