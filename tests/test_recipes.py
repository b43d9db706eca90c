"""The first two recipes of DEVELOPERS.md on a scratch copy of the package: one new file each, and nothing else touched."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.long
ROOT = Path(__file__).parents[1]
SOURCE = '''
"""A corn stove."""

from typing import Annotated, ClassVar, Literal

from costsim.sources.base import HeatSource, Offer, Surroundings, register
from costsim.units.fields import QuantityField


@register
class CornStove(HeatSource):
    """Burns corn at the price of pellets."""

    title: ClassVar[str] = "Corn stove"
    burns_fuel: ClassVar[bool] = True
    example: ClassVar[dict] = {"kind": "corn", "output": "12 kW"}

    kind: Literal["corn"]
    output_w: Annotated[float, QuantityField("power", "Rated output", above=0, at_most=1e6, example="12 kW")]

    @property
    def fuel_key(self) -> str:
        """Pellets stand for corn."""
        return "pellets"

    def nameplate_w(self) -> float:
        """Rated output [W]."""
        return self.output_w

    def offer(self, surroundings: Surroundings) -> Offer:
        """The same at any hour."""
        return self._offer(surroundings, capacity_w=self.output_w, heat_per_input=0.7)
'''
CHARGE = '''
"""A thank-you that a cooperative pays each month."""

from collections.abc import Iterator
from typing import Annotated, Literal

import numpy as np

from costsim.tariffs.charges.base import CREDITED, Item, TypedCharge, Usage, charge
from costsim.units.fields import QuantityField


@charge
class ThankYou(TypedCharge):
    """So much off each month's bill."""

    kind: Literal["thank_you"] = "thank_you"
    stage = CREDITED
    each_money: Annotated[float, QuantityField("money", "Each month", at_least=0, example="3 $")]

    def items(self, usage: Usage) -> Iterator[Item]:
        """One line a month."""
        months = np.ones((usage.scenarios, 12))
        yield Item(self.label, months, "month", -self.each_money, -self.each_money * months, "fixed")
'''
STUDY = """
title = "Corn or electricity"
[place]
weather = "greensboro.csv"
[house]
floor_area = "1500 ft2"
design_heat_loss = "7 kW"
indoor_temperature = "70 degF"
balance_point = "62 degF"
[prices.electricity]
energy = "0.16 $/kWh"
{charge}
[prices.pellets]
energy = "0.15 $/lb"
[uncertainty]
draws = 100
[[option]]
name = "Electric"
[[option.source]]
kind = "electric"
output = "12 kW"
[[option]]
name = "Beside it"
[[option.source]]
kind = "{kind}"
output = "12 kW"
"""
CREDIT = '[[prices.electricity.charge]]\nkind = "thank_you"\neach = "3 $"'


@pytest.fixture
def scratch(tmp_path: Path) -> Path:
    skip = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "costsim", tmp_path / "costsim", ignore=skip)
    shutil.copytree(ROOT / "weather_samples", tmp_path / "weather_samples", ignore=skip)
    return tmp_path


def costsim(folder: Path, *commands: str) -> list[str]:
    """Run commands of the scratch copy in one process and give what each prints."""
    script = (
        "import contextlib, io, json, shlex, sys\n"
        "from costsim.cli.main import main\n"
        "shown = []\n"
        "for line in json.loads(sys.argv[1]):\n"
        "    with contextlib.redirect_stdout(io.StringIO()) as out:\n"
        "        assert main(shlex.split(line)) == 0, line\n"
        "    shown.append(out.getvalue())\n"
        "print(json.dumps(shown))\n"
    )
    env = {**os.environ, "PYTHONPATH": str(folder)}
    done = subprocess.run(
        [sys.executable, "-c", script, json.dumps(commands)],
        cwd=folder, env=env, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return list(json.loads(done.stdout))


def files(folder: Path) -> set[str]:
    """Python files of the scratch copy."""
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*.py")}


def test_a_heat_source_is_one_file(scratch: Path) -> None:
    before = files(scratch)
    (scratch / "costsim/sources/corn.py").write_text(SOURCE, encoding="utf-8")
    (scratch / "study.toml").write_text(STUDY.format(kind="corn", charge=""), encoding="utf-8")
    (scratch / "homes.csv").write_text("home,house.design_heat_loss [kW]\nA,5\nB,8\n", encoding="utf-8")
    assert files(scratch) - before == {"costsim/sources/corn.py"}
    compare, capacity, _, _, _, keys = costsim(
        scratch, "compare study.toml", "capacity study.toml", "uncertainty study.toml", "report study.toml -o page.html",
        "portfolio homes.csv --study study.toml -o out", "schema --markdown",
    )  # fmt: skip
    assert "Corn stove" in compare
    assert "Corn stove" in capacity
    assert "kind = corn" in keys
    page = (scratch / "page.html").read_text(encoding="utf-8")
    assert "Corn stove" in page
    assert "arbon monoxide" in page
    summary = json.loads((scratch / "out/summary.json").read_text(encoding="utf-8"))
    assert [option["name"] for option in summary["options"]] == ["Electric", "Beside it"]


def test_a_credit_on_the_bill_is_one_file(scratch: Path) -> None:
    before = files(scratch)
    (scratch / "costsim/tariffs/charges/thank_you.py").write_text(CHARGE, encoding="utf-8")
    assert files(scratch) - before == {"costsim/tariffs/charges/thank_you.py"}
    (scratch / "plain.toml").write_text(STUDY.format(kind="electric", charge=""), encoding="utf-8")
    (scratch / "credited.toml").write_text(STUDY.format(kind="electric", charge=CREDIT), encoding="utf-8")
    plain, credited, bill = costsim(
        scratch, "compare plain.toml --json -", "compare credited.toml --json -", "bill credited.toml"
    )
    costs = [json.loads(text)["options"][0]["cost_total"] for text in (plain, credited)]
    # twelve months of three dollars
    assert costs[0] - costs[1] == pytest.approx(36.0, abs=1e-9)
    assert "thank" in bill.lower()
