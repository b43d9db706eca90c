"""EPW, TMY3 and TMY2 by hand, cell by cell, and which columns of a table are which: both sides of each rule."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from costsim.errors import InputError
from costsim.weather.columns import Chosen, _by_unit, _by_words, _mapped, _stated_unit, _unit_in_cells
from costsim.weather.download import Download
from costsim.weather.join import joined, one_year, winters_of_files, years_of_files
from costsim.weather.plain_csv import number_of, split_table
from costsim.weather.readers import read_record
from costsim.weather.record import Record
from costsim.weather.stamps import read_stamps
from costsim.weather.typical import (
    _epw_design,
    in_calendar_order,
    is_epw,
    is_tmy2,
    is_tmy3,
    is_typical,
    read_epw,
    read_tmy2,
    read_tmy3,
)
from costsim.weather.year_weather import winters_of

NAN = pytest.approx(math.nan, nan_ok=True)


def tmy2(*rows: dict[int, str], place: str = "-5 N 40 47 W  73 58    57") -> str:
    """A file of TMY2 with texts put at their columns (NREL, User's Manual for TMY2s, table 3-2)."""
    lines = [f" 94728 {'NEW YORK CITY':<22} NY {place}"]
    for row in rows:
        cells = list("0" * 142)
        cells[0] = " "
        for at, text in row.items():
            cells[at : at + len(text)] = text
        lines.append("".join(cells))
    return "\n".join(lines) + "\n"


def test_tmy2_by_hand() -> None:
    first = {1: "81010101", 17: "0012", 23: "0345", 29: "0067", 67: "-123", 95: "051"}
    second = {1: "81010102", 17: "9999", 23: "9999", 29: "9999", 67: "9999", 95: "999"}
    third = {1: "81123124", 17: "0001", 67: "0300", 95: "100"}
    found = read_tmy2(tmy2(first, second, third), "f")
    assert found.times.astype(str).tolist() == ["1981-01-01T01:00:00", "1981-01-01T02:00:00", "1982-01-01T00:00:00"]
    columns = {
        "outdoor": [-12.3, NAN, 30.0],
        "ghi": [12, NAN, 1],
        "dni": [345, NAN, 0],
        "dhi": [67, NAN, 0],
        "wind": [5.1, NAN, 10.0],
    }
    for name, values in columns.items():
        assert found.columns[name].tolist() == [value if value is NAN else pytest.approx(value) for value in values], (
            name
        )
    place = (found.latitude_deg, found.longitude_deg, found.altitude_m, found.utc_offset_h)
    assert place == pytest.approx((40 + 47 / 60, -(73 + 58 / 60), 57, -5))
    assert (found.station, found.title) == ("94728", "New York City, NY, typical year (TMY2)")
    south = read_tmy2(tmy2(first, place="10 S 33 30 E 151 15     9"), "f")
    assert (south.latitude_deg, south.longitude_deg, south.utc_offset_h) == (-33.5, 151.25, 10.0)
    for place in ("-5 N 40 47 W 73 58", "x N 40 47 W 73 58 57", ""):
        with pytest.raises(InputError, match=r"line 1: .* does not state the place"):
            read_tmy2(tmy2(first, place=place), "f")
    text = tmy2(first)
    assert is_tmy2(text)
    assert not is_tmy2(text.split("\n")[0])
    assert not is_tmy2(text.replace("94728", "9472x"))
    assert not is_tmy2(text.replace("81010101", "8101010x"))
    assert [is_tmy2("\n".join([text.split("\n")[0], text.split("\n")[1][:n]])) for n in (120, 119)] == [True, False]
    assert [is_tmy2(text.split("\n")[0] + "\n" + "0" * at + "," + "0" * 130) for at in (59, 60)] == [False, True]


HEAD = (
    "LOCATION,Hill,-,TEST,none,123,47.5,12.25,1.0,400\nDESIGN CONDITIONS,1,x,,Heating,1,-18.5,-16.0,9\n" + "C,0\n" * 6
)


def epw_row(time: str, cells: int = 35, **more: str) -> str:
    row = ["0"] * 35
    row[:5] = time.split(",")
    for key, text in more.items():
        row[int(key[1:])] = text
    return ",".join(row[:cells])


def test_epw_by_hand() -> None:
    row = epw_row("2021,2,3,5,60", c6="-12.3", c13="11", c14="22", c15="33", c21="4.5")
    gone = epw_row("2021,2,3,6,60", c6="99.9", c13="9999", c14="9999", c15="9999", c21="999")
    odd = epw_row("2021,2,3,7,60", c6="x", c13="-1", c14="inf")
    found = read_epw(HEAD + "\n".join([row, gone, odd]), "f")
    columns = {
        "outdoor": [-12.3, NAN, NAN],
        "ghi": [11, NAN, NAN],
        "dni": [22, NAN, NAN],
        "dhi": [33, NAN, 0],
        "wind": [4.5, NAN, 0],
    }
    for name, values in columns.items():
        assert found.columns[name].tolist() == values, name
    assert (found.latitude_deg, found.longitude_deg, found.altitude_m, found.utc_offset_h) == (47.5, 12.25, 400.0, 1.0)
    assert (found.title, found.station, found.facts["design_996_c"], found.facts["design_99_c"]) == (
        "Hill, TEST (EPW)",
        "123",
        -18.5,
        -16.0,
    )
    assert str(found.times[0]) == "2021-02-03T05:00:00"
    # a minute of 60 or 0 is the end of the hour that is named; others lie before it
    for minute, shown in (
        ("0", "05:00"),
        ("60", "05:00"),
        ("30", "04:30"),
        ("15", "04:15"),
        ("59", "04:59"),
        ("1", "04:01"),
        ("", "05:00"),
        ("1e400", "05:00"),
    ):
        assert str(read_epw(HEAD + epw_row(f"2021,2,3,5,{minute}", c6="1"), "f").times[0]) == f"2021-02-03T{shown}:00"
    # rows end where a writer stopped: what is not there is missing
    for cells, names in (
        (21, ["outdoor", "ghi", "dni", "dhi"]),
        (22, ["outdoor", "ghi", "dni", "dhi", "wind"]),
        (15, ["outdoor", "ghi", "dni"]),
        (7, ["outdoor"]),
    ):
        assert list(read_epw(HEAD + epw_row("2021,2,3,5,60", cells, c6="1"), "f").columns) == names
    with pytest.raises(InputError, match="holds no rows of hours"):
        read_epw(HEAD + epw_row("2021,2,3,5,60", 6), "f")
    with pytest.raises(InputError, match=r"line 1: .*does not state the place"):
        read_epw((HEAD + row).replace("47.5", "north"), "f")
    for cell, taken in (("-89.9", True), ("-90", False), ("39.9", True), ("40", False), ("x", False)):
        found_c = _epw_design([f"DESIGN CONDITIONS,1,x,,Heating,1,{cell},-16.0"])
        assert found_c == (float(cell) if taken else None, -16.0)
    assert (
        _epw_design(["DESIGN CONDITIONS,1,x,,Heating,1,-18"])
        == _epw_design(["DESIGN CONDITIONS,0"])
        == _epw_design([])
        == (None, None)
    )
    assert [is_epw(text) for text in ("LOCATION,x", "location,x", "LOCATION", "LOCATIONS,x")] == [
        True,
        True,
        False,
        False,
    ]


def test_tmy3_by_hand() -> None:
    place = '7,"HILL TOP",XX,-6.0,47.000,12.000,400'
    head = "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),Wspd (m/s)"
    rows = [
        "01/01/1988,01:00,1,2,3,-4.5,6",
        "01/01/1988,02:00,-9900,9999,-1,-9900,999",
        "01/01/1988,03:00,1,2,3,99.9",
        "01/01/1988,04:00,1,2,3",
        "01/01/1988,05:00,1,2,3,0,1",
    ]
    found = read_tmy3("\n".join([place, head, *rows]), "f")
    columns = {
        "ghi": [1, NAN, 1, 1, 1],
        "dni": [2, NAN, 2, 2, 2],
        "dhi": [3, NAN, 3, 3, 3],
        "outdoor": [-4.5, NAN, NAN, NAN, 0],
        "wind": [6, NAN, NAN, NAN, 1],
    }
    for name, values in columns.items():
        assert found.columns[name].tolist() == values, name
    assert (found.latitude_deg, found.longitude_deg, found.altitude_m, found.utc_offset_h) == (47.0, 12.0, 400.0, -6.0)
    assert (found.title, found.station, str(found.times[0])) == (
        "Hill Top, XX, typical year (TMY3)",
        "7",
        "1988-01-01T01:00:00",
    )
    for wrong in (place.replace("47.000", "x"), "7,HILL,XX,-6,47,12"):
        with pytest.raises(InputError, match=r"line 1: .* does not state the place"):
            read_tmy3("\n".join([wrong, head, *rows]), "f")
    with pytest.raises(InputError, match=r"'dry bulb \(c\)' may be meant"):
        read_tmy3("\n".join([place, head.replace("Dry-bulb (C)", "Dry bulb (C)"), *rows]), "f")
    assert is_tmy3(f"{place}\n{head}")
    assert not is_tmy3(head)
    assert not is_tmy3(f"{place}\ntime,temp")


def record(times: Any, **more: Any) -> Record:
    at = np.asarray(times, dtype="datetime64[s]")
    return Record("r", "s", "made", at, {"outdoor": np.arange(float(len(at)))}, **more)


def test_years_put_together_from_months_of_several() -> None:
    hour = np.timedelta64(3600, "s")
    year = np.datetime64("2001-01-01", "s") + np.arange(8760) * hour
    for moved, typical in (
        (5, False),
        (6, True),
        (400, True),
    ):  # 364 days and so many lie between the ends: more than 370
        times = year.copy()
        times[-1] += np.timedelta64(86400 * moved, "s") + hour
        assert is_typical(record(times)) == typical, moved
    apart = year + np.where(np.arange(8760) > 4000, np.timedelta64(86400 * 3652, "s"), np.timedelta64(0, "s"))
    assert [is_typical(record(apart[:n])) for n in (8760, 8736, 8735)] == [True, True, False]
    assert not is_typical(record(apart, step_s=86400))
    more = np.concatenate([apart, apart[-1] + np.arange(1, 30) * hour])
    assert [is_typical(record(more[:n])) for n in (8784, 8785)] == [True, False]
    assert [is_typical(record(np.resize(apart, n))) for n in (6 * 8784 - 1, 6 * 8784)] == [True, False]
    # in the order of the calendar, whatever the years
    for turned, said in (
        (0, ""),
        (24, ""),
        (25, "rows begin on Jan 2, hour 2"),
        (8735, "rows begin on Dec 30, hour 24"),
        (8736, ""),
    ):
        columns, notes, faults = in_calendar_order(record(np.roll(apart, -turned)), "f")
        assert columns["outdoor"].tolist() == np.roll(np.arange(8760.0), turned).tolist()
        assert faults == []
        assert (said in " ".join(notes)) if said else notes == []
    swapped = apart.copy()
    swapped[[3, 9]] = swapped[[9, 3]]
    columns, notes, _ = in_calendar_order(record(swapped), "f")
    assert columns["outdoor"][[3, 9, 4]].tolist() == [9.0, 3.0, 4.0]
    assert notes == ["rows were not in the order of their dates; they were sorted"]
    columns, notes, _ = in_calendar_order(record(np.repeat(apart, 2)), "f")
    assert columns["outdoor"][:2].tolist() == [0.5, 2.5]
    assert notes == ["readings every 30 minutes were averaged to hours"]
    lacking = np.delete(apart, [100, 200])
    assert (
        "8,758 hourly records were found, and 2 are missing, first Jan 5, hour 5"
        in in_calendar_order(record(lacking), "f")[2][0].problem
    )
    double = np.insert(apart, 100, apart[100])
    assert "1 hours come more than once, first Jan 5, hour 5" in in_calendar_order(record(double), "f")[2][0].problem
    leap = np.datetime64("2020-01-01", "s") + np.arange(8784) * hour
    assert in_calendar_order(record(leap), "f")[0]["outdoor"].tolist() == list(range(8784))
    ends = in_calendar_order(record(apart + hour, ends=frozenset({"outdoor"})), "f")[0]["outdoor"]
    assert ends.tolist() == list(range(8760))


def test_winters_and_years_of_files(tmp_path: Path) -> None:
    def csv(name: str, first: str, n: int, latitude: float = 47.0) -> Path:
        times = np.datetime64(first, "h") + np.arange(n)
        head = f"# latitude: {latitude}\n# longitude: 12\n# utc_offset: 1\n# altitude: 400\ntime,outdoor [degC]\n"
        path = tmp_path / name
        path.write_text(head + "".join(f"{one}:00,{at % 20}\n" for at, one in enumerate(times)))
        return path

    one, other = csv("a.csv", "2021-07-01", 8760), csv("b.csv", "2022-07-01", 8760)
    assert [name for name, _ in winters_of_files([other, one])] == ["2021–22", "2022–23"]
    assert [name for name, _ in winters_of_files([one])] == ["2021–22"]
    with pytest.raises(InputError, match="daily"):
        winters_of(record(np.datetime64("2021-07-01") + np.arange(400) * np.timedelta64(86400, "s"), step_s=86400), "f")
    records = [(path.name, read_record(path)) for path in (one, other)]
    assert [year.years for year in years_of_files(records)] == [(2021, 2022), (2022, 2023)]
    assert one_year(records).years == (2022,)  # the last whole calendar year
    assert len(years_of_files(records[:1])) == 1
    both = joined(records)
    assert [year.years for year in years_of_files([("both.csv", both)])] == [(2021, 2022), (2022, 2023)]
    with pytest.raises(InputError, match="daily values"):
        years_of_files([("both.csv", both), ("days.csv", replace(both, step_s=86400))])


def test_dates_with_names_of_months() -> None:
    for text in (
        "Jan 31, 2016",
        "January 31 2016",
        "31-Jan-16",
        "31 January 2016",
        "31/Jan/2016",
        "20160131",
        "2016-01-31",
        "31.01.2016",
        "Sun, 31 Jan 2016",
    ):
        assert str(read_stamps([text], "f").times[0]) == "2016-01-31T00:00:00", text


def download(*head: str, lines: tuple[str, ...] = (), **more: Any) -> Download:
    return Download(more.pop("about", {}), more.pop("stated", {}), list(head), list(lines), ",", None, **more)


def test_columns_that_are_named_or_found_by_their_words() -> None:
    def words(*head: str, **more: Any) -> tuple[dict[str, Any], str]:
        found, faults = _by_words(download(*head, **more), "f")
        return {name: (one.at, one.unit) for name, one in found.items()}, "; ".join(map(str, faults))

    assert words("time", "outdoor [degC]", "wind [m/s]") == ({"outdoor": (1, "degC"), "wind": (2, "m/s")}, "")
    # of two columns of one quantity that which is called by its very name is taken, wherever it stands
    assert words("outdoor [degF]", "temp [degC]")[0] == words("outdoor [degF]")[0] == {"outdoor": (0, "degF")}
    assert words("temp [degC]", "outdoor [degF]") == ({"outdoor": (1, "degF")}, "")
    assert (
        "column temperature [degC]: is a second column outdoor; leave one of them"
        in words("temp [degC]", "temperature [degC]")[1]
    )
    assert "is a second column outdoor" in words("outdoor [degC]", "outdoor [degC]")[1]
    assert words("low [degC]", "high [degC]")[0] == {"low": (0, "degC"), "high": (1, "degC")}
    assert words("outdoor [degC]", "t_min", "t_max") == ({"outdoor": (0, "degC")}, "")
    assert "column t_min: has no unit; write it like 'low [degC]'" in words("t_min", "t_max [degC]")[1]
    assert "has no unit" in words("outdoor")[1]
    assert "column wind: has no unit" in words("outdoor [degC]", "wind")[1]
    assert words("outdoor", about={"unit": "degF"})[0] == {"outdoor": (0, "degF")}
    assert words("outdoor", lines=("5 °F", "6 °F"))[0] == {"outdoor": (0, "degF")}
    assert "the temperature column is missing" in words("low [degC]", "wind [m/s]")[1]
    assert words("Boston [degF]", "humidity [%]") == ({"outdoor": (0, "degF")}, "")
    assert [
        _unit_in_cells(download("a", "b", lines=lines), 1)
        for lines in (("1,5 °C", "2"), ("1,5 °C", "2,5"), ("1,5 °C", "2, "))
    ] == ["degC", "", "degC"]
    late = [*["1,5 °C"] * 23, "1,5 °C", "1,5 °F"]
    assert _unit_in_cells(download("a", "b", lines=tuple(late)), 1) == "degC"  # of the first day
    assert _unit_in_cells(download("a", "b", lines=tuple(late[1:])), 1) == ""
    for head, at in ((["Boston [degF]"], 0), (["A [degF]", "B [degF]"], None), (["A [degF] x", "B [degF]"], 1), (["Room [degF]"], None), (["A [kW]"], None),
                     (["Dew point [degC]", "B [degC]"], 1), (["x", "T (C)", "U (C)"], None)):  # fmt: skip
        assert _by_unit(download(*head)) == at, head
    named = {"outdoor": ("TMP", "degF"), "wind": ("W", "")}
    found, faults = _mapped(download("when", "W [m/s]", "TMP"), named, "f")
    assert found["outdoor"] == Chosen(2, "degF")
    found, faults = _mapped(download("when", "TMP"), {"outdoor": ("tmp", "")}, "f")
    assert "has no unit" in str(faults[0])
    found, faults = _mapped(download("when", "Tempo"), {"outdoor": ("Temp", "degC")}, "f")
    assert "--map outdoor: no column is headed 'Temp'; 'Tempo' may be meant" in str(faults[0])
    assert "names no temperature" in str(_mapped(download("W"), {"wind": ("W", "m/s")}, "f")[1][0])
    assert "names no temperature" in str(_mapped(download("L"), {"low": ("L", "degC")}, "f")[1][0])
    assert _mapped(download("L", "H"), {"low": ("L", "degC"), "high": ("H", "degC")}, "f")[1] == []
    above = ["T2M Temperature at 2 Meters (C) ", "WS10M Wind (m/s)", "T2M none"]
    assert _stated_unit(download("t2m", above=above), "t2m", 0) == "C"
    assert _stated_unit(download("ws10m", above=above), "ws10m", 0) == "m/s"
    assert _stated_unit(download("T2M [degF]", above=above), "t2m", 0) == "degF"
    assert [_stated_unit(download("temperature", stated={"temperature units": told}), "temperature", 0) for told in ("C", "f", "w/m2", "x")] == [
        "degC", "degF", "w/m2", "",
    ]  # fmt: skip


def test_lines_of_a_plain_table() -> None:
    about, rows, mark = split_table("# title: A\n# note\n\na;b,c\n1;2,5\n", "f")
    assert (about, rows, mark) == ({"title": "A"}, [["a", "b,c"], ["1", "2,5"]], ";")
    assert split_table("a,b\n1,2", "f")[2] == ","
    assert split_table("a\tb\n1\t2", "f")[2] == "\t"
    for text in ("a,b\n", "# k: v\na,b\n\n"):
        with pytest.raises(InputError, match="holds no rows of data"):
            split_table(text, "f")
    assert split_table("a;b;c\n1,5;2,5;3,5\n", "f")[2] == ";"  # the headings tell it
    assert number_of("1e3") == 1000.0
    assert math.isnan(number_of("x"))
