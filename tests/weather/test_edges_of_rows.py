"""Stamps, clocks, units, gaps and whole years of weather files on both sides of every limit."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.errors import InputError
from costsim.units.quantity import UnitError
from costsim.weather.columns import Chosen, _possible, _quantity, in_si, mapping_of, settled_units
from costsim.weather.download import Download, _are_units, _headings_at, _joined, _rows_of, take_apart
from costsim.weather.elements import days_of_elements
from costsim.weather.headings import number_and_unit, split_heading, temperature_unit, to_si
from costsim.weather.plain_csv import about_line, bound_faults, cell_number, place_facts
from costsim.weather.record import _values, in_numbers
from costsim.weather.stamps import from_columns, looks_like_stamp, read_stamps, time_of
from costsim.weather.times import _of_seconds, find_times, on_one_clock

# stamps


def test_times_of_day_and_stamps_of_files() -> None:
    times = {"24:00": 86400, "24:01": None, "12:00 AM": 0, "12 pm": 43200, "0 am": None, "13 pm": None, "1:60": None, "1:00:60": None, "0130": 5400,
             "013045": 5445, "7": 25200, "T05:30:15.5": 19815, "": None, "5" + " " * 40: None}  # fmt: skip
    assert {text: (found[0] if (found := time_of(text)) else None) for text in times} == times
    offsets = {"+05:30": 5.5, "-0330": -3.5, "+09": 9.0, "Z": 0.0, "UTC": 0.0, "GMT": 0.0}
    assert {text: time_of(f"05:00{text}")[1] for text in offsets} == offsets
    assert math.isnan(time_of("05:00")[1])
    stamps = {"31-Jan-16": True, "Jan 31, 2016": True, "Sunday, Jan 31 2016 5 PM": True, "20160131": True, "22010101": False, "17991231": False,
              "1/2/3": False, "1/2/16": True, "2016-1-2": True, "2016/01/02 24:00": True, "2016-01-02 25:00": False, "31 Foo 2016": False,
              "2016-01-02 13.30": True, "2016-01-02 +00:00": False, "x" * 41: False}  # fmt: skip
    assert {text: looks_like_stamp(text) for text in stamps} == stamps
    found = read_stamps(["1/13/68 24:00", "1/14/69 24:00"], "f")
    assert (found.times.astype(str).tolist(), found.timed, found.ends) == (
        ["2068-01-14T00:00:00", "1969-01-15T00:00:00"],
        True,
        True,
    )
    for first, ends in (("1/2/2016 0:00", False), ("1/2/2016 1:00", True)):
        assert read_stamps([first, "1/13/2016 24:00"], "f").ends == ends
    assert not read_stamps(["2016-01-02", "2016-01-03"], "f").timed
    assert read_stamps(["2016-01-02 01:00", "2016-01-02 02:00"], "f").timed
    assert np.isnat(read_stamps(["1/13/2016", " ", "1/14/2016"], "f").times[1])
    dots = read_stamps(["01.02.2016", "02.02.2016"], "f").times
    assert dots.astype(str).tolist() == ["2016-02-01T00:00:00", "2016-02-02T00:00:00"]
    for texts, said in ((["13/2/2016", "2/13/2016"], "no dates in one order"), (["2016-02-30 x"], "data row 1 is no date and time"),
                        (["2016/02/30"], "is no day of the calendar"), (["1/2/2016", "3/4/2016", "2/3/2016"], "cannot be told apart")):  # fmt: skip
        with pytest.raises(InputError, match=said):
            read_stamps(texts, "f")
    assert read_stamps(["5/5/2016"], "f").times.astype(str).tolist() == ["2016-05-05T00:00:00"]
    for text, taken in (("1800/01/01", True), ("1799/12/31", False), ("2200/12/31", True), ("2201/01/01", False)):
        if taken:
            read_stamps([text], "f")
        else:
            with pytest.raises(InputError):
                read_stamps([text], "f")


def test_times_of_columns_end_where_the_calendar_does() -> None:
    def at(**numbers: float) -> Any:
        return from_columns({key: np.array([value, value]) for key, value in numbers.items()}, "f")

    good = {"year": 2024.0, "month": 2.0, "day": 29.0, "hour": 24.0, "minute": 60.0}
    found = at(**good)
    assert (str(found.times[0]), found.timed, found.ends) == ("2024-03-01T01:00:00", True, True)
    assert not at(**{**good, "hour": 0.0}).ends
    for change in ({"month": 0}, {"month": 13}, {"day": 0}, {"day": 30}, {"day": 32}, {"year": 1799}, {"year": 2201}, {"hour": -1}, {"hour": 25},
                   {"minute": -1}, {"minute": 61}, {"month": np.nan}):  # fmt: skip
        with pytest.raises(InputError, match=r"data row 1 .* is no time of the calendar"):
            at(**{**good, **{key: float(value) for key, value in change.items()}})
    for change in ({"year": 1800, "day": 28}, {"year": 2200, "day": 28}):
        at(**{**good, **{key: float(value) for key, value in change.items()}})
    assert str(at(year=2024.0, yearday=366.0).times[0]) == "2024-12-31T00:00:00"
    assert not at(year=2024.0, yearday=366.0).timed
    for day in (0.0, 367.0):
        with pytest.raises(InputError):
            at(year=2024.0, yearday=day)
    assert _of_seconds(["946684800", "1700000000"]) == ["946684800", "1700000000"]
    assert _of_seconds(["1700000000", "x"]) == ["1700000000", "x"]
    assert _of_seconds(["1799999999", "x", "1700000000"]) == ["2027-01-15T07:59:59Z", "x", "2023-11-14T22:13:20Z"]
    assert _of_seconds(["1800000000"]) == ["1800000000"]


def test_times_come_to_one_clock() -> None:
    def clock(
        texts: list[str], zone: str = "", offset: float = math.nan, longitude: float = math.nan
    ) -> tuple[str, float, str]:
        times, found, told = on_one_clock(read_stamps(texts, "f"), zone, offset, longitude, "f")
        return str(times[0]), found, "; ".join(told)

    plain, carried = ["2024-07-01 12:00", "2024-07-01 13:00"], ["2024-07-01 12:00+02:00", "2024-12-01 13:00+01:00"]
    assert clock(carried) == ("2024-07-01T11:00:00", 1.0, "times carry summer time; put back to standard time, UTC+1 h")
    assert clock([carried[0], carried[0]])[:2] == ("2024-07-01T12:00:00", 2.0)
    assert clock(carried, offset=3.0) == ("2024-07-01T13:00:00", 3.0, "")
    assert clock(plain, "utc", longitude=-80.0)[:2] == ("2024-07-01T07:00:00", -5.0)
    assert clock(plain, "utc", offset=1.5)[:2] == ("2024-07-01T13:30:00", 1.5)
    assert "nothing states the place's own" in clock(plain, "utc")[2]
    assert clock(plain, "standard", longitude=12.0)[1:] == (
        1.0,
        "standard time taken as UTC+1 h, the nearest to the longitude",
    )
    assert clock(plain, "standard", 2.0, 12.0) == ("2024-07-01T12:00:00", 2.0, "")
    assert math.isnan(clock(plain)[1])
    with pytest.raises(InputError, match="some times carry an offset"):
        clock([carried[0], plain[0] + " "])


def test_clocks_with_summer_time_are_put_back_where_both_changes_show() -> None:
    def run(changes: dict[str, int], n: int = 8760) -> tuple[int, str]:
        """Hours of 2024 by a clock that is set at moments; how many were moved, and what is told."""
        wall, now, at = [], 0, np.datetime64("2024-01-01T00", "s")
        for _ in range(n):
            now += changes.get(str(at), 0)
            wall.append(at + np.timedelta64(now, "h"))
            at = at + np.timedelta64(3600, "s")
        stamps = replace(read_stamps(["2024-01-01 00:00"], "f"), times=np.array(wall), offset_h=np.full(n, np.nan))
        times, _, told = on_one_clock(stamps, "", 1.0, math.nan, "f")
        return int((times != np.array(wall)).sum()), "; ".join(told)

    spring, autumn = "2024-03-31T02:00:00", "2024-10-27T02:00:00"
    hours = int((np.datetime64(autumn) - np.datetime64(spring)).astype(int) // 3600)
    assert run({spring: 1, autumn: -1}) == (hours, "times follow summer time; put back to standard time")
    assert run({spring: 1}) == (0, "")
    assert run({"2024-04-01T02:00:00": 1, autumn: -1}) == (0, "")  # a Monday
    assert run({"2024-03-31T05:00:00": 1, autumn: -1}) == (0, "")  # not early
    assert run({spring: 1, autumn: -1, "2024-11-03T02:00:00": -1}) == (0, "")
    assert run({spring: 1, "2024-05-26T02:00:00": -1}, 3999) == (0, "")
    assert run({spring: 1, "2024-05-26T02:00:00": -1}, 4000)[0] == 56 * 24


# units and columns


def test_units_of_weather_become_si() -> None:
    by_hand = {
        ("outdoor", "degF"): (212.0, 100.0), ("outdoor", "K"): (273.15, 0.0), ("outdoor", "°C"): (5.0, 5.0), ("outdoor", "degC/10"): (55.0, 5.5),
        ("outdoor", "degF*2"): (16.0, 0.0), ("wind", "knots"): (3600 / 1852, 1.0), ("wind", "kt"): (3600 / 1852, 1.0), ("wind", "kn"): (3600 / 1852, 1.0),
        ("wind", "knot"): (3600 / 1852, 1.0), ("wind", "mph"): (1 / 0.44704, 1.0), ("wind", "mp/h"): (1 / 0.44704, 1.0), ("wind", "kmh"): (36.0, 10.0),
        ("wind", "km/h"): (36.0, 10.0), ("wind", "m/s"): (3.0, 3.0), ("wind", "m/s/10"): (30.0, 3.0), ("ghi", "Wh/m2"): (5.0, 5.0),
        ("ghi", "kWh/m2"): (0.5, 500.0), ("dni", "kW-hr/m^2"): (0.5, 500.0), ("dhi", "J/m2"): (3600.0, 1.0), ("ghi", "J/m²"): (3600.0, 1.0),
        ("ghi", "MJ/hr"): (3.6, 1000.0), ("ghi", "MJ/m^2/hr"): (3.6, 1000.0), ("ghi", "MJ/m2"): (3.6, 1000.0), ("ghi", "kJ/m2"): (3.6, 1.0),
        ("ghi", "W/m^2"): (7.0, 7.0), ("ghi", "W m-2".replace(" ", "")): (7.0, 7.0), ("ghi", "kW/m2"): (0.5, 500.0), ("ghi", "MJ/m^2"): (3.6, 1000.0),
        ("ghi", "J/m^2"): (3600.0, 1.0), ("ghi", "W/m²"): (7.0, 7.0), ("ghi", "Wh/m^2"): (5.0, 5.0), ("ghi", "Wh/m²"): (5.0, 5.0),
        ("ghi", "kW-hr/m^2/hour"): (0.5, 500.0),
    }  # fmt: skip
    for (quantity, unit), (given, si) in by_hand.items():
        assert float(to_si(quantity, unit)(np.array([given]))[0]) == pytest.approx(si, abs=1e-9), (quantity, unit)
    for quantity, unit in (
        ("outdoor", "kW"),
        ("wind", "kW"),
        ("ghi", "m/s"),
        ("outdoor", "degC/0"),
        ("ghi", "furlong"),
    ):
        with pytest.raises(UnitError):
            to_si(quantity, unit)
    assert in_si("ghi", np.array([-20.0, -19.9, -0.1, 5.0]), "W/m2").tolist() == [
        pytest.approx(np.nan, nan_ok=True),
        0.0,
        0.0,
        5.0,
    ]
    assert in_si("outdoor", np.array([-5.0]), "degC").tolist() == [-5.0]
    named = {"°C": "degC", "celsius": "degC", "C": "degC", "deg c": "degC", "deg Celsius": "degC", "℉": "degF", "F": "degF", "Fahrenheit": "degF",
             "degrees F": "degF", "deg_fahrenheit": "degF", "K": "degK", "kelvin": "degK", "deg K": "degK", "º C": "degC", "m": "", "": ""}  # fmt: skip
    assert {text: temperature_unit(text) for text in named} == named
    heads = {"outdoor [degC]": ("outdoor", "degC"), "T2M (C)": ("t2m", "degC"), "temp_f": ("temp", "degF"), "Temp F": ("temp", "degF"),
        "wind [km/h]": ("wind", "km/h"),
             "[degC]": ("[degc]", ""), "temp": ("temp", ""), "tdeg F": ("t", "degF"), "f": ("f", ""), "a (b) (c)": ("a", "b) (c")}  # fmt: skip
    assert {text: split_heading(text) for text in heads} == heads
    cells = {
        "5 °C": ("5", "degC"),
        "5": ("5", ""),
        "-1.5F": ("-1.5", "degF"),
        "5 kW": ("5 kW", ""),
        "C": ("C", ""),
        "5 degC ": ("5", "degC"),
    }
    assert {text: number_and_unit(text) for text in cells} == cells


def test_columns_by_their_words_and_units_by_their_values() -> None:
    words = {"outdoor": "outdoor", "dry bulb": "outdoor", "t_avg": "outdoor", "dew point temperature": "", "temp min": "low", "t_max": "high",
        "outdoor low": "low",
             "temperature high": "high", "wind speed": "wind", "ghi": "ghi", "soil temp": "", "t_minimum": "", "tmin": "low", "t  max ": "high",
             "minimum": ""}  # fmt: skip
    assert {name: _quantity(name) for name in words} == words
    assert mapping_of(["temp=TMP [degF/10]", "low=Min (C)", "time=When", "wind=W"]) == {
        "outdoor": ("TMP", "degF/10"), "low": ("Min (C)", ""), "time": ("When", ""), "wind": ("W", ""),
    }  # fmt: skip
    for text, said in (
        ("temp", "names no column"),
        ("rain=R [mm]", "names no column"),
        ("temp= [degC]", "names no column"),
        ("temp=T", "has no unit"),
    ):
        with pytest.raises(InputError, match=said):
            mapping_of([text])

    def possible(low: Any, high: Any, daily: bool = True) -> list[str]:
        return _possible({"low": np.array(low, dtype=float), "high": np.array(high, dtype=float)}, daily)

    # a day's swing of 3 to 22 K, in whole °F or tenths of °C; -130 to 134 °F and -90 to 60 °C are the coldest and warmest of the earth
    assert possible([50.5], [60.0]) == ["degC"]
    assert possible([50], [60], daily=False) == ["degF"]
    assert possible([50], [70]) == ["degF"]
    assert possible([0], [150]) == ["degC/10"]
    assert [possible([0], [high]) for high in (5, 6, 29, 30, 39, 40)] == [
        [], ["degF"], ["degF"], ["degF", "degC/10"], ["degF", "degC/10"], ["degC/10"],
    ]  # fmt: skip
    assert [possible([-900], [high]) for high in (-680, -679)] == [["degC/10"], []]
    assert [possible([low], [low + 100]) for low in (500, 501)] == [["degC/10"], []]
    assert [possible([low], [low + 20]) for low in (-130, -131, 114, 115)] == [["degF"], [], ["degF"], []]
    assert _possible({"outdoor": np.array([np.nan])}, True) == ["degC"]
    download = Download({}, {}, [], [], ",", None)
    for values, unit, shown in (
        (np.array([50.0, 70.0]), "degF", "whole numbers of °F"),
        (np.array([1.5]), "degC", "taken as °C"),
    ):
        units, told = settled_units({"outdoor": values}, {"outdoor": "?", "wind": "m/s"}, download, "f")
        assert units == {"outdoor": unit, "wind": "m/s"}
        assert shown in told[0]
    assert settled_units({}, {"outdoor": "?"}, replace(download, about={"unit": "degF"}), "f") == (
        {"outdoor": "degF"},
        [],
    )
    cells = ["1.5", "-9999", "9999", "-9900", "", "x", "+0015,1", "-0061,3", "0061,7", "inf"]
    found = in_numbers(cells, download, Chosen(0, "degC/10"))
    assert found.tolist() == pytest.approx([1.5, *[np.nan] * 5, 15.0, *[np.nan] * 3], nan_ok=True)
    comma = in_numbers(["1,5", "2", "12,5V"], replace(download, mark=";"), Chosen(0, "degC"))
    assert comma.tolist() == [1.5, 2.0, 12.5]


def test_what_loggers_write_for_no_reading_is_none() -> None:
    """Rows of nines beyond any weather, whatever the unit; -99.9 and 99.9 °F are weather (99.9 °F is 37.7 °C)."""
    codes = ["-999", "-999.9", "-999.99", "999.9", "-9999.9", "9999.9", "-99999", "99999"]
    near = ["-99.9", "99.9", "50.1"]
    table = Download({}, {}, ["outdoor [degF]", "wind [m/s]"], [f"{one},5" for one in (*codes, *near)], ",", None)
    found, _, _, faults = _values(table, {"outdoor": Chosen(0, "degF"), "wind": Chosen(1, "m/s")}, "f")
    assert faults == []
    assert np.isnan(found["outdoor"]).tolist() == [True] * len(codes) + [False] * len(near)
    assert found["outdoor"][-2] == pytest.approx((99.9 - 32) / 1.8)
    assert found["wind"].tolist() == [5.0] * 11


def test_heads_of_downloads() -> None:
    assert [_are_units(cells, 3) for cells in (["", "(degC)", "m/s"], ["a", "b"], ["degC"], ["2020-01-01", "degC"], ["1", "degC"], ["a", "b", "c",
        "degC"])] == [
        True, False, False, False, False, False,
    ]  # fmt: skip
    assert _joined(["Temp", "", "Wind"], ["max", "min", "km/h"]) == ["Temp max", "Temp min", "Wind km/h"]
    assert _joined(["Temp", ""], ["(degC)", ""]) == ["Temp [degC]", ""]
    assert _headings_at(["made", "time,temp", "2020-01-01,5"]) == 1
    assert _headings_at(["2020-01-01,5", "2020-01-02,6"]) == 0
    with pytest.raises(InputError, match="holds no rows of data"):
        take_apart("one line\n", "f")
    with pytest.raises(InputError, match="holds means of months"):
        take_apart("year,Jan,Feb,Mar,Apr,May,Jun,Jul,Aug,Sep,Oct,Nov,Dec\n2020,1,2,3,4,5,6,7,8,9,10,11,12\n", "f")
    isd = "2020 01 01 00  -15 -50 9999 270 30 0 -9999 -9999"
    assert take_apart(f"{isd}\n{isd}\n", "f").head[:4] == ["isd-lite year", "month", "day", "hour"]
    rows = ["S,20230101,TMAX,12,,,W,", "S,20230101,TMIN,-30,,X,W,", "S,20230102,TMAX,20,,,W,2400"]
    assert days_of_elements(rows) == ["station,date,tmax,tmin,tavg", "S,20230101,12,,", "S,20230102,20,,"]
    assert days_of_elements(["id,date,element,value", *rows])[1:] == days_of_elements(rows)[1:]
    # forty rows are looked at
    assert [len(days_of_elements([rows[0]] * count + ["a note"])) for count in (39, 40)] == [0, 2]
    times: Any = SimpleNamespace(time=("time",))
    assert _rows_of(["x,2024-01-01", "end of file", "y"], times, ["a", "time"], ",") == ["x,2024-01-01"]
    assert (
        days_of_elements([])
        == days_of_elements(["S,2023-1,TMAX,12"])
        == days_of_elements(["S,20230101,FOO,12"])
        == days_of_elements(["S,20230101,TMAX"])
        == []
    )
    assert about_line("# UTC offset [h]: 1") == ("utc_offset", "1 h")
    assert [cell_number(text, comma) for text, comma in (("1,5", True), ("1.5", False), ("9998", False))] == [
        1.5,
        1.5,
        9998.0,
    ]
    assert all(math.isnan(cell_number(text, False)) for text in ("", "-9900", "9999", "-9999", "1,5"))
    edges = {"latitude_deg": (-90, 90), "longitude_deg": (-180, 180), "utc_offset_h": (-12, 14), "altitude_m": (-450, 9000), "design_99_c": (-90, 40),
             "design_996_c": (-90, 40)}  # fmt: skip
    for name, ends in edges.items():
        assert [len(bound_faults({name: value}, "f")) for value in (*ends, ends[0] - 0.1, ends[1] + 0.1, math.nan)] == [
            0,
            0,
            1,
            1,
            0,
        ]
        key = name.rpartition("_")[0]
        if key != "design_996":
            told = [
                len(place_facts({key: str(value)}, "f", needed=False)[1])
                for value in (*ends, ends[0] - 0.1, ends[1] + 0.1, "x")
            ]
            assert told == [0, 0, 1, 1, 1]
    assert len(place_facts({}, "f")[1]) == 3
    facts = place_facts(
        {"years": "2001, 1999 2001", "synthetic": "Yes", "title": "T", "altitude": "5 ft"}, "f", needed=False
    )
    assert (facts[0]["years"], facts[0]["synthetic"], facts[0]["title"], len(facts[1])) == ((1999, 2001), True, "T", 1)
    assert "years" not in place_facts({"years": "1799 2001"}, "f", needed=False)[0]


def test_a_last_row_that_is_short_holds_no_time() -> None:
    """A column that says time, whose first cell is no time and whose last is missing: the rows are taken as they come."""
    table = take_apart("outdoor [degC],time\n5,x\n6,y\n7\n", "f")
    assert find_times(table, {}, "f") is None
    # the last row tells that it is one, whatever stands in the first
    with pytest.raises(InputError, match="'x' in data row 1 is no date and time"):
        find_times(replace(table, lines=["5,x", "6,2024-01-01 01:00"]), {}, "f")
