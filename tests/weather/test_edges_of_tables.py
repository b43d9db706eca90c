"""Tables of weather at the limits of what is read: stamps, zones, stations, columns without readings, downloads in JSON."""

from __future__ import annotations

import json
import math
import re
from typing import Any

import numpy as np
import pytest

from costsim.errors import InputError
from costsim.weather import times as finding
from costsim.weather.columns import Chosen, chosen_columns, mapping_of
from costsim.weather.download import Download, cells_of
from costsim.weather.json_download import json_table
from costsim.weather.layouts import layout_of
from costsim.weather.means import read_means
from costsim.weather.plain_csv import place_facts
from costsim.weather.record import _first_number, in_numbers, read_table
from costsim.weather.stamps import Stamps, from_columns, read_stamps, time_of
from costsim.weather.times import find_times, on_one_clock

HEAD = "# latitude: 47\n# longitude: 12\n# utc_offset: 1\n# altitude: 400\n"


# stamps


def test_plain_stamps_are_read_as_all_others_are() -> None:
    for text, taken in (("1800-01-01", True), ("1799-12-31", False), ("2200-12-31", True), ("2201-01-01", False)):
        if taken:
            assert str(read_stamps([text], "f").times[0]) == f"{text}T00:00:00"
        else:
            with pytest.raises(InputError):
                read_stamps([text], "f")
    mixed = read_stamps(["2016-01-02", "2016-01-02 01:00"], "f")
    assert (str(mixed.times[1]), mixed.timed) == ("2016-01-02T01:00:00", True)
    assert len(read_stamps([], "f").times) == 0


def test_a_stamp_ends_at_24_hours_and_forty_letters() -> None:
    assert time_of("24:00:00") == (86400, pytest.approx(math.nan, nan_ok=True))
    assert time_of("24:00:01") is None
    assert time_of("5" + " " * 39)[0] == 18000  # type: ignore[index]
    assert time_of("5" + " " * 40) is None


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        (["2016-02-01 x"], "'2016-02-01 x' in data row 1 is no date"),
        (["2016/01/31", "a" * 41], f"'{'a' * 40}' in data row 2 is no date"),
        (["2016/01/31", "2016/02/30"], "'2016/02/30' in data row 2 is no day of the calendar"),
        (["1/2/2016", "3/4/2016", "2/3/2016"], "day and month of '1/2/2016' cannot be told apart"),
        (["13/2/2016", "2/13/2016"], "'13/2/2016' and others are no dates in one order"),
    ],
)
def test_a_stamp_that_cannot_be_read_is_shown_with_its_row(texts: list[str], said: str) -> None:
    with pytest.raises(InputError) as caught:
        read_stamps(texts, "f")
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("hours", "ends"), [((1, 24), True), ((0, 23), False), ((0, 24), False), ((5, 6), False), ((24, 24), True)]
)
def test_hours_that_reach_24_without_a_0_are_counted_to_their_end(hours: tuple[int, int], ends: bool) -> None:
    rows = {"year": [2024.0] * 2, "month": [1.0] * 2, "day": [2.0] * 2, "hour": [float(hour) for hour in hours]}
    assert from_columns({key: np.array(values) for key, values in rows.items()}, "f").ends == ends


# tables


@pytest.mark.parametrize(
    ("zone", "local", "moved", "offset"),
    [(1, 3, 2, 3.0), (0, -5, -5, -5.0), (0, 14, 14, 14.0), (0, 15, 0, 0.0), (2, 2, 0, 2.0)],
)
def test_readings_come_to_the_local_time_zone_that_a_service_states(
    zone: int, local: int, moved: int, offset: float
) -> None:
    head = f"Source,Latitude,Longitude,Time Zone,Local Time Zone,Elevation\nNSRDB,47,12,{zone},{local},400\n"
    rows = "".join(f"2023,1,2,{hour},0,5,0,0,0,1\n" for hour in range(3))
    found = read_table(head + "Year,Month,Day,Hour,Minute,Temperature,DHI,DNI,GHI,Wind Speed\n" + rows, "f")
    assert found.times is not None
    assert found.times[0] == np.datetime64("2023-01-02T00", "s") + np.timedelta64(moved, "h")
    assert found.utc_offset_h == offset
    assert any("own standard time" in note for note in found.notes) == bool(moved)


def test_rows_of_several_places_without_a_name_are_a_question() -> None:
    rows = "".join(f"2023-01-01 0{hour}:00,{place},12,5\n" for hour in range(3) for place in (47, 48))
    text = "time,latitude,longitude,outdoor [degC]\n" + rows
    with pytest.raises(InputError, match="holds 2 stations: 47, 12; 48, 12"):
        read_table(text, "f")
    found = read_table(text, "f", station="48, 12")
    assert found.columns["outdoor"].tolist() == [5.0] * 3
    # one of the two alone tells no place
    assert len(read_table(text.replace("longitude", "depth"), "f").columns["outdoor"]) == 6


def test_a_mean_without_readings_gives_way_to_lows_and_highs() -> None:
    def columns(mean: str) -> Any:
        rows = "".join(f"2023-01-0{day},{mean},1,9\n" for day in (1, 2, 3))
        return read_table(HEAD + "date,mean temp [degC],low temp [degC],high temp [degC]\n" + rows, "f").columns

    assert set(columns("")) == {"low", "high"}
    assert set(columns("5")) == {"low", "high", "outdoor"}
    with pytest.raises(InputError, match="temperature"):
        read_table(HEAD + "date,tmin [degC]\n2023-01-01,1\n2023-01-02,1\n", "f")


def test_numbers_of_thirty_letters_at_most_and_places_of_the_first_fifty_rows() -> None:
    download = Download({}, {}, ["elevation"], [], ";", None)
    cells = ["1,5", "2" + "," + "0" * 28, "2" + "," + "0" * 29]
    assert in_numbers(cells, download, Chosen(0, "degC")).tolist() == pytest.approx([1.5, 2.0, math.nan], nan_ok=True)
    for at, found in ((49, 7.0), (50, math.nan)):
        lines = ["-"] * at + ["7"]
        table = Download({}, {}, ["elevation"], lines, ",", None)
        assert _first_number(table, 0) == pytest.approx(found, nan_ok=True)


def test_years_on_top_of_a_file_are_those_of_records() -> None:
    def years(text: str) -> Any:
        return place_facts({"years": text}, "f", needed=False)[0].get("years")

    assert years("1800 2200") == (1800, 2200)
    assert years("1799") is years("2201") is years("1900 2201") is years("") is None
    many = tuple(range(1900, 2000))
    assert years(" ".join(map(str, many))) == many


def test_headings_with_units_are_a_service_s_too() -> None:
    found = layout_of(["time", "temperature_2m (°C)", "wind_speed_10m (km/h)"])
    assert found is not None
    assert found.name == "Open-Meteo hourly"


def test_a_table_of_means_tells_what_it_lacks() -> None:
    place = "# latitude: 47\n# longitude: 12\n# utc_offset: 1\n"

    def said(text: str) -> str:
        with pytest.raises(InputError) as caught:
            read_means("m.csv", content=(place + text).encode())
        return str(caught.value)

    assert f"'{'month,' + 'a' * 54}' has no month and mean" in said("month," + "a" * 70 + "\n1,2\n")
    rows = [f"{month},5" for month in range(1, 12)]
    assert "row 13: has no mean temperature" in said("\n".join(["month,mean [degC]", *rows, "12"]) + "\n")


# JSON


def nasa(stamps: list[str]) -> str:
    """A table of NASA POWER, which gives longitude first."""
    found = {
        "geometry": {"coordinates": [12.5, 47.0, 400.0]},
        "header": {"time_standard": "UTC"},
        "properties": {"parameter": {"T2M": dict.fromkeys(stamps, 1.5), "WS2M": dict.fromkeys(stamps, 3)}},
    }
    return json_table(json.dumps(found).encode())


def test_nasa_s_days_and_hours_come_as_a_table() -> None:
    above = "Dates (month/day/year): in UTC\nLocation: Latitude 47.0 Longitude 12.5\n"
    assert nasa(["20230102"]) == above + "YEAR,MO,DY,T2M,WS2M\n2023,01,02,1.5,3\n"
    assert nasa(["2023010203"]) == above + "YEAR,MO,DY,HR,T2M,WS2M\n2023,01,02,03,1.5,3\n"
    assert nasa(["202301"]) == ""


@pytest.mark.parametrize("content", [b"", b"time,outdoor\n1,2", b"5", b"[1, 2]", b"{", b"\xff\xfe{", b"{}"])
def test_what_is_no_such_json_is_no_table(content: bytes) -> None:
    assert json_table(content) == ""


# where the times stand


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("2 of 3 at 4", True),
        ("1 of 1 at 4", False),
        ("01 of 01, 2024", True),
        ("1 of 1 24", False),
        ("2 of 3", False),
        ("12.5", False),
    ],
)
def test_a_day_written_in_an_unknown_way_is_told(cell: str, told: bool) -> None:
    """Three numbers are a day; the first day of a year without a name begins a table that says nothing of years."""
    table = Download({}, {}, ["reading time", "outdoor [degC]"], [f'"{cell}",5'] * 3, ",", None)
    if not told:
        assert find_times(table, {}, "f") is None
        return
    with pytest.raises(InputError, match=re.escape(f"'{cell}' is no date and time that is known")):
        find_times(table, {}, "f")


def test_a_first_row_that_is_short_has_no_hour_beside_its_date() -> None:
    table = Download({}, {}, ["date", "outdoor [degC]", "time"], ["2024-01-01,5", "2024-01-02,6,03:00"], ",", None)
    found = find_times(table, {}, "f")
    assert found is not None
    assert (found.timed, [str(one)[:10] for one in found.times]) == (False, ["2024-01-01", "2024-01-02"])


@pytest.mark.parametrize(
    ("hours", "times"),
    [((100, 200), ("01:00", "02:00")), ((0, 2300), ("00:00", "23:00")), ((30, 130), ("00:30", "01:30")), ((1, 23), ("01:00", "23:00")),
     ((25, 30), None), ((100, 165), None), ((100, 2500), None)],
)  # fmt: skip
def test_hours_beyond_a_hundred_carry_their_minutes(hours: tuple[int, int], times: tuple[str, str] | None) -> None:
    rows = [f"2024,1,2,{hour},5" for hour in hours]
    table = Download({}, {}, ["year", "month", "day", "hour", "outdoor [degC]"], rows, ",", None)
    if times is None:
        with pytest.raises(InputError, match="is no time of the calendar"):
            find_times(table, {}, "f")
        return
    found = find_times(table, {}, "f")
    assert found is not None
    assert [str(one) for one in found.times] == [f"2024-01-02T{one}:00" for one in times]


def test_hours_beside_a_date_may_have_two_digits_or_four() -> None:
    for hours, times in ((("1", "23"), ("01:00", "23:00")), (("100", "2300"), ("01:00", "23:00"))):
        rows = [f"2024-01-02,{hour},5" for hour in hours]
        found = find_times(Download({}, {}, ["date", "hour", "outdoor [degC]"], rows, ",", None), {}, "f")
        assert found is not None
        assert [str(one) for one in found.times] == [f"2024-01-02T{one}:00" for one in times]


def test_seconds_since_1970_have_ten_digits() -> None:
    """The first of them on 9 September 2001; those of 2027 on are dates with an hour."""
    rows = [f"{one},5" for one in ("1000000000", "1799999999")]
    found = find_times(Download({}, {}, ["time", "outdoor [degC]"], rows, ",", None), {"time": ("time", "")}, "f")
    assert found is not None
    assert [str(one) for one in found.times] == ["2001-09-09T01:46:40", "2027-01-15T07:59:59"]
    assert found.offset_h.tolist() == [0.0, 0.0]


def test_a_column_without_a_word_for_time_is_one_where_its_last_row_says_so_too() -> None:
    rows = [f"2024-01-0{day} 00:00,5" for day in range(1, 6)]
    head = ["when", "outdoor [degC]"]
    assert find_times(Download({}, {}, head, rows, ",", None), {}, "f") is not None
    first_is_none = ["x,5", *rows]
    assert find_times(Download({}, {}, head, first_is_none, ",", None), {}, "f") is None


@pytest.mark.parametrize(
    ("heading", "is_time"), [("station", False), ("number", False), ("date", True), ("Datum", True), ("valid", True)]
)
def test_eight_digits_are_a_day_where_the_heading_says_so(heading: str, is_time: bool) -> None:
    rows = [f"2016010{day},5" for day in (1, 1, 2)]
    found = find_times(Download({}, {}, [heading, "outdoor [degC]"], rows, ",", None), {}, "f")
    assert (found is not None) == is_time


@pytest.mark.parametrize(
    ("longitude", "offset"), [(22.4, 1.0), (23.0, 2.0), (-23.0, -2.0), (7.4, 0.0), (-179.0, -12.0)]
)
@pytest.mark.parametrize("zone", ["utc", "standard"])
def test_the_nearest_clock_is_an_hour_for_fifteen_degrees(longitude: float, offset: float, zone: str) -> None:
    stamps = read_stamps(["2024-01-02 00:00", "2024-01-02 01:00"], "f")
    times, found, told = on_one_clock(stamps, zone, math.nan, longitude, "f")
    assert found == offset
    assert "the nearest to the longitude" in told[0]
    assert times[0] == stamps.times[0] + np.timedelta64(int(offset) if zone == "utc" else 0, "h")


@pytest.mark.parametrize(("step_h", "moved"), [(1, True), (2, False)])
def test_only_readings_of_an_hour_or_less_show_a_change_of_the_clock(step_h: int, moved: bool) -> None:
    """The last Sundays of March and October of 2024, at two in the morning."""
    even = np.datetime64("2024-01-01T00", "s") + np.arange(8780 // step_h) * np.timedelta64(step_h, "h")
    summer = np.greater_equal(even, np.datetime64("2024-03-31T02", "s")) & np.less(
        even, np.datetime64("2024-10-27T02", "s")
    )
    clock = even + summer * np.timedelta64(1, "h")
    times, _, told = on_one_clock(Stamps(clock, np.full(len(clock), np.nan), True), "", 1.0, math.nan, "f")
    assert bool((times == even).all()) == bool(told) == moved


def test_what_a_map_may_name_is_told() -> None:
    with pytest.raises(InputError) as caught:
        mapping_of(["rain=R [mm]", "a" * 70])
    first, second = caught.value.faults
    assert first.problem == "'rain=R [mm]' names no column"
    assert first.remedy.endswith("names are temp, low, high, ghi, dni, dhi, wind, time, date, hour")
    assert second.problem == f"'{'a' * 60}' names no column"


def test_a_heading_that_is_not_there_is_told_with_those_that_are() -> None:
    def fault(heading: str, *heads: str) -> Any:
        table = Download({}, {}, list(heads), [], ",", None)
        _, [found] = chosen_columns(table, {"outdoor": (heading, "degC")}, "f")
        return found

    near = fault("temprature", "time", "temperature")
    assert (near.field, near.remedy) == ("--map outdoor", "'temperature' may be meant")
    far = fault("z" * 70, *(f"column {at:03d}" for at in range(20)))
    assert far.problem == f"no column is headed '{'z' * 60}'"
    # 160 letters of the headings, of which each has ten and two between
    assert far.remedy == "the headings are " + ", ".join(f"column {at:03d}" for at in range(20))[:160]
    assert len(far.remedy) == len("the headings are ") + 160


def test_rows_are_taken_apart_a_few_times_however_many_columns_they_have(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[int] = []

    def counted(line: str, mark: str) -> list[str]:
        read.append(len(line))
        return cells_of(line, mark)

    monkeypatch.setattr(finding, "cells_of", counted)
    head = [f"reading {at}" for at in range(2000)]
    assert find_times(Download({}, {}, head, [";".join(["1.5"] * 2000)] * 3, ";", None), {}, "f") is None
    assert 0 < len(read) <= 3  # the first, a middle and the last row
