"""Downloads of weather services are read as they come: values, units, clock and place, against a truth that is known."""

from __future__ import annotations

import io
import random
from pathlib import Path

import numpy as np
import pvlib
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from weather.layouts import hours, truth
from weather.services import SERVICES, Service, daily_tables, pvgis_tmy, random_download, read_again

from costsim.bills.temperatures import read_temperatures
from costsim.cli.main import main
from costsim.errors import InputError
from costsim.weather import read_weather
from costsim.weather.columns import mapping_of
from costsim.weather.layouts import LAYOUTS
from costsim.weather.readers import read_record

TRUE = truth()
YEAR = hours("2021-01-01")
EACH = pytest.mark.parametrize("service", SERVICES, ids=lambda service: service.name)
FEW = settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))


@EACH
def test_a_year_is_read_as_it_was_written(service: Service) -> None:
    written = service.write(YEAR, TRUE)
    weather = read_weather("w.csv", content=written.raw)
    # a year of UTC hours is one hour ahead on the clock of 12° east; its first hour is the last of the file
    true = np.roll(written.true, 1) if service.utc and service.placed else written.true
    np.testing.assert_allclose(weather.outdoor_c, true, atol=1e-9)
    assert weather.years == (2021,)
    if service.placed:
        assert (weather.latitude_deg, weather.longitude_deg, weather.utc_offset_h) == (47.0, 12.0, 1.0)


@pytest.mark.parametrize(
    "service",
    [pytest.param(one, marks=pytest.mark.long if at % 3 else ()) for at, one in enumerate(SERVICES)],
    ids=lambda service: service.name,
)
@FEW
@given(rng=st.randoms(use_true_random=False))
def test_gaps_orders_and_doubles_change_no_other_hour(service: Service, rng: random.Random) -> None:
    raw, times, true = random_download(service, rng)
    np.testing.assert_allclose(read_again(service, raw, times), true, atol=1e-9)


def test_a_typical_year_of_pvgis_equals_what_pvlib_reads_turned_to_local_time() -> None:
    raw = pvgis_tmy(TRUE)
    weather = read_weather("tmy.csv", content=raw)
    frame = pvlib.iotools.read_pvgis_tmy(io.BytesIO(raw), pvgis_format="csv", map_variables=False)[0]
    np.testing.assert_allclose(weather.outdoor_c, np.roll(frame["T2m"].to_numpy(), 1))
    assert weather.ghi_w_m2 is not None
    np.testing.assert_allclose(weather.ghi_w_m2, np.roll(frame["G(h)"].to_numpy(), 1))
    assert weather.years[0] == 2006


def test_radiation_is_read_with_its_unit_and_its_label() -> None:
    sun = np.where((np.arange(8760) % 24 >= 8) & (np.arange(8760) % 24 < 16), 360.0, 0.0)
    ends = np.roll(sun, 1)  # the mean of the hour before stands at the hour's end
    era = ["valid_time,t2m,ssrd,latitude,longitude"]
    era += [f"{str(t).replace('T', ' ')}:00,280.0,{v * 3600:.0f},47.0,0.0" for t, v in zip(YEAR, ends, strict=True)]
    meteo = [
        "latitude,longitude,elevation,utc_offset_seconds",
        "47.0,0.0,400.0,0",
        "time,temperature_2m (°C),shortwave_radiation (W/m²)",
    ]
    meteo += [f"{t},5.0,{v:.0f}" for t, v in zip(YEAR, ends, strict=True)]
    power = ["-BEGIN HEADER-", "Dates (month/day/year): 01/01/2021 through 12/31/2021 in UTC"]
    power += ["Location: Latitude  47.0   Longitude 0.0"]
    power += ["ALLSKY_SFC_SW_DWN     CERES SYN1deg All Sky Surface Shortwave Downward Irradiance (MJ/hr) "]
    power += ["-END HEADER-", "YEAR,MO,DY,HR,T2M,ALLSKY_SFC_SW_DWN"]
    power += [
        f"2021,{int(str(t)[5:7])},{int(str(t)[8:10])},{int(str(t)[11:13])},5.0,{v * 0.0036:.3f}"
        for t, v in zip(YEAR, sun, strict=True)
    ]
    for lines in (era, meteo, power):
        weather = read_weather("w.csv", content="\n".join(lines).encode())
        assert weather.ghi_w_m2 is not None
        np.testing.assert_allclose(weather.ghi_w_m2, sun, atol=0.2)
        assert not any("sun" in note for note in weather.notes)


def test_daily_tables_serve_bills_and_are_refused_for_a_year_in_one_sentence() -> None:
    days = np.arange("2020-07-01", "2021-07-01", dtype="datetime64[D]")
    mean = np.round(truth(24 * len(days)).reshape(-1, 24).mean(axis=1), 1)
    for name, written in daily_tables(days, mean).items():
        found = read_temperatures("d.csv", content=written.raw)
        assert found.first_day == days[0], name
        np.testing.assert_allclose(found.outdoor_c[:, 0], written.true, atol=1e-9, err_msg=name)
        with pytest.raises(InputError) as caught:
            read_weather("d.csv", content=written.raw)
        (fault,) = caught.value.faults
        assert "365 daily values from 2020-07-01 to 2021-06-30 were read" in str(fault), name
        assert "use it with fit --weather" in str(fault)


def test_a_unit_that_stays_open_is_one_question() -> None:
    rows = "".join(f'"XX","HILL","2021-01-{day:02d}","","{day}","",""\n' for day in range(1, 31))
    raw = ('"STATION","NAME","DATE","PRCP","TAVG","TMAX","TMIN"\n' + rows).encode()
    with pytest.raises(InputError, match="say it in a line '# unit: degF' above the table, or with --unit"):
        read_record("d.csv", content=raw)
    warm = read_record("d.csv", content=raw, unit="degF").columns["outdoor"]
    np.testing.assert_allclose(warm, (np.arange(1, 31) - 32) / 1.8)
    told = read_record("d.csv", content=b"# unit: degC/10\n" + raw).columns["outdoor"]
    np.testing.assert_allclose(told, np.arange(1, 31) / 10)


def test_one_column_of_a_temperatures_unit_is_the_temperature_whatever_its_name_and_of_two_it_is_asked() -> None:
    days = np.arange("2021-01-01", "2021-02-01", dtype="datetime64[D]")
    rows = "".join(f"{day},{at - 5},{at}\n" for at, day in enumerate(days))
    found = read_temperatures("d.csv", content=f"date,mean [degC],rain [mm]\n{rows}".encode())
    np.testing.assert_allclose(found.outdoor_c[:, 0], np.arange(31.0) - 5.0)
    two = f"date,Boston [degC],Salem [degC]\n{rows}".encode()
    with pytest.raises(InputError, match=r"the temperature column is missing; .*--map; found date, Boston"):
        read_temperatures("d.csv", content=two)
    named = read_temperatures("d.csv", content=two, mapping=mapping_of(["temp=Salem [degC]"]))
    np.testing.assert_allclose(named.outdoor_c[:, 0], np.arange(31.0))


@pytest.mark.parametrize("service", [s for s in SERVICES if s.step_s == 3600][:3], ids=lambda s: s.name)
def test_a_sample_that_holds_no_year_says_what_was_read_and_what_is_missing(service: Service) -> None:
    with pytest.raises(InputError) as caught:
        read_weather("w.csv", content=service.write(YEAR[:120], TRUE[:120]).raw)
    (fault,) = caught.value.faults
    assert "120 hours from" in str(fault)
    assert "a year's run needs 8,760 hours in a row; download 360 more days" in str(fault)


def test_a_table_of_days_below_the_hours_is_left_alone() -> None:
    service = next(one for one in SERVICES if one.name == "Open-Meteo")
    below = b"\ntime,temperature_2m_max (\xc2\xb0C)\n2021-01-01,5.0\n2021-01-02,6.0\n"
    weather = read_weather("w.csv", content=service.write(YEAR, TRUE).raw + below)
    np.testing.assert_allclose(weather.outdoor_c, TRUE)


def test_several_stations_are_a_question() -> None:
    rows = "".join(f"{name},2021-01-01 0{hour}:00,{50 + 9 * hour}\n" for name in ("AAA", "BBB") for hour in range(5))
    rows = rows.replace("BBB,2021-01-01 00:00,50", "BBB,2021-01-01 00:00,32")
    raw = ("station,valid,tmpf\n" + rows).encode()
    with pytest.raises(InputError, match="holds 2 stations: AAA; BBB; choose one with --station 'AAA'"):
        read_record("w.csv", content=raw)
    # 50 °F are 10 °C, 32 °F are 0 °C
    for name, first in (("AAA", 10.0), ("BBB", 0.0)):
        found = read_record("w.csv", content=raw, station=name)
        assert found.columns["outdoor"] == pytest.approx([first, 15.0, 20.0, 25.0, 30.0])
        assert f"station {name} of 2 in the file" in found.notes
    with pytest.raises(InputError, match="--station: 'C' is none of AAA, BBB"):
        read_record("w.csv", content=raw, station="C")


def test_any_table_is_read_by_a_map(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [f"{str(t)[:10]}|{str(t)[11:16]}|{round((v * 1.8 + 32) * 10)}" for t, v in zip(YEAR, TRUE, strict=True)]
    table, out = tmp_path / "odd.txt", tmp_path / "year.csv"
    table.write_text("WHEN|AT|TMP\n" + "\n".join(rows) + "\n", encoding="utf-8")
    place = ["--latitude", "47", "--longitude", "12", "--utc-offset", "1", "--altitude", "400"]
    words = ["--map", "temp=TMP [degF/10]", "--map", "date=WHEN", "--map", "hour=AT"]
    assert main(["weather", "convert", str(table), "-o", str(out), *words, *place]) == 0
    weather = read_weather(out)
    np.testing.assert_allclose(weather.outdoor_c, (np.round((TRUE * 1.8 + 32) * 10) / 10 - 32) / 1.8, atol=0.0051)
    assert (weather.latitude_deg, weather.utc_offset_h, weather.altitude_m, weather.years) == (
        47.0,
        1.0,
        400.0,
        (2021,),
    )
    assert main(["weather", "convert", str(table), "-o", str(out), "--map", "temp=TMPP [degF]"]) == 2
    assert "'TMP' may be meant" in capsys.readouterr().err
    assert main(["weather", "convert", str(table), "-o", str(out), "--map", "temp=TMP", "--map", "warm"]) == 2
    assert capsys.readouterr().err.count("--map") >= 2
    assert mapping_of(["low=A [degC]", "high=B [degC]"]) == {"low": ("A", "degC"), "high": ("B", "degC")}


def test_files_of_several_years_are_joined(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    names = []
    service = next(one for one in SERVICES if one.name == "Environment Canada")
    for year, seed in ((2021, 1), (2022, 2)):
        path = tmp_path / f"{year}.csv"
        path.write_bytes(service.write(hours(f"{year}-01-01"), truth(seed=seed)).raw)
        names.append(str(path))
    out = tmp_path / "out.csv"
    assert main(["weather", "convert", *reversed(names), "-o", str(out), "--year", "2021"]) == 0
    np.testing.assert_allclose(read_weather(out).outdoor_c, TRUE)
    assert main(["weather", "convert", *names, "-o", str(out)]) == 0
    assert "whole years 2021 to 2022; 2022 is used" in capsys.readouterr().out
    assert main(["weather", "convert", *names, "-o", str(out), "--year", "2019"]) == 2
    assert "whole years are 2021, 2022" in capsys.readouterr().err


def test_long_gaps_are_filled_from_the_days_around_and_longer_ones_refused() -> None:
    service = next(one for one in SERVICES if one.name == "Environment Canada")
    flat = np.tile(np.arange(24.0), 365)
    gone = flat.copy()
    gone[5000:5072] = np.nan
    weather = read_weather("w.csv", content=service.write(YEAR, gone).raw)
    np.testing.assert_allclose(weather.outdoor_c, flat)
    assert "outdoor: 72 missing hours were filled from the days around, the longest run 72 h" in weather.notes
    gone[5000:5073] = np.nan
    with pytest.raises(InputError, match="no whole year: missing are 73 hours from 2021-07-28 08:00"):
        read_weather("w.csv", content=service.write(YEAR, gone).raw)


def test_every_layout_is_told_by_its_headings_alone() -> None:
    for layout in LAYOUTS:
        assert {column.heading for columns in layout.columns.values() for column in columns}
        assert layout.time
        assert layout.zone in ("utc", "standard", "stated")
