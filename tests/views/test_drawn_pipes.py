"""Whole drawings: pipes end on ports, symbols sit on pipes, rows are even, all lies on the sheet."""

from __future__ import annotations

import math
from itertools import pairwise

from views.drawn import EACH, FRAMES, NEAR, SYSTEMS, seen, tall
from views.geometry import even, off

from costsim.views.schematic import MOST_DRAWN_LOOPS
from costsim.views.schematic_small import MOST_LOOPS
from costsim.views.schematic_uses import WORDS


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
            assert min([found.on_pipe(args[:2]), *(one.away(args[:2]) for one in tanks)]) <= NEAR, (key, args)
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
    own = sum(zone.valved for zone in system.zones)
    circuits = [one.circuit for one in system.sources if one.circuit]
    loaded = sum(one.least_return_c is not None and not one.circuit for one in system.sources)
    assert len(calls["mixing"]) == system.mixing + (0 if small else taps + own + loaded)
    assert len(calls["pump"]) == sources + (1 if small else len(system.zones) + len(system.uses) + len(circuits))
    loops = [zone.drawn_loops for zone in system.zones]
    if small:
        assert len(calls["loop"]) == min(sum(loops), MOST_LOOPS)
        return
    assert len(calls["loop"]) == sum(min(one, MOST_DRAWN_LOOPS) for one in loops)
    assert len(calls["check"]) == (sources if sources > 1 else 0)
    assert len(calls["relief"]) == sources + (not system.open_circuit and system.tank_m3 is not None)
    assert (len(calls["vent"]), len(calls["vessel"]), len(calls["fill"]), len(calls["drain_back"])) == (
        system.open_circuit,
        (not system.open_circuit) + circuits.count("glycol"),
        1,
        circuits.count("drain_back"),
    )
    texts = [text for text, _ in found.drawing.sheet.labels]
    assert texts.count("CV") == len(calls["check"])
    assert texts.count("RV") == len(calls["relief"])
    assert texts.count("LU") == loaded
    assert texts.count("TV") == taps
    assert texts.count("HL") == texts.count("MV") == system.mixing + own
    assert texts.count("HX") == len(circuits)
    for water in (zone.water_c for zone in system.zones if zone.water_c is not None):
        assert f"{water * 1.8 + 32:.0f} °F" in texts
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
    own = [bool(one.circuit) for one in system.sources]
    assert any(map(tall, system.sources)) or even(middles)
    assert (
        len(
            {
                (box.left, box.right if not apart else 0, box.bottom - box.top)
                for box, apart in zip(boxes, own, strict=True)
            }
        )
        <= 2
    )
    sources = [y for x, y, _ in found.calls["pump"] if x < boxes[0].left]
    for y, middle, apart in zip(sources, middles, own, strict=True):
        assert (
            y > middle + 24 if apart else y == middle
        )  # a pump on the level of each, or where the water enters its exchanger
    names = [next(box for text, box in found.drawing.sheet.labels if text == one.name) for one in system.sources]
    for label, box in zip(names, boxes, strict=True):
        assert label.bottom < box.top  # the name over the box
        assert label.right <= found.drawing.sheet.width / 2
    if system.tank_m3 is None:
        return
    tank = next(one for one in found.shapes if one.kind == "rect" and one.wide == 2.0)
    assert all(tank.box[1] < y < tank.box[3] for y in middles)
    back = max(y for _, y in found.calls["return"])
    assert 15 <= back - tank.box[3] <= 30
    if frame is None:
        return
    rows = [y for x, y, _ in found.calls["pump"] if x > tank.box[2]]
    assert even(rows)
    # pumps stand in a column, those behind a valve of their own in another; arrows before them in one
    columns = {x for x, _, _ in found.calls["pump"] if x > tank.box[2]}
    assert len(columns) <= 2
    assert len({x for x, y, _ in found.calls["arrow"] if y in rows and tank.box[2] < x < min(columns)}) <= 1
    assert len(rows) == len(system.zones) + len(system.uses)
    assert all(tank.box[1] < y and y + 44 < back for y in rows)
    assert rows[1:] == [] or rows[1] - rows[0] == frame.zone_row
    gaps = [after - before for before, after in pairwise(middles)]
    assert gaps == [max(frame.source_row, 144.0 if tall(one) else 0.0) for one in system.sources[:-1]]


@EACH
def test_signals_run_from_their_sensor_to_what_they_sense(name: str, size: str) -> None:
    found = seen(name, size)
    rings = [one for one in found.shapes if one.kind == "circle"]
    dots = [one for one in found.shapes if one.dash == "2 2"]
    for one in dots:
        first, last = one.points
        assert min(ring.away(first) for ring in rings) <= NEAR
        # and ends outside of what it watches
        assert all(math.dist(end, ring.points[0]) >= ring.radius - NEAR for end in one.points for ring in rings)
        assert min([ring.away(last) for ring in rings] + [found.on_pipe(last)]) <= 0.6
        assert first[0] == last[0] or first[1] == last[1]
    assert len(dots) == (
        0
        if size == "small"
        else len(SYSTEMS[name].zones) + SYSTEMS[name].mixing + sum(zone.valved for zone in SYSTEMS[name].zones)
    )
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


@EACH
def test_fins_of_a_panel_stand_as_far_from_its_top_as_from_its_bottom(name: str, size: str) -> None:
    found = seen(name, size)
    fins = [
        one
        for one in found.shapes
        if one.kind == "polyline" and len(one.points) == 2 and one.points[0][0] == one.points[1][0] and not one.dash
    ]
    panels = 0
    for box in (one.box for one in found.shapes if one.kind == "rect" and one.wide != 2.0):
        inside = [one.box for one in fins if box[0] < one.box[0] < box[2] and box[1] < one.box[1] < one.box[3] < box[3]]
        if len(inside) >= 4:
            panels += 1
            assert {round(one[1] - box[1], 2) for one in inside} == {round(box[3] - one[3], 2) for one in inside}
            assert len({one[1] for one in inside}) == 1
            assert even([one[0] for one in inside])
    assert panels or name not in ("emitters", "full") or (size == "small" and name == "full")
