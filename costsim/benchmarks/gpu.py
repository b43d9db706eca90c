"""Home-years on a CUDA device against the processor's blocks: `python -m costsim.benchmarks.gpu --lanes 10000000`."""

from __future__ import annotations

import argparse
import sys
import time

import numpy as np

from costsim.benchmarks.race import RACES, apart, lanes_of_year, year_of
from costsim.engine import block
from costsim.engine.block import run_lanes
from costsim.engine.gpu import LANES_AT_ONCE, run_resident, why_not
from costsim.engine.lanes import lanes_of
from costsim.views.tables import text_table

FLOPS_AN_HOUR = {"valley_row": 95, "lantern_cottage": 55, "net_loft": 80}
"""Additions, products, comparisons and choices of an hour of each race, counted by hand in `engine/balance.py`; a division as one."""


def rows_of(study: str, option: int, lanes: int) -> list[str]:
    """One row: what the device takes for so many home-years, and whether it agrees with the processor."""
    year = year_of(study, option, 1024)
    shared, few = lanes_of_year(year)
    block.AT_ONCE = 0
    here, there = run_lanes(shared, few), run_lanes(shared, few, gpu=True)
    differ = apart((there.sums, there.energy_j), (here.sums, here.energy_j))
    rng, plant = np.random.default_rng(2), year.plant
    number = min(lanes, LANES_AT_ONCE)
    many = lanes_of(
        plant.scalars, plant.source_scalars, number,
        loss_w_k=year.loss_w_k.mean() * np.exp(0.1 * rng.standard_normal(number)), shift_k=rng.standard_normal(number),
    )  # fmt: skip
    rounds = -(-lanes // number)
    on_device = run_resident(shared, many, rounds)
    start = time.perf_counter()
    run_lanes(shared, many, gpu=True)
    whole = time.perf_counter() - start
    start = time.perf_counter()
    run_lanes(shared, many[:, :4096])
    blocks = (time.perf_counter() - start) / 4096
    each = on_device / (rounds * number)
    return [
        study, f"{rounds * number:,}", f"{on_device:.2f} s", f"{1 / each:,.0f}", f"{whole / number * 1e6:.2f} s",
        f"{blocks / each:,.0f} ×", f"{FLOPS_AN_HOUR[study] * 8760 / each / 1e12:.1f} T/s", f"{differ:.1e}",
    ]  # fmt: skip


def main() -> int:
    """Print the table; exit code 1 without a device, or where it does not agree with the processor."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lanes", type=int, default=10_000_000)
    asked = parser.parse_args()
    if reason := why_not():
        print(f"not measured: {reason}")
        return 1
    rows = [rows_of(study, option, asked.lanes) for study, option in RACES]
    headings = [
        "study", "home-years", "on the device", "a second", "a million, with copies", "of one thread's blocks", "operations",
        "differ",
    ]  # fmt: skip
    print(text_table(headings, rows))
    return int(any(float(row[-1]) > 1e-9 for row in rows))


if __name__ == "__main__":
    sys.exit(main())
