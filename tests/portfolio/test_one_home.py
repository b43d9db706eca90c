"""One home of a table, checked with a pencil: what it was computed with, and which homes are set aside as impossible."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
import pytest
from portfolio.test_fuel_use import STUDY, degree_hours, town

from costsim import load_weather
from costsim.errors import InputError
from costsim.portfolio.homes import open_homes
from costsim.portfolio.run import run_portfolio
from costsim.study.case import case_from
from costsim.units.quantity import BTU_J
from costsim.views.homes_totals import size_lines
from costsim.views.text_portfolio import printed_portfolio


def table(folder: Path, *lines: str) -> Path:
    """A table of homes."""
    (folder / "homes.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return folder / "homes.csv"


def listed(file: Path) -> list[dict[str, str]]:
    """Rows of a CSV file."""
    return list(csv.DictReader(io.StringIO(file.read_text(encoding="utf-8"))))


def run(folder: Path, *lines: str, **settings: str) -> tuple[dict, list[dict[str, str]]]:
    """The summary and the rows of ``homes.csv`` of a US study."""
    summary = run_portfolio(*town(), table(folder, *lines), folder / "out", system="us", **settings)  # type: ignore[arg-type]
    return summary, listed(folder / "out" / "homes.csv")


def test_each_home_is_listed_with_what_it_was_computed_with(tmp_path: Path) -> None:
    """By hand: over 55 °F of design, 33,000 Btu/h are 600 Btu/(h °F); heat wanted is that times the degree-hours below 62 °F."""
    summary, rows = run(
        tmp_path,
        "Address,Sqft,Design load,Heating today",
        "a,1500,33000 Btu/h,gas",
        'b,"2,000 sq ft",44 kBtu/h,Propane',
        "c,1000,,oil",
    )
    a, b, c = rows
    assert [row["floor area [ft2]"] for row in rows] == ["1500", "2000", "1000"]
    loads = [float(row["design load [kBtu/h]"]) for row in rows]
    assert loads == [pytest.approx(33), pytest.approx(44), pytest.approx(22)]  # c by its area: 22 Btu/(h ft2)
    losses = [float(row["heat loss [Btu/(h degF)]"]) for row in rows]
    assert losses == [pytest.approx(600), pytest.approx(800), pytest.approx(400)]
    assert float(a["balance point [degF]"]) == pytest.approx(62)
    assert [row["today's option"] for row in rows] == ["Gas", "Propane", ""]
    assert {row["Electric: rated output of Electric boiler [kBtu/h]"] for row in rows} == {"68.24283266"}  # 20 kW
    wanted = float(b["Gas: heat wanted [MMBtu]"])
    assert wanted == pytest.approx(800 * degree_hours("62 degF") / 1e6, rel=1e-4)
    assert (summary["homes"], summary["homes_set_aside"]) == (3, 0)
    part = pq.read_table(tmp_path / "out" / "homes" / "part-00000.parquet", partitioning=None)
    assert part["design load [W]"].to_pylist() == pytest.approx([load * 1e3 * BTU_J / 3600 for load in loads])
    assert part["today's option"].to_pylist() == ["Gas", "Propane", ""]
    assert "electricity bill without heating [$/year]" not in a  # the study does not know it
    assert c["Gas: natural gas [therms]"]


@pytest.mark.long
def test_each_home_is_listed_with_the_sizes_its_options_got(tmp_path: Path) -> None:
    """By hand: 60 kBtu/h over 33 of the study are 80 for a home of 44."""
    _, (a, b) = run(tmp_path, "Address,Design load (kBtu/h)", "a,33", "b,44", sizes="load")
    heading = "Gas: rated output of Gas boiler [kBtu/h]"
    assert [float(row[heading]) for row in (a, b)] == [pytest.approx(60), pytest.approx(80)]


def test_impossible_homes_are_counted_and_named_and_in_no_total(tmp_path: Path) -> None:
    """The totals are those of the other homes alone."""
    wrong = [
        "shack,Oak,1500,380000,,0.14",  # 253 Btu/(h ft2)
        "dear,Elm,1500,33000,,14",
        "burner,Ash,1450,,5200,0.14",
        "fine,Fir,1500,33000,,0.14",
    ]
    headings = "Address,Street,Sqft,Design load (Btu/h),Annual therms,Electricity price ($/kWh)"
    summary, rows = run(tmp_path, headings, *wrong)
    assert (summary["homes"], summary["homes_set_aside"]) == (1, 3)
    (tmp_path / "alone").mkdir()
    alone, _ = run(tmp_path / "alone", headings, wrong[-1])
    assert summary["all_homes"] == alone["all_homes"]
    assert [row["home"] for row in rows] == ["fine"]
    told = {one["home"]: one for one in summary["set_aside"]}
    assert [(one["row"], one["column"], one["value"]) for one in told.values()] == [
        (2, "Design load (Btu/h), Sqft", "380000, 1500"),
        (3, "Electricity price ($/kWh)", "14"),
        (4, "Annual therms, Sqft", "5200, 1450"),
    ]
    assert told["shack"]["reason"].startswith(
        "is a design heat loss of 253 Btu/(h ft2), and no house is beyond 0.951 to 127"
    )
    assert told["dear"]["reason"] == "is more than any fuel costs, 3 $/kWh; correct the price"
    text = printed_portfolio(summary, "out")
    assert "3 rows were set aside and in no total" in text
    assert "row 3, dear, Electricity price ($/kWh), 14: is more than any fuel costs" in text
    assert (
        json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))["set_aside"] == summary["set_aside"]
    )


def test_a_load_beside_no_area_of_its_own_is_kept_and_looked_at(tmp_path: Path) -> None:
    """Of a block of flats the study's floor area says nothing."""
    summary, _ = run(tmp_path, "Address,Design load (kBtu/h)", "house,33", "flats,330")
    assert (summary["homes"], summary["homes_set_aside"]) == (2, 0)
    assert [one["rows"] for one in summary["look"]] == [[3]]


def test_a_years_fuel_far_from_the_median_is_looked_at_without_an_area(tmp_path: Path) -> None:
    lines = [f"h{at},{480 + at}" for at in range(4)]
    summary, _ = run(tmp_path, "Address,Annual therms", *lines, "empty,12", "large,2000")
    found = [(one["rows"], one["column"], one["value"], one["why"]) for one in summary["look"]]
    assert ([6], "Annual therms", "12", "is 1/40 of the median, 481.5 therm") in found


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        (["33000", "38 kBtu/h"], 'Design load: has no unit, and 1 of its cells have none either, first row 2: 33000; write the heading'),
        (["38 kBtu/h", "33", "40"], "and 2 of its cells have none either, first row 3: 33"),
        (["33000", "n/a"], "Design load: has no unit; write"),
    ],
)  # fmt: skip
def test_a_heading_without_unit_is_asked_about_once_where_cells_lack_theirs(
    cells: list[str], told: str, tmp_path: Path
) -> None:
    with pytest.raises(InputError) as error:
        open_homes(table(tmp_path, "Home,Design load", *(f"{at},{cell}" for at, cell in enumerate(cells))), town()[0])
    assert told in str(error.value)
    assert len(error.value.faults) == 1


def test_a_heading_without_unit_takes_the_one_of_its_cells(tmp_path: Path) -> None:
    cells = ["38 kBtu/h", "33000 Btu/h", "n/a", "", "lots"]
    homes = open_homes(table(tmp_path, "Home,Heat loss", *(f"{at},{cell}" for at, cell in enumerate(cells))), town()[0])
    ((_, column),) = homes.layout.columns
    assert (column.heading, column.key, column.unit, column.in_cells) == (
        "Heat loss",
        "house.design_heat_loss",
        "kBtu/h",
        True,
    )
    mixed = table(tmp_path, "Home,Heat loss", "a,38 kBtu/h", "b,300 W/K")
    with pytest.raises(InputError, match="Heat loss: may be several things"):
        open_homes(mixed, town()[0])
    summary, rows = run(tmp_path, "Home,Design load", *(f"{at},{cell}" for at, cell in enumerate(cells)))
    assert [row["home"] for row in rows] == ["0", "1"]
    nothing, empty, lots = summary["set_aside"]
    assert nothing["reason"] == empty["reason"]
    assert empty["reason"].startswith("has no figure of its own")
    assert (lots["column"], lots["value"], lots["reason"]) == (
        "Design load",
        "lots",
        'is no number with its unit; write it like "25.9 kBtu/h"',
    )


def test_faults_of_fuel_cells_name_their_own_columns(tmp_path: Path) -> None:
    headings = "Address,Annual therms,Propane gal/yr"
    summary, _ = run(tmp_path, headings, "a,lots,about 500", "b,45000,", "c,500,", 'd,"1,20",', "e,-3,")
    told = [(one["row"], one["column"], one["value"], one["reason"].split(";")[0]) for one in summary["set_aside"]]
    assert told == [
        (2, "Annual therms", "lots", "is not a number"),
        (2, "Propane gal/yr", "about 500", "is not a number"),
        (3, "Annual therms", "45000", "is no year's fuel of a house in this weather"),
        (5, "Annual therms", "1,20", "can be read two ways"),
        (6, "Annual therms", "-3", "is less than nothing"),
    ]


def test_what_is_paid_without_heating_is_listed_where_it_is_known(tmp_path: Path) -> None:
    """By hand: 4,000 kWh at 14 ct are $560."""
    case = case_from({**STUDY, "house": {**STUDY["house"], "other_electricity": "4000 kWh/year"}})
    run_portfolio(case, load_weather(case), table(tmp_path, "Home,Design load [kBtu/h]", "a,33"), tmp_path / "out")
    (row,) = listed(tmp_path / "out" / "homes.csv")
    assert float(row["electricity bill without heating [$/year]"]) == pytest.approx(560)
    assert np.isclose(float(row["design load [kW]"]), 33e3 * BTU_J / 3.6e6)


@pytest.mark.long
def test_sizes_that_are_sold_are_the_next_over_the_load(tmp_path: Path) -> None:
    """By hand: 60 kBtu/h of 33 are 80 for 44; at 90 % their input is 66.7 and 88.9 kBtu/h, of 45, 55, 80, 110 sold the third and the fourth.

    20 kW of 33 kBtu/h are sold as such, 26.7 kW of 44 as 27 kW.
    """
    summary, rows = run(tmp_path, "Address,Design load (kBtu/h)", "a,33", "b,44", sizes="sold")
    gas, electric = "Gas: rated output of Gas boiler [kBtu/h]", "Electric: rated output of Electric boiler [kBtu/h]"
    assert [float(row[gas]) for row in rows] == [pytest.approx(72), pytest.approx(99)]
    assert [float(row[electric]) * BTU_J / 3600 for row in rows] == [pytest.approx(20), pytest.approx(27)]
    counts = {one["option"]: one["sizes"] for one in summary["sizes"]["sold"]}
    assert [(one["homes"], one["sold"]) for one in counts["Gas"]] == [(1, True), (1, True)]
    text = printed_portfolio(summary, "out")
    assert "Gas, Gas boiler, input: 1 home 80.0 kBtu/h, 1 home 110.0 kBtu/h." in text
    assert "Electric, Electric boiler, output: 1 home 20.0 kW, 1 home 27.0 kW." in text


def test_a_size_beyond_the_list_stays_and_is_said() -> None:
    told = [
        {
            "option": "Gas",
            "source": "Boiler",
            "what": "",
            "dimension": "power",
            "sizes": [{"size": 3e5, "homes": 2.0, "sold": False}],
        }
    ]
    lines = size_lines(
        {"sizes": {"to_load": [], "breaker_left_out": [], "sold": told}, "units": "si", "size_column": ""}
    )
    assert lines[-1] == "Gas, Boiler, output: 2 homes 300.0 kW (no listed size is as large)."
