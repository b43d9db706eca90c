"""Homes lowered in arrays are the homes lowered one after the other."""

from __future__ import annotations

import copy
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from cases import demo, study
from portfolio.tables import HEADINGS, recipe_for, rows, run_block, write

from costsim.portfolio.compute import Part
from costsim.portfolio.homes import Block
from costsim.portfolio.plan import PortfolioPlan
from costsim.study.case import case_from

HEADING = "home,house.floor_area [m2],house.heat_loss_rate [W/K],house.indoor_temperature [degF],house.gains [W],prices.electricity.energy [$/kWh]"


def homes(path: Path, heading: str, number: int = 12) -> Path:
    """Random homes of a floor area, a loss per kelvin, a set-point, gains and a price of electricity."""
    rng, lines = np.random.default_rng(5), [heading]
    for at in range(number):
        values = [
            rng.uniform(*span)
            for span in ((60, 250), (60, 500), (64, 73), (100, 900), (0.05, 0.4))[: heading.count(",")]
        ]
        lines.append(",".join([f"h{at}", *(f"{value:.4g}" for value in values)]))
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def agree(recipe: PortfolioPlan, block: Block) -> Part:
    """Both ways give the same; the quick one is the one that people get."""
    assert recipe.in_arrays
    quick, slow = run_block(recipe, block), run_block(replace(recipe, moments=None), block)
    assert quick.homes == slow.homes
    assert quick.aside == slow.aside
    np.testing.assert_array_equal(quick.rows, slow.rows)
    np.testing.assert_array_equal(quick.weights, slow.weights)
    np.testing.assert_allclose(quick.values, slow.values, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(quick.power, slow.power, rtol=1e-9, atol=len(quick.homes))
    return quick


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[pytest.mark.long] if name != "valley_row" else []) for name in sorted(HEADINGS)]
)
def test_demos_with_odd_rows_among_them(name: str, tmp_path: Path) -> None:
    lines = rows(name, 30, seed=7)
    lines[3] = lines[3].replace(",", ",x", 1)
    lines[8] = lines[8].rsplit(",", 1)[0]
    lines[11] = lines[11].rsplit(",", 1)[0] + ",-5"
    lines[20] = lines[20].rsplit(",", 1)[0] + ",  7 "
    recipe, (block,) = recipe_for(name, write(tmp_path / "homes.csv", name, lines))
    part = agree(recipe, block)
    assert {one.row for one in part.aside} >= {5, 10, 13}
    assert 21 in part.rows


PUMP = {"kind": "heat_pump", "outdoor": ["-15 degC", "7 degC"], "outputs": ["5 kW", "8 kW"], "lockout_below": "-8 degC"}
GAS = {"kind": "gas", "output": "9 kW", "condensing": True, "flow": "2 gpm", "months": "Oct-Apr"}
TANK = {"tank__volume": "300 L", "tank__design_supply_temperature": "48 degC", "tank__max_temperature": "70 degC"}


LONG = pytest.mark.long


@pytest.mark.parametrize("rule", ["cheapest_now", pytest.param("fixed", marks=LONG)])
@pytest.mark.parametrize("water", ["alone", pytest.param("hot water", marks=LONG), pytest.param("layers", marks=LONG)])
def test_orders_lockouts_uses_and_periods(rule: str, water: str, tmp_path: Path) -> None:
    case = study(PUMP, GAS, {"kind": "electric", "output": "3 kW"}, **TANK)
    data = copy.deepcopy(case.typed)
    data["option"][0]["rule"] = rule
    peak = {"name": "dear", "energy": "0.5 $/kWh", "windows": ["16:00-20:00"], "days": "Mon-Fri", "months": "Nov-Feb"}
    data["prices"]["electricity"]["period"] = [peak]
    if water != "alone":
        data["use"] = [{"kind": "hot_water", "people": 3}]
    if water == "layers":
        data["tank"]["stratification"] = "80 %"
    recipe, (block,) = recipe_for(case_from(data), homes(tmp_path / "homes.csv", HEADING))
    agree(recipe, block)


@pytest.mark.parametrize("water", ["alone", pytest.param("hot water", marks=LONG), pytest.param("layers", marks=LONG)])
def test_a_heat_pump_that_stops_where_the_water_of_each_home_is_too_hot(water: str, tmp_path: Path) -> None:
    case = study({**PUMP, "max_outlet_temperature": "42 degC"}, GAS, {"kind": "electric", "output": "3 kW"}, **TANK)
    data = copy.deepcopy(case.typed)
    if water != "alone":
        data["use"] = [{"kind": "hot_water", "people": 3, "tap_temperature": "45 degC"}]
    if water == "layers":
        data["tank"]["stratification"] = "80 %"
    recipe, (block,) = recipe_for(case_from(data), homes(tmp_path / "homes.csv", HEADING))
    agree(recipe, block)


@pytest.mark.parametrize("load", ["design_heat_loss", "surface", "room"])
def test_every_route_to_the_load_and_a_price_alone(load: str, tmp_path: Path) -> None:
    data = demo("net_loft")
    wall = {"name": "wall", "area": "300 m2", "u_value": "0.8 W/(m2 K)"}
    if load != "design_heat_loss":
        data["house"].pop("design_heat_loss")
        data["house"][load] = [wall] if load == "surface" else [{"name": "hall", "surface": [wall]}]
    recipe, (block,) = recipe_for(case_from(data), homes(tmp_path / "a.csv", "home,house.floor_area [m2]", 3))
    agree(recipe, block)
    recipe, (block,) = recipe_for(
        case_from(data), homes(tmp_path / "b.csv", "home,house.floor_area [m2],house.gains [W]", 5)
    )
    agree(recipe, block)


SETBACK = {"indoor_temperature": "16 degC", "windows": ["22:00-06:00"]}
AWAY = {"from": "Dec 20", "to": "Jan 3", "back_at": "15:00"}
ZONE = {
    "name": "Sleeping",
    "load": "35 %",
    "indoor_temperature": "17 degC",
    "setback": [{**SETBACK, "days": "Mon-Fri"}],
}
NIGHTS = {
    "set-backs": {"setback": [SETBACK, {**SETBACK, "indoor_temperature": "23 degC", "windows": ["06:30-07:15"]}]},
    "absence and zones": {"absence": [AWAY], "zone": [ZONE]},
    "sun and set-backs": {"solar_aperture": "6 m2", "setback": [SETBACK]},
}


@pytest.mark.parametrize("name", ["net_loft", pytest.param("valley_row", marks=LONG)])
@pytest.mark.parametrize("heavy", [pytest.param(False, marks=LONG), True])
@pytest.mark.parametrize("nights", [pytest.param(name, marks=LONG) if name != "set-backs" else name for name in NIGHTS])
def test_schedules_sun_and_slabs(name: str, nights: str, heavy: bool, tmp_path: Path) -> None:
    data = demo(name)
    data["house"] |= NIGHTS[nights]
    if heavy:
        data["house"].pop("zone", None)  # zones of a house with mass go home by home
        data["floor"]["mass"] = {"precharge": "0.5 K", "precharge_windows": ["03:00-06:00"]}
    heading = HEADING.replace("$", "€") if name == "valley_row" else HEADING
    recipe, (block,) = recipe_for(case_from(data), homes(tmp_path / "homes.csv", heading, 7))
    part = agree(recipe, block)
    assert len(part.rows) == 7


@pytest.mark.long
@pytest.mark.parametrize("own_use", ["study", "home"])
def test_demand_charges_beside_the_rest_of_each_house(own_use: str, tmp_path: Path) -> None:
    data = demo("net_loft")
    data["prices"]["electricity"]["demand"] = [
        {"price": "9 $/kW"},
        {"price": "4 $/kW", "windows": ["16:00-20:00"], "ratchet": "60 %"},
    ]
    data["house"]["other_electricity"] = "5000 kWh/year"
    heading = HEADING.replace("house.gains [W]", "house.other_electricity [kWh/year]") if own_use == "home" else HEADING
    agree(*_first(recipe_for(case_from(data), homes(tmp_path / "homes.csv", heading, 9))))


@pytest.mark.long
@pytest.mark.parametrize("metering", ["none", "month", "year"])
def test_own_generation_hour_by_hour(metering: str, tmp_path: Path) -> None:
    data = demo("net_loft")
    data["solar_electric"] = {"peak_power": "12 kW", "export": "0.05 $/kWh", "net_metering": metering}
    data["house"]["other_electricity"] = "5000 kWh/year"
    data["prices"]["electricity"]["demand"] = [{"price": "9 $/kW"}]
    data["prices"]["electricity"]["period"] = [{"name": "dear", "energy": "0.5 $/kWh", "windows": ["10:00-14:00"]}]
    for option in data["option"]:
        option["rule"] = "fixed" if metering == "none" else option.get("rule", "fixed")
    agree(*_first(recipe_for(case_from(data), homes(tmp_path / "homes.csv", HEADING, 9))))


@pytest.mark.long
def test_blocks_under_a_rule_that_sees_each_home_s_price(tmp_path: Path) -> None:
    data = demo("net_loft")
    data["prices"]["electricity"]["block"] = [
        {"up_to": "600 kWh/month", "energy": "0.1 $/kWh"},
        {"energy": "0.2 $/kWh"},
    ]
    agree(*_first(recipe_for(case_from(data), homes(tmp_path / "homes.csv", HEADING, 7))))


def _first(found: tuple[PortfolioPlan, list[Block]]) -> tuple[PortfolioPlan, Block]:
    return found[0], found[1][0]


@pytest.mark.long
def test_homes_that_share_values_of_whole_studies_share_a_study(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rng, lines = (
        np.random.default_rng(8),
        ["home,tank.volume [L],house.heat_loss_rate [W/K],option[1].rule,place.altitude [m]"],
    )
    for at in range(40):
        volume = rng.choice(["300", " 800", "-5" if at % 2 else "300"])
        lines.append(
            f"h{at},{volume},{rng.uniform(80, 200):.4g},{rng.choice(['fixed', 'cheapest_now'])},{rng.choice([0, 900])}"
        )
    lines[5] = "odd,300,x,fixed,0"
    lines[9] = "alone,512,120,fixed,0"
    lines[11] = "short,300"
    path = tmp_path / "homes.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    recipe, (block,) = recipe_for("valley_row", path)
    quick = run_block(recipe, block)
    assert any(one is not None for one in recipe.variants.values())
    assert {one.row for one in quick.aside} >= {6, 12}  # as a spreadsheet numbers them
    monkeypatch.setattr("costsim.portfolio.variants.WORTH", 1000)
    slow = run_block(recipe, block)
    assert quick.homes == slow.homes
    assert quick.aside == slow.aside
    np.testing.assert_allclose(quick.values, slow.values, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(quick.power, slow.power, rtol=1e-9, atol=len(quick.homes))
