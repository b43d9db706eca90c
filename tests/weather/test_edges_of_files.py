"""Heads, hours and sizes of weather files, and winters as plain data: what stands in a file and what is made of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pvlib
import pytest

from costsim.errors import InputError
from costsim.physics.sun import solar_position
from costsim.weather import Weather, readers
from costsim.weather.checks import months_of
from costsim.weather.download import Download, _stated, take_apart
from costsim.weather.history import Winter, history_json, how_unusual
from costsim.weather.hours import Hours
from costsim.weather.sunlight import split_from_global
from costsim.weather.times import find_times


def download(*head: str, lines: tuple[str, ...]) -> Download:
    return Download({}, {}, list(head), list(lines), ",", None)


def test_what_stands_above_a_table_is_read_in_pairs_of_lines_and_by_colons() -> None:
    assert _stated(["Latitude,Longitude,Elevation", "47,12.8,900"]) == {
        "latitude": "47",
        "longitude": "12.8",
        "elevation": "900",
    }
    assert _stated(["Latitude: 47", "no colon, no key"]) == {"latitude": "47"}
    assert _stated(["a,b,c", "1,2,3"]) == {}
    told = "Dates (month/day/year): 01/01/2020 through 12/31/2020 in LST"
    assert _stated([told])["clock"] == "lst"
    assert _stated(["Made: 2024-01-01 10:30:00"]) == {"made": "2024-01-01 10:30:00"}
    # a second word on elevation says nothing of how high it is, unless it is a number behind a sign of equality
    assert _stated(["Elevation: 400", "Elevation source: a survey"])["elevation"] == "400"
    assert _stated(["Elevation: 400", "Elevation of the grid = 380 m"])["elevation"] == "400"
    assert _stated(["Elevation of the grid: mean = 380"])["elevation"] == "380"


def test_rows_are_told_from_what_stands_around_them() -> None:
    isd = "2020 01 01 00  -15 -50 9999 270 30 0 -9999 -9999"
    for lines in ((isd, isd, "end of table"), (isd, "x", isd), ("x", isd, isd)):
        assert take_apart("\n".join(lines), "f").head[0] != "isd-lite year"
    assert take_apart(f"{isd}\n{isd}\n{isd}\n", "f").head[0] == "isd-lite year"
    # words end a table of numbers, not one whose rows begin with words
    rows = [f"Mill,2023-01-01 0{at}:00,5" for at in range(3)]
    assert take_apart("\n".join(["station,time,outdoor [degC]", *rows]), "f").lines == rows
    rows = [f"2023-01-01 0{at}:00,5" for at in range(3)]
    assert take_apart("\n".join(["time,outdoor [degC]", *rows, "mean,5", "source: made"]), "f").lines == rows
    # twelve lines of words at most, and never the first row
    many = [*rows, *["mean,5"] * 13]
    assert take_apart("\n".join(["time,outdoor [degC]", *many]), "f").lines == many[:4]
    # what a service writes below its table has no date in the column of dates
    station = [f"KBOS,2023-01-01 0{at}:00,50" for at in range(3)]
    for legend in (["end of data"], ["end of data", "made, by hand, 2023"], []):
        assert take_apart("\n".join(["station,valid,tmpf", *station, *legend]), "f").lines == station
    # what somebody says on top is less than 2,000 letters long
    for length, kept in ((1999, True), (2000, False)):
        line = "# title: " + "a" * (length - 9)
        assert ("title" in take_apart("\n".join([line, "time,outdoor [degC]", *rows]), "f").about) == kept


def test_a_table_of_thirteen_columns_keeps_its_headings() -> None:
    """As many as a bulk file without headings has."""
    head = ["time", "outdoor [degC]", *(f"note {at}" for at in range(11))]
    rows = [",".join([f"2023-01-01 0{at}:00", "5", *"0" * 11]) for at in range(3)]
    found = take_apart("\n".join([",".join(head), *rows]), "f")
    assert (found.head, found.lines) == (head, rows)


def test_hours_follow_their_first() -> None:
    hours = Hours(np.datetime64("2021-12-31T22:00"), {"outdoor": np.zeros(4)})
    assert [str(one) for one in hours.times] == [
        "2021-12-31T22:00",
        "2021-12-31T23:00",
        "2022-01-01T00:00",
        "2022-01-01T01:00",
    ]


def test_hours_as_100_to_2400_are_those_of_a_clock() -> None:
    """Such as some services write them; 24 alone is an hour too."""
    head = ("Year", "Month", "Day", "Hour", "x")
    for step in (1, 100):
        lines = [f"2021,1,{day},{hour * step},0" for day in (1, 2) for hour in range(1, 25)]
        found = find_times(download(*head, lines=tuple(lines)), {}, "f")
        assert found is not None
        assert [str(one)[:16] for one in found.times[[0, 22, 23, 24]]] == [
            "2021-01-01T01:00",
            "2021-01-01T23:00",
            "2021-01-02T00:00",
            "2021-01-02T01:00",
        ]
    with pytest.raises(InputError, match="--map time: no column is headed 'when'"):
        find_times(download(*head, lines=("2021,1,1,1,0",)), {"time": ("when", "")}, "f")


def test_a_file_beyond_measure_is_told_with_its_size(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(readers, "MOST_BYTES", 2_000_000)
    assert readers.text_of(b"a,b\n" * 500_000, "f") == "a,b\n" * 500_000
    with pytest.raises(InputError, match="is 3 MB large"):
        readers.text_of(b"a" * 3_000_000, "f")


def test_winters_as_plain_data() -> None:
    some: Any = Winter("2020–21", None, 2000.0, -10.0)  # type: ignore[arg-type]
    found = history_json([some], None)
    # 65 °F are 18.33 °C
    assert found == {
        "base_c": 18.33,
        "winters": [{"name": "2020–21", "degree_days_k_d": 2000.0, "coldest_c": -10.0}],
        "last": None,
    }
    last = how_unusual([replace(some, degree_days_k_d=2000.0 + at) for at in range(8)])
    assert history_json([some], last)["last"]["milder"] == 7


def test_sun_of_a_file_that_tells_the_global_one_alone_is_split_by_the_day_s_own_clearness() -> None:
    """At half the sun outside the atmosphere 66 % are diffuse by Erbs's polynomial, summer and winter alike."""
    base = Weather(
        "a year", "here", "made", latitude_deg=40.0, longitude_deg=15.0, altitude_m=0.0, utc_offset_h=1.0, months=months_of(8760),
        outdoor_c=np.zeros(8760),
    )  # fmt: skip
    zenith, *_ = solar_position(latitude_deg=40.0, longitude_deg=15.0, altitude_m=0.0, utc_offset_h=1.0, n_hours=8760)
    day = np.repeat(np.arange(1, 366), 24)
    half = 0.5 * pvlib.irradiance.get_extra_radiation(day) * np.cos(np.radians(zenith))
    half = np.where(zenith < 80.0, half, 0.0)
    dni, dhi = split_from_global(base, half)
    k = 0.5
    diffuse = 0.9511 - 0.1604 * k + 4.388 * k**2 - 16.638 * k**3 + 12.336 * k**4
    up = half > 0
    assert dhi[up] / half[up] == pytest.approx(diffuse, abs=2e-4)
    assert dni[up] * np.cos(np.radians(zenith[up])) == pytest.approx((1 - diffuse) * half[up], rel=2e-3)
    assert dni[~up].max() == dhi[~up].max() == 0.0


def test_times_stand_under_a_heading_that_says_so_even_where_the_first_row_is_something_else() -> None:
    lines = ("x,units", *(f"{at},2021-01-01 0{at}:00" for at in range(1, 5)))
    for head in (("n", "Time"), ("n", "Date")):
        assert find_times(download(*head, lines=lines[1:]), {}, "f") is not None
    with pytest.raises(InputError, match="'units' in data row 1 is no date and time"):
        find_times(download("n", "Time", lines=lines), {}, "f")
    assert find_times(download("n", "what", lines=("1,a", "2,b", "5,c")), {}, "f") is None
