"""The faults for real, outside the suite: `python tests/faults/run.py` (Linux, root for mounts and namespaces).

A full tmpfs, kills at random moments, a read-only installation and home, no network at all. One line each; exit code 1 when
something is left half written, hangs or ends in a traceback.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pyarrow.parquet as pq

sys.path.insert(0, str(Path(__file__).parents[1]))

from faults.children import HOMES, PLAIN, ROOT, child, killed_portfolio, left_in, spoilt_cache

COSTSIM = [sys.executable, "-m", "costsim.cli.main"]


@contextlib.contextmanager
def small_disk(size_kb: int) -> Iterator[Path]:
    """A file system with room for so many kilobytes."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size_kb}k", "tmpfs", folder], check=True)
        try:
            yield Path(folder)
        finally:
            subprocess.run(["umount", "-l", folder], check=True)


def full_disk() -> str:
    """Every kind of result onto a disk that is too small for it."""
    told = 0
    for size_kb in (8, 64, 400):
        for name in ("x.json", "x.csv", "x.parquet", "x.xlsx", "out"):
            with small_disk(size_kb) as disk:
                homes = Path(tempfile.gettempdir()) / "costsim-homes.csv"
                homes.write_text(HOMES, encoding="utf-8")
                ways = {".json": ["compare", "--json"], "": ["portfolio", str(homes), "--block", "1", "-o"]}
                done = child(PLAIN, *ways.get(Path(name).suffix, ["compare", "--hourly"]), disk / name)
                assert done.returncode in (0, 2), done.stderr
                assert "Traceback" not in done.stderr, done.stderr
                assert len(done.stderr.splitlines()) == (done.returncode == 2) or name == "out", done.stderr
                if done.returncode == 2 and name != "out":
                    assert not left_in(disk), left_in(disk)
                assert not [left for left in left_in(disk) if left.startswith(".") and left != ".lock"], left_in(disk)
                for part in disk.rglob("*.parquet"):
                    pq.read_table(part, partitioning=None)
                told += done.returncode == 2
    return f"full disk: {told} of 15 runs had no room, each told in a line, nothing half left"


def kills(times: int) -> str:
    """Kill `compare` and `portfolio` at random moments; what stands under the final names is whole."""
    rng, whole, none = random.Random(1), 0, 0
    for _ in range(times):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            (folder / "homes.csv").write_text(HOMES, encoding="utf-8")
            portfolio = rng.random() < 0.5
            line = (
                ["portfolio", "homes.csv", "-o", "out", "--block", "1"]
                if portfolio
                else ["compare", "--json", "x.json", "--hourly", "x.csv"]
            )
            process = subprocess.Popen(
                [*COSTSIM, *line], cwd=folder, env=os.environ | {"PYTHONPATH": str(ROOT)}, stdout=subprocess.DEVNULL
            )
            start = time.monotonic()
            while process.poll() is None and time.monotonic() - start < 60 and not _begun(folder, rng):
                time.sleep(0.002)
            process.kill()
            process.wait()
            found = [
                path
                for path in folder.rglob("*")
                if path.is_file() and path.name[0] != "." and path.name != "homes.csv"
            ]
            for path in found:
                _is_whole(path)
            whole, none = whole + bool(found), none + (not found)
    return f"kills: {times} at random moments; {whole} left whole files, {none} none, no half one"


def _begun(folder: Path, rng: random.Random) -> bool:
    """Whether to kill now: soon after the first file beside a target has been seen."""
    if any(folder.rglob(".x*")) or any(folder.rglob(".part*")) or any(folder.rglob(".run*")):
        time.sleep(rng.choice([0.0, 0.001, 0.01, 0.05, 0.2]))
        return True
    return rng.random() < 0.0002


def _is_whole(path: Path) -> None:
    if path.suffix == ".json":
        json.loads(path.read_text(encoding="utf-8"))
    elif path.suffix == ".parquet":
        pq.read_table(path, partitioning=None)
    elif path.name == "x.csv":
        assert len(path.read_text(encoding="utf-8").splitlines()) == 8761


def read_only() -> str:
    """The whole installation and the home on a read-only file system."""
    command = " ".join([*COSTSIM, "compare"])
    script = f"mount --bind {ROOT} {ROOT} && mount -o remount,bind,ro {ROOT} && cd {ROOT} && {command}"
    shutil.rmtree(ROOT / "costsim" / "engine" / "__pycache__", ignore_errors=True)
    done = subprocess.run(
        ["unshare", "-m", "sh", "-c", script], env=os.environ | {"HOME": "/proc", "XDG_CACHE_HOME": "/proc/none"}, capture_output=True, text=True, check=False
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, ""), done.stderr
    assert not list((ROOT / "costsim" / "engine").glob("__pycache__/*.nb?"))
    return "read-only installation and home: compare runs, compiled anew"


def no_network() -> str:
    """No network device at all."""
    for command in ("compare", "capacity net_loft", "uncertainty"):
        done = subprocess.run(
            ["unshare", "-n", *COSTSIM, *command.split()], cwd=ROOT, capture_output=True, text=True, check=False
        )
        assert (done.returncode, done.stderr) == (0, ""), done.stderr
    return "no network (unshare -n): compare, capacity and uncertainty run"


def steps() -> str:
    """Kills at chosen steps of a portfolio, and both kinds of spoilt cache."""
    count = 0
    for step in ("made", "half", "filled", "named"):
        for number in (1, 4, 9):
            with tempfile.TemporaryDirectory() as name:
                (Path(name) / "homes.csv").write_text(HOMES, encoding="utf-8")
                killed_portfolio(Path(name), Path(name) / "homes.csv", step, number)
                count += 1
    for ending in ("nbi", "nbc"):
        with tempfile.TemporaryDirectory() as name:
            spoilt_cache(Path(name), ending)
    return (
        f"steps: {count} portfolios killed at a chosen file went on to the same bytes; 2 spoilt caches were thrown away"
    )


def main() -> int:
    """Run all and report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=60)
    given = parser.parse_args()
    bad = 0
    checks: list[Callable[[], str]] = [full_disk, lambda: kills(given.kills), read_only, no_network, steps]
    for check in checks:
        try:
            print(check(), flush=True)
        except (AssertionError, subprocess.CalledProcessError, ValueError, OSError) as error:
            bad += 1
            print(f"FAILED: {error}"[:2000], flush=True)
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main())
