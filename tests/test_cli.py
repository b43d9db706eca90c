"""The command line: what it prints, what it writes, and how it refuses."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import jsonschema
import pandas as pd
import pytest
from cases import demo

from costsim.cli.main import main
from costsim.cli.weather import usual_units
from costsim.study.case import write_study


def test_the_main_job_prints_answer_table_assumptions_and_next(capsys) -> None:
    assert main(["compare"]) == 0
    text = capsys.readouterr().out
    assert re.search(
        r"costs least to run: about \$[\d,]+ a year, \$[\d,]+\s+less than [\s\S]* plausible\s+prices", text
    )
    assert "unmet hours" in text
    assert "Assumptions and sources" in text
    assert "costsim check lantern_cottage" in text
    assert "licensed trades" in text
    assert max(len(line) for line in text.split("\n")) <= 120


def test_json_goes_where_it_is_told(capsys, tmp_path: Path) -> None:
    assert main(["compare", "--json", "-"]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert main(["compare", "--json", str(tmp_path / "r.json")]) == 0
    assert json.loads((tmp_path / "r.json").read_text(encoding="utf-8")) == shown
    assert len(shown["options"]) == 4


@pytest.mark.long
@pytest.mark.parametrize("suffix", [".csv", ".parquet", ".xlsx"])
def test_hours_are_written_with_units_in_the_headings(suffix: str, tmp_path: Path) -> None:
    target = tmp_path / f"hours{suffix}"
    assert main(["compare", "--units", "si", "--hourly", str(target)]) == 0
    read = {".csv": pd.read_csv, ".parquet": pd.read_parquet, ".xlsx": pd.read_excel}[suffix]
    frame = read(target)
    assert len(frame) == 8760
    assert "Natural gas: delivered [kW]" in frame.columns
    assert frame["Electric 7.2 kW: short [kW]"].max() == pytest.approx(1.2, abs=0.2)
    assert [path.name for path in tmp_path.iterdir()] == [target.name]


def test_units_change_what_is_printed_and_nothing_else(capsys) -> None:
    main(["compare", "--units", "si"])
    si = capsys.readouterr().out
    main(["compare", "--units", "us"])
    us = capsys.readouterr().out
    assert "heat kWh" in si
    assert "heat MMBtu" in us
    table = re.compile(r"^(?:Electric|Natural gas|Off-peak).*\$.*$", re.MULTILINE)
    totals = [[re.findall(r"\$[\d,]+", line) for line in table.findall(text)[1:]] for text in (si, us)]
    assert totals[0] == totals[1]
    assert len(totals[0]) >= 3


def test_check_prints_the_case_as_understood(capsys) -> None:
    assert main(["check"]) == 0
    text = capsys.readouterr().out
    assert "25.9 kBtu/h" in text
    assert "No faults found." in text
    assert "price of natural gas: 15.0%" in text


def test_the_schema_accepts_the_demo_and_refuses_numbers(capsys) -> None:
    assert main(["schema"]) == 0
    schema = json.loads(capsys.readouterr().out)
    jsonschema.validate(demo(), schema)
    broken = demo()
    broken["house"]["floor_area"] = 1180
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(broken, schema)


def broken_study(folder: Path) -> Path:
    data = demo()
    data["house"]["floor_area"] = 1180
    data["option"][0]["rule"] = "dearest"
    path = folder / "broken.toml"
    path.write_text(write_study(data), encoding="utf-8")
    return path


@pytest.mark.parametrize("command", ["compare", "check"])
def test_faults_are_lines_and_the_exit_code_is_2(command: str, capsys, tmp_path: Path) -> None:
    path = broken_study(tmp_path)
    assert main([command, str(path)]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert len(shown.err.strip().split("\n")) == 2
    assert all(line.startswith(str(path)) for line in shown.err.strip().split("\n"))


def test_a_place_that_cannot_be_written_to_is_told(capsys, tmp_path: Path) -> None:
    assert main(["compare", "--json", str(tmp_path / "no" / "r.json")]) == 2
    assert "name a folder that exists" in capsys.readouterr().err
    assert main(["compare", "--hourly", str(tmp_path / "r.doc")]) == 2
    assert "end the name in .parquet, .csv or .xlsx" in capsys.readouterr().err


def test_no_traceback_as_a_process(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "costsim.cli.main", "compare", str(broken_study(tmp_path))],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


def test_a_closed_pipe_is_no_error() -> None:
    done = subprocess.run(
        f"{sys.executable} -m costsim compare | head -1", shell=True, capture_output=True, text=True, check=False
    )
    assert done.stdout.startswith("Does the gas meter")
    assert done.stderr == ""


@pytest.mark.parametrize(("study", "told"), [("lantern_cottage", False), ("valley_row", True)])
def test_a_row_of_pumps_and_fans_lets_the_sources_add_up(study: str, told: bool, capsys) -> None:
    assert main(["compare", study]) == 0
    text = capsys.readouterr().out
    assert ("  pumps and fans  " in text) == told
    if told:
        rows = text.split("\nSun, wood and electric  ")[1].split("\n\n")[0].split("\n")
        whole, *parts = [int(re.findall(r"€([\d,]+)", row)[0].replace(",", "")) for row in rows]
        assert len(parts) == 4
        assert sum(parts) == pytest.approx(whole, abs=2)  # each is rounded


def test_check_shows_prices_as_they_are_sold(capsys) -> None:
    assert main(["check", "net_loft"]) == 0
    text = capsys.readouterr().out
    assert "propane: $3.100/gal on average" in text
    assert "electricity: $0.190/kWh on average" in text


def test_cold_names_what_collectors_lack_and_when_pipes_may_freeze(capsys) -> None:
    assert main(["capacity", "valley_row"]) == 0
    lines = capsys.readouterr().out.split("\n")
    collectors = [line for line in lines if line.startswith("Collectors")]
    assert collectors
    assert all("sun of the coldest hour" in line and line.endswith("–") for line in collectors)
    for line in lines:
        if "fails in the coldest week" in line:
            assert ("may freeze" in line) == (" 4 °C after" in line)


def test_weather_names_the_side_of_the_meridian(capsys) -> None:
    assert main(["weather", "show", "greensboro.csv"]) == 0
    text = capsys.readouterr().out
    assert "36.10° north, 79.95° west" in text
    assert "°C" not in text  # in North Carolina
    assert main(["weather", "show", "greensboro.csv", "--units", "si"]) == 0
    assert "°F" not in capsys.readouterr().out


@pytest.mark.parametrize(
    ("latitude", "longitude", "units"),
    # St. Cloud, Caribou, Honolulu, Fairbanks; Toronto, Vancouver, Montreal, Mexico City, Bern
    [(45.5, -94.1, "us"), (46.9, -68.0, "us"), (21.3, -157.9, "us"), (64.8, -147.7, "us"), (43.7, -79.4, "si"),
     (49.2, -123.1, "si"), (45.5, -73.6, "si"), (19.4, -99.1, "si"), (46.9, 7.4, "si")],
)  # fmt: skip
def test_weather_is_read_in_the_units_of_its_place(latitude: float, longitude: float, units: str) -> None:
    assert usual_units(SimpleNamespace(latitude_deg=latitude, longitude_deg=longitude)) == units  # type: ignore[arg-type]
