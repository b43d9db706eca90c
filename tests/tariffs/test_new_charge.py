"""The recipe for a charge: one new file in a copy of the package, and every command counts it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from sources.test_another_package import CHARGE

import costsim

ASKED = """
import copy, tomllib
import numpy as np
from costsim import load_weather, simulate
from costsim.analysis.price_costs import OptionCosts
from costsim.engine.batch import price_batch, run_once
from costsim.engine.lower import lower_study
from costsim.portfolio.run import run_portfolio
from costsim.study.case import built_in_studies, case_from

plain = tomllib.loads(built_in_studies()["lantern_cottage"].read_text(encoding="utf-8"))
changed = copy.deepcopy(plain)
changed["prices"]["natural_gas"]["charge"] = [{"kind": "reward", "name": "thanks", "off": "2 $/month", "below": "9000 therm"}]
found = []
for data in (plain, changed):
    case = case_from(data)
    weather = load_weather(case)
    common, option = lower_study(case, weather), case.options[2]
    result = simulate(case, weather).option(option.name)
    homes = run_portfolio(case, weather, "homes.csv", f"out{len(found)}")
    many = next(one for one in homes["options"] if one["name"] == option.name)
    mean = many["cost"]["mean"]
    once = price_batch(common, run_once(common, option), {})[0]
    [turned] = OptionCosts(common, option).at({"natural_gas": np.ones(1)})[0]
    found.append([result.cost_total, once, turned, mean])
    if data is changed:
        assert [line.label for line in result.bills["natural_gas"].lines].count("thanks") == 12
print(np.round(np.array(found[0]) - np.array(found[1]), 6).tolist())
"""


@pytest.mark.long
def test_a_charge_is_one_file(tmp_path: Path) -> None:
    package = Path(costsim.__file__).parent
    shutil.copytree(package, tmp_path / "costsim", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(package.parent / "weather_samples", tmp_path / "weather_samples")
    (tmp_path / "costsim" / "tariffs" / "charges" / "reward.py").write_text(CHARGE, encoding="utf-8")
    (tmp_path / "homes.csv").write_text("home,house.design_heat_loss [kW]\na,7\nb,7\n", encoding="utf-8")
    (tmp_path / "ask.py").write_text(ASKED, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "ask.py"], cwd=tmp_path, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    # the bill, a scenario, break-even and a home of a portfolio: each 12 times 2 less
    assert done.stdout.strip() == "[24.0, 24.0, 24.0, 24.0]"
