"""Numbers, dates, times, states and clocks of bills on both sides of every limit, each against a plain reckoning."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from costsim.bills.dates import evenness, month_number, possible_orders, read_date
from costsim.bills.local_time import LocalTime, ReadClock
from costsim.bills.model import Bills, joined, merge_estimated, raise_faults, span_faults
from costsim.bills.numbers import decimal_mark, split_amount, to_number
from costsim.bills.register import differences
from costsim.bills.stamps import kind_of, moment, month, months_named, seconds_of, span, time_of_day
from costsim.bills.unfold import differing, is_change
from costsim.bills.year import year_of_hours
from costsim.bills.zone import ZoneTime
from costsim.errors import Fault, InputError

DAY = np.timedelta64(1, "D")


def days(*texts: str) -> Any:
    return np.array(texts, dtype="datetime64[D]")


def bills(spans: list[tuple[str, str]], energy: list[float] | None = None, name: str = "b", **more: Any) -> Bills:
    start, end = (days(*(one[at] for one in spans)) for at in (0, 1))
    n = len(spans)
    values = np.array(energy or [1.0] * n)
    return Bills(name, "propane", start, end, values, np.zeros(n, dtype=bool), np.zeros(n, dtype=np.int64), **more)


@pytest.mark.parametrize(
    ("texts", "comma", "mark"),
    [
        (["12", "7"], False, "."), (["1,5"], False, ","), (["1.5"], True, "."), (["0,123"], False, ","), (["-0,123"], False, ","),
        ([",123"], False, ","), (["1234,567"], False, ","), (["123,456"], False, "?0"), (["1,234,567"], False, "."), (["1.234.567"], False, ","),
        (["1,234.5"], True, "."), (["1.234,5"], False, ","), (["1,234", "5"], False, "."), (["1,234", "999"], False, "."),
        (["7", "1,234", "1000"], False, "?1"), (["1,234", "2,345"], True, ","), (["1,234", "5"], True, "?0"), (["1.234"], False, "."),
        (["1.234"], True, "?0"), (["1.234", "12"], True, ","), (["1,234", "12,3456"], False, ","),
    ],
)  # fmt: skip
def test_the_decimal_mark_is_told_from_the_whole_column(texts: list[str], comma: bool, mark: str) -> None:
    found, at = decimal_mark(texts, comma)
    assert f"{found}{at}" == mark if "?" in mark else (found, at) == (mark, -1)


def test_numbers_of_cells() -> None:
    cells = {"(12)": ("-12", ""), "1.5e3": ("1500", ""), "1,5e-1": ("0,15", ""), "+5": ("5", ""), "\u22125 m³": ("-5", "m³"), "$5": None,
             "1 234,5": ("1234,5", ""), "-.5": ("-.5", ""), "5 kWh": ("5", "kWh"), "": None, "5-6": None}  # fmt: skip
    assert {text: split_amount(text) for text in cells} == cells
    for text, mark, value in (
        ("1,234.5", ".", 1234.5),
        ("-1.234,5", ",", -1234.5),
        ("12.", ".", 12.0),
        (".5", ".", 0.5),
        ("1.234", ".", 1.234),
    ):
        assert to_number(text, mark) == value
    assert all(
        np.isnan(to_number(*one)) for one in (("1,23.4", "."), ("1.2.3", "."), ("12,3456.7", "."), ("1.23,4", ","))
    )


def test_months_in_six_languages() -> None:
    rows = {
        1: "january januar janvier enero jänner januari gennaio jan 1 01", 2: "february februar février fevrier febrero februari febbraio feb",
        3: "march märz maerz mars marzo maart mrz Mar.", 4: "april avril abril aprile apr avr", 5: "may mai mayo mei maggio",
        6: "june juni juin junio giugno jun", 7: "july juli juillet julio luglio jul", 8: "august août aout agosto augustus aug",
        9: "september septembre septiembre settembre sept sep 9", 10: "october oktober octobre octubre ottobre okt oct",
        11: "november novembre noviembre nov", 12: "december dezember décembre decembre diciembre dicembre dez 12",
        0: "ju ja 13 0 smarch x ma",
    }  # fmt: skip
    for number, names in rows.items():
        assert {name: month_number(name) for name in names.split()} == dict.fromkeys(names.split(), number)


@pytest.mark.parametrize(
    ("text", "order", "date"),
    [
        ("1/2/68", "mdy", "2068-01-02"), ("1/2/69", "mdy", "1969-01-02"), ("1/2/168", "mdy", ""), ("168/1/2", "ymd", ""), ("24/1/2", "ymd", ""),
        ("24/01/02", "ymd", "2024-01-02"), ("1900-01-01", "ymd", "1900-01-01"), ("1899-12-31", "ymd", ""), ("2100-12-31", "ymd", "2100-12-31"),
        ("2101-01-01", "ymd", ""), ("2024-1-5", "dmy", "2024-01-05"), ("2024-1-105", "ymd", ""), ("20240105", "mdy", "2024-01-05"),
        ("5. März 2024", "mdy", "2024-03-05"), ("1er mai 2024", "mdy", "2024-05-01"), ("Mar 5th, 24", "dmy", "2024-03-05"),
        ("3 de marzo de 2024", "mdy", "2024-03-03"), ("2024年3月5日", "mdy", "2024-03-05"), ("Tue, 5 Mar 2024", "mdy", "2024-03-05"),
        ("2024-03-05 23:59", "ymd", "2024-03-05"), ("31.4.2024", "dmy", ""), ("5 Foo 2024", "dmy", ""), ("1/2", "mdy", ""),
    ],
)  # fmt: skip
def test_dates_of_cells(text: str, order: str, date: str) -> None:
    found = read_date(text, order)
    assert (found.isoformat() if found else "") == date


def test_orders_of_dates_and_how_badly_they_make_bills() -> None:
    assert possible_orders(["2024-01-05"]) == ["ymd"]
    assert possible_orders(["1/2/2024", "2/13/2024"]) == ["mdy"]
    assert possible_orders(["1/2/2024", "2/3/2024"]) == ["mdy", "dmy"]
    assert possible_orders(["1.2.2024", "2.3.2024"]) == ["dmy"]
    assert possible_orders(["5/5/2024"]) == ["mdy"]
    assert possible_orders(["31/31/2024"]) == []

    def scored(*spans: tuple[int, int]) -> tuple[int, int]:
        first, last = (np.array([one[at] for one in spans]).astype("datetime64[D]") for at in (0, 1))
        return evenness(first, last)

    assert scored((0, 30), (30, 60), (60, 90)) == (0, 0)
    assert scored((0, 30), (31, 60), (59, 90)) == (0, 0)  # a day off either way is a way of writing
    assert scored((0, 30), (32, 60), (60, 90)) == (1, 0)
    assert scored((0, 30), (28, 60), (60, 90)) == (1, 0)
    assert scored((0, 30), (30, 30), (30, 60)) == (2, 2)  # a bill without a day, and a date that comes twice
    assert scored((0, 30), (30, 60), (60, 100)) == (0, 0)
    assert scored((0, 30), (30, 60), (60, 101)) == (0, 1)  # more than a third longer than the usual
    assert [scored((0, n), (n, 2 * n), (2 * n, 3 * n)) for n in (4, 5, 200, 201)] == [(0, 3), (0, 0), (0, 0), (0, 3)]


def test_times_of_day_and_their_offsets() -> None:
    clock = {"24:00": 86400, "24:01": None, "12:00 am": 0, "12:00 PM": 43200, "1 pm": 46800, "0:30 am": None, "13:00 pm": None, "1:60": None,
             "1:00:60": None, "1:00:59.5": 3659, "0130": 5400, "2360": None, "2359": 86340, "7": None, "11:59 p.m.": 86340}  # fmt: skip
    assert {text: (found[0] if (found := time_of_day(text)) else None) for text in clock} == clock
    zones = {"Z": 0, "utc": 0, "GMT": 0, "BST": 1, "CET": 1, "CEST": 2, "EST": -5, "EDT": -4, "CST": -6, "CDT": -5, "MST": -7, "MDT": -6,
             "PST": -8, "PDT": -7, "+05:30": 5.5, "-0330": -3.5, "+09": 9, "-06:00": -6}  # fmt: skip
    assert {text: time_of_day(f"1:00 {text}")[1] for text in zones} == {
        text: hours * 3600 for text, hours in zones.items()
    }
    assert time_of_day("1:00") == (3600, None)


def test_cells_of_dates_months_and_spans() -> None:
    # seconds since 1970 from 2000 to the end of 2099
    assert [moment(text) is not None for text in ("0946684799", "0946684800", "4102444799", "4102444800", "946684800")] == [
        False, True, True, False, False,
    ]  # fmt: skip
    one = moment("1700000000000")
    assert one is not None
    assert (one.date, one.second, one.offset_s) == ("2023-11-14", 22 * 3600 + 13 * 60 + 20, 0)
    assert moment("2024-01-05T01:00") == moment("2024-01-05 1:00 ")
    assert [moment(text) for text in ("", "10:30", "2024-01-05 25:00", "x 10:30", "2024-01-05" + " " * 70 + "x")] == [
        None
    ] * 5
    for text, date in (
        ("Mar-68", "2068-03-01"),
        ("Mar 69", "1969-03-01"),
        ("12/2024", "2024-12-01"),
        ("2024-12", "2024-12-01"),
        ("2024年1月分", "2024-01-01"),
    ):
        assert str(month(text)) == date
    assert [month(text) for text in ("13/2024", "0/2024", "Foo 2024", "2024-13", "12/24")] == [None] * 5
    for text, first in (
        ("Q4 2019", "2019-10-01"),
        ("2. Quartal 2020", "2020-04-01"),
        ("T1-68", "2068-01-01"),
        ("1Q69", "1969-01-01"),
        ("2019/Q3", "2019-07-01"),
    ):
        assert months_named(text) == (dt.date.fromisoformat(first), 3)
    assert months_named("May 2020") == (dt.date(2020, 5, 1), 1)
    assert [months_named(text) for text in ("Q5 2019", "Q0 2019", "2019")] == [None] * 3
    parted = {"1/2/2024 - 2/2/2024": ("1/2/2024", "2/2/2024"), "2024-01-05/2024-02-05": ("2024-01-05", "2024-02-05"), "1-2-24-3-4-24": ("1-2-24", "3-4-24"),

              "0:00-0:30": ("0:00", "0:30"), "00:00 bis 00:30": ("00:00", "00:30"),
             "1/2/2024": None, "Mar 2024": None, "a - b": None, "1:0-2": None}  # fmt: skip
    assert {text: span(text) for text in parted} == parted
    kinds = {
        "2024-01-05": "date",
        "Mar 2024": "month",
        "0:00-0:30": "span",
        "10:30": "time",
        "0130": "",
        "12.5": "",
        "kWh": "",
        "": "",
    }
    assert {text: kind_of(text) for text in kinds} == kinds
    found = seconds_of([moment("2024-01-05"), None, moment("2024-01-05 00:00:07"), moment("5/6/2024")], "ymd")
    assert found.tolist() == [1704412800, np.iinfo(np.int64).min, 1704412807, np.iinfo(np.int64).min]


def test_states_of_a_register() -> None:
    def use(*states: float, at: list[int] | None = None) -> list[float]:
        seconds = None if at is None else np.array(at) * 86400
        return differences(np.array(states), list(range(2, 2 + len(states))), "m.csv", seconds)[0].tolist()

    assert use(100.0, 130.0, 130.0) == [30.0, 0.0]
    # 9,990 to 20 rolls over a register of four digits: 30; three times the largest other use is the most that is believed
    assert use(9900.0, 9990.0, 20.0, 50.0) == [90.0, 30.0, 30.0]
    assert use(9800.0, 9810.0, 9820.0, 9990.0, 500.0)[-1] == 510.0
    new = use(5200.0, 5390.0, 20.0, 210.0)
    assert np.isnan(new[1])
    assert new[::2] == [190.0, 190.0]
    for states in (
        (5000.0, 5100.0, 400.0, 500.0),
        (5000.0, 5100.0, 4000.0, 4100.0),
        (5000.0, 5100.0, 5200.0, 5300.0, 20.0, 800.0),
        (9800.0, 9810.0, 9820.0, 9990.0, 501.0),
    ):
        with pytest.raises(InputError, match="the register falls from"):
            use(*states)
    # three falls are no new meters; two are
    assert np.isnan(use(5000.0, 5100.0, 10.0, 110.0, 210.0, 310.0, 1.0, 90.0)[1])
    # what is lost may be a tenth of the time of a file, and no more
    assert np.isnan(use(5200.0, 5390.0, 20.0, 210.0, at=[0, 180, 210, 300])[1])
    with pytest.raises(InputError, match="nobody knows what was used in the 31 days before"):
        use(5200.0, 5390.0, 20.0, 210.0, at=[0, 179, 210, 300])


def test_many_faults_are_twenty_and_a_number() -> None:
    raise_faults([])
    for count, shown in ((20, 20), (21, 21), (25, 21)):
        with pytest.raises(InputError) as caught:
            raise_faults([Fault(f"line {at}", "is wrong", "mend it", "f") for at in range(count)])
        assert len(caught.value.faults) == shown
        if count > 20:
            assert f"{count - 20} more faults of this kind were found" in str(caught.value.faults[-1])


def test_gaps_of_a_tenth_are_left_out_and_of_more_refused() -> None:
    def faults(*spans: tuple[str, str], lines: list[int] | None = None) -> tuple[list[str], list[str]]:
        notes: list[str] = []
        one = bills(list(spans))
        found = span_faults("f", one.start_day, one.end_day, lines or [0] * len(spans), notes)
        return [str(fault) for fault in found], notes

    # 100 days, 10 of them missing; 11 of them
    assert faults(("2023-01-01", "2023-02-20"), ("2023-03-02", "2023-04-11")) == (
        [], ["no bill covers 10 days (2023-02-20 to 2023-03-01); they are left out of the fit"],
    )  # fmt: skip
    (told,), notes = faults(("2023-01-01", "2023-02-20"), ("2023-03-03", "2023-04-11"))
    assert (notes, "no bill covers the 11 days from 2023-02-20 to 2023-03-02" in told) == ([], True)
    (told,), _ = faults(("2023-01-01", "2023-02-01"), ("2023-01-30", "2023-03-01"), lines=[2, 3])
    assert "line 3: the period from 2023-01-30 begins 2 days before the one before it ends (2023-02-01)" in told
    assert faults(("2023-01-01", "2023-02-01"), ("2023-02-01", "2023-02-02")) == ([], [])
    (told,), _ = faults(("2023-01-01", "2023-01-01"))
    assert "2023-01-01: the period from 2023-01-01 ends on 2023-01-01" in told
    several = [(f"2023-{m:02d}-01", f"2023-{m:02d}-28") for m in range(1, 6)]
    assert "2023-03-28 to 2023-03-31 …)" in faults(*several)[1][0]


def test_periods_are_put_together_up_to_a_length_and_not_across_gaps() -> None:
    week = [
        (str(np.datetime64("2023-01-01") + 7 * at * DAY), str(np.datetime64("2023-01-01") + 7 * (at + 1) * DAY))
        for at in range(9)
    ]
    assert bills(week).grouped(28).energy_j.tolist() == [4.0, 5.0]  # the short rest joins the group before it
    assert bills(week).grouped(7).n_periods == 9
    assert bills(week).grouped(29).energy_j.tolist() == [9.0]
    gappy = bills([*week[:4], *week[5:7]])
    assert gappy.grouped(28).energy_j.tolist() == [4.0, 2.0]
    assert bills([*week[:2], *week[3:]], cost=np.arange(8.0)).grouped(14).cost.tolist() == [1.0, 5.0, 9.0, 13.0]


def test_estimated_readings_join_the_next_actual_one() -> None:
    notes: list[str] = []
    start, end = (
        days("2023-01-01", "2023-02-01", "2023-03-01", "2023-04-01", "2023-05-01"),
        days("2023-02-01", "2023-03-01", "2023-04-01", "2023-05-01", "2023-06-01"),
    )
    flags, energy, lines = (
        np.array([True, False, True, False, True]),
        np.array([1.0, 2.0, 4.0, 8.0, 16.0]),
        np.arange(2, 7),
    )
    found = merge_estimated(start, end, energy, flags, lines, notes)
    assert found[2].tolist() == [3.0, 12.0]
    assert found[0].astype(str).tolist() == ["2023-01-01", "2023-03-01"]
    assert (found[1].astype(str).tolist(), found[3].tolist(), found[4].tolist()) == (
        ["2023-03-01", "2023-05-01"],
        [True, True],
        [3, 5],
    )
    assert notes == [
        "2 estimated or partial readings were put together with the next actual one",
        "1 estimated readings at the end, with no actual one after them, were left out",
    ]
    # not across days that are missing
    start[1] += 5 * DAY
    assert merge_estimated(start, end, energy, flags, lines, [])[2].tolist() == [2.0, 12.0]
    same = merge_estimated(start, end, energy, ~flags & False, lines, notes)
    assert same[2] is energy


def test_files_of_one_fuel_are_joined_and_rows_that_come_again_count_once() -> None:
    first = bills(
        [("2023-01-01", "2023-02-01"), ("2023-02-01", "2023-03-01")],
        [1.0, 2.0],
        "a",
        cost=np.array([5.0, 6.0]),
        currency="$",
    )
    later = bills(
        [("2023-02-01", "2023-03-01"), ("2023-03-01", "2023-04-01")],
        [2.0, 3.0],
        "b",
        cost=np.array([6.0, 7.0]),
        currency="$",
    )
    (whole,) = joined([later, first])
    assert (whole.energy_j.tolist(), whole.cost.tolist()) == ([1.0, 2.0, 3.0], [5.0, 6.0, 7.0])
    assert "1 rows stand in another file too and count once" in "\n".join(whole.notes)
    (again,) = joined([first, first])
    assert again.n_periods == 2
    assert again.notes == ("all rows of 'a' stand in another file too and count once",)
    (plain,) = joined([first, bills([("2023-03-01", "2023-04-01")], [3.0], "c")])
    assert plain.cost is None
    other = bills([("2023-01-01", "2023-01-20"), ("2023-01-20", "2023-03-01")], [9.0, 9.0], "d")
    with pytest.raises(
        InputError, match=r"'a' and 'd' both hold the days from 2023-01-01 to 2023-02-28, and not alike"
    ):
        joined([first, other])


def test_clocks_by_rules_by_name_and_by_readings() -> None:
    # the United States: second Sunday of March at 2 to first Sunday of November at 2 by summer time
    clock = LocalTime(-6 * 3600, 3600, 0x360E2000, 0xB40E2000, True)
    zone = ZoneTime(ZoneInfo("America/Chicago"))
    at = np.arange(
        int(np.datetime64("2024-03-09T00", "s").astype(int)), int(np.datetime64("2024-11-05", "s").astype(int)), 1800
    )
    assert np.array_equal(clock.clock(at), zone.clock(at))
    assert np.array_equal(clock.standard(at), at - 6 * 3600)
    # south of the equator: first Sunday of October to first Sunday of April
    south = LocalTime(10 * 3600, 3600, 0xA40E2000, 0x440E3000, True)
    sydney = ZoneTime(ZoneInfo("Australia/Sydney"))
    at = np.arange(
        int(np.datetime64("2024-03-30", "s").astype(int)), int(np.datetime64("2024-10-12", "s").astype(int)), 1800
    )
    assert np.array_equal(south.clock(at), sydney.clock(at))
    assert LocalTime(3600).clock(np.array([0])).tolist() == [3600]
    assert LocalTime(0, 3600).is_summer(np.array([0])).tolist() == [False]
    read = ReadClock(np.array([0, 100]), np.array([0, 3700]))
    assert read.clock(np.array([-5, 0, 99, 100, 101])).tolist() == [-5, 0, 99, 3700, 3701]
    assert read.standard(np.array([7])).tolist() == [7]
    sundays = {"2024-03-10": True, "2024-03-11": False, "2024-11-03": True, "2024-06-02": False, "2024-09-01": True, "2024-10-06": True,
               "2024-04-07": True, "2024-02-25": False, "2024-12-01": False, "2024-05-05": False, "2024-08-25": False}  # fmt: skip
    assert {day: is_change(int(np.datetime64(day, "s").astype(int)) + 7200) for day in sundays} == sundays
    base = np.array([0, 0, 1, 1, 2])
    assert differing(base, np.array([1.0, 1.0, 2.0, 3.0, 3.0])) == 1


def test_a_year_of_hours_is_a_whole_one_with_a_day_to_spare() -> None:
    def year(first: str, n: int, gone: slice = slice(0), twice: bool = False) -> tuple[Any, list[str], int]:
        hours = np.datetime64(first, "h") + np.arange(n)
        whole = np.ones(n, dtype=bool)
        whole[gone] = False
        return year_of_hours(hours, np.arange(n, dtype=float), whole)

    whole, told, count = year("2023-01-01", 8760)
    assert (whole.tolist() == list(range(8760)), told, count) == (True, [], 8760)
    assert len(year("2024-01-01", 8784)[0]) == 8784
    # the last whole calendar year of several is taken; 24 hours may be missing, and take the mean of their neighbours
    assert year("2022-01-01", 2 * 8760)[0][0] == 8760.0
    filled, told, _ = year("2023-01-01", 8760, slice(100, 124))
    assert filled[100:124] == pytest.approx(np.arange(100.0, 124.0))
    assert told == ["24 hours of the year that were not read take the mean of their neighbours"]
    none, told, count = year("2023-01-01", 8760, slice(100, 125))
    assert (none, told, count) == (None, [], 8735)
    # from July on it is folded: 1 January is hour 4,416, and of a day that comes twice the later one counts
    folded, told, _ = year("2022-07-01", 8760)
    assert folded[0] == 4416.0
    assert folded[4343] == 8759.0
    assert folded[4344] == 0.0
    assert "2022-07-01 to 2023-06-30 were put into the order of a calendar year" in told[0]
    # 29 February of 2024 is none of a plain year's days: 366 days from July 2023 on fill it once each
    leap, _, _ = year("2023-07-01", 8784)
    assert leap[59 * 24 - 1 : 59 * 24 + 1].tolist() == [(184 + 59) * 24 - 1, (184 + 60) * 24]
