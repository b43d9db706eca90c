"""A home among many is the home alone: every number against `simulate` with the same values."""

from __future__ import annotations

import copy
from pathlib import Path

import numpy as np
import pytest
from cases import demo, study
from hypothesis import given, settings
from hypothesis import strategies as st
from portfolio.tables import HEADINGS, recipe_for, rows, run_block, whole, write

from costsim import load_weather, read_study
from costsim.portfolio.columns import read_layout
from costsim.portfolio.homes import Block
from costsim.portfolio.lowered import STEP_W
from costsim.portfolio.plan import prepare
from costsim.sources import KINDS
from costsim.study.case import case_from

STUDIES = sorted(HEADINGS)
PLAIN = ["home,weight,house.design_heat_loss [kW],house.balance_point [degC],house.indoor_temperature [degC]"]
LOADS = ["a,1,3,14,19", "b,2,6.5,17.3,21.5", "c,0.5,14,18.8,20.2", "d,1,9,15,15"]


def table(path: Path, lines: list[str]) -> Path:
    """Write a table of homes."""
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def check(recipe, block, part, every: int = 1) -> None:
    """Compare some homes' rows, and the electricity of all, with the whole simulation."""
    assert not part.aside
    assert len(part.homes) == len(block.rows)
    power = np.zeros(part.power.shape)
    for at in range(0, len(block.rows), every):
        expected, watts = whole(recipe, block.rows[at])
        power += part.weights[at] * watts
        assert list(expected) == list(recipe.columns)
        np.testing.assert_allclose(part.values[at], list(expected.values()), rtol=1e-9, atol=1e-9)
    if every == 1:
        np.testing.assert_allclose(part.power * STEP_W, power, rtol=1e-9, atol=STEP_W * len(block.rows))


@pytest.mark.long
@pytest.mark.parametrize("name", STUDIES)
def test_a_home_among_many_equals_the_home_alone(name: str, tmp_path: Path) -> None:
    recipe, (block,) = recipe_for(name, write(tmp_path / "homes.csv", name, rows(name, 24)))
    assert not recipe.slow
    check(recipe, block, run_block(recipe, block))


@pytest.mark.parametrize("kind", sorted(KINDS))
@pytest.mark.parametrize("rule", ["fixed", "cheapest_now"])
def test_every_kind_of_source_beside_another(kind: str, rule: str, tmp_path: Path) -> None:
    case = study(
        {**KINDS[kind].example},
        {"kind": "electric", "output": "4 kW", "name": "Beside it"},
        tank__volume="500 L",
        tank__design_supply_temperature="45 degC",
    )
    data = copy.deepcopy(case.typed)
    data["option"][0]["rule"] = rule
    heading = PLAIN[0] + ",prices.electricity.energy [$/kWh]"
    lines = [f"{line},{price}" for line, price in zip(LOADS, (0.05, 0.1, 0.3, 0.9), strict=True)]
    recipe, (block,) = recipe_for(case_from(data), table(tmp_path / "homes.csv", [heading, *lines]))
    assert not recipe.slow
    check(recipe, block, run_block(recipe, block))


@pytest.mark.parametrize("name", ["net_loft", "valley_row"])
def test_a_floor_with_mass_setbacks_and_sun_through_windows(name: str, tmp_path: Path) -> None:
    data = demo(name)
    data["floor"]["mass"] = {"precharge": "1 K", "precharge_windows": ["03:00-05:00"]}
    data["house"] |= {"setback": [{"indoor_temperature": "17 degC", "windows": ["22:00-06:00"]}]}
    data["house"]["absence"] = [{"from": "Feb 3", "to": "Feb 9"}]
    if name == "valley_row":
        data["house"]["solar_aperture"] = "3 m2"
    recipe, (block,) = recipe_for(case_from(data), table(tmp_path / "homes.csv", [*PLAIN, *LOADS]))
    assert not recipe.slow
    check(recipe, block, run_block(recipe, block))


@pytest.mark.long
def test_tariffs_with_periods_blocks_minimum_and_tax(tmp_path: Path) -> None:
    data = demo()
    data["prices"]["electricity"] |= {
        "tax": "7 %",
        "minimum_bill": "40 $/month",
        "period": [{"name": "dear", "energy": "0.31 $/kWh", "windows": ["16:00-20:00"], "days": "Mon-Fri"}],
    }
    data["prices"]["natural_gas"]["block"] = [
        {"up_to": "20 therm/month", "energy": "1.5 $/therm"},
        {"energy": "0.9 $/therm"},
    ]
    for name, lines in (("lantern_cottage", rows("lantern_cottage", 8)),):
        recipe, (block,) = recipe_for(case_from(data), write(tmp_path / "homes.csv", name, lines))
        assert not recipe.slow
        check(recipe, block, run_block(recipe, block))


def test_each_home_s_other_use_reaches_its_own_block(tmp_path: Path) -> None:
    electric, gas = {"kind": "electric", "output": "9 kW"}, {"kind": "gas", "output": "9 kW", "efficiency": "90 %"}
    blocks = [{"up_to": "600 kWh/month", "energy": "0.06 $/kWh"}, {"energy": "0.20 $/kWh"}]
    prices = {"prices__electricity": {"block": blocks}, "prices__natural_gas": {"energy": "0.09 $/kWh"}}
    case = study(electric, gas, **prices, house__other_electricity="100 kWh/year")
    data = copy.deepcopy(case.typed)
    data["option"][0]["rule"] = "cheapest_now"
    heading = "home,house.other_electricity [kWh/year],house.design_heat_loss [kW]"
    homes = table(tmp_path / "homes.csv", [heading, "a,100,5", "b,8760,5", "c,7300,7"])
    recipe, (block,) = recipe_for(case_from(data), homes)
    assert not recipe.slow
    part = run_block(recipe, block)
    check(recipe, block, part)
    by_electricity = part.values[:, 1] > 0
    assert by_electricity.tolist() == [True, False, True]


def test_columns_of_tank_floor_sources_and_charges_go_the_long_way_and_say_so(tmp_path: Path) -> None:
    data = demo("net_loft")
    data["prices"]["electricity"]["demand"] = [{"price": "9 $/kW"}]
    lines = [
        "home,tank.volume [gal],option[2].source[2].output [kW],floor.pump.speed [%],prices.electricity.demand[1].price [$/kW]",
        "a,80,20,70,9",
        "b,300,9,100,12",
    ]
    recipe, (block,) = recipe_for(case_from(data), table(tmp_path / "homes.csv", lines))
    keys = ("tank.volume", "option[2].source[2].output", "floor.pump.speed", "prices.electricity.demand[1].price")
    assert recipe.slow == keys
    check(recipe, block, run_block(recipe, block))


@pytest.mark.parametrize("name", STUDIES)
def test_the_long_way_and_the_fast_path_agree(name: str, tmp_path: Path) -> None:
    lines = rows(name, 5)
    recipe, (block,) = recipe_for(name, write(tmp_path / "homes.csv", name, lines))
    fast = run_block(recipe, block)
    slow, (block,) = recipe_for(
        name,
        table(
            tmp_path / "more.csv",
            [
                f"{HEADINGS[name]},place.altitude [m]",
                *(f"{x},{recipe.common.surroundings.altitude_m!r}" for x in lines),
            ],
        ),
    )
    assert slow.slow == ("place.altitude",)
    np.testing.assert_allclose(run_block(slow, block).values, fast.values, rtol=1e-9, atol=1e-9)


@pytest.mark.long
def test_order_of_rows_block_size_and_threads_change_no_bit(tmp_path: Path) -> None:
    lines = rows("lantern_cottage", 50)
    rng = np.random.default_rng(3)
    found = []
    for size, threads, order in (
        (50, 1, range(50)),
        (1, 2, range(50)),
        (7, 2, rng.permutation(50)),
        (33, 1, rng.permutation(50)),
    ):
        path = write(tmp_path / "homes.csv", "lantern_cottage", [lines[i] for i in order])
        recipe, blocks = recipe_for("lantern_cottage", path, size)
        parts = [run_block(recipe, block, threads) for block in blocks]
        values = {name: row.tobytes() for part in parts for name, row in zip(part.homes, part.values, strict=True)}
        found.append((values, sum(part.power for part in parts).tobytes()))
    assert all(one == found[0] for one in found)
    assert len(found[0][0]) == 50


def test_units_of_both_audiences_give_the_same_answer(tmp_path: Path) -> None:
    si = [
        "home,house.heat_loss_per_area [W/m2],house.floor_area [m2],house.balance_point [degC],"
        "house.indoor_temperature [degC],prices.natural_gas.energy [$/kWh]"
    ]
    us = [
        "home,house.heat_loss_per_area [Btu/(h ft2)],house.floor_area [ft2],house.balance_point [degF],"
        "house.indoor_temperature [degF],prices.natural_gas.energy [$/therm]"
    ]
    # 1 Btu_IT is 1055.05585262 J, 1 ft is 0.3048 m, 1 therm is 100,000 of these Btu: by definition (NIST SP 811)
    for at, (flux, area, balance, indoor, price) in enumerate(
        [(70, 110, 17, 20.5, 0.05), (40, 210, 15.3, 21.25, 0.02)]
    ):
        si.append(f"h{at},{flux},{area},{balance},{indoor},{price}")
        foot, btu_h = 0.3048, 1055.05585262 / 3600
        values = [
            flux / (btu_h / foot**2),
            area / foot**2,
            balance * 1.8 + 32,
            indoor * 1.8 + 32,
            price * 105.505585262 / 3.6,
        ]
        us.append(",".join([f"h{at}", *(repr(value) for value in values)]))
    parts = []
    for lines in (si, us):
        recipe, (block,) = recipe_for("lantern_cottage", table(tmp_path / "homes.csv", lines))
        parts.append(run_block(recipe, block))
    np.testing.assert_allclose(parts[0].values, parts[1].values, rtol=1e-7)


BAD = {
    "b,x,17": ("house.design_heat_loss [kW]", "x", "is not a number"),
    'c,"1,7e3",17': ("house.design_heat_loss [kW]", "1,7e3", "is not a number"),
    "d,nan,17": ("house.design_heat_loss [kW]", "nan", "is not a number"),
    "e,-3,17": ("house.design_heat_loss [kW]", "-3", "must be more than"),
    "f,1e400,17": ("house.design_heat_loss [kW]", "1e400", "not a finite number"),
    "g,7.6 kW,17": ("house.design_heat_loss [kW]", "7.6 kW", "its unit [kW] stands in the heading"),
    '"h","12,00",17': ("house.design_heat_loss [kW]", "12,00", "can be read two ways; write 12.00 or 1200"),
    "i,7,40": ("house.balance_point [degC]", "40", "must be at most"),
    "j,7,25": ("house", "", "balance_point is warmer than indoor"),
    "k,7": ("", "k 7", "the row has 2 cells, but the heading has 3"),
    "l,7,17,9": ("", "l 7 17 9", "the row has 4 cells"),
    ",7,17": ("home", "", "is empty"),
    'm,"7\n8",17': ("", "m 7 8 17", "a quotation mark may not be closed"),
}


def test_rows_with_bad_values_are_set_aside_with_the_reason_and_the_others_stay(tmp_path: Path) -> None:
    lines = ["home,house.design_heat_loss [kW],house.balance_point [degC]", "first,7,17", *BAD, "last,7,17"]
    recipe, (block,) = recipe_for("lantern_cottage", table(tmp_path / "homes.csv", lines))
    part = run_block(recipe, block)
    assert part.homes == ("first", "last")
    # a cell that holds a line break is one row of a spreadsheet
    assert part.rows.tolist() == [2, len(BAD) + 3]
    assert len(part.aside) == len(BAD)
    for number, (one, (column, value, reason)) in enumerate(zip(part.aside, BAD.values(), strict=True), 3):
        assert (one.row, one.column, one.value) == (number, column, value)
        assert reason in one.reason


def test_every_bad_cell_of_a_row_is_told(tmp_path: Path) -> None:
    lines = [HEADINGS["lantern_cottage"], "a,-1,x,y,70,1,0.1,5", "b,1,-7,60,99,-1,0.1,-5"]
    recipe, (block,) = recipe_for("lantern_cottage", table(tmp_path / "homes.csv", lines))
    part = run_block(recipe, block)
    assert part.homes == ()
    found = [(one.home, one.column.split(" ")[0]) for one in part.aside]
    assert found[:3] == [("a", "weight"), ("a", "house.design_heat_loss"), ("a", "house.balance_point")]
    assert sorted(found[3:]) == [
        ("b", "house.design_heat_loss"), ("b", "house.indoor_temperature"), ("b", "prices.electricity.fixed"), ("b", "prices.natural_gas.energy")
    ]  # fmt: skip


def test_a_house_that_does_not_fit_the_place_is_set_aside(tmp_path: Path) -> None:
    data = demo()
    data["place"]["design_outdoor"] = "12 degC"
    lines = ["home,house.balance_point [degC],house.indoor_temperature [degC]", "a,8,10", "b,17,21"]
    recipe, (block,) = recipe_for(case_from(data), table(tmp_path / "homes.csv", lines))
    part = run_block(recipe, block)
    assert part.homes == ("b",)
    assert "must be below the indoor one" in part.aside[0].reason


def test_faults_of_a_study_of_its_own_name_their_columns(tmp_path: Path) -> None:
    lines = [
        "home,option[1].rule,option[2].source[1].output [kW],option[3].source[1].efficiency [%]",
        "a,cheapest_now,5,90",
        "b,dearest,-1,900",
        "c,fixed,1,40",
    ]
    recipe, (block,) = recipe_for("lantern_cottage", table(tmp_path / "homes.csv", lines))
    part = run_block(recipe, block)
    assert part.homes == ("a", "c")
    assert [(one.column, one.value) for one in part.aside] == [
        ("option[1].rule", "dearest"), ("option[2].source[1].output [kW]", "-1"), ("option[3].source[1].efficiency [%]", "900")
    ]  # fmt: skip
    assert "is not a rule" in part.aside[0].reason


@given(st.lists(st.text(max_size=12), min_size=5, max_size=5))
@settings(max_examples=60, deadline=None)
def test_no_row_ends_in_a_traceback(cells: list[str]) -> None:
    part = run_block(ANY, Block(0, 0, (tuple(cells), ("good", "1", "7", "17", "21"))), threads=1)
    assert part.homes[-1] == "good"
    assert len(part.homes) + len({one.row for one in part.aside}) == 2
    assert all(one.reason for one in part.aside)


CASE = read_study("lantern_cottage")
ANY = prepare(CASE, load_weather(CASE), read_layout(PLAIN[0].split(","), CASE, "homes.csv"))


def test_orders_that_follow_the_house_and_sun_by_column(tmp_path: Path) -> None:
    """A warm floor makes the heat pump dearer than gas in some homes and hours, and windows differ from home to home."""
    case = study(
        {"kind": "heat_pump", "outdoor": ["-15 degC", "7 degC"], "outputs": ["5 kW", "8 kW"]},
        {"kind": "gas", "output": "9 kW", "condensing": True, "flow": "2 gpm"},
        {"kind": "electric", "output": "3 kW", "lockout_above": "2 degC"},
        tank__volume="300 L",
        tank__design_supply_temperature="48 degC",
    )
    data = copy.deepcopy(case.typed)
    data["option"][0]["rule"] = "cheapest_now"
    data["house"]["setback"] = [{"indoor_temperature": "16 degC", "windows": ["23:00-05:00"], "days": "Mon-Fri"}]
    heading = PLAIN[0] + ",house.solar_aperture [m2]"
    lines = [f"{line},{area}" for line, area in zip(LOADS, (0, 2.5, 0, 6), strict=True)]
    recipe, (block,) = recipe_for(case_from(data), table(tmp_path / "homes.csv", [heading, *lines]))
    assert not recipe.slow
    assert not recipe.even
    orders = [recipe.options[0].order[:, hour].tolist() for hour in range(8760)]
    assert [0, 1, 2] in orders
    assert [1, 0, 2] in orders
    check(recipe, block, run_block(recipe, block))


@pytest.mark.long
@pytest.mark.parametrize(
    "own", ["hot water", "stratified", "a tank of its own", "zones on their loops", "zones and mass"]
)
def test_homes_with_hot_water_layers_and_tanks_of_options(own: str, tmp_path: Path) -> None:
    tank = {"volume": "500 L", "design_supply_temperature": "45 degC", "max_temperature": "70 degC"}
    layers = {"stratification": "80 %"} if own != "hot water" else {}
    night = {"kind": "electric", "output": "14 kW", "store": True, "windows": ["22:00-06:00"]}
    data = copy.deepcopy(dict(study(night, {"kind": "electric", "output": "4 kW", "name": "By day"}).typed))
    data["tank"] = {**tank, **layers}
    if own == "hot water":
        data["use"] = [{"kind": "hot_water", "people": 3}]
    if own == "a tank of its own":
        data["option"] = [*data["option"], {**data["option"][0], "name": "two", "tank": {**tank, "volume": "2000 L"}}]
    if own == "zones on their loops":
        loops = {"count": 4, "length": "80 m", "spacing": "150 mm", "flow": "3 L/min"}
        data["floor"] = {"loops": [{**loops, "name": "Up", "count": 2}, {**loops, "name": "Down"}]}
        data["house"] = {**data["house"], "zone": [{"name": "Bedrooms", "load": "50 %", "loops": ["Up"]}]}
    if own == "zones and mass":
        loops = {"count": 4, "length": "80 m", "spacing": "150 mm", "flow": "3 L/min"}
        data["floor"] = {
            "build_up": "concrete_100",
            "loops": [loops],
            "mass": {"precharge": "1 K", "precharge_windows": ["03:00-05:00"]},
        }
        data["house"] = {**data["house"], "zone": [{"name": "Rooms", "load": "30 %", "indoor_temperature": "18 degC"}]}
    recipe, (block,) = recipe_for(case_from(data), table(tmp_path / "homes.csv", PLAIN + LOADS))
    assert bool(recipe.slow) == (own in ("a tank of its own", "zones on their loops", "zones and mass"))
    check(recipe, block, run_block(recipe, block))
