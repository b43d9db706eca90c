"""A whole run: what is written, that it adds up, and that a run which was cut off goes on without loss."""

from __future__ import annotations

import csv
import json
import math
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from portfolio.tables import rows, write

import costsim.portfolio.run as module
from costsim import load_weather, read_study
from costsim.errors import InputError
from costsim.portfolio import processes
from costsim.portfolio.quantiles import SHARES
from costsim.portfolio.run import run_portfolio

NAME = "lantern_cottage"
CASE = read_study(NAME)
WEATHER = load_weather(CASE)
BAD = "bad,1,x,60,70,1,0.1,5"


def run(path: Path, out: Path, **settings) -> dict:
    """Run a table."""
    return run_portfolio(CASE, WEATHER, path, out, **settings)


def homes_of(out: Path) -> pd.DataFrame:
    """All homes, in the order of the parts."""
    return pd.concat(
        [pd.read_parquet(path) for path in sorted((out / "homes").glob("part-*.parquet"))], ignore_index=True
    )


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict]:
    folder = tmp_path_factory.mktemp("done")
    lines = rows(NAME, 60)
    lines[17:17] = [BAD]
    path = write(folder / "homes.csv", NAME, lines)
    return folder / "out", run(path, folder / "out", block=16)


def test_every_home_stands_once_and_the_bad_one_aside(done: tuple[Path, dict]) -> None:
    out, summary = done
    frame = homes_of(out)
    assert frame["row"].to_list() == [*range(2, 19), *range(20, 63)]  # rows of the spreadsheet, whose heading is row 1
    assert frame["home"].to_list() == [f"h{i}" for i in range(60)]
    with (out / "set_aside.csv").open(encoding="utf-8", newline="") as stream:
        (aside,) = csv.DictReader(stream)
    assert aside["file"].endswith("homes.csv")
    assert (aside["row"], aside["home"], aside["column"], aside["value"]) == (
        "19",
        "bad",
        "house.design_heat_loss [kW]",
        "x",
    )
    assert "not a number" in aside["reason"]
    assert (summary["homes"], summary["homes_set_aside"]) == (60, 1)


def test_the_sum_of_the_parts_is_the_summary(done: tuple[Path, dict]) -> None:
    out, summary = done
    frame = homes_of(out)
    for option in summary["options"]:
        for name, total in option["totals"].items():
            assert total == math.fsum(frame["weight"] * frame[name])
        cost = f"{option['name']}: cost [$/year]"
        assert option["cost"]["mean"] == pytest.approx(np.average(frame[cost], weights=frame["weight"]), rel=1e-12)
        rows = frame[[cost, "weight"]].sort_values([cost, "weight"])
        risen = rows["weight"].cumsum() / rows["weight"].sum()
        assert option["cost"]["quantiles"] == [rows[cost][risen >= share].iloc[0] for share in SHARES]
    assert math.isclose(summary["weight"], frame["weight"].sum(), rel_tol=1e-12)
    assert json.loads((out / "summary.json").read_text(encoding="utf-8")) == summary


def test_winners_and_pairs_are_what_the_homes_say(done: tuple[Path, dict]) -> None:
    out, summary = done
    frame = homes_of(out)
    names = [option["name"] for option in summary["options"]]
    cost = frame[[f"{name}: cost [$/year]" for name in names]].to_numpy()
    weight = frame["weight"].to_numpy()
    watts = pd.read_parquet(out / "hours.parquet")[[f"{name} [kW]" for name in names]].to_numpy().T
    # two electric options cost the same where neither falls short: the tie is split
    share = [0.0] * len(names)
    for row, one in zip(cost, weight, strict=True):
        best = [i for i, value in enumerate(row) if value == row.min()]
        for i in best:
            share[i] += one / len(best) / weight.sum()
    assert [option["cheapest_share"] for option in summary["options"]] == pytest.approx(share, abs=1e-12)
    assert sum(share) == pytest.approx(1.0)
    assert len(summary["pairs"]) == 6
    for pair in summary["pairs"]:
        gap = cost[:, names.index(pair["second"])] - cost[:, names.index(pair["first"])]
        assert pair["second_costs_more_by"]["mean"] == pytest.approx(
            np.average(gap, weights=weight), rel=1e-9, abs=1e-9
        )
        first, second = (watts[names.index(pair[one])] for one in ("first", "second"))
        assert pair["peak_hours_less_kwh"] - pair["other_hours_more_kwh"] == pytest.approx(
            (first - second).sum(), abs=1e-6
        )
        assert pair["other_hours_most_more_kw"] <= (second - first).max(initial=0.0) + 1e-9
        assert pair["second_is_cheaper_share"] == pytest.approx(weight[gap < 0].sum() / weight.sum(), abs=1e-12)
        both = np.all([frame[f"{pair[one]}: unmet [h]"] <= 20 for one in ("first", "second")], axis=0)
        assert pair["homes_warm_in_both"] == pytest.approx(weight[both].sum(), rel=1e-12)
        assert pair["second_costs_more_mean_of_warm_in_both"] == pytest.approx(
            np.average(gap[both], weights=weight[both])
        )


def test_the_electricity_of_all_homes_hour_by_hour(done: tuple[Path, dict]) -> None:
    out, summary = done
    hours, frame = pd.read_parquet(out / "hours.parquet"), homes_of(out)
    assert len(hours) == WEATHER.n_hours
    for option in summary["options"]:
        series = hours[f"{option['name']} [kW]"]
        bought = sum(
            (frame["weight"] * frame[name]).sum()
            for name in frame
            if name.startswith(f"{option['name']}: electricity") or name.startswith(f"{option['name']}: off_peak")
        )
        assert series.sum() == pytest.approx(bought, rel=1e-9)
        later = series[24:]  # on the first day an empty store is filled for the first time
        assert option["coincident_peak_kw"] == later.max()
        assert option["coincident_peak_at"] == (hours["local clock"][later.idxmax()] if later.max() else None)
        assert option["coincident_peak_hours"] == ((later >= later.max() * (1 - 1e-6)).sum() if later.max() else 0)


def test_the_mean_over_peak_hours_counts_winters_weekdays_alone(tmp_path: Path, done: tuple[Path, dict]) -> None:
    out, summary = done
    hours = pd.read_parquet(out / "hours.parquet")
    # by the calendar of 2025: winter months without weekends and without New Year's Day, Martin Luther King's Birthday,
    # Washington's Birthday and Christmas Day (US federal holidays, 5 U.S.C. 6103)
    days = pd.date_range("2025-01-01", periods=365, freq="D")
    off = {"2025-01-01", "2025-01-20", "2025-02-17", "2025-12-25"}
    wanted = [d for d in days if d.month in (12, 1, 2) and d.weekday() < 5 and str(d.date()) not in off]
    # in winter standard time is clock time: hour 17 of day d is record 24 d + 17
    records = [24 * (d.day_of_year - 1) + hour for d in wanted for hour in (17, 18, 19)]
    for option in summary["options"]:
        series = hours[f"{option['name']} [kW]"].to_numpy()
        assert option["peak_hours_mean_kw"] == pytest.approx(series[records].mean(), rel=1e-9)


@pytest.mark.long
def lines_of(path: Path) -> list[str]:
    """Lines of a table, its heading first."""
    return path.read_text(encoding="utf-8").splitlines()


def test_order_of_rows_and_block_size_change_no_bit_of_the_summary(tmp_path: Path, done: tuple[Path, dict]) -> None:
    out, summary = done
    lines = [*rows(NAME, 60), BAD]
    rng = np.random.default_rng(8)
    for size, threads in ((7, 1), (100, 2)):
        path = write(tmp_path / f"{size}.csv", NAME, [lines[i] for i in rng.permutation(61)])
        found = run(path, tmp_path / f"out{size}", block=size, threads=threads)
        row = {"row": lines_of(path).index(BAD) + 1}  # the one thing that goes with the order
        assert found == {**summary, "set_aside": [one | row for one in summary["set_aside"]]}
        assert pd.read_parquet(tmp_path / f"out{size}" / "hours.parquet").equals(pd.read_parquet(out / "hours.parquet"))
        other = homes_of(tmp_path / f"out{size}").drop(columns="row").sort_values("home", ignore_index=True)
        assert other.equals(homes_of(out).drop(columns="row").sort_values("home", ignore_index=True))


def test_parts_that_are_there_are_kept_and_the_others_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, out = write(tmp_path / "homes.csv", NAME, rows(NAME, 40)), tmp_path / "out"
    first = run(path, out, block=10)
    parts = sorted((out / "homes").glob("part-*.parquet"))
    kept = parts[0].stat().st_mtime_ns
    parts[1].unlink()
    (out / "hours" / parts[2].name).write_bytes(b"PAR1 half a file")
    ran: list[int] = []
    whole = module.run_block

    def seen(recipe, block, threads=None):
        ran.append(block.number)
        return whole(recipe, block, threads)

    monkeypatch.setattr(module, "run_block", seen)
    assert run(path, out, block=10) == first
    assert ran == [1, 2]
    assert parts[0].stat().st_mtime_ns == kept
    assert homes_of(out)["home"].to_list() == [f"h{i}" for i in range(40)]


def test_a_folder_of_another_run_is_refused_with_a_remedy(tmp_path: Path) -> None:
    path, out = write(tmp_path / "homes.csv", NAME, rows(NAME, 4)), tmp_path / "out"
    run(path, out, block=2)
    for change in ({"block": 3}, {"seed": 5}):
        other = write(tmp_path / "homes.csv", NAME, rows(NAME, 4, change.get("seed", 1)))
        with pytest.raises(InputError, match=r"holds another run: (block|homes) differs; name another folder"):
            run(other, out, block=change.get("block", 2))
    (out / "run.json").unlink()
    with pytest.raises(InputError, match="holds another run"):
        run(path, out, block=2)


def test_a_folder_that_cannot_be_used_and_a_wrong_window_are_plain_lines(tmp_path: Path) -> None:
    path = write(tmp_path / "homes.csv", NAME, rows(NAME, 2))
    with pytest.raises(InputError, match="cannot be used"):
        run(path, path)
    with pytest.raises(InputError, match="--peak-hours"):
        run(path, tmp_path / "out", peak_hours="five to eight")
    with pytest.raises(InputError, match="--block"):
        run(path, tmp_path / "out", block=0)


def test_no_home_at_all_is_a_fault_and_stands_in_the_folder(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no row could be used"):
        run(write(tmp_path / "homes.csv", NAME, [BAD]), tmp_path / "out")
    assert ",bad," in (tmp_path / "out" / "set_aside.csv").read_text(encoding="utf-8")


SCRIPT = """
import sys
from costsim import load_weather, read_study
from costsim.portfolio.run import run_portfolio
case = read_study("lantern_cottage")
run_portfolio(case, load_weather(case), sys.argv[1], sys.argv[2], block=40, progress=lambda n: print(n, flush=True))
"""


@pytest.mark.long
def test_a_killed_run_goes_on_without_losing_or_doubling_a_home(tmp_path: Path) -> None:
    path, out = write(tmp_path / "homes.csv", NAME, rows(NAME, 1000)), tmp_path / "out"
    command = [sys.executable, "-c", SCRIPT, str(path), str(out)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        for line in process.stdout:
            if int(line) >= 200:
                break
        time.sleep(0.02)
        process.send_signal(signal.SIGKILL)
    assert process.returncode == -signal.SIGKILL
    before = {path.name: path.stat().st_mtime_ns for path in (out / "homes").glob("part-*.parquet")}
    assert 5 <= len(before) < 25
    assert not (out / "summary.json").exists()
    resumed = run(path, out, block=40)
    assert {name: (out / "homes" / name).stat().st_mtime_ns for name in before} == before
    assert homes_of(out)["home"].to_list() == [f"h{i}" for i in range(1000)]
    assert not list(out.glob("*/.part-*"))
    assert resumed == run(path, tmp_path / "whole", block=333)


MEMORY = """
import resource, sys
from costsim import load_weather, read_study
from costsim.portfolio.run import run_portfolio
case = read_study("lantern_cottage")
run_portfolio(case, load_weather(case), sys.argv[1], sys.argv[2], block=256, threads=1)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
"""
FEWER, MORE, GROWTH_MIB = 2_000, 20_000, 16


@pytest.mark.long
def test_memory_goes_with_the_block_not_with_the_table(tmp_path: Path) -> None:
    peak = {}
    for number in (FEWER, MORE):
        path = write(tmp_path / f"{number}.csv", NAME, rows(NAME, number))
        command = [sys.executable, "-c", MEMORY, str(path), str(tmp_path / f"out{number}")]
        peak[number] = int(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    print(f"peak memory {peak[FEWER]} MiB for {FEWER:,} homes, {peak[MORE]} MiB for {MORE:,}")
    assert peak[MORE] - peak[FEWER] < GROWTH_MIB


def command_with_processes(path: Path, out: Path, *words: str) -> list[str]:
    """The command line with two processes."""
    return [
        sys.executable,
        "-m",
        "costsim.cli.main",
        "portfolio",
        str(path),
        "-o",
        str(out),
        "--processes",
        "2",
        *words,
    ]


@pytest.mark.long
def test_processes_give_the_same_bits_as_threads(tmp_path: Path) -> None:
    path = write(tmp_path / "homes.csv", NAME, [*rows(NAME, 200), BAD])
    subprocess.run(
        command_with_processes(path, tmp_path / "far", "--block", "15", "--units", "si"),
        check=True,
        capture_output=True,
    )
    run(path, tmp_path / "near", block=15)
    for name in ("summary.json", "set_aside.csv"):
        assert (tmp_path / "far" / name).read_bytes() == (tmp_path / "near" / name).read_bytes()
    for part in sorted((tmp_path / "near").glob("h*/*.parquet")):
        assert pd.read_parquet(tmp_path / "far" / part.relative_to(tmp_path / "near")).equals(pd.read_parquet(part))


@pytest.mark.parametrize(
    ("homes", "expected"),
    [pytest.param(16, [], marks=pytest.mark.long), (17, [3]), pytest.param(44, [3], marks=pytest.mark.long)],
)
def test_large_tables_alone_take_a_process_for_each_processor(homes, expected, tmp_path: Path, monkeypatch) -> None:
    started = []

    def here(count, recipe, blocks):
        started.append(count)
        yield from (processes.run_block(recipe, block) for block in blocks)

    monkeypatch.setattr(processes, "_run", here)
    monkeypatch.setattr(processes.os, "cpu_count", lambda: 3)
    path = write(tmp_path / "homes.csv", NAME, rows(NAME, homes))
    summary = run(path, tmp_path / "auto", block=4, compute=processes.on_processes())
    assert started == expected
    assert summary == run(path, tmp_path / "here", block=4)


def test_processes_without_a_temporary_file_are_told_in_a_line(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(processes.tempfile, "tempdir", str(tmp_path / "nowhere"))
    path = write(tmp_path / "homes.csv", NAME, rows(NAME, 3))
    with pytest.raises(InputError, match=r"--processes: no temporary file can be written .* use --processes 1"):
        run(path, tmp_path / "out", compute=processes.on_processes(2))


@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks for processes in /proc")
def test_processes_end_with_the_one_that_was_killed(tmp_path: Path) -> None:
    path, out = write(tmp_path / "homes.csv", NAME, rows(NAME, 3000)), tmp_path / "out"
    with subprocess.Popen(
        command_with_processes(path, out, "--block", "20"), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as process:
        until = time.monotonic() + 60
        while not list(out.glob("homes/part-*.parquet")) and time.monotonic() < until:
            time.sleep(0.02)
        children = children_of(process.pid)
        process.send_signal(signal.SIGKILL)
    assert len(children) >= 2
    until = time.monotonic() + 10
    while any(map(alive, children)) and time.monotonic() < until:
        time.sleep(0.05)
    assert not any(map(alive, children))


def stat(pid: int) -> list[str]:
    """State and parent of a process and more, after its name; nothing where there is none."""
    try:
        return Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    except OSError:
        return []


def children_of(parent: int) -> list[int]:
    """Processes that a process started."""
    pids = [int(path.name) for path in Path("/proc").iterdir() if path.name.isdigit()]
    return [pid for pid in pids if stat(pid)[1:2] == [str(parent)]]


def alive(pid: int) -> bool:
    """Whether a process runs; one that has ended and was not yet collected does not."""
    return stat(pid)[:1] not in ([], ["Z"], ["X"])
