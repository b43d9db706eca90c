"""A county's export of homes: titles above the headings, an assessor's headings, a unit and a fuel for each row."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from costsim import load_weather, read_study
from costsim.errors import InputError
from costsim.packed_tables import passed_over
from costsim.portfolio.cells import tidied
from costsim.portfolio.homes import Homes, head_of, open_homes
from costsim.portfolio.run import opened, run_portfolio
from costsim.views.homes_fuel import fuel_lines
from costsim.views.homes_totals import kept_lines

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


@pytest.mark.parametrize(
    ("lines", "headings"),
    [
        (("County export, 2025", "home;house.floor_area [m2];Occ", "a;150;R"), 3),
        # decimal commas in every row, and two titles with commas above them
        (("County, 2025", "by Kim, Planning", "home;house.floor_area [m2]", "a;150,5", "b;160,0", "c;99,5"), 2),
        # a heading with a comma of its own; semicolons within the cells of a table with commas
        (("home;Floor area, m2;Occ", "a;150;R", "b;160;R"), 3),
        (('home,house.floor_area [m2],"Notes; dates"', 'a,150,"x; y"', 'b,160,"z; w"'), 3),
        (("home,house.floor_area [m2],Notes", "1,150,2 baths; 3 beds", "2,160,1 bath; 2 beds"), 3),
        (("Fuel; use", "home,house.floor_area [m2]", "a,150", "b,160"), 2),
    ],
)  # fmt: skip
def test_the_delimiter_is_that_of_most_lines_and_not_of_a_title(
    tmp_path: Path, lines: tuple[str, ...], headings: int
) -> None:
    table = open_homes(written(tmp_path, *lines), CASE)
    assert len(table.layout.headings) == headings
    assert [column.key for _, column in table.layout.columns] == ["house.floor_area"]


def test_no_title_is_seen_where_there_is_none(tmp_path: Path) -> None:
    table: Homes = open_homes(written(tmp_path, "", "Home;Heat loss [kW]", "A;9,5"), CASE)
    assert table.note == ""
    assert next(table.blocks(10)).rows == (("A", "9,5"),)
    semicolons = open_homes(written(tmp_path, "Homes of the county", "", "Home;Heat loss [kW]", "A;9,5"), CASE)
    assert semicolons.note == f'{passed_over(1)}: "Homes of the county"'


def losses(folder: Path, *lines: str) -> list[str]:
    """Heat loss by fuel of each row, as text."""
    table = opened(CASE, load_weather(CASE), written(folder, *lines)).table
    at = table.layout.headings.index("(heat loss by the year's fuel)")
    return [row[at] for row in next(table.blocks(10)).rows]


@pytest.mark.parametrize("heading", ["Annl Use", "Annual therms", "Annual fuel use"])
def test_each_row_has_its_own_unit_and_fuel(tmp_path: Path, heading: str) -> None:
    mine = losses(
        tmp_path, f"Situs Addr,Htd SqFt,Fuel,{heading},Use UOM", "A,2022,NAT GAS,500,THERM", "B,1052,ELEC,12130,KWH",
        "C,1100,,500,", "D,1100,NAT GAS,500 therms,KWH",
    )  # fmt: skip
    gas, electric = losses(
        tmp_path, "Address,Floor area [ft2],Fuel,Annual fuel use", "A,2022,gas,500 therms", "B,1052,electric,12130 kWh"
    )
    assert mine[:2] == [gas, electric]
    assert mine[3] == gas  # a cell's own unit goes before that of the column beside it
    # 500 therms at 91 % are 13,340 kWh of heat, 12,130 kWh at 99 % are 12,010 kWh: by hand
    assert float(electric) / float(gas) == pytest.approx(12_130 * 0.99 / (500 * 29.3071 * 0.912), rel=0.02)
    assert mine[2] == gas if heading == "Annual therms" else mine[2].startswith("no heat loss: ")


@pytest.mark.parametrize(
    ("unit", "cell", "plain"), [("ft2", "2k", "2000"), ("Btu/h", "38k", "38000"), ("kBtu/h", "38k", "38k")]
)
def test_thousands_are_read_as_a_field_of_the_house_reads_them(
    unit: str, cell: str, plain: str, tmp_path: Path
) -> None:
    heading = "Heated area" if unit == "ft2" else "Design load"
    layout = open_homes(written(tmp_path, f"Address,{heading} [{unit}]", f"A,{cell}"), CASE).layout
    assert tidied(layout, ("A", cell), CASE) == ("A", plain)  # of 38k kBtu/h nobody knows which it is, and it is asked


def test_how_unit_and_fuel_of_each_row_were_read_is_told(tmp_path: Path) -> None:
    file = written(tmp_path, "Situs Addr,Htd SqFt,Annual therms,Use UOM,Occ", "A,2022,500,THERM,R")
    table = opened(CASE, load_weather(CASE), file)
    summary: dict[str, Any] = {"loads": table.loads, "today": None, "kept_columns": ["Annual therms", "Use UOM", "Occ"]}
    assert any("a year's natural gas in the unit that Use UOM gives" in line for line in fuel_lines(summary))
    assert kept_lines(summary) == ["Kept, not used: Occ."]


def test_units_that_may_belong_to_several_columns_are_one_question(tmp_path: Path) -> None:
    file = written(tmp_path, "Address,Annual therms,Annual heating kWh,UOM", "A,500,0,THERM")
    with pytest.raises(InputError) as error:
        open_homes(file, CASE)
    (fault,) = error.value.faults
    assert (fault.field, fault.problem) == ("UOM", 'may be the units of "Annual therms" or "Annual heating kWh"')


@pytest.mark.parametrize("heading", ["Htd SqFt", "Heated sq ft", "Sqft_living", "Fin Area [sf]", "GLA (sq ft)"])
def test_floor_areas_as_assessors_call_them(heading: str, tmp_path: Path) -> None:
    (column,) = open_homes(written(tmp_path, f"PARCEL_ID,{heading},Situs Addr", "7,2022,1 Birch"), CASE).layout.columns[
        :1
    ]
    assert (column[1].key, column[1].unit) == ("house.floor_area", "ft2")


def test_an_address_names_a_home_before_its_parcel_does(tmp_path: Path) -> None:
    both = open_homes(written(tmp_path, "PARCEL_ID,Situs Addr,Htd SqFt", "7,1 Birch,2022"), CASE).layout
    assert (both.home, both.kept) == (1, ((0, "PARCEL_ID"),))
    assert open_homes(written(tmp_path, "Parcel,Htd SqFt", "7,2022"), CASE).layout.home == 0


def test_a_fuel_that_no_house_of_that_area_burns_is_set_aside_with_its_reason(tmp_path: Path) -> None:
    """40,000 therms at 91 % for 1,000 ft2 are over 127 Btu/(h ft2); 600 therms are a house's."""
    file = written(
        tmp_path, "Situs Addr,Htd SqFt,Annl Use,Use UOM,Fuel", "A,1000,600,THERM,GAS", "B,1000,40000,THERM,GAS"
    )
    summary = run_portfolio(CASE, load_weather(CASE), file, tmp_path / "out", system="us")
    assert (summary["homes"], summary["homes_set_aside"]) == (1, 1)
    (aside,) = summary["set_aside"]
    assert (aside["row"], aside["home"]) == (3, "B")
    assert "no house is beyond" in aside["reason"] or "no year's fuel of a house" in aside["reason"]
