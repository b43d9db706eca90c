"""What people run: the whole command on tables of homes, smaller and larger ones, its processor time and its memory.

``python -m costsim.benchmarks.many_homes 1000 10000 100000 -o many_homes.html`` prints a table and draws a picture.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from costsim.benchmarks.homes import STUDIES
from costsim.views.growth_chart import Growth, growth_chart
from costsim.views.tables import text_table

COLUMNS = {
    "lantern_cottage": (
        ("house.floor_area [ft2]", 700, 2200), ("house.heat_loss_rate [W/K]", 150, 400),
        ("house.indoor_temperature [degF]", 66, 73), ("prices.electricity.energy [$/kWh]", 0.08, 0.2),
    ),
    "net_loft": (
        ("house.floor_area [ft2]", 2000, 5000), ("house.heat_loss_rate [W/K]", 400, 1000),
        ("house.indoor_temperature [degF]", 63, 70), ("prices.electricity.energy [$/kWh]", 0.1, 0.3),
    ),
    "valley_row": (
        ("house.floor_area [m2]", 50, 160), ("house.heat_loss_rate [W/K]", 70, 200),
        ("house.indoor_temperature [degC]", 18, 23), ("prices.electricity.energy [€/kWh]", 0.15, 0.4),
    ),
}  # fmt: skip
"""Columns that a table of homes usually has, with spans of invented values: floor area, loss per kelvin, set-point, price."""
MEASURE = """
import json, resource, subprocess, sys
done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL)
found = resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps([done.returncode, found.ru_utime + found.ru_stime, found.ru_maxrss / 1024]))
"""


def write_homes(path: Path, study: str, homes: int) -> None:
    """Write a table of invented homes."""
    rng = np.random.default_rng(3)
    with path.open("w", encoding="utf-8") as stream:
        stream.write(",".join(["home", "weight", *(heading for heading, _, _ in COLUMNS[study])]) + "\n")
        for at in range(homes):
            values = (f"{rng.uniform(low, high):.4g}" for _, low, high in COLUMNS[study])
            stream.write(",".join([f"h{at}", f"{rng.uniform(0.5, 3.0):.2f}", *values]) + "\n")


def measured(study: str, homes: int, options: Sequence[str] = ()) -> Growth:
    """Run the command once in a folder of its own."""
    with tempfile.TemporaryDirectory() as folder:
        table = Path(folder) / "homes.csv"
        write_homes(table, study, homes)
        command = [sys.executable, "-m", "costsim", "portfolio", str(table), "--study", study]
        command += ["-o", str(Path(folder) / "out"), *options]
        done = subprocess.run([sys.executable, "-c", MEASURE, *command], stdout=subprocess.PIPE, text=True, check=True)
    code, processor_s, memory_mb = json.loads(done.stdout)
    if code:
        raise SystemExit(f"costsim portfolio ended with {code}")
    return Growth(homes, processor_s, memory_mb)


def main(argv: Sequence[str] | None = None) -> None:
    """Measure, print, and draw where a file is named."""
    parser = argparse.ArgumentParser(description="processor time and memory of costsim portfolio")
    parser.add_argument("homes", nargs="+", type=int, help="sizes of the tables, the smallest first")
    parser.add_argument("--study", action="append", choices=STUDIES, help="built-in study, all by default")
    parser.add_argument("-o", "--out", help="picture, an .html that opens without a network")
    arguments = parser.parse_args(argv)
    runs: dict[str, list[Growth]] = {}
    for study in arguments.study or STUDIES:
        measured(study, 64)  # what is compiled stays compiled
        runs[study] = [measured(study, homes) for homes in arguments.homes]
        rows = []
        for first, one in zip([None, *runs[study]], runs[study], strict=False):
            more = (one.processor_s - first.processor_s) / (one.homes - first.homes) * 1e3 if first else None
            beside = "" if more is None else f"{more:.3f} ms"
            rows.append([f"{one.homes:,}", f"{one.processor_s:.1f} s", beside, f"{one.memory_mb:.0f} MB"])
        load = f"load average {os.getloadavg()[0]:.1f}, {os.cpu_count()} processors"
        print(text_table([f"homes of {study}, {load}", "processor time", "each further home", "memory"], rows) + "\n")
    if arguments.out:
        title = "costsim portfolio, the whole command: floor area, loss per kelvin, set-point and price by home"
        growth_chart(runs, title).write_html(arguments.out, include_plotlyjs=True, config={"displayModeBar": False})


if __name__ == "__main__":
    main()
