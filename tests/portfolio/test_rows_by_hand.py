"""Rows of a table of homes at their limits, and homes ready for the kernel: small figures worked by hand."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from portfolio.small import CASE, WEATHER

from costsim.errors import InputError
from costsim.portfolio import columns, homes, looks, overrides, processes, variants
from costsim.portfolio.columns import Column, Layout
from costsim.portfolio.compute import in_steps
from costsim.portfolio.costs import own_tariff
from costsim.portfolio.homes import Block, about_rows, count_rows, open_homes
from costsim.portfolio.lowered import MOST_SUM_W, STEP_W
from costsim.portfolio.plan import PortfolioPlan, Sheet, most_electric_w, prepare
from costsim.portfolio.rows import is_number, not_a_value, plain_cell, read_row
from costsim.portfolio.run import run_portfolio
from costsim.portfolio.store import Store, fingerprint
from costsim.portfolio.table import OwnPrice, _fits, numbers_of, read_table
from costsim.study.case import case_from

# rows at their limits


def test_rows_are_numbered_as_in_a_spreadsheet() -> None:
    typed, bare = Block(0, 100, (("a",), ("b",)), (7, 9)), Block(0, 100, (("a",), ("b",)))
    assert [one.row_of(1) for one in (typed, bare)] == [9, 102]
    assert [one.numbers.tolist() for one in (typed, bare)] == [[7, 9], [101, 102]]


def test_blank_lines_and_marks_of_a_text_table(tmp_path: Path) -> None:
    path = tmp_path / "homes.csv"
    path.write_text("\n ; ;\nhome;house.gains [W]\n\na;5\n ; \nb;6,5\n", encoding="utf-8")
    found = list(open_homes(path, CASE).blocks(1))
    assert [(block.number, block.first_row, block.rows, block.lines) for block in found] == [
        (0, 0, (("a", "5"),), (5,)), (1, 1, (("b", "6,5"),), (7,)),
    ]  # fmt: skip
    assert count_rows(path) == 7
    assert about_rows(path) == 6
    assert about_rows(tmp_path / "none.csv") == 0
    assert about_rows(tmp_path / "none.xlsx") == 0
    (tmp_path / "old.csv").write_bytes(b"home\ra\rb")
    assert count_rows(tmp_path / "old.csv") == 2
    assert [homes._delimiter([text]) for text in ("a,b;c", "a;b", "a\tb", "a\tb;c", "a")] == [",", ";", "\t", "\t", ","]


@pytest.mark.parametrize(
    ("cells", "fine"),
    [
        (("a", "0", "5", "17", "0.1"), True), (("a", "1e6", "5", "17", "0.1"), True), (("a", "1000001", "5", "17", "0.1"), False),
        (("a", "-1", "5", "17", "0.1"), False), (("a", "x", "5", "17", "0.1"), False), (("", "1", "5", "17", "0.1"), False),
        (("a", "1", "5", "17"), False), (("a\nb", "1", "5", "17", "0.1"), False), (("a\ufffd", "1", "5", "17", "0.1"), False),
        (("a", "1", "1,500", "17", "0.1"), True), (("a", "1", "5", "60", "0.1"), False), (("a", "1", "0", "17", "0.1"), False),
        (("a", "1", "1e400", "17", "0.1"), False), (("a", "1", "5", "17", "0"), True), (("a", "1", "5", "17", "-0.1"), False),
    ],
)  # fmt: skip
def test_columns_take_the_rows_that_one_by_one_reads_too(
    plan: PortfolioPlan, cells: tuple[str, ...], fine: bool
) -> None:
    table, odd = read_table(plan, np.array([4]), [cells])
    assert (len(table), odd) == ((1, []) if fine else (0, [0]))
    if fine:
        assert (table.names, table.weights.tolist()) == (("a",), [float(cells[1])])
        assert read_row(plan, 4, cells).weight == float(cells[1])
    else:
        from costsim.portfolio.rows import RowError

        with pytest.raises(RowError):
            read_row(plan, 4, cells)


def test_figures_of_a_house_fit_each_other_by_the_house_s_own_rules() -> None:
    """A supply no warmer than the room, a balance point above the design temperature indoors (21.1 °C, 70 °F): both are set aside."""
    names = ("indoor_temperature", "balance_point", "design_supply_temperature")
    layout = columns.read_layout(("home", *(f"house.{name} [degC]" for name in names)), CASE, "homes.csv")
    rows = [
        ("20", "15", "40"),
        ("20", "21.1", "40"),
        ("20", "21.2", "40"),
        ("22", "15", "22"),
        ("22", "15", "22.1"),
        ("24", "15", "23"),
    ]
    _, odd = read_table(prepare(CASE, WEATHER, layout), np.arange(1, 7), [("h", *row) for row in rows])
    assert odd == [2, 3, 5]
    for at, row in enumerate(rows):
        changed = overrides.overridden(CASE.typed, layout, row)
        if at in odd:
            with pytest.raises(InputError, match="warmer than indoor"):
                case_from(changed)
        else:
            case_from(changed)


def test_a_house_is_warmer_than_its_design_day() -> None:
    house = SimpleNamespace(indoor_temperature_c=20.0, balance_point_c=None, design_supply_temperature_c=None)
    recipe: Any = SimpleNamespace(common=SimpleNamespace(design_outdoor_c=10.0), case=SimpleNamespace(house=house))
    assert _fits(recipe, {"indoor_temperature_c": np.array([9.9, 10.0, 10.1])}, 3).tolist() == [False, False, True]


def test_cells_that_are_numbers_and_those_that_are_not() -> None:
    figures, plain = numbers_of(["1", " 2.5 ", "1,700", "1e3", "x", "", "12,00", "1e999"], CASE)
    assert figures.tolist() == [1.0, 2.5, 1700.0, 1000.0, 1.0, 1.0, 1.0, 1.0]
    assert plain.tolist() == [True, True, True, True, False, False, False, False]
    assert [is_number(text) for text in ("1", "-.5", "+2.", ".", "1e", "1e+5", "")] == [
        True,
        True,
        True,
        False,
        False,
        True,
        False,
    ]
    assert plain_cell(" 12,00 ", CASE) == "12,00"
    column = Column("Load", "house.design_heat_loss", ("house", "design_heat_loss"), "kW", True)
    assert not_a_value(column, "7", CASE) == not_a_value(column, "", CASE) == ""
    assert not_a_value(column, "12,00", CASE) == "can be read two ways; write 12.00 or 1200"
    assert (
        not_a_value(column, "7 kW", CASE)
        == "is not a number; write a number alone, its unit [kW] stands in the heading"
    )


def test_electricity_is_summed_in_whole_steps_up_to_a_limit() -> None:
    assert in_steps(np.array([0.0, STEP_W, 1.4 * STEP_W, 1.6 * STEP_W])).tolist() == [0, 1, 1, 2]
    assert in_steps(np.array([MOST_SUM_W]))[0] == round(MOST_SUM_W * 2**20)
    assert in_steps(np.empty((2, 0))).shape == (2, 0)
    with pytest.raises(InputError, match="4,000 GW"):
        in_steps(np.array([MOST_SUM_W * 1.001]))
    assert MOST_SUM_W == 4e12
    assert STEP_W == 2.0**-20


@pytest.mark.parametrize(
    ("block", "said"),
    [(0, "0 homes at a time"), (1_000_001, "1000001 homes"), (1_000_000, "cannot be read"), (1, "cannot be read")],
)
def test_blocks_are_from_one_home_to_a_million(block: int, said: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=said):
        run_portfolio(CASE, WEATHER, tmp_path / "none.csv", tmp_path, block=block)


@pytest.mark.parametrize(("count", "fine"), [(0, False), (257, False), (1, True), (256, True), (2, True), (-1, False)])
def test_processes_are_from_one_to_256(count: int, fine: bool) -> None:
    if fine:
        assert (processes.on_processes(count) is None) == (count == 1)
        return
    with pytest.raises(InputError, match=f"{count} processes"):
        processes.on_processes(count)


def test_what_a_run_depends_on_has_a_name() -> None:
    assert fingerprint({"a": 1, "b": 2}) == fingerprint({"b": 2, "a": 1}) != fingerprint({"a": 1, "b": 3})
    assert len(fingerprint({})) == 32
    store = Store(Path("x"), "m", (), ())
    assert (store._homes(7).name, store._sums(12345).name) == ("part-00007.parquet", "part-12345.json")


# homes ready for the kernel


def an_offer(**given: Any) -> Any:
    """A source's offer of which only this is told."""
    plain = {
        "auxiliary_w": 0.0,
        "auxiliary_share": 0.0,
        "burn_power_w": 0.0,
        "fuel": "natural_gas",
        "degradation": 0.0,
        "standby_w": 0.0,
    }
    return SimpleNamespace(**{**plain, **given})


def test_the_most_electricity_that_a_source_takes() -> None:
    # fans of 100 W and a hundredth of 9 kW; what burns at 12 kW takes a hundredth of that
    assert most_electric_w(an_offer(auxiliary_w=100.0, auxiliary_share=0.01), 9e3, 0.8) == pytest.approx(190.0)
    assert most_electric_w(an_offer(auxiliary_share=0.01, burn_power_w=12e3), 9e3, 0.8) == pytest.approx(120.0)
    # electric heat at 0.8 less a quarter for cycling takes 9 / 0.6 kW, and 5 W at rest
    electric = an_offer(fuel="electricity", degradation=0.25, standby_w=5.0, auxiliary_w=1.0)
    assert float(most_electric_w(electric, 9e3, 0.8)) == pytest.approx(15e3 + 6)
    assert float(most_electric_w(electric, 9e3, 0.0)) == math.inf
    np.testing.assert_allclose(
        most_electric_w(electric, np.array([9e3, 6e3]), np.array([0.8, 0.4])), [15006.0, 20006.0]
    )


def test_columns_of_an_option_stand_one_after_the_other(plan: PortfolioPlan) -> None:
    sheet = Sheet(3, ("a", "b"), ("gas", "electricity"), 1 + 2 + 2 + 5)
    assert (sheet.heat, sheet.used, sheet.last) == (slice(4, 6), slice(6, 8), slice(8, 13))
    assert [name.partition(": ")[2] for name in plan.columns[: plan.options[0].sheet.width]] == [
        "heat wanted [J]", "heat from Electric boiler [J]", "electricity [kWh]", "cost [$/year]", "unmet [kWh]", "unmet [h]",
        "largest unmet [kW]", "CO2 [kg]",
    ]  # fmt: skip
    firsts = [ready.sheet.first for ready in plan.options]
    assert firsts == [sum(ready.sheet.width for ready in plan.options[:at]) for at in range(len(firsts))]
    assert len(plan.columns) == sum(ready.sheet.width for ready in plan.options)


@pytest.mark.parametrize(
    ("moments", "rows", "homes_at_once"),
    [(1000, 0, 512), (8760, 1, 128), (8760, 2, 64), (8760, 9, 64), (3000, 1, 448), (23_437, 1, 64)],
)
def test_as_many_homes_are_lowered_together_as_a_cache_holds(moments: int, rows: int, homes_at_once: int) -> None:
    """1.5 million entries, by 64 homes, no more than 512."""
    given = SimpleNamespace(moments=SimpleNamespace(first=range(moments)), house=(), own=((0, 0),) * rows)
    assert PortfolioPlan.at_once.fget(given) == homes_at_once  # type: ignore[attr-defined]
    given.house, given.own = (1, 4, 5), given.own[1:]  # rows of a house go with the weather alone, but for one
    assert PortfolioPlan.at_once.fget(given) == homes_at_once or not rows  # type: ignore[attr-defined]
    assert PortfolioPlan.at_once.fget(SimpleNamespace(moments=None)) == 64  # type: ignore[attr-defined]


def test_prices_of_homes_take_the_place_of_the_study_s() -> None:
    tariff = CASE.prices["electricity"].tariff("electricity")
    assert own_tariff(tariff, OwnPrice()) is tariff
    one = own_tariff(tariff, OwnPrice(2.0, 3.0))
    assert (one.price_per_j, one.fixed_per_month) == (2.0, 3.0)
    many = own_tariff(tariff, OwnPrice(np.array([1.0, 2.0]), np.array([3.0, 4.0])))
    assert np.shape(many.price_per_j) == np.shape(many.fixed_per_month) == (2, 1)


def rows_of(*blanks: str) -> Block:
    """Rows of three columns; a star is a cell that is there."""
    return Block(0, 0, tuple(tuple("1" if mark == "*" else "" for mark in blank) for blank in blanks))


def test_homes_that_leave_the_same_columns_empty_are_put_together() -> None:
    """Six homes are worth a study of their own; fewer, or a row of another length, are not."""
    layout = Layout(
        ("a", "b", "c"), 0, None, ((1, Column("b", "b", ("b",), "", True)), (2, Column("c", "c", ("c",), "", True)))
    )
    recipe: Any = SimpleNamespace(layout=layout)
    block = rows_of("***", *["*  "] * 5, *["** "] * 6, "**")
    found = variants.blank_groups(recipe, block)
    assert found == [((), [0, 12]), ((2,), [6, 7, 8, 9, 10, 11]), (variants.ONE_BY_ONE, [1, 2, 3, 4, 5])]
    assert variants.without(recipe, ()) is None
    assert variants.without(recipe, variants.ONE_BY_ONE) is None


# what looks wrong


def far(numbers: Any, unit: str = "kW", key: str = "house.design_heat_loss") -> dict[int, str]:
    """Why rows of one column are listed."""
    column = Column("X", key, tuple(key.split(".")), unit, True)
    values = np.array(numbers, dtype=float)
    there = ~np.isnan(values)
    found = looks._far(column, range(len(values)), np.where(there, values, 1.0), there, [str(one) for one in numbers])
    return {one["rows"][0]: one["why"] for one in found}


def test_twenty_times_the_median_is_far() -> None:
    assert far([5, 5, 5, 100]) == {3: "is 20 times the median, 5 kW"}
    assert far([5, 5, 5, 99.9]) == {}
    assert far([100, 100, 100, 5]) == {3: "is 1/20 of the median, 100 kW"}
    assert far([100, 100, 100, 5.1]) == {}
    # of money and of temperatures, which have no scale
    assert far([0.1, 0.1, 0], "$/kWh", "prices.electricity.energy") == {2: "is a price of nothing"}
    assert far([1, 1, 39], "degC", "house.balance_point") == {}
    assert far([math.nan, 5, math.nan]) == {}
    assert far([math.nan, math.nan]) == {}
    # 200 W and 2 MW are the limits of what is usual
    assert far([0.2, 0.2]) == {}
    assert far([0.19, 0.19]) == {0: "is far from what is usual", 1: "is far from what is usual"}
    assert far([3.1, 3.1], "$/kWh", "prices.electricity.energy") == {
        0: "is far from what is usual",
        1: "is far from what is usual",
    }
    assert far([3.0, 3.0], "$/kWh", "prices.electricity.energy") == {}
    assert set(far([0.0005, 0.0005]).values()) == {"is far from what is usual"}  # half a watt
    assert far([0.0, 0.0]) == {}


def test_a_figure_is_moved_by_half_a_kelvin_or_a_twentieth() -> None:
    load = Column("X", "house.design_heat_loss", ("house", "design_heat_loss"), "kW", True)
    warm = Column("X", "house.balance_point", ("house", "balance_point"), "degC", True)
    assert looks._moved(["10", "17"], 0, load) == ["9.5", "17"]
    assert looks._moved(["10", "17"], 1, warm) == ["10", "16.5"]
    assert looks._moved(["0"], 0, load) == ["1.0"]


def test_what_stands_in_the_study_in_place_of_an_empty_cell() -> None:
    def own(key: str) -> str:
        path = columns._path(key)
        return looks._own_value(CASE, Column("X", key, path, "", True))

    assert own("house.design_heat_loss") == "7.6 kW"
    # the study's load stands for the other ways to say it, by its route in words
    assert own("house.heat_loss_per_area") == own("house.heat_loss_rate") != ""
    assert own("house.gains") == ""
    assert own("option[2].source[1].output") == CASE.typed["option"][1]["source"][0]["output"]
    assert own("option[2].source[1].nothing") == ""


def test_paths_count_from_one_and_texts_take_the_unit() -> None:
    assert columns._path("option[2].source[10].output") == ("option", 1, "source", 9, "output")
    assert Column("X", "a", ("a",), "kW", True).text("7") == "7 kW"
    assert Column("X", "a", ("a",), "", False).text("7") == "7"


@pytest.mark.parametrize(
    ("heading", "told"),
    [
        ("option[1].source[1].price", "does not change what a year takes and costs"), ("option[1].maintenance [$/year]", "does not change what a year"),
        ("option[1].source[1].kind", "cannot differ by home"),
        ("economics.study_period", "cannot differ from home"),
        ("option[9].source[1].output [kW]", "the study has no option[9]; count from 1 to 4"),
    ],
)  # fmt: skip
def test_columns_that_change_nothing_are_refused(heading: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        columns.read_layout(["home", heading], CASE, "homes.csv")
    assert told in str(caught.value)


@pytest.mark.parametrize(("count", "fine"), [(64, True), (65, False)])
def test_a_table_has_sixty_four_columns_at_most(count: int, fine: bool) -> None:
    headings = ["home", "house.gains [W]", *(f"Note {at}" for at in range(count - 2))]
    if fine:
        assert len(columns.read_layout(headings, CASE, "homes.csv").kept) == count - 2
        return
    with pytest.raises(InputError, match="65 columns"):
        columns.read_layout(headings, CASE, "homes.csv")


def test_of_several_names_of_homes_the_one_called_so_counts() -> None:
    def layout(*headings: str) -> tuple[int, tuple[tuple[int, str], ...]]:
        found = columns.read_layout([*headings, "house.gains [W]"], CASE, "homes.csv")
        return found.home, found.kept

    assert layout("Address", "Name") == (1, ((0, "Address"),))
    assert layout("Address", "Street") == (0, ((1, "Street"),))
    assert layout("Utility", "id") == (1, ((0, "Utility"),))


def test_heat_losses_that_no_floor_area_has_are_listed() -> None:
    """From 3 to 400 W/m²; an area of nothing or of nobody tells nothing."""
    load = Column("Load [W]", "house.design_heat_loss", ("house", "design_heat_loss"), "W", True)
    recipe: Any = SimpleNamespace(
        case=CASE, layout=SimpleNamespace(columns=[(0, load)], uses=(), headings=("Name",), home=0)
    )
    watts = np.array([300.0, 299.0, 40e3, 40001.0, math.nan, 9e9])
    area = np.array([100.0] * 5 + [0.0])
    found = list(looks._per_area(recipe, range(6), {"house.design_heat_loss": watts, "house.floor_area": area}))
    assert [(one["rows"], one["column"]) for one in found] == [([1], "Load [W]"), ([3], "Load [W]")]
    whole = CASE.house.floor_area_m2
    alone = list(looks._per_area(recipe, [5], {"house.design_heat_loss": np.array([401.0 * whole])}))
    assert len(alone) == 1
    assert "the study's own floor area" in alone[0]["why"]
    assert {one["why"] for one in found} == {"is the heat loss for its floor area, which no house has"}
    assert not list(looks._per_area(recipe, [5], {"house.floor_area": area}))
    twice = list(looks._doubled(recipe, [2, 3, 4, 5], ["a", "b", "a", "a"]))
    assert [(one["rows"], one["column"], one["value"], one["why"]) for one in twice] == [
        ([2, 4, 5], "Name", "a", "stands 3 times, and all count")
    ]
    assert not list(looks._doubled(recipe, [2, 3], ["a", "b"]))
