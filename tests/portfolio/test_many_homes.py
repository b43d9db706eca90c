"""The benchmark of the whole command: its tables are read in arrays, and its picture shows what was measured."""

from __future__ import annotations

from pathlib import Path

import pytest
from portfolio.tables import recipe_for

from costsim.benchmarks.many_homes import COLUMNS, write_homes
from costsim.views.growth_chart import Growth, growth_chart


@pytest.mark.parametrize("study", sorted(COLUMNS))
def test_usual_columns_take_no_python_for_each_home(study: str, tmp_path: Path) -> None:
    write_homes(tmp_path / "homes.csv", study, 5)
    recipe, (block,) = recipe_for(study, tmp_path / "homes.csv")
    assert recipe.in_arrays
    assert len(block.rows) == 5
    assert {column.key.split(".")[1] for _, column in recipe.layout.columns} == {
        "floor_area",
        "heat_loss_rate",
        "indoor_temperature",
        "electricity",
    }


def test_the_picture_shows_every_run_beside_time_in_proportion() -> None:
    runs = {"one": [Growth(1000, 2.0, 290.0), Growth(100_000, 40.0, 300.0)], "two": [Growth(1000, 3.0, 250.0)]}
    lines = growth_chart(runs, "title").data
    shown = {(line.name, line.xaxis): (list(line.x), list(line.y)) for line in lines}
    assert shown["one", "x"] == ([1000, 100_000], [2.0, 40.0])
    assert shown["one", "x2"] == ([1000, 100_000], [290.0, 300.0])
    assert shown["two", "x"] == ([1000], [3.0])
    assert shown["in proportion to homes", "x"] == ([1000.0, 100_000], [0.4, 40.0])
