"""The wall clock over a weather year."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from costsim.tariffs.calendar import HourCalendar, parse_windows, public_holidays

NEW_YORK = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone="America/New_York", year=2025)
PLAIN = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone=None, year=2025)


def test_days_of_the_clock_change_have_23_and_25_hours() -> None:
    lengths = np.bincount(NEW_YORK.day)
    change = [
        int(np.flatnonzero((NEW_YORK.month == m) & (NEW_YORK.day_of_month == d))[0]) for m, d in ((3, 9), (11, 2))
    ]
    assert [lengths[NEW_YORK.day[hour]] for hour in change] == [23, 25]
    assert sorted(lengths)[1] == 24


def test_every_hour_equals_zoneinfo() -> None:
    from zoneinfo import ZoneInfo

    start = dt.datetime(2025, 1, 1, 5, tzinfo=dt.UTC)
    for hour in range(0, 8760, 7):
        local = (start + dt.timedelta(hours=hour)).astimezone(ZoneInfo("America/New_York"))
        assert (local.month, local.day, local.weekday(), local.hour) == (
            NEW_YORK.month[hour], NEW_YORK.day_of_month[hour], NEW_YORK.weekday[hour], NEW_YORK.clock_hour[hour],
        )  # fmt: skip


def test_a_window_across_midnight_covers_eight_hours() -> None:
    share = parse_windows(["23:00-07:00"]).share(PLAIN)
    assert share[:24].sum() == 8.0
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
    assert HourCalendar.build(n_hours=8784, utc_offset_h=0, timezone=None, year=2024).day_of_month[59 * 24] == 29


def test_a_zone_that_does_not_fit_is_told() -> None:
    assert (
        "4 h apart"
        in HourCalendar.build(n_hours=8760, utc_offset_h=-9.0, timezone="America/New_York", year=2025).warning
    )
    assert NEW_YORK.warning == ""


@pytest.mark.parametrize("text", ["22-06", "25:00-26:00", "06:00-06:00", "06:61-07:00", "", "x"])
def test_what_is_no_window_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="clock window"):
        parse_windows([text])


@pytest.mark.parametrize(("days", "months"), [("Mun", ""), ("", "Foo"), ("Mon-Tue-Wed", "")])
def test_what_is_no_day_or_month_is_refused(days: str, months: str) -> None:
    with pytest.raises(ValueError, match=r"is not a (day|month)"):
        parse_windows(["22:00-06:00"], days=days, months=months)


def test_a_country_nobody_knows_is_refused() -> None:
    with pytest.raises(ValueError, match="not a known country"):
        public_holidays("Atlantis", None, 2025)
