"""The list of material: coils by hand, and what it says of built-in studies against what they were entered with."""

from __future__ import annotations

import copy
import csv
import io
import itertools
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costsim.analysis.capacity import capacity_report
from costsim.analysis.coils import Coils, coils_for
from costsim.analysis.entered import Entered, entered
from costsim.analysis.select import SourceChoice
from costsim.cli.main import main
from costsim.engine.lower import lower_study
from costsim.simulation import load_weather
from costsim.study.case import case_from, read_study
from costsim.views.materials import material_csv, material_rows
from costsim.views.schematic import System
from costsim.views.system import system_of

FT = 0.3048


def planned(name: str, option: str = "", **changed: Any) -> tuple[Entered, System]:
    """An option of a built-in study as entered, and what its schematic shows."""
    study = read_study(name)
    case = case_from(copy.deepcopy(study.typed) | changed, files=study.files)
    weather = load_weather(case)
    common, looks = lower_study(case, weather), {one.option: one for one in capacity_report(case, weather).options}
    one = next(one for one in case.options if option in one.name)
    plan = entered(common, weather, one)
    return plan, system_of(common, one, looks[one.name].sources, plan.layout)


def lines_of(plan: Entered, drawn: System, units: str = "us") -> dict[str, tuple[str, str, str]]:
    """Number, size and rule of every line, by what it is."""
    _, rows = material_rows(plan, drawn, units)
    assert all(len(row) == 4 and row[0] and row[1] for row in rows)
    return {row[0]: (row[1], row[2].replace("\xa0", " "), row[3]) for row in rows}


def listed(name: str, option: str = "", units: str = "us", **changed: Any) -> dict[str, tuple[str, str, str]]:
    """The lines of an option of a built-in study."""
    return lines_of(*planned(name, option, **changed), units)


def with_sources(plan: Entered, *sources: SourceChoice, **circuit: Any) -> Entered:
    """The same option with other sources and pressure parts."""
    choice = plan.choice
    return replace(
        plan, choice=replace(choice, sources=sources or choice.sources, circuit=replace(choice.circuit, **circuit))
    )


def test_coils_are_cut_whole_and_leave_least_over() -> None:
    # 300 + 200 and 200 + 150 + 150 fill two coils of 500; 300s would take 4 or more
    assert coils_for([200.0, 150.0, 300.0, 200.0, 150.0], (300.0, 500.0, 1000.0)) == Coils(1, 1000.0)
    assert coils_for([200.0, 150.0, 300.0, 200.0, 150.0], (300.0, 500.0)) == Coils(2, 500.0)
    # six loops of 285: six of 300 are 1,800; six of 500 are 3,000; 1,000 holds three, two of them are 2,000
    assert coils_for([285.0] * 6, (300.0, 500.0, 1000.0)) == Coils(6, 300.0)
    assert coils_for([1001.0], (300.0, 500.0, 1000.0)) is None
    assert coils_for([], (300.0,)) is None


@given(st.lists(st.integers(1, 100), min_size=1, max_size=5))
def test_coils_hold_every_loop_and_seldom_one_too_many(loops: list[int]) -> None:
    found = coils_for([float(one) for one in loops], (100.0,))
    assert found is not None
    # the fewest there can be, by trying every order of cutting
    fewest = min(_cut_in_order(order) for order in itertools.permutations(loops))
    assert fewest <= found.count <= fewest + 1


def _cut_in_order(order: tuple[int, ...]) -> int:
    count, left = 0, 0
    for loop in order:
        if loop > left:
            count, left = count + 1, 100
        left -= loop
    return count


def test_a_floor_laid_out_lists_its_tube_manifolds_pumps_and_parts() -> None:
    parts = listed("two_levels", "Propane")
    tubes = {name: one for name, one in parts.items() if name.startswith("floor tube: ")}
    feet = sum(int(number.split()[0]) * float(size.split(" ft")[0]) for number, size, _ in tubes.values())
    number, total, rule = parts["floor tube in all: 1/2 in PEX"]
    assert abs(feet - float(total.split(" ft")[0].replace(",", ""))) <= 0.5 * 12  # each of 12 loops is rounded
    count, _, coil = number.partition(" coils of ")
    assert int(count) * float(coil.removesuffix(" ft").replace(",", "")) >= feet
    assert "common practice, no source" in rule
    assert parts["manifold pair: Ground floor"][:2] == ("3", "2 supply + 2 return ports")
    assert parts["mains: Upper floor"][:2] == ("2", "15 ft each; 1 in PEX")
    assert parts["tank"][1] == "80 gal; pressure rating: not entered"
    assert parts["thermostats"][0] == "2"
    assert parts["zone valves"][0] == "0"
    assert parts["isolation valves"][0] == str(2 * (6 + 1))  # six pumps and a boiler
    assert parts["Propane boiler: gas pipe"][1] == "1/2 in steel"
    assert "propylene glycol" in parts["antifreeze"][1]
    assert not [one for one in parts.values() if "____" in " ".join(one)]
    assert not [one for one in parts.values() if "$" in " ".join(one)]  # no prices


def test_loops_as_typed_two_sources_and_circuit() -> None:
    parts = listed("net_loft", "propane")
    case = read_study("net_loft")
    assert case.floor is not None
    count = sum(group.count for group in case.floor.loops)
    assert sum(int(one[0].split()[0]) for name, one in parts.items() if name.startswith("floor tube: ")) == count
    breaker = next(one for name, one in parts.items() if name.endswith("breaker and wire"))
    assert breaker[1].startswith("60 A, ")  # its 60 A breaker, as the demo's text says
    assert not [name for name in parts if name.endswith("load on the service")]
    assert parts["thermostats"][:2] == ("not entered", "not entered")


def test_the_tanks_rating_is_told_where_it_is_entered() -> None:
    parts = listed("two_levels", ratings={"tank_pressure": "100 psi"})
    assert parts["tank"][1] == "80 gal; rated for 100 psi"


def test_the_command_prints_and_saves_the_list(tmp_path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "parts.csv"
    assert main(["layout", "two_levels", "--option", "Propane boiler", "--materials", str(file)]) == 0
    text = capsys.readouterr().out
    assert "Material for Propane boiler" in text
    assert "licensed trade" in text.splitlines()[-1]
    rows = list(csv.reader(io.StringIO(file.read_text(encoding="utf-8"))))
    assert rows[0] == ["material", "number", "size", "basis"]
    assert any(row[0] == "expansion tank" for row in rows)
    assert "no prices" in rows[-1][0]


def test_the_file_runs_no_formula() -> None:
    text = material_csv(["material"], [["=1+1"]])
    assert text.splitlines()[1] == "'=1+1"


def test_a_tank_of_several_sources_has_a_relief_valve_for_them_all() -> None:
    plan, drawn = planned("net_loft", "propane")
    parts = lines_of(plan, drawn)
    # 10.5 kW are 35.8 kBtu/h, and 85 beside them: 120.8
    assert parts["relief valve on the tank"][:2] == ("1", "30 psi, 121 kBtu/h or more")
    assert parts["Existing elements: relief valve of its own"][1] == "30 psi, 36 kBtu/h or more"
    elements, propane = plan.choice.sources
    parts = lines_of(with_sources(plan, replace(elements, entered_w=0.0), propane), drawn)
    assert parts["Existing elements"][1] == "not entered"
    # a valve that is sized without one of its sources would be too small
    assert parts["Existing elements: relief valve of its own"][1] == "to be sized"
    assert parts["relief valve on the tank"][1] == "to be sized"
    assert parts["Propane unit: relief valve of its own"][1] == "30 psi, 85 kBtu/h or more"
    parts = lines_of(with_sources(plan, replace(elements, fire=True), propane, fires=elements.name), drawn)
    assert [parts[f"{name}relief valve {where}"][1] for name, where in FIRE_VALVES] == ["to be sized"] * 2
    assert "relief valve on the tank" not in lines_of(with_sources(plan, propane), drawn)
    assert "relief valve on the tank" not in lines_of(with_sources(plan, open_circuit=True), drawn)


FIRE_VALVES = (("Existing elements: ", "of its own"), ("", "on the tank"))


def test_every_hot_water_has_its_exchanger_and_valves_however_many_uses_there_are() -> None:
    zone = {"kind": "zone", "design_heat_loss": "1000 Btu/h"}
    zones = [{**zone, "name": f"Zone {at}"} for at in range(4)]
    taps = [
        {"kind": "hot_water", "people": 3},
        {"kind": "hot_water", "name": "Guests", "people": 2, "exchanger": "stored", "storage_temperature": "125 degF"},
    ]
    parts = listed("two_levels", "Propane", use=[*zones, *taps])
    assert parts["Hot water: exchanger to drinking water"][:2] == ("1", "as bought")
    assert parts["Guests: cylinder of drinking water"][:2] == ("1", "as bought")
    assert "125 °F" in parts["Guests: cylinder of drinking water"][2].replace("\xa0", " ")
    relief = parts["Guests: temperature-and-pressure relief valve"]
    assert relief[:2] == ("1", "to be sized")
    assert "licensed plumber" in relief[2]
    assert parts["Hot water: temperature-and-pressure relief valve, if a cylinder is bought"][1] == "to be sized"
    assert [parts[f"{name}: tempering valve"][:2] for name in ("Hot water", "Guests")] == [("1", "to be sized")] * 2
    assert not [name for name in listed("two_levels", "Propane") if "tempering" in name or "cylinder" in name]


def test_antifreeze_is_filled_by_hand_and_kept_out_of_drinking_water() -> None:
    plan, drawn = planned("net_loft", "propane")
    parts = lines_of(plan, drawn)
    assert "fill valve with backflow preventer" not in parts
    assert parts["hand fill or feed tank, no automatic make-up"][1] == "set to 12 psi, cold"
    assert "plumbing code" in parts["backflow preventer wherever drinking water can be connected"][2]
    parts = lines_of(plan, replace(drawn, fluid="water"))
    assert parts["fill valve with backflow preventer"][1] == "set to 12 psi, cold"
    assert "plumbing code" in parts["fill valve with backflow preventer"][2]
    assert not [name for name in parts if "make-up" in name]
    open_parts = lines_of(with_sources(plan, open_circuit=True), drawn)
    assert "plumbing code" in open_parts["fill connection with backflow preventer"][2]


def test_what_stays_is_not_bought_and_what_nobody_can_enter_is_to_be_sized() -> None:
    plan, drawn = planned("net_loft", "propane")
    elements, propane = plan.choice.sources
    parts = lines_of(with_sources(plan, replace(elements, kept=True), propane, sold_m3=None), drawn)
    for name in ("relief valve of its own", "breaker and wire"):
        number, _, rule = parts[f"Existing elements: {name}"]
        assert (number, rule.split("; ")[0]) == ("stays", "stays with the unit")
    assert parts["Existing elements"][::2] == ("stays", "stands there today and stays")
    assert parts["Propane unit"][::2] == ("1", "as entered")
    assert parts["Propane unit: gas pipe"][0] == "1"
    assert not [name for name in parts if "vent category" in name]
    assert parts["Propane unit: first-stage regulator"][1] == "to be sized"
    assert parts["expansion tank"][0] == "as sized"
    assert "several tanks: to be sized" in parts["expansion tank"][1]
    assert propane.entered_gas is not None
    beyond = replace(propane, kept=True, entered_gas=replace(propane.entered_gas, pipe=""))
    parts = lines_of(with_sources(plan, elements, beyond, needed_m3=None, known=False), drawn)
    assert parts["Propane unit: gas pipe"][:2] == ("stays", "to be sized")
    assert parts["expansion tank"][1] == "not entered"
    # the water is known, but no tank has room between these pressures: nothing to enter
    parts = lines_of(with_sources(plan, needed_m3=None, known=True), drawn)
    assert parts["expansion tank"][1] == "to be sized"


def test_a_loop_longer_than_any_coil_is_to_be_sized() -> None:
    floor = copy.deepcopy(read_study("net_loft").typed["floor"])
    floor["loops"][0]["length"] = "1100 ft"
    parts = listed("net_loft", "propane", floor=floor)
    # 12 times 1,100 ft
    assert parts["floor tube in all: 1/2 in PEX"][:2] == ("to be sized", "13,200 ft of tube")


def test_the_list_takes_no_studys_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "house.toml"
    file.write_text("a study", encoding="utf-8")
    for name in (file, tmp_path / "parts"):
        assert main(["layout", "two_levels", "-o", str(tmp_path / "copy.toml"), "--materials", str(name)]) != 0
        assert "end the name in .csv" in capsys.readouterr().err
    assert [one.name for one in tmp_path.iterdir()] == ["house.toml"]  # nor is anything else written
    assert file.read_text(encoding="utf-8") == "a study"
