"""Row times of CSV, TMY3, EPW and TMY2 are read: rows out of order are put right and told, or refused in one line."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pvlib
import pytest
from weather.layouts import HEAD, epw, epw_rows, hours, plain_table, tmy3, tmy3_rows, truth

from costsim.errors import InputError
from costsim.weather import read_weather
from costsim.weather.stamps import read_stamps

TRUE = truth()
YEAR = hours("2021-01-01")
READERS = pytest.mark.parametrize(
    ("rows", "made", "name"),
    [(epw_rows(TRUE), epw, "a.epw"), (tmy3_rows(TRUE), tmy3, "a.csv")],
    ids=["epw", "tmy3"],
)


def refused(content: bytes, name: str = "a.csv") -> str:
    """The one line that a file is refused with."""
    with pytest.raises(InputError) as caught:
        read_weather(name, content=content)
    text = str(caught.value)
    assert "\n" not in text, text
    return text


def mixed(rows: list[str], kind: str) -> list[str]:
    """Rows in another order."""
    if kind == "shuffled":
        return [rows[at] for at in np.random.default_rng(3).permutation(len(rows))]
    return rows[::-1] if kind == "reversed" else rows[4344:] + rows[:4344]


@READERS
@pytest.mark.parametrize("kind", ["shuffled", "reversed", "from July"])
def test_rows_out_of_order_are_sorted_and_told(
    rows: list[str], made: Callable[[list[str]], bytes], name: str, kind: str
) -> None:
    weather = read_weather(name, content=made(mixed(rows, kind)))
    assert np.array_equal(weather.outdoor_c, TRUE)
    told = "rows begin on Jul 1" if kind == "from July" else "they were sorted"
    assert any(told in note for note in weather.notes), weather.notes


@READERS
def test_nothing_is_told_of_rows_in_order(rows: list[str], made: Callable[[list[str]], bytes], name: str) -> None:
    weather = read_weather(name, content=made(rows))
    assert np.array_equal(weather.outdoor_c, TRUE)
    assert not any("sorted" in note or "begin on" in note for note in weather.notes)


@READERS
def test_hours_that_come_twice_or_never_are_refused_by_name(
    rows: list[str], made: Callable[[list[str]], bytes], name: str
) -> None:
    assert "1 hours come more than once, first Jan 9, hour 3" in refused(made([*rows, rows[8 * 24 + 2]]), name)
    assert "1 are missing, first Jan 9, hour 3" in refused(made(rows[: 8 * 24 + 2] + rows[8 * 24 + 3 :]), name)


@pytest.mark.parametrize("kind", ["shuffled", "reversed", "from July"])
def test_csv_rows_are_taken_by_their_dates(kind: str) -> None:
    lines = plain_table(YEAR, TRUE).decode().split("\n")[5:-1]
    text = HEAD + "time,outdoor [degC]\n" + "\n".join(mixed(lines, kind)) + "\n"
    weather = read_weather("a.csv", content=text.encode())
    assert np.array_equal(weather.outdoor_c, TRUE)
    assert any("sorted" in note for note in weather.notes)
    assert weather.years == (2021,)


def test_a_year_from_july_is_put_into_the_order_of_a_calendar_year() -> None:
    weather = read_weather("a.csv", content=plain_table(hours("2021-07-01"), TRUE))
    turned = np.roll(TRUE, 4344)  # July to December make 4,416 hours, January to June 4,344
    assert np.array_equal(weather.outdoor_c, np.concatenate([TRUE[4416:], TRUE[:4416]]))
    assert np.array_equal(weather.outdoor_c, turned)
    assert any("twelve months from 2021-07-01" in note for note in weather.notes)
    assert weather.years == (2021, 2022)


def test_half_hourly_rows_are_averaged() -> None:
    times = np.datetime64("2021-01-01T00:00") + np.arange(17520) * np.timedelta64(30, "m")
    weather = read_weather("a.csv", content=plain_table(times, np.repeat(TRUE, 2) + np.tile([0.5, -0.5], 8760)))
    np.testing.assert_allclose(weather.outdoor_c, TRUE, atol=1e-9)
    assert any("every 30 minutes were averaged" in note for note in weather.notes)


def two(value: int) -> str:
    return f"{value:02d}"


def parts(time: np.datetime64) -> tuple[int, int, int, int]:
    text = str(time)
    return int(text[:4]), int(text[5:7]), int(text[8:10]), int(text[11:13])


FORMS: dict[str, Callable[[np.datetime64], str]] = {
    "iso with T": str,
    "day first": lambda t: "{2}/{1}/{0} {3}:00".format(*parts(t)),
    "month first": lambda t: "{1}/{2}/{0} {3}:00".format(*parts(t)),
    "dots": lambda t: "{2:02d}.{1:02d}.{0} {3:02d}:00".format(*parts(t)),
    "compact": lambda t: "{:d}{:02d}{:02d}{:02d}".format(*parts(t)),
    "named": lambda t: f"{parts(t)[2]}-{'JanFebMarAprMayJunJulAugSepOctNovDec'[3 * parts(t)[1] - 3 : 3 * parts(t)[1]]}-{parts(t)[0]} {parts(t)[3]}:00",
    "am and pm": lambda t: f"{parts(t)[1]}/{parts(t)[2]}/{parts(t)[0]} {(parts(t)[3] - 1) % 12 + 1}:00 {'AM' if parts(t)[3] < 12 else 'PM'}",
    "offset": lambda t: f"{t}:00+01:00",
    "utc": lambda t: f"{t - np.timedelta64(60, 'm')}Z",
}  # fmt: skip


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_dates_in_any_form_and_column(form: Callable[[np.datetime64], str]) -> None:
    rows = [f"7,{value:.1f},{form(time)}" for time, value in zip(YEAR, TRUE, strict=True)]
    text = HEAD + "note,outdoor [degC],Date/Time\n" + "\n".join(rows) + "\n"
    assert np.array_equal(read_weather("a.csv", content=text.encode()).outdoor_c, TRUE)


@pytest.mark.parametrize(
    "form", ["{2:02d}.{1:02d}.{0} {3:02d}:00", "{2:02d}/{1:02d}/{0} {3:02d}:00", "{1:02d}/{2:02d}/{0} {3:02d}:00"]
)
def test_a_few_days_of_shuffled_hours_are_not_taken_for_months(form: str) -> None:
    """Four days of January or three of February, whose numbers could be months, in any order of the rows."""
    for first, last, seed in ((120, 216, 1), (768, 840, 2), (0, 96, 3)):
        texts = [form.format(*parts(time)) for time in YEAR[first:last]]
        order = np.random.default_rng(seed).permutation(len(texts))
        got = read_stamps([texts[at] for at in order], "a.csv").times
        assert np.array_equal(got, YEAR[first:last][order])


def test_hours_counted_from_1_to_24_stand_for_the_hour_before() -> None:
    rows = [f"{str(t)[:10]},{int(str(t)[11:13]) + 1},{v:.1f}" for t, v in zip(YEAR, TRUE, strict=True)]
    text = HEAD.encode() + ("date,hour,outdoor [degC]\n" + "\n".join(rows) + "\n").encode()
    weather = read_weather("a.csv", content=text)
    assert np.array_equal(weather.outdoor_c, TRUE)
    assert any("the hour before its time" in note for note in weather.notes)


def test_summer_time_is_put_back() -> None:
    turns = np.datetime64("2021-03-28T02:00"), np.datetime64("2021-10-31T02:00")
    ahead = np.greater_equal(YEAR, turns[0]) & np.less(YEAR, turns[1])
    clock = YEAR + ahead * np.timedelta64(60, "m")
    weather = read_weather("a.csv", content=plain_table(clock, TRUE))
    assert np.array_equal(weather.outdoor_c, TRUE)
    assert any("summer time" in note for note in weather.notes)
    kept = np.delete(np.arange(8760), [*range(500, 505), 4000])  # gaps do not hide the change of the clock
    gappy = read_weather("a.csv", content=plain_table(clock[kept], TRUE[kept]))
    assert np.array_equal(gappy.outdoor_c[kept], TRUE[kept])


def test_readings_every_three_hours_are_joined_by_straight_lines() -> None:
    weather = read_weather("a.csv", content=plain_table(YEAR[::3], TRUE[::3]))
    assert np.array_equal(weather.outdoor_c[::3], TRUE[::3])
    np.testing.assert_allclose(weather.outdoor_c[1:-3:3], (2 * TRUE[:-3:3] + TRUE[3::3]) / 3, atol=1e-9)
    assert any("every 3 hours" in note for note in weather.notes)


def test_days_and_months_that_cannot_be_told_apart_are_a_question() -> None:
    rows = "1/2/2021 0:00,5\n2/1/2021 0:00,5\n"
    assert "cannot be told apart" in refused((HEAD + "time,outdoor [degC]\n" + rows).encode())


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("# altitude: nan", "altitude: 'nan' is not a number of m from -450 to 9000"),
        ("# altitude: inf", "altitude: 'inf' is not a number of m"),
        ("# altitude: 273000", "altitude: '273000' is not a number of m"),
        ("# latitude: nan", "latitude: 'nan' is not a number of deg"),
        ("# longitude: 181", "longitude: '181' is not a number of deg"),
        ("# utc_offset: 15", "utc_offset: '15' is not a number of h from -12 to 14"),
        ("# design_99: inf", "design_99: 'inf' is not a number of degC"),
    ],
)
def test_every_number_of_a_head_has_bounds(line: str, says: str) -> None:
    key = line.split(":")[0]
    text = "".join(f"{one}\n" for one in [*HEAD.split("\n")[:-1], line] if one == line or not one.startswith(key))
    assert says in refused((text + "outdoor [degC]\n" + "5.0\n" * 8760).encode())


@pytest.mark.parametrize(
    "altitude",
    ["nan", pytest.param("inf", marks=pytest.mark.long), "273000", pytest.param("-9999", marks=pytest.mark.long), "x"],
)
def test_altitudes_of_epw_and_tmy3_have_bounds(altitude: str) -> None:
    text = refused(epw(epw_rows(TRUE), altitude), "a.epw")
    assert "a.epw" in text
    assert "altitude" in text or altitude in ("nan", "inf", "x")
    assert "a.csv" in refused(tmy3(tmy3_rows(TRUE), altitude=altitude))


def test_one_odd_radiation_value_drops_one_hour() -> None:
    sun = np.where((np.arange(8760) % 24 >= 9) & (np.arange(8760) % 24 < 15), 400.0, 0.0)
    odd = sun.copy()
    odd[24 * 31 + 11] = 4000.0
    weather = read_weather("a.csv", content=tmy3(tmy3_rows(TRUE, odd)))
    assert weather.ghi_w_m2 is not None
    assert np.array_equal(weather.ghi_w_m2, sun)
    assert "ghi: 1 values outside 0 to 1500 W/m2 count as missing, first 4000 at Feb 1, hour 12" in weather.notes
    many = sun.copy()
    many[9::24] = 4000.0
    assert read_weather("a.csv", content=tmy3(tmy3_rows(TRUE, many))).ghi_w_m2 is None


def test_a_file_like_tmy3_says_what_it_is() -> None:
    rows = tmy3_rows(TRUE)
    assert np.array_equal(read_weather("a.csv", content=tmy3(rows, station="0")).outdoor_c, TRUE)
    misspelt = tmy3(
        rows, head="Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-blub (C),Wspd (m/s)"
    )
    assert "'dry-blub (c)' may be meant" in refused(misspelt)
    assert "does not state the place" in refused(tmy3(rows).replace(b"47.000", b"north", 1))


@pytest.mark.long
def test_quarter_hourly_rows_and_leap_years_of_tmy3() -> None:
    four = []
    for row in tmy3_rows(TRUE):
        date, time, rest = row.split(",", 2)
        hour = int(time[:2]) - 1
        four += [f"{date},{hour + (minute == 60):02d}:{minute % 60:02d},{rest}" for minute in (15, 30, 45, 60)]
    weather = read_weather("a.csv", content=tmy3(four))
    np.testing.assert_allclose(weather.outdoor_c, TRUE, atol=1e-9)
    assert any("every 15 minutes were averaged" in note for note in weather.notes)
    leap = read_weather("a.epw", content=epw(epw_rows(truth(8784), 2020)))
    assert (leap.n_hours, leap.years) == (8784, (2020,))


def test_tmy2_equals_what_pvlib_reads() -> None:
    path = Path(pvlib.__file__).parent / "data" / "12839.tm2"
    frame, meta = pvlib.iotools.read_tmy2(path)
    weather = read_weather(path)
    assert weather.outdoor_c == pytest.approx(frame["DryBulb"].to_numpy() / 10.0)
    assert weather.ghi_w_m2 == pytest.approx(frame["GHI"].to_numpy(dtype=float))
    assert weather.dni_w_m2 == pytest.approx(frame["DNI"].to_numpy(dtype=float))
    assert weather.wind_m_s == pytest.approx(frame["Wspd"].to_numpy() / 10.0)
    place = (weather.latitude_deg, weather.longitude_deg, weather.altitude_m, weather.utc_offset_h)
    assert place == pytest.approx((meta["latitude"], meta["longitude"], meta["altitude"], meta["TZ"]))
    assert "sun" not in " ".join(weather.notes)


def test_endless_headings_and_cells_are_scanned_once() -> None:
    # patterns that go back over their text need minutes for these
    for filler in (" ", "a", "(", "0", "-", "/"):
        long = filler * 90_000
        for heading, cell in (
            (f"outdoor{long}[degC]", "5"),
            ("outdoor [degC]", long),
            ("time,outdoor [degC]", f"{long},5"),
        ):
            with pytest.raises(InputError):
                read_weather("a.csv", content=(HEAD + heading + "\n" + f"{cell}\n" * 3).encode())


@pytest.mark.parametrize("text", ["2023-01-Z1 00:00", "2023-01T00Z00:00"])
def test_letters_in_the_place_of_a_day_are_told_in_our_words(text: str) -> None:
    """NumPy would take some for a time zone, warn and let it go; warnings are errors in tests."""
    with pytest.raises(InputError, match="time"):
        read_stamps(["2023-01-01 00:00", text], "w.csv")


@READERS
def test_a_file_cut_within_a_row_is_told_as_that(rows: list[str], made: Callable[..., bytes], name: str) -> None:
    whole = made(rows)
    text = refused(whole[: whole.rindex(b",", 0, len(whole) // 2)], name)
    assert "the file ends within this line" in text
    assert "more than once" not in text


@pytest.mark.parametrize("damaged", ["2023-01-01T10:00 30", "2023-01-01T10:05600", "2023-01-01T10300:00"])
def test_a_damaged_time_is_no_time_with_an_offset(damaged: str) -> None:
    """NumPy takes the last digits of such a text as an offset from UTC, and lets it go."""
    with pytest.raises(InputError, match=re.escape(damaged)):
        read_stamps(["2023-01-01T09:00:00", damaged], "w.csv")
