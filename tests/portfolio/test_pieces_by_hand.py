"""Pieces of a portfolio on both sides of what they decide: tables that are opened, runs that are filled, tariffs that win."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from portfolio.small import CASE
from portfolio.test_rows_by_hand import far

from costsim.errors import InputError
from costsim.portfolio import columns, looks, plan, run, tariffs
from costsim.portfolio.columns import Column
from costsim.portfolio.homes import Block, about_rows, count_rows, open_homes

# tables


def test_a_table_of_columns_has_no_lines_and_is_counted_by_itself(tmp_path: Path) -> None:
    path = tmp_path / "homes.parquet"
    pd.DataFrame({"home": ["a", "b", "c"], "house.gains [W]": [1.0, 2.5, 3.0]}).to_parquet(path, index=False)
    homes = open_homes(path, CASE)
    assert [(block.rows, block.lines, block.numbers.tolist()) for block in homes.blocks(2)] == [
        ((("a", "1.0"), ("b", "2.5")), (), [1, 2]),
        ((("c", "3.0"),), (), [3]),
    ]
    assert (count_rows(path), about_rows(path), about_rows(tmp_path / "none.parquet")) == (3, 3, 0)
    assert homes.digest() == hashlib.sha256(path.read_bytes()).hexdigest()
    assert (homes.text, homes.note) == (None, "")


def test_a_row_is_cut_behind_its_sixty_fifth_cell_and_long_lines_are_told_by_number(tmp_path: Path) -> None:
    path = tmp_path / "homes.csv"
    path.write_text(f"home,house.gains [W]\na,5{',x' * 70}\nb,6{',x' * 10}\n", encoding="utf-8")
    (block,) = open_homes(path, CASE).blocks(10)
    assert [len(row) for row in block.rows] == [65, 12]
    path.write_text(f"home,house.gains [W]\na,5\nb,{',' * 100_000}\n", encoding="utf-8")
    with pytest.raises(InputError, match="line 3: has a line of 100,002 letters"):
        list(open_homes(path, CASE).blocks(10))
    path.write_bytes(b"home,house.gains [W]\r\na" + b"," * 99_999 + b"\r\nb,6\r\n")
    (block,) = open_homes(path, CASE).blocks(10)
    assert [row[0] for row in block.rows] == ["a", "b"]


def test_a_workbook_called_csv_is_none_and_text_called_so_is(tmp_path: Path) -> None:
    path = tmp_path / "homes.csv"
    path.write_bytes(b"PK\x03\x04 broken")
    with pytest.raises(InputError, match="workbook"):
        open_homes(path, CASE)
    path.write_bytes(b"PKW,house.gains [W]\na,5\n")
    with pytest.raises(InputError):
        open_homes(path, CASE)


def faults(*headings: str) -> list[str]:
    """What is wrong with headings beside a home."""
    with pytest.raises(InputError) as caught:
        columns.read_layout(["home", *headings], CASE, "f")
    return [f"{one.field}: {one.problem}" for one in caught.value.faults]


def test_headings_are_refused_for_one_reason_each() -> None:
    assert faults("house.design_heat_loss [kW]", "house.heat_loss_rate [W/K]") == [
        "house.design_heat_loss: stands beside house.heat_loss_rate"
    ]
    assert faults("house.gains [W]", "house.gains [W]", "house.gains [W]") == ["house.gains: 3 columns give it"]
    assert faults("option[1].source[1].nothing [kW]") == ["option[1].source[1].nothing: 'nothing' is not a known key"]
    assert faults("option[1].source[9].output [kW]") == ["option[1].source[9].output: the study has no source[9]"]
    assert faults("house.setback[1].windows") == ["house.setback[1].windows: cannot differ by home"]
    assert faults("prices.electricity.period[1].energy [$/kWh]") == [
        "prices.electricity.period[1].energy: cannot differ by home"
    ]
    assert faults("place.latitude [deg]") == ["place.latitude: cannot differ from home to home"]
    assert faults("option.fuel") == ["option.fuel: does not change what a year takes and costs"]


# what looks wrong, and what changes nothing


def test_what_is_usual_ends_at_two_megawatts() -> None:
    assert far([2000, 2000]) == {}
    assert set(far([2001, 2001]).values()) == {"is far from what is usual"}


def test_rows_for_the_kernel_are_the_same_or_not() -> None:
    one, other = [np.array([1.0, 2.0]), np.array([3.0])], [np.array([1.0, 2.0]), np.array([4.0])]
    assert looks._same(one, [*one])
    assert not looks._same(one, other)
    assert not looks._same(one, None)


def test_columns_of_figures_are_tried_with_one_home(monkeypatch: pytest.MonkeyPatch) -> None:
    """A home of three figures of which the second changes nothing; bills, prices, words and empty cells are not tried."""
    paths: list[tuple[Any, ...]] = [
        ("house", "gains"), ("house", "floor_area"), ("house", "other_electricity"), ("house", "zone", 0, "area"), ("tank", "volume"), ("house", "shape"),
        ("house", "balance_point"),
    ]  # fmt: skip
    made = [
        (at, Column(str(path[-1]), ".".join(map(str, path)), path, "W", path[-1] != "shape"))
        for at, path in enumerate(paths, 1)
    ]
    recipe: Any = SimpleNamespace(options=[], layout=SimpleNamespace(columns=made))
    cells = ["1", "2", "3", "4", "5", "6", ""]
    monkeypatch.setattr(looks, "_first_cells", lambda recipe, table: cells)
    monkeypatch.setattr(looks, "_moved", lambda cells, place, column: [column.heading])
    monkeypatch.setattr(looks, "_idle_figure", lambda recipe, column: f"idle {column.heading}")
    tried: list[list[str]] = []

    def lowered(recipe: Any, cells: list[str]) -> Any:
        tried.append(cells)
        return [np.array([7.0 if cells[0] == "gains" else 5.0])]

    monkeypatch.setattr(looks, "_lowered", lowered)
    table: Any = SimpleNamespace(path="f")
    assert looks.idle_columns(recipe, table) == [{"column": "floor_area", "why": "idle floor_area"}]
    assert tried == [cells, ["gains"], ["floor_area"]]
    monkeypatch.setattr(looks, "_lowered", lambda recipe, cells: None)
    assert looks.idle_columns(recipe, table) == []
    monkeypatch.setattr(looks, "_first_cells", lambda recipe, table: None)
    assert looks.idle_columns(recipe, table) == []
    recipe.layout.columns = []
    assert looks.idle_columns(recipe, table) == []


# what keeps homes from being lowered together


def test_the_sun_differs_where_windows_face_it() -> None:
    for area, keys, sunlit in (
        (0.0, (), False),
        (0.1, (), True),
        (0.0, ("house.solar_aperture",), True),
        (0.0, ("house.gains",), False),
    ):
        case: Any = SimpleNamespace(house=SimpleNamespace(solar_aperture_m2=area))
        assert plan._sunlit(case, SimpleNamespace(keys=keys)) is sunlit  # type: ignore[arg-type]


def test_what_needs_a_study_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    def slow(
        *,
        keys: tuple[str, ...] = (),
        solar: bool = False,
        loops: bool = False,
        weighed: bool = False,
        use: str = "",
        to_load: bool = False,
        **option: Any,
    ) -> tuple[str, ...]:
        monkeypatch.setattr(plan, "loops_are_named", lambda house: loops)
        monkeypatch.setattr(plan, "_weighed_by_zone", lambda case: weighed)
        options = [SimpleNamespace(**{"tank": None, "no_tank": False, "floor": None, **one}) for one in ({}, option)]
        uses = [SimpleNamespace(priority=one) for one in ("before_house", use) if one]
        case: Any = SimpleNamespace(
            house=SimpleNamespace(other_electricity_profile=""),
            solar_electric=solar,
            options=options,
            use=uses,
            floor=None,
        )
        return plan._slow(case, SimpleNamespace(keys=keys, to_load=to_load))  # type: ignore[arg-type]

    assert slow() == slow(keys=("house.gains", "prices.wood.energy")) == slow(solar=True) == ()
    assert slow(to_load=True) == ("sizes",)
    assert slow(keys=("tank.volume", "house.gains")) == ("tank.volume",)
    assert slow(keys=("house.other_electricity",), solar=True) == ("solar_electric",)
    assert slow(tank="t") == ("option.tank",)
    assert slow(no_tank=True, floor="f") == ("option.no_tank", "option.floor")
    assert slow(loops=True) == slow(weighed=True) == slow(loops=True, weighed=True) == ("house.zone",)
    assert slow(use="after_house") == ("use",)


def test_zones_are_weighed_in_a_house_with_a_floor_of_mass() -> None:
    for zones, floor, weighed in (
        ((1,), "mass", True),
        ((), "mass", False),
        ((1,), None, False),
        ((1,), "none", False),
    ):
        made = None if floor is None else SimpleNamespace(mass=None if floor == "none" else floor)
        case: Any = SimpleNamespace(house=SimpleNamespace(zone=zones), floor=made)
        assert plan._weighed_by_zone(case) is weighed


# runs


def test_a_run_tells_homes_done_and_computed() -> None:
    """Three blocks of three, two and one homes, of which the second is there with one home set aside for two reasons."""
    blocks = [Block(at, 0, (("h",),) * count) for at, count in enumerate((3, 2, 1))]
    put, told, noted = list[Any](), list[int](), list[Any]()
    store: Any = SimpleNamespace(
        has=lambda number: number == 1,
        put=lambda part: put.append(part.number),
        aside=lambda numbers: [SimpleNamespace(row=5)] * 2,
    )
    table: Any = SimpleNamespace(blocks=lambda size: iter(blocks))
    seen: Any = SimpleNamespace(add=lambda block: noted.append(block.number), computed=0)

    def compute(recipe: Any, missing: Any) -> Any:
        for block in [*missing][::-1]:
            yield SimpleNamespace(number=block.number, rows=range(len(block.rows)))

    today: Any = SimpleNamespace(known=False)
    assert run._fill(None, store, table, 7, told.append, compute, seen, today) == ([0, 1, 2], [2, 0])  # type: ignore[arg-type]
    assert (put, told, noted, seen.computed) == ([2, 0], [3, 6], [0, 1, 2], 1 + 1 + 3)
    assert run._fill(None, store, table, 7, None, compute, seen, today) == ([0, 1, 2], [2, 0])  # type: ignore[arg-type]


@pytest.mark.parametrize(("homes", "listed"), [(2, True), (3, False)])
def test_a_summary_is_written_with_two_spaces_and_letters_as_they_are(
    homes: int, listed: bool, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(run, "MOST_LISTED", 2)
    store = SimpleNamespace(folder=tmp_path, power_w=lambda numbers, n: None, aside=lambda numbers: iter(()), drop=None)
    found = {"homes": homes, "all_homes": [{"é": 1}], "by_group": []}
    made: dict[str, Any] = {
        "open_store": store,
        "kept_names": (),
        "own_names": {},
        "fact_columns": (),
        "Today": SimpleNamespace(known=False),
        "idle_columns": ["x"],
        "_fill": ([0], []),
        "summarize": found,
    }
    made |= {
        "look_over": {"look": [], "loads_found": {"by_area": 0, "by_study": 0}},
        "homes_csv": "homes",
        "as_csv": "totals",
    }
    for name, given in {**made, "Seen": None, "_write_aside": None, "_write_hours": None}.items():
        monkeypatch.setattr(run, name, lambda *_, given=given, **__: given)
    monkeypatch.setattr(run, "still_idle", lambda recipe, idle, found: idle)
    recipe: Any = SimpleNamespace(options=[], columns=(), weather=SimpleNamespace(n_hours=2))
    table: Any = SimpleNamespace(path="f.csv", note="", digest=lambda: "same")
    opened = run.Opened(table, recipe, {})
    asked: Any = SimpleNamespace(overwrite=False, system="si")
    facts = {"homes": "same", "block": 4}
    assert run._into(tmp_path, opened, facts, asked, None, None) == {
        **found,
        "changes_nothing": ["x"],
        "look": [],
        "loads": {},
        "loads_found": {"by_area": 0, "by_study": 0},
    }  # type: ignore[arg-type]
    text = (tmp_path / "summary.json").read_text(encoding="utf-8")
    assert text.splitlines()[1] == f'  "homes": {homes},'
    assert "é" in text
    assert json.loads(text)["changes_nothing"] == ["x"]
    assert (tmp_path / "homes.csv").exists() is listed
    assert (tmp_path / "totals.csv").read_text(encoding="utf-8") == "totals"


# tariffs


def test_tariffs_win_homes_by_weight_and_those_that_are_warm(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Two tariffs and two options; the first home is computed under one tariff alone, the third is cold under the first option."""
    bills = {
        "a": ([2, 3, 4], [[9, 9], [100, 200], [300, 400]], [[1, 1], [1, 1], [0, 1]]),
        "b": ([3, 4], [[150, 100], [200, 400]], [[1, 1], [0, 1]]),
    }
    case: Any = SimpleNamespace(options=[SimpleNamespace(name="x"), SimpleNamespace(name="y")], currency="$")

    def part(one: Any, path: Path) -> Any:
        assert (one, path.name, path.parent.name) == (case, "part-00000.parquet", "homes")
        rows, whole, warm = (np.array(given) for given in bills[path.parent.parent.name.removeprefix("tariff-")])
        return tariffs._Part(rows, rows - 2.0, whole.astype(float), warm.astype(bool))

    monkeypatch.setattr(tariffs, "_part", part)
    folders = [tmp_path / f"tariff-{name}" for name in bills]
    (folders[0] / "homes").mkdir(parents=True)
    (folders[0] / "homes" / "part-00000.parquet").touch()
    found = tariffs._sum_up(("a", "b"), case, folders, (3, 2))
    # home 3 weighs one, home 4 two
    assert (found.tariffs, found.options, found.homes, found.currency) == (("a", "b"), ("x", "y"), 2, "$")
    assert (found.weight, found.set_aside, found.rows_in_cells) == (3.0, 3, 2)
    assert found.mean == pytest.approx(np.array([[700, 1000], [550, 900]]) / 3)
    # x: home 3 by a, home 4 by b; y: home 3 by b, home 4 by both
    assert found.by_option == pytest.approx(np.array([[1 / 3, 1 / 3], [2 / 3, 2 / 3]]))
    # of all: home 3 with 100 by a and x or b and y, home 4 warm under y alone, which both tariffs give
    assert found.by_pair == pytest.approx(np.array([[0.5, 1.0], [0.0, 1.5]]) / 3)
    assert found.as_json()["rows"][1] == {
        "tariff": "a", "option": "y", "mean_whole_bill": pytest.approx(1000 / 3), "cheapest_tariff_of_option_share": pytest.approx(1 / 3),
        "cheapest_of_all_share": pytest.approx(1 / 3),
    }  # fmt: skip
    bills["b"] = ([9], [[1, 1]], [[1, 1]])
    none = tariffs._sum_up(("a", "b"), case, folders, (3, 2))
    assert (none.homes, none.mean.tolist(), none.by_pair.tolist()) == (0, [[0.0, 0.0]] * 2, [[0.0, 0.0]] * 2)


def test_each_tariff_has_a_folder_and_all_are_told_of_as_one(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    asked: list[Any] = []

    def run_portfolio(
        case: Any, weather: Any, homes: Any, folder: Path, *, block: int, progress: Any, **settings: Any
    ) -> dict[str, int]:
        assert homes == ("case", "study")  # opened once, for all tariffs
        asked.append((case, folder.name, block, settings))
        if progress is not None:
            progress(4)
        return {"homes_set_aside": 8 - len(asked), "rows_in_cells": 5}

    shares = SimpleNamespace(as_json=lambda: {"währung": "€"})
    monkeypatch.setattr(tariffs, "run_portfolio", run_portfolio)
    monkeypatch.setattr(tariffs, "about_rows", lambda homes: 10)
    monkeypatch.setattr(tariffs, "with_prices", lambda case, prices, name: f"{case} {name}")
    monkeypatch.setattr(tariffs, "opened", lambda case, weather, homes, sizes: (case, sizes))

    def summed(names: Any, case: Any, folders: Any, left_out: Any) -> Any:
        assert (names, case) == (("as typed", "night"), "case")
        assert left_out == (7, 5)  # the most of both, and the rows that are the same in each
        return shares

    monkeypatch.setattr(tariffs, "_sum_up", summed)
    told: list[int] = []
    both: Any = {"as typed": {}, "night": {"electricity": {}}}
    assert tariffs.run_tariffs("case", None, "homes", tmp_path, both, progress=told.append, threads=1) is shares  # type: ignore[arg-type, comparison-overlap]
    assert asked == [("case", "tariff-1", 4096, {"threads": 1}), ("case night", "tariff-2", 4096, {"threads": 1})]
    assert told == [4, 14]
    assert (tmp_path / "tariffs.json").read_text(encoding="utf-8").splitlines()[1] == '  "währung": "€"'
    asked.clear()
    tariffs.run_tariffs("case", None, "homes", tmp_path, both, block=5)  # type: ignore[arg-type]
    assert [one[2] for one in asked] == [5, 5]
