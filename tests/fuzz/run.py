"""Fuzz every reader, outside the suite: `python tests/fuzz/run.py --each 50000`.

Prints one line a reader: inputs tried, read, refused, the slowest, peak memory. Exit code 1 when anything but an `InputError`
or a value came out, one input took more than two seconds twice (at first it may compile), or the process grew beyond 1 GB. Time is
the processor's, so that a machine that is busy, or pauses the run, is no hang; the number of the input at work stands in `running-TARGET` beside the failures.
"""

from __future__ import annotations

import argparse
import contextlib
import faulthandler
import resource
import signal
import sys
import tempfile
import time
import traceback
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from fuzz.targets import FOLDER, TARGETS, Target, tried

from costsim.engine import block

SLOWEST_S, MOST_MEMORY_MB, HANG_S = 2.0, 1000.0, 60


def fuzz(target: Target, each: int, seed: int, failures: Path) -> dict[str, float]:
    """Try one reader with `each` inputs; keep what breaks it in `failures`."""
    found = {"read": 0, "refused": 0, "failed": 0, "slow": 0, "slowest_s": 0.0}
    seen: set[str] = set()
    failures.mkdir(parents=True, exist_ok=True)
    running = failures / f"running-{target.name}"
    faulthandler.register(signal.SIGPROF, chain=True)  # tells where, and the signal then ends the process
    with tempfile.TemporaryDirectory(dir=FOLDER) as folder:
        for number in range(each):
            raw = target.example(Random(f"{target.name}-{seed}-{number}"))
            start = time.thread_time()
            running.write_text(f"{seed}-{number}", encoding="utf-8")
            signal.setitimer(signal.ITIMER_PROF, HANG_S)
            try:
                found[tried(target, raw, Path(folder))] += 1
            except Exception as error:
                found["failed"] += 1
                where = traceback.extract_tb(error.__traceback__)[-1]
                mark = f"{type(error).__name__} at {Path(where.filename).name}:{where.lineno}"
                if mark not in seen:
                    seen.add(mark)
                    (failures / f"{target.name}-{seed}-{number}").write_bytes(raw)
                    print(f"{target.name} {seed}-{number}: {mark}: {str(error)[:200]}", flush=True)
            took = time.thread_time() - start
            if (
                took > SLOWEST_S
            ):  # a form of the kernel that this input is the first to need was compiled, or else it is slow again
                start = time.thread_time()
                with contextlib.suppress(Exception):  # counted above
                    tried(target, raw, Path(folder))
                took = time.thread_time() - start
            if took > SLOWEST_S:
                found["slow"] += 1
                print(f"{target.name} {seed}-{number}: took {took:.1f} s", flush=True)
            found["slowest_s"] = max(found["slowest_s"], took)
    signal.setitimer(signal.ITIMER_PROF, 0)
    running.unlink()
    return found


def main() -> int:
    """Fuzz and report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=50_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=[target.name for target in TARGETS])
    parser.add_argument("--failures", type=Path, default=Path("out/fuzz"))
    given = parser.parse_args()
    block.AT_ONCE, bad = 0, False  # compile and do not read years in Python
    for target in TARGETS:
        if given.only not in (None, target.name):
            continue
        start = time.monotonic()
        found = fuzz(target, given.each, given.seed, given.failures)
        memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(
            f"{target.name}: {given.each:,} inputs, {found['read']:,} read, {found['refused']:,} refused, {found['failed']:,} failed; "
            f"slowest {found['slowest_s']:.2f} s; peak {memory_mb:.0f} MB; {time.monotonic() - start:.0f} s",
            flush=True,
        )
        bad = bad or found["failed"] > 0 or found["slow"] > 0 or memory_mb > MOST_MEMORY_MB
    return int(bad)


if __name__ == "__main__":
    sys.exit(main())
