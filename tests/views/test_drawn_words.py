"""Letters, margins and levels of whole drawings: alike things look alike, stand alike beside what they name, and keep to their room."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest
from views.drawn import DUMP, FRAMES, FULL, PLAIN, SYSTEMS, Seen, seen
from views.geometry import even, shapes_of
from views.test_symbols import SOURCE, drawn

from costsim.units.quantity import show
from costsim.views import symbols
from costsim.views.schematic import NARROW, WIDE, ZONE_X, SourceMark, draw
from costsim.views.schematic_sources import filling_words, own_fluid, separate_entries
from costsim.views.schematic_uses import UseMark, draw_use
from costsim.views.schematic_words import WARNING
from costsim.views.sheet import Sheet, text_width

LARGE = pytest.mark.parametrize(("name", "size"), [(name, size) for name in SYSTEMS for size in ("wide", "narrow")])
SMALL = pytest.mark.parametrize("name", SYSTEMS)
MARGIN = 16.0
LETTERS = ("RV", "ET", "DB", "BFP", "CV", "HX", "MV", "TV", "HL", "T", "open vent", "drinking water")
PENS = {0.4, 0.9, 1.2, 1.4, 1.8, 2.0, 2.4}
"""Edges of what is filled, thin lines, symbols, stems and boxes, pipes, tanks, logs."""


def told(found: Seen, *texts: str) -> list[tuple[float, float, str, dict[str, Any]]]:
    """Labels of these texts."""
    return [one for one in found.calls["label"] if one[2] in texts]


def one_of(found: Seen, text: str) -> tuple[float, float, str, dict[str, Any]]:
    (only,) = told(found, text)
    return only


def sizes(labels: list[Any]) -> set[float]:
    return {one[3]["size"] for one in labels}


@pytest.mark.parametrize("size", FRAMES)
@SMALL
def test_lines_are_drawn_with_few_pens(name: str, size: str) -> None:
    assert {one.wide for one in seen(name, size).shapes if one.kind != "text"} <= PENS


@LARGE
def test_margins_are_the_same_all_round(name: str, size: str) -> None:
    found, frame = seen(name, size), FRAMES[size]
    assert frame is not None
    right = frame.width - MARGIN
    title, warning = one_of(found, SYSTEMS[name].title), one_of(found, WARNING)
    assert title[0] == MARGIN
    assert (warning[0], warning[3]["anchor"]) == (right, "end")
    assert title[1] == warning[1]  # on one line
    wide = text_width(WARNING, warning[3]["size"])
    assert title[0] + title[3]["most"] == pytest.approx(right - wide - 2 * MARGIN)
    assert title[3]["size"] == max(one[3]["size"] for one in found.calls["label"])
    for start in ("Air separator", "Codes and"):
        (left_out,) = (one for one in found.calls["label"] if one[2].startswith(start))
        assert left_out[0] + left_out[3]["most"] == right
    carried, returned = (
        next(one for one in found.calls["label"] if one[2].startswith(start)) for start in ("supply 113", "return 95")
    )
    for one in (carried, returned):
        assert one[0] + one[3]["most"] == min(920.0, right)
    assert carried[0] == returned[0]


@LARGE
def test_columns_of_the_legend_have_a_gutter(name: str, size: str) -> None:
    found, frame = seen(name, size), FRAMES[size]
    assert frame is not None
    entries = [one for one in found.calls["label"] if one[2].startswith(("RV relief", "ET ", "BFP back", "T sensor"))]
    entries += [one for one in found.calls["label"] if one[2].startswith(("expansion:", "circle with"))]
    lefts = sorted({one[0] for one in entries})
    assert lefts[0] == MARGIN
    step = (frame.width - 1.5 * MARGIN) / frame.columns
    for one in entries:
        assert one[0] + one[3]["most"] == pytest.approx(one[0] + step - 12.0)
        assert one[0] + one[3]["most"] <= frame.width - MARGIN
    assert len({(one[0] - MARGIN) % step for one in entries if one[0] == MARGIN}) == 1
    below = told(found, "supply", "return")
    assert sizes(below) == sizes(entries)
    assert len({one[1] for one in below}) == 1


@LARGE
def test_letters_of_one_kind_are_of_one_size_and_one_weight(name: str, size: str) -> None:
    found, system = seen(name, size), SYSTEMS[name]
    assert sizes(told(found, *LETTERS)) == {9}
    small = min(one[3]["size"] for one in found.calls["label"])
    assert small == 9  # nothing smaller
    names = [one.name for one in (*system.sources, *system.zones, *system.uses)]
    assert sizes(told(found, *names, WARNING)) == {11}
    fluids = {own_fluid(one) for one in system.sources if one.circuit}
    water = {show(zone.water_c, "temperature", "us", 0) for zone in system.zones if zone.water_c is not None}
    middle = {} if system.tank_m3 is None else {"113 °F", "95 °F", "79 gal"}
    bold = {system.title, WARNING, *names, *fluids, *water, *middle, *DUMP}
    for one in found.calls["label"]:
        assert one[3]["bold"] is (one[2] in bold), one[2]
    assert sizes([one for one in found.calls["label"] if "×" in one[2] or one[2] in ("taps", "pool", "cold")]) <= {10}
    lines = [one for one in found.calls["label"] if one[2].startswith(("flow ", "rated ", "gives ", "tank at "))]
    assert sizes(lines) == {10}
    assert sizes(told(found, "79 gal", "sealed", "open, vented", "pipes only,", "no tank")) == {10.5}


@LARGE
def test_letters_stand_alike_beside_their_symbols(name: str, size: str) -> None:
    """Right of a vessel, a box or a valve by the same gap and level with its middle; over a check valve and an exchanger."""
    found = seen(name, size)

    def beside(text: str, kind: str) -> set[tuple[float, float]]:
        away = set()
        for x, y, *_ in told(found, text):
            at = min(found.calls[kind], key=lambda args: abs(args[0] - x) + abs(args[1] - y))
            away.add((round(x - at[0], 2), round(y - at[1], 2)))
        return away

    assert beside("RV", "relief") == {(13.0, -10.0)}  # 5 beyond its spring's side, level with its tips
    assert beside("CV", "check") <= {(0.0, -10.0)}
    rings = [one for one in found.shapes if one.kind == "circle"]
    for text in ("ET", "DB", "BFP"):
        for x, y, *_ in told(found, text):
            boxes = [one.box for one in (*rings, *(one for one in found.shapes if one.kind == "rect"))]
            near = [box for box in boxes if box[2] < x and box[1] < y - 1 < box[3]]
            box = max(near, key=lambda one: one[2])
            assert x - box[2] == pytest.approx(3.0), text
            assert y - (box[1] + box[3]) / 2 == pytest.approx(3.0), text
    (bfp,), (drinking,) = told(found, "BFP"), told(found, "drinking water")
    assert (drinking[0], drinking[1] - bfp[1]) == (bfp[0], 16.0)  # right below it
    vessel = max([x for x, *_ in found.calls["vessel"] if x > 200.0], default=232.0)
    assert drinking[0] + drinking[3]["most"] == vessel - 14.0 - 6.0
    for text in ("T", "HL"):  # written in their rings, all at one height
        below = {
            round(y - min(rings, key=lambda one: abs(one.points[0][0] - x) + abs(one.points[0][1] - y)).points[0][1], 2)
            for x, y, *_ in told(found, text)
        }
        assert below <= {3.2}, text
    for x, y, *_ in told(found, "HX"):
        box = next(
            one.box
            for one in found.shapes
            if one.kind == "rect" and one.box[0] < x < one.box[2] and 0 < one.box[1] - y < 9
        )
        assert (box[0] + box[2]) / 2 == x
        assert box[1] - y == 4.0  # as far over it as over a check valve


@LARGE
def test_circuits_of_zones_and_uses_share_their_levels(name: str, size: str) -> None:
    found, system, frame = seen(name, size), SYSTEMS[name], FRAMES[size]
    assert frame is not None
    count = len(system.zones) + len(system.uses)
    pumps = found.calls["pump"][-count:]
    assert len({x for x, *_ in pumps}) == 1
    rows = [y for _, y, _ in pumps]
    arrows = [(x, y) for x, y, towards in found.calls["arrow"] if towards == "right" and x > pumps[0][0]]
    ends = [(x, y) for x, y in arrows if x == max(across for across, _ in arrows)]
    assert [y - row for row, (_, y) in zip(rows, sorted(ends, key=lambda one: one[1]), strict=True)] == [44.0] * count
    levels = {
        round(y - row, 2)
        for row in rows
        for one in found.pipes
        if one.dash
        for x, y in one.points
        if 0 < y - row < 60 and x == frame.back_x
    }
    assert levels == {44.0}
    for zone, row in zip(system.zones, rows, strict=False):
        (label,) = told(found, zone.name)
        assert label[0] == ZONE_X
        room = frame.back_x - 12.0 - ZONE_X
        if zone.water_c is None:
            assert label[3]["most"] == pytest.approx(room)
        else:
            text = show(zone.water_c, "temperature", "us", 0)
            water = next(one for one in told(found, text) if one[1] == label[1])
            assert water[3]["anchor"] == "end"
            assert label[3]["most"] == pytest.approx(room - text_width(text, 11) - 16)
            assert frame.back_x - water[0] == 20
        lines = [one for one in found.calls["label"] if one[0] == ZONE_X and label[1] < one[1] < row]
        assert even([label[1], *(one[1] for one in lines)]) or len(lines) < 2
        assert lines[0][1] - label[1] == 14.0
        assert row - lines[-1][1] == 20.0
        if zone.pumps > 1:
            many = next(one for one in told(found, f"{zone.pumps} ×") if 0 < one[1] - row < 44)
            assert (many[0] - pumps[0][0], many[1] - row) == ((8.0, 38.0) if zone.valved else (0.0, 22.0))
            assert many[3]["anchor"] == "middle"
        if not zone.drawn_loops:  # a panel overlaps supply and return by as much
            box = next(
                one.box
                for one in found.shapes
                if one.kind == "rect" and one.box[1] < row < one.box[3] and one.box[0] > 560
            )
            assert row - box[1] == (row + 44) - box[3] > 0
    boxes = [one.box for one in found.shapes if one.kind == "rect" and 550 < one.box[0] < 570]
    for row, box in zip(rows[len(system.zones) :], boxes, strict=True):
        assert row - box[1] == (row + 44) - box[3] > 0


def test_emitters_of_a_use_have_their_fins_within() -> None:
    sheet = Sheet(900.0)
    draw_use(sheet, UseMark("Shed", "zone", 40.0), 100.0, 482.0, 800.0)
    shapes = shapes_of("".join(sheet.parts))
    box = next(one.box for one in shapes if one.kind == "rect")
    fins = [one.box for one in shapes if one.wide == 0.9]
    assert len(fins) == 4
    assert even([box[0], *(one[0] for one in fins)])
    assert {(one[1] - box[1], box[3] - one[3]) for one in fins} == {(5.0, 5.0)}
    assert box[2] - fins[-1][0] >= fins[0][0] - box[0]


def test_what_stands_behind_an_exchanger_is_named_at_the_pipes_end() -> None:
    for kind, behind in (("hot_water", ["taps", "TV", "cold"]), ("pool_or_tub", ["pool"]), ("snow_melt", ["slab"])):
        sheet = Sheet(900.0)
        said = recorded(sheet, UseMark("Use", kind, 40.0))
        assert [one[2] for one in said] == behind
        shapes = shapes_of("".join(sheet.parts))
        warm, cool = (
            next(one for one in shapes if one.wide == 1.8 and one.points[0][1] == y) for y in (100.0, 126.0) if y
        )
        ends = {
            100.0: max(a for a, _ in sheet_ends(shapes, 100.0)),
            126.0: max(a for a, _ in sheet_ends(shapes, 126.0)),
        }
        assert ends[100.0] == ends[126.0]
        assert (warm.dash, bool(cool.dash)) == ("", True)
        beside = [one for one in said if one[2] != "TV"]
        assert {one[0] - ends[100.0] for one in beside} == {5.0}
        assert {round(one[1] - y, 2) for one, y in zip(beside, (100.0, 126.0), strict=False)} == {
            3.5
        }  # level with its pipe
        assert {(one[3]["size"], one[3]["most"]) for one in beside} == {(10, 44)}
        diagonal = next(one for one in shapes if one.wide == 1.4 and one.kind == "polyline")
        box = next(one.box for one in shapes if one.kind == "rect" and one.wide == 1.4)
        assert diagonal.points == ((box[0], box[3]), (box[2], box[1]))
    lines = UseMark("Use", "pool_or_tub", 40.4).lines("si")
    assert lines == ["exchanger to pool water", "tank at 40 °C or more"]


def recorded(sheet: Sheet, use: UseMark) -> list[Any]:
    """What is written where when a use is drawn."""
    said: list[Any] = []
    real = Sheet.label

    def say(self: Sheet, *args: Any, **how: Any) -> None:
        said.append((*args, how))
        real(self, *args, **how)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Sheet, "label", say)
        draw_use(sheet, use, 100.0, 482.0, 800.0)
    return said


def sheet_ends(shapes: list[Any], level: float) -> list[tuple[float, float]]:
    return [point for one in shapes if one.wide == 1.8 for point in one.points if point[1] == level]


def test_a_drain_back_tank_is_half_full_below_its_pipe() -> None:
    sheet = Sheet(200.0)
    symbols.drain_back(sheet, 100.0, 50.0)
    stem, tank, water = shapes_of("".join(sheet.parts))
    left, top, right, bottom = tank.box
    assert stem.points == ((100.0, 50.0), (100.0, top))
    assert top > 50.0
    assert 100.0 - left == right - 100.0 > 0
    (x1, y1), (x2, y2) = water.points
    assert y1 == y2
    assert x1 - left == right - x2 == 2.0
    assert 0.3 < (y1 - top) / (bottom - top) < 0.5  # air above, water below
    assert water.dash == "3 2"
    assert stem.wide == 1.4


def test_a_fan_turns_about_its_middle_and_a_flame_stands_over_its_bar() -> None:
    (ring, blades, *_), _ = drawn("glyph", "fan", SOURCE)
    x, y = ring.points[0]
    assert (sum(px for px, _ in blades.points) / 3, sum(py for _, py in blades.points) / 3) == (x, y)
    assert blades.points[2][1] < y < blades.points[0][1] == blades.points[1][1]  # it points up
    (_, _, bar), _ = drawn("glyph", "flame", SOURCE)
    (_, _, one, other), _ = drawn("glyph", "logs", SOURCE)
    assert bar.points[0][1] == bar.points[1][1]
    assert (one.wide, other.wide, bar.wide) == (2.4, 2.4, 2.0)
    assert {one.points[0], other.points[0]} == {
        (other.points[0][0], one.points[1][1] + 5),
        (one.points[0][0], other.points[1][1] - 5),
    }


SOURCES = (
    SourceMark("Plates", "collector", 6e3, 5e3, 2e-4, "glycol", 0.019, -28.3),
    SourceMark("Pump", "fan", 8e3, 4e3, 2e-4, "drain_back"),
    SourceMark("Boiler", "flame", 2e4, 2e4, 3e-4),
)


def test_what_fills_a_circuit_outdoors_is_told_as_far_as_it_is_known() -> None:
    plates, pump, boiler = SOURCES
    assert filling_words(plates, "si") == "about 19 L of glycol, good to -28 °C"
    assert filling_words(dataclasses.replace(plates, coldest_c=None), "si") == "about 19 L of glycol"
    assert filling_words(dataclasses.replace(plates, filling_m3=None), "si") == "glycol, good to -28 °C"
    assert filling_words(pump, "si") == "water that drains indoors at each stop"
    assert (own_fluid(plates), own_fluid(pump)) == ("glycol", "water, drains")
    system = dataclasses.replace(PLAIN, sources=SOURCES)
    entries = separate_entries(system, "si")
    assert len(entries) == 4
    assert entries[2:] == [
        "about 19 L of glycol, good to -28 °C: Plates",
        "water that drains indoors at each stop: Pump",
    ]
    assert separate_entries(PLAIN, "si") == []
    assert len(separate_entries(dataclasses.replace(PLAIN, sources=(plates, boiler)), "si")) == 2


@LARGE
def test_sources_are_told_in_lines_over_and_under_their_box(name: str, size: str) -> None:
    found, system = seen(name, size), SYSTEMS[name]
    boxes = [args[1] for args in found.calls["glyph"]]
    for source, box in zip(system.sources, boxes, strict=True):
        y = (box.top + box.bottom) / 2
        title = one_of(found, source.name)
        heat = next(one for one in found.calls["label"] if one[0] == title[0] and 0 < one[1] - title[1] < 20)
        assert heat[1] - title[1] == 13.0
        assert box.top - heat[1] == (67.0 if source.burns_on else 7.0)  # over its heat dump
        assert title[3]["most"] == heat[3]["most"] == 210
        gives = show(source.delivered_w, "power", "us")
        assert heat[2].endswith(f"gives {gives}")
        assert heat[2].startswith("rated ") is (source.rated_w > 0)
        under = [one for one in found.calls["label"] if 26 < one[1] - y < 75 and 50 < one[0] < 70]
        assert len(under) == bool(source.circuit) + (source.flow_m3_s is not None)
        if source.circuit:
            assert under[0][2] == own_fluid(source)
            assert [one[1] - y for one in under] == [56.0, 68.0][: len(under)]
            assert {(one[0], one[3]["most"]) for one in under} == {(58, 80)}
        elif under:
            assert under[0][1] - box.bottom == (23.0 if source.least_return_c else 13.0)  # under its bypass
            assert (under[0][0], under[0][3]["most"]) == (64, 150)


def test_a_long_title_leaves_the_warning_its_place() -> None:
    for frame in (WIDE, NARROW):
        drawing = draw(dataclasses.replace(FULL, title="W" * 200), "us", frame)
        title = next(box for text, box in drawing.sheet.labels if text.startswith("WW"))
        warning = next(box for text, box in drawing.sheet.labels if text == WARNING)
        assert 2 * MARGIN <= warning.left - title.right <= 2 * MARGIN + text_width("W…", 14)
