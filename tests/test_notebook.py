"""The library as a notebook uses it: `Study`, its tables, its hours, and the example notebooks."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

import costsim
from costsim import InputError, Study

DEMOS = Path(costsim.__file__).parent / "demos"


@pytest.fixture(scope="module")
def study() -> Study:
    return Study.read("lantern_cottage")


def test_two_lines_give_a_table(study: Study) -> None:
    found = study.compare()
    frame = found.to_frame()
    assert list(frame["option"]) == [option.name for option in study.case.options]
    assert frame["cost [$]"].to_list() == [option.cost_total for option in found.result.options]
    assert "<table>" in found._repr_html_()
    assert all(name in repr(found) for name in frame["option"])


def test_hours_follow_the_local_clock_and_add_up_to_the_season(study: Study) -> None:
    found = study.compare()
    hours = found.hourly("Natural gas")
    index = hours.index
    assert isinstance(index, pd.DatetimeIndex)
    assert str(index.tz) == "America/New_York"
    assert len(index) == 8760
    assert "set-point [°C]" in hours  # no room is followed where no floor stores
    assert index.is_unique
    # standard time in winter, one hour ahead in summer, as the time zone's rules say for 2025
    assert index[0] == pd.Timestamp("2025-01-01 00:00", tz="America/New_York")
    assert index[24 * 181].hour == 1
    assert hours["demand [kW]"].sum() == pytest.approx(
        found.to_frame().set_index("option").loc["Natural gas", "demand [kWh]"]
    )
    assert hours.attrs["units"]["demand [kW]"] == "kW"
    with pytest.raises(KeyError, match="there is no option 'Coal'"):
        found.hourly("Coal")


def test_a_float_is_si_and_a_text_has_its_unit(study: Study) -> None:
    assert study.replace("house.design_heat_loss", 7000.0).case.house.design_heat_loss_w == pytest.approx(
        7000.0, rel=1e-12
    )
    assert study.replace("house.floor_area", "1500 ft2").case.house.floor_area_m2 == pytest.approx(139.3545600)
    assert study.replace("option.0.source.0.output", 8000.0).case.options[0].sources[0].output_w == pytest.approx(
        8000.0
    )
    warmer = study.replace("house.indoor_temperature", 23.0)
    assert warmer.case.house.indoor_temperature_c == pytest.approx(23.0)
    assert warmer.compare().to_frame()["demand [kWh]"].iloc[0] > study.compare().to_frame()["demand [kWh]"].iloc[0]


def test_a_change_leaves_the_study_alone_and_its_text_follows(study: Study) -> None:
    before = study.to_toml()
    changed = study.replace("house.floor_area", "1500 ft2")
    assert study.to_toml() == before
    assert 'floor_area = "1500 ft2"' in changed.to_toml()
    assert Study.from_dict(changed.case.typed).case.model_dump() == changed.case.model_dump()


def test_faults_are_those_of_a_study_file(study: Study) -> None:
    with pytest.raises(InputError, match=r"house\.floor_area"):
        study.replace("house.floor_area", "1500 gal")
    with pytest.raises(KeyError, match="no '7' on the path"):
        study.replace("option.7.source.0.output", "8 kW")


def test_every_question_gives_a_frame(study: Study) -> None:
    few = study.replace("uncertainty.scenarios", 100)
    for table in (few.uncertainty(), study.breakeven(), study.lifecycle(), study.capacity()):
        assert not table.to_frame().empty
        assert "<table" in table._repr_html_()
        assert table.title in repr(table)
    assert list(few.uncertainty().to_frame()["50 %"]) == [
        np.median(one.cost) for one in few.uncertainty().details.options
    ]


@pytest.mark.parametrize("name", ["installer", "researcher"])
def test_the_example_notebooks_run(name: str) -> None:
    cells = json.loads((DEMOS / f"{name}.ipynb").read_text(encoding="utf-8"))["cells"]
    code = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]
    space: dict[str, Any] = {}
    for text in code:
        exec(compile(text, name, "exec"), space)
    assert len(code) >= 3
    assert isinstance(space["study"], Study)


def test_public_names_are_shown() -> None:
    assert dir(costsim) == sorted(costsim.__all__)
    assert 8 <= len(dir(costsim)) <= 16
