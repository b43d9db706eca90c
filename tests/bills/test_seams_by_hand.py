"""Where bills, readings and columns meet: a day off at a seam, columns that repeat one another, clocks that are set, by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from bills.test_edges_of_fits import even
from bills.test_edges_of_sheets import refused
from bills.test_readers_csv import read

from costsim.bills.beside import months_beside
from costsim.bills.columns import Table
from costsim.bills.distinct import _counts, distinct
from costsim.bills.fit import measures
from costsim.bills.line import Season
from costsim.bills.model import merge_estimated
from costsim.bills.periods import _with_lengths
from costsim.bills.whole_days import day_lengths

DAY, HOUR, JAN = 86400, 3600, 1704067200
NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@pytest.mark.parametrize(
    ("dates", "days", "lone", "found"),
    [
        ("2023-02-01 2023-03-01 2023-04-01", (31, 27, 30), "start", "end"),  # ends that miss the date before by a day
        ("2023-02-01 2023-03-01 2023-04-01", (31, 26, 29), "start", "start"),  # by two: the heading tells
        ("2023-01-01 2023-02-01 2023-03-01", (30, 27, 31), "end", "start"),
        ("2023-01-01 2023-02-01 2023-03-01", (29, 26, 31), "end", "end"),
    ],
)
def test_a_date_is_the_end_that_its_days_make_run_on(dates: str, days: tuple[int, ...], lone: str, found: str) -> None:
    one = Table([], [], [], lone=lone)
    at = np.array(dates.split(), dtype="datetime64[D]")
    _with_lengths(at, np.array(days, dtype=float), np.ones(3), np.zeros(3, dtype=bool), np.arange(3), one)
    assert one.notes == [f"each date is the {found} of its period, by the number of days beside it"]


def test_an_actual_reading_before_days_that_are_missing_stands_by_itself() -> None:
    start = np.array(["2023-01-01", "2023-02-01", "2023-03-10"], dtype="datetime64[D]")
    end = np.array(["2023-02-01", "2023-03-01", "2023-04-01"], dtype="datetime64[D]")
    notes: list[str] = []
    found = merge_estimated(
        start, end, np.array([1.0, 2.0, 4.0]), np.array([False, True, False]), np.arange(2, 5), notes
    )
    assert (found[2].tolist(), found[0].tolist()) == ([1.0, 4.0], start[[0, 2]].tolist())
    assert notes == ["1 estimated readings at the end, with no actual one after them, were left out"]


# columns


def kept(*columns: tuple[float, ...], heads: tuple[str, ...] = ("A", "B", "C")) -> list[int]:
    """Columns of use that are left of some."""
    rows = [["x", *map(str, row)] for row in zip(*columns, strict=True)]
    one = Table(rows, list(range(len(rows))), ["d", *heads[: len(columns)]], {"start": 0})
    return distinct(one, list(range(1, 1 + len(columns))))


def test_a_number_that_stands_in_three_rows_is_a_meter_s() -> None:
    assert kept((5, 6), (12345, 12345)) == [1, 2]
    assert kept((5, 6, 7), (12345, 12345, 12345)) == [1]
    assert kept((5, 6, 7), (9999, 9999, 9999)) == [1, 2]
    assert kept((5, 6, 7), (10000, 10000, 10000)) == [1]
    assert kept((5, 5, 5), (12345, 12345, 12345)) == [1, 2]  # where nothing changes that tells nothing
    assert kept((0, 0, 0), (5, 6, 7)) == [2]
    assert kept((0, 0, 0), (0, 0, 0)) == [1]


def test_two_columns_nearly_alike_are_two_and_a_sum_is_one_to_a_thousandth() -> None:
    assert kept((1000, 2000, 1500), (1000.5, 2000.5, 1500.5)) == [1, 2]
    assert kept((1000, 2000, 1500), (1000.001, 2000.001, 1500.001)) == [1]
    assert kept((1, 4, 1), (2, 5, 1), (3.0031, 9, 2)) == [1, 2, 3]
    assert kept((1, 4, 1), (2, 5, 1), (3.0029, 9, 2)) == [3]


def test_a_register_is_off_by_one_where_whole_numbers_of_more_than_ten_are_rounded() -> None:
    def counts(use: float, off: float, base: float = 100.0) -> bool:
        used = np.full(5, use)
        states = base + np.cumsum(used)
        states[3] += off
        return _counts(states, used)

    assert [counts(11.0, 1.0), counts(10.0, 1.0), counts(11.0, 2.0)] == [True, False, False]
    # of others a hundredth
    assert [counts(0.3, off, 100.05) for off in (0.0112, 0.0116)] == [True, False]


# fits


def test_the_share_that_a_line_explains_by_hand() -> None:
    """30 days of 100 W and 60 of 200 W lie about 166.7 W; a line that is 10 W off leaves 90 · 10² of 30 · 66.7² + 60 · 33.3²."""
    bills = even(2, 30, np.array([100.0, 200.0]))
    bills = replace(
        bills, end_day=bills.end_day + np.array([0, 30]), energy_j=np.array([100.0, 200.0]) * bills.days * DAY
    )
    bills = replace(bills, energy_j=np.array([100.0 * 30, 200.0 * 60]) * DAY)
    fitted = np.array([110.0 * 30, 190.0 * 60]) * DAY
    wanted = 1 - 90 * 10**2 / (30 * (200 / 3) ** 2 + 60 * (100 / 3) ** 2)
    assert measures(bills, fitted, 1)[0] == pytest.approx(wanted)


def test_hours_of_a_period_lie_about_its_mean() -> None:
    """48 hours of 0 to 47 °C, whose quantiles from a 96th on lie 47 / 48 K apart."""
    season = Season(np.arange(48.0).reshape(2, 24), np.array([0]), np.array([2.0]))
    assert season.deviation_k() == pytest.approx((np.arange(48) + 0.5) / 48 * 47 - 23.5)


# months beside one another


def test_years_stand_over_use_and_cost_below_lines_of_other_things() -> None:
    above = [["Gas of the village", "", "", "", ""], ["", "", "", "", ""]]
    rows = [
        *above,
        ["Month", "2022", "", "2023", ""],
        ["", "kWh", "Cost", "kWh", "Cost"],
        *([name, "5", "1", "6", "2"] for name in NAMES),
    ]
    found = months_beside(rows, list(range(1, 1 + len(rows))))
    assert found is not None
    assert [row[1] for row in found.rows] == ["5"] * 12 + ["6"] * 12
    assert (found.lines[0], found.lines[-1], found.headings) == (5, 16, ["Month", "kWh"])


def test_a_row_that_ends_early_has_the_months_that_it_has() -> None:
    found = months_beside([["", *NAMES], ["2023", *map(str, range(10))]], [1, 2])
    assert found is not None
    assert [row[0] for row in found.rows] == [f"2023-{month:02}" for month in range(1, 11)]
    assert months_beside([["", *NAMES], ["2023", *map(str, range(9))]], [1, 2]) is None


def test_eighty_letters_of_the_first_row_are_shown() -> None:
    told = refused("a" * 200, "c")
    assert f"the first row is '{'a' * 80}'" in told


# clocks


@pytest.mark.parametrize(("length", "short"), [(DAY // 2, 2), (DAY // 3, 2), (DAY // 2 + 1, 1), (DAY, 1)])
def test_a_change_of_the_clock_is_of_the_day_that_a_long_reading_begins(length: int, short: int) -> None:
    """The clock is set forward between a reading that begins at noon of the second day and one at midnight."""
    start = JAN + np.arange(8) * (DAY // 2)
    clock = start + np.where(np.arange(8) >= 4, HOUR, 0)
    found = day_lengths(start, clock, np.full(8, length), JAN // DAY, 4, [])
    assert found.tolist() == [DAY - HOUR if at == short else DAY for at in range(4)]


@pytest.mark.parametrize(
    ("head", "stamp", "first"),
    [
        ("Interval End", "2024-01-{:02} 00:00", "2024-01-01"), ("Timestamp", "2024-01-{:02} 23:59", "2024-01-02"),
        ("Timestamp", "2024-01-{:02} 23:59:59", "2024-01-02"), ("Timestamp", "2024-01-{:02} 00:00", "2024-01-02"),
        ("Start", "2024-01-{:02} 00:00", "2024-01-02"), ("Interval End", "2024-01-{:02}", "2024-01-02"),
    ],
)  # fmt: skip
def test_the_use_of_a_day_is_told_at_its_end_its_last_moment_or_its_start(head: str, stamp: str, first: str) -> None:
    """Midnight at the end of 1 January is 0:00 of the 2nd; money goes with the use."""
    rows = [f"{stamp.format(day)},{day},{day / 10}" for day in range(2, 9)]
    found = read("\n".join([f"{head},Usage (kWh),Cost ($)", *rows]))
    assert (str(found.start_day[0]), found.n_periods) == (first, 7)
    assert found.energy_j / 3.6e6 == pytest.approx(np.arange(2.0, 9.0))
    assert found.cost == pytest.approx(np.arange(2.0, 9.0) / 10)


def test_a_register_read_at_the_last_minute_of_each_day_tells_the_next_day_s_use() -> None:
    states = 5000 + np.cumsum(np.arange(1.0, 9.0))
    rows = [f"2024-01-{day:02} 23:59,{state}" for day, state in enumerate(states, 1)]
    found = read("\n".join(["Time,Meter Reading (kWh)", *rows]))
    assert (str(found.start_day[0]), found.energy_j[0] / 3.6e6) == ("2024-01-02", pytest.approx(2.0))


def test_money_of_hours_headed_by_their_ends_goes_with_the_use() -> None:
    hours = np.datetime64("2024-01-01T01:00") + np.arange(72) * np.timedelta64(1, "h")
    rows = [f"{str(one).replace('T', ' ')},1,{1 + at // 24}" for at, one in enumerate(hours)]
    found = read("\n".join(["Interval End,Usage (kWh),Cost ($)", *rows]))
    assert (found.energy_j / 3.6e6).tolist() == pytest.approx([24.0] * 3)
    assert found.cost.tolist() == [24.0, 48.0, 72.0]
