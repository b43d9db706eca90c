"""Downloads as they are packed, radiation of which only the global part is known, and clocks that a file does not name."""

from __future__ import annotations

import gzip
import io
import zipfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from cases import sample_weather
from weather.layouts import epw, epw_rows, hours, truth
from weather.services import SERVICES

from costsim import load_weather, read_study, read_weather, simulate
from costsim.engine.study_clock import calendar_of
from costsim.errors import InputError
from costsim.study.case import built_in_studies
from costsim.weather.sunlight import sun_on

TRUE = truth()
YEAR = hours("2021-01-01")
DWD = next(one for one in SERVICES if one.name == "DWD")
ISD = next(one for one in SERVICES if one.name == "NOAA ISD")


def zipped(members: dict[str, bytes]) -> bytes:
    """A ZIP of files by name."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return stream.getvalue()


def test_a_bulk_file_without_headings_in_gzip() -> None:
    rows = [f"{str(t)[:10]},{int(str(t)[11:13])},{v:.1f},,,,,,,,,," for t, v in zip(YEAR, TRUE, strict=True)]
    weather = read_weather("10637.csv.gz", content=gzip.compress("\n".join(rows).encode()))
    assert np.array_equal(weather.outdoor_c, TRUE)
    assert "Meteostat hourly" in weather.source


def test_a_zip_with_a_station_beside_its_readings() -> None:
    place = "Stations_id;Stationshoehe;Geogr.Breite;Geogr.Laenge;von_datum;bis_datum;Stationsname\n"
    place += "9999; 300.00;46.0;11.0;19500101;19991231;Hill\n9999; 400.00;47.0;12.0;20000101;;Hill\n"
    members = {
        "Metadaten_Geographie_09999.txt": place.encode(),
        "Metadaten_Parameter_09999.txt": b"x;y\n1;2\n",
        "produkt_tu_stunde_20210101_20211231_09999.txt": DWD.write(YEAR, TRUE).raw,
    }
    weather = read_weather("stundenwerte_TU_09999_akt.zip", content=zipped(members))
    assert (weather.latitude_deg, weather.longitude_deg, weather.altitude_m) == (47.0, 12.0, 400.0)
    assert np.array_equal(weather.outdoor_c, np.roll(TRUE, 1))


def test_a_zip_with_an_epw_among_other_files() -> None:
    raw = zipped(
        {"a/Hill.epw": epw(epw_rows(TRUE)), "a/Hill.stat": b"text", "a/Hill.ddy": b"text", "readme.txt": b"read me"}
    )
    assert np.array_equal(read_weather("hill.zip", content=raw).outdoor_c, TRUE)


@pytest.mark.parametrize(
    ("name", "raw", "says"),
    [
        (
            "two.zip",
            zipped({"a.csv": b"x", "b.csv": b"y"}),
            "holds 2 tables of weather: a.csv, b.csv; unpack it and name one",
        ),
        ("none.zip", zipped({"a.doc": b"x"}), "holds no table of weather"),
        ("cut.csv.gz", gzip.compress(b"time,temp\n" * 500)[:-20], "is no whole gzip file"),
        ("bomb.csv.gz", gzip.compress(bytes(120_000_000), 9), "unpacks to more than 100 MB"),
        ("cut.zip", zipped({"a.csv": b"x" * 500})[:60], "is no whole ZIP"),
    ],
    ids=["two tables", "no table", "cut gzip", "bomb", "cut zip"],
)
def test_packed_files_that_cannot_be_read(name: str, raw: bytes, says: str) -> None:
    with pytest.raises(InputError) as caught:
        read_weather(name, content=raw)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


def test_global_radiation_alone_gives_nearly_the_sun_of_all_three() -> None:
    full = sample_weather()
    alone = replace(full, dni_w_m2=None, dhi_w_m2=None)
    for tilt in (45.0, 90.0):
        whole, split = (float(sun_on(one, tilt, 180.0).total_w_m2.sum()) for one in (full, alone))
        # the correlation's authors give the diffuse share of single hours to some tenths; sums of a year to some percent
        assert split == pytest.approx(whole, rel=0.06)
    with pytest.raises(ValueError, match="no sunshine"):
        sun_on(replace(alone, ghi_w_m2=None), 45.0, 180.0)


def test_an_offset_that_is_only_near_the_longitude_raises_no_alarm_and_moves_no_hour() -> None:
    case = read_study("lantern_cottage")
    weather = read_weather("isd.csv", content=ISD.write(YEAR, TRUE).raw)
    assert weather.offset_is_guess
    assert read_weather("dwd.txt", content=DWD.write(YEAR, TRUE).raw).offset_is_guess  # UTC, and no place at all
    # 12° east is UTC+1 by the sun; the study's clock is another, and its hours are found all the same
    moved = case.model_copy(update={"place": case.place.model_copy(update={"timezone": "Europe/Athens"})})
    guessed, known = calendar_of(moved, weather), calendar_of(moved, replace(weather, offset_is_guess=False))
    assert guessed.warning == ""
    assert "lie 1 h apart" in known.warning
    assert np.array_equal(guessed.clock_hour, known.clock_hour)
    assert guessed.clock_hour[0] == 1.0


def test_a_clock_that_nothing_states_is_the_study_s_own() -> None:
    case = read_study("lantern_cottage")
    plain = b"time,outdoor [degC]\n" + b"".join(f"{t},{v:.1f}\n".encode() for t, v in zip(YEAR, TRUE, strict=True))
    weather = read_weather("plain.csv", content=plain)
    assert np.isnan(weather.utc_offset_h)
    calendar = calendar_of(case, weather)
    assert calendar.warning == ""
    assert calendar.clock_hour[0] == 0.0
    assert all(np.isfinite(option.cost_total) for option in simulate(case, weather).options)


def test_a_download_stands_as_a_study_s_weather(tmp_path: Path) -> None:
    (tmp_path / "isd.csv").write_bytes(ISD.write(YEAR, TRUE).raw)
    source = built_in_studies()["lantern_cottage"]
    study = tmp_path / "s.toml"
    study.write_text(source.read_text(encoding="utf-8").replace("greensboro.csv", "isd.csv"), encoding="utf-8")
    case = read_study(str(study))
    result = simulate(case, load_weather(case))
    assert result.weather_facts["degree_days_k_d"] > 0
    assert any("tenths of °C and UTC" in note for note in result.weather_facts["notes"])


def test_the_nsrdb_in_utc_is_brought_to_the_place_s_clock() -> None:
    raw = next(one for one in SERVICES if one.name == "NSRDB").write(YEAR, TRUE).raw
    utc = raw.replace(b"47.0,12.0,1,400,1,c", b"47.0,12.0,0,400,1,c")
    weather = read_weather("n.csv", content=utc)
    assert weather.utc_offset_h == 1.0
    assert np.array_equal(weather.outdoor_c, np.roll(TRUE, 1))
