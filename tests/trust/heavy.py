"""The heaviest studies that a session is allowed, every piece of work it can start on them, and how long each holds Python."""

from __future__ import annotations

import copy
import tempfile
import threading
import time
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from costsim import Result, simulate
from costsim.analysis.breakeven import breakeven_prices, price_map
from costsim.analysis.capacity import capacity_report
from costsim.analysis.foresight import controller_gap
from costsim.analysis.lifecycle import life_cycle
from costsim.analysis.select import select
from costsim.analysis.sizing import smallest
from costsim.analysis.uncertainty import uncertainty
from costsim.dashboard.budget import MOST_SCENARIOS
from costsim.engine.lower import lower_study
from costsim.portfolio.run import run_portfolio
from costsim.report.content import report_of
from costsim.report.write import FORMS
from costsim.study.case import Case, built_in_studies, case_from
from costsim.views.tables import write_hourly
from costsim.views.verdict import likelihood
from costsim.weather import Weather

OPTIONS = 12


def heaviest() -> dict[str, Any]:
    """The loft with as many options, tariff lines, rooms, uses and scenarios as `dashboard.budget` takes."""
    data = tomllib.loads(built_in_studies()["net_loft"].read_text(encoding="utf-8"))
    three = max(data["option"], key=lambda one: len(one["source"]))
    del data["prices"]["off_peak"]
    data["option"] = [{**copy.deepcopy(three), "name": f"o{at}"} for at in range(OPTIONS)]
    electricity = data["prices"]["electricity"]
    windows = [f"{at % 24:02d}:00-{at % 24:02d}:30" for at in range(24)]
    electricity["period"] = [
        {"name": f"p{at}", "energy": f"0.{at + 10} $/kWh", "windows": windows[at : at + 1]} for at in range(24)
    ]
    electricity["charge"] = [
        {"kind": "rider", "name": f"r{at}", "energy": "0.001 $/kWh", "windows": windows[at % 24 : at % 24 + 1]}
        for at in range(40)
    ]
    data["house"]["surface"] = [{"name": f"s{at}", "area": "1 m2", "u_value": "0.5 W/(m2 K)"} for at in range(300)]
    data["use"] = [{"kind": "hot_water", "name": f"u{at}", "daily_volume": "50 L"} for at in range(4)]
    data["uncertainty"] = {"scenarios": MOST_SCENARIOS // OPTIONS}
    return data


class Holds:
    """Notes how much processor time passes between two turns of a thread that only wants to tick: how long Python was held."""

    def __enter__(self) -> Holds:
        self.longest_s, self._stop = 0.0, threading.Event()
        self._thread = threading.Thread(target=self._tick, daemon=True)
        self._thread.start()
        return self

    def _tick(self) -> None:
        before = time.process_time()
        while not self._stop.wait(0.005):
            now = time.process_time()
            self.longest_s, before = max(self.longest_s, now - before), now

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join()


def pieces(case: Case, weather: Weather, result: Result) -> dict[str, Callable[[], object]]:
    """Every piece of work that a page starts, by name."""
    option = case.options[0]
    keys = list(case.prices)

    def homes() -> None:
        with tempfile.TemporaryDirectory() as folder:
            table = Path(folder) / "homes.csv"
            table.write_text(
                "home,house.balance_point [degC]\n" + "".join(f"h{at},{12 + at % 7}\n" for at in range(40))
            )
            run_portfolio(case, weather, table, Path(folder) / "out", block=256)

    def hours() -> None:
        with tempfile.TemporaryDirectory() as folder:
            for ending in (".xlsx", ".parquet"):
                write_hourly(result, Path(folder) / f"h{ending}", "us")

    def report() -> None:
        made = report_of(case, weather, "us")
        for form in FORMS.values():
            form(made)

    found: dict[str, Callable[[], object]] = {
        "study": lambda: case_from(case.typed, files=case.files),
        "compare": lambda: simulate(case, weather),
        "likelihood": lambda: likelihood(case, weather, result),
        "uncertainty": lambda: uncertainty(case, weather),
        "breakeven": lambda: breakeven_prices(case, weather),
        "map": lambda: price_map(case, weather, keys[0], keys[1], steps=11),
        "capacity": lambda: capacity_report(case, weather),
        "size output": lambda: smallest(case, weather, option=option.name, what="output", source=0, hours=0),
        "size tank": lambda: smallest(case, weather, option=option.name, what="tank", source=0, hours=0),
        "foresight": lambda: controller_gap(lower_study(case, weather), option),
        "select": lambda: select(case, weather),
        "money": lambda: life_cycle(case, result),
        "homes": homes,
        "hours": hours,
        "report": report,
    }
    return found
