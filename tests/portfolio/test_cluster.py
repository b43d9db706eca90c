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

NAME, HOMES, BLOCK = "lantern_cottage", 900, 30
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


@needs_dask
def test_a_cluster_that_loses_a_worker_gives_the_same_bits(tmp_path: Path, cluster: tuple[str, list, Any]) -> None:
    address, workers, _ = cluster
    table = write(tmp_path / "homes.csv", NAME, [*rows(NAME, HOMES), "bad,1,x,60,70,1,0.1,5"])
    far, near = tmp_path / "far", tmp_path / "near"
    command = [
        sys.executable,
        "-m",
        "costsim.cli.main",
        "portfolio",
        str(table),
        "--block",
        str(BLOCK),
        "-o",
        str(far),
        "--scheduler",
        address,
    ]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as run:
        until = time.monotonic() + 40
        while run.poll() is None and len(list(far.glob("homes/part-*.parquet"))) < 5 and time.monotonic() < until:
            time.sleep(0.01)
        there = len(list(far.glob("homes/part-*.parquet")))
        workers[0].send_signal(signal.SIGKILL)
        out, error = run.communicate(timeout=60)
    assert 5 <= there < HOMES // BLOCK, error
    assert run.returncode == 0, error
    assert "900 homes" in out
    assert workers[0].wait() == -signal.SIGKILL
    assert workers[1].poll() is None
    assert main(["portfolio", str(table), "--block", str(BLOCK), "-o", str(near)]) == 0
    assert (far / "summary.json").read_bytes() == (near / "summary.json").read_bytes()
    for part in sorted(near.glob("h*/*.parquet")):
        assert pd.read_parquet(far / part.relative_to(near)).equals(pd.read_parquet(part))


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
