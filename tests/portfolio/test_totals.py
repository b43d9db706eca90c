"""All homes together and by group, the planner's own columns, and tables as they come out of a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
from collections import defaultdict
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from costsim.cli.main import main

HEADINGS = ["id", "Address", "Utility", "Year built", "Heat loss [kBtu/h]"]
ROWS: list[list[object]] = [
    ["H1", "1 Elm St", "City", 1950, 24],
    ["H2", "2 Elm St", "Valley", 1988, 31.5],
    [],
    ["H3", "3 Elm St", "", 2001, "no idea"],
    ["H4", "=4 Elm St", "City", 2001, 18],
]


def workbook(path: Path) -> Path:
    """The table as a spreadsheet, its heading in row 1."""
    book = openpyxl.Workbook()
    for row in (HEADINGS, *ROWS):
        book.active.append(row)
    book.active["B6"].data_type = "s"
    book.save(path)
    return path


@pytest.fixture(scope="module")
def ran(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("totals")
    table = workbook(folder / "homes.xlsx")
    out = folder / "out"
    assert main(["portfolio", str(table), "-o", str(out), "--by", "utility", "--units", "us"]) == 0
    return out


def rows_of(path: Path) -> list[dict[str, str]]:
    """A CSV file of the results."""
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))


def test_totals_are_the_sums_of_the_homes_in_the_units_fuels_are_sold_in(ran: Path) -> None:
    homes, totals = rows_of(ran / "homes.csv"), rows_of(ran / "totals.csv")
    assert [(one["row"], one["home"], one["Utility"], one["Year built"]) for one in homes] == [
        ("2", "H1", "City", "1950"), ("3", "H2", "Valley", "1988"), ("6", "H4", "City", "2001"),
    ]  # fmt: skip
    gas = [one for one in totals if one["option"] == "Natural gas"]
    assert [(one["group"], one["homes"]) for one in gas] == [("", "3"), ("City", "2"), ("Valley", "1")]
    for one in gas:
        mine = [home for home in homes if one["group"] in ("", home["Utility"])]

        def total(name: str, mine: list[dict[str, str]] = mine) -> float:
            return sum(float(home[f"Natural gas: {name}"]) for home in mine)

        assert float(one["bills [$]"]) == pytest.approx(total("cost [$/year]"), rel=1e-8)
        assert float(one["natural gas [therms]"]) == pytest.approx(total("natural gas [therms]"), rel=1e-8)
        assert float(one["CO2 [metric tons]"]) == pytest.approx(total("CO2 [kg]") / 1e3, rel=1e-8)
        assert float(one["home-hours short [h]"]) == total("unmet [h]")
        assert int(one["homes over 20 h short"]) == sum(float(home["Natural gas: unmet [h]"]) > 20 for home in mine)
    # a therm is 100,000 Btu of gas: what the house takes, over the boiler's efficiency
    heat, burnt = (
        sum(float(home[f"Natural gas: {name}"]) for home in homes)
        for name in ("heat from Gas boiler [MMBtu]", "natural gas [therms]")
    )
    assert 0.75 < heat * 10 / burnt < 1.0
    assert homes[2]["Address"] == "'=4 Elm St"  # a spreadsheet would run it


def test_the_first_table_is_printed_and_stands_in_the_summary(ran: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["portfolio", str(ran.parent / "homes.xlsx"), "-o", str(ran), "--by", "Utility"]) == 0
    printed = capsys.readouterr().out
    assert printed.index("all homes, a year") < printed.index("a year's cost")
    assert "Kept, not used: Address, Utility, Year built." in printed
    assert "City: 2 homes" in printed
    assert "natural gas therms" in printed
    summary = json.loads((ran / "summary.json").read_text(encoding="utf-8"))
    gas = next(row for row in summary["all_homes"] if row["option"] == "Natural gas")
    grouped: dict[str, float] = defaultdict(float)
    for row in summary["by_group"]:
        grouped[row["option"]] += row["bills [$]"]
    assert grouped["Natural gas"] == pytest.approx(gas["bills [$]"])
    assert f"{round(gas['bills [$]']):,}" in printed
    kept = pd.read_parquet(ran / "homes" / "part-00000.parquet")
    assert kept["Utility"].to_list() == ["City", "Valley", "City"]


def test_rows_are_told_by_the_spreadsheet_s_numbers(ran: Path) -> None:
    (aside,) = rows_of(ran / "set_aside.csv")
    assert (aside["row"], aside["home"], aside["value"]) == ("5", "H3", "no idea")
    (ran.parent / "lines.csv").write_text("\n,\nid,Heat loss [kBtu/h]\na,20\n,\n\nb,x\n", encoding="utf-8")
    assert main(["portfolio", str(ran.parent / "lines.csv"), "-o", str(ran.parent / "lines")]) == 0
    (aside,) = rows_of(ran.parent / "lines" / "set_aside.csv")
    assert (aside["row"], aside["home"]) == ("7", "b")
    assert rows_of(ran.parent / "lines" / "homes.csv")[0]["row"] == "4"


def test_no_usable_row_is_a_fault_with_the_first_reasons(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "homes.csv"
    table.write_text("id,Heat loss [kBtu/h]\na,x\nb,-3\n", encoding="utf-8")
    command = ["portfolio", str(table), "-o", str(tmp_path / "out")]
    assert main(command) == 2
    told = capsys.readouterr().err.splitlines()
    assert "no row could be used" in told[0]
    assert "row 2: Heat loss [kBtu/h]: x; is not a number" in told[1]
    table.write_text("id,Heat loss [kBtu/h]\n", encoding="utf-8")
    assert main([*command, "--overwrite"]) == 2
    assert "holds no row below its headings" in capsys.readouterr().err


def test_another_run_is_overwritten_when_asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, out = tmp_path / "homes.csv", tmp_path / "out"
    command = ["portfolio", str(table), "-o", str(out)]
    for load, more, code in ((20, [], 0), (25, [], 2), (25, ["--overwrite"], 0)):
        table.write_text(f"id,Heat loss [kBtu/h]\na,{load}\n", encoding="utf-8")
        assert main([*command, *more]) == code
        (out / "mine.txt").touch()
    assert "or write --overwrite" in capsys.readouterr().err
    assert (out / "mine.txt").exists()
    assert main([*command, "--by", "Utility"]) == 2
    assert "--by: 'Utility' is no column of your own; add one to the table, such as Utility" in capsys.readouterr().err


def test_each_home_is_compared_with_what_heats_it_today(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, out = tmp_path / "homes.csv", tmp_path / "out"
    lines = ["id,Heating today,Number of homes,Heat loss [kBtu/h]", "a,gas,2,20", "b,Electric 9 kW,1,22", "c,oil,4,21"]
    lines += ["d,electric,1,24", "e,gas,1,60"]
    table.write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert main(["portfolio", str(table), "-o", str(out)]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    today = json.loads((out / "summary.json").read_text(encoding="utf-8"))["today"]
    assert (today["column"], today["homes"]) == ("Heating today", 4)
    by_value = {one["value"]: (one["homes"], one["option"]) for one in today["by_value"]}
    assert by_value == {
        "gas": (3, "Natural gas"),
        "Electric 9 kW": (1, "Electric 9 kW"),
        "oil": (4, None),
        "electric": (1, None),
    }
    cost = pd.read_parquet(out / "homes" / "part-00000.parquet").set_index("home")
    seven = next(one for one in today["rows"] if one["option"] == "Electric 7.2 kW")
    now = {"a": "Natural gas", "b": "Electric 9 kW", "e": "Natural gas"}
    saved = {
        home: cost.loc[home, f"{name}: cost [$/year]"] - cost.loc[home, "Electric 7.2 kW: cost [$/year]"]
        for home, name in now.items()
    }
    assert seven["saves"]["mean"] == pytest.approx((2 * saved["a"] + saved["b"] + saved["e"]) / 4)
    assert seven["saves_share"] == (saved["b"] > 0) / 4
    assert seven["homes_warm_in_both"] == 3  # the large home is cold
    assert seven["saves_warm_in_both_mean"] == pytest.approx((2 * saved["a"] + saved["b"]) / 3)
    assert "oil: 4 homes left out here: no option of the study is that." in printed
    assert "electric: 1 home left out here: fits several options (Electric 9 kW, Electric 7.2 kW" in " ".join(
        printed.split()
    )
    assert "5 homes, whose heating of today no option is, are in none of these figures." in printed
    assert today["homes_short"] == 1  # e, whose gas boiler is the study's
    assert (
        "Today's heater has the study's size in every home and leaves 1 home with over 20 unmet hours on paper."
        in printed
    )
    assert "saves a year against today" in printed
    assert "Heating today: what heats each home today." in printed
    assert "Kept, not used" not in printed
    assert "-$-" not in printed
