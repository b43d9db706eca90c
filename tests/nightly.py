"""The long property run: `python tests/nightly.py --plants 20000 --studies 1000`; with `--everything` all large runs of the Trust table.

Random plants through the compiled kernel against plain Python, the balance of every hour and its bounds; then every property
of tests/test_whole_chain.py on so many random studies. With `--everything` come, two at a time on
the head that is checked out, mutants of every package, fuzzing of every reader, files whose truth is known, many sessions, faults
for real and the wheel without a network too; `--each` says how many files and `--mutants` how many mutants of a package. It wants
two processors and root.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings

sys.path.insert(0, str(Path(__file__).parent))

import test_whole_chain
from engine import test_kernel
from engine.plants import plants

KERNEL = (
    test_kernel.test_the_kernel_equals_plain_python,
    test_kernel.test_energy_balances_in_every_hour,
    test_kernel.test_nothing_leaves_its_bounds,
)


def long(number: int) -> settings:
    """Many examples, no time limit, nothing taken from earlier runs."""
    return settings(
        max_examples=number,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
        phases=[Phase.generate, Phase.shrink],
    )


def kernel_run(number: int, start: int) -> None:
    """Every check of the kernel on each plant."""

    @seed(start)
    @long(number)
    @given(plants())
    def all_checks(plant: dict[str, Any]) -> None:
        for check in KERNEL:
            check.hypothesis.inner_test(plant)

    all_checks()


def chain_run(check: Callable[..., None], number: int, start: int) -> None:
    """One property of whole studies on many of them."""
    given_to = check.hypothesis.inner_test  # type: ignore[attr-defined]
    arguments = check.hypothesis._given_kwargs  # type: ignore[attr-defined]
    seed(start)(long(number)(given(**arguments)(given_to)))()


def everything(asked: argparse.Namespace) -> int:
    """Run all large runs, the longest first and two at a time, and say how many failed; nothing of one head is told of another."""
    here = Path(__file__).parent
    head = subprocess.run(
        ["git", "describe", "--always", "--dirty"], cwd=here, capture_output=True, text=True, check=False
    )
    print(f"head {head.stdout.strip() or 'unknown'}, seed {asked.seed}", flush=True)
    files, seeded = ("--each", str(asked.each)), ("--seed", str(asked.seed))
    runs = (
        ("mutation/run.py", "--each", str(asked.mutants), *seeded),
        ("fuzz/run.py", *files, *seeded),
        ("fuzz/truth.py", *files, *seeded, "--seconds", str(asked.seconds)),
        ("load/run.py", "--sessions", "40", "--reruns", "200"),
        ("nightly.py", "--plants", str(asked.plants), "--studies", str(asked.studies), *seeded),
        ("faults/run.py", "--kills", "200"),
        ("release/offline.py",),
    )
    with ThreadPoolExecutor(2) as two:
        failed = sum(not well for well in two.map(lambda run: _done(here, *run), runs))
    print(f"{failed} failed" if failed else "all done", flush=True)
    return failed


def _done(here: Path, name: str, *arguments: str) -> bool:
    """Run one program; whether it ended well."""
    start = time.monotonic()
    code = subprocess.run([sys.executable, str(here / name), *arguments], cwd=here.parent, check=False).returncode
    print(f"{name}: {'done' if code == 0 else f'exit code {code}'}; {time.monotonic() - start:.0f} s", flush=True)
    return code == 0


def main() -> int:
    """Run and report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--plants", type=int, default=20_000)
    parser.add_argument("--studies", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--everything", action="store_true", help="all large runs of the Trust table")
    parser.add_argument("--each", type=int, default=50_000)
    parser.add_argument("--seconds", type=int, default=1200, help="the most for each reader")
    parser.add_argument("--mutants", type=int, default=40)
    asked = parser.parse_args()
    if asked.everything:
        return everything(asked)
    start = time.monotonic()
    kernel_run(asked.plants, asked.seed)
    print(
        f"{asked.plants:,} random plants agree with plain Python to 1e-9, balance and keep their bounds; {time.monotonic() - start:.0f} s",
        flush=True,
    )
    checks = [one for one in vars(test_whole_chain).values() if hasattr(one, "hypothesis")]
    for check in checks:
        start = time.monotonic()
        chain_run(check, asked.studies, asked.seed)
        print(f"{check.__name__}: {asked.studies:,} random cases; {time.monotonic() - start:.0f} s", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
