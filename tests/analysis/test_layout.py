"""Layouts against geometry, hydraulics and floors by hand, and the study they are written into."""

from __future__ import annotations

import copy
import math
from pathlib import Path
from typing import Any

import pytest
from cases import demo
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim import load_weather, read_study
from costsim.analysis.layout import LayoutResult, as_json, layout
from costsim.analysis.layout_study import laid_out, write_laid_out
from costsim.cli.main import main
from costsim.engine.loop_checks import circulating
from costsim.engine.lower import lower_study
from costsim.errors import InputError
from costsim.physics.fluids import fluid_properties, mass_fraction_from_volume
from costsim.study.case import Case, case_from, write_study
from costsim.study.layout import Layout
from costsim.study.loops import circuits_of, spread_share
from costsim.units.faults import build
from costsim.units.quantity import FOOT_M, GALLON_M3
from costsim.views.text_layout import printed_layout

GPM, FOOT_PA, HALF_M = GALLON_M3 / 60, 2989.067, 0.475 * FOOT_M / 12
PUMP = {"flows": ["0 gpm", "2 gpm", "4 gpm"], "heads": ["14 ftH2O", "11 ftH2O", "5 ftH2O"]}


def two_levels(**floor: Any) -> dict[str, Any]:
    """An invented house of two levels on 50 % propylene glycol."""
    return {
        "title": "Two levels",
        "place": {"weather": "greensboro.csv", "design_outdoor": "15 degF"},
        "house": {
            "floor_area": "2250 ft2",
            "heat_loss_per_area": "22 Btu/(h ft2)",
            "indoor_temperature": "70 degF",
            "balance_point": "63 degF",
        },
        "floor": {
            "antifreeze": "propylene_glycol",
            "concentration": "50 vol%",
            "pump": copy.deepcopy(PUMP),
            "layout": {
                "level": [
                    {"name": "Ground", "area": "1125 ft2", "distance": "10 ft"},
                    {
                        "name": "Upper",
                        "distance": "8 ft",
                        "mains": "15 ft",
                        "room": [
                            {"name": "Bedrooms", "area": "700 ft2"},
                            {"name": "Bath", "area": "90 ft2"},
                            {"name": "Hall", "area": "335 ft2"},
                        ],
                    },
                ]
            },
            **floor,
        },
        "tank": {"volume": "80 gal", "max_temperature": "140 degF"},
        "prices": {"electricity": {"energy": "0.14 $/kWh"}},
        "option": [{"name": "Electric", "source": [{"kind": "electric", "output": "16 kW"}]}],
    }


def found(data: dict[str, Any]) -> LayoutResult:
    case = case_from(data)
    return layout(case, load_weather(case))


@pytest.fixture(scope="module")
def plain() -> LayoutResult:
    return found(two_levels())


def level(**keys: Any) -> Layout:
    return Layout.model_validate({"level": [{"name": "One", **keys}]})


def test_three_hundred_feet_at_twelve_inches_serve_three_hundred_square_feet(published) -> None:
    one = circuits_of(level(area="300 ft2", distance="0 ft"))[0]
    published("layout")["loop_300_ft"].check(one.length_m / FOOT_M)
    assert one.count == 1


def test_leads_count_twice_and_ask_for_another_loop() -> None:
    one = circuits_of(level(area="300 ft2", distance="10 ft"))[0]
    assert one.count == 2
    assert one.length_m / FOOT_M == pytest.approx(150 + 20)


def test_a_source_is_tapped_where_its_water_leaves_and_comes_back(plain: LayoutResult) -> None:
    assert plain.source_tappings == 2


def test_small_rooms_are_joined_and_areas_kept(plain: LayoutResult) -> None:
    names = [plan.circuit.name for plan in plain.loops]
    assert "Upper: Hall + Bath" in names
    area = sum(
        plan.fed.count * (plan.circuit.length_m - plan.circuit.leads_m) * plan.circuit.spacing_m for plan in plain.loops
    )
    assert area == pytest.approx(2250 * FOOT_M**2)


@settings(max_examples=60, deadline=None)
@given(
    areas=st.lists(st.floats(4.0, 120.0), min_size=1, max_size=8),
    away=st.floats(0.0, 12.0),
    spacing=st.sampled_from(["100 mm", "150 mm", "12 in"]),
)
def test_no_loop_is_too_long_and_no_floor_is_lost(areas: list[float], away: float, spacing: str) -> None:
    rooms = [{"name": f"room {i}", "area": f"{area!r} m2"} for i, area in enumerate(areas)]
    plan = Layout.model_validate(
        {"spacing": spacing, "level": [{"name": "One", "distance": f"{away!r} m", "room": rooms}]}
    )
    circuits = circuits_of(plan)
    assert max(one.length_m for one in circuits) <= plan.longest_m + 1e-6
    assert math.fsum(one.area_m2 for one in circuits) == pytest.approx(math.fsum(areas))
    assert sorted(name for one in circuits for name in one.rooms) == sorted(room["name"] for room in rooms)
    fewest = sum(one.fewest(plan.longest_m) for one in circuits)
    assert sum(one.count for one in circuits) <= fewest + max(1, fewest // 4)


def test_loops_of_a_level_are_balanced_within_a_tenth(plain: LayoutResult) -> None:
    assert plain.spread_share["Ground"] == pytest.approx(0.0, abs=1e-9)
    assert plain.spread_share["Upper"] <= 0.10
    upper = [plan.circuit.length_m for plan in plain.loops if plan.circuit.level == "Upper"]
    assert spread_share(upper) == pytest.approx(plain.spread_share["Upper"])


def test_loops_that_cannot_be_balanced_are_told() -> None:
    data = two_levels()
    data["floor"]["layout"]["level"][1]["room"][1] |= {"thermostat": "Bath"}
    notes = found(data).notes
    assert any("Upper: loops differ in length" in note and "balancing valves" in note for note in notes)


def test_flow_and_head_meet_the_pump_curve_and_hagen_poiseuille_by_hand(plain: LayoutResult) -> None:
    """Laminar: Δp = 128 μ L Q / (π d⁴), with CoolProp's viscosity; the pump's curve by straight lines and affinity."""
    mass = mass_fraction_from_volume(fluid="propylene_glycol", volume_fraction=0.5)
    viscosity = PropsSI("V", "T", 313.15, "P", 2e5, f"INCOMP::MPG[{mass}]")
    checked = 0
    for plan in plain.loops:
        fed = plan.fed
        if plan.regime != "laminar" or plan.circuit.level != "Ground":
            continue
        by_hand = 128 * viscosity * plan.circuit.length_m * fed.flow_m3_s / (math.pi * HALF_M**4)
        assert fed.head_pa == pytest.approx(by_hand, rel=0.005)
        checked += 1
    for pump in plain.pumps:
        at = pump.flow_m3_s / GPM / pump.speed_share
        head = (14 - 1.5 * at if at <= 2 else 11 - 3 * (at - 2)) * pump.speed_share**2
        assert pump.head_pa / FOOT_PA == pytest.approx(head, rel=0.002)
        checked += 1
    assert checked >= 3


def test_drop_and_output_stand_up_to_a_pencil(plain: LayoutResult) -> None:
    mass = mass_fraction_from_volume(fluid="propylene_glycol", volume_fraction=0.5)
    fluid = fluid_properties(fluid="propylene_glycol", mass_fraction=mass, temperature_c=40.0)
    total = 0.0
    for plan in plain.loops:
        carried = plan.fed.flow_m3_s * fluid.density_kg_m3 * fluid.heat_capacity_j_kgk * plan.design.drop_k
        assert carried == pytest.approx(plan.design.load_w)
        assert plan.half.load_w == pytest.approx(plan.design.load_w / 2)
        assert plan.output_w >= plan.design.load_w * (1 - 1e-9)
        assert plan.design.drop_k <= 20 / 1.8 + 1e-9
        total += plan.fed.count * plan.design.load_w
    assert total == pytest.approx(plain.design_load_w)
    assert plain.unserved == ()


def test_floor_output_agrees_with_the_field_of_en_1264(published) -> None:
    """With plain water at a good flow, flux over mean water excess is the standard's slope for 300 mm and no covering."""
    data = two_levels(antifreeze="none", concentration="0 vol%", build_up="screed_65")
    data["floor"]["layout"] |= {"tube": "20x2", "spacing": "300 mm", "temperature_drop": "3 K", "max_loops_per_pump": 1}
    data["house"]["heat_loss_per_area"] = "40 W/m2"
    plan = found(data).loops[0]
    flux = plan.design.load_w * plan.circuit.count / plan.circuit.area_m2
    mean = plan.design.supply_c - plan.design.drop_k / 2 - (70 - 32) / 1.8
    published("floor")["en1264_field_t300_r00"].check(flux / mean)


def test_two_loops_on_a_small_pump_keep_about_nine_tenths_each(published) -> None:
    data = two_levels()
    data["floor"]["layout"] |= {"temperature_drop": "40 degF", "pump_speeds": ["60 %"]}
    plans = [plan for plan in found(data).loops if plan.fed.loops_per_pump == 2]
    assert plans
    for plan in plans:
        published("layout")["two_on_one_pump"].check(plan.alone_flow_share)
        assert plan.alone_flow_share < plan.alone_share < 1.0  # slower water cools further


def test_flow_head_and_drop_of_the_two_level_house_by_pencil() -> None:
    """Laminar: a loop takes 128 μ L Q / (π d⁴); the pump gives 16 to 12 ft along a line to 2 gpm, times 0.36 at 60 %."""
    foot = FOOT_M
    fluid, _ = circulating("propylene_glycol", 0.5)
    plans = {plan.circuit.name: plan for plan in found(copy.deepcopy(demo("two_levels"))).loops}
    plan = plans["Ground floor: Living room and kitchen"]
    assert plan.circuit.length_m / foot == pytest.approx(
        780 / 4 + 2 * 8, abs=0.1
    )  # 195 ft in the floor, 8 ft of lead each way
    loop = 128 * fluid.viscosity_pa_s * plan.circuit.length_m / (math.pi * (0.475 * 0.0254) ** 4)  # Pa s/m³
    start, slope = 16 * 0.36 * FOOT_PA, 2 * 0.6 * FOOT_PA / GPM
    for loops, flow in ((2, plan.fed.flow_m3_s), (1, plan.fed.flow_m3_s / plan.alone_flow_share)):
        lift = 0.0  # ground floor: no mains
        assert flow == pytest.approx((start - lift) / (loop + slope * loops), rel=0.01)
    load = 2250 * 22 * 1055.056 / 3600 * 780 / 2250 / 4
    drop = load / (plan.fed.flow_m3_s * fluid.density_kg_m3 * fluid.heat_capacity_j_kgk)
    assert plan.design.load_w == pytest.approx(load)
    assert plan.design.drop_k == pytest.approx(drop)
    # floor surface: 22 Btu/(h ft²) are 69.4 W/m², 8.92 (t - 21.1)^1.1 of EN 1264-2
    assert plan.design.surface_c == pytest.approx((70 - 32) / 1.8 + (69.4 / 8.92) ** (1 / 1.1), abs=0.1)


def test_half_glycol_wants_about_one_pump_speed_more_than_water(published) -> None:
    """With a three-speed pump, the mean speed step over all pumps."""
    steps = []
    for fluid in ({"antifreeze": "none", "concentration": "0 vol%"}, {}):
        data = two_levels(**fluid)
        data["floor"]["layout"] |= {"max_loops_per_pump": 1, "pump_speeds": ["60 %", "80 %", "100 %"]}
        plans = found(data).pumps
        steps.append(sum(("60%", "80%", "100%").index(f"{pump.speed_share:.0%}") for pump in plans) / len(plans))
    published("layout")["glycol_speed"].check(steps[1] - steps[0])


def test_antifreeze_to_buy_is_content_times_share_and_a_tenth(plain: LayoutResult) -> None:
    tubes = plain.tube_m * math.pi / 4 * HALF_M**2
    assert plain.fluid.content_m3["tubes"] == pytest.approx(tubes)
    assert plain.fluid.antifreeze_m3 == pytest.approx(plain.fluid.total_m3 * 0.5 * 1.1)
    assert plain.fluid.content_m3["tank"] == pytest.approx(80 * GALLON_M3)


def test_thin_antifreeze_is_told_with_the_share_it_takes() -> None:
    result = found(two_levels(concentration="20 vol%"))
    assert result.fluid.needed_share is not None
    assert result.fluid.needed_share > 0.2
    assert result.fluid.freeze_c > result.fluid.needed_freeze_c


def test_a_room_under_carpet_is_told_and_each_remedy_does_it() -> None:
    data = two_levels()
    data["tank"]["max_temperature"] = "115 degF"
    data["floor"]["layout"]["level"][0]["covering"] = "0.2 m2 K/W"
    result = found(data)
    one = next(one for one in result.unserved if one.circuit == "Ground")
    assert one.missing_w > 0
    assert one.why == "supply"
    ways = {way.what: way.value for way in one.remedies}
    assert ways["a panel or another emitter that gives"] == pytest.approx(one.missing_w)
    covering = ways["a covering of no more than"]
    assert covering is not None
    data["floor"]["layout"]["level"][0]["covering"] = f"{covering - 1e-3} m2 K/W"
    assert "Ground" not in [one.circuit for one in found(data).unserved]


def test_a_floor_beyond_its_surface_limit_needs_another_emitter() -> None:
    data = two_levels()
    data["house"]["heat_loss_per_area"] = "40 Btu/(h ft2)"
    for one in found(data).unserved:
        assert one.why == "surface"
        assert [way.dimension for way in one.remedies] == ["power"]


def test_what_is_written_runs_and_has_the_same_flows(tmp_path: Path, plain: LayoutResult) -> None:
    source, target = tmp_path / "areas.toml", tmp_path / "loops.toml"
    source.write_text("# my house\n" + write_study(two_levels()), encoding="utf-8")
    case = read_study(source)
    write_laid_out(case, plain, target, "us")
    text = target.read_text(encoding="utf-8")
    assert text.startswith("# my house")
    again = read_study(target)
    loops = lower_study(again, load_weather(again)).water.loops
    assert [loop.count for loop in loops] == [plan.fed.count for plan in plain.loops]
    for loop, plan in zip(loops, plain.loops, strict=True):
        assert loop.flow_m3_s == pytest.approx(plan.fed.flow_m3_s, rel=0.03)  # partners on a pump differ a little
    with pytest.raises(InputError, match="there already"):
        write_laid_out(case, plain, target, "us")


def test_a_layout_alone_makes_a_study_that_runs_on_its_pumps(plain: LayoutResult) -> None:
    case = case_from(two_levels())
    assert not case.floor.loops_typed
    loops = lower_study(case, load_weather(case)).water.loops
    assert [(loop.count, loop.flow_m3_s) for loop in loops] == [
        (plan.fed.count, pytest.approx(plan.fed.flow_m3_s, rel=0.03)) for plan in plain.loops
    ]
    assert lower_study(case, load_weather(case)).water.limit_w > 0


@pytest.mark.parametrize(
    ("change", "part"),
    [
        ({"level": []}, "level"),
        ({"level": [{"name": "A"}]}, "has no heated area"),
        ({"level": [{"name": "A", "area": "9 m2"}, {"name": "A", "area": "9 m2"}]}, "two levels"),
        ({"level": [{"name": "A", "area": "9 m2", "distance": "60 m"}]}, "manifold"),
        ({"level": [{"name": "A", "area": "9 m2"}], "pump_speeds": ["80 %", "60 %"]}, "rise"),
    ],
)
def test_a_layout_that_cannot_be_is_one_line(change: dict[str, Any], part: str) -> None:
    data = two_levels()
    data["floor"]["layout"] = change
    with pytest.raises(InputError, match=part):
        case_from(data)


def test_rooms_of_the_house_share_the_load_by_their_own_losses() -> None:
    """Bedrooms lose three times what the ground floor does, by their walls."""
    data = two_levels()
    del data["house"]["heat_loss_per_area"]
    wall = {"name": "Walls", "u_value": "0.5 W/(m2 K)"}
    losses = {"Ground": 100, "Bedrooms": 300, "Bath": 20, "Hall": 30}
    data["house"]["room"] = [
        {"name": name, "surface": [{**wall, "area": f"{area} m2"}]} for name, area in losses.items()
    ]
    loads = {plan.circuit.rooms[0]: plan.design.load_w * plan.circuit.count for plan in found(data).loops}
    assert loads["Bedrooms"] == pytest.approx(3 * loads["Ground"])
    assert loads["Hall"] == pytest.approx(0.5 * loads["Ground"])  # with the bath


def test_pumps_that_cannot_push_are_told() -> None:
    data = two_levels()
    data["floor"]["layout"] |= {"mains_tube": "3/8 in PEX"}
    data["floor"]["layout"]["level"][1]["mains"] = "300 ft"
    data["floor"]["layout"]["level"][1]["distance"] = "3 ft"
    result = found(data)
    assert {one.why for one in result.unserved if one.circuit.startswith("Upper")} == {"flow"}
    assert "cannot push" in printed_layout(result, "us")


def test_a_study_without_a_layout_is_told_what_to_add() -> None:
    with pytest.raises(InputError, match=r"floor\.layout"):
        layout(_loopless(), load_weather(_loopless()))


def _loopless() -> Case:
    return read_study("net_loft")


def test_command_prints_and_writes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source, target, data = tmp_path / "a.toml", tmp_path / "b.toml", tmp_path / "c.json"
    source.write_text(write_study(two_levels()), encoding="utf-8")
    assert main(["layout", str(source), "-o", str(target), "--json", str(data)]) == 0
    out = capsys.readouterr().out
    assert "Tank connections" in out
    assert "50% by volume" in out
    assert main(["compare", str(target)]) == 0
    assert main(["layout", str(source), "-o", str(target)]) == 2
    assert "there already" in capsys.readouterr().err
    assert '"loop_count"' in data.read_text(encoding="utf-8")


def test_json_is_plain_and_the_text_copy_keeps_units(plain: LayoutResult) -> None:
    assert as_json(plain)["fluid"]["total_m3"] == pytest.approx(plain.fluid.total_m3)
    assert 'length = "' in laid_out(write_study(two_levels()), plain, "si")
    assert ' m"' in laid_out(write_study(two_levels()), plain, "si")


@pytest.mark.parametrize(
    ("tube", "feet"), [("3/8 in PEX", 200), ("1/2 in PEX", 300), ("5/8 in PEX", 400), ("3/4 in PEX", 500)]
)
def test_usual_longest_loops(tube: str, feet: float) -> None:
    """What the trade lays at most, leads included: common practice, no source."""
    data = {"level": [{"name": "one", "area": "50 m2"}], "tube": tube}
    assert build(Layout, data).longest_m == pytest.approx(feet * 0.3048)


def test_half_the_heat_wants_half_the_excess_of_the_water_and_half_its_drop(plain: LayoutResult) -> None:
    """At one flow the floor's heat goes with what its supply is over the room: `supply = room + load / (ε ṁ c)`, `drop = load / (ṁ c)`."""
    room = plain.indoor_temperature_c
    for loop in plain.loops:
        assert loop.half.load_w == pytest.approx(loop.design.load_w / 2.0)
        assert loop.half.drop_k == pytest.approx(loop.design.drop_k / 2.0)
        assert loop.half.supply_c - room == pytest.approx((loop.design.supply_c - room) / 2.0, rel=0.02)
    # the loop that wants the hottest water names the supply of all
    assert plain.half_supply_c == pytest.approx(max(loop.half.supply_c for loop in plain.loops))
