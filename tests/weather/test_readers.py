"""Weather files: good ones read right, bad ones refused in one line, nothing silently wrong."""

from __future__ import annotations

import csv
import hashlib
import io
import re
from pathlib import Path

import numpy as np
import pvlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim.errors import InputError
from costsim.study_files import sample_path
from costsim.weather import Weather, design_temperature, read_weather
from costsim.weather.make_samples import KEPT, SAMPLES, cut
from costsim.weather.plain_csv import place_facts

ROOT = Path(__file__).parents[2]
DATA = Path(pvlib.__file__).parent / "data"


def sample(name: str) -> str:
    """Text of a built-in sample."""
    path = sample_path(name)
    assert path is not None
    return path.read_text(encoding="utf-8")


def refused(content: str | bytes, name: str = "my.csv") -> list[str]:
    """Fault lines of a file that cannot be used."""
    with pytest.raises(InputError) as caught:
        read_weather(name, content=content if isinstance(content, bytes) else content.encode())
    lines = str(caught.value).split("\n")
    assert all(line.startswith(f"{name}: ") for line in lines)
    return lines


def plain(hours: int = 8760, heading: str = "outdoor [degC]", value: str = "5.0") -> str:
    """A small CSV year of our own."""
    about = "# station: Test Hill\n# latitude: 47.0\n# longitude: 12.0\n# utc_offset: 1\n"
    return about + heading + "\n" + "\n".join([value] * hours) + "\n"


@pytest.mark.parametrize(("name", "original"), SAMPLES.items())
def test_samples_equal_what_pvlib_carries(name: str, original: str) -> None:
    frame, meta = pvlib.iotools.read_tmy3(DATA / original, map_variables=True)
    weather = read_weather(ROOT / "weather_samples" / name)
    for column, values in (
        ("temp_air", weather.outdoor_c),
        ("ghi", weather.ghi_w_m2),
        ("dni", weather.dni_w_m2),
        ("dhi", weather.dhi_w_m2),
    ):
        assert np.array_equal(frame[column].to_numpy(dtype=float), values)
    assert (weather.latitude_deg, weather.longitude_deg, weather.utc_offset_h) == (
        meta["latitude"],
        meta["longitude"],
        meta["TZ"],
    )
    assert cut((DATA / original).read_text(encoding="utf-8")) == sample(name)


def test_checksums_are_the_ones_written_down() -> None:
    told = (ROOT / "weather_samples" / "SOURCES.md").read_text(encoding="utf-8")
    for name in (*SAMPLES, "cold_valley.csv"):
        assert hashlib.sha256((ROOT / "weather_samples" / name).read_bytes()).hexdigest() in told


@pytest.mark.parametrize("name", SAMPLES)
def test_degree_days_equal_an_independent_sum(name: str) -> None:
    rows = list(csv.reader(io.StringIO(sample(name))))
    place = rows[1].index("Dry-bulb (C)")
    total = 0.0
    for row in rows[2:]:
        warm = float(row[place])
        total += max(0.0, (65 - 32) / 1.8 - warm)
    assert read_weather(name, content=sample(name).encode()).degree_days_k_d((65 - 32) / 1.8) == pytest.approx(
        total / 24, rel=1e-12
    )


def test_the_mean_of_a_typical_year_is_near_the_station_s_normal(published) -> None:
    weather = read_weather("greensboro.csv", content=sample("greensboro.csv").encode())
    published("weather")["greensboro_annual_mean"].check(float(weather.outdoor_c.mean()) * 1.8 + 32.0)


def test_hourly_against_daily_means(published) -> None:
    rows = published("weather")
    hours = np.arange(8760)
    for mean in (60, 66):
        swing = (mean + 15 * np.sin(2 * np.pi * (hours + 0.5) / 24) - 32) / 1.8
        year = Weather("", "", "", 0, 0, 0, 0, np.ones(8760, dtype=np.int8), swing)
        base = (65 - 32) / 1.8
        rows[f"trap_hourly_mean_{mean}"].check(year.degree_days_k_d(base) * 1.8 / 365)
        rows[f"trap_daily_mean_{mean}"].check(year.daily_mean_degree_days_k_d(base) * 1.8 / 365)


def test_months_of_different_years_are_never_sorted() -> None:
    weather = read_weather("greensboro.csv", content=sample("greensboro.csv").encode())
    assert len(weather.years) > 3
    assert (np.diff(weather.months) >= 0).all()
    first = float(sample("greensboro.csv").split("\n")[2].split(",")[5])
    assert weather.outdoor_c[0] == first


def test_a_record_is_the_hour_that_begins_at_its_number() -> None:
    # the label 13:00 stands for the hour from 12:00 to 13:00: the sun must be highest around 12 standard time plus the longitude's share
    weather = read_weather("greensboro.csv", content=sample("greensboro.csv").encode())
    assert weather.notes == ()
    sun = weather.ghi_w_m2.reshape(365, 24).sum(axis=0)
    centre = float((sun * (np.arange(24) + 0.5)).sum() / sun.sum())
    assert abs(centre - (12 + weather.utc_offset_h - weather.longitude_deg / 15)) < 0.3


def test_a_wrong_time_zone_is_told() -> None:
    moved = sample("greensboro.csv").replace("NC,-5.0,", "NC,-9.0,", 1)
    assert "check UTC offset and time stamps" in read_weather("x.csv", content=moved.encode()).notes[0]


def test_design_temperature_says_where_it_came_from() -> None:
    weather = read_weather("greensboro.csv", content=sample("greensboro.csv").encode())
    value, source = design_temperature(weather)
    below = np.mean(weather.outdoor_c < value)
    assert below <= 0.01 <= np.mean(weather.outdoor_c <= value) + 1e-3
    assert "hours a year in the weather file" in source


def epw_text() -> str:
    """An EPW year made from a sample's values, with design conditions in its header."""
    head = [
        "LOCATION,Test Town,NC,USA,TMY3,723170,36.10,-79.95,-5.0,273.0",
        "DESIGN CONDITIONS,1,Climate Design Data 2009 ASHRAE Handbook,,Heating,1,-10.3,-8.1,-17.1,0.8,-7.2",
        "TYPICAL/EXTREME PERIODS,0", "GROUND TEMPERATURES,0", "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0", "COMMENTS 1,made for a test",
        "COMMENTS 2,", "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
    ]  # fmt: skip
    lines = []
    for number, row in enumerate(list(csv.reader(io.StringIO(sample("greensboro.csv"))))[2:]):
        hour = number % 24 + 1
        month, day, _ = row[0].split("/")
        values = (
            [row[5], "0", "50", "98000", "0", "0", "300", row[2], row[3], row[4]]
            + ["0"] * 4
            + ["0", row[6]]
            + ["0"] * 13
        )
        lines.append(",".join(["1999", month, day, str(hour), "60", "?9?9", *values]))
    return "\n".join(head + lines) + "\n"


def test_epw_gives_the_same_year_and_its_design_conditions() -> None:
    weather = read_weather("t.epw", content=epw_text().encode())
    same = read_weather("greensboro.csv", content=sample("greensboro.csv").encode())
    assert np.array_equal(weather.outdoor_c, same.outdoor_c)
    assert np.array_equal(weather.ghi_w_m2, same.ghi_w_m2)
    assert (weather.design_996_c, weather.design_99_c) == (-10.3, -8.1)
    assert design_temperature(weather) == (-8.1, "99 % value in the weather file's header")


def test_epw_missing_codes_are_gaps() -> None:
    lines = epw_text().split("\n")
    lines[8 + 500] = re.sub(r"(\?9\?9),[^,]*", r"\1,99.9", lines[8 + 500])
    weather = read_weather("t.epw", content="\n".join(lines).encode())
    assert weather.outdoor_c.max() < 50
    assert "1 missing hours were interpolated" in weather.notes[0]


def test_plain_csv_in_three_dialects() -> None:
    us = read_weather("a.csv", content=plain(heading="outdoor [degF]", value="41.0").encode())
    comma = read_weather("b.csv", content=plain(heading="note;outdoor [°C]", value="über;5,0").encode("latin-1"))
    assert np.allclose(us.outdoor_c, 5.0)
    assert np.allclose(comma.outdoor_c, 5.0)
    assert us.ghi_w_m2 is None
    assert read_weather("c.csv", content=plain(hours=8784).encode()).n_hours == 8784


def test_old_line_ends_and_units_in_the_key_are_understood() -> None:
    text = "# altitude [m]: 900\n# design_99: -16 degC\n" + plain()
    weather = read_weather("d.csv", content=text.replace("\n", "\r").encode())
    assert (weather.n_hours, weather.altitude_m, weather.design_99_c) == (8760, 900.0, -16.0)


@pytest.mark.parametrize(
    ("content", "name", "says"),
    [
        ("", "a.csv", "is empty"),
        ("hello\nworld\n", "a.epw", "is called .epw but does not begin with LOCATION"),
        ("LOCATION,x\nno\n", "a.epw", "begins like EPW but holds no rows of hours"),
        (b"\x00\x01" * 500, "a.csv", "is not text"),
        (plain(8759), "a.csv", "8,759 hourly records were found"),
        (plain(8761), "a.csv", "8,761 hourly records were found"),
        (plain(17520), "a.csv", "17,520 rows without times were found, 2 for each hour of a year; add a column 'time'"),
        (
            plain(heading="warmth"),
            "a.csv",
            "the temperature column is missing; add a column 'outdoor [degC]', or say which it is with --map; found warmth",
        ),
        (plain(heading="outdoor"), "a.csv", "column outdoor: has no unit"),
        (plain(heading="outdoor [kW]"), "a.csv", "'kW' is not a temperature"),
        (plain(value="77"), "a.csv", "outside -90 to 60 degC"),
        (
            plain(heading="outdoor [degC],ghi [W/m2]", value="5,0").replace("# latitude: 47.0\n", ""),
            "a.csv",
            "# latitude: is missing, and radiation cannot be used without it",
        ),
        (
            plain(value="5").replace("47.0", "147.0"),
            "a.csv",
            "# latitude: '147.0' is not a number of deg from -90 to 90",
        ),
        (plain(3, value="x"), "a.csv", "outdoor: not one value can be read"),
        (plain(9000) + "x\n" * 10 + "5\n" * 8510, "a.csv", "10 hours in a row are missing from record 9001"),
        (plain(8759) + "5" * 200_000 + "\n", "a.csv", "has a line of 200,000 letters"),
        (plain(8759) + '"' + "5\n" * 140_000, "a.csv", "cannot be read as a table"),
        (plain(heading="outdoor [degC],outdoor [degF]", value="5,9"), "a.csv", "is a second column outdoor"),
        (
            plain(heading="time,outdoor [degC]", value="2021-07-01 00:00,5"),
            "a.csv",
            "1 hours from 2021-07-01 00:00 to 2021-07-01 00:00 were read",
        ),
        ("# altitude: 3000 ft\n" + plain(), "a.csv", "'3000 ft' is not a number of m"),
        ("# design_99: 5 degF\n" + plain(), "a.csv", "'5 degF' is not a number of degC from -90 to 40"),
        ("# design_99: cold\n" + plain(), "a.csv", "'cold' is not a number of degC from -90 to 40"),
    ],
)
def test_bad_files_are_refused_in_plain_lines(content: str | bytes, name: str, says: str) -> None:
    assert any(says in line for line in refused(content, name))


def test_a_missing_column_is_named() -> None:
    text = sample("greensboro.csv").replace("Dry-bulb (C)", "Wet thing (C)", 1)
    assert any("dry-bulb temperature: the column is missing" in line for line in refused(text))


def with_gap(hours: int) -> str:
    lines = sample("greensboro.csv").split("\n")
    for at in range(202, 202 + hours):
        cells = lines[at].split(",")
        cells[5] = "-9900"
        lines[at] = ",".join(cells)
    return "\n".join(lines)


def test_short_gaps_are_mended_and_told_long_ones_refused() -> None:
    weather = read_weather("g.csv", content=with_gap(6).encode())
    assert weather.notes == ("outdoor: 6 missing hours were interpolated, the longest run 6 h",)
    assert weather.outdoor_c.min() > -50
    assert any("7 hours in a row are missing from Jan 9, hour 9" in line for line in refused(with_gap(7)))


def test_all_faults_of_a_file_at_once() -> None:
    text = plain(8759, heading="outdoor [degC],ghi [W/m2]", value="77,0")
    found = refused(text.replace("# longitude: 12.0\n", ""))
    assert len(found) == 3


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.binary(max_size=300), st.text(max_size=200).map(str.encode), st.binary(max_size=60).map(lambda b: b"LOCATION," + b),
                 st.binary(max_size=60).map(lambda b: b"723170," + b)))  # fmt: skip
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    for name in ("a.csv", "a.epw"):
        with pytest.raises(InputError):
            read_weather(name, content=content)


def test_kept_columns_are_those_in_use() -> None:
    assert sample("sand_point.csv").split("\n")[1] == ",".join(KEPT)


@pytest.mark.parametrize(
    ("key", "ends"), [("latitude", (-90, 90)), ("longitude", (-180, 180)), ("utc_offset", (-12, 14))]
)
def test_a_place_may_lie_at_the_ends_of_the_earth_and_no_further(key: str, ends: tuple[float, float]) -> None:
    for value, beyond in zip(ends, (ends[0] - 0.01, ends[1] + 0.01), strict=True):
        assert place_facts({key: str(value)}, "a.csv", needed=False)[1] == []
        (fault,) = place_facts({key: str(beyond)}, "a.csv", needed=False)[1]
        assert fault.field == f"# {key}"
