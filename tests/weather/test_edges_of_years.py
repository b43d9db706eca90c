"""Gaps, hours, whole years and joined files of weather on both sides of every limit."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from weather.layouts import truth
from weather.readings import HOUR, hours_of, record

from costsim.errors import InputError
from costsim.weather.checks import (
    believable,
    checked_columns,
    count_faults,
    mend,
    months_of,
    range_faults,
    record_name,
    sun_note,
)
from costsim.weather.hours import Hours, filled, gaps, step_words, to_hours
from costsim.weather.join import joined, placed
from costsim.weather.model import Weather
from costsim.weather.record import _step, read_table
from costsim.weather.years import (
    chosen_year,
    last_twelve_months,
    missing_faults,
    whole_winters,
    whole_years,
)


def test_gaps_are_mended_up_to_six_hours_and_filled_up_to_three_days() -> None:
    values = np.arange(400.0)
    for length, long in ((6, False), (7, True)):
        gone = values.copy()
        gone[100 : 100 + length] = np.nan
        mended, faults, notes = mend(gone, "outdoor", "f")
        assert bool(faults) == long
        if not long:
            assert mended.tolist() == values.tolist()
            assert notes == ["outdoor: 6 missing hours were interpolated, the longest run 6 h"]
        else:
            assert "7 hours in a row are missing from record 101" in faults[0].problem
    assert mend(values, "x", "f") == (values, [], [])
    assert "not one value" in mend(np.full(9, np.nan), "x", "f")[1][0].problem
    two = values.copy()
    two[10:17] = two[50:60] = np.nan
    assert "(and 1 more such gaps)" in mend(two, "x", "f")[1][0].problem
    assert gaps(two) == [(10, 17), (50, 60)]
    daily = np.tile(np.arange(24.0), 20) + np.repeat(np.arange(20.0), 24)
    for length, whole in ((72, True), (73, False)):
        gone = daily.copy()
        gone[200 : 200 + length] = np.nan
        found, notes = filled(gone, "outdoor")
        assert bool(np.isfinite(found).all()) == whole
        if whole:
            # the same hours of the days before and after, the nearer counting more: a straight course over the days is kept
            assert found == pytest.approx(daily)
            assert notes == ["outdoor: 72 missing hours were filled from the days around, the longest run 72 h"]
    edge = daily.copy()
    edge[-10:] = np.nan
    assert filled(edge, "x")[0][-10:] == pytest.approx(daily[-10:] - 1)
    short = daily.copy()
    short[5:8] = np.nan
    assert filled(short, "x")[1] == ["x: 3 missing hours were interpolated, the longest run 3 h"]
    assert filled(np.full(5, np.nan), "x")[1] == []


def test_values_that_nobody_measured() -> None:
    sound = np.full(8760, 5.0)
    ends = {
        "outdoor": (-90.0, 60.0),
        "ghi": (0.0, 1500.0),
        "dni": (0.0, 1500.0),
        "dhi": (0.0, 1500.0),
        "wind": (0.0, 120.0),
    }
    for name, (low, high) in ends.items():
        assert [len(range_faults(np.array([value]), name, "f")) for value in (low, high, low - 0.1, high + 0.1)] == [
            0,
            0,
            1,
            1,
        ]
    # half a per cent of 8,760 hours are 43.8: as many are gaps, more mean another unit
    for count, turned in ((43, True), (44, False), (1, True)):
        odd = sound.copy()
        odd[:count] = 99.0
        found, notes = believable(odd, "outdoor")
        assert bool(np.isnan(found[0])) == turned
        assert bool(notes) == turned
    assert "first 99 at Jan 1, hour 1" in believable(np.where(np.arange(8760) == 0, 99.0, 5.0), "outdoor")[1][0]
    good, faults, notes = checked_columns({"outdoor": sound, "wind": sound + 200}, "f")
    assert (list(good), faults, notes[0][:18]) == (["outdoor"], [], "wind was left out:")
    assert checked_columns({"outdoor": sound + 200}, "f")[1]
    assert [record_name(at, n) for at, n in ((0, 8760), (8759, 8760), (59 * 24, 8760), (59 * 24, 8784), (3, 100))] == [
        "Jan 1, hour 1", "Dec 31, hour 24", "Mar 1, hour 1", "Feb 29, hour 1", "record 4",
    ]  # fmt: skip
    assert np.bincount(months_of(8784))[1:].tolist() == [
        24 * d for d in (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    ]
    assert [len(count_faults(n, "f")) for n in (8760, 8784, 8759)] == [0, 0, 1]
    assert "17,520 rows without times were found, 2 for each hour" in count_faults(17520, "f")[0].problem
    assert "as of monthly means" in count_faults(12, "f")[0].problem
    assert "0 hourly records" in count_faults(0, "f")[0].problem


def test_the_sun_tells_a_wrong_clock_from_three_quarters_of_an_hour_on() -> None:
    def note(noon: float, longitude: float = 15.0, offset: float = 1.0, sun: bool = True) -> str:
        low, share = int(noon - 0.5), noon - 0.5 - int(noon - 0.5)
        day = np.zeros(24)
        day[low], day[low + 1] = 500 * (1 - share), 500 * share
        ghi = np.tile(day, 365) if sun else None
        return sun_note(
            Weather("", "", "", 47.0, longitude, 0.0, offset, months_of(8760), np.zeros(8760), ghi_w_m2=ghi)
        )

    assert [bool(note(noon)) for noon in (12.0, 12.74, 12.76, 11.26, 11.24)] == [False, False, True, False, True]
    assert "stands highest around hour 13.0, but longitude and time zone put noon at 12.0" in note(13.0)
    # no country keeps its clock further than 3.5 h from the sun
    assert [bool(note(12.0, longitude, 0.0, sun=False)) for longitude in (52.4, 52.6, -52.4, -52.6, math.nan)] == [
        False,
        True,
        False,
        True,
        False,
    ]


def test_readings_become_hours() -> None:
    assert [step_words(one) for one in (60, 3600, 7200, 86400, 172799, 172800)] == [
        "every 1 minutes", "hourly", "every 2 hours", "daily", "daily", "every 2 days",
    ]  # fmt: skip
    half = to_hours(record("2023-01-01T00:00", [1, 3, 5, 7], 1800), "f")
    assert (half.values["outdoor"].tolist(), half.notes) == (
        [2.0, 6.0],
        ("readings every 30 minutes were averaged to hours",),
    )
    ends = to_hours(replace(record("2023-01-01T00:30", [1, 3, 5, 7], 1800), ends=frozenset({"outdoor"})), "f")
    assert (ends.values["outdoor"].tolist(), str(ends.first)) == (
        [2.0, 6.0, pytest.approx(np.nan, nan_ok=True)],
        "2023-01-01T00",
    )
    three = to_hours(record("2023-01-01T00:00", [1, 4], 10800), "f")
    assert three.values["outdoor"].tolist() == pytest.approx([1, np.nan, np.nan, 4], nan_ok=True)
    assert "every 3 hours; the hours between were interpolated" in three.notes[0]
    twice = record("2023-01-01T00:00", [1, 2, 4])
    again = replace(twice, times=twice.times[[0, 2, 2]])
    assert "1 rows have a time that came before; they were averaged" in to_hours(again, "f").notes
    assert to_hours(again, "f").values["outdoor"].tolist() == pytest.approx([1, np.nan, 3], nan_ok=True)
    assert "rows were not in the order" in to_hours(replace(twice, times=twice.times[::-1]), "f").notes[0]
    far = replace(twice, times=np.array(["1890-01-01", "1890-01-02", "2021-01-02"], dtype="datetime64[s]"))
    with pytest.raises(InputError, match="more years than a record can have"):
        to_hours(far, "f")
    times = twice.times
    assert [_step(one, timed, daily, "f") for one, timed, daily in ((times, True, False), (times, True, True), (times[:1], True, False), (times[:1],
        False, False))] == [
        3600, 86400, 3600, 86400,
    ]  # fmt: skip
    with pytest.raises(InputError, match="days come several times"):
        _step(np.repeat(times[:2], 3), False, False, "f")


def test_whole_years_winters_and_twelve_months() -> None:
    assert [one.name for one in whole_years(hours_of("2022-01-01", 2 * 8760))] == ["2022", "2023"]
    # a day at an edge may come from the same day of the year beside; more may not
    for late, names in ((24, ["2022"]), (25, [])):
        found = whole_years(hours_of(str(np.datetime64("2022-01-01T00", "h") + late * HOUR), 8760))
        assert [one.name for one in found] == names
    lent = whole_years(hours_of("2022-01-01T05", 8760))[0]
    assert lent.notes == ("5 hours at the year's edge come from the same day of the year beside",)
    assert lent.values["outdoor"][[0, 5, 8759]].tolist() == [8755.0, 0.0, 8754.0]
    (winter,) = whole_winters(hours_of("2022-07-01", 8760))
    assert (winter.name, winter.years, winter.values["outdoor"][0], winter.values["outdoor"][181 * 24]) == (
        "2022–23",
        (2022, 2023),
        4416.0,
        0.0,
    )
    (leap,) = whole_winters(hours_of("2023-07-01", 8784))
    # the hours of 1 January stand 184 days in; 29 February 2024 is day 59 of them, and no hour is lost
    assert (leap.name, leap.notes, len(leap.values["outdoor"])) == ("2023–24", (), 8784)
    assert leap.values["outdoor"][[0, 59 * 24, 8783]].tolist() == [184 * 24, (184 + 59) * 24, 184 * 24 - 1]
    assert leap.values["outdoor"].sum() == 8783 * 8784 / 2
    assert whole_winters(hours_of("2022-07-01", 8760, slice(2000, 2073))) == []
    year = last_twelve_months(hours_of("2022-04-01", 8760 + 100))
    assert year is not None
    assert year.name == "2022-04-05 to 2023-04-04"
    assert year.values["outdoor"][94 * 24] == 4 * 24
    assert year.values["outdoor"][0] == (30 + 31 + 30 + 31 + 31 + 30 + 31 + 30 + 31) * 24
    over_leap = last_twelve_months(hours_of("2023-06-01", 8784))
    assert over_leap is not None
    assert (over_leap.name, len(over_leap.values["outdoor"])) == ("2023-06-01 to 2024-05-31", 8784)
    assert last_twelve_months(hours_of("2022-04-01", 8000)) is None
    # a tenth of a year's hours may come from other days, and no more
    holes = np.arange(8760.0)
    for at in range(12):
        holes[at * 700 + 100 : at * 700 + 172] = np.nan
    assert len(whole_years(Hours(np.datetime64("2023-01-01T00", "h"), {"outdoor": holes}))) == 1
    holes[8500:8512] = np.nan  # with them 876 hours: just a tenth
    assert len(whole_years(Hours(np.datetime64("2023-01-01T00", "h"), {"outdoor": holes}))) == 1
    holes[8512] = np.nan
    assert whole_years(Hours(np.datetime64("2023-01-01T00", "h"), {"outdoor": holes})) == []
    sun = {"outdoor": np.arange(8760.0), "ghi": np.where(np.arange(8760) < 4000, np.nan, 1.0)}
    (one,) = whole_years(Hours(np.datetime64("2023-01-01T00", "h"), sun))
    assert (list(one.values), one.notes) == (
        ["outdoor"],
        ("ghi was left out: hours are missing that cannot be filled",),
    )
    years = whole_years(hours_of("2022-01-01", 2 * 8760))
    assert (chosen_year(years, None, "f").name, chosen_year(years, 2022, "f").name) == ("2023", "2022")
    with pytest.raises(InputError, match="2021 is not whole in the file; whole years are 2022, 2023"):
        chosen_year(years, 2021, "f")
    source = record("2023-01-01", [1.0])
    short, enough = (missing_faults(source, hours_of("2023-01-01", n, slice(100, 200)), "f")[0] for n in (8735, 8736))
    assert (
        "8,635 hours from 2023-01-01 00:00 to 2023-12-30 22:00 were read (made, hourly), and a year's run needs 8,760"
        in short.problem
    )
    assert "download 2 more days" in short.remedy
    assert "missing are 100 hours from 2023-01-05 04:00" in enough.problem


def test_files_of_one_place_are_joined() -> None:
    first, later = (
        record("2023-01-01", [1, 2], latitude_deg=47.0, longitude_deg=12.0, utc_offset_h=1.0),
        record("2023-01-01T05", [3, 4], latitude_deg=47.5, longitude_deg=12.0, utc_offset_h=3.0),
    )
    whole = joined([("b", first), ("a", later)])
    assert whole.times.astype("datetime64[h]").astype(str).tolist() == [
        "2023-01-01T00",
        "2023-01-01T01",
        "2023-01-01T03",
        "2023-01-01T04",
    ]
    assert (whole.source, whole.columns["outdoor"].tolist()) == ("made and 1 more", [1, 2, 3, 4])
    for change, said in (({"latitude_deg": 47.51}, "is of another place"), ({"longitude_deg": 12.6}, "is of another place"),
        ({"step_s": 86400}, "is daily beside"),
                         ({"times": None}, "has no dates")):  # fmt: skip
        with pytest.raises(InputError, match=said):
            joined([("b", first), ("a", replace(later, **change))])
    assert joined([("b", first)]) is first
    moved = placed(first, latitude_deg=1.0, altitude_m=5.0, utc_offset_h=2.5)
    assert (moved.latitude_deg, moved.longitude_deg, moved.altitude_m, moved.utc_offset_h) == (1.0, 12.0, 5.0, 2.5)
    assert moved.times[0] - first.times[0] == np.timedelta64(5400, "s")
    assert placed(first) == first or placed(first).times is first.times
    plain = read_table(
        "# latitude: 47\n# longitude: 12\n# utc_offset: 1\noutdoor [degC],low [degC]\n" + "5,1\n" * 30, "f"
    )
    assert (plain.times, plain.columns["outdoor"].tolist()[:2]) == (None, [5.0, 5.0])
    assert truth(24).shape == (24,)
