"""The folder of results holds what was computed from one table: flipped bits, changed tables and Ctrl-C are told."""

from __future__ import annotations

import csv
import io
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from portfolio.tables import rows, write

from costsim import load_weather, read_study
from costsim.cli.main import main
from costsim.errors import InputError
from costsim.portfolio.run import run_portfolio
from costsim.portfolio.store import alone
from costsim.views.text_portfolio import Homes

NAME = "lantern_cottage"


def run(table: Path, out: Path, **more: Any) -> dict[str, Any]:
    case = read_study(NAME)
    return run_portfolio(case, load_weather(case), table, out, **more)


@pytest.mark.parametrize("kind", [pytest.param("homes", marks=pytest.mark.long), "hours"])
def test_a_flipped_bit_is_refused_by_name(kind: str, tmp_path: Path) -> None:
    table, out = write(tmp_path / "homes.csv", NAME, rows(NAME, 12)), tmp_path / "out"
    first = run(table, out, block=4)
    part = out / kind / "part-00001.parquet"
    whole = part.read_bytes()
    at = (
        len(whole) - 8 - int.from_bytes(whole[-8:-4], "little")
    ) // 2  # inside the columns, not in the list behind them
    part.write_bytes(whole[:at] + bytes([whole[at] ^ 4]) + whole[at + 1 :])
    with pytest.raises(InputError, match=rf"{kind}/part-00001\.parquet: is damaged: .* delete it") as caught:
        run(table, out, block=4)
    assert len(caught.value.faults) == 1
    part.unlink()
    assert run(table, out, block=4) == first
    assert part.read_bytes() == whole


def test_a_table_that_changes_while_it_is_read_is_told_and_nothing_of_it_kept(tmp_path: Path) -> None:
    table, out = write(tmp_path / "homes.csv", NAME, rows(NAME, 12)), tmp_path / "out"
    good = table.read_bytes()

    def change(done: int) -> None:
        if done == 4:
            table.write_bytes(good.replace(b"h11,", b"x11,"))

    with pytest.raises(InputError, match=r"homes\.csv: was changed while it was read"):
        run(table, out, block=4, progress=change)
    assert not list(out.glob("*/part-*"))
    table.write_bytes(good)
    assert run(table, out, block=4) == run(table, tmp_path / "other", block=4)


def test_rows_set_aside_run_no_formula(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "here"
    folder.mkdir()
    before = Path.cwd()
    os.chdir(folder)
    try:
        Path("=1+1.csv").write_text(
            'home,house.design_heat_loss [kW]\n"\t=1+1",x\n" =2",x\n"\uff1d3",@y\n-7,=1\nplain,5\n', encoding="utf-8"
        )
        assert main(["portfolio", "=1+1.csv", "--study", NAME, "-o", "out"]) == 0
        with open("out/set_aside.csv", encoding="utf-8", newline="") as stream:
            found = list(csv.reader(stream))
    finally:
        os.chdir(before)
    assert [row[0] for row in found[1:]] == ["'=1+1.csv"] * 4
    assert [row[2] for row in found[1:]] == ["'=1+1", "'=2", "'\uff1d3", "-7"]
    risky = [cell for row in found for cell in row if cell.lstrip()[:1] in tuple("=+@\uff1d") or cell[:1] in "\t\r"]
    assert not [cell for cell in risky if cell]
    capsys.readouterr()


@pytest.mark.long
@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="Ctrl-C of a terminal reaches a group of processes")
@pytest.mark.parametrize("early", [True, False], ids=["while they start", "while they compute"])
def test_ctrl_c_on_two_processes_is_one_line(early: bool, tmp_path: Path) -> None:
    table, out = write(tmp_path / "homes.csv", NAME, rows(NAME, 4000)), tmp_path / "out"
    command = [
        sys.executable,
        "-m",
        "costsim.cli.main",
        "portfolio",
        str(table),
        "-o",
        str(out),
        "--processes",
        "2",
        "--block",
        "40",
    ]
    with subprocess.Popen(
        command, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True, start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),  # a job in the background ignores it
    ) as process:  # fmt: skip
        until = time.monotonic() + 90
        while not list(out.glob("run.json" if early else "homes/part-*.parquet")) and time.monotonic() < until:
            time.sleep(0.02)
        time.sleep(0.5 if early else 0)
        os.killpg(process.pid, signal.SIGINT)
        _, error = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "Traceback" not in error
    assert error.strip().splitlines()[-1] == "stopped; the same command goes on from here"
    assert len([line for line in error.splitlines() if "homes" not in line]) == 1


def test_two_runs_into_one_folder_are_kept_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = write(tmp_path / "homes.csv", NAME, rows(NAME, 3))
    command = ["portfolio", str(table), "-o", str(tmp_path / "out")]
    with alone(tmp_path / "out"):
        assert main(command) == 2
    told = f"{tmp_path / 'out'}: another run is writing into it; wait until it has ended, or name another folder\n"
    assert capsys.readouterr().err == told
    assert not (tmp_path / "out" / "run.json").exists()
    assert main(command) == 0


def test_what_is_left_is_estimated_from_what_this_run_did() -> None:
    stream, now = io.StringIO(), iter([0.0, 5.0, 15.0, 20.0])
    homes = Homes(stream, 10_000, now.__next__)
    for rows_done in (4_000, 5_000, 6_000):  # 4,000 were there from before
        homes.told(rows_done)
    assert stream.getvalue() == "5,000 homes, 15 s, about 50 s left of 10,000 homes\n"
