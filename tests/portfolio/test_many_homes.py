"""The benchmark of the whole command: its tables are read in arrays, and its picture shows what was measured."""

from __future__ import annotations

import json
import tomllib
from dataclasses import asdict
from pathlib import Path

import pytest
from portfolio.tables import recipe_for

from costsim.benchmarks import many_homes
from costsim.benchmarks.many_homes import COLUMNS, rows_of, write_homes
from costsim.benchmarks.stored import study_of
from costsim.study.case import case_from, write_study
from costsim.views.growth_chart import Growth, growth_chart


@pytest.mark.parametrize("study", sorted(COLUMNS))
def test_usual_columns_take_no_python_for_each_home(study: str, tmp_path: Path) -> None:
    write_homes(tmp_path / "homes.csv", study, 5)
    recipe, (block,) = recipe_for(study_of(study), tmp_path / "homes.csv")
    assert recipe.in_arrays
    assert len(block.rows) == 5
    assert {column.key.split(".")[1] for _, column in recipe.layout.columns} == {
        "floor_area",
        "heat_loss_rate",
        "indoor_temperature",
        "electricity",
    }


@pytest.mark.parametrize("study", ["valley_row_stores", "valley_row_layers"])
def test_studies_with_stores_hold_what_takes_longest_and_can_be_written(study: str) -> None:
    case = study_of(study)
    assert (case.tank.stratification_share > 0) == (study == "valley_row_layers")
    assert case.use
    assert case.floor.mass is not None
    kinds = [[source.kind for source in option.sources] for option in case.options]
    assert kinds == [["electric"], ["off_peak_electric", "electric"], ["solar", "off_peak_electric", "electric"]]
    assert case_from(tomllib.loads(write_study(case.typed))) == case


def test_a_table_tells_what_a_further_home_takes_and_a_kept_measurement_is_drawn(tmp_path: Path) -> None:
    runs = [Growth(1000, 4.0, 290.0, 2.5), Growth(101_000, 64.0, 300.0, 33.0)]
    # 60 s for 100,000 homes are 0.6 ms each; at three options 200 s a million home-years, 100 s of two processors
    assert rows_of(runs, 3) == [
        ["1,000", "2.5 s", "4.0 s", "", "", "290 MB"],
        ["101,000", "33.0 s", "64.0 s", "0.600 ms", "100 s", "300 MB"],
    ]
    kept, out = tmp_path / "kept.json", tmp_path / "out.html"
    facts = {"version": "1.0", "head": "abc", "processors": 2, "machine": "x86_64", "load": "1.0"}
    kept.write_text(json.dumps({"facts": facts, "runs": {"net_loft": [asdict(one) for one in runs]}}), encoding="utf-8")
    many_homes.main(["--from", str(kept), "-o", str(out)])
    assert all(text in out.read_text(encoding="utf-8") for text in ("head abc", "101000", "net_loft"))


def test_the_picture_shows_every_run_beside_time_in_proportion() -> None:
    runs = {"one": [Growth(1000, 2.0, 290.0), Growth(100_000, 40.0, 300.0)], "two": [Growth(1000, 3.0, 250.0)]}
    lines = growth_chart(runs, "title").data
    shown = {(line.name, line.xaxis): (list(line.x), list(line.y)) for line in lines}
    assert shown["one", "x"] == ([1000, 100_000], [2.0, 40.0])
    assert shown["one", "x2"] == ([1000, 100_000], [290.0, 300.0])
    assert shown["two", "x"] == ([1000], [3.0])
    assert shown["in proportion to homes", "x"] == ([1000.0, 100_000], [0.4, 40.0])
