"""Columns of a table of homes whose headings say nothing: each is mapped by hand on the page, and shown back."""

from __future__ import annotations

from pathlib import Path

import pytest
from dashboard.app import opened, turn
from streamlit.testing.v1 import AppTest

from costsim.errors import InputError
from costsim.portfolio.columns import HEATS_NOW, KEPT, read_layout
from costsim.portfolio.headings import HOME
from costsim.portfolio.homes import open_homes
from costsim.study.case import read_study

TABLE = "Addr,Bldg SF,Conn load,Burned,Utility,Warm\nA St,1450,38,600,Duke,70\nB St,1900,45,700,Duke,68\n"
CASE = read_study("lantern_cottage")


def boxes(app: AppTest) -> dict[str, object]:
    """The boxes of columns by heading."""
    drawn = [one for one in app.selectbox if (one.key or "").startswith("many/column/")]
    return {one.label.partition("\\:")[0]: one for one in drawn}


def choose(app: AppTest, heading: str, choice: str) -> None:
    boxes(app)[heading].set_value(choice).run()
    assert not app.exception, app.exception


def test_a_column_that_is_not_understood_is_mapped_by_hand_and_shown_back() -> None:
    app = opened("many-homes")
    app.file_uploader(key="homes/files/0").set_value(("homes.csv", TABLE.encode(), "text/csv")).run()
    assert [one.value for one in app.error] == ["This table cannot be used:"]
    assert next(one for one in app.selectbox if one.label.startswith("Bldg SF")).label == "Bldg SF\\: 1450 · 1900"
    choose(app, "Bldg SF", "house.floor_area [ft2]")
    choose(app, "Conn load", "house.design_heat_loss [kBtu/h]")
    assert not app.error
    rows = next(one.value for one in app.dataframe if "replaces" in one.value.columns).to_numpy().tolist()
    assert ["Bldg SF", "Heated floor area", "ft²"] in [
        [name, what, unit.replace("ft2", "ft²")] for name, what, unit in rows
    ]
    assert "Conn load" in [row[0] for row in rows]
    assert any(one.value.startswith("2 homes computed") for one in app.text)
    turn(app, "decide")
    assert (
        boxes(turn(app, "many-homes"))["Bldg SF"].value == "house.floor_area [ft2]"
    )  # kept while other pages are open
    choose(app, "Bldg SF", KEPT)
    assert not app.error
    choose(app, "Conn load", "")
    assert [one.value for one in app.error] == ["This table cannot be used:"]


def test_what_was_chosen_counts_in_place_of_the_heading(tmp_path: Path) -> None:
    file = tmp_path / "homes.csv"
    file.write_text(TABLE, encoding="utf-8")
    with pytest.raises(InputError, match="no column overrides the study"):
        open_homes(file, CASE)
    chosen = {
        1: "house.floor_area [m2]", 2: "house.design_heat_loss [kW]", 3: "Annual natural gas use [CCF]", 4: HEATS_NOW,
        5: "house.indoor_temperature [degF]",
    }  # fmt: skip
    layout = open_homes(file, CASE, chosen).layout
    assert [(column.heading, column.key, column.unit) for _, column in layout.columns] == [
        ("Bldg SF", "house.floor_area", "m2"),
        ("Conn load", "house.design_heat_loss", "kW"),
        ("Warm", "house.indoor_temperature", "degF"),
    ]
    assert [(at, use.heading, use.fuel, use.unit, use.by_row) for at, use in layout.uses] == [
        (3, "Burned", "natural_gas", "CCF", False)
    ]
    assert layout.kept == ((3, "Burned"), (4, "Heating today"))


def test_a_column_that_was_understood_can_be_kept_out_and_another_can_name_the_homes() -> None:
    headings = ("id", "Floor area [ft2]", "Place")
    layout = read_layout(headings, CASE, "homes.csv", meant={2: HOME})
    with pytest.raises(InputError, match="home: 2 columns give it; keep one of them"):
        read_layout(headings, CASE, "homes.csv", meant={0: HOME, 2: HOME})
    assert (layout.home, layout.kept) == (2, ((0, "id"),))
    with pytest.raises(InputError, match="no column overrides the study"):
        read_layout(headings, CASE, "homes.csv", meant={1: KEPT})
    with pytest.raises(InputError, match="no column 'home'"):
        read_layout(headings, CASE, "homes.csv", meant={0: KEPT})
    with pytest.raises(InputError, match="2 columns give it"):
        read_layout(headings, CASE, "homes.csv", meant={2: "house.floor_area [m2]"})
