"""A county's export of homes: titles above the headings, an assessor's headings, a unit and a fuel for each row."""

from __future__ import annotations

from pathlib import Path

from costsim import load_weather, read_study
from costsim.packed_tables import passed_over
from costsim.portfolio.homes import Homes, head_of, open_homes
from costsim.portfolio.run import opened

CASE = read_study("lantern_cottage")
TITLES = ("STONE COUNTY ASSESSOR EXPORT,,", "Run date 11/02/2025,,")


def written(folder: Path, *lines: str) -> Path:
    """A table as a file."""
    file = folder / "county.csv"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return file


def test_titles_above_the_headings_are_passed_over_and_told(tmp_path: Path) -> None:
    file = written(
        tmp_path, *TITLES, "Address,Floor area [ft2],Heat loss [kBtu/h]", "1 Birch,1200,30", "2 Birch,900,25"
    )
    table = open_homes(file, CASE)
    assert table.layout.keys == ("house.floor_area", "house.design_heat_loss")
    assert table.note == (
        '2 lines above the headings were passed over: "STONE COUNTY ASSESSOR EXPORT", "Run date 11/02/2025"'
    )
    block = next(table.blocks(10))
    assert [row[0] for row in block.rows] == ["1 Birch", "2 Birch"]
    assert block.numbers.tolist() == [4, 5]  # as a spreadsheet numbers them
    assert head_of(file, CASE, 1)[0] == ["Address", "Floor area [ft2]", "Heat loss [kBtu/h]"]
    assert opened(CASE, load_weather(CASE), file).table.note == table.note


def test_no_title_is_seen_where_there_is_none(tmp_path: Path) -> None:
    table: Homes = open_homes(written(tmp_path, "", "Home;Heat loss [kW]", "A;9,5"), CASE)
    assert table.note == ""
    assert next(table.blocks(10)).rows == (("A", "9,5"),)
    semicolons = open_homes(written(tmp_path, "Homes of the county", "", "Home;Heat loss [kW]", "A;9,5"), CASE)
    assert semicolons.note == f'{passed_over(1)}: "Homes of the county"'
