"""Words and pieces of the small drawing: even lines, exchangers and panels that hang on both their pipes."""

from __future__ import annotations

import dataclasses
from itertools import pairwise

import pytest
from views.drawn import FRAMES, PLAIN, SYSTEMS, seen
from views.geometry import even, shapes_of
from views.test_drawn_words import SMALL, one_of

from costsim.views.schematic import NARROW, WIDE, SourceMark, draw
from costsim.views.schematic_small import _counts, draw_small
from costsim.views.schematic_uses import UseMark
from costsim.views.schematic_words import WARNING


@SMALL
def test_the_small_drawing_keeps_its_lines_of_words_even(name: str) -> None:
    found, system = seen(name, "small"), SYSTEMS[name]
    head, load = one_of(found, "House needs"), next(one for one in found.calls["label"] if one[2] == "34.1 kBtu/h")
    assert head[0] == load[0]
    assert load[1] - head[1] == 15.0
    boxes = [args[1] for args in found.calls["glyph"]]
    for at, (source, box) in enumerate(zip(system.sources, boxes, strict=True)):
        rise = 48.0 if source.burns_on else 0.0  # for its heat dump
        mine = [
            one
            for one in found.calls["label"]
            if one[0] == box.left and -60 < one[1] - box.top + rise < 0 and one[3]["size"] == 13.0
        ]
        assert len(mine) == 2
        assert mine[0][2] == source.name
        assert [one[3]["bold"] for one in mine] == [True, False]
        if at == 0:  # on the levels of what stands over the floor
            assert [one[1] for one in mine] == [head[1], load[1]]
        assert mine[1][1] - mine[0][1] == 15.0
        assert box.top - mine[1][1] == 7.0 + rise
        # the first has room as far as the tank, the others as far as the riser
        assert {one[3]["most"] for one in mine} == {166.0 if at == 0 else 144.0}
    tank = [one for one in found.calls["label"] if one[2] in ("tank", "79 gal", "up to", "140 °F", "no")]
    assert even([one[1] for one in tank]) or len(tank) < 3
    if system.tank_m3 is None:
        no, one = one_of(found, "no"), one_of(found, "tank")
        assert (one[1] - no[1], one[0]) == (17.0, no[0])
    else:
        assert tank[1][1] - tank[0][1] == 17.0
        vessel = next(one.box for one in found.shapes if one.kind == "rect" and one.wide == 2.0)
        assert {one[0] for one in tank} == {(vessel[0] + vessel[2]) / 2}
        assert {one[3]["anchor"] for one in tank} == {"middle"}
        assert all(one[3]["most"] == vessel[2] - vessel[0] - 6.0 for one in tank)
        flow = head[1] + 46.0
        assert vessel[1] == flow - 22.0
        assert tank[0][1] - flow == 40.0
    assert one_of(found, WARNING)[0] == 8
    assert {one[3]["size"] for one in found.calls["label"]} <= {13.0, 11.5}
    bold = {WARNING, "House needs", *(one.name for one in system.sources)}
    assert all(one[3]["bold"] is (one[2] in bold) for one in found.calls["label"])
    floor = [one for one in found.calls["label"] if one[0] == head[0]]
    assert {one[3]["most"] for one in floor} == {122.0}
    counts = [
        one
        for one in floor
        if one[2].startswith(("and ", "emitters")) or " loop" in one[2] or one[2].endswith((" pump", " pumps"))
    ]
    gaps = {round(after[1] - before[1], 2) for before, after in pairwise(counts)}
    assert gaps <= {16.0}


@SMALL
def test_the_small_drawings_exchanger_takes_both_waters_evenly(name: str) -> None:
    found = seen(name, "small")
    for source, args in zip(SYSTEMS[name].sources, found.calls["glyph"], strict=True):
        if not source.circuit:
            continue
        box = args[1]
        other = next(
            one.box
            for one in found.shapes
            if one.kind == "rect" and one.box[0] == 148 and box.top < one.box[1] < box.bottom
        )
        between = sorted(
            one.points[0][1]
            for one in found.pipes
            if {x for x, _ in one.points} == {box.right, other[0]} and other[1] < one.points[0][1] < other[3]
        )
        assert len(between) == 2
        assert between[0] - other[1] == other[3] - between[1] == 10.0
        assert box.bottom - box.top == 48.0
        slant = next(one for one in found.shapes if one.wide == 1.4 and one.points[0] == (other[0], other[3]))
        assert slant.points[1] == (other[2], other[1])
        low = next(one for one in found.pipes if one.points[-1] == ((other[0] + other[2]) / 2, other[3]))
        assert low.dash
        label = next(
            one for one in found.calls["label"] if one[2].endswith(", exchanger") and 0 < one[1] - low.points[0][1] < 20
        )
        assert (label[0], label[1] - low.points[0][1], label[3]["most"]) == (box.left, 15.0, 146)


def test_a_panel_of_the_small_drawing_hangs_on_both_pipes() -> None:
    found = seen("emitters", "small")
    panel = next(one.box for one in found.shapes if one.kind == "rect" and one.wide == 1.4 and one.box[0] > 340)
    fins = [
        one.box
        for one in found.shapes
        if one.kind == "polyline" and one.wide == 0.9 and one.box[0] > 340 and one.box[0] == one.box[2]
    ]
    assert even([panel[0], *(one[0] for one in fins), panel[2]])
    assert {(one[1] - panel[1], panel[3] - one[3]) for one in fins} == {(4.0, 4.0)}
    flow, back = [one for one in found.shapes if one.kind == "polyline" and one.wide == 1.4 and len(one.points) == 3]
    assert flow.points[-1][0] == panel[2]
    assert back.points[-1][0] == panel[0]
    assert flow.points[1][1] - flow.points[0][1] == back.points[0][1] - back.points[1][1] == 20.0
    for one in (flow, back):
        assert found.on_pipe(one.points[0]) == 0.0
        assert panel[1] < one.points[-1][1] < panel[3]
    assert panel[1] - flow.points[0][1] == back.points[0][1] - panel[3] == 12.0


@pytest.mark.parametrize(
    ("left_w", "rated_w", "said"),
    [
        (49.9, 2e4, "no heat when coldest"),
        (50.0, 50.0, "0.1 kW"),
        (1e4, 10_050.0, "10.0 kW"),
        (1e4, 10_060.0, "10.0 of 10.1 kW"),
    ],
)
def test_what_is_left_of_a_source_when_it_is_coldest(left_w: float, rated_w: float, said: str) -> None:
    system = dataclasses.replace(PLAIN, sources=(SourceMark("Pump", "fan", rated_w, left_w),))
    texts = [text for text, _ in draw_small(system, "si").sheet.labels]
    assert said in texts


@pytest.mark.parametrize("size", FRAMES)
@SMALL
def test_pipes_and_boxes_stand_on_whole_units_so_that_lines_are_sharp(name: str, size: str) -> None:
    found = seen(name, size)
    for pipe in found.pipes:
        assert all(y == round(y) for _, y in pipe.points), pipe.points
        assert all(a[0] == round(a[0]) for a, b in pipe.edges if a[0] == b[0]), pipe.points
    for one in found.shapes:
        if one.kind == "rect":
            assert all(value == round(value) for value in one.box), one.box
    for key in ("pump", "mixing", "check", "fill", "vessel", "arrow", "relief"):
        for x, y, *_ in found.calls[key]:
            assert (x, y) == (round(x), round(y)), key


@pytest.mark.parametrize("size", FRAMES)
@SMALL
def test_a_drawing_lies_on_a_grid_of_two_units(name: str, size: str) -> None:
    """Pipes, symbols, arrows, sensors and boxes, so that their lines are sharp at half the size too; loops share the room that there is."""
    found = seen(name, size)
    for key in ("pump", "mixing", "check", "fill", "vessel", "arrow", "relief", "vent", "drain_back"):
        assert [(x, y) for x, y, *_ in found.calls[key] if x % 2 or y % 2] == [], key
    assert [pipe.points for pipe in found.pipes for _, y in pipe.points if y % 2] == []
    assert [pipe.points for pipe in found.pipes for a, b in pipe.edges if a[0] == b[0] and a[0] % 2] == []
    own = (10.0, 26.0)  # the motor of a valve, and a fill, are symbols
    boxes = [one.box for one in found.shapes if one.kind == "rect" and one.box[2] - one.box[0] not in own]
    assert [box for box in boxes if any(side % 2 for side in box)] == []
    rings = [one.points[0] for one in found.shapes if one.kind == "circle" and one.radius in (8.0, 10.0)]
    assert [at for at in rings if at[0] % 2 or at[1] % 2] == []


def test_frames_are_of_a_screen_a_page_and_a_phone() -> None:
    """Half a laptop's 1,920 units; 7.75 of a page's 8.5 inches at 96 an inch; a phone of 480. The return keeps clear of the edge."""
    assert (WIDE.width, NARROW.width, seen("plain", "small").drawing.sheet.width) == (1920 / 2, 7.75 * 96, 480.0)
    assert WIDE.width - WIDE.back_x == 30.0
    assert NARROW.width - NARROW.back_x == 22.0
    assert (WIDE.columns, NARROW.columns) == (3, 2)
    assert (WIDE.narrow, NARROW.narrow) == (False, True)
    for name in ("plain", "unmixed", "emitters"):  # with little on it a drawing is as high as its tank must be
        drawing = seen(name, "wide")
        tank = next(one.box for one in drawing.shapes if one.kind == "rect" and one.wide == 2.0)
        assert tank[3] - tank[1] >= 150.0
        assert tank[1] == WIDE.top


def test_a_tank_without_circuits_is_150_high() -> None:
    bare = dataclasses.replace(PLAIN, zones=(), sources=PLAIN.sources)
    tank = next(one for one in shapes_of(draw(bare, "us", NARROW).svg) if one.kind == "rect" and one.wide == 2.0)
    assert tank.box[3] - tank.box[1] == 150.0


def test_how_many_loops_and_pumps_there_are_and_what_else_the_tank_serves() -> None:
    one = PLAIN.zones[0]

    def counted(**more: object) -> list[str]:
        return _counts(dataclasses.replace(PLAIN, **more), "si")  # type: ignore[arg-type]

    assert counted() == ["3 loops", "1 pump"]
    assert counted(zones=(dataclasses.replace(one, loops=1, pumps=0),)) == ["1 loop"]
    assert counted(zones=(one, dataclasses.replace(one, loops=5, pumps=2))) == ["8 loops", "3 pumps"]
    taps = UseMark("Hot water", "hot_water", 55.0), UseMark("Pool", "pool_or_tub", 30.0)
    assert counted(uses=taps) == ["3 loops", "1 pump", "and hot water, pool"]
    assert counted(zones=(dataclasses.replace(one, loops=0, pumps=2),), uses=taps[:1]) == ["emitters", "and hot water"]
    assert counted(zones=(dataclasses.replace(one, loops=0, floor=True),)) == ["radiant floor"]
