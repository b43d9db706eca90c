"""Outdoor temperatures of the days of bills: leap days, averages, ends and gaps on both sides of every limit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from cases import sample_weather

from costsim.bills.temperatures import (
    Temperatures,
    _gap_faults,
    _range_faults,
    _rows_of_year,
    _trimmed,
    from_days,
    from_weather,
)
from costsim.errors import InputError
from costsim.weather import Weather


def test_days_of_a_year_whatever_year_they_are_of() -> None:
    plain = np.arange(np.datetime64("2023-01-01"), np.datetime64("2024-01-01"))
    leap = np.arange(np.datetime64("2024-01-01"), np.datetime64("2025-01-01"))
    assert _rows_of_year(plain, 365).tolist() == list(range(365))
    assert _rows_of_year(leap, 366).tolist() == list(range(366))
    assert _rows_of_year(leap, 365).tolist() == [*range(59), 58, *range(59, 365)]
    assert _rows_of_year(plain, 366).tolist() == [*range(59), *range(60, 366)]
    typical = Temperatures("t", np.datetime64("2023-01-01"), np.arange(365.0)[:, None], True)
    assert typical.over(np.datetime64("2025-12-30"), np.datetime64("2026-01-03"))[:, 0].tolist() == [363, 364, 0, 1]
    dated = from_days("d", np.datetime64("2023-01-02"), np.arange(10.0)[:, None])
    assert dated.over(np.datetime64("2023-01-02"), np.datetime64("2023-01-12"))[:, 0].tolist() == list(range(10))
    for first, end in (("2023-01-01", "2023-01-05"), ("2023-01-05", "2023-01-13")):
        with pytest.raises(InputError, match="the weather runs from 2023-01-02 to 2023-01-11, the bills from"):
            dated.over(np.datetime64(first), np.datetime64(end))


def test_the_average_year_begins_in_january_and_leaves_leap_days_out() -> None:
    # two years from 1 February 2023 on, 29 February among them: each day of the year has both years' values
    days = np.arange(np.datetime64("2023-02-01"), np.datetime64("2025-02-05"))
    one = from_days("d", days[0], np.arange(float(len(days)))[:, None])
    year = one.average_year()
    assert year.shape == (365, 2)
    number = {str(day): at for at, day in enumerate(days)}
    for row, day in ((0, "01-01"), (31, "02-01"), (58, "02-28"), (59, "03-01"), (364, "12-31")):
        firsts = (2024, 2025) if day.startswith("01") else (2023, 2024)
        assert year[row].tolist() == [number[f"{at}-{day}"] for at in firsts]
    assert from_days("d", days[0], np.zeros((364, 1))).average_year() is None
    assert from_days("d", days[0], np.zeros((365, 1))).average_year() is not None


def test_a_dated_year_of_weather_with_its_leap_day_and_a_typical_one() -> None:
    real = sample_weather()
    dated: Weather = replace(real, years=(2024,), outdoor_c=np.arange(8760.0) / 300)
    found = from_weather(dated)
    assert (len(found.outdoor_c), found.typical, str(found.first_day)) == (366, False, "2024-01-01")
    assert np.array_equal(found.outdoor_c[59], found.outdoor_c[58])
    assert found.outdoor_c[60, 0] == dated.outdoor_c[59 * 24]
    for years, typical, first in (
        ((2023,), False, "2023-01-01"),
        ((1998, 2003), True, "2023-01-01"),
        ((1900,), False, "1900-01-01"),
    ):
        found = from_weather(replace(dated, years=years))
        assert (len(found.outdoor_c), found.typical, str(found.first_day)) == (365, typical, first)
    assert "a typical year" in from_weather(replace(dated, years=(1998, 2003))).notes[-1]
    assert "a synthetic year" in from_weather(replace(dated, synthetic=True)).notes[-1]


def test_days_at_the_ends_gaps_and_values_that_nobody_measured() -> None:
    first = np.datetime64("2023-01-01")
    hours = np.zeros(96)
    hours[:7] = np.nan  # seven hours of the first day: it has only begun; six of the last may be filled
    hours[-6:] = np.nan
    series, begins = _trimmed(hours, first, 24)
    assert (len(series), str(begins)) == (72, "2023-01-02")
    assert _trimmed(np.full(24, np.nan), first, 24)[1] == first
    daily, begins = _trimmed(np.array([np.nan, 1.0, np.nan, 2.0, np.nan]), first, 1)
    assert (len(daily), str(begins)) == (3, "2023-01-02")
    gap = np.zeros(10)
    gap[3:6] = np.nan
    assert _gap_faults(gap, 3, 3, first, 1, "f") == []
    gap[6] = np.nan
    assert "4 days in a row are missing from 2023-01-04; gaps of up to 3 days are filled" in str(
        _gap_faults(gap, 3, 3, first, 1, "f")[0]
    )
    many = np.zeros(300)
    for at in range(6):
        many[at * 40 : at * 40 + 30] = np.nan
    assert len(found := _gap_faults(many, 6, 72, first, 24, "f")) == 5
    assert "30 hours in a row are missing from 2023-01-02" in str(found[1])
    assert "not one temperature" in str(_gap_faults(np.full(5, np.nan), 3, 3, first, 1, "f")[0])
    assert _range_faults(np.array([-90.0, 60.0]), first, 24, "f") == []
    for bad in (-90.1, 60.1):
        values = np.zeros(60)
        values[[30, 50]] = bad
        assert "2 temperatures lie outside -90 to 60 °C, the first on 2023-01-02" in str(
            _range_faults(values, first, 24, "f")[0]
        )
