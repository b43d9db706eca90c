"""Kinds of heat source that another package brings in one file each are seen wherever sources are."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

DEVELOPERS = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
KIND, CHARGE = re.findall(r"```python\n(.*?)```", DEVELOPERS, re.DOTALL)
"""The source and the charge of the recipes, letter by letter."""
LIFT = Path(__file__).with_name("gas_lift.py").read_text(encoding="utf-8")
"""What the recipe's own does not meet: gas, more heat than its fuel holds, outdoors, and a figure over the outdoor temperature."""
STUDY = """
title = "Corn or electricity"
[place]
weather = "greensboro.csv"
timezone = "America/New_York"
[house]
floor_area = "1500 ft2"
design_heat_loss = "7 kW"
indoor_temperature = "70 degF"
balance_point = "62 degF"
[prices.electricity]
energy = "0.16 $/kWh"
[prices.natural_gas]
energy = "0.12 $/kWh"
[prices.pellets]
energy = "0.15 $/lb"
[uncertainty]
scenarios = 200
[[option]]
name = "Corn"
[[option.source]]
kind = "corn"
output = "12 kW"
[[option]]
name = "Lift"
[[option.source]]
kind = "lift"
output = "18 kW"
outdoor = ["-15 degC", "7 degC"]
efficiencies = ["110 %", "145 %"]
[[option]]
name = "Electric"
[[option.source]]
kind = "electric"
output = "12 kW"
"""
SCRIPT = """
import json, sys
import numpy as np
from costsim import load_weather, read_study, simulate
from costsim.analysis.capacity import capacity_report
from costsim.analysis.select import select
from costsim.analysis.uncertainty import uncertainty
from costsim.report.basis import basis_of
from costsim.report.content import report_of
from costsim.report.html import as_html
from costsim.results.cautions import cautions_of
from costsim.cli.main import main

case = read_study(sys.argv[1])
weather = load_weather(case)
found = simulate(case, weather)
corn, lift = (one.sources[0] for one in found.options[:2])
heat = found.options[1].hourly.heat_w[0] * 3600.0
doubt = uncertainty(case, weather)
looked = capacity_report(case, weather)
told = cautions_of(case, coldest_c=-10.0, freeze_c=0.0, max_temperature_c=60.0, system="us")
page = as_html(report_of(case, weather, "us"))
homes = main(["portfolio", sys.argv[2], "--study", sys.argv[1], "-o", sys.argv[3]])
summary = json.load(open(sys.argv[3] + "/summary.json"))
print(json.dumps({
    "efficiency": corn.heat_j / corn.input_j, "heat": corn.heat_j,
    "ranked": [one.what for one in doubt.sensitivity], "spread": float(doubt.options[0].cost.std()),
    "capacity": [(one.name, one.rated_w) for one in looked.options[0].sources],
    "cautions": {one.key: one.text for one in told}, "page": "Corn stove" in page and "NFPA 211" in page,
    "assumed": [one.what for one in found.assumptions],
    "homes": homes, "portfolio": [one["cost"] for one in summary["options"][:2]],
    "lift": [lift.heat_j, lift.input_j, lift.co2_kg], "by_hour": (heat / (1.10 + 0.35 * np.clip((weather.outdoor_c + 15.0) / 22.0, 0.0, 1.0))).sum(),
    "lift_gas": [one.entered_gas.input_w for one in select(case, weather, only="Lift").options[0].sources],
}))
"""


@pytest.mark.long
def test_burning_kinds_of_another_package_are_seen_everywhere(tmp_path: Path) -> None:
    site, study, homes = tmp_path / "site", tmp_path / "corn.toml", tmp_path / "homes.csv"
    (site / "cornheat-1.0.dist-info").mkdir(parents=True)
    (site / "cornheat.py").write_text(KIND, encoding="utf-8")
    (site / "liftheat.py").write_text(LIFT, encoding="utf-8")
    (site / "cornheat-1.0.dist-info" / "METADATA").write_text("Metadata-Version: 2.1\nName: cornheat\nVersion: 1.0\n")
    entry = "[costsim.sources]\ncorn = cornheat:CornStove\nlift = liftheat:GasLift\nbroken = cornheat:Missing\n"
    (site / "cornheat-1.0.dist-info" / "entry_points.txt").write_text(entry)
    study.write_text(STUDY, encoding="utf-8")
    homes.write_text("home,house.design_heat_loss [kW]\nA,5\nB,8\n", encoding="utf-8")
    paths = [str(site), *sys.path]
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(study), str(homes), str(tmp_path / "out")],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path for path in paths if path)},
        capture_output=True, text=True, timeout=240, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    # a kind that cannot be loaded is one line, and the rest goes on
    assert "the kind of source 'broken' (cornheat:Missing) cannot be loaded" in done.stderr
    found = json.loads(done.stdout.splitlines()[-1])
    assert abs(found["efficiency"] - 0.7) < 1e-9
    assert found["heat"] > 1e9
    assert "efficiency of burners" in found["ranked"]
    assert found["spread"] > 0
    assert found["capacity"] == [["Corn stove", 12000.0]]
    assert found["cautions"]["carbon_monoxide"].startswith("Corn stove, Gas lift: a fire without enough air")
    # NFPA 211 asks for a chimney of every appliance for solid fuel, whatever class it is made of (value from memory)
    assert found["cautions"]["chimney"].startswith("Corn stove: chimney lined")
    assert found["cautions"]["solid_return"].startswith("Corn stove: where water comes back")
    assert found["page"]
    assert "corn stove, efficiency" in found["assumed"]
    assert found["homes"] == 0
    assert all(one["mean"] > 100 for one in found["portfolio"])
    # 110 % at -15 °C and 145 % at 7 °C and above, straight between, hour by hour
    heat_j, input_j, co2_kg = found["lift"]
    assert input_j == pytest.approx(found["by_hour"], rel=1e-9)
    assert 1.2 < heat_j / input_j < 1.45
    # 53.06 kg for each MMBtu of natural gas (40 CFR 98, table C-1)
    assert co2_kg == pytest.approx(53.06 * input_j / 1.055056e9, rel=1e-3)
    assert "efficiency of gas lifts" in found["ranked"]
    # the gas of the coldest hour, not of the warmest: a larger pipe and more air
    assert all(18e3 / 1.45 < one <= 18e3 / 1.10 * 1.0001 for one in found["lift_gas"])
    assert found["cautions"]["gas_work"].startswith("Gas lift: ")
    assert "Gas lift" in found["cautions"]["freezing"]
    # what burns solid fuel is the stove alone
    assert "Gas lift" not in found["cautions"]["chimney"] + found["cautions"]["solid_return"]
