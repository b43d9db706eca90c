"""A planner's table as it comes: empty cells, commas, values that are computed and look wrong, columns that change nothing."""

from __future__ import annotations

import csv
import io
import json
import tracemalloc
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from portfolio.tables import recipe_for, run_block, whole

from costsim import load_weather, read_study
from costsim.cli.main import main
from costsim.portfolio import looks
from costsim.portfolio.columns import read_layout
from costsim.portfolio.homes import Block, Homes
from costsim.portfolio.plan import prepare
from costsim.portfolio.run import run_portfolio

HEADING = "id,Floor area [ft2],Heat loss [kBtu/h],Electricity price [$/kWh]"


def printed(tmp_path: Path, lines: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str, Path]:
    """Run a table by the command: exit code, what stands on both streams, and the folder."""
    table, out = tmp_path / "homes.csv", tmp_path / "out"
    table.write_text("\n".join(lines) + "\n", encoding="utf-8")
    code = main(["portfolio", str(table), "-o", str(out), "--overwrite"])
    found = capsys.readouterr()
    return code, found.out, found.err, out


def test_an_empty_cell_is_the_study_s_value_in_arrays_and_one_by_one(tmp_path: Path) -> None:
    lines = ["home,house.design_heat_loss [kW],house.balance_point [degC],prices.electricity.energy [$/kWh]"]
    lines += [f"h{at},{4 + at / 10:.1f},17,0.12" for at in range(4)]
    lines += [f"e{at},,{15 + at / 10:.1f},0.1{at}" for at in range(7)]  # enough for a study made ready
    lines += ["b, ,16,", "all,,,"]
    (tmp_path / "homes.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    recipe, (block,) = recipe_for("lantern_cottage", tmp_path / "homes.csv")
    part = run_block(recipe, block)
    assert [one.home for one in part.aside] == ["all"]  # nothing of it is its own
    assert len(part.homes) == len(block.rows) - 1
    assert any(one is not None and one.in_arrays for one in recipe.variants.values())
    for at in (0, 5, 11):
        wanted, _ = whole(recipe, tuple(cell.strip() for cell in block.rows[at]))
        np.testing.assert_allclose(part.values[at], [wanted[name] for name in recipe.columns], rtol=1e-9, atol=1e-9)


def test_what_is_computed_but_looks_wrong_is_listed_with_its_rows(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = [HEADING, *(f"H{at},{1400 + at},{30 + at},0.128" for at in range(8))]
    lines += ['C1,"1,700",30,0.128', "C2,1500,30,12.8", "C3,1500,34000,0.128", "C4,1500,30,0", "H3,1500,30,0.128"]
    lines += ["C5,1.7,30,0.128", 'C6,"12,00",30,0.128', "C7,1500,,0.128"]
    code, out, _, folder = printed(tmp_path, lines, capsys)
    assert code == 0
    summary = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    found = {(tuple(one["rows"]), one["column"].split(" [")[0]): one["why"] for one in summary["look"]}
    assert found[(13,), "Electricity price"] == "is a price of nothing"
    assert found[(5, 14), "id"] == "stands 2 times, and all count"
    assert {row for rows, _ in found for row in rows} == {5, 13, 14}
    aside = {
        one["row"]: one for one in csv.DictReader(io.StringIO((folder / "set_aside.csv").read_text(encoding="utf-8")))
    }
    assert aside["16"]["reason"] == "can be read two ways; write 12.00 or 1200"
    # 12.8 $/kWh, 34,000 kBtu/h for 1,500 ft2 and 30 kBtu/h for 1.7 ft2 are no home's
    assert [*aside] == ["11", "12", "15", "16"]
    assert aside["11"]["reason"].startswith("is more than any fuel costs")
    assert all("no house is beyond" in aside[row]["reason"] for row in ("12", "15"))
    assert (summary["by_study_value"], summary["loads_found"]["by_area"]) == ([], 1)  # C7 gives its area alone
    assert "1 home without a heat loss: by its floor area, at the study's" in out
    assert "in all totals, but look" in out
    assert "12.8" in out
    assert "Sizes of sources and tank are the study's, the same in every home" in out
    assert "changes nothing here" not in out  # the area counts for C7


@pytest.mark.long
def test_a_table_is_read_once_and_its_first_homes_are_looked_at_again_where_a_run_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = [f"H{at},{1400 + at},{30 + at % 9},0.128" for at in range(60)]
    lines[3], lines[5:7], lines[8] = "B,1500,x,0.128", ['"H\n5",1500,30,0.128', "short,1500"], "H2, 1500 ,,2.8"
    lines[40] = "C,1500,30,0"  # beyond what is looked at
    table = tmp_path / "homes.csv"
    table.write_text("\n".join([HEADING, *lines]) + "\n", encoding="utf-8")
    case = read_study("lantern_cottage")
    read, blocks = list[int](), Homes.blocks

    def counted(self: Homes, size: int) -> Iterator[Block]:
        read.append(size)
        return blocks(self, size)

    monkeypatch.setattr(Homes, "blocks", counted)
    monkeypatch.setattr(looks, "MOST_LOOKED", 20)
    first = run_portfolio(case, load_weather(case), table, tmp_path / "out", block=8)
    assert [size for size in read if size > 20] == []
    assert read.count(8) == 1
    assert (first["looked_at"], first["homes"], first["homes_set_aside"]) == (20, 57, 3)
    found = {(tuple(one["rows"]), one["value"]) for one in first["look"]}
    # rows of the spreadsheet, in which a quoted break is one row still
    assert found == {((4, 10), "H2"), ((10,), "2.8")}
    assert (first["by_study_value"], first["loads_found"]["by_area"]) == ([], 1)  # H2 gives its area alone
    for number in (1, 6):  # what was cut off there
        (tmp_path / "out" / "homes" / f"part-0000{number}.parquet").unlink()
    assert run_portfolio(case, load_weather(case), table, tmp_path / "out", block=8) == first


def test_homes_noted_take_little_memory_however_long_the_table() -> None:
    case = read_study("lantern_cottage")
    seen = looks.Seen(prepare(case, load_weather(case), read_layout(HEADING.split(","), case, "homes")))
    row = ("h1", "1400", "30.25", "0.128")
    block = Block(0, 0, (row,) * 1000)
    tracemalloc.start()
    for _ in range(250):
        seen.add(block)
        seen.computed += 1000
    # of the homes alone: a form of the kernel may be compiled meanwhile by another thread
    mine = tracemalloc.take_snapshot().filter_traces([tracemalloc.Filter(True, "*/portfolio/*")])
    tracemalloc.stop()
    taken = sum(trace.size for trace in mine.traces)
    assert len(seen.homes(set())[0]) == looks.MOST_LOOKED == 200_000
    assert taken < 200_000 * (sum(len(cell) + 1 for cell in row) + 8) * 1.2


def test_a_table_that_changes_nothing_is_refused_with_the_remedy(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err, _ = printed(tmp_path, ["id,Floor area [ft2]", "a,900", "b,2400"], capsys)
    assert code == 2
    assert "Floor area [ft2]: changes nothing in this study, and all homes would be the same" in err
    assert "the study's heat loss is typed (25.9 kBtu/h); add a column Heat loss [kBtu/h]" in err
    # where heat loss goes by area it does
    table = tmp_path / "area.csv"
    table.write_text("id,Floor area [ft2],Heat loss [Btu/(h ft2)]\na,900,20\nb,1400,20\n", encoding="utf-8")
    assert main(["portfolio", str(table), "-o", str(tmp_path / "by_area")]) == 0
    assert "changes nothing here" not in capsys.readouterr().out
