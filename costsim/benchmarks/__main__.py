"""Measure and print: the kernel against plain Python, a study's parts, scenarios, start-up and imports."""

from __future__ import annotations

import importlib.util
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from costsim import load_weather, read_study, simulate
from costsim.analysis.foresight import controller_gap
from costsim.analysis.scenarios import draw, simulate_scenarios
from costsim.analysis.uncertainty import uncertainty
from costsim.benchmarks.growth import first_use_rows, growth_rows, memory_rows, thread_rows
from costsim.benchmarks.homes import home_rows
from costsim.benchmarks.race import RACES, race_rows
from costsim.benchmarks.searches import search_rows
from costsim.engine import block
from costsim.engine import layout as k
from costsim.engine.batch import price_batch
from costsim.engine.lower import LoweredOption, lower_option, lower_study
from costsim.simulation import simulate_option
from costsim.study.case import case_from
from costsim.tariffs.bill import marginal_bill
from costsim.views.tables import text_table

REFERENCE = Path(__file__).parents[2] / "tests" / "reference" / "dispatcher.py"


def median_ms(work: Callable[[], object], runs: int) -> float:
    """Median time of some runs after a first one that is not counted."""
    work()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append((time.perf_counter() - start) * 1e3)
    return statistics.median(times)


def reference() -> ModuleType | None:
    """The plain-Python dispatcher of the tests, where the repository is there."""
    if not REFERENCE.is_file():
        return None
    spec = importlib.util.spec_from_file_location("reference_dispatcher", REFERENCE)
    if spec is None or spec.loader is None:
        return None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    sys.path.insert(0, str(REFERENCE.parents[1]))  # it imports what stands beside it
    spec.loader.exec_module(module)
    return module


def plain_python(module: ModuleType, plant: LoweredOption) -> Callable[[], object]:
    """The same plant as the reference takes it."""
    s, h = plant.scalars, plant.hours
    names = {"demand": k.DEMAND, "setpoint": k.ROOM, "floor_limit": k.FLOOR_LIMIT, "gains": k.GAINS, "slab_weather": k.SLAB_WEATHER,
             "room_weather": k.ROOM_WEATHER, "precharge": k.PRECHARGE}  # fmt: skip
    rows: dict[str, Any] = {name: h[row].tolist() for name, row in names.items()}
    house = module.LoweredOption(**rows, keep=float(s[k.TANK_KEEP]), rise=float(s[k.TANK_RISE]),
    loss_state=float(s[k.LOSS_STATE]), loss_net=float(s[k.LOSS_NET]),
                         resistance=float(s[k.WATER_RESISTANCE]), top=float(s[k.TANK_TOP]), start=float(s[k.TANK_START]))  # fmt: skip
    order = plant.order.tolist()

    def run() -> object:
        sources = [
            module.Source(rows[k.CAPACITY].tolist(), rows[k.TARGET].tolist(), float(own[k.SLOPE]), bool(own[k.MUST_RUN]), float(own[k.BURN_POWER]),
                          least_charge=float(own[k.LEAST_CHARGE]), charge=rows[k.CHARGE].tolist(), ahead=rows[k.AHEAD].tolist(), until=rows[k.UNTIL].tolist())
            for own, rows in zip(plant.source_scalars, plant.source_hours, strict=True)
        ]  # fmt: skip
        return module.run(house, sources, order)

    return run


def kernel_rows() -> list[list[str]]:
    """The compiled kernel and plain Python on the same year."""
    case = read_study("valley_row")
    common = lower_study(case, load_weather(case))
    plant = lower_option(common, case.options[-1])
    compiled = median_ms(plant.year, 50)
    rows = [["kernel, one year, three sources, all hours kept", f"{compiled:.3f} ms", "1"]]
    module = reference()
    if module is None:
        return [*rows, ["plain Python", "not measured: tests/reference is not there", ""]]
    slow = median_ms(plain_python(module, plant), 5)
    return [*rows, ["plain Python, the same year", f"{slow:.0f} ms", f"{slow / compiled:.0f}"]]


def study_rows() -> list[list[str]]:
    """Parts of the built-in studies."""
    rows = []
    for name in ("lantern_cottage", "net_loft", "valley_row"):
        case = read_study(name)
        weather = load_weather(case)
        common = lower_study(case, weather)
        last = case.options[-1]
        rows.append([f"{name}: whole study", f"{median_ms(partial(simulate, case, weather), 20):.2f} ms"])
        slowest = max(median_ms(partial(simulate_option, common, option), 20) for option in case.options)
        rows.append([f"{name}: slowest option", f"{slowest:.2f} ms"])
        rows.append(
            [f"{name}: perfect foresight, last option", f"{median_ms(partial(controller_gap, common, last), 1):.0f} ms"]
        )
    return rows


def draw_rows() -> list[list[str]]:
    """Ten thousand scenarios of two options, with simulation and with prices alone."""
    case = read_study("lantern_cottage")
    case = case.model_copy(
        update={"option": case.options[1:3], "uncertainty": case.uncertainty.model_copy(update={"scenarios": 10_000})}
    )
    weather = load_weather(case)
    whole = median_ms(lambda: uncertainty(case, weather), 3)
    common = lower_study(case, weather)
    scenarios = draw(case, common)
    runs = simulate_scenarios([common], scenarios)
    prices = median_ms(lambda: [price_batch(common, many, scenarios.prices) for many in runs], 5)
    return [
        ["10,000 scenarios, two options, simulated", f"{whole / 1e3:.2f} s", "1"],
        ["the same, prices alone", f"{prices:.1f} ms", f"1/{whole / prices:.0f}"],
    ]


CHARGES: tuple[dict[str, Any], ...] = (
    {"kind": "standing", "amount": "0.45 $/day"},
    {
        "kind": "tiers",
        "months": "Jun 15-Sep 14",
        "tier": [{"up_to": "8 kWh/day", "energy": "-0.03 $/kWh"}, {"energy": "0 $/kWh"}],
    },
    {"kind": "rider", "energy": "0.09 $/kWh", "windows": ["16:00-21:00"], "days": "Mon-Fri, not holidays"},
    {"kind": "power", "top_days": 3, "step": [{"up_to": "4 kW", "fee": "5 $/month"}, {"fee": "20 $/month"}]},
    {"kind": "tax", "share": "6 %"},
    {"kind": "credit", "amount": "30 $/month", "months": "Apr, Oct"},
)
"""Six charges of an invented tariff."""


def bill_rows() -> list[list[str]]:
    """A year's bill with six charges, as what heating adds, against one with an energy price alone."""
    rows: list[list[str]] = []
    first = 0.0
    for what, more in (
        ("an energy price", {}),
        ("six charges and a read day", {"read_day": 12, "charge": list(CHARGES)}),
    ):
        study = dict(read_study("lantern_cottage").typed)
        study["house"] = {**study["house"], "other_electricity": "9000 kWh/year"}
        study["prices"] = {**study["prices"], "electricity": {"energy": "0.112 $/kWh", **more}}
        case = case_from(study)
        common = lower_study(case, load_weather(case))
        other = case.other_electricity_j(common.calendar)
        heating = np.maximum(common.demand_w, 0.0) * 3600.0
        took = median_ms(partial(marginal_bill, common.tariffs["electricity"], common.calendar, heating, other), 30)
        first = first or took
        rows.append([what, f"{took:.2f} ms", f"{took / first:.1f}"])
    return rows


def start_rows() -> list[list[str]]:
    """Start-up and imports, each in a new process."""
    # as installed: pip compiles modules when it installs them, whatever this shell says of writing them
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}

    def process(*command: str) -> float:
        return median_ms(
            lambda: subprocess.run([sys.executable, *command], capture_output=True, check=True, env=env), 3
        )

    pandas = process("-c", "import pandas")
    rows = [["import pandas", f"{pandas:.0f} ms", "1"]]
    for name, command in (
        ("import costsim", ("-c", "import costsim")),
        ("costsim compare", ("-m", "costsim.cli.main", "compare")),
    ):
        took = process(*command)
        rows.append([name, f"{took:.0f} ms", f"{took / pandas:.2f}"])
    log = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "costsim.cli.main", "compare"],
        capture_output=True,
        text=True,
        check=True,
    ).stderr
    parts = [
        line.split("|") for line in log.split("\n") if line.count("|") == 2 and line.split("|")[1].strip().isdigit()
    ]
    whole = sorted(((int(part[1]), part[2].strip()) for part in parts if not part[2].startswith("   ")), reverse=True)
    return rows + [[f"  of it: import {name}", f"{micro / 1e3:.0f} ms", ""] for micro, name in whole[:5]]


def main() -> None:
    """Print all tables."""
    np.seterr(all="ignore")
    # measured is what runs, not the compiler
    block.AT_ONCE, block.PATIENCE_S, block.WORTH = 0, 600.0, 0
    print(text_table(["kernel", "median", "times"], kernel_rows()) + "\n")
    for study, option in RACES:
        name = f"{study}, {read_study(study).options[option].name}"
        print(text_table([name, "a year", "years a second", "of one at a time"], race_rows(study, option)) + "\n")
    print(text_table(["study", "median"], study_rows()) + "\n")
    print(
        text_table(
            ["search", "years or prices", "the first", "times simulating each", "after another", "times"], search_rows()
        )
        + "\n"
    )
    print(text_table(["uncertainty", "median", "ratio"], draw_rows()) + "\n")
    print(text_table(["a year's bill, what heating adds", "median", "ratio"], bill_rows()) + "\n")
    print(text_table(["a scenario in blocks, as they grow", "processor time"], growth_rows()) + "\n")
    print(text_table(["blocks of sixteen", "years a second", "times"], thread_rows()) + "\n")
    print(
        text_table(
            ["many homes, home-years a second", "one thread", "two processes", "a million on two", "Dask of it"],
            home_rows(),
        )
        + "\n"
    )
    print(text_table(["memory", "highest"], memory_rows()) + "\n")
    print(text_table(["first use in a new process", "one year", "a block"], first_use_rows()) + "\n")
    print(text_table(["start, each in a new process", "median", "of pandas"], start_rows()))


if __name__ == "__main__":
    main()
