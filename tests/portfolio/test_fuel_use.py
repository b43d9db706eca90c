"""A year's fuel as a column: each home's heat loss, by hand."""

from __future__ import annotations

import functools
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from cases import constant_weather

from costsim import load_weather, read_study, simulate
from costsim.errors import InputError
from costsim.portfolio import loads
from costsim.portfolio.cells import tidied
from costsim.portfolio.columns import read_layout, with_filled
from costsim.portfolio.fuel_columns import Use
from costsim.portfolio.homes import Homes, open_homes
from costsim.portfolio.loads import with_loads
from costsim.portfolio.looks import Seen, look_over, still_idle
from costsim.portfolio.plan import prepare
from costsim.portfolio.rows import RowError, not_a_value, read_row
from costsim.portfolio.tariffs import run_tariffs
from costsim.study.case import Case, case_from
from costsim.units.quantity import BTU_J, parse
from costsim.views.homes_fuel import fuel_lines
from costsim.views.text_tariff_shares import printed_shares
from costsim.weather import Weather

STUDY = {
    "title": "An invented town",
    "place": {"weather": "greensboro.csv", "design_outdoor": "15 degF"},
    "house": {
        "floor_area": "1500 ft2", "design_heat_loss": "33 kBtu/h", "indoor_temperature": "70 degF", "balance_point": "62 degF",
    },
    "prices": {"natural_gas": {"energy": "1.40 $/therm"}, "propane": {"energy": "2.60 $/gal"}, "electricity": {"energy": "0.14 $/kWh"}},
    "option": [
        {"name": "Gas", "today": True, "source": [{"kind": "gas", "output": "60 kBtu/h", "efficiency": "90 %"}]},
        {"name": "Propane", "source": [{"kind": "gas", "fuel": "propane", "output": "60 kBtu/h", "efficiency": "90 %"}]},
        {"name": "Electric", "source": [{"kind": "electric", "output": "20 kW"}]},
    ],
}  # fmt: skip
W_K = BTU_J / 3600 * 1.8
"""One Btu/(h °F) in W/K."""


@functools.cache
def town() -> tuple[Case, Weather]:
    """The study and its weather."""
    case = case_from(STUDY)
    return case, load_weather(case)


def filled(folder: Path, *lines: str, of: tuple[Case, Weather] | None = None) -> tuple[list[list[str]], dict, dict]:
    """Cells of the filled columns by home, how they were found, and what is said of the table."""
    file = folder / "homes.csv"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    case, weather = of or town()
    table = open_homes(file, case)
    table = replace(table, layout=with_filled(table.layout, case))
    recipe = prepare(case, weather, table.layout)
    table, how = with_loads(table, recipe)
    seen = Seen(recipe)
    for block in table.blocks(100):
        seen.add(block)
    rows = [row for block in table.blocks(100) for row in block.rows]
    return [[row[at] for at in table.layout.filled] for row in rows], how, look_over(recipe, seen, set())


def degree_hours(balance: str) -> float:
    """Of the year, in °F h, by hand from the weather."""
    return float(np.maximum(parse(balance, "temperature").value - town()[1].outdoor_c, 0).sum()) * 1.8


def test_a_years_therms_give_the_heat_loss_by_degree_hours_and_a_load_wins_over_them(tmp_path: Path) -> None:
    cells, how, told = filled(
        tmp_path, "Address,Annual therms,Design load (Btu/h)", "A,551,", "B,551,33000", "C,1102,", "D,0,", "E,abc,"
    )
    (gas,) = how["by_fuel"]
    assert (gas["option"], gas["fuel"], gas["unit"]) == ("Gas", "natural_gas", "therm")
    assert 0.87 < gas["efficiency"] <= 0.90  # 90 % less what cycling costs
    # by hand: UA = 551 therms of 100,000 Btu at that efficiency over the degree-hours below 62 °F
    by_hand = 551e5 * gas["efficiency"] / degree_hours("62 degF") * W_K
    assert float(cells[0][0]) == pytest.approx(by_hand, rel=0.015)  # cycling follows the load
    assert float(cells[2][0]) == pytest.approx(2 * by_hand, rel=0.015)
    assert [row[0] for row in (cells[1], cells[3], cells[4])] == ["", "", "abc therm"]
    assert told["loads_found"]["both"] == 1
    assert [(one["column"], one["homes"]) for one in told["by_study_value"]] == [("Design load (Btu/h)", 1)]


def test_a_home_that_is_kept_warmer_by_its_own_balance_point_loses_less_for_the_same_fuel(tmp_path: Path) -> None:
    cells, how, _ = filled(tmp_path, "Address,Therms per year,Balance point (degF)", "A,551,62", "B,551,66")
    for (cell,), balance in zip(cells, ("62 degF", "66 degF"), strict=True):
        by_hand = 551e5 * how["by_fuel"][0]["efficiency"] / degree_hours(balance) * W_K
        assert float(cell) == pytest.approx(by_hand, rel=0.015)


def test_homes_without_a_load_lose_heat_by_their_area_at_the_studys_loss_per_area(tmp_path: Path) -> None:
    cells, how, told = filled(
        tmp_path, "Address,Heated area (sq ft),Design load (Btu/h)", "A,900,", "B,3200,", "C,1500,33000", 'D,"1,850 sq ft",n/a'
    )  # fmt: skip
    # by hand: 33,000 Btu/h over 55 °F are 600 Btu/(h °F) for 1,500 ft2, 0.4 for each
    losses = [float(cell) if cell else None for (cell,) in cells]
    assert losses == [pytest.approx(360 * W_K), pytest.approx(1280 * W_K), None, pytest.approx(740 * W_K)]
    assert (told["loads_found"]["by_area"], told["by_study_value"]) == (3, [])
    assert how["by_area"] == "0.4 Btu/(h ft2) per degF"


def test_a_fuel_that_no_option_burns_alone_is_told() -> None:
    case, weather = town()
    recipe = prepare(case, weather, read_layout(["Home", "Propane gal/yr"], case, ""))
    table = Homes(
        Path("homes.csv"), replace(recipe.layout, uses=((1, Use("Oil gal", "heating_oil", "heating_oil", "gal")),))
    )
    with pytest.raises(InputError, match="no option of the study heats with heating oil alone"):
        with_loads(table, replace(recipe, layout=table.layout))


def test_a_cell_that_is_no_amount_of_fuel_sets_the_home_aside_only_where_it_is_wanted() -> None:
    case, weather = town()
    recipe = prepare(
        case, weather, with_filled(read_layout(["Home", "Annual therms", "Design load (Btu/h)"], case, ""), case)
    )
    with pytest.raises(RowError) as error:
        read_row(recipe, 2, ("A", "abc", "", "abc therm"))
    (fault,) = error.value.reasons
    assert (fault.column, fault.value) == ("Annual therms", "abc")
    assert fault.reason == "is not a number; write the year's use as a number of therm, or leave the cell empty"
    assert read_row(recipe, 2, ("A", "abc", "33000", "")).case.house.design_heat_loss_w == pytest.approx(
        33000 * BTU_J / 3600
    )


@pytest.mark.parametrize(
    ("heading", "found"),
    [
        ("Annual therms", ("natural_gas", "therm")),
        ("Gas 2025 (CCF)", ("natural_gas", "CCF")),
        ("Propane gal/yr", ("propane", "gal")),
        ("Gallons last winter", ("propane", "gal")),
        ("Heating kWh", ("electricity", "kWh")),
        ("Electricity kWh per year", None),
        ("Propane tank gallons", None),
    ],
)
def test_headings_of_yearly_use(heading: str, found: tuple[str, str] | None) -> None:
    uses = read_layout(["Home", "Floor area [ft2]", heading], town()[0], "").uses
    assert [(use.fuel, use.unit) for _, use in uses] == ([found] if found else [])


def test_gallons_of_a_study_with_two_fuels_by_the_gallon_are_asked_about() -> None:
    price = town()[0].prices["propane"]
    both = town()[0].model_copy(
        update={"prices": {"propane": price, "heating_oil": price.model_copy(update={"fuel": "heating_oil"})}}
    )
    with pytest.raises(InputError, match='may be of several fuels; write "Propane gallons a year" or'):
        read_layout(["Home", "Annual gallons"], both, "")


def test_cells_of_nothing_are_empty_and_a_unit_in_a_cell_is_read() -> None:
    case = read_study("lantern_cottage")
    layout = read_layout(["Home", "Floor area [ft2]", "Heat loss [Btu/h]"], case, "")
    given = ("n/a", "1,850 sq ft", "38 kBtu/h", "")
    assert tidied(layout, given, case) == ("n/a", "1850", "38000", "")
    assert tidied(layout, ("A", " - ", "38k", ""), case) == ("A", "", "38000", "")


@pytest.mark.parametrize(
    ("cell", "unit", "found"),
    [("20 C", "degF", "68"), ("70F", "degF", "70"), ("68 °F", "degC", "20"), ("68", "degF", "68"), ("67-70", "degF", "67-70"), ("20 kW", "degF", "20 kW")],
)  # fmt: skip
def test_a_temperature_in_a_cell_keeps_its_own_unit(cell: str, unit: str, found: str) -> None:
    """68 °F are 20 °C, by (68 - 32) / 1.8."""
    case = read_study("lantern_cottage")
    layout = read_layout(["Home", f"Thermostat [{unit}]"], case, "")
    assert tidied(layout, ("A", cell), case) == ("A", found)
    if found == "67-70":
        (_, column) = layout.columns[0]
        assert not_a_value(column, cell, case) == "is a range; write one number, in degF or with its own unit behind it"


def test_the_year_of_each_loss_is_asked_once_for_homes_of_any_area(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    asked, ask = [], loads.lower_study
    monkeypatch.setattr(loads, "lower_study", lambda *given: asked.append(1) or ask(*given))
    cells, _, _ = filled(tmp_path, "Home,Sqft,Annual therms", "1,1500,600", "2,1800,600", "3,2100,900")
    assert len(asked) == len(loads.GRID_W_K)
    first, second, third = (float(row[0]) for row in cells)
    assert first == second
    # with the balance point typed heat goes with the loss, and a larger one lets the boiler cycle less
    assert 1.5 * first < third == pytest.approx(1.5 * first, rel=0.01)


def test_tariffs_are_compared_for_homes_with_units_and_nothing_in_their_cells(tmp_path: Path) -> None:
    homes = tmp_path / "homes.csv"
    homes.write_text('Home,Sqft,Annual therms\na,"1,850 sq ft",600\nb,n/a,500\nc,1500,lots\n', encoding="utf-8")
    dear = {"natural_gas": {"energy": "2.80 $/therm"}}
    shares = run_tariffs(*town(), homes, tmp_path / "out", {"as typed": {}, "dear": dear})
    assert (shares.homes, shares.set_aside, shares.rows_in_cells) == (2, 1, 0)
    assert shares.mean[1, 0] == pytest.approx(2 * shares.mean[0, 0])  # gas at twice the price, and no other charge
    assert shares.by_option[:, 0].tolist() == [1.0, 0.0]
    text = printed_shares(shares)
    assert text.startswith("2 homes under 2 tariffs")
    assert "1 row was set aside: set_aside.csv in each folder says why." in text


def test_homes_of_the_studys_own_heat_loss_are_counted(tmp_path: Path) -> None:
    _, _, said = filled(tmp_path, "Home,Annual therms", "a,600", "b,", "c,0")
    assert said["loads_found"] == {"by_fuel": 1, "by_area": 0, "both": 0, "by_study": 2}
    case, weather = town()
    study = {**STUDY, "house": {**STUDY["house"], "heat_loss_per_area": "22 Btu/(h ft2)"}}
    study["house"].pop("design_heat_loss")
    by_area = prepare(case_from(study), weather, read_layout(["Home", "Sqft"], case, "homes"))
    idle = [{"column": "Sqft", "why": ""}]
    counts = {"by_area": 0, "by_study": 1}
    assert (still_idle(by_area, idle, counts), still_idle(by_area, idle, {**counts, "by_study": 0})) == ([], idle)


def test_a_years_fuel_that_no_house_of_that_area_burns_is_to_be_looked_at(tmp_path: Path) -> None:
    _, how, said = filled(tmp_path, "Home,Sqft,Annual therms", "a,1500,600", "odd,1450,5200", "none,1500,")
    heat = 5200 * 100_000 * how["by_fuel"][0]["efficiency"]  # Btu
    per_area = heat / degree_hours("62 degF") * (70 - 15) / 1450
    (look,) = said["look"]
    assert (look["rows"], look["column"]) == ([3], "Annual therms")
    # so large a house lets the boiler cycle less than the study's own, of which the efficiency is told
    assert per_area < float(look["value"].split()[0]) == pytest.approx(per_area, rel=0.02)


def test_a_years_use_is_of_the_fuel_that_heats_the_home(tmp_path: Path) -> None:
    """Btu by hand: 100,000 a therm, 91,452 a gallon of propane (EIA, value from memory), 3412.14 a kWh."""
    cells, how, _ = filled(
        tmp_path, "Address,Annual fuel use,Heating today", "A,551 therms,Nat. gas", 'B,"1,000 gal",LP', "C,12130 kWh,electric baseboard",
        "D,551 therms,", "E,600 gal,oil #2", "F,5000 kWh,heat pump", "G,lots,gas", "H,?,gas", "I,90000 therms,gas",
    )  # fmt: skip
    read = {one["fuel"]: one for one in how["by_fuel"]}
    assert {fuel: one["option"] for fuel, one in read.items()} == {
        "natural_gas": "Gas",
        "propane": "Propane",
        "electricity": "Electric",
    }
    got = [row[0] for row in cells]
    for cell, btu, fuel in (
        (got[0], 551e5, "natural_gas"),
        (got[1], 91.452e6, "propane"),
        (got[2], 12130 * 3412.14, "electricity"),
    ):
        by_hand = btu * read[fuel]["efficiency"] / degree_hours("62 degF") * W_K
        assert float(cell) == pytest.approx(by_hand, rel=0.015)
    assert got[3] == got[0]
    assert [cell.split(";")[0] for cell in got[4:]] == [
        "no heat loss: is of heating oil, with which no option of the study heats alone",
        "no heat loss: is of a heat pump, as Heating today says heat pump",
        "no heat loss: is no amount of a fuel that is known",
        "",
        "no heat loss: is no year's fuel of a house in this weather",
    ]
    case, weather = town()
    layout = with_filled(read_layout(["Address", "Annual gallons", "Heating today"], case, ""), case)
    with pytest.raises(RowError) as error:
        read_row(prepare(case, weather, layout), 6, ("E", "600 gal", "oil #2", got[4]))
    (fault,) = error.value.reasons
    assert (fault.column, fault.value) == ("Annual gallons", "600 gal")
    assert fault.reason.startswith("is of heating oil, with which no option")


def gas(name: str, efficiency: str) -> dict:
    """An option of one boiler whose burner loses nothing by cycling."""
    return {
        "name": name,
        "source": [{"kind": "gas", "output": "8 kW", "efficiency": efficiency, "cycling_degradation": 0.0}],
    }


PUMP = {
    "kind": "heat_pump", "cycling_degradation": 0.0, "pump": "0 W", "approach": "0 K",
    "test_point": [{"outdoor": "0 degC", "supply": "45 degC", "output": "8 kW", "cop": 2.5}],
}  # fmt: skip
"""Tested at the outdoor air and the water of `street`, so that its COP is 2.5 in every hour."""


def street(*options: dict) -> tuple[Case, Weather]:
    """An invented street in air of 0 °C all year, with a balance point of 20 °C: 175,200 K h a year."""
    house = {
        "floor_area": "100 m2", "design_heat_loss": "5 kW", "indoor_temperature": "20 degC", "balance_point": "20 degC",
        "design_supply_temperature": "45 degC",
    }  # fmt: skip
    prices = {"electricity": {"energy": "0.14 $/kWh"}}
    if any("gas" in option["name"] for option in options):
        prices["natural_gas"] = {"energy": "1.40 $/therm"}
    electric = {"name": "Electric", "source": [{"kind": "electric", "output": "8 kW", "efficiency": "100 %"}]}
    place = {"weather": "greensboro.csv", "design_outdoor": "0 degC"}
    data = {
        "title": "A street",
        "place": place,
        "house": house,
        "prices": prices,
        "option": [electric, *options],
    }
    return case_from(data), constant_weather(0.0)


def test_the_option_that_heating_today_names_gives_the_heat_of_its_own_cop(tmp_path: Path) -> None:
    of = street({"name": "Cold-climate unit", "source": [PUMP]})
    lines = ("Home,Heating kWh,Heating today", "A,5000,Electric", "B,5000,cold-climate UNIT", "C,5000,ASHP")
    cells, how, _ = filled(tmp_path, *lines, of=of)
    plain, named, pump = (float(row[0]) for row in cells)
    assert plain == pytest.approx(5000e3 / 175_200, rel=1e-3)  # 28.5 W/K
    assert named == pytest.approx(2.5 * 5000e3 / 175_200, rel=1e-3)
    assert pump == named  # the study has one heat pump
    told = {one["option"]: (one["today"], one["efficiency"]) for one in how["by_fuel"]}
    assert told == {"Electric": ("", pytest.approx(1.0)), "Cold-climate unit": ("Heating today", pytest.approx(2.5))}
    assert fuel_lines({"loads": how})[1] == (
        "Heating kWh: where Heating today names Cold-climate unit, it turns 250.0% of the electricity into heat over the year."
    )


def test_of_two_options_of_one_fuel_each_home_goes_by_its_own_and_a_kind_of_both_is_asked_about(tmp_path: Path) -> None:
    old, new, both = gas("Old gas", "80 %"), gas("New gas", "95 %"), gas("Mixed", "80 %")
    both["source"].append({"kind": "electric", "output": "8 kW"})
    pumps = [{"name": name, "source": [PUMP]} for name in ("Pump 1", "Pump 2")]
    cells, how, _ = filled(
        tmp_path, "Home,Annual fuel use,Heating today", "A,400 therms,Old gas", "B,400 therms,New gas", "C,5000 kWh,heat pump",
        "D,5000 kWh,Mixed", "E,5000 kWh,Pump 2", of=street(old | {"today": True}, new, both, *pumps),
    )  # fmt: skip
    found = [row[0] for row in cells]
    for cell, efficiency in ((found[0], 0.80), (found[1], 0.95)):
        by_hand = 400 * 1e5 * BTU_J * efficiency / 3600 / 175_200
        assert float(cell) == pytest.approx(by_hand, rel=1e-3)
    assert "says heat pump; name its option there, or leave the cell empty" in found[2]
    assert "is of no one fuel, as Heating today says Mixed" in found[3]
    assert float(found[4]) == pytest.approx(2.5 * 5000e3 / 175_200, rel=1e-3)
    told = {one["option"]: one["today"] for one in how["by_fuel"]}
    assert told == {"Old gas": "", "Electric": "", **dict.fromkeys(("New gas", "Pump 1", "Pump 2"), "Heating today")}
    lines = fuel_lines(
        {"loads": {"by_fuel": [*how["by_fuel"], how["by_fuel"][0] | {"option": "Like it", "today": "Fuel"}]}}
    )
    assert len(lines) == len(how["by_fuel"])  # one that turns as much of it into heat is not told again


def test_a_years_fuel_that_is_all_electricity_gives_heat_losses_too(tmp_path: Path) -> None:
    """By hand as above: 5,000 kWh over 175,200 K h a year are 28.5 W/K at 100%; 400 therms in a burner of 80% are 53.5 W/K."""
    of = street(gas("Old gas", "80 %"))
    by_hand = 5000e3 / 175_200
    for lines in (
        ("Home,Annual fuel use,Heating today", "A,5000 kWh,electric baseboard", "B,10000 kWh,Electric"),
        ("Home,Annual fuel use", "A,5000 kWh", "B,10000 kWh"),
        ("Home,Annual fuel use (kWh)", "A,5000", "B,10000"),
    ):
        cells, _, _ = filled(tmp_path, *lines, of=of)
        assert [float(row[0]) for row in cells] == pytest.approx([by_hand, 2 * by_hand], rel=1e-3)
    cells, _, _ = filled(tmp_path, "Home,Annual fuel use", "A,5000 kWh", "B,400 therms", of=of)
    burned = 400 * 1e5 * BTU_J * 0.80 / 3600 / 175_200
    assert [float(row[0]) for row in cells] == pytest.approx([by_hand, burned], rel=1e-3)
    in_words = ("Home,Annual fuel use (kWh),Heating today", "A,5000,gas")
    cells, _, _ = filled(tmp_path, *in_words, of=of)  # gas billed in kWh
    assert float(cells[0][0]) == pytest.approx(0.8 * by_hand, rel=1e-3)
    with pytest.raises(InputError, match="no column overrides the study"):
        filled(tmp_path, "Home,Annual use", "A,5000 kWh", of=of)  # what all of a household takes


@pytest.mark.parametrize("more", [{"cycling_degradation": 0, "standby": "100 W"}, {"firing": "one_stage"}])
def test_the_fitted_house_burns_the_fuel_that_was_typed(more: dict[str, object], tmp_path: Path) -> None:
    """Standby does not grow with the house, and cycling shrinks as it grows: each house, simulated, takes the fuel of its cell."""
    source = {"kind": "gas", "output": "60 kBtu/h", "efficiency": "85 %", **more}
    prices = {"natural_gas": STUDY["prices"]["natural_gas"]}
    typed = {**STUDY, "prices": prices, "option": [{"name": "Gas", "source": [source]}]}
    case, weather = case_from(typed), town()[1]
    cells, how, _ = filled(tmp_path, "Home,Annual therms", "A,250", "B,551", "C,900", of=(case, weather))
    for (cell,), therms in zip(cells, (250, 551, 900), strict=True):
        house = {name: value for name, value in STUDY["house"].items() if name != "design_heat_loss"}
        fitted = case_from({**typed, "house": {**house, "heat_loss_rate": f"{cell} W/K"}})
        burned = simulate(fitted, weather).options[0].sources[0].input_j
        assert burned / (1e5 * BTU_J) == pytest.approx(therms, rel=2e-3)
    if "standby" in more:
        # by hand: 100 W in 8,760 h are 876 kWh, 29.9 therms; the rest is used at 85 %
        assert how["by_fuel"][0]["efficiency"] == pytest.approx(0.85, rel=1e-3)
        by_hand = (551e5 - 876 * 3412.14) * 0.85 / degree_hours("62 degF") * W_K
        assert float(cells[1][0]) == pytest.approx(by_hand, rel=1e-3)
    # less than standby alone is no house's fuel
    if "standby" in more:
        assert filled(tmp_path, "Home,Annual therms", "A,25", of=(case, weather))[0][0][0] == "25 therm"
