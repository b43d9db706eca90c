"""The list of material: coils by hand, and what it says of built-in studies against what they were entered with."""

from __future__ import annotations

import copy
import csv
import io
import itertools
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costsim.analysis.capacity import capacity_report
from costsim.analysis.coils import Coils, coils_for
from costsim.analysis.entered import entered
from costsim.cli.main import main
from costsim.engine.lower import lower_study
from costsim.simulation import load_weather
from costsim.study.case import case_from, read_study
from costsim.views.materials import material_csv, material_rows
from costsim.views.system import system_of

FT = 0.3048


def listed(name: str, option: str = "", units: str = "us", **changed: Any) -> dict[str, tuple[str, str, str]]:
    """Number, size and rule of every line, by what it is; like lines in one, added up by their text."""
    study = read_study(name)
    data = copy.deepcopy(study.typed) | changed
    case = case_from(data, files=study.files)
    weather = load_weather(case)
    common, looks = lower_study(case, weather), {one.option: one for one in capacity_report(case, weather).options}
    one = next(one for one in case.options if option in one.name)
    plan = entered(common, weather, one)
    _, rows = material_rows(plan, system_of(common, one, looks[one.name].sources, plan.layout), units)
    assert all(len(row) == 4 and row[0] and row[1] for row in rows)
    return {row[0]: (row[1], row[2].replace("\xa0", " "), row[3]) for row in rows}


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
    assert rows[0] == ["material", "number", "size", "how it is told"]
    assert any(row[0] == "expansion tank" for row in rows)
    assert "no prices" in rows[-1][0]


def test_the_file_runs_no_formula() -> None:
    text = material_csv(["material"], [["=1+1"]])
    assert text.splitlines()[1] == "'=1+1"
