"""Full disks, killed processes, spoilt caches, read-only homes, no network, a clock elsewhere: nothing wrong is left behind.

The same with a real full disk, a read-only installation and no network at all: `python tests/faults/run.py` (needs root).
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Iterator
from pathlib import Path

import pyarrow.parquet as pq
import pytest
from faults.children import FULL, HOMES, KILLED, NO_CACHE, NO_NETWORK, child, killed_portfolio, left_in, spoilt_cache

from costsim.errors import InputError
from costsim.files import write_text, write_whole

pytestmark = pytest.mark.long


@pytest.fixture
def homes(tmp_path: Path) -> Path:
    path = tmp_path / "homes.csv"
    path.write_text(HOMES, encoding="utf-8")
    return path


def test_a_full_disk_is_one_line_and_the_old_file_stays(tmp_path: Path, homes: Path) -> None:
    targets = [tmp_path / name for name in ("x.json", "x.csv", "x.parquet", "x.xlsx")]
    for target in targets:
        target.write_text("old", encoding="utf-8")
    commands = [f"compare --{'json' if t.suffix == '.json' else 'hourly'} {t}" for t in targets]
    out = tmp_path / "out"
    done = child(FULL, 4096, *commands, f"portfolio {homes} -o {out} --block 2")
    assert done.stdout == "2 2 2 2 2 ", done.stderr
    lines = done.stderr.splitlines()
    for line, target in zip(lines, targets, strict=False):
        assert line.startswith(f"{target}: could not be written")
        assert target.read_text(encoding="utf-8") == "old"
    assert len(lines) == 5
    assert not [name for name in left_in(tmp_path) - {".lock"} if name.startswith(".")]
    for part in out.glob("h*/part-*.parquet"):
        pq.read_table(part)


@pytest.mark.parametrize("step", ["made", "half", "filled", "named"])
def test_a_killed_process_leaves_the_old_file(step: str, tmp_path: Path) -> None:
    target = tmp_path / "x.json"
    target.write_text("old", encoding="utf-8")
    assert child(KILLED, step, 1, "text", target).returncode == -9
    assert target.read_text(encoding="utf-8") == "old"


def test_a_killed_portfolio_goes_on_to_the_same_result(tmp_path: Path, homes: Path) -> None:
    killed_portfolio(tmp_path, homes, "half", 3)


def test_a_spoilt_cache_of_compiled_code_is_thrown_away(tmp_path: Path) -> None:
    spoilt_cache(tmp_path, "nbi")


def test_no_place_for_compiled_code_is_no_error(tmp_path: Path) -> None:
    done = child(NO_CACHE, "compare", HOME="/proc/nowhere", XDG_CACHE_HOME="/proc/nowhere")
    assert (done.returncode, done.stderr) == (0, "")


def test_no_command_asks_for_the_network(tmp_path: Path, homes: Path) -> None:
    commands = ["compare", "check", "capacity net_loft", "uncertainty", "breakeven", "lifecycle", "bill", "schema"]
    commands += [f"compare valley_row --hourly {tmp_path / 'h.parquet'}", f"portfolio {homes} -o {tmp_path / 'out'}"]
    done = child(NO_NETWORK, *commands)
    assert done.returncode == 0, done.stderr


@pytest.fixture
def _zone() -> Iterator[None]:
    before = os.environ.get("TZ")
    yield
    if before is None:
        os.environ.pop("TZ", None)
    else:
        os.environ["TZ"] = before
    time.tzset()


@pytest.mark.usefixtures("_zone")
def test_the_clock_of_the_machine_does_not_matter() -> None:
    from costsim import load_weather, read_study, simulate
    from costsim.views.result_json import as_json

    found = []
    for zone in ("UTC", "America/New_York", "Asia/Kolkata", "Australia/Lord_Howe"):
        os.environ["TZ"] = zone
        time.tzset()
        case = read_study("lantern_cottage")
        found.append(json.dumps(as_json(simulate(case, load_weather(case)))))
    assert len(set(found)) == 1


def test_a_link_is_followed_and_a_pipe_is_written_to(tmp_path: Path) -> None:
    (tmp_path / "real").write_text("old", encoding="utf-8")
    (tmp_path / "link").symlink_to(tmp_path / "real")
    write_text(tmp_path / "link", "new")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_text(encoding="utf-8") == "new"
    os.mkfifo(tmp_path / "pipe")
    reader = os.open(tmp_path / "pipe", os.O_RDONLY | os.O_NONBLOCK)
    write_text(tmp_path / "pipe", "through")
    assert os.read(reader, 100) == b"through"
    os.close(reader)
    assert (tmp_path / "pipe").is_fifo()


@pytest.mark.parametrize("name", ["no/such/folder/x", "\x00", "a" * 300, "."])
def test_names_that_cannot_be_written(name: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="written"):
        write_text(tmp_path / name, "x")


def test_a_writer_that_fails_leaves_nothing(tmp_path: Path) -> None:
    def fails(beside: Path) -> None:
        beside.write_text("half", encoding="utf-8")
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_whole(tmp_path / "x", fails)
    assert not left_in(tmp_path)


def test_results_that_standard_output_cannot_take_are_one_line() -> None:
    import subprocess
    import sys

    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "costsim.cli.main", "compare"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "No space left" in done.stderr
