"""What people run: the whole command on tables of homes, smaller and larger ones, its processor time and its memory.

``python -m costsim.benchmarks.many_homes 1000 10000 100000 -o many_homes.html`` prints tables and draws a picture, of the built-in
studies and of two with hot water and stores (`stored`); ``--json FILE`` keeps what was measured, and ``--from FILE`` draws it.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from costsim import __version__
from costsim.benchmarks.homes import STUDIES
from costsim.benchmarks.stored import STORED, study_of
from costsim.study.case import write_study
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
COLUMNS |= dict.fromkeys(STORED, COLUMNS["valley_row"])
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
        table, named = Path(folder) / "homes.csv", study
        write_homes(table, study, homes)
        if study in STORED:
            named = str(Path(folder) / f"{study}.toml")
            Path(named).write_text(write_study(study_of(study).typed), encoding="utf-8")
        command = [sys.executable, "-m", "costsim", "portfolio", str(table), "--study", named]
        command += ["-o", str(Path(folder) / "out"), *options]
        start = time.perf_counter()
        done = subprocess.run([sys.executable, "-c", MEASURE, *command], stdout=subprocess.PIPE, text=True, check=True)
        clock_s = time.perf_counter() - start
    code, processor_s, memory_mb = json.loads(done.stdout)
    if code:
        raise SystemExit(f"costsim portfolio ended with {code}")
    return Growth(homes, processor_s, memory_mb, clock_s)


def rows_of(runs: Sequence[Growth], options: int) -> list[list[str]]:
    """Rows of a study's table, each size beside the one before it; a home-year is a home's year under one option."""
    rows = []
    for first, run in zip([None, *runs], runs, strict=False):
        more = (run.processor_s - first.processor_s) / (run.homes - first.homes) if first else None
        rows.append(
            [f"{run.homes:,}", f"{run.clock_s:.1f} s", f"{run.processor_s:.1f} s", "" if more is None else f"{more * 1e3:.3f} ms",
             "" if more is None else f"{more / options / 2 * 1e6:.0f} s", f"{run.memory_mb:.0f} MB"]
        )  # fmt: skip
    return rows


def drawn(runs: dict[str, list[Growth]], facts: dict[str, Any], out: str) -> None:
    """Write the picture, an .html that opens without a network."""
    title = "costsim portfolio, the whole command: floor area, loss per kelvin, set-point and price by home"
    caption = f"version {facts['version']}, head {facts['head'] or '?'}, {facts['processors']} processors ({facts['machine']}), load {facts['load']}"
    growth_chart(runs, f"{title}<br><sup>{caption}</sup>").write_html(
        out, include_plotlyjs=True, config={"displayModeBar": False}
    )


def facts_of(head: str) -> dict[str, Any]:
    """What a measurement was made with."""
    load = f"{os.getloadavg()[0]:.1f}"
    return {
        "version": __version__,
        "head": head,
        "processors": os.cpu_count(),
        "machine": platform.machine(),
        "load": load,
    }


def _head() -> str:
    """The repository's head, where there is one."""
    command = ["git", "-C", str(Path(__file__).parent), "rev-parse", "--short", "HEAD"]
    try:
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip()
    except (OSError, subprocess.CalledProcessError):
        return ""


def main(argv: Sequence[str] | None = None) -> None:
    """Measure, print, and draw where a file is named."""
    parser = argparse.ArgumentParser(description="time and memory of costsim portfolio")
    parser.add_argument("homes", nargs="*", type=int, help="sizes of the tables, the smallest first")
    parser.add_argument("--study", action="append", choices=(*STUDIES, *STORED), help="which, all by default")
    parser.add_argument("--processes", default="2", help="of each run, 2 by default")
    parser.add_argument(
        "--json", metavar="FILE", help="keep what was measured, added to what the file holds of other sizes and studies"
    )
    parser.add_argument("--from", dest="kept", metavar="FILE", help="draw what --json kept, and measure nothing")
    parser.add_argument("-o", "--out", help="picture, an .html that opens without a network")
    arguments = parser.parse_args(argv)
    runs: dict[str, list[Growth]] = {}
    facts = facts_of(_head())
    file = arguments.kept or arguments.json
    if file and Path(file).is_file():
        known = json.loads(Path(file).read_text(encoding="utf-8"))
        runs = {study: [Growth(**fields) for fields in many] for study, many in known["runs"].items()}
        facts = known["facts"] if arguments.kept else facts
    for study in () if arguments.kept else arguments.study or (*STUDIES, *STORED):
        options = len(study_of(study).options)
        measured(study, 300, ["--processes", "1"])  # what is compiled stays compiled
        measurements = [measured(study, homes, ["--processes", arguments.processes]) for homes in arguments.homes]
        caption = f"homes of {study}, {options} options, load {os.getloadavg()[0]:.1f}, {os.cpu_count()} processors"
        heads = [caption, "clock", "processor time", "each further home", "a million home-years of two", "memory"]
        print(text_table(heads, rows_of(measurements, options)) + "\n", flush=True)
        others = [run for run in runs.get(study, ()) if run.homes not in arguments.homes]
        runs[study] = sorted((*others, *measurements), key=lambda run: run.homes)
        if arguments.json:
            kept = {"facts": facts, "runs": {name: [asdict(run) for run in many] for name, many in runs.items()}}
            Path(arguments.json).write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")
    if arguments.out:
        drawn(runs, facts, arguments.out)


if __name__ == "__main__":
    main()
