"""A house whose levels have floors of their own: a slab below and tubes between joists above, as many loops as are typed."""

from __future__ import annotations

import copy
import math
from typing import Any

import pytest

from costsim import load_weather, read_study
from costsim.analysis.layout import layout
from costsim.analysis.layout_study import laid_out
from costsim.engine.lower import lower_study
from costsim.engine.water import slab_side
from costsim.errors import InputError
from costsim.physics.floor import loop_heat
from costsim.physics.fluids import fluid_properties
from costsim.physics.hydraulics import TUBES
from costsim.report.basis import basis_of
from costsim.report.water import fluid_facts
from costsim.results.cautions import cautions_of
from costsim.study.build_ups import BUILD_UPS, covered_m2k_w
from costsim.study.case import Case, case_from, parse_study, write_study
from costsim.study.layout import Layout
from costsim.units.quantity import FOOT_M, INCH_M
from costsim.views.text_layout import floor_lines, printed_layout

JOISTS = {"build_up": "joists", "spacing": "8 in", "insulation": "19 h ft2 degF/Btu"}


def house(upper: dict[str, Any], lower: dict[str, Any] | None = None, **floor: Any) -> Case:
    two = read_study("two_levels")
    data = copy.deepcopy(two.typed)
    data["floor"] |= floor
    data["tank"]["max_temperature"] = "180 degF"
    for level, typed in zip(data["floor"]["layout"]["level"], (lower or {}, upper), strict=True):
        level |= typed
    return case_from(data, files=two.files)


@pytest.mark.parametrize(("row", "covering"), [("joists_r00", 0.0), ("joists_r09", 0.088)])
def test_plates_between_joists_give_what_a_fin_does(published, row: str, covering: float) -> None:
    layer = BUILD_UPS["joists"]
    heat = loop_heat(
        flow_m3_s=5e-5, tube=TUBES["1/2 in PEX"], length_m=1.0, spacing_m=8 * INCH_M, build_up=layer,
        fluid=fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0),
        covering_m2k_w=covered_m2k_w(layer, covering), insulation_m2k_w=3.3, design_flux_w_m2=50.0,
    )  # fmt: skip
    published("floor")[row].check(float(heat.conductance_w_k) / (8 * INCH_M))


def test_each_level_lies_in_its_own_floor_from_the_water_to_the_paper() -> None:
    plain, mixed = house({}), house(JOISTS)
    weather = load_weather(mixed)
    before, after = layout(plain, weather), layout(mixed, weather)
    was, now = (
        {plan.circuit.level: max(one.design.supply_c for one in found.loops if one.circuit.level == plan.circuit.level)
         for plan in found.loops}
        for found in (before, after)
    )  # fmt: skip
    assert now["Ground floor"] == pytest.approx(was["Ground floor"])
    assert now["Upper floor"] == after.supply_c > was["Upper floor"] + 5.0
    assert "Ground floor" in after.cooler
    assert "Ground floor" not in before.cooler
    spacing = {plan.circuit.level: plan.circuit.spacing_m / INCH_M for plan in after.loops}
    assert spacing == {"Ground floor": pytest.approx(12), "Upper floor": pytest.approx(8)}
    # the year runs on the water that the layout says
    assert after.year_supply_c == pytest.approx(after.supply_c, abs=0.05)
    lines = floor_lines(after, "us")
    for line, parts in zip(
        lines, (("4 in concrete slab", "12.0 in", "10.0 h"), ("joists", "8.0 in", "19.0 h")), strict=True
    ):
        assert [part for part in parts if part not in line] == []
    assert all(line in printed_layout(after, "us") for line in lines)
    # the sheet names both floors, and only the slab weighs
    told = repr(fluid_facts(basis_of(mixed, weather, "us")))
    assert "floor of Ground floor: Living room and kitchen, Ground floor: Workroom" in told
    assert "between joists (staple-up); insulation below 19.00" in told
    cautions = cautions_of(mixed, coldest_c=-10.0, freeze_c=-30.0, max_temperature_c=80.0, system="us")
    weight = next(one for one in cautions if one.key == "weight")
    assert "concrete" in weight.text
    assert "joists" not in weight.text
    # a copy with the loops written out is the same house
    written = case_from(parse_study(laid_out(write_study(mixed.typed), after, "us").encode()), files=mixed.files)
    assert [group.build_up for group in written.floor.loops].count("joists") == sum(
        plan.circuit.level == "Upper floor" for plan in after.loops
    )
    run = lower_study(written, weather).water
    assert {check.name: check.heat_w_k for check in run.loops} == pytest.approx(
        {check.name: check.heat_w_k for check in lower_study(mixed, weather).water.loops}, rel=2e-3
    )


def test_mass_counts_each_floor_and_only_the_slab_touches_the_ground() -> None:
    mixed = house(JOISTS, mass={"ground": "50 degF"})
    side = slab_side(mixed, 14_500.0, 0.0)
    area = 1125 * FOOT_M**2
    light, heavy = BUILD_UPS["joists"].heat_capacity_j_m2k, BUILD_UPS["concrete_100"].heat_capacity_j_m2k
    assert side.slab_j_k == pytest.approx(area * (light + heavy), rel=1e-6)
    assert side.ground_w_k == pytest.approx(area / (10 / 5.678263 + 0.5), rel=1e-4)


def test_as_many_loops_as_are_typed_the_longest_room_first() -> None:
    case = house({"loops": 9}, {"loops": 3})
    found = layout(case, load_weather(case))
    counts: dict[str, int] = {}
    for plan in found.loops:
        counts[plan.circuit.level] = counts.get(plan.circuit.level, 0) + plan.fed.count
    assert counts == {"Ground floor": 3, "Upper floor": 9}
    tube = math.fsum(plan.fed.count * (plan.circuit.length_m - plan.circuit.leads_m) for plan in found.loops)
    assert tube * 12 * INCH_M == pytest.approx(2250 * FOOT_M**2)
    (note,) = (one for one in found.notes if "the longest of the" in one)
    # 780 ft2 on two loops of 12 in are 390 ft each, with 16 ft of leads
    assert note.startswith("Ground floor: the longest of the 3 loops is 124 m (406 ft), more than the 91 m (300 ft)")
    assert "; 5 loops keep to it" in note
    fewer = house({"loops": 1})
    assert any(one.startswith("Upper floor: 2 loops, one for each room, are more than the 1") for one in
               layout(fewer, load_weather(fewer)).notes)  # fmt: skip
    with pytest.raises(InputError, match=r"1 loops on Ground floor would be 1,\d+ m long each"):
        house({}, {"loops": 1, "room": [{"name": "Hall", "area": "1000 m2"}], "spacing": "1 m"})


def test_tubes_between_joists_lie_twice_in_a_bay_where_no_distance_is_typed() -> None:
    """Joists 16 in apart leave room for two runs, 8 in from each other; what is typed for any floor comes first."""
    level: dict[str, Any] = {"name": "Up", "area": "800 ft2", "build_up": "joists"}
    for typed, inches in (
        ({}, 8),
        ({"spacing": "6 in"}, 6),
        ({"room": [{"name": "Bath", "area": "50 ft2", "spacing": "4 in"}], "area": None}, 4),
    ):
        one = Layout.model_validate({"level": [{key: x for key, x in {**level, **typed}.items() if x is not None}]})
        assert one.spacing_of(one.level[0], one.level[0].rooms[0]) == pytest.approx(inches * INCH_M)
    for plain in ({"level": [level], "spacing": "12 in"}, {"level": [{**level, "build_up": "concrete_100"}]}):
        one = Layout.model_validate(plain)
        assert one.spacing_of(one.level[0], one.level[0].rooms[0]) == pytest.approx(12 * INCH_M)
