"""Schematics: no label covers another, a pipe or a symbol; words for who cannot see; what a study says is what is drawn."""

from __future__ import annotations

import copy
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from cases import demo
from hypothesis import given, settings
from hypothesis import strategies as st

from costsim import load_weather, read_study
from costsim.analysis.capacity import capacity_report
from costsim.analysis.layout import layout
from costsim.cli.main import main
from costsim.engine.lower import lower_study
from costsim.sources import KINDS
from costsim.study.case import case_from
from costsim.units.quantity import GALLON_M3
from costsim.views.schematic import HOT_X, NARROW, WIDE, Frame, Schematic, SourceMark, System, ZoneMark, draw
from costsim.views.schematic_small import TANK_LEFT, draw_small
from costsim.views.schematic_uses import WORDS, UseMark
from costsim.views.schematic_words import WARNING
from costsim.views.sheet import Box, text_width
from costsim.views.system import system_of

NAMES = st.text(st.characters(min_codepoint=32, max_codepoint=0x2FF), min_size=1, max_size=80)
SOURCES = st.builds(
    SourceMark,
    name=NAMES,
    symbol=st.sampled_from([*sorted({model.symbol for model in KINDS.values()}), "something else"]),
    rated_w=st.floats(0.0, 5e5),
    delivered_w=st.floats(0.0, 5e5),
    flow_m3_s=st.none() | st.floats(1e-5, 1e-2),
    circuit=st.sampled_from(["", "glycol", "drain_back"]),
    filling_m3=st.none() | st.floats(1e-3, 1.0),
    coldest_c=st.none() | st.floats(-50.0, -0.1),
    burns_on=st.booleans(),
    least_return_c=st.none() | st.just(60.0),
)
ZONES = st.builds(
    ZoneMark,
    name=NAMES,
    loops=st.integers(0, 16),
    pumps=st.integers(0, 16),
    speed=st.sampled_from(["", "60 %", "60 % and 80 % and 100 %"]),
    flow_m3_s=st.floats(0.0, 1e-2),
    head_pa=st.floats(0.0, 2e5),
    water_c=st.none() | st.floats(20.0, 95.0),
    valved=st.booleans(),
)
SYSTEMS = st.builds(
    System,
    title=NAMES,
    sources=st.lists(SOURCES, min_size=1, max_size=3).map(tuple),
    zones=st.lists(ZONES, min_size=1, max_size=4).map(tuple),
    tank_m3=st.none() | st.floats(0.01, 100.0),
    open_circuit=st.booleans(),
    mixing=st.booleans(),
    stratified=st.booleans(),
    max_temperature_c=st.floats(30.0, 95.0),
    supply_c=st.floats(25.0, 95.0),
    return_c=st.floats(15.0, 90.0),
    load_w=st.floats(500.0, 1e6),
    relief_pa=st.none() | st.floats(1e5, 1e6),
    vessel_m3=st.none() | st.floats(1e-3, 10.0),
    fluid=st.sampled_from(["water", "50 % propylene glycol"]),
    uses=st.lists(
        st.builds(UseMark, name=NAMES, kind=st.sampled_from(sorted(WORDS)), needs_c=st.floats(15.0, 95.0)), max_size=4
    ).map(tuple),
)


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    across = one.left < other.right - 1e-9 and other.left < one.right - 1e-9
    return across and one.top < other.bottom - 1e-9 and other.top < one.bottom - 1e-9


def test_boxes_that_share_an_edge_do_not_overlap_and_those_that_share_more_do() -> None:
    one = Box(0.0, 0.0, 10.0, 10.0)
    for moved, want in ((9.99, True), (10.0, False), (10.01, False)):
        for other in (Box(moved, 0.0, moved + 5, 10.0), Box(0.0, moved, 10.0, moved + 5)):
            assert overlap(one, other) is want
            assert overlap(other, one) is want
    assert not overlap(one, Box(11.0, 11.0, 12.0, 12.0))


def collisions(drawing: Schematic) -> list[str]:
    """Every label that covers another, a pipe or a symbol, or leaves the sheet."""
    sheet, found = drawing.sheet, []
    for at, (text, box) in enumerate(sheet.labels):
        found += [f"{text} / {other}" for other, there in sheet.labels[at + 1 :] if overlap(box, there)]
        for (x1, y1), (x2, y2) in sheet.pipes:
            pipe = Box(min(x1, x2) - 0.9, min(y1, y2) - 0.9, max(x1, x2) + 0.9, max(y1, y2) + 0.9)
            if overlap(box, pipe):
                found.append(f"{text} / pipe {x1, y1, x2, y2}")
        tanks = [one for one in sheet.symbols if one.right - one.left > 100 and one.top in (WIDE.top, NARROW.top)]
        tanks += [one for one in sheet.symbols if one.left == TANK_LEFT]
        inside = [one for one in sheet.symbols if overlap(box, one) and one not in tanks and text not in ("T", "HL")]
        found += [f"{text} / symbol {one}" for one in inside]
        if box.left < 0 or box.top < 0 or box.right > sheet.width or box.bottom > sheet.height:
            found.append(f"{text} leaves the sheet")
    return found


@settings(max_examples=80, deadline=None)
@given(system=SYSTEMS, units=st.sampled_from(["us", "si"]), frame=st.sampled_from([WIDE, NARROW, None]))
def test_no_label_covers_anything(system: System, units: str, frame: Frame | None) -> None:
    drawing = draw(system, units, frame) if frame else draw_small(system, units)
    assert collisions(drawing) == []
    assert WARNING in "".join(text for text, _ in drawing.sheet.labels)


@settings(max_examples=30, deadline=None)
@given(system=SYSTEMS)
def test_a_drawing_is_well_formed_and_says_itself_in_words(system: System) -> None:
    drawing = draw(system, "us")
    root = ET.fromstring(drawing.svg)
    assert root.get("role") == "img"
    assert WARNING in str(root.get("aria-label"))
    assert ("open vent" in drawing.about) == system.open_circuit
    assert ("mixing valve" in drawing.about) == ("high limit" in drawing.about) == system.mixing
    assert ("check valve" in drawing.about) == (len(system.sources) > 1)
    legend = " ".join(text for text, _ in drawing.sheet.labels)
    assert ("TV tempering valve" in legend) == any(use.kind in ("hot_water", "cylinder") for use in system.uses)
    assert all(", ".join(use.lines("us")) in drawing.about for use in system.uses)
    colours = {node.get(key) for node in root.iter() for key in ("fill", "stroke")} - {None}
    assert colours <= {"#1a1a1a", "#ffffff", "none"}  # legible in black and white
    assert draw(system, "us").svg == drawing.svg


def test_a_collision_would_be_seen() -> None:
    system = System(
        "A", (SourceMark("B", "flame", 1e4, 1e4),), (ZoneMark("C", 3, 1, "", 1e-4, 1e4),), 0.3, False, False, 1, 60.0, 45.0,
        35.0, 1e4, None, {}, "water",
    )  # fmt: skip
    drawing = draw(system, "us")
    drawing.sheet.label(500, 80, "over the supply label")
    assert collisions(drawing)


def test_widths_are_on_the_safe_side_of_the_font() -> None:
    """Against the widths of DejaVu Serif, wider than the fonts named first, value from memory: 0.56 to 0.64 a letter."""
    assert text_width("supply", 10) > 6 * 5.3
    assert text_width("W" * 10, 10) > 10 * 7


def test_what_is_drawn_is_what_the_study_says() -> None:
    case = read_study("net_loft")
    weather = load_weather(case)
    common, looks = lower_study(case, weather), capacity_report(case, weather).options
    option, look = case.options[1], looks[1]
    system = system_of(common, option, look.sources, None)
    assert [one.rated_w for one in system.sources] == [one.rated_w for one in look.sources]
    assert [zone.loops for zone in system.zones] == [12]
    assert system.zones[0].pumps == 6
    water = common.water
    flow = 12 * water.loops[0].flow_m3_s
    drop = common.route.load_w / (flow * water.density_kg_m3 * water.heat_capacity_j_kgk)
    assert system.supply_c - system.return_c == pytest.approx(drop, rel=0.02)
    assert system.fluid == "30% propylene glycol"


def test_collectors_are_drawn_behind_an_exchanger_and_each_floor_with_its_own_water() -> None:
    """Glycol or drain-back beside the tank's water, never in it; the return is what the circuits' returns mix to.

    By hand: a valve takes of the mains what its loops' heat needs between mains and its own return, so the mains come back colder than
    their supply by all heat over all that is taken.
    """
    data = copy.deepcopy(demo("two_levels"))
    collectors = {"kind": "solar", "name": "Plates", "area": "96 ft2", "tilt": "60 deg"}
    data["tank"] = {"volume": "120 gal", "max_temperature": "150 degF"}
    data["option"][0]["source"].append(collectors)
    data["option"][1]["source"].append(collectors | {"frost_protection": "drain_back"})
    _, upper = data["floor"]["layout"]["level"][:2]
    upper |= {"build_up": "joists", "spacing": "8 in", "covering": "0.75 h ft2 degF/Btu"}
    case = case_from(data)
    weather = load_weather(case)
    common, looks, plan = lower_study(case, weather), capacity_report(case, weather).options, layout(case, weather)
    assert plan.cooler
    for option, look, circuit in zip(case.options, looks, ("glycol", "drain_back"), strict=False):
        system = system_of(common, option, look.sources, plan)
        assert [one.circuit for one in system.sources] == [""] * (len(system.sources) - 1) + [circuit]
        assert system.sources[-1].filling_m3 == pytest.approx(96 * 0.3048**2 * 1e-3 + 0.010)
        drawing = draw(system, "us", NARROW)
        texts = [text for text, _ in drawing.sheet.labels]
        assert texts.count("HX") == 1
        assert texts.count("ET") == 1 + (circuit == "glycol")
        assert texts.count("DB") == (circuit == "drain_back")
        assert ("glycol" in texts) == (circuit == "glycol")
        assert texts.count("RV") == len(system.sources) + 1
        assert texts.count("MV") == texts.count("HL") == 1 + sum(zone.valved for zone in system.zones)
        shown = [f"{zone.water_c * 1.8 + 32:.0f} °F" for zone in system.zones]
        assert len({*shown}) > 1
        assert {*shown} <= {*texts}
        assert collisions(drawing) == collisions(draw_small(system, "us")) == []
    cool = {loop.circuit.name for loops in plan.cooler.values() for loop in loops}
    warmest = {name: max(loop.design.supply_c for loop in loops) for name, loops in plan.cooler.items()}
    heat = taken = 0.0
    for loop in plan.loops:
        carried = loop.fed.count * loop.fed.flow_m3_s
        water = (
            plan.supply_c
            if loop.circuit.name not in cool
            else warmest.get(loop.circuit.level, warmest.get(loop.circuit.name))
        )
        heat += carried * loop.design.drop_k
        taken += carried * loop.design.drop_k / (plan.supply_c - (water - loop.design.drop_k))
    assert system.return_c == pytest.approx(plan.supply_c - heat / taken, abs=0.05)


def test_the_small_drawing_names_what_was_bought_beside_what_is_left_in_the_cold() -> None:
    """A heat pump of 42 kBtu/h that gives 24.1 when it is coldest; an element that gives all it is rated."""
    btu_h = 0.29307107
    pump = SourceMark("Heat pump", "fan", 42e3 * btu_h, 24.1e3 * btu_h, circuit="glycol")
    element = SourceMark("Backup", "element", 20e3 * btu_h, 20e3 * btu_h)
    plain = System(
        "A", (pump, element), (ZoneMark("C", 3, 1, "", 1e-4, 1e4),), 0.3, False, False, 1, 60.0, 45.0, 35.0, 1e4, None, {}, "water",
    )  # fmt: skip
    texts = [text for text, _ in draw_small(plain, "us").sheet.labels]
    assert "24.1 of 42.0 kBtu/h" in texts
    assert "20.0 kBtu/h" in texts
    assert "glycol, exchanger" in texts


def test_an_option_is_drawn_with_the_tank_of_its_own() -> None:
    data = copy.deepcopy(demo("net_loft"))
    data["option"][1]["tank"] = {"volume": "300 gal", "circuit": "open"}
    case = case_from(data)
    weather = load_weather(case)
    common, report = lower_study(case, weather), capacity_report(case, weather)
    drawn = [
        system_of(common, option, look.sources, None) for option, look in zip(case.options, report.options, strict=True)
    ]
    assert [one.open_circuit for one in drawn] == [False, True, False]
    assert drawn[1].tank_m3 == pytest.approx(300 * GALLON_M3)


def test_a_tank_hotter_than_the_floor_is_mixed_and_limited_and_idle_sources_are_checked() -> None:
    """Whatever heats it: an electric boiler on 180 °F, one that the study's own tank serves, and a tank that is no hotter."""
    data = copy.deepcopy(demo("net_loft"))
    data["option"][0]["tank"] = {"volume": "80 gal", "max_temperature": "180 degF"}
    case = case_from(data)
    weather = load_weather(case)
    common, looks = lower_study(case, weather), capacity_report(case, weather).options
    for option, look in zip(case.options, looks, strict=True):
        drawing = draw(system_of(common, option, look.sources, None), "us")
        texts = [text for text, _ in drawing.sheet.labels]
        assert {"MV", "HL"} <= set(texts)
        assert texts.count("CV") == (len(option.sources) if len(option.sources) > 1 else 0)
        legend = " ".join(texts)
        assert "ET expansion tank" in legend
        assert "BFP backflow preventer" in legend
        assert ("CV check valve" in legend) == (len(option.sources) > 1)
        assert "stops the rooms' pumps above" in legend
    system = system_of(common, case.options[0], looks[0].sources, None)
    # 29 °C on the floor by EN 1264-2, 8.92 × 10.11^1.1 = 113.7 W/m² at 18.89 °C, over what a loop gives for a kelvin
    loop = common.water.loops[0]
    area = case.floor.loops[0].area_m2
    assert system.limit_c == pytest.approx(18.89 + 113.7 * area / loop.heat_w_k, abs=0.3)
    supply = system.supply_c
    data["option"][0]["tank"]["max_temperature"] = f"{supply - 0.1:.3f} degC"
    case = case_from(data)
    cool = system_of(lower_study(case, weather), case.options[0], looks[0].sources, None)
    assert not cool.mixing


def test_uses_of_the_tank_are_drawn_with_circuits_of_their_own() -> None:
    data = copy.deepcopy(demo("net_loft"))
    data["option"][1]["tank"] = {"volume": "300 gal", "max_temperature": "180 degF"}
    data["use"] = [
        {"kind": "hot_water", "people": 3, "exchanger": "stored"},
        {"kind": "pool_or_tub", "area": "200 ft2"},
        {"kind": "snow_melt", "area": "300 ft2", "snowfall": "20 in"},
    ]
    case = case_from(data)
    weather = load_weather(case)
    common, looks = lower_study(case, weather), capacity_report(case, weather).options
    drawing = draw(system_of(common, case.options[1], looks[1].sources, None), "us")
    texts = [text for text, _ in drawing.sheet.labels]
    assert {"Hot water", "Pool", "Snow melting", "taps", "cold", "TV"} <= set(texts)
    assert "cylinder of drinking water, tank at 149 °F or more" in texts
    assert collisions(drawing) == []
    # the taps want hotter water than the floor: they take it before the mixing valve that the floor then needs
    assert "MV" in texts
    assert any(pipe[0][0] == pipe[1][0] == HOT_X for pipe in drawing.sheet.pipes)
    drawing = draw(system_of(common, case.options[1], looks[1].sources, None), "si", NARROW)
    assert collisions(drawing) == []


def test_command_scenarios_each_option_or_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "system.svg"
    assert main(["layout", "two_levels", "--drawing", str(target)]) == 0
    assert {path.name for path in tmp_path.iterdir()} == {"system-1.svg", "system-2.svg"}
    assert main(["layout", "two_levels", "--drawing", str(target), "--option", "Propane boiler"]) == 0
    assert "Ground floor" in target.read_text(encoding="utf-8")
    assert "not for installation" in capsys.readouterr().out
    assert main(["layout", "two_levels", "--drawing", str(tmp_path / "system.png")]) == 2
    assert "end the name in .svg" in capsys.readouterr().err
