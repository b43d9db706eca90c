"""What a year of hours is taken for where one hour or one month tells: the side of the equator, borrowed hours, rows a year."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from weather.readings import hours_of, record

from costsim.errors import InputError
from costsim.weather.checks import believable, count_faults, mend, months_of
from costsim.weather.elements import days_of_elements
from costsim.weather.headings import number_and_unit, split_heading
from costsim.weather.history import Unusual, Winter, how_unusual
from costsim.weather.hours import filled, to_hours
from costsim.weather.join import joined, one_year, years_of_files
from costsim.weather.model import Weather, design_temperature
from costsim.weather.year_weather import weather_of, winters_of
from costsim.weather.years import missing_faults, whole_winters, whole_years


def year(outdoor_c: np.ndarray, latitude_deg: float = math.nan, **more: object) -> Weather:
    return Weather("", "", "", latitude_deg, 0.0, 0.0, 0.0, months_of(len(outdoor_c)), outdoor_c, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("month", range(1, 13))
def test_a_place_of_which_no_latitude_is_stated_lies_south_where_the_middle_of_its_year_is_colder(month: int) -> None:
    """December to February against June to August, each of the six months alone."""
    here = months_of(8760) == month
    assert year(np.where(here, -1.0, 0.0)).southern == (month in (6, 7, 8))
    assert year(np.where(here, 1.0, 0.0)).southern == (month in (12, 1, 2))
    assert not year(np.zeros(8760)).southern


def test_a_latitude_tells_the_side_of_the_equator_whatever_the_air_is() -> None:
    cold_july = np.where(months_of(8760) == 7, -9.0, 0.0)
    assert [year(cold_july, latitude).southern for latitude in (-0.1, 0.0, 0.1)] == [True, False, False]
    assert year(np.zeros(8760), -40.0).southern


def test_degrees_are_counted_below_the_base_by_hour_and_by_day() -> None:
    """A day of 12 hours at 8 °C and 12 at 16 °C below a base of 14 °C: 72 K h, 3 K d, and 2 K d by its mean of 12 °C."""
    warm = np.full(8784, 20.0)
    warm[:12], warm[12:24] = 8.0, 16.0
    one = year(warm)
    assert (one.n_hours, one.degree_hours_k_h(14.0), one.degree_days_k_d(14.0), one.daily_mean_degree_days_k_d(14.0)) == (
        8784, 72.0, 3.0, 2.0,
    )  # fmt: skip


def test_a_header_s_design_temperature_goes_before_that_of_the_hours() -> None:
    """Hours at 1, 2 … 101 °C: 99 % of them lie above the second."""
    hours = np.arange(1.0, 102.0)
    bare = Weather("", "", "", 47.0, 0.0, 0.0, 0.0, np.ones(101, dtype=np.int8), hours)
    assert bare.percentile_design_c(0.99) == pytest.approx(2.0)
    assert design_temperature(bare) == (
        pytest.approx(2.0),
        "it is colder than this only about 88 hours a year in the weather file",
    )
    stated = Weather("", "", "", 47.0, 0.0, 0.0, 0.0, np.ones(101, dtype=np.int8), hours, design_99_c=0.0)
    assert design_temperature(stated) == (0.0, "99 % value in the weather file's header")


def test_an_edge_is_lent_by_the_first_hours_of_all_and_never_by_hours_that_are_not_there() -> None:
    """Hours from 31 December 2021 on, without the last day of 2022: it comes from that 31 December, hour by hour."""
    (one,) = whole_years(hours_of("2021-12-31", 8760))
    assert one.name == "2022"
    assert one.values["outdoor"][8736:].tolist() == list(range(24))
    assert one.notes[0] == "24 hours at the year's edge come from the same day of the year beside"
    # five hours late, and no year beside: they take the first hour's value
    (late,) = whole_years(hours_of("2022-01-01T05", 8755))
    assert late.values["outdoor"][:7].tolist() == [0, 0, 0, 0, 0, 0, 1]
    assert late.notes == ("outdoor: 5 missing hours were interpolated, the longest run 5 h",)
    # one hour more lends its own to the first
    (lent,) = whole_years(hours_of("2022-01-01T05", 8756))
    assert lent.values["outdoor"][:2].tolist() == [8755, 8755 * 0.8]
    assert lent.notes[0] == "1 hours at the year's edge come from the same day of the year beside"


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (17_520, "17,520 rows without times were found, 2 for each hour"),
        (17_568, "17,568 rows without times were found, 2 for each hour"),
        (52_704, "52,704 rows without times were found, 6 for each hour"),
        (17_521, "17,521 hourly records were found"),
        (5, "5 hourly records were found"),
        (11, "11 hourly records were found"),
    ],
)
def test_rows_that_make_no_year_are_counted(rows: int, said: str) -> None:
    [fault] = count_faults(rows, "f")
    assert fault.problem.startswith(said)


def test_gaps_too_long_are_told_by_their_own_length_and_number() -> None:
    """Hours 101 to 107 of too few hours for a year, then of 8,760: day 5, 100 being four days and four hours."""

    def told(n: int, *gaps: tuple[int, int]) -> str:
        values = np.zeros(n)
        for first, end in gaps:
            values[first:end] = np.nan
        [fault] = mend(values, "outdoor", "f")[1]
        return fault.problem

    assert told(400, (100, 107)) == "7 hours in a row are missing from record 101"
    assert told(8760, (100, 107)) == "7 hours in a row are missing from Jan 5, hour 5"
    assert told(400, (10, 17), (50, 60), (70, 76)) == (
        "7 hours in a row are missing from record 11 (and 1 more such gaps)"
    )


@pytest.mark.parametrize(
    ("name", "bounds"), [("outdoor", (-90.0, 60.0)), ("ghi", (0.0, 1500.0)), ("wind", (0.0, 120.0))]
)
def test_a_value_at_the_end_of_what_is_believed_is_believed(name: str, bounds: tuple[float, float]) -> None:
    for value in bounds:
        hours = np.full(8760, 5.0)
        hours[7] = value
        found, notes = believable(hours, name)
        assert (found[7], notes) == (value, [])


def test_a_gap_of_six_hours_is_a_straight_line_and_one_of_seven_is_not() -> None:
    """Days that are warm from noon on, at 24 °C a day later: of seven hours each is what the hours a day around it say."""
    days = np.tile(np.where(np.arange(24) < 12, 0.0, 10.0), 4)
    for length, found_at_noon in ((6, 10.0 * 4 / 7), (7, 10.0)):
        hours = days.copy()
        hours[33 : 33 + length] = np.nan  # from nine in the morning of the second day on
        found, notes = filled(hours, "outdoor")
        assert found[36] == pytest.approx(found_at_noon)
        assert len(notes) == 1
        assert ("interpolated" in notes[0]) == (length == 6)
    # the first hour of all counts as well as any: in the middle between two days, the mean of both
    line = np.arange(100.0)
    line[24:31] = np.nan
    assert filled(line, "x")[0] == pytest.approx(np.arange(100.0))
    # of a gap at the end the day before alone, and of two days' hours the nearer counts twice as much
    edge = np.arange(55.0)
    edge[45:] = np.nan
    assert filled(edge, "x")[0][45:] == pytest.approx(np.arange(21.0, 31.0))
    far = np.repeat([0.0, 1.0, 2.0, 9.0], 24)
    far[24:72] = np.nan
    assert filled(far, "x")[0][[24, 71]] == pytest.approx([3.0, 6.0])


def test_hourly_readings_need_no_word_and_a_record_ends_with_130_years() -> None:
    assert to_hours(record("2023-01-01T00:00", [1, 2, 3]), "f").notes == ()
    two = record("1890-01-01T00:00", [1.0, 2.0])
    last = two.times[0] + np.array([0, (130 * 8784 - 1) * 3600]) * np.timedelta64(1, "s")
    assert to_hours(replace(two, times=last), "f").n == 130 * 8784
    with pytest.raises(InputError, match="more years than a record can have"):
        to_hours(replace(two, times=last + np.array([0, 3600]) * np.timedelta64(1, "s")), "f")


def test_rows_of_elements_have_four_cells_or_more() -> None:
    head = "station,date,tmax,tmin,tavg"
    assert days_of_elements(["S,20230101,TMAX,12"]) == [head, "S,20230101,12,,"]
    assert days_of_elements(["S,20230101,TMAX,12,"]) == [head, "S,20230101,12,,"]
    assert days_of_elements(["S,20230101,TMAX,12,,"]) == [head, "S,20230101,12,,"]
    assert days_of_elements(["S,20230101,TMAX,12,,X"]) == [head]
    # the first forty rows tell what it is; a cut one behind them is let go
    rows = [f"S,202301{day:02d},TMAX,{day}" for day in range(1, 29)] + [
        f"S,202302{day:02d},TMAX,5" for day in range(1, 14)
    ]
    assert len(days_of_elements([*rows, "S,20230301,TMAX"])) == 1 + 41
    assert days_of_elements([*rows[:39], "S,20230301,TMAX"]) == []


def test_headings_and_cells_with_units_at_their_limits() -> None:
    assert split_heading("T[degC]") == ("t", "degC")
    assert split_heading("[degC]") == ("[degc]", "")
    assert split_heading("outdoor ]degC[") == ("outdoor ]degc[", "")
    assert split_heading("wind [ m/s ] (hourly)") == ("wind", "m/s")
    # 120 letters are read and no more
    assert number_and_unit("1" + " " * 118 + "C") == ("1", "degC")
    assert number_and_unit("1" + " " * 119 + "C") == ("1" + " " * 119 + "C", "")


def test_winters_that_differ_by_next_to_nothing_are_judged_as_any() -> None:
    """Twice the spread of half a degree-day above five winters: as often as twice the spread of fifty."""

    def last(scale: float) -> Unusual:
        days = (3000.0, *(3000.0 + scale * one for one in (1.0, 2.0, 3.0, 4.0)), 3000.0 + scale * 6.0)
        return how_unusual([Winter(str(at), year(np.zeros(8760)), one, -10.0) for at, one in enumerate(days)])

    assert last(0.1).one_in == pytest.approx(last(100.0).one_in, rel=1e-6)
    # 4 over 1.5811 × √1.2 is t = 2.3094; of four degrees of freedom 2.132 is exceeded once in 20, 2.776 once in 40 (tables)
    assert 20.0 < last(100.0).one_in < 40.0


def test_a_fault_of_several_files_names_the_first_and_how_many_more() -> None:
    """Forty hours are no year."""
    first, later = (record(f"2023-01-0{day}", np.arange(40.0), utc_offset_h=0.0) for day in (1, 4))
    for records, file in (([("a.csv", first)], "a.csv"), ([("a.csv", first), ("b.csv", later)], "a.csv and 1 more")):
        with pytest.raises(InputError) as caught:
            one_year(records)
        assert {fault.file for fault in caught.value.faults} == {file}
    with pytest.raises(InputError) as caught:
        years_of_files([("b.csv", later), ("a.csv", first)])
    assert {fault.file for fault in caught.value.faults} == {"b.csv"}


@pytest.mark.parametrize(
    ("ours", "theirs", "moved"),
    [(1.0, -1.0, 2), (-5.0, -5.0, 0), (-5.0, -8.0, 3), (math.nan, 1.0, 0), (1.0, math.nan, 0)],
)
def test_clocks_of_files_are_brought_to_the_first_one_s(ours: float, theirs: float, moved: int) -> None:
    first, later = record("2023-01-01", [1.0], utc_offset_h=ours), record("2023-02-01", [2.0], utc_offset_h=theirs)
    whole = joined([("a", first), ("b", later)])
    assert str(whole.times[1]) == f"2023-02-01T0{moved}:00:00"


def test_months_of_several_years_make_one_year_in_any_table() -> None:
    """January of 2001, February of 2002 and so on: a typical year, whatever service it comes from and whatever year is asked for."""
    starts = [np.datetime64(f"{2000 + at}-{at:02d}-01T00", "s") for at in range(1, 13)]
    days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    times = np.concatenate(
        [at + np.arange(24 * n) * np.timedelta64(3600, "s") for at, n in zip(starts, days, strict=True)]
    )
    typical = replace(record("2001-01-01", np.arange(8760.0) % 24), times=times)
    for asked in (None, 2003):
        found = weather_of(typical, "f", asked)
        assert (found.n_hours, found.years, found.outdoor_c[5]) == (8760, tuple(range(2001, 2013)), 5.0)
    for wrong in (typical, replace(typical, times=None)):
        with pytest.raises(InputError, match="winters of real years are needed"):
            winters_of(wrong, "f")


def test_of_several_whole_years_the_last_is_used_and_told() -> None:
    two = record("2022-01-01", np.zeros(2 * 8760))
    several = "the file holds whole years 2022 to 2023; 2023 is used"
    assert several in weather_of(two, "f").notes
    assert several not in weather_of(two, "f", 2023).notes
    one = weather_of(record("2022-01-01", np.zeros(8760)), "f")
    assert not any("whole years" in note for note in one.notes)


def test_the_first_of_several_impossible_hours_is_shown() -> None:
    values = np.zeros(8760)
    values[[30, 40]] = 61.0, 99.0
    # half a per cent of odd values count as missing; here all others are odd too
    values[100:] = 70.0
    with pytest.raises(InputError, match=r"8,662 values lie outside -90 to 60 degC, first 61\.0 at 2022-01-02T06:00"):
        weather_of(record("2022-01-01", values), "f")


def test_gaps_of_more_than_three_days_are_told_and_three_of_them_shown() -> None:
    hours = hours_of("2023-01-01", 8760)
    values = hours.values["outdoor"]
    for at in range(5):
        values[at * 1000 + 100 : at * 1000 + 173] = np.nan
    values[6000:6072] = np.nan  # as long as is filled
    source = record("2023-01-01", [1.0])
    [fault] = missing_faults(source, hours, "f")
    assert fault.problem.endswith(
        "missing are 73 hours from 2023-01-05 04:00; 73 hours from 2023-02-15 20:00; 73 hours from 2023-03-29 12:00 and 2 more gaps"
    )
    values[3100:3173], values[4100:4173] = 0.0, 0.0
    assert "gaps" not in missing_faults(source, hours, "f")[0].problem
    values[:] = 0.0
    values[6000:6072] = np.nan
    assert missing_faults(source, hours, "f")[0].problem.endswith("missing are too many hours")


def test_winters_are_named_by_both_years() -> None:
    names = [one.name for one in whole_winters(hours_of("1998-07-01", 2 * 8760 + 24))]
    assert names == ["1998–99", "1999–00"]
