"""Whole drawings: pipes end on ports, symbols sit on pipes, rows and legends are even, all lies on the sheet."""

from __future__ import annotations

import dataclasses
import functools
import math
from itertools import pairwise
from typing import Any

import pytest
from views.geometry import Point, Shape, even, off, shapes_of

from costsim.views import symbols
from costsim.views.schematic import (
    MOST_DRAWN_LOOPS,
    NARROW,
    WIDE,
    Frame,
    Schematic,
    SourceMark,
    System,
    ValveMark,
    ZoneMark,
    draw,
)
from costsim.views.schematic_small import MOST_LOOPS, draw_small, in_lines
from costsim.views.schematic_uses import WORDS, UseMark
from costsim.views.sheet import Sheet, text_width

PLAIN = System(
    "One boiler", (SourceMark("Boiler", "flame", 2e4, 1.8e4, 3e-4),), (ZoneMark("Floor", 3, 1, "60%", 1e-4, 1e4),), 0.3,
    False, False, 1, 60.0, 45.0, 35.0, 1e4, 2.07e5, {"us": 0.02, "si": 0.02}, "water",
)  # fmt: skip
FULL = dataclasses.replace(
    PLAIN,
    title="Everything",
    sources=(PLAIN.sources[0], SourceMark("Pump", "fan", 1e4, 0.0), SourceMark("Stove", "logs", 0.0, 5e3, 2e-4)),
    zones=(
        PLAIN.zones[0], ZoneMark("Loft", 1, 0, "", 1e-5, 5e3), ZoneMark("Hall", 60, 3, "60% and 80%", 1e-3, 2e4),
        ZoneMark("Radiators", 0, 2, "", 0.0, 0.0),
    ),
    open_circuit=True, mixing=True, layers=4, limit_c=50.0,
    uses=tuple(UseMark(f"Use {kind}", kind, 55.0) for kind in ("hot_water", "pool_or_tub", "zone", "cylinder")),
    valves=(ValveMark("Ground", 40.0, 44.0),),
)  # fmt: skip
SYSTEMS = {
    "plain": PLAIN,
    "full": FULL,
    "header": dataclasses.replace(FULL, tank_m3=None, open_circuit=False, uses=FULL.uses[1:2]),
    "unmixed": dataclasses.replace(PLAIN, mixing=False, uses=FULL.uses[:2], zones=FULL.zones[:2], layers=3),
    "emitters": dataclasses.replace(PLAIN, zones=FULL.zones[3:], mixing=True),
}
FRAMES: dict[str, Frame | None] = {"wide": WIDE, "narrow": NARROW, "small": None}
EACH = pytest.mark.parametrize(("name", "size"), [(name, size) for name in SYSTEMS for size in FRAMES])
NEAR = 0.02
"""What writing two decimals loses."""


@dataclasses.dataclass
class Seen:
    """A drawing, its shapes, and which symbols were asked for where."""

    drawing: Schematic
    shapes: list[Shape]
    calls: dict[str, list[tuple[Any, ...]]]

    @property
    def pipes(self) -> list[Shape]:
        """Its pipes, without the two samples of the legend."""
        told = {tuple(round(value, 2) for point in pair for value in point) for pair in self.drawing.sheet.pipes}
        lines = [one for one in self.shapes if one.kind == "polyline" and one.wide == 1.8]
        return [one for one in lines if all((*a, *b) in told for a, b in one.edges)]

    def on_pipe(self, at: Point) -> float:
        """Distance from the nearest pipe."""
        return min(one.away(at) for one in self.pipes)

    def labels(self, text: str) -> list[Any]:
        return [box for words, box in self.drawing.sheet.labels if words == text]


def told(calls: dict[str, list[tuple[Any, ...]]], key: str, real: Any, sheet: Sheet, *args: Any) -> None:
    """Take down what is asked for, then draw it."""
    calls[key].append(args)
    before = len(calls["arrow"])
    real(sheet, *args)
    del calls["arrow"][before:]  # a symbol's own


@functools.cache
def seen(name: str, size: str) -> Seen:
    calls: dict[str, list[tuple[Any, ...]]] = {
        key: []
        for key in ("pump", "relief", "check", "vessel", "fill", "mixing", "vent", "loop", "glyph", "arrow", "return")
    }
    with pytest.MonkeyPatch.context() as patch:
        for key in [*calls][:-2]:
            patch.setattr(symbols, key, functools.partial(told, calls, key, getattr(symbols, key)))
        arrow, pipe = Sheet.arrow, Sheet.pipe

        def flow(self: Sheet, *args: Any) -> None:
            calls["arrow"].append(args)
            arrow(self, *args)

        def run(self: Sheet, points: Any, *, cold: bool = False) -> None:
            calls["return"] += [tuple(one) for one in points]
            pipe(self, points, cold=cold)

        patch.setattr(Sheet, "arrow", flow)
        patch.setattr(Sheet, "pipe", run)
        frame = FRAMES[size]
        drawing = draw(SYSTEMS[name], "us", frame) if frame else draw_small(SYSTEMS[name], "us")
    return Seen(drawing, shapes_of(drawing.svg), calls)


@EACH
def test_every_end_of_a_pipe_is_on_something(name: str, size: str) -> None:
    found = seen(name, size)
    solid = [one for one in found.shapes if one.kind in ("rect", "circle", "polygon") or one.wide == 1.4]
    loops = [(args[0], args[at]) for args in found.calls["loop"] for at in (1, 2)]
    for pipe in found.pipes:
        for (x1, y1), (x2, y2) in pairwise(pipe.points):
            assert x1 == x2 or y1 == y2  # pipes run square
        for end in (pipe.points[0], pipe.points[-1]):
            others = [one for one in found.pipes if one is not pipe]
            away = min(one.away(end) for one in [*solid, *others])
            # manifolds end just beyond their outermost loop; what leaves for taps and pools ends at its word
            beyond = min((math.dist(end, one) for one in loops), default=99.0)
            words = [
                box
                for text, box in found.drawing.sheet.labels
                if text in (*(w for _, w in WORDS.values()), "cold") and text
            ]
            word = min(
                (abs(box.left - end[0]) + abs((box.top + box.bottom) / 2 - end[1]) for box in words), default=99.0
            )
            level = [one.points[at] for one in others for at in (0, -1) if one.points[at][0] == end[0]]
            pair = min((abs(y - end[1]) for _, y in level), default=99.0)
            assert away <= NEAR or beyond <= (20.0 if size == "small" else 17.0) or word <= 7.0 or pair <= 26.0, (
                pipe.points,
                end,
                away,
                beyond,
            )


@EACH
def test_symbols_and_arrows_sit_on_pipes_and_point_along_them(name: str, size: str) -> None:
    found = seen(name, size)
    for x, y, towards in found.calls["arrow"] + found.calls["pump"]:
        runs = [pair for pipe in found.pipes for pair in pipe.edges if off((x, y), *pair) <= NEAR]
        along = [pair for pair in runs if (pair[0][1] == pair[1][1]) == (towards in ("left", "right"))]
        assert along, (x, y, towards)
        # and not at an end: there is pipe before and behind it
        assert any(min(math.dist((x, y), end) for end in pair) >= 4.9 for pair in along), (x, y)
    for key in ("check", "mixing", "fill", "vessel"):
        for args in found.calls[key]:
            assert found.on_pipe(args[:2]) <= NEAR, (key, args)
    tanks = [one for one in found.shapes if one.kind == "rect" and one.wide == 2.0]
    for key in ("relief", "vent"):
        for args in found.calls[key]:
            assert min(found.on_pipe(args[:2]), *(one.away(args[:2]) for one in tanks)) <= NEAR, (key, args)
    for x, top, bottom, wide in found.calls["loop"]:
        for y in (top, bottom):
            assert found.on_pipe((x, y)) <= NEAR
        assert wide > 0
    # nothing that sits on a pipe covers another
    where = [(one[0], one[1]) for key in ("pump", "check", "mixing") for one in found.calls[key]]
    where += [(x, y) for x, y, _ in found.calls["arrow"]]
    for at, one in enumerate(where):
        for other in where[at + 1 :]:
            assert math.dist(one, other) >= 12, (one, other)


@EACH
def test_each_part_is_drawn_as_often_as_it_is_there(name: str, size: str) -> None:
    found, system = seen(name, size), SYSTEMS[name]
    calls, small, sources = found.calls, size == "small", len(system.sources)
    assert len(calls["glyph"]) == sources
    taps = sum(use.kind in ("hot_water", "cylinder") for use in system.uses)
    assert len(calls["mixing"]) == system.mixing + (0 if small else taps)
    assert len(calls["pump"]) == sources + (1 if small else len(system.zones) + len(system.uses))
    loops = [zone.loops for zone in system.zones]
    if small:
        assert len(calls["loop"]) == min(sum(loops), MOST_LOOPS)
        return
    assert len(calls["loop"]) == sum(min(one, MOST_DRAWN_LOOPS) for one in loops)
    assert len(calls["check"]) == (sources if sources > 1 else 0)
    assert len(calls["relief"]) == sources + (not system.open_circuit)
    assert (len(calls["vent"]), len(calls["vessel"]), len(calls["fill"])) == (
        system.open_circuit,
        not system.open_circuit,
        1,
    )
    texts = [text for text, _ in found.drawing.sheet.labels]
    assert texts.count("CV") == len(calls["check"])
    assert texts.count("RV") == len(calls["relief"])
    assert texts.count("TV") == taps
    assert ("HL" in texts) == ("MV" in texts) == system.mixing
    assert texts.count("T") == len(system.zones) + 1
    assert [text for text in texts if text.endswith(" ×")] == [
        f"{one.pumps} ×" for one in system.zones if one.pumps > 1
    ]
    assert sum(text.startswith("flow ") and "gpm" in text for text in texts) == sum(
        one.flow_m3_s is not None for one in system.sources
    )
    assert sum("rated" in text for text in texts) == sum(one.rated_w > 0 for one in system.sources)
    assert any("own MV" in text for text in texts) == bool(system.valves)
    assert any("no tank" in text for text in texts) == (system.tank_m3 is None)


@EACH
def test_all_lies_on_the_sheet_and_nothing_is_left_empty_below(name: str, size: str) -> None:
    found = seen(name, size)
    sheet = found.drawing.sheet
    for one in found.shapes:
        if one.kind == "text":
            continue
        left, top, right, bottom = one.box
        assert 0 < left <= right < sheet.width
        assert 0 < top <= bottom < sheet.height
    for text, box in sheet.labels:
        assert 0 <= box.left <= box.right <= sheet.width, text
        assert 0 <= box.top <= box.bottom <= sheet.height, text
    lowest = max(box.bottom for _, box in sheet.labels)
    assert 0 <= sheet.height - lowest <= 14
    assert f'viewBox="0 0 {sheet.width:g} {sheet.height:g}"' in found.drawing.svg


@EACH
def test_no_letter_stands_on_a_line(name: str, size: str) -> None:
    """Every straight piece of every symbol, pipe and signal, but the panes that letters are written on."""
    found = seen(name, size)
    pieces = [
        (one, a, b) for one in found.shapes for a, b in one.edges if one.kind not in ("text", "circle") and one.wide != 2.0
        and one.dash not in ("5 3", "3 3")
    ]  # fmt: skip
    for text, box in found.drawing.sheet.labels:
        for one, (x1, y1), (x2, y2) in pieces:
            # a straight piece meets the box if, cut to its sides, something is left
            low, high = 0.0, 1.0
            for start, step, least, most in ((x1, x2 - x1, box.left, box.right), (y1, y2 - y1, box.top, box.bottom)):
                if abs(step) < 1e-9:
                    low, high = (low, high) if least < start < most else (1.0, 0.0)
                else:
                    a, b = sorted(((least - start) / step, (most - start) / step))
                    low, high = max(low, a), min(high, b)
            assert low >= high - 1e-9, (text, box, one)


@EACH
def test_rows_stand_evenly_one_below_the_other(name: str, size: str) -> None:
    found, system, frame = seen(name, size), SYSTEMS[name], FRAMES[size]
    boxes = [args[1] for args in found.calls["glyph"]]
    middles = [(box.top + box.bottom) / 2 for box in boxes]
    assert even(middles)
    assert len({(box.left, box.right, box.bottom - box.top) for box in boxes}) == 1
    sources = [y for x, y, _ in found.calls["pump"] if x < boxes[0].left]
    assert sources == middles  # a pump on the level of each
    names = [next(box for text, box in found.drawing.sheet.labels if text == one.name) for one in system.sources]
    for label, box in zip(names, boxes, strict=True):
        assert label.bottom < box.top  # the name over the box
        assert label.right <= found.drawing.sheet.width / 2
    tank = next(one for one in found.shapes if one.kind == "rect" and one.wide == 2.0)
    assert all(tank.box[1] < y < tank.box[3] for y in middles)
    back = max(y for _, y in found.calls["return"])
    assert 15 <= back - tank.box[3] <= 30
    if frame is None:
        return
    rows = [y for x, y, _ in found.calls["pump"] if x > tank.box[2]]
    assert even(rows)
    assert len(rows) == len(system.zones) + len(system.uses)
    assert all(tank.box[1] < y and y + 44 < back for y in rows)
    assert rows[1:] == [] or rows[1] - rows[0] == frame.zone_row
    assert middles[1:] == [] or middles[1] - middles[0] == frame.source_row


@EACH
def test_signals_run_from_their_sensor_to_what_they_sense(name: str, size: str) -> None:
    found = seen(name, size)
    rings = [one for one in found.shapes if one.kind == "circle"]
    dots = [one for one in found.shapes if one.dash == "2 2"]
    for one in dots:
        first, last = one.points
        assert min(ring.away(first) for ring in rings) <= NEAR
        assert min([ring.away(last) for ring in rings] + [found.on_pipe(last)]) <= 0.6
        assert first[0] == last[0] or first[1] == last[1]
    assert len(dots) == (0 if size == "small" else len(SYSTEMS[name].zones) + SYSTEMS[name].mixing)
    letters = [(text, box) for text, box in found.drawing.sheet.labels if text in ("T", "HL")]
    for _, box in letters:
        middle = ((box.left + box.right) / 2, (box.top + box.bottom) / 2)
        ring = min(rings, key=lambda one: math.dist(one.points[0], middle))
        assert abs(ring.points[0][0] - middle[0]) <= NEAR
        assert abs(ring.points[0][1] - middle[1]) <= 1.0
        assert box.right - box.left <= 2 * ring.radius
        assert [
            line
            for line in found.shapes
            if line.kind == "polyline" and ring.away(line.points[0]) <= NEAR and line.wide < 1.8
        ]
    for ring in rings:  # sensors stand clear of what else is round
        for other in rings:
            if other is not ring:
                assert math.dist(ring.points[0], other.points[0]) > ring.radius + other.radius


@pytest.mark.parametrize("size", ["wide", "narrow"])
@pytest.mark.parametrize("name", SYSTEMS)
def test_the_legend_shows_what_the_lines_are_and_stands_in_even_columns(name: str, size: str) -> None:
    found, frame, system = seen(name, size), FRAMES[size], SYSTEMS[name]
    assert frame is not None
    supply, back = (
        next(box for text, box in found.drawing.sheet.labels if text == word) for word in ("supply", "return")
    )
    samples = [
        one
        for one in found.shapes
        if one.kind == "polyline" and one.wide == 1.8 and one.box[1] > max(p.box[3] for p in found.pipes)
    ]
    assert len(samples) == 2
    for sample, box, kind in zip(samples, (supply, back), ("", "7 3.5"), strict=True):
        assert sample.dash == kind
        assert any(pipe.dash == kind for pipe in found.pipes)
        assert sample.points[0][1] == sample.points[1][1]
        assert box.top < sample.points[0][1] < box.bottom  # level with its word
        assert 3 <= box.left - sample.points[1][0] <= 9
    long = [one.points[1][0] - one.points[0][0] for one in samples]
    assert long[0] == long[1] >= 30
    entries = [(text, box) for text, box in found.drawing.sheet.labels if found.pipes and box.top > max(p.box[3] for p in found.pipes) + 40
               and box.bottom < supply.top]  # fmt: skip
    assert len(entries) == 5 + 2 * system.mixing + len(system.valves) + (len(system.sources) > 1) + any(
        u.taps for u in system.uses
    )
    rows = sorted({box.top for _, box in entries})
    assert even(rows)
    lefts = sorted({round(box.left, 2) for _, box in entries})
    assert even(lefts)
    assert len(lefts) == frame.columns
    assert lefts[0] == samples[0].points[0][0]
    order = [(box.top, box.left) for _, box in entries]
    assert order == sorted(order)
    for row in rows[:-1]:
        assert sum(box.top == row for _, box in entries) == frame.columns
    assert 10 <= supply.top - rows[-1] <= 2.2 * 15  # the lines come right below
    words = [box for text, box in found.drawing.sheet.labels if text.startswith(("Air separator", "Codes and"))]
    assert words[0].top == supply.top
    assert words[0].left == words[1].left
    assert 10 < words[1].top - words[0].top < 18
    if size == "wide":
        assert not [text for text, _ in entries if text.endswith("…")]


@pytest.mark.parametrize("size", FRAMES)
@pytest.mark.parametrize("name", SYSTEMS)
def test_the_tank_says_itself_in_its_middle_and_shows_its_layers(name: str, size: str) -> None:
    found, system = seen(name, size), SYSTEMS[name]
    tank = next(one for one in found.shapes if one.kind == "rect" and one.wide == 2.0)
    left, top, right, bottom = tank.box
    inside = [
        (text, box)
        for text, box in found.drawing.sheet.labels
        if left < box.left < box.right < right and top < box.top < bottom
    ]
    assert len(inside) == (2 if system.tank_m3 is None else 4 if size == "small" else 5)
    for text, box in inside:
        assert (box.left + box.right) / 2 == pytest.approx((left + right) / 2), text
        assert box.bottom < bottom
    heights = [box.top for _, box in inside]
    assert sorted(heights) == heights or size != "small"
    if system.tank_m3 is not None:
        words = " ".join(text for text, _ in inside)
        # 0.3 m³ is 79 gal; 60 °C is 140 °F
        assert "79 gal" in words
        assert "140 °F" in words
        if size != "small":
            warm, cool = (
                next(box for text, box in inside if text == temperature) for temperature in ("113 °F", "95 °F")
            )
            assert warm.top < (top + bottom) / 2 < cool.top  # 45 °C above, 35 °C below
            assert ("open, vented" in words) == system.open_circuit
    if size == "small":
        return
    layers = [one for one in found.shapes if one.dash == "3 3"]
    assert len(layers) == (0 if system.tank_m3 is None else 2 * (system.layers - 1))
    assert all(
        left in (one.points[0][0], one.points[1][0]) or right in (one.points[0][0], one.points[1][0]) for one in layers
    )
    levels = sorted({one.points[0][1] for one in layers})
    if levels:
        assert even([top, *levels, bottom])
    assert len({one.points[1][0] - one.points[0][0] for one in layers}) <= 1
    water = [one for one in found.shapes if one.dash == "5 3"]
    assert len(water) == system.open_circuit
    for one in water:
        assert top < one.points[0][1] == one.points[1][1] < top + 20
        assert one.points[0][0] - left == pytest.approx(right - one.points[1][0])
    middle = (left + right) / 2
    above = found.calls["vent"] + [args for args in found.calls["relief"] if args[1] == top]
    assert [args[0] for args in above] == [middle]


@EACH
def test_loops_stand_side_by_side_on_their_own_manifolds(name: str, size: str) -> None:
    found = seen(name, size)
    by_row: dict[float, list[tuple[Any, ...]]] = {}
    for args in found.calls["loop"]:
        by_row.setdefault(args[1], []).append(args)
    for top, row in by_row.items():
        across = [args[0] for args in row]
        wide, bottom = row[0][3], row[0][2]
        assert even(across, 0.01)
        assert bottom > top
        assert len(across) == 1 or across[1] - across[0] >= wide - NEAR
        supply = [
            pipe
            for pipe in found.pipes
            if any(a[1] == b[1] == top and min(a[0], b[0]) < across[0] for a, b in pipe.edges) and not pipe.dash
        ]
        end = max(max(a[0], b[0]) for pipe in supply for a, b in pipe.edges if a[1] == b[1] == top)
        assert across[-1] <= end <= across[-1] + max(17.0, wide)
        back = [pipe for pipe in found.pipes if pipe.dash and any(a[1] == b[1] == bottom for a, b in pipe.edges)]
        ends = [x for pipe in back for edge in pipe.edges if edge[0][1] == edge[1][1] == bottom for x, _ in edge]
        assert min(ends) <= across[0]
        assert max(ends) >= across[-1]
        assert across[-1] + wide / 2 <= found.drawing.sheet.width


def test_names_break_into_two_lines_only_where_one_is_too_narrow() -> None:
    text = "Air-to-water heat pump"
    assert in_lines(text, 13, text_width(text, 13)) == [text]
    first, second = in_lines(text, 13, text_width(text, 13) - 0.1)
    assert f"{first} {second}" == text
    assert text_width(second, 13) <= text_width(text, 13)
    least = text_width("water heat pump", 13)
    assert in_lines("a water heat pump", 13, least) == ["a", "water heat pump"]
    assert in_lines("a water heat pump", 13, least - 0.1) == ["a water", "heat pump"]
    assert in_lines("unbreakable", 13, 5) == ["unbreakable"]
