"""The wall clock over a weather year."""

from __future__ import annotations

import calendar
import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from costsim.errors import InputError
from costsim.tariffs.bill import monthly_energy_j
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges import Tariff
from costsim.tariffs.holidays import public_holidays
from costsim.tariffs.windows import parse_windows

NEW_YORK = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone="America/New_York", year=2025)
PLAIN = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone=None, year=2025)


def test_days_of_the_clock_change_have_23_and_25_hours(published) -> None:
    lengths = np.bincount(NEW_YORK.day)
    change = [
        int(np.flatnonzero((NEW_YORK.month == m) & (NEW_YORK.day_of_month == d))[0]) for m, d in ((3, 9), (11, 2))
    ]
    for key, hour in zip(("day_of_march_9", "day_of_november_2"), change, strict=True):
        published("tariffs")[key].check(float(lengths[NEW_YORK.day[hour]]))
    assert sorted(lengths)[1] == 24


def test_every_hour_equals_zoneinfo() -> None:
    start = dt.datetime(2025, 1, 1, 5, tzinfo=dt.UTC)
    for hour in range(0, 8760, 7):
        local = (start + dt.timedelta(hours=hour)).astimezone(ZoneInfo("America/New_York"))
        assert (local.month, local.day, local.weekday(), local.hour) == (
            NEW_YORK.month[hour], NEW_YORK.day_of_month[hour], NEW_YORK.weekday[hour], NEW_YORK.clock_hour[hour],
        )  # fmt: skip


def test_a_window_across_midnight_covers_eight_hours(published) -> None:
    share = parse_windows(["23:00-07:00"]).share(PLAIN)
    published("tariffs")["window_23_07"].check(float(share[:24].sum()))
    assert share.sum() == 8 * 365
    night = parse_windows(["22:00-06:00"]).share(NEW_YORK)
    by_day = [night[NEW_YORK.day == day].sum() for day in (67, 305)]
    assert by_day == [7.0, 9.0]


def test_minutes_and_days_and_months() -> None:
    share = parse_windows(["06:30-09:00"], days="Mon-Fri", months="Nov-Mar").share(PLAIN)
    assert set(np.unique(share)) == {0.0, 0.5, 1.0}
    assert share.sum() == 2.5 * sum(1 for d in range(365) if (dt.date(2025, 1, 1) + dt.timedelta(d)).weekday() < 5
                                    and (dt.date(2025, 1, 1) + dt.timedelta(d)).month in (11, 12, 1, 2, 3))  # fmt: skip


def test_a_window_across_midnight_belongs_to_the_day_it_starts() -> None:
    share = parse_windows(["22:00-06:00"], days="Fri").share(PLAIN)
    hours = np.flatnonzero(share)
    assert {(int(PLAIN.weekday[h]), int(PLAIN.clock_hour[h])) for h in hours} == {
        (4, 22),
        (4, 23),
        *((5, h) for h in range(6)),
    }


def test_holidays_are_data() -> None:
    calendar = HourCalendar.build(
        n_hours=8760, utc_offset_h=-5, timezone=None, year=2025, holidays=public_holidays("US", None, 2025)
    )
    free = parse_windows([], days="Sat, Sun, holidays").share(calendar)
    working = parse_windows([], days="Mon-Fri, not holidays").share(calendar)
    assert np.array_equal(free + working, np.ones(8760))
    july_4 = (calendar.month == 7) & (calendar.day_of_month == 4)
    assert free[july_4].sum() == 24


def test_a_leap_year_with_typical_weather_leaves_out_29_february() -> None:
    calendar = HourCalendar.build(n_hours=8760, utc_offset_h=0, timezone=None, year=2024)
    assert not ((calendar.month == 2) & (calendar.day_of_month == 29)).any()
    assert calendar.n_hours == 8760
    assert (calendar.month[-1], calendar.day_of_month[-1], calendar.clock_hour[-1]) == (12, 31, 23.0)
    assert HourCalendar.build(n_hours=8784, utc_offset_h=0, timezone=None, year=2024).day_of_month[59 * 24] == 29


def test_a_zone_that_does_not_fit_is_told() -> None:
    assert (
        "4 h apart"
        in HourCalendar.build(n_hours=8760, utc_offset_h=-9.0, timezone="America/New_York", year=2025).warning
    )
    assert NEW_YORK.warning == ""


@pytest.mark.parametrize(
    ("zone", "offset_h"), [("America/New_York", -4.5), ("America/New_York", -8.0), ("Europe/Dublin", 1.0)]
)
def test_only_the_standard_time_of_a_zone_fits(zone: str, offset_h: float) -> None:
    assert "h apart" in HourCalendar.build(n_hours=8760, utc_offset_h=offset_h, timezone=zone, year=2025).warning


@pytest.mark.parametrize(
    ("zone", "offset_h"),
    [("Europe/Berlin", 1.0), ("Australia/Sydney", 10.0), ("Africa/Casablanca", 1.0), ("Asia/Kolkata", 5.5)],
)
def test_standard_time_fits_on_either_half_of_the_earth(zone: str, offset_h: float) -> None:
    assert HourCalendar.build(n_hours=8760, utc_offset_h=offset_h, timezone=zone, year=2025).warning == ""


def test_summer_time_in_a_weather_file_is_told() -> None:
    warning = HourCalendar.build(n_hours=8760, utc_offset_h=-4.0, timezone="America/New_York", year=2025).warning
    assert "1 h apart" in warning


def minute_by_minute(zone: str, offset_h: float, hour: int) -> float:
    """Share of an hour of 2025 inside 22:10-06:30 of Fridays and Saturdays, or inside 00:00-00:20 of the same days."""
    start = dt.datetime(2025, 1, 1, tzinfo=dt.UTC) + dt.timedelta(hours=hour - offset_h)
    count = 0
    for minute in range(60):
        local = (start + dt.timedelta(minutes=minute)).astimezone(ZoneInfo(zone))
        clock = local.hour * 60 + local.minute
        today, before = local.weekday() in (4, 5), (local.weekday() - 1) % 7 in (4, 5)
        count += (today and (clock >= 1330 or clock < 20)) or (before and clock < 390)
    return count / 60


@pytest.mark.parametrize(
    ("zone", "offset_h"),
    [
        ("America/New_York", -5.0),
        ("Asia/Kolkata", 5.0),  # the file is half an hour off the zone, so hours straddle midnight
        ("Asia/Kathmandu", 5.5),
        ("Australia/Lord_Howe", 10.5),  # a summer time of half an hour
        ("America/Santiago", -4.0),  # the clock changes at midnight
    ],
)
def test_windows_equal_a_count_minute_by_minute(zone: str, offset_h: float) -> None:
    calendar = HourCalendar.build(n_hours=8760, utc_offset_h=offset_h, timezone=zone, year=2025)
    share = parse_windows(["22:10-06:30", "00:00-00:20"], days="Fri, Sat").share(calendar)
    hours = [*range(0, 8760, 11), *range(1500, 1700), *range(8700, 8760)]
    assert [share[hour] for hour in hours] == pytest.approx([minute_by_minute(zone, offset_h, hour) for hour in hours])


def test_windows_that_overlap_count_once() -> None:
    share = parse_windows(["22:00-22:30", "22:15-22:45", "23:00-01:30", "00:00-01:00"]).share(PLAIN)
    assert share[22] == 0.75
    assert share[24:26].tolist() == [1.0, 0.5]


def test_a_season_changes_at_midnight() -> None:
    share = parse_windows(["22:00-06:00"], months="Nov-Mar").share(PLAIN)
    assert share[(PLAIN.month == 4) | (PLAIN.month == 10)].sum() == 0.0
    assert share[(PLAIN.month == 11) & (PLAIN.day_of_month == 1)].sum() == 8.0


def test_the_evening_before_a_holiday_is_not_the_holiday() -> None:
    calendar = HourCalendar.build(
        n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025, holidays=[dt.date(2025, 7, 4)]
    )
    hours = np.flatnonzero(parse_windows(["22:00-06:00"], days="holidays").share(calendar))
    first = (dt.date(2025, 7, 4) - dt.date(2025, 1, 1)).days * 24
    assert (hours - first).tolist() == list(range(22, 30))


def test_the_night_that_leads_into_the_year_belongs_to_a_plain_day() -> None:
    """The last of December is no holiday by itself: what began on it ends on the first of January."""
    calendar = HourCalendar.build(
        n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025, holidays=[dt.date(2025, 1, 1)]
    )
    hours = np.flatnonzero(parse_windows(["22:00-06:00"], days="Mon-Fri, not holidays").share(calendar))
    assert hours[:8].tolist() == [0, 1, 2, 3, 4, 5, 24 + 22, 24 + 23]
    assert hours[-2:].tolist() == [8758, 8759]


def test_names_may_be_written_out() -> None:
    short = parse_windows(["06:00-09:00"], days="Tue-Thu", months="Sep")
    assert parse_windows(["06:00-09:00"], days="tuesday - Thurs", months="Sept") == short
    assert parse_windows([], days="Every Day") == parse_windows([])


def test_hours_that_do_not_fit_the_year_are_refused() -> None:
    with pytest.raises(InputError, match="8784 hours does not fit 2025"):
        HourCalendar.build(n_hours=8784, utc_offset_h=0.0, timezone=None, year=2025)


@pytest.mark.parametrize("text", ["22-06", "25:00-26:00", "06:00-06:00", "06:61-07:00", "", "x"])
def test_what_is_no_window_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="clock window"):
        parse_windows([text])


@pytest.mark.parametrize(
    ("days", "months"),
    [("Mun", ""), ("", "Foo"), ("Mon-Tue-Wed", ""), ("Monkey", ""), ("school holidays", ""), ("Mo", ""), ("", "Marsh")],
)
def test_what_is_no_day_or_month_is_refused(days: str, months: str) -> None:
    with pytest.raises(ValueError, match=r"is not a (day|month)"):
        parse_windows(["22:00-06:00"], days=days, months=months)


def test_a_country_nobody_knows_is_refused() -> None:
    with pytest.raises(ValueError, match="not a known country"):
        public_holidays("Atlantis", None, 2025)


def test_a_part_of_a_country_has_its_own_holidays() -> None:
    with pytest.raises(ValueError, match="not a known part of US"):
        public_holidays("US", "ZZ", 2025)
    # Bavaria keeps Epiphany, which the country as a whole does not
    assert dt.date(2025, 1, 6) in set(public_holidays("DE", "BY", 2025)) - set(public_holidays("DE", None, 2025))


def test_holidays_cannot_be_both() -> None:
    with pytest.raises(ValueError, match="for none"):
        parse_windows([], days="holidays, not holidays")


def test_hours_of_a_published_on_peak_window(published) -> None:
    calendar = HourCalendar.build(
        n_hours=8760, utc_offset_h=-6.0, timezone="America/Chicago", year=2025, holidays=[dt.date(2025, 7, 4)]
    )
    share = parse_windows(["15:00-19:00"], days="Mon-Fri, not holidays", months="Jun-Aug").share(calendar)
    published("tariffs")["on_peak_summer"].check(float(share.sum()))


def test_the_last_evening_of_the_year_knows_its_day() -> None:
    # 31 December 2025 is a Wednesday, 1 January 2026 a Thursday; a window across midnight belongs to the day it starts
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025)
    for days, last in (("Wed", 1.0), ("Thu", 0.0), ("Tue", 0.0)):
        share = parse_windows(["22:00-06:00"], days=days).share(clock)
        assert share[-1] == share[-2] == last
    # a clock ahead of the file's ends in the first hours of Thursday
    ahead = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone="Australia/Sydney", year=2025)
    assert ahead.weekday[-1] == 3
    assert parse_windows([], days="Thu").share(ahead)[-1] == 1.0


def test_half_an_hour_of_the_next_year_has_its_own_weekday() -> None:
    # clocks of India are half an hour ahead of the file's: its last hour ends at half past midnight on a Thursday
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=5.0, timezone="Asia/Kolkata", year=2025)
    shares = [parse_windows([], days=day).share(clock)[-1] for day in ("Wed", "Thu", "Fri")]
    assert shares == [0.5, 0.5, 0.0]
    # which is the 1st of January
    seasons = ("Jan", "Jan 1-Jan 31", "Jan 1", "Feb", "Jan 2-Jan 31", "Dec")
    assert [parse_windows([], months=one).share(clock)[-1] for one in seasons] == [0.5, 0.5, 0.5, 0.0, 0.0, 0.5]


@pytest.mark.parametrize("month", range(1, 13))
def test_a_season_ends_with_the_last_day_that_its_month_can_have(month: int) -> None:
    # 29 February among them; the days are the Gregorian calendar's, as the standard library counts them
    name, last = dt.date(2024, month, 1).strftime("%b"), calendar.monthrange(2024, month)[1]
    for months in (f"{name} {last}", f"{name}-{name} {last}", f"{name}, {name} 1"):
        assert parse_windows([], months=months).season[0][1] == 100 * month + last
    with pytest.raises(ValueError, match="is not a season"):
        parse_windows([], months=f"{name} {last + 1}")


@pytest.mark.parametrize(
    ("year", "weekday"), [(2023, "Mon"), (2024, "Wed"), (2025, "Thu"), (2022, "Sun"), (2021, "Sat")]
)
def test_the_day_after_each_years_last_is_that_of_the_next_new_year(year: int, weekday: str) -> None:
    # 31 December 2023 is a Sunday; weekdays by the standard library
    assert dt.date(year + 1, 1, 1).strftime("%a") == weekday
    hours = 8784 if year == 2024 else 8760
    clock = HourCalendar.build(n_hours=hours, utc_offset_h=5.0, timezone="Asia/Kolkata", year=year)
    found = {
        day: parse_windows([], days=day).share(clock)[-1] for day in ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
    }
    before = dt.date(year, 12, 31).strftime("%a")
    assert found == {day: 0.5 * (day in (before, weekday)) for day in found}


def test_months_and_days_of_a_clock_eleven_hours_ahead_are_whole() -> None:
    # Sydney against a file in UTC: 1 January has thirteen hours at the year's begin and eleven at its end; the clock goes back on
    # 6 April 2025 and forward on 5 October (zoneinfo), so that April has 721 hours and October 743
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone="Australia/Sydney", year=2025)
    one = Tariff("power", 1.0)
    hours = [744, 672, 744, 721, 744, 720, 744, 744, 720, 743, 720, 744]
    assert monthly_energy_j(one, clock, np.ones(8760)).tolist() == [hours]
    assert one.month_days(clock).tolist() == [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    assert (
        parse_windows([]).days_of_month(clock, clock.month.astype(np.int64)).tolist() == one.month_days(clock).tolist()
    )
    # a file in UTC, a clock five hours behind: its first five hours are 31 December
    behind = HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone="America/New_York", year=2025)
    hours = [744, 672, 743, 720, 744, 720, 744, 744, 720, 744, 721, 744]
    assert monthly_energy_j(one, behind, np.ones(8760)).tolist() == [hours]
    assert one.month_days(behind).tolist() == [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]


def test_the_coldest_day_is_that_of_the_lowest_mean_however_many_hours_it_has() -> None:
    # in New York 2 November 2025 has 25 hours and 9 March has 23
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone="America/New_York", year=2025)
    long, short = (clock.month == 11) & (clock.day_of_month == 2), (clock.month == 3) & (clock.day_of_month == 9)
    cold = (clock.month == 1) & (clock.day_of_month == 20)
    assert (long.sum(), short.sum(), cold.sum()) == (25, 23, 24)
    outdoor = np.where(long, -10.0, np.where(short, -10.7, np.where(cold, -10.5, 5.0)))
    weathered = replace(clock, outdoor_c=outdoor)
    for days, held in ((1, short), (2, short | cold), (3, short | cold | long)):
        share = replace(parse_windows([]), coldest_days=days).share(weathered)
        assert share.tolist() == held.astype(float).tolist()
