"""Downloads of weather services in dialects that nobody had tried: read right, asked, or refused in one sentence."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from costsim.bills.temperatures import read_temperatures
from costsim.cli.main import main
from costsim.errors import InputError
from costsim.weather.join import one_year
from costsim.weather.readers import read_record

FIRST, N = datetime(2023, 1, 1), 8760
OUTDOOR = np.round(
    8.0 - 12.0 * np.cos(2 * np.pi * np.arange(N) / N) - 4.0 * np.cos(2 * np.pi * (np.arange(N) - 3) / 24.0), 1
)
HOURS = [(FIRST + timedelta(hours=i), float(value)) for i, value in enumerate(OUTDOOR)]
DAYS = [(FIRST + timedelta(days=i), row) for i, row in enumerate(OUTDOOR.reshape(-1, 24).tolist())]
MIDDLE = np.array([(max(row) + min(row)) / 2 for _, row in DAYS])
OPEN_METEO = "latitude,longitude,elevation,utc_offset_seconds,timezone,timezone_abbreviation\n40.7,-74.0,32.0,-18000,America/New_York,EST\n\n"
PLACES = (
    OPEN_METEO.replace("latitude", "location_id,latitude")
    .replace("\n40.7", "\n0,40.7")
    .replace("EST\n\n", "EST\n1,48.1,11.6,524.0,3600,Europe/Berlin,CET\n\n")
)
POWER = "-BEGIN HEADER-\nDates (month/day/year): 01/01/2023 through 12/31/2023 in LST\nLocation: Latitude 47.0 Longitude 12.0\n-END HEADER-\n"


def comma(value: float) -> str:
    return f"{value:.1f}".replace(".", ",")


def hourly(head: str, row: Callable[[datetime, float], str], below: str = "") -> str:
    return "\n".join([head, *(row(time, value) for time, value in HOURS)]) + below


def daily(head: str, row: Callable[[datetime, list[float]], str]) -> str:
    return "\n".join([head, *(row(day, values) for day, values in DAYS)])


def canada(time: datetime, value: float) -> str:
    return f'"-73,74","45,47","VILLE","702","{time:%Y-%m-%d %H:%M}","{time.year}","{time:%H:%M}","{comma(value)}","","-2,0"'


def pvgis(kind: str, time: str) -> str:
    rows = [
        {time: f"{at:%Y%m%d:%H}00", "G(h)": 0.0, "H_sun": 0.0, "T2m": value, "Gb(n)": 0.0, "Gd(h)": 0.0}
        for at, value in HOURS
    ]
    return json.dumps(
        {"inputs": {"location": {"latitude": 45.8, "longitude": 0.6, "elevation": 220.0}}, "outputs": {kind: rows}}
    )


HOURLY: dict[str, Callable[[], tuple[str | bytes, dict[str, Any]]]] = {
    "Open-Meteo in US units": lambda: (
        hourly(f"{OPEN_METEO}time,temperature_2m (°F),wind_speed_10m (mp/h)",
                lambda t, v: f"{t:%Y-%m-%dT%H:%M},{v * 1.8 + 32:.2f},4.2"), {"latitude_deg": 40.7}),
    "Open-Meteo in seconds": lambda: (hourly(f"{OPEN_METEO.replace('-18000', '0')}time,temperature_2m (°C)",
            lambda t, v: f"{t.replace(tzinfo=UTC).timestamp():.0f},{v}"), {}),
    "Open-Meteo in JSON": lambda: (
        json.dumps({"latitude": 47.0, "longitude": 12.0, "elevation": 400.0, "utc_offset_seconds": 3600, "hourly_units": {"temperature_2m": "°C"},
                    "hourly": {"time": [f"{t:%Y-%m-%dT%H:%M}" for t, _ in HOURS], "temperature_2m": list(OUTDOOR)}}), {"altitude_m": 400.0}),
    "PVGIS in JSON": lambda: (pvgis("hourly", "time"), {"altitude_m": 220.0}),
    "a typical year of PVGIS in JSON": lambda: (pvgis("tmy_hourly", "time(UTC)"), {"latitude_deg": 45.8}),
    "NASA POWER in JSON": lambda: (
        json.dumps({"geometry": {"coordinates": [0.5, 47.0, 400.0]}, "properties": {"parameter": {"T2M": {f"{t:%Y%m%d%H}": v for t, v in HOURS}}},
                    "header": {"time_standard": "UTC"}}), {"latitude_deg": 47.0}),
    "Meteostat with sources": lambda: (
        hourly("year,month,day,hour,temp,temp_source,rhum,coco", lambda t, v: f"{t.year},{t.month},{t.day},{t.hour},{v},dwd_hourly,80,3"), {}),
    "global hourly with bars": lambda: (
        hourly("Station_ID|Station_name|Year|Month|Day|Hour|Minute|Latitude|Longitude|Elevation|temperature|temperature_Quality_Code",
               lambda t, v: f"XY1|HILL|{t.year}|{t.month:02}|{t.day:02}|{t.hour:02}|00|44.8|0.2|265.8|{v}|5"), {"altitude_m": 265.8}),
    "Environment Canada in French": lambda: (
        "\ufeff" + hourly('"Longitude (x)","Latitude (y)","Nom de la Station","ID climatologique","Date/Heure (HNL)","Année","Heure (HNL)","Temp (°C)",'
                          '"Temp Indicateur","Point de rosée (°C)"', canada), {"latitude_deg": 45.47}),
    "Météo-France": lambda: (hourly("NUM_POSTE;NOM_USUEL;LAT;LON;ALTI;AAAAMMJJHH;RR1;T;QT",
            lambda t, v: f"7511;P;48.8;0.3;75;{t:%Y%m%d%H};0.0;{v};1"), {"altitude_m": 75.0}),
    "ERA5 with all its dimensions": lambda: (
        hourly("number,time,step,surface,latitude,longitude,valid_time,t2m", lambda t, v: f"0,{t},0 days,0.0,47.0,0.5,{t},{v + 273.15:.3f}"), {}),
    "headings broken over lines": lambda: (hourly('"Date\n(local)","Outdoor\ntemperature\n(°C)"', lambda t, v: f"{t:%Y-%m-%d %H:%M},{v}"), {}),
    "New Zealand with a clock of four digits": lambda: (
        hourly("Station,Date(NZST),Time(NZST),Tair(C),RH(%)", lambda t, v: f"W,{t:%Y%m%d},{t:%H%M},{v},70"), {}),
    "Japan with marks of quality": lambda: (
        hourly("作成した年月日時：2024\n\n,札幌,札幌,札幌\n年月日時,気温(℃),気温(℃),気温(℃)\n,,品質情報,均質番号",
                lambda t, v: f"{t.year}/{t.month}/{t.day} {t.hour}:00:00,{v},8,1").encode("cp932"), {}),
    "a title, decimal commas and a mean below": lambda: (
        hourly("Wetterstation Hof;;\nExport vom 01.02.2024;;\n;;\nDatum;Uhrzeit;Außentemperatur (°C)",
                lambda t, v: f"{t:%d.%m.%Y};{t:%H:%M};{comma(v)}", "\nMittelwert;;8,0\n").encode("cp1252"), {}),
    "a.m. and p.m.": lambda: (hourly("Date,Time,Outdoor Temp (°F)",
            lambda t, v: f"{t:%m/%d/%Y},{t:%I:%M} {'a.m.' if t.hour < 12 else 'p.m.'},{v * 1.8 + 32:.2f}"), {}),
}  # fmt: skip


@pytest.mark.parametrize("name", HOURLY)
def test_hours_are_read_at_the_first_try(name: str) -> None:
    raw, place = HOURLY[name]()
    year = one_year([("w.csv", read_record("w.csv", content=raw if isinstance(raw, bytes) else raw.encode()))])
    np.testing.assert_allclose(year.outdoor_c[24:-24], OUTDOOR[24:-24], atol=0.051)
    for key, value in place.items():
        assert getattr(year, key) == value


DAILY = {
    "NASA POWER": daily(f"{POWER}YEAR,MO,DY,T2M_MAX,T2M_MIN", lambda t, v: f"{t.year},{t.month},{t.day},{max(v)},{min(v)}"),
    "NASA POWER by day of year": daily(f"{POWER}YEAR,DOY,T2M_MAX,T2M_MIN", lambda t, v: f"{t.year},{t:%j},{max(v)},{min(v)}"),
    "Meteostat with sources": daily("year,month,day,temp,temp_source,tmin,tmax", lambda t, v: f"{t.year},{t.month},{t.day},,x,{min(v)},{max(v)}"),
    "Environment Canada in French": daily(
        '"Longitude (x)","Date/Heure","Temp max.(°C)","Temp max. Indicateur","Temp min.(°C)","Temp min. Indicateur","Temp moy.(°C)","Temp moy. Indicateur"',
        lambda t, v: f'"-73,74","{t:%Y-%m-%d}","{comma(max(v))}","","{comma(min(v))}","","",""'),
    "elements below one another": "\n".join(
        ["ID,DATE,ELEMENT,VALUE,MFLAG,QFLAG,SFLAG,OBSTIME", *(f"USW1,{t:%Y%m%d},{name},{10 * x:.0f},,,W,"
                for t, v in DAYS for name, x in (("TMAX", max(v)), ("TMIN", min(v)), ("PRCP", 3)))]),
    "elements without headings": "\n".join(f"USW1,{t:%Y%m%d},{name},{10 * x:.0f},,,W,2400"
            for t, v in DAYS for name, x in (("TMAX", max(v)), ("TMIN", min(v)))),
}  # fmt: skip


@pytest.mark.parametrize("name", DAILY)
def test_days_are_read_at_the_first_try(name: str) -> None:
    found = read_temperatures("w.csv", content=DAILY[name].encode())
    np.testing.assert_allclose(found.outdoor_c[:, 0], MIDDLE, atol=0.051)


def refused(text: str) -> Any:
    with pytest.raises(InputError) as caught:
        read_record("w.csv", content=text.encode())
    (fault,) = caught.value.faults
    return fault


def test_places_side_by_side_are_a_question_and_the_answer_brings_its_place() -> None:
    text = hourly(
        f"{PLACES}location_id,time,temperature_2m (°C)",
        lambda t, v: f"0,{t:%Y-%m-%dT%H:%M},{v + 9}\n1,{t:%Y-%m-%dT%H:%M},{v}",
    )
    fault = refused(text)
    assert (fault.asks, fault.answers) == ("station", ("0", "1"))
    assert "--station '0'" in fault.remedy
    assert fault.problem == "holds 2 stations: 0 (40.7, -74.0); 1 (48.1, 11.6)"
    record = read_record("w.csv", content=text.encode(), station="1")
    assert (record.latitude_deg, record.longitude_deg, record.altitude_m) == (48.1, 11.6, 524.0)
    np.testing.assert_allclose(record.columns["outdoor"], OUTDOOR)
    grid = hourly(
        "time,latitude,longitude,t2m", lambda t, v: f"{t},47.0,12.0,{v + 280}\n{t},47.25,12.0,{v + 273.15:.2f}"
    )
    assert refused(grid).answers == ("47.0, 12.0", "47.25, 12.0")
    record = read_record("w.csv", content=grid.encode(), station="47.25, 12.0")
    np.testing.assert_allclose(record.columns["outdoor"], OUTDOOR, atol=0.01)


def test_means_of_months_lead_to_a_year_made_of_them() -> None:
    head = f"{POWER}PARAMETER,JAN,FEB,MAR,APR,MAY,JUN,JUL,AUG,SEP,OCT,NOV,DEC,ANN\n"
    fault = refused(head + "T2M,-2.1,-0.5,4.2,8.8,13.5,17,19.2,18.9,14.3,9.0,3.1,-1.0,8.7\n")
    assert fault.problem == "holds means of months, and hours are needed"
    assert "costsim weather synthesize" in fault.remedy


def test_other_json_is_refused_in_one_sentence() -> None:
    for text in (
        '{"outputs": {"hourly": [1]}}',
        '{"hourly": {"time": 3}}',
        '{"properties": {"parameter": {"T2M": {}}}}',
        "[" * 100_000,
    ):
        assert "JSON" in refused(text).problem or "holds no rows" in refused(text).problem


def test_a_unit_that_is_missing_is_asked_for_with_what_to_type(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "w.csv").write_text(
        hourly("name,datetime,temp,dew", lambda t, v: f"Hill,{t:%Y-%m-%dT%H:%M:%S},{v * 1.8 + 32:.2f},1"),
        encoding="utf-8",
    )
    assert main(["weather", "show", str(tmp_path / "w.csv")]) == 2
    assert 'type --map "temp=temp [degC]", or degF in place of degC' in capsys.readouterr().err
    for answer in (["--map", "temp=temp [degF]"], ["--unit", "degF"]):
        assert main(["weather", "show", str(tmp_path / "w.csv"), *answer, "--json", "-"]) == 0
        assert json.loads(capsys.readouterr().out)["degree_days_k_d"] == pytest.approx(
            (18.333 - OUTDOOR).clip(0).sum() / 24, rel=2e-3
        )


def test_every_command_on_weather_takes_the_answers_that_its_questions_name(capsys: pytest.CaptureFixture[str]) -> None:
    for words in (
        ["weather", "show"],
        ["weather", "convert"],
        ["weather", "history"],
        ["weather", "severe-winter"],
        ["winters"],
        ["fit"],
        ["verify"],
    ):
        with pytest.raises(SystemExit):
            main([*words, "--help"])
        told = capsys.readouterr().out
        assert all(f"{one} " in told for one in ("--map", "--unit", "--station"))
