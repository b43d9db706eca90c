"""Write use in random layouts of downloads and read it back, outside the suite: `python tests/fuzz/layouts.py --each 50000`.

Nothing may be silently wrong by more than a thousandth; questions are counted and shown.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from bills.layouts import write_bills, write_readings
from bills.test_layouts import verdict


def main() -> int:
    """Run both writers; the exit status is 1 where something was silently wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=50_000)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    wrong_in_all = 0
    for write in (write_readings, write_bills):
        rng, seen, slowest = random.Random(arguments.seed), Counter[str](), 0.0
        for _ in range(arguments.each):
            written, begin = write(rng), time.perf_counter()
            try:
                found = verdict(written)
                seen["equal" if found == "equal" else f"asked: {found[:120]}"] += 1
            except AssertionError as error:
                seen["WRONG"] += 1
                print("WRONG", str(error).replace("\n", " ")[:400])
            slowest = max(slowest, time.perf_counter() - begin)
        wrong_in_all += seen["WRONG"]
        print(f"{write.__name__}, seed {arguments.seed}: {dict(seen.most_common(6))}; slowest {slowest:.2f} s")
    return int(wrong_in_all > 0)


if __name__ == "__main__":
    raise SystemExit(main())
