"""The same blocks on a Dask cluster: a real scheduler and two workers on this machine, one of which is killed."""

from __future__ import annotations

import importlib.util
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from portfolio.tables import rows, write

from costsim.cli.main import main

pytestmark = pytest.mark.long

NAME, HOMES, BLOCK = "lantern_cottage", 300, 10
needs_dask = pytest.mark.skipif(
    importlib.util.find_spec("distributed") is None, reason="the extra costsim[cluster] is not installed"
)


def start(module: str, *words: str) -> subprocess.Popen[str]:
    """Start a part of the cluster."""
    command = [sys.executable, "-m", f"distributed.cli.{module}", *words, "--no-dashboard"]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)


@pytest.fixture
def cluster() -> Iterator[tuple[str, list[subprocess.Popen[str]], subprocess.Popen[str]]]:
    scheduler = start("dask_scheduler", "--host", "127.0.0.1", "--port", "0")
    workers: list[subprocess.Popen[str]] = []
    try:
        assert scheduler.stderr is not None
        address = next(found[0] for line in scheduler.stderr if (found := re.findall(r"tcp://127\.0\.0\.1:\d+", line)))
        # what nobody reads would stop the scheduler once the pipe is full
        threading.Thread(target=scheduler.stderr.read, daemon=True).start()
        workers += [
            start("dask_worker", address, "--nthreads", "1", "--no-nanny", "--host", "127.0.0.1") for _ in range(2)
        ]
        yield address, workers, scheduler
    finally:
        for process in (*workers, scheduler):
            process.kill()
            process.communicate()


def far_run(table: Path, out: Path, address: str, *code: str) -> subprocess.Popen[str]:
    """The command line on the cluster, in a process of its own."""
    command = [sys.executable, *(code or ("-m", "costsim.cli.main")), "portfolio", str(table), "--block", str(BLOCK)]
    return subprocess.Popen(
        [*command, "-o", str(out), "--scheduler", address], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


def parts_of(out: Path, at_least: int, run: subprocess.Popen[str]) -> int:
    """Wait until so many parts are there or the run has ended, whatever that takes; how many there are."""
    while run.poll() is None and len(list(out.glob("homes/part-*.parquet"))) < at_least:
        time.sleep(0.01)
    return len(list(out.glob("homes/part-*.parquet")))


def same_results(far: Path, near: Path) -> bool:
    """Whether two folders hold the same bits."""
    parts = sorted(part.relative_to(near) for part in near.glob("h*/*.parquet"))
    assert parts
    assert parts == sorted(part.relative_to(far) for part in far.glob("h*/*.parquet"))
    assert all(pd.read_parquet(far / part).equals(pd.read_parquet(near / part)) for part in parts)
    return (far / "summary.json").read_bytes() == (near / "summary.json").read_bytes()


@pytest.fixture(scope="module")
def near(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A table of homes, and its results by this machine alone."""
    folder = tmp_path_factory.mktemp("near")
    table = write(folder / "homes.csv", NAME, [*rows(NAME, HOMES), "bad,1,x,60,70,1,0.1,5"])
    assert main(["portfolio", str(table), "--block", str(BLOCK), "-o", str(folder / "out")]) == 0
    return table, folder / "out"


@needs_dask
def test_a_cluster_that_loses_a_worker_gives_the_same_bits(
    tmp_path: Path, cluster: tuple[str, list, Any], near: tuple[Path, Path]
) -> None:
    address, workers, _ = cluster
    (table, at_home), far = near, tmp_path / "far"
    with far_run(table, far, address) as run:
        there = parts_of(far, 5, run)
        workers[0].send_signal(signal.SIGKILL)
        out, error = run.communicate()
    assert 5 <= there < HOMES // BLOCK, error
    assert run.returncode == 0, error
    assert f"{HOMES:,} rows" in out
    assert workers[0].wait() == -signal.SIGKILL
    assert workers[1].poll() is None
    assert same_results(far, at_home)


IMPATIENT = """
import sys
from costsim.portfolio import cluster
cluster.CONNECT_S = 3
from costsim.cli.main import main
sys.exit(main(sys.argv[1:]))
"""


@needs_dask
@pytest.mark.parametrize(
    ("dies", "by"),
    [
        ("the scheduler was", signal.SIGKILL),
        ("the scheduler was", signal.SIGSTOP),  # it is there and answers nothing
        ("all workers were", signal.SIGKILL),
    ],
)
def test_a_cluster_that_is_lost_is_one_plain_line(
    dies: str, by: signal.Signals, tmp_path: Path, cluster: tuple[str, list, Any], near: tuple[Path, Path]
) -> None:
    address, workers, scheduler = cluster
    (table, at_home), far = near, tmp_path / "far"
    with far_run(table, far, address, "-c", IMPATIENT) as run:
        there = parts_of(far, 3, run)
        for process in workers if "workers" in dies else [scheduler]:
            process.send_signal(by)
        _, error = run.communicate()
    assert 3 <= there < HOMES // BLOCK, error
    assert run.returncode == 2, error
    told = [line for line in error.splitlines() if not line.lstrip().startswith(tuple("0123456789"))]
    assert told == [f"--scheduler: {dies} lost; start it again and run the same command; what is done stays"]
    kept = {part.name: part.stat().st_mtime_ns for part in far.glob("homes/part-*.parquet")}
    assert there <= len(kept) < HOMES // BLOCK
    assert main(["portfolio", str(table), "--block", str(BLOCK), "-o", str(far)]) == 0
    assert kept.items() <= {part.name: part.stat().st_mtime_ns for part in far.glob("homes/part-*.parquet")}.items()
    assert same_results(far, at_home)


@needs_dask
def test_no_scheduler_is_one_plain_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    table = write(tmp_path / "homes.csv", NAME, rows(NAME, 2))
    monkeypatch.setattr("costsim.portfolio.cluster.CONNECT_S", 0.5)
    assert main(["portfolio", str(table), "-o", str(tmp_path / "out"), "--scheduler", "tcp://127.0.0.1:9"]) == 2
    assert "no scheduler answers at 'tcp://127.0.0.1:9'" in capsys.readouterr().err


def test_without_dask_the_remedy_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    table = write(tmp_path / "homes.csv", NAME, rows(NAME, 2))
    monkeypatch.setitem(sys.modules, "distributed", None)
    assert main(["portfolio", str(table), "-o", str(tmp_path / "out"), "--scheduler", "tcp://127.0.0.1:9"]) == 2
    assert 'pip install "costsim[cluster]"' in capsys.readouterr().err


@needs_dask
def test_a_scheduler_without_workers_is_one_plain_line(
    tmp_path: Path, cluster: tuple[str, list, Any], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    address, workers, _ = cluster
    for worker in workers:
        worker.kill()
        worker.wait()
    monkeypatch.setattr("costsim.portfolio.cluster.CONNECT_S", 2.0)
    table = write(tmp_path / "homes.csv", NAME, rows(NAME, 2))
    assert main(["portfolio", str(table), "-o", str(tmp_path / "out"), "--scheduler", address]) == 2
    assert f"'{address}' has no workers" in capsys.readouterr().err


@needs_dask
@pytest.mark.parametrize(
    "address",
    [
        "",
        "x",
        "localhost",
        "tcp://",
        "tcp://localhost",
        "tcp://h:port",
        "inproc://1/2/3",
        "http://h:8786",
        "tcp://h:1 x",
    ],
)
def test_a_bogus_address_is_one_plain_line(address: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = write(tmp_path / "homes.csv", NAME, rows(NAME, 2))
    assert main(["portfolio", str(table), "-o", str(tmp_path / "out"), f"--scheduler={address}"]) == 2
    assert capsys.readouterr().err == f"--scheduler: '{address}' is no address; write it like tcp://host:8786\n"
