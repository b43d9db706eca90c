"""Mutation testing, outside the suite: `python tests/mutation/run.py --each 40 --seed 1`.

A sample of mutants of each package meets its module's own tests, then those of its folder, then some that name the module,
in a copy of the repository; a kill counts where the same tests pass without the mutant. Prints each mutant
and the share killed. `--only physics`, `--file engine/kernel.py` and `--line 120` narrow it down; `--after 20` goes on behind
the first 20; `--without 1 2 3` leaves out what the samples of those seeds held, so that tests written against them cannot
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
from collections.abc import Iterator, Sequence
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
"""Asked last with `--whole`."""
NOT_ASKED = {"test_docs.py", "test_house_rules.py", "test_packaging.py"}
"""They look at pages and lines, not at results."""
MOST_BESIDE = 4
"""Tests of other folders to ask, those that name the module most often."""
SLOW = "test_block.py"
"""Compiles a dozen forms of the kernel: asked last."""
COMPILED = ("kernel.py", "balance.py", "layered.py", "ledger.py", "access.py", "layout.py")
"""What the compiled kernel is made of: their mutants keep their machine code to themselves."""


def tests_for(mutant: Mutant) -> list[list[str]]:
    """Test files to ask one after the other: the module's own and its docstrings' examples, its folder's, and what stands beside."""
    package, name = mutant.path.parent.name, mutant.path.name
    folder = ROOT / "tests" / package
    first = folder / NEAREST.get(f"{package}/{name}", f"test_{name}")
    first = first if first.is_file() else folder / NEAREST.get(package, "")
    near = [first] if first.is_file() else []
    rest = sorted(
        (path for path in folder.glob("test_*.py") if path not in near), key=lambda path: (path.name == SLOW, path.name)
    )
    beside = [path for path in elsewhere(f"{package}.{mutant.path.stem}") if path.parent != folder]
    asked = [[*near, mutant.path], rest, [*beside[:MOST_BESIDE]]]
    return [[path.relative_to(ROOT).as_posix() for path in dict.fromkeys(paths)] for paths in asked if paths]


@functools.cache
def elsewhere(module: str) -> list[Path]:
    """Tests of the suite that name a module, such as ``bills.fit``."""
    package, name = module.split(".")
    named = re.compile(rf"costsim\.{package}\.{name}\b|from costsim\.{package} import .*\b{name}\b")
    paths = sorted(
        path
        for path in (ROOT / "tests").rglob("test_*.py")
        if path.parent.name not in ("browser", "dashboard") and path.name not in NOT_ASKED
    )
    counted = {path: len(named.findall(path.read_text(encoding="utf-8"))) for path in paths}
    return sorted((path for path in paths if counted[path]), key=lambda path: -counted[path])


def copied(folder: Path) -> Path:
    """A copy of what the tests need."""
    for name in (
        "costsim",
        "tests",
        "weather_samples",
        "pyproject.toml",
        "README.md",
        "DEVELOPERS.md",
        "CHANGELOG.md",
        "app.py",
    ):
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


def passes(copy: Path, tests: Sequence[str], limit_s: float, cache: Path | None = None) -> bool:
    """Whether the tests pass in the copy, within the time; machine code is kept in the cache, what pytest says in ``said``."""
    process = multiprocessing.get_context("fork").Process(target=_run, args=(copy, tests, cache or copy / "numba"))
    process.start()
    process.join(limit_s)
    if process.is_alive():
        process.kill()
        process.join()
    return process.exitcode == 0


def _run(copy: Path, tests: Sequence[str], cache: Path) -> None:
    """In the fork: run the copy's tests on the copy."""
    said = os.open(copy / "said", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(said, 1)
    os.dup2(said, 2)
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
    return drawn([one for one in every if one not in known], package, given.each, given.seed)[given.after :]


def drawn(every: list[Mutant], package: str, each: int, seed: int) -> list[Mutant]:
    """A seed's sample; a smaller one is the beginning of a larger one."""
    mixed = list(every)
    random.Random(f"{package}-{seed}").shuffle(mixed)
    return mixed[:each]


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


def _fails_alone(copy: Path, killers: list[str], good: set[str]) -> bool:
    """Whether what failed with the mutant passes without it; `good` is what is known to pass."""
    said = (copy / "said").read_text(encoding="utf-8")
    found = re.findall(r"^(?:FAILED|ERROR) (\S+?)(?:\[.*)?(?: - .*)?$", said, re.MULTILINE)
    asked = {one for one in found or killers if one not in good and one.partition("::")[0] not in good}
    if asked and not passes(copy, sorted(asked), 3600):
        print(f"fail without a mutant too, so asked in vain: {sorted(asked)}", flush=True)
        return False
    good.update(asked)
    return True


def tried(copy: Path, package: str, chosen: list[Mutant], whole: list[list[str]]) -> int:
    """How many of the mutants are killed; prints the others."""
    start = time.monotonic()
    near = tuple(dict.fromkeys(one for mutant in chosen for one in tests_for(mutant)[0]))
    assert passes(copy, near, 3600), (copy / "said").read_text() + f"{package}: tests fail without a mutant"
    print(f"{package}: {time.monotonic() - start:.0f} s without a mutant", flush=True)
    limit_s, killed, good = 120 + 5 * (time.monotonic() - start), 0, set(near)
    for at, mutant in enumerate(chosen, 1):
        began = time.monotonic()
        with changed(copy, mutant) as cache:
            killers = next(
                (tests for tests in [*tests_for(mutant), *whole] if not passes(copy, tests, limit_s, cache)), []
            )
        if killers and not _fails_alone(
            copy, killers, good
        ):  # a kill counts where the same test passes without the mutant
            killers = []
        killed += bool(killers)
        what = "killed" if killers else "ALIVE "
        print(
            f"{what} {at}/{len(chosen)} {package}/{mutant.path.name}:{mutant.line}: {mutant} ({time.monotonic() - began:.0f} s)",
            flush=True,
        )
    # or a spoilt copy would have killed everything
    spoilt = [
        path
        for path in ROOT.glob("costsim/**/*.py")
        if (copy / path.relative_to(ROOT)).read_bytes() != path.read_bytes()
    ]
    assert not spoilt, f"the copy is not what it was: {spoilt}"
    return killed


def main() -> int:
    """Run and report; exit code 1 below 85 %."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=PACKAGES, nargs="+", default=PACKAGES)
    parser.add_argument("--file", default="")
    parser.add_argument("--line", type=int, default=0)
    parser.add_argument("--after", type=int, default=0, help="leave out so many of the sample, which were tried before")
    parser.add_argument("--whole", action="store_true", help="ask the whole chain of each survivor too")
    parser.add_argument("--without", type=int, nargs="*", default=[])
    given = parser.parse_args()
    total = all_killed = 0
    preload()
    with tempfile.TemporaryDirectory() as name:
        copy = copied(Path(name))
        for package in given.only:
            chosen = sample(package, given)
            killed = tried(copy, package, chosen, [list(WHOLE)] if given.whole else [])
            total, all_killed = total + len(chosen), all_killed + killed
            print(
                f"{package}: {killed} of {len(chosen)} mutants killed ({killed / max(1, len(chosen)):.0%}), seed {given.seed}",
                flush=True,
            )
    print(f"all: {all_killed} of {total} killed ({all_killed / max(1, total):.0%})")
    return int(all_killed < 0.85 * total)


if __name__ == "__main__":
    sys.exit(main())
