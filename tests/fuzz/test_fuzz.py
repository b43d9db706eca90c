"""Whatever is dropped in: a value or plain faults come out. The big run is `python tests/fuzz/run.py --each 50000`."""

from __future__ import annotations

import datetime
import tomllib
from pathlib import Path
from random import Random
from typing import Any

import pytest
from fuzz.targets import TARGETS, Target, tried
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costsim import load_weather, simulate
from costsim.bills.meter import read_meter
from costsim.cli.main import main
from costsim.errors import Fault, InputError
from costsim.portfolio.homes import open_homes
from costsim.study.case import built_in_studies, case_from, parse_study, read_study
from costsim.units.quantity import UnitError, read_quantity
from costsim.weather import read_weather
from costsim.weather.readers import find_weather

pytestmark = pytest.mark.long

FEW = settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
EACH = pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name)


@EACH
@FEW
@given(rng=st.randoms(use_true_random=False))
def test_damaged_input_is_read_or_refused(target: Target, rng: Random, tmp_path: Path) -> None:
    tried(target, target.example(rng), tmp_path)


@EACH
@FEW
@given(raw=st.binary(max_size=400) | st.text(max_size=400).map(lambda text: text.encode("utf-8", "replace")))
def test_noise_is_read_or_refused(target: Target, raw: bytes, tmp_path: Path) -> None:
    tried(target, raw, tmp_path)


@EACH
def test_most_seeds_are_good_inputs(target: Target, tmp_path: Path) -> None:
    for raw in target.seeds():
        try:
            target.read(raw, tmp_path)
        except InputError as error:
            # hourly files are cut to two days
            assert all(
                "hourly records" in str(f) or "8,760 hours in a row" in str(f) or "no whole year" in str(f)
                for f in error.faults
            ), error


# What the fuzzer found.


def study(**house: Any) -> dict[str, Any]:
    data = tomllib.loads(built_in_studies()["lantern_cottage"].read_text(encoding="utf-8"))
    data["house"] |= house
    return data


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1 kW^999999999", "the power"),
        ("1e308 MW", "beyond all numbers"),
        ("1e300 kW", "beyond all numbers"),
        ("-1.1e30 $", "beyond all numbers"),
        ("1 " + "(" * 2000 + "kW", "letters is not known"),
        ("1 ((((GJ^9)^9)^9)^9)", "beyond all numbers"),
        ("1 m" + "9" * 5000, "letters is not known"),
    ],
)
def test_units_beyond_reason(text: str, says: str) -> None:
    with pytest.raises(UnitError, match=says):
        read_quantity(text)


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"curtailment": {"windows": ["6-22"]}}, "option[1].source[1].curtailment"),
        ({"curtailment": {"windows": ["06:00-22:00"], "months": "Smarch"}}, "option[1].source[1].curtailment"),
    ],
)
def test_clock_windows_of_control_are_checked(change: dict[str, Any], where: str) -> None:
    data = study()
    data["option"][0]["source"][0] |= change
    with pytest.raises(InputError) as caught:
        case_from(data)
    assert [fault.field for fault in caught.value.faults] == [where]


@pytest.mark.parametrize("table", ["demand", "block"])
def test_clock_windows_of_prices_are_checked(table: str) -> None:
    data = study()
    row = {"price": "8 $/kW"} if table == "demand" else {"energy": "0.1 $/kWh"}
    data["prices"]["electricity"][table] = [row | {"months": "Smarch"}]
    with pytest.raises(InputError, match=rf"prices.electricity.{table}\[1\]: 'Smarch' is not a month"):
        case_from(data)


@pytest.mark.parametrize("antifreeze", ["propylene_glycol", "ethylene_glycol"])
def test_antifreeze_stronger_than_the_tables_is_told(antifreeze: str) -> None:
    data = tomllib.loads(built_in_studies()["net_loft"].read_text(encoding="utf-8"))
    data["floor"] |= {"antifreeze": antifreeze, "concentration": "57 vol%"}
    case = case_from(data)
    assert simulate(case, load_weather(case)).options
    data["floor"]["concentration"] = "60 vol%"
    with pytest.raises(InputError, match=r"60\.0% antifreeze by volume is 6\d\.\d% by mass"):
        case_from(data)


def test_a_heading_with_a_number_of_many_digits(tmp_path: Path) -> None:
    (tmp_path / "h.csv").write_text(f"home,option[{'9' * 5001}].source[1].output [kW]\na,1\n", encoding="utf-8")
    with pytest.raises(InputError, match="has a cell or heading of 5,031 letters"):
        open_homes(tmp_path / "h.csv", read_study("lantern_cottage"))


def test_an_empty_list_is_told() -> None:
    data = study()
    data["floor"] = {"loops": []}
    with pytest.raises(InputError, match=r"floor\.loops"):
        case_from(data)


def test_a_number_of_many_digits_is_no_study() -> None:
    with pytest.raises(InputError, match="is not TOML"):
        parse_study(b"x = " + b"9" * 5000)


@pytest.mark.parametrize("name", ["a" * 5000, "\x00"])
def test_names_no_file_can_have(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for read in (find_weather, read_study, read_weather, lambda n: read_meter(tmp_path / n)):
        with pytest.raises(InputError):
            read(name)
    assert main(["check", name]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_a_carriage_return_in_a_meter_file(tmp_path: Path) -> None:
    (tmp_path / "m.csv").write_bytes(b"electricity [kWh]\r1\r2\n")
    with pytest.raises(InputError, match="2 rows are no whole year"):
        read_meter(tmp_path / "m.csv")


def test_a_cell_of_a_million_letters(tmp_path: Path) -> None:
    (tmp_path / "m.csv").write_bytes(b'electricity [kWh]\n"' + b"1" * 1_000_000)
    with pytest.raises(InputError, match="has a line of 1,000,001 letters"):
        read_meter(tmp_path / "m.csv")


def test_a_weather_heading_without_rows() -> None:
    with pytest.raises(InputError):
        read_weather("x.csv", content=b'time,outdoor [degC]\n"\n')


def test_a_temperature_of_many_digits_is_no_number_anybody_measured() -> None:
    days = [datetime.date(1990, 1, 1) + datetime.timedelta(days=number) for number in range(365)]
    rows = [
        f"{day:%m/%d/%Y},{hour:02}:00,{'9' * 400 if day.month + day.day + hour == 3 else 1.0},x"
        for day in days
        for hour in range(1, 25)
    ]
    text = "\n".join(
        ["723170,A,NC,-5.0,36.1,-79.9,273", "Date (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C),Wspd (m/s)", *rows]
    )
    weather = read_weather("x.csv", content=text.encode())
    assert weather.outdoor_c.max() == 1.0
    assert any(note.startswith("outdoor: 1 missing hours were interpolated") for note in weather.notes)


def test_messages_stay_short_and_move_no_cursor() -> None:
    line = str(Fault("a\nb", "'" + "x" * 9000 + "' \x1b[2J\u202e is wrong", "mend it", "f\r.toml"))
    assert len(line) < 1200
    assert line.isprintable()


@pytest.mark.parametrize("letter", ["\x1b[2J", "\x00", "\u202e", "\x9b"])
def test_names_move_no_cursor(letter: str) -> None:
    data = study()
    data["option"][0]["name"] = f"Electric {letter}"
    with pytest.raises(InputError, match=r"option\[1\]\.name: holds a character that cannot be printed"):
        case_from(data)


def test_a_weather_title_moves_no_cursor() -> None:
    about = "# title: Hill \x1b[2J\n# latitude: 47\n# longitude: 12\n# utc_offset: 1\n"
    weather = read_weather("x.csv", content=(about + "outdoor [degC]\n" + "5.0\n" * 8760).encode())
    assert weather.title == "Hill \ufffd[2J"


def test_a_reading_beyond_all_power_stations(tmp_path: Path) -> None:
    (tmp_path / "m.csv").write_bytes(b"electricity [kWh]\n" + b"1e308\n" * 8760)
    with pytest.raises(InputError, match="is not a reading"):
        read_meter(tmp_path / "m.csv")
