"""Mutation testing, outside the suite: `python tests/mutation/run.py --each 40 --seed 1` (wants the package `coverage`).

A sample of mutants of each package meets the tests that execute its line, those of its own module first, then the quickest, in
a copy of the repository; a kill counts where the same test passes without the mutant. Prints each mutant
and the share killed. `--only physics`, `--file engine/kernel.py` and `--line 120` narrow it down; `--after 20` goes on behind
the first 20; `--without 1 2 3` leaves out what the samples of those seeds held, so that tests written against them cannot
flatter the share; `--most 60` gives each mutant so many seconds of tests (10 where nothing is said).

A mutant within a function is put in place in forks of one process that has collected all tests (`collected.py`); what runs at
import, and the compiled kernel, meets tests in a fresh fork that imports the changed file. What runs at import (constants, fields,
decorators) leaves no trace of who uses it, so four times the seconds (`AT_IMPORT`) are given it and its package's folder of tests is
asked whole, as far as they go: first the module's own tests, then those that name the constant, then those that execute a line that
reads it, then the rest of the folder, the quickest first.
"""

from __future__ import annotations

import argparse
import contextlib
import functools
import importlib
import marshal
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
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from mutation.collected import Collected
from mutation.mutants import Mutant, mutants
from mutation.reach import Reach, statement

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
OUTSIDE = {
    "units": ("test_units.py", "test_reading.py"), "study": ("test_study_faults.py", "test_house_import.py", "test_ratings.py", "test_load.py"),
    "results": ("test_cautions.py",),
}  # fmt: skip
"""A package's tests that stand outside of its folder."""
LARGE = ("fuzz", "faults", "load", "trust", "browser", "dashboard")
"""Folders whose tests look at hostile files, crowds and pages: not mapped."""
NOT_MAPPED = {
    "test_block.py",
    "test_cluster.py",
    "test_gpu.py",
    "test_recipes.py",
    "test_start_commands.py",
    "test_at_once.py",
    "test_freed.py",
}
"""They compile, or do their work in processes apart."""
NOT_ASKED = {"test_docs.py", "test_house_rules.py", "test_packaging.py"}
"""They look at pages and lines, not at results."""
MOST_BESIDE = 4
"""Tests of other folders to ask, those that name the module most often."""
AT_IMPORT = 4.0
"""What runs at import is given so many times the seconds."""
NOTHING = 5
"""Exit code of pytest where a file holds no test."""
SLOW = "test_block.py"
"""Compiles a dozen forms of the kernel: asked last."""
COMPILED = ("kernel.py", "balance.py", "layered.py", "layered_hour.py", "ledger.py", "access.py", "layout.py")
"""What the compiled kernel is made of: their mutants keep their machine code to themselves."""


def tests_for(mutant: Mutant) -> list[list[str]]:
    """Test files, the nearest first: the module's own and its docstrings' examples, its folder's, and what stands beside."""
    package, name = mutant.name.split("/")[0], mutant.path.name
    folder = ROOT / "tests" / package
    own = (f"test_{name}", f"test_{mutant.path.stem}_by_hand.py")
    firsts = (folder / one for one in (NEAREST.get(f"{package}/{name}", ""), *own, NEAREST.get(package, "")))
    near = [path for path in firsts if path.is_file()][:1]
    rest = [ROOT / "tests" / other for other in OUTSIDE.get(package, ())]
    rest += sorted(
        (path for path in folder.glob("test_*.py") if path not in near), key=lambda path: (path.name == SLOW, path.name)
    )
    beside = [path for path in elsewhere(package, mutant.path.stem) if path not in (*near, *rest)]
    asked = [[*near, mutant.path], rest, [*beside[:MOST_BESIDE]]]
    return [[path.relative_to(ROOT).as_posix() for path in dict.fromkeys(paths)] for paths in asked if paths]


@functools.cache
def elsewhere(package: str, name: str = "") -> list[Path]:
    """Tests of the suite that name a module, such as `fit` of ``bills``, or any of a package."""
    named = re.compile(
        rf"costsim\.{package}\b(\.\w+)*\.{name}\b|from costsim\.{package}\b[\w.]* import .*\b{name}\b"
        if name
        else rf"costsim\.{package}\b"
    )
    paths = sorted(
        path
        for path in (ROOT / "tests").rglob("test_*.py")
        if path.parent.name not in ("browser", "dashboard") and path.name not in NOT_ASKED
    )
    counted = {path: len(named.findall(path.read_text(encoding="utf-8"))) for path in paths}
    return sorted((path for path in paths if counted[path]), key=lambda path: -counted[path])


def mapped_for(packages: Sequence[str]) -> list[str]:
    """Files whose tests are mapped: docstrings' examples of the packages, and all tests but those that crowd, click or look at pages."""
    modules = (path for package in packages for path in sorted((ROOT / "costsim" / package).rglob("*.py")))
    examples = [path for path in modules if ">>>" in path.read_text(encoding="utf-8")]
    tests = [path for path in sorted((ROOT / "tests").rglob("test_*.py")) if path.parent.name not in LARGE]
    asked = [*examples, *(path for path in tests if path.name not in {*NOT_ASKED, *NOT_MAPPED})]
    return [path.relative_to(ROOT).as_posix() for path in asked]


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
    return process.exitcode in (0, NOTHING)


def _run(copy: Path, tests: Sequence[str], cache: Path) -> None:
    """In the fork: run the copy's tests on the copy."""
    said = os.open(copy / "said", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(said, 1)
    os.dup2(said, 2)
    settle(copy, cache)
    import pytest

    files = dict.fromkeys(test.partition("::")[0] for test in tests)
    arguments = ["-x", "-q", "--hypothesis-seed=1", "-W", "ignore::pytest.PytestAssertRewriteWarning", *files]
    code = pytest.main(arguments, plugins=[Only(tests, copy / "failed")])
    import costsim

    os._exit(int(code) if str(costsim.__file__).startswith(str(copy)) else 99)


class Only:
    """Has pytest run some tests of the files it collects, or all of a file, in their order; the first that fails is written down."""

    def __init__(self, tests: Sequence[str], failed: Path) -> None:
        self.place = {test: at for at, test in enumerate(tests)}
        self.failed = failed
        failed.write_text("", encoding="utf-8")

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        """Leave out what is not asked."""
        places = {
            id(item): self.place.get(item.nodeid, self.place.get(item.nodeid.partition("::")[0])) for item in items
        }
        items[:] = sorted((item for item in items if places[id(item)] is not None), key=lambda item: places[id(item)])

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Write down a test that fails."""
        if report.failed and not self.failed.stat().st_size:
            self.failed.write_text(report.nodeid, encoding="utf-8")

    pytest_collectreport = pytest_runtest_logreport


def settle(copy: Path, cache: Path) -> None:
    """Have this process import from the copy and keep machine code in the cache."""
    os.chdir(copy)
    sys.path[:0] = [str(copy)]
    sys.dont_write_bytecode = True
    os.environ["PYTHONPATH"], os.environ["NUMBA_CACHE_DIR"] = str(copy), str(cache)
    import numba.core.config
    from hypothesis import Phase, settings

    numba.core.config.CACHE_DIR = str(cache)
    # a verdict needs no smallest example
    settings.register_profile("verdict", phases=[Phase.explicit, Phase.generate], database=None)
    settings.load_profile("verdict")


def sample(package: str, given: argparse.Namespace) -> list[Mutant]:
    """So many mutants of a package, drawn by a seed, without those of other seeds' samples."""
    paths = [path for path in sorted((ROOT / "costsim" / package).rglob("*.py")) if path.name not in NOT_RUN]
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


def _killed_alone(copy: Path, tests: list[str], limit_s: float, cache: Path | None) -> list[str]:
    """What fails in a fresh fork with the mutant: none, a test, or all together where they died or took too long."""
    return (
        []
        if passes(copy, tests, limit_s, cache)
        else (copy / "failed").read_text(encoding="utf-8").splitlines() or tests
    )


class Trial:
    """What a package's mutants are tried with."""

    def __init__(self, copy: Path, packages: Sequence[str], most_s: float) -> None:
        self.copy, self.most_s, self.bad = copy, most_s, set[str]()
        files, start = mapped_for(packages), time.monotonic()
        self.collected = Collected(copy, files, functools.partial(_settle_quietly, copy))
        collected_s = time.monotonic() - start
        self.reach = Reach(copy)
        self.reach.add(self.collected, files)
        print(
            f"{len(self.collected.tests)} tests collected in {collected_s:.0f} s, mapped in "
            f"{time.monotonic() - start - collected_s:.0f} s, {sum(self.reach.seconds.values()):.0f} s by themselves",
            flush=True,
        )

    def killer(self, mutant: Mutant) -> tuple[str, str]:
        """The test that kills a mutant, or "" and what was asked."""
        path = f"costsim/{mutant.name}"
        near = tests_for(mutant)
        near = [near[0], [name for group in near[1:] for name in group]]
        if mutant.name.startswith("engine/") and mutant.path.name in COMPILED:
            return self._fresh(
                mutant, [name for group in tests_for(mutant) for name in group if not name.endswith(SLOW)]
            )
        at_import = bool({*statement(mutant)} & self.collected.at_import.get(path, set()))
        here = self.reach.of_statement(mutant)
        # what runs in threads of a test's own leaves no trace
        here = (here or self.reach.of_module(mutant)) - self.bad
        tests = self.reach.in_order(here, near, self.most_s)
        code = marshal.dumps(mutant.code(self.copy / path))
        known = {test.partition("::")[0] for test in tests} | {*near[0]}
        others = {t for t in self.reach.seconds if t.partition("::")[0] in known} - {*tests} - self.bad
        changed = True
        # what tests of a file share was made in the one that came first, so the others leave no trace
        for asked in (tests, self.reach.in_order(others, near, self.most_s)):
            while asked and changed:
                answer = self.collected.run(asked, 20 + 4 * int(self.most_s), (path, code))
                changed = answer.changed > 0 or answer.failed in ("died", "too late")
                if not answer.failed:
                    break
                if answer.failed in ("died", "too late") or not self.collected.run([answer.failed], 200).failed:
                    return answer.failed, "in place"
                print(f"fails without a mutant too, so asked in vain: {answer.failed}", flush=True)
                self.bad.add(answer.failed)
                asked = [one for one in asked if one != answer.failed]
        if not at_import and changed:
            return "", f"{len(tests)} tests" if tests else "no test comes here"
        groups = [self.reach.of_files(near[0]), here, *self.reach.of_names(mutant), self.reach.of_module(mutant)]
        groups.append(self.reach.of_files(name for group in tests_for(mutant)[:2] for name in group))
        tests = self.reach.by_group([group - self.bad for group in groups], near, AT_IMPORT * self.most_s)
        return self._fresh(mutant, tests or near[0])

    def _fresh(self, mutant: Mutant, tests: list[str]) -> tuple[str, str]:
        while tests := [one for one in tests if one not in self.bad]:
            with changed(self.copy, mutant) as cache:
                killer = _killed_alone(self.copy, tests, 120 + 10 * AT_IMPORT * self.most_s, cache)
            if not killer or passes(self.copy, killer, 3600):
                return killer[0] if killer else "", f"{len(tests)} asked afresh"
            print(f"fails without a mutant too, so asked in vain: {killer[0]}", flush=True)
            self.bad |= {*killer}
        return "", "spoilt"


def _settle_quietly(copy: Path) -> None:
    said = os.open(copy / "collected", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(said, 1)
    os.dup2(said, 2)
    settle(copy, copy / "numba")


def tried(trial: Trial, chosen: list[Mutant]) -> int:
    """How many of the mutants are killed; prints each."""
    killed = 0
    for at, mutant in enumerate(chosen, 1):
        began = time.monotonic()
        killer, asked = trial.killer(mutant)
        killed += bool(killer)
        what = f"killed {at}" if killer else f"ALIVE  {at}"
        print(
            f"{what}/{len(chosen)} {mutant.name}:{mutant.line}: {mutant} ({time.monotonic() - began:.1f} s, {killer or asked})",
            flush=True,
        )
    # or a spoilt copy would have killed everything
    spoilt = [
        path
        for path in ROOT.glob("costsim/**/*.py")
        if (trial.copy / path.relative_to(ROOT)).read_bytes() != path.read_bytes()
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
    parser.add_argument("--most", type=float, default=10.0, help="processor seconds of tests for each mutant")
    parser.add_argument("--without", type=int, nargs="*", default=[])
    given = parser.parse_args()
    total = all_killed = 0
    preload()
    with tempfile.TemporaryDirectory() as name:
        trial = Trial(copied(Path(name)), given.only, given.most)
        for package in given.only:
            chosen = sample(package, given)
            killed = tried(trial, chosen)
            total, all_killed = total + len(chosen), all_killed + killed
            print(
                f"{package}: {killed} of {len(chosen)} mutants killed ({killed / max(1, len(chosen)):.0%}), seed {given.seed}",
                flush=True,
            )
        trial.collected.end()
    print(f"all: {all_killed} of {total} killed ({all_killed / max(1, total):.0%})")
    return int(all_killed < 0.85 * total)


if __name__ == "__main__":
    sys.exit(main())
