"""Legend, tank and loops of whole drawings."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
from views.drawn import EACH, FRAMES, NEAR, SYSTEMS, seen
from views.geometry import even

from costsim.views.schematic_small import in_lines
from costsim.views.sheet import text_width


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
    outdoors = [one.circuit for one in system.sources if one.circuit]
    assert len(entries) == 5 + 2 * system.mixing + len(system.valves) + (len(system.sources) > 1) + any(
        u.taps for u in system.uses
    ) + any(one.least_return_c for one in system.sources) + 2 * any(one.burns_on for one in system.sources) + len(
        outdoors
    ) + bool(outdoors) + ("drain_back" in outdoors)
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
def test_the_tank_says_itself_in_its_middle_and_shows_its_zones(name: str, size: str) -> None:
    found, system = seen(name, size), SYSTEMS[name]
    vessels = [one for one in found.shapes if one.kind == "rect" and one.wide == 2.0]
    if system.tank_m3 is None:  # a vessel would be taken for one to buy: pipes with a bridge between them
        if size != "small":
            assert not vessels
            return
        supply, back = (level(y for _, y in found.calls["return"]) for level in (min, max))
        bridges = [one for one in found.pipes if {y for _, y in one.points} == {supply, back} and len(one.points) == 2]
        assert (len(vessels), len(bridges)) == (0, 1)
        return
    (tank,) = vessels
    left, top, right, bottom = tank.box
    inside = [
        (text, box)
        for text, box in found.drawing.sheet.labels
        if left < box.left < box.right < right and top < box.top < bottom
    ]
    assert len(inside) == (4 if size == "small" else 5)
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
    assert len(layers) == (2 if system.tank_m3 is not None and system.stratified else 0)
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
        assert size == "small" or abs(end - across[-1]) <= NEAR  # in its last loop
        back = [pipe for pipe in found.pipes if pipe.dash and any(a[1] == b[1] == bottom for a, b in pipe.edges)]
        ends = [x for pipe in back for edge in pipe.edges if edge[0][1] == edge[1][1] == bottom for x, _ in edge]
        assert min(ends) <= across[0]
        own = size != "small" and any(args[0] > 490 and abs(args[1] - top) < 1 for args in found.calls["mixing"])
        assert size == "small" or own or abs(min(ends) - across[0]) <= NEAR  # from its first loop on
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


@EACH
def test_words_stand_beside_what_they_name(name: str, size: str) -> None:
    """Volume over kind over highest temperature in the tank; a source's flow below its box; letters by their symbols."""
    found, system = seen(name, size), SYSTEMS[name]
    labels = found.drawing.sheet.labels
    if size == "small" and system.tank_m3 is None:
        return
    tank = next((one.box for one in found.shapes if one.kind == "rect" and one.wide == 2.0), (300.0, 0.0, 408.0, 1e4))
    lines = [
        box.top
        for _, box in labels
        if tank[0] < box.left < box.right < tank[2] and tank[1] < box.top < box.bottom < tank[3]
    ]
    inner = lines if size == "small" or system.tank_m3 is None else lines[1:4]
    assert inner == sorted(inner)
    assert all(10 < after - before < 20 for before, after in pairwise(inner))
    if size == "small":
        return
    boxes = [args[1] for args in found.calls["glyph"] if system.sources]
    flows = [box for text, box in labels if text.startswith("flow ") and "gpm" in text]
    typed = [(one, box) for one, box in zip(system.sources, boxes, strict=True) if one.flow_m3_s is not None]
    for flow, (one, box) in zip(flows, typed, strict=True):
        assert box.bottom < flow.top < box.bottom + (36 if one.circuit else 25 if one.least_return_c else 15)
        assert flow.left == (58 if one.circuit else 64)
    for letters, kind in (
        ("CV", "check"),
        ("RV", "relief"),
        ("ET", "vessel"),
        ("DB", "drain_back"),
        ("BFP", "fill"),
        ("MV", "mixing"),
        ("TV", "mixing"),
    ):
        for text, box in labels:
            if text == letters:
                middle = ((box.left + box.right) / 2, (box.top + box.bottom) / 2)
                assert min(math.dist(middle, args[:2]) for args in found.calls[kind]) < 40, letters
