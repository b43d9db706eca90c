"""The table of homes: headings against the study, blocks, and what is wrong with it in plain lines."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from costsim import read_study
from costsim.errors import InputError
from costsim.portfolio.columns import read_layout
from costsim.portfolio.homes import open_homes
from costsim.portfolio.overrides import overridden

CASE = read_study("lantern_cottage")


def faults(*headings: str, study: str = "lantern_cottage") -> str:
    """Every fault of some headings."""
    with pytest.raises(InputError) as error:
        read_layout(headings, read_study(study), "homes.csv")
    return str(error.value)


def test_headings_name_fields_of_the_study_and_put_the_values_in_their_place() -> None:
    headings = [
        "home",
        "house.design_heat_loss [kW]",
        "weight",
        "option[2].source[1].output [kW]",
        "prices.off_peak.energy [$/kWh]",
    ]
    layout = read_layout(headings, CASE, "homes.csv")
    assert (layout.home, layout.weight) == (0, 2)
    data = overridden(CASE.typed, layout, ["8.25", "7", "0.06"])
    assert data["house"]["design_heat_loss"] == "8.25 kW"
    assert data["option"][1]["source"][0]["output"] == "7 kW"
    assert data["prices"]["off_peak"]["energy"] == "0.06 $/kWh"
    assert CASE.typed["house"]["design_heat_loss"] == "7.6 kW"
    assert data["option"][0] == CASE.typed["option"][0]


def test_a_column_takes_the_place_of_the_fields_rival() -> None:
    layout = read_layout(["home", "house.heat_loss_per_area [Btu/(h ft2)]", "house.gains [W]"], CASE, "homes.csv")
    house = overridden(CASE.typed, layout, ["20", "400"])["house"]
    assert "design_heat_loss" not in house
    assert "balance_point" not in house
    assert house["heat_loss_per_area"] == "20 Btu/(h ft2)"


@pytest.mark.parametrize(
    ("heading", "said"),
    [
        ("house.design_heat_loss", "homes.csv: house.design_heat_loss: has no unit"),
        ("house.design_heat_lost [kW]", "did you mean design_heat_loss?"),
        ("house.design_heat_loss [degC]", "cannot be used"),
        ("house.indoor_temperature [furlong]", "is no"),
        ("house.floor_area [furlong2]", "'furlong' is not known"),
        ("prices.propane.energy [$/gal]", "'propane' is not a known key"),
        ("prices.electricity.energy [$/gal]", "not sold that way"),
        ("prices.electricity.energy [€/kWh]", "is in €, but the study is in $"),
        ("floor.insulation [m2 K/W]", "the study has no [floor]"),
        ("option[7].source[1].output [kW]", "the study has no option[7]; count from 1 to 4"),
        ("option[1].name", "does not change what a year takes"),
        ("option[1].first_cost [$]", "does not change what a year takes"),
        ("place.weather", "cannot differ from home to home"),
        ("house.setback", "is no single value"),
        ("option[1].rule [kW]", "has no unit, but [kW] was given"),
        ("", "a column has no heading"),
    ],
)
def test_a_wrong_heading_is_told_with_a_remedy(heading: str, said: str) -> None:
    assert said in faults("home", heading)


def test_all_faults_of_the_headings_come_at_once() -> None:
    text = faults(
        "house.floor_area",
        "house.indoor_temperature [degF]",
        "house.indoor_temperature [degC]",
        "house.gains [W]",
        "house.balance_point [degC]",
        "hose.indoor [degF]",
    )
    assert len(text.splitlines()) == 5
    for part in (
        "has no unit",
        "2 columns give it",
        "stands beside",
        "cannot differ from home to home",
        "no column 'home'",
    ):
        assert part in text


def test_blocks_hold_every_row_once_from_csv_and_parquet(tmp_path: Path) -> None:
    frame = pd.DataFrame(
        {"home": [f"h{i}" for i in range(2500)], "house.design_heat_loss [kW]": [4 + i / 1000 for i in range(2500)]}
    )
    frame.to_csv(tmp_path / "homes.csv", index=False)
    frame.to_parquet(tmp_path / "homes.parquet", index=False)
    found = []
    for name in ("homes.csv", "homes.parquet"):
        blocks = list(open_homes(tmp_path / name, CASE).blocks(1000))
        assert [block.first_row for block in blocks] == [0, 1000, 2000]
        found.append([row for block in blocks for row in block.rows])
    assert found[0] == found[1]
    assert [row[0] for row in found[0]] == frame["home"].to_list()
    assert [float(row[1]) for row in found[0]] == frame["house.design_heat_loss [kW]"].to_list()


def test_semicolons_and_a_byte_order_mark_are_read(tmp_path: Path) -> None:
    path = tmp_path / "homes.csv"
    path.write_bytes('\ufeffhome;house.design_heat_loss [kW]\r\n"a; b";7.5\r\n\r\nc;8\r\n'.encode())
    homes = open_homes(path, CASE)
    assert homes.layout.headings == ("home", "house.design_heat_loss [kW]")
    assert next(homes.blocks(10)).rows == (("a; b", "7.5"), ("c", "8"))


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("homes.ods", b"", "neither .csv, .xlsx nor .parquet"),
        ("homes.xlsx", b"PK\x03\x04 broken", "no workbook that can be read"),
        ("homes.csv", b"%PDF-1.4", "is a PDF"),
        ("homes.parquet", b"home", "is not Parquet"),
        ("homes.csv", b"", "no column 'home'"),
        ("missing.csv", None, "cannot be read"),
    ],
)
def test_a_table_that_cannot_be_read_is_one_plain_line(
    tmp_path: Path, name: str, content: bytes | None, said: str
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    with pytest.raises(InputError, match=said):
        open_homes(tmp_path / name, CASE)
