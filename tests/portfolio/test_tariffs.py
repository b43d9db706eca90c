"""Many homes under several tariffs: each home against the study typed with its values and that tariff."""

from __future__ import annotations

import io
import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from cases import demo

from costsim import load_weather
from costsim.analysis.tariff_choice import compare_tariffs
from costsim.cli.main import main
from costsim.portfolio import tariffs
from costsim.portfolio.tariffs import AS_TYPED, run_tariffs
from costsim.study.case import case_from
from costsim.views.text_portfolio import Homes

NIGHT = {
    "electricity": {
        "energy": "0.19 $/kWh",
        "fixed": "20 $/month",
        "period": [{"name": "night", "energy": "0.05 $/kWh", "windows": ["22:00-06:00"]}],
    }
}
BLOCKS = {
    "electricity": {
        "block": [{"up_to": "500 kWh/month", "energy": "0.05 $/kWh"}, {"energy": "0.30 $/kWh"}],
    }
}
HOMES = ((1.0, 30.0, 4000.0), (2.0, 60.0, 4000.0), (1.0, 60.0, 12000.0))
COLUMNS = "home,weight,house.design_heat_loss [kBtu/h],house.other_electricity [kWh/year]"


def test_each_home_is_on_the_tariff_that_its_own_study_says(tmp_path: Path) -> None:
    kinds = {AS_TYPED: {}, "night": NIGHT, "blocks": BLOCKS}
    data = demo("lantern_cottage")
    data["house"] |= {"other_electricity": "4000 kWh/year"}
    data["house"].pop("heat_loss_per_area", None)
    case = case_from(data)
    weather = load_weather(case)
    table = tmp_path / "homes.csv"
    lines = [f"{at},{weight},{loss},{other}" for at, (weight, loss, other) in enumerate(HOMES)]
    table.write_text("\n".join([COLUMNS, *lines, "bad,1,oops,4000"]) + "\n", encoding="utf-8")
    found = run_tariffs(case, weather, table, tmp_path / "out", kinds, threads=1)
    by_option = np.zeros(found.by_option.shape)
    wholes = []
    for weight, loss, other in HOMES:
        own = demo("lantern_cottage")
        own["house"] |= {"design_heat_loss": f"{loss} kBtu/h", "other_electricity": f"{other} kWh/year"}
        choice = compare_tariffs(case_from(own), weather, kinds)
        for at, option in enumerate(choice.options):
            by_option[choice.tariffs.index(choice.best(option)), at] += weight / 4
        wholes.append(np.array(choice.whole_bills) * weight / 4)
    assert found.homes == 3
    assert found.mean == pytest.approx(sum(wholes))
    # where both bills are the same, as of an option that buys no electricity, the share is split
    assert found.by_option.sum(axis=0) == pytest.approx(np.ones(len(found.options)))
    electric = found.options.index(next(one.name for one in case.options if "lectric" in one.name))
    assert found.by_option[:, electric] == pytest.approx(by_option[:, electric])
    assert found.by_pair.sum() <= 1 + 1e-9
    written = json.loads((tmp_path / "out" / "tariffs.json").read_text(encoding="utf-8"))
    assert [row["mean_whole_bill"] for row in written["rows"]] == pytest.approx(list(found.mean.ravel()))


def test_the_command_says_who_wins(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "cheap.toml").write_text('[prices.electricity]\nenergy = "0.02 $/kWh"\n', encoding="utf-8")
    (tmp_path / "homes.csv").write_text("home,house.design_heat_loss [kBtu/h]\na,30\nb,40\n", encoding="utf-8")
    out, table = str(tmp_path / "out"), str(tmp_path / "homes.csv")
    assert main(["portfolio", table, "-o", out, "--threads", "1", "--tariffs", str(tmp_path / "cheap.toml")]) == 0
    text = capsys.readouterr().out
    assert "2 homes under 2 tariffs" in text
    assert "cheapest of all" in text
    assert "100%" in text
    assert main(["portfolio", table, "-o", out, "--tariffs", str(tmp_path / "none.toml")]) == 2
    assert "none.toml" in capsys.readouterr().err


@pytest.mark.parametrize("homes", [0, 1, 3])
def test_a_part_holds_whole_bills_and_who_is_warm_even_of_no_home(homes: int, tmp_path: Path) -> None:
    """A block of which no row can be read is a part without homes."""
    names = ("a", "b")
    rows = {"row": np.arange(homes), "weight": np.full(homes, 2.0)}
    rows |= {f"{name}: cost [$/year]": np.arange(homes) + 100.0 * at for at, name in enumerate(names, 1)}
    rows |= {"a: unmet [h]": np.full(homes, 7.0), "b: unmet [h]": np.full(homes, 7.5)}
    rows["electricity bill without heating [$/year]"] = np.arange(homes) * 10.0
    pq.write_table(pa.table(rows), tmp_path / "part-00004.parquet")
    options = [SimpleNamespace(name=name) for name in names]
    case: Any = SimpleNamespace(currency="$", house=SimpleNamespace(max_unmet_hours=7.0), options=options)
    part = tariffs._part(case, tmp_path / "part-00004.parquet")
    assert (part.rows.tolist(), part.weights.tolist()) == ([*range(homes)], [2.0] * homes)
    assert part.whole.tolist() == [[100.0 + 11 * row, 200.0 + 11 * row] for row in range(homes)]
    assert part.warm.tolist() == [[True, False]] * homes


@pytest.mark.long
def test_what_is_left_counts_every_tariff(tmp_path: Path) -> None:
    lines = [f"{at},1,{30 + at % 20},4000" for at in range(30)]
    lines[7] = "7,1,oops,4000"
    table = tmp_path / "homes.csv"
    table.write_text("\n".join([COLUMNS, *lines]) + "\n", encoding="utf-8")
    case = case_from(demo("lantern_cottage"))
    weather, told = load_weather(case), []
    settings = {"threads": 1, "progress": told.append}
    whole = run_tariffs(case, weather, table, tmp_path / "a", {AS_TYPED: {}, "night": NIGHT}, block=8, **settings)
    assert told == [8, 16, 24, 30, 38, 46, 54, 60]
    assert whole.homes == 29
    # parts of any size come to the same, and so do rows that are read one by one
    once = run_tariffs(case, weather, table, tmp_path / "b", {AS_TYPED: {}, "night": NIGHT}, threads=1)
    for name in ("mean", "by_option", "by_pair"):
        np.testing.assert_allclose(getattr(whole, name), getattr(once, name), rtol=1e-12)
    clock = iter([0.0, 10.0, 20.0]).__next__
    stream = io.StringIO()
    line = Homes(stream, 60, clock, tariffs=2)
    line.told(15)
    line.told(30)
    assert stream.getvalue().splitlines()[1] == "30 homes under each of 2 tariffs, 20 s, about 20 s left of 60 homes"
