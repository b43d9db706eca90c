"""Mutation testing, outside the suite: `python tests/mutation/run.py --each 40 --seed 1`.

A sample of mutants of each package meets the tests of its mirrored folder and those beside it, the nearest first, in a copy
of the repository. Prints each survivor and the share killed. `--only physics`, `--file engine/kernel.py` and `--line 120`
narrow it down; `--without 1 2 3` leaves out what the samples of those seeds held, so that tests written against them cannot
flatter the share.
"""

from __future__ import annotations

import argparse
import contextlib
import functools
import importlib
import multiprocessing
import os
import random
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from mutation.mutants import Mutant, mutants

ROOT = Path(__file__).parents[2]
PACKAGES = (
    "units", "physics", "weather", "tariffs", "bills", "sources", "study", "engine", "results", "analysis", "portfolio", "views",
    "report",
)  # fmt: skip
NOT_RUN = {"tabulate_fluids.py"}
"""Makes a table once, outside the program."""
NEAREST = {
    "sources": "test_by_hand.py", "tariffs": "test_by_hand.py", "physics": "test_edges.py", "engine": "test_lower.py",
    "engine/balance.py": "test_kernel.py", "engine/ledger.py": "test_kernel.py", "engine/layout.py": "test_kernel.py", "engine/lower.py": "test_run.py",
    "engine/batch.py": "test_lanes.py", "engine/block.py": "test_lanes.py", "bills": "test_regression.py",
}  # fmt: skip
"""Tests to ask first, where none has the module's name."""
WHOLE = ("tests/test_whole_chain.py", "tests/test_cli.py")
"""Asked last of every mutant."""
SLOW = "test_block.py"
"""Compiles a dozen forms of the kernel: asked last."""
COMPILED = ("kernel.py", "balance.py", "layered.py", "ledger.py", "access.py", "layout.py")
"""What the compiled kernel is made of: their mutants keep their machine code to themselves."""


def tests_for(mutant: Mutant) -> tuple[list[str], list[str]]:
    """Test files to ask first, the module's own and its docstrings' examples, and the rest of its folder and what stands beside."""
    package, name = mutant.path.parent.name, mutant.path.name
    folder = ROOT / "tests" / package
    first = folder / NEAREST.get(f"{package}/{name}", f"test_{name}")
    first = first if first.is_file() else folder / NEAREST.get(package, "")
    near = [first] if first.is_file() else []
    rest = sorted(
        (path for path in folder.glob("test_*.py") if path not in near), key=lambda path: (path.name == SLOW, path.name)
    )
    beside = [path for path in elsewhere(f"{package}.{mutant.path.stem}") if path.parent != folder]
    first_asked, then = (
        [path.relative_to(ROOT).as_posix() for path in paths] for paths in ([*near, mutant.path], [*rest, *beside])
    )
    return first_asked, list(dict.fromkeys([*then, *WHOLE]))


@functools.cache
def elsewhere(module: str) -> list[Path]:
    """Tests of the suite that name a module, such as ``bills.fit``."""
    package, name = module.split(".")
    named = re.compile(rf"costsim\.{package}\.{name}\b|from costsim\.{package} import .*\b{name}\b")
    paths = sorted((ROOT / "tests").rglob("test_*.py"))
    return [path for path in paths if path.parent.name != "browser" and named.search(path.read_text(encoding="utf-8"))]


def copied(folder: Path) -> Path:
    """A copy of what the tests need."""
    for name in ("costsim", "tests", "weather_samples", "pyproject.toml", "README.md", "DEVELOPERS.md"):
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__", ".hypothesis"))
        else:
            shutil.copy(source, folder / name)
    return folder


def preload() -> None:
    """Import what every test run needs once; each run is a fork that has it already. Nothing of costsim is among it."""
    for name in (
        "CoolProp.CoolProp",
        "holidays",
        "hypothesis.strategies",
        "numba",
        "pandas",
        "pvlib",
        "pyarrow",
        "pydantic",
        "pytest",
        "scipy.optimize",
    ):
        importlib.import_module(name)
    assert "costsim" not in sys.modules


def passes(copy: Path, tests: list[str], limit_s: float, cache: Path | None = None) -> bool:
    """Whether the tests pass in the copy, within the time; machine code is kept in the cache."""
    process = multiprocessing.get_context("fork").Process(target=_run, args=(copy, tests, cache or copy / "numba"))
    process.start()
    process.join(limit_s)
    if process.is_alive():
        process.kill()
        process.join()
    return process.exitcode == 0


def _run(copy: Path, tests: list[str], cache: Path) -> None:
    """In the fork: run the copy's tests on the copy."""
    null = os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, 1)
    os.dup2(null, 2)
    os.chdir(copy)
    sys.path[:0] = [str(copy)]
    sys.dont_write_bytecode = True
    os.environ["PYTHONPATH"], os.environ["NUMBA_CACHE_DIR"] = str(copy), str(cache)
    import numba.core.config
    import pytest
    from hypothesis import Phase, settings

    numba.core.config.CACHE_DIR = str(cache)
    # a verdict needs no smallest example
    settings.register_profile("verdict", phases=[Phase.explicit, Phase.generate], database=None)
    settings.load_profile("verdict")
    code = pytest.main(["-x", "-q", "--hypothesis-seed=1", "-W", "ignore::pytest.PytestAssertRewriteWarning", *tests])
    import costsim

    os._exit(int(code) if str(costsim.__file__).startswith(str(copy)) else 99)


def sample(package: str, given: argparse.Namespace) -> list[Mutant]:
    """So many mutants of a package, drawn by a seed, without those of other seeds' samples."""
    paths = [path for path in sorted((ROOT / "costsim" / package).glob("*.py")) if path.name not in NOT_RUN]
    every = [
        one for path in paths for one in mutants(path) if given.file in path.as_posix() and given.line in (0, one.line)
    ]
    known = {one for seed in given.without for one in drawn(every, package, given.each, seed)}
    return drawn([one for one in every if one not in known], package, given.each, given.seed)


def drawn(every: list[Mutant], package: str, each: int, seed: int) -> list[Mutant]:
    """A seed's sample."""
    return random.Random(f"{package}-{seed}").sample(every, min(each, len(every)))


@contextlib.contextmanager
def changed(copy: Path, mutant: Mutant) -> Iterator[Path | None]:
    """The mutant in the copy for a while, with a cache of its own where the kernel is made of it."""
    place = copy / mutant.path.relative_to(ROOT)
    place.write_text(mutant.text(), encoding="utf-8")
    with tempfile.TemporaryDirectory() as cache:
        try:
            yield Path(cache) if mutant.path.parent.name == "engine" and mutant.path.name in COMPILED else None
        finally:
            shutil.copy2(mutant.path, place)  # with its time, which the cache of compiled code goes by


def tried(copy: Path, package: str, chosen: list[Mutant]) -> int:
    """How many of the mutants are killed; prints the others."""
    start = time.monotonic()
    all_tests = list(dict.fromkeys(one for mutant in chosen for asked in tests_for(mutant) for one in asked))
    assert passes(copy, all_tests, 3600), f"{package}: tests fail without a mutant"
    limit_s = 60 + 5 * (time.monotonic() - start)
    killed = 0
    for at, mutant in enumerate(chosen, 1):
        with changed(copy, mutant) as cache:
            alive = all(passes(copy, tests, limit_s, cache) for tests in tests_for(mutant))
        killed += not alive
        what = "ALIVE " if alive else "killed"
        print(
            f"{what} {at}/{len(chosen)} {package}/{mutant.path.name}:{mutant.line}: {mutant.before[:100]}  ->  {mutant.after[:100]}",
            flush=True,
        )
    # or a spoilt copy would have killed everything
    spoilt = [
        path
        for path in ROOT.glob("costsim/**/*.py")
        if (copy / path.relative_to(ROOT)).read_bytes() != path.read_bytes()
    ]
    assert not spoilt, f"the copy is not what it was: {spoilt}"
    assert all(passes(copy, tests_for(one)[0], 3600) for one in chosen[-1:]), (
        f"{package}: tests fail at the end without a mutant"
    )
    return killed


def main() -> int:
    """Run and report; exit code 1 below 85 %."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=PACKAGES)
    parser.add_argument("--file", default="")
    parser.add_argument("--line", type=int, default=0)
    parser.add_argument("--without", type=int, nargs="*", default=[])
    given = parser.parse_args()
    total = all_killed = 0
    preload()
    with tempfile.TemporaryDirectory() as name:
        copy = copied(Path(name))
        for package in [given.only] if given.only else PACKAGES:
            chosen = sample(package, given)
            killed = tried(copy, package, chosen)
            total, all_killed = total + len(chosen), all_killed + killed
            print(
                f"{package}: {killed} of {len(chosen)} mutants killed ({killed / max(1, len(chosen)):.0%}), seed {given.seed}",
                flush=True,
            )
    print(f"all: {all_killed} of {total} killed ({all_killed / max(1, total):.0%})")
    return int(all_killed < 0.85 * total)


if __name__ == "__main__":
    sys.exit(main())
