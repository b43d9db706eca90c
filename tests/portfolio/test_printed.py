"""What the command prints and how it fails."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from portfolio.tables import rows, write

from costsim.cli.main import main

NAME = "lantern_cottage"


def test_the_command_prints_the_summary_it_wrote(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, out = write(tmp_path / "homes.csv", NAME, [*rows(NAME, 30), "bad,1,x,60,70,1,0.1,5"]), tmp_path / "out"
    assert main(["portfolio", str(table), "-o", str(out), "--peak-hours", "6:00-9:00, 17:00-20:00"]) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    assert f"30 rows, counting for {summary['weight']:,.6g} homes." in printed.out
    assert "1 row was set aside" in printed.out
    assert f"Peak hours: {summary['peak_hours']}." in printed.out
    assert summary["peak_hours"].startswith("6:00-9:00, 17:00-20:00, Mon-Fri")
    for option in summary["options"]:
        after = printed.out.partition("a year's cost")[2]
        (cost,) = [line for line in after.splitlines() if line.startswith(option["name"])][:1]
        assert f"{round(option['cost']['quantiles'][2]):,}" in cost
        assert f"{option['cheapest_share']:.1%}" in cost
    gas = next(option for option in summary["options"] if option["name"] == "Natural gas")
    assert gas["coincident_peak_kw"] == 0.0
    assert [line for line in printed.out.splitlines() if len(line) > 120 and str(out) not in line] == []


def test_columns_that_take_long_are_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "homes.csv"
    table.write_text("home,option[1].source[1].output [kW]\na,9\nb,6\n", encoding="utf-8")
    assert main(["portfolio", str(table), "-o", str(tmp_path / "out")]) == 0
    assert "takes longer: the column option[1].source[1].output [kW]." in capsys.readouterr().out


def test_faults_of_the_table_are_plain_lines_and_exit_code_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "homes.csv"
    table.write_text("house.indoor_temperature,house.at_all [kW]\n1,2\n", encoding="utf-8")
    assert main(["portfolio", str(table), "-o", str(tmp_path / "out")]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 3
    assert all(line.startswith(str(table)) for line in lines)
    assert not (tmp_path / "out").exists()


@pytest.mark.long
@pytest.mark.skipif(not hasattr(os, "openpty"), reason="needs a pseudo-terminal")
def test_a_terminal_sees_the_homes_being_done(tmp_path: Path) -> None:
    table = write(tmp_path / "homes.csv", NAME, rows(NAME, 20))
    reader, writer = os.openpty()
    command = [
        sys.executable,
        "-m",
        "costsim.cli.main",
        "portfolio",
        str(table),
        "-o",
        str(tmp_path / "out"),
        "--block",
        "10",
    ]
    subprocess.run(command, stdout=subprocess.DEVNULL, stderr=writer, check=True)
    os.close(writer)
    seen = os.read(reader, 4096).decode()
    os.close(reader)
    assert "10 homes" in seen
    assert "20 homes" in seen


def test_homes_without_weight_have_no_shares(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "homes.csv"
    table.write_text("home,weight,house.design_heat_loss [kW]\na,0,7\n", encoding="utf-8")
    assert main(["portfolio", str(table), "-o", str(tmp_path / "out")]) == 0
    after = capsys.readouterr().out.partition("a year's cost")[2]
    gas = next(x for x in after.splitlines() if x.startswith("Natural gas"))
    assert gas.split()[2:] == ["–"] * 7
