"""Sensors, letters and panels of whole drawings: on what they watch, beside what they name, within their room."""

from __future__ import annotations

import dataclasses
import math

import pytest
from views.drawn import FRAMES, FULL, NEAR, SYSTEMS, seen
from views.geometry import even
from views.test_drawn_words import LARGE, told

from costsim.views.schematic import WIDE, ValveMark, draw


@LARGE
def test_a_sensor_hangs_on_the_pump_or_pipe_that_it_watches(name: str, size: str) -> None:
    """From the edge of its ring, straight up or down, or level for the high limit beside the riser."""
    found = seen(name, size)
    rings = [one for one in found.shapes if one.kind == "circle"]
    signals = [one for one in found.shapes if one.kind == "polyline" and one.wide == 0.9 and len(one.points) == 2]
    pumps = [args[:2] for args in found.calls["pump"]]
    letters = told(found, "T", "HL")
    assert letters
    for x, y, text, _ in letters:
        ring = min(rings, key=lambda one, at=(x, y): math.dist(one.points[0], at))  # type: ignore[misc]
        lines = [(a, b) for one in signals for a, b in (one.points, one.points[::-1]) if ring.away(a) <= NEAR]
        ((start, end),) = [pair for pair in lines if found.on_pipe(pair[1]) <= NEAR or text == "T"]
        middle = ring.points[0]
        assert start[0] == end[0] == middle[0] or start[1] == end[1] == middle[1]
        pump = min((abs(math.dist(end, one) - 9.5) for one in pumps), default=99.0)
        assert min(found.on_pipe(end), pump) <= 0.5, (text, x, y)


@LARGE
def test_words_of_the_mains_stand_over_the_supply_and_under_the_return(name: str, size: str) -> None:
    found = seen(name, size)
    (supply,), (back,) = (
        [one for one in found.calls["label"] if one[2].startswith(start)] for start in ("supply 113", "return 95")
    )
    mains = sorted({y for pipe in found.pipes for a, b in pipe.edges if a[1] == b[1] for y in (a[1],)})
    assert supply[1] + 0.24 * 10.5 < mains[0]
    assert mains[-1] < back[1] - 0.78 * 10.5 < mains[-1] + 12


@LARGE
def test_letters_of_the_mixing_valve_stand_level_with_its_motor(name: str, size: str) -> None:
    found = seen(name, size)
    for x, y, _, how in told(found, "MV"):
        if how.get("anchor") == "end":  # that of the mains; a circuit's own has its letters below
            valve = min(found.calls["mixing"], key=lambda args, at=(x, y): math.dist(args[:2], at))  # type: ignore[misc]
            assert valve[0] - 5.0 - x == 4.0
            assert y - 0.27 * 9 == pytest.approx(valve[1] - 12.5, abs=1.0)


def test_a_panel_has_its_fins_evenly_within() -> None:
    found = seen("emitters", "wide")
    panel = next(one.box for one in found.shapes if one.kind == "rect" and one.wide == 1.4 and one.box[0] > 580)
    fins = [
        one.box
        for one in found.shapes
        if one.kind == "polyline" and one.wide == 0.9 and panel[0] < one.box[0] == one.box[2] < panel[2]
    ]
    assert even([panel[0], *(one[0] for one in fins), panel[2]])
    assert {(one[1] - panel[1], panel[3] - one[3]) for one in fins} == {(4.0, 4.0)}


@pytest.mark.parametrize("size", list(FRAMES))
def test_a_floor_is_drawn_as_tubes_where_no_loop_of_it_is_known(size: str) -> None:
    found = seen("floor", size)
    assert len(found.calls["loop"]) >= 2
    for x, top, bottom, *_ in found.calls["loop"]:
        assert found.on_pipe((x, top)) == 0.0
        assert found.on_pipe((x, bottom)) == 0.0


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_many_loops_take_all_the_room_before_the_return(size: str) -> None:
    frame = FRAMES[size]
    assert frame is not None
    crowded = [args for args in seen("full", size).calls["loop"] if args[3] < 20.0]
    assert 12.0 <= frame.back_x - max(x + wide / 2 for x, *_, wide in crowded) <= 20.0


def test_pipes_alone_are_drawn_where_a_tank_would_be() -> None:
    """Nothing like a tank, and no relief valve of its own; supply and return run through, with the words between them."""
    for size in ("wide", "narrow"):
        found = seen("header", size)
        assert not [one for one in found.shapes if one.kind == "rect" and one.wide == 2.0]
        middle = 354.0  # between the tank's sides of the other drawings, 300 and 408
        runs = sorted(
            a[1]
            for pipe in found.pipes
            for a, b in pipe.edges
            if a[1] == b[1] and min(a[0], b[0]) < middle < max(a[0], b[0])
        )
        words = [box for text, box in found.drawing.sheet.labels if text in ("pipes only,", "no tank")]
        assert len(words) == 2
        assert all(300.0 < one.left < one.right < 408.0 for one in words)
        assert any(y < min(one.top for one in words) for y in runs)
        low = max(one.bottom for one in words)
        assert any(y > low for y in runs)
        # water of a source that the floor does not take goes back through a bridge, left of the words
        bridges = [
            pipe for pipe in found.pipes if len({x for x, _ in pipe.points}) == 1 and 300.0 < pipe.points[0][0] < 354.0
        ]
        assert len(bridges) == 1
        assert {y for _, y in bridges[0].points} <= set(runs)
        assert len([one for one in seen("plain", size).shapes if one.kind == "rect" and one.wide == 2.0]) == 1


def test_the_floors_riser_ends_at_its_lowest_zone_where_uses_have_their_own() -> None:
    """Behind the floor's mixing valve there is cooler water than a use asks for."""
    for name in SYSTEMS:
        system = SYSTEMS[name]
        if not (system.mixing and system.uses):
            continue
        found = seen(name, "wide")
        lowest = WIDE.top + (len(system.zones) - 1) * WIDE.zone_row + 84.0
        riser = max(y for pipe in found.pipes for a, b in pipe.edges if a[0] == b[0] == 482.0 for y in (a[1], b[1]))
        assert riser == lowest


def test_a_level_of_its_own_water_is_told_in_whole_degrees() -> None:
    system = dataclasses.replace(FULL, valves=(ValveMark("Ground", 40.4, 44.4),))
    texts = [text for text, _ in draw(system, "si", WIDE).sheet.labels]
    assert "own MV at 40 °C, HL above 44 °C: Ground" in texts


@pytest.mark.parametrize("name", SYSTEMS)
@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_a_relief_valve_stands_on_its_unit_before_anything_that_shuts(name: str, size: str) -> None:
    """Nothing that shuts stands between a boiler and its relief valve: ASME BPVC IV, boiler makers' manuals (seen: Weil-McLain 383-900-006)."""
    found, system = seen(name, size), SYSTEMS[name]
    boxes = [args[1] for args in found.calls["glyph"]]
    for box in boxes:
        y = (box.top + box.bottom) / 2
        valves = [x for x, level, *_ in found.calls["relief"] if level == y and x < 300]
        checks = [x for x, level, *_ in found.calls["check"] if level == y]
        assert len(valves) == 1
        assert 0 < valves[0] - box.right <= 12
        assert all(valves[0] < x for x in checks)
        assert len(checks) == system.checked


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_a_loading_unit_stands_at_the_return_of_each_boiler_for_solid_fuel(size: str) -> None:
    found, system = seen("wood", size), SYSTEMS["wood"]
    for source, args in zip(system.sources, found.calls["glyph"], strict=True):
        box = args[1]
        y = (box.top + box.bottom) / 2
        valves = [x for x, level, *_ in found.calls["mixing"] if level == y and x < box.left]
        pumps = [x for x, level, *_ in found.calls["pump"] if level == y and x < box.left]
        assert len(pumps) == 1
        assert len(valves) == (source.least_return_c is not None)
        assert all(x < pumps[0] for x in valves)  # the pump draws through it
    legend = " ".join(text for text, _ in found.drawing.sheet.labels)
    assert "LU loading unit: holds the boiler's return at 140 °F" in legend
    assert "NO valve normally open: opens when the power fails" in legend
    assert "heat dump: radiator above the boiler, runs by gravity" in legend
    assert "Big stove cannot be put out: a heat dump that works without power" in found.drawing.about
    assert "the return to Pellets at 140 °F or more" in found.drawing.about
    assert "Boiler cannot be put out" not in found.drawing.about


@pytest.mark.parametrize("size", FRAMES)
def test_a_heat_dump_is_a_loop_above_the_fire_that_nothing_stops(size: str) -> None:
    """Hot water rises from the boiler through a valve open without power, cools above it and sinks back; no pump or check between."""
    found = seen("wood", size)
    box = found.calls["glyph"][0][1]
    y = (box.top + box.bottom) / 2
    ((radiator,),), ((x, level),) = found.calls["radiator"], found.calls["open_valve"]
    assert radiator.bottom < box.top
    assert radiator.bottom - radiator.top >= 20
    rise = next(one for one in found.pipes if one.points[0] == (x, box.top))
    assert box.left < x < box.right
    assert not rise.dash
    assert rise.points[-1][0] == radiator.right
    assert radiator.top < rise.points[-1][1] < rise.points[0][1]
    assert rise.points[1][1] < level < box.top  # the valve stands on the riser
    sink = next(one for one in found.pipes if one.points[0][0] == radiator.left)
    assert sink.dash
    assert rise.points[-1][1] < sink.points[0][1] < radiator.bottom  # cooler water leaves lower
    at, down = sink.points[-1]
    assert down == y  # into the return, between the pump and the boiler
    pump = next(px for px, level, _ in found.calls["pump"] if level == y and px < box.left)
    assert pump + 9.5 < at < box.left
    assert not [args for args in found.calls["check"] if args[0] < box.right]
    assert not seen("full", size).calls["radiator"]


@pytest.mark.parametrize("size", FRAMES)
def test_pipes_without_a_tank_are_drawn_without_its_box(size: str) -> None:
    """The tank alone is drawn with lines of 2.0."""
    assert [one for one in seen("plain", size).shapes if one.kind == "rect" and one.wide == 2.0]
    assert not [one for one in seen("header", size).shapes if one.kind == "rect" and one.wide == 2.0]
