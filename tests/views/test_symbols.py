"""Each symbol alone: whole, the same on both sides where the thing is, standing on its pipe, and no larger than it says."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from views.geometry import Shape, even, mirrored, shapes_of

from costsim.views import symbols
from costsim.views.sheet import Box, Sheet, number, shortened, text_width

X, Y = 100.0, 80.0
WAYS = {"right": (1, 0), "left": (-1, 0), "up": (0, -1), "down": (0, 1)}
SOURCE = Box(64.0, 54.0, 178.0, 106.0)
"""The box of a source as the drawing has it."""


def drawn(name: str, *args: object) -> tuple[list[Shape], Sheet]:
    sheet = Sheet(200.0)
    getattr(symbols, name)(sheet, *args)
    return shapes_of("".join(sheet.parts)), sheet


def bounds(shapes: list[Shape]) -> tuple[float, float, float, float]:
    left, top, right, bottom = zip(*(one.box for one in shapes), strict=True)
    return min(left), min(top), max(right), max(bottom)


@pytest.mark.parametrize("towards", WAYS)
def test_pumps_and_arrows_point_along_the_flow(towards: str) -> None:
    dx, dy = WAYS[towards]
    (ring, triangle), sheet = drawn("pump", X, Y, towards)
    sheet.arrow(X, Y, towards)
    arrow = shapes_of("".join(sheet.parts))[-1]
    assert (ring.kind, ring.points) == ("circle", ((X, Y),))
    for one in (triangle, arrow):
        assert one.fill == "#1a1a1a"
        along = [(px - X) * dx + (py - Y) * dy for px, py in one.points]
        across = [(px - X) * dy + (py - Y) * dx for px, py in one.points]
        assert along[0] > 0 > along[1] == along[2]
        assert across[0] == 0.0
        assert across[1] == pytest.approx(-across[2]) != 0.0
        # as slim as an arrow: a little longer than wide, and around the place it marks
        assert 0.93 <= (along[0] - along[1]) / abs(across[1] - across[2]) <= 1.3
        assert abs(along[0] + along[1]) <= 0.35 * (along[0] - along[1])
    corners = [math.dist(one, (X, Y)) for one in triangle.points]
    assert all(0.85 * ring.radius <= one < ring.radius for one in corners)  # it fills its circle and stays inside
    assert arrow.box[2] - arrow.box[0] <= 2 * ring.radius


@pytest.mark.parametrize(
    ("name", "turned"),
    [("vessel", {"x": X}), ("fill", {"x": X}), ("mixing", {"x": X}), ("check", {"y": Y})],
)
def test_what_is_the_same_on_both_sides_is_drawn_so(name: str, turned: dict[str, float]) -> None:
    shapes, _ = drawn(name, X, Y)
    if name == "vessel":  # its diaphragm bends up on one side as it bends down on the other
        stem, ring, bent = shapes
        assert mirrored([stem, ring], **turned)
        assert mirrored([bent], x=X, y=ring.points[0][1])
        assert even([px for px, _ in bent.points])
        assert all(ring.away(end) < 0.02 for end in (bent.points[0], bent.points[-1]))
        assert ring.away(stem.points[1]) < 0.02
        assert {round(py - ring.points[0][1], 2) for _, py in bent.points} == {-3.0, 0.0, 3.0}
    else:
        assert mirrored(shapes, **turned)


@pytest.mark.parametrize("name", ["relief", "vessel", "fill", "vent"])
def test_what_stands_on_a_pipe_or_hangs_from_it_touches_it(name: str) -> None:
    shapes, _ = drawn(name, X, Y)
    assert shapes[0].points[0] == (X, Y)
    assert all(one.box[1] >= Y or one.box[3] <= Y for one in shapes)  # on one side of the pipe


def test_a_relief_valve_is_two_triangles_tip_to_tip_with_a_spring() -> None:
    (stem, body, side, spring), sheet = drawn("relief", X, Y)
    tip = body.points[0]
    assert tip == side.points[0] == spring.points[0]
    assert tip[0] == X == stem.points[1][0]
    assert mirrored([body], x=X)
    assert mirrored([side], y=tip[1])
    assert tip[1] < stem.points[1][1] <= body.points[1][1] + 1.01  # the stem ends in the body
    assert stem.points[1][1] < Y
    rises = [py for _, py in spring.points]
    assert even(rises[:-1])
    assert rises[-1] < rises[-2]
    sideways = [round(px - X, 2) for px, _ in spring.points]
    assert sideways[0] == sideways[-1] == 0
    assert {abs(one) for one in sideways[1:-1]} == {3.0}
    assert all(a == -b for a, b in pairwise(sideways[1:-1]))
    (box,) = sheet.symbols
    assert (box.left, box.top, box.right, box.bottom) == bounds([stem, body, side, spring])
    # equal triangles, or nearly
    assert abs(body.points[1][0] - body.points[2][0]) == abs(side.points[1][1] - side.points[2][1])
    assert abs(body.points[1][1] - tip[1]) == abs(side.points[1][0] - tip[0])


def test_a_check_valve_lets_water_to_the_right_and_bars_the_way_back() -> None:
    (triangle, bar), _ = drawn("check", X, Y)
    tip = triangle.points[0]
    assert tip == (max(px for px, _ in triangle.points), Y)
    assert {px for px, _ in bar.points} == {tip[0]}
    assert (bar.box[1], bar.box[3]) == (triangle.box[1], triangle.box[3])
    assert X - triangle.box[0] == triangle.box[2] - X


def test_a_fill_has_its_triangle_in_its_box_and_a_pipe_on_both_ends() -> None:
    (above, box, triangle, bar, below, arrow), sheet = drawn("fill", X, Y)
    assert box.away(above.points[1]) == 0.0
    assert box.away(below.points[0]) == 0.0
    left, top, right, bottom = box.box
    for one in (triangle, bar):
        assert left < one.box[0] <= one.box[2] < right
        assert top < one.box[1] <= one.box[3] < bottom
    assert triangle.box[0] - left == right - triangle.box[2]
    assert abs((triangle.box[1] - top) - (bottom - triangle.box[3])) <= 1.0
    assert triangle.box[1] == bar.points[0][1] == bar.points[1][1] == triangle.points[2][1]  # the tip meets the bar
    assert (bar.box[0], bar.box[2]) == (triangle.box[0], triangle.box[2])
    assert triangle.points[0][1] == triangle.points[1][1] > triangle.points[2][1]  # water goes up
    assert below.points[0][0] == below.points[1][0] == X == arrow.points[0][0]
    assert below.box[1] <= arrow.box[1] < arrow.box[3] < below.box[3]  # the arrow on its pipe
    assert len(sheet.symbols) == 1


def test_a_mixing_valve_has_three_ways_that_meet_and_a_motor_above() -> None:
    (left, right, low, stem, motor), _ = drawn("mixing", X, Y)
    assert all(one.points[0] == (X, Y) for one in (left, right, low))
    assert mirrored([left], y=Y)
    assert mirrored([right], y=Y)
    assert left.box[2] == X == right.box[0]
    assert low.box[1] == Y
    assert X - left.box[0] == right.box[2] - X == low.box[3] - Y  # ports as far out on each side
    assert left.box[3] - left.box[1] == low.box[2] - low.box[0]
    assert [one.fill for one in (left, right, low)] == ["#ffffff", "#1a1a1a", "#ffffff"]
    assert stem.points[0] == (X, Y)
    assert motor.away(stem.points[1]) == 0.0
    assert motor.box[3] == stem.points[1][1] < Y
    assert motor.box[3] < left.box[1]  # clear of the ways
    assert motor.box[2] - motor.box[0] == pytest.approx(motor.box[3] - motor.box[1], abs=1.0)


def test_an_open_vent_bends_over_and_ends_looking_down() -> None:
    (tube,), sheet = drawn("vent", X, Y)
    first, second, third, last = tube.points
    assert first[0] == second[0] == X
    assert second[1] == third[1] < last[1] < first[1]
    assert third[0] == last[0] > X
    (box,) = sheet.symbols
    left, top, right, bottom = tube.box
    assert (left - box.left, top - box.top, box.right - right, box.bottom - bottom) == (1.0, 1.0, 1.0, 0.0)


@pytest.mark.parametrize(("top", "bottom", "wide"), [(76.0, 138.0, 20.0), (84.0, 128.0, 21.0), (0.0, 44.0, 8.4)])
def test_a_loop_starts_on_one_manifold_ends_on_the_other_and_keeps_to_its_share(
    top: float, bottom: float, wide: float
) -> None:
    (tube,), _ = drawn("loop", X, top, bottom, wide)
    assert tube.points[0] == (X, top)
    assert tube.points[-1] == (X, bottom)
    assert mirrored([Shape("polyline", tube.points)], x=X, y=(top + bottom) / 2) or len(tube.points) % 2
    assert tube.box[2] - X == pytest.approx(X - tube.box[0])
    assert 0.5 * wide < tube.box[2] - tube.box[0] < 0.7 * wide  # neighbours do not touch
    levels = sorted({py for _, py in tube.points})
    assert len(levels) == 7
    assert even(levels[1:-1])
    assert levels[1] - levels[0] == pytest.approx(levels[-1] - levels[-2], abs=0.02)
    assert levels[1] - levels[0] == pytest.approx((levels[2] - levels[1]) / 2, abs=0.02)
    runs = [(a, b) for a, b in pairwise(tube.points) if a[0] == b[0]]
    sides = [math.copysign(1, a[0] - X) for a, b in runs[1:-1]]
    assert sides == [1, -1, 1, -1]


KINDS = ["element", "flame", "logs", "fan", "collector", "none of these"]


@pytest.mark.parametrize("kind", KINDS)
def test_what_makes_the_heat_stands_in_the_middle_of_its_box(kind: str) -> None:
    shapes, _ = drawn("glyph", kind, SOURCE)
    x, y = (SOURCE.left + SOURCE.right) / 2, (SOURCE.top + SOURCE.bottom) / 2
    left, top, right, bottom = bounds(shapes)
    assert SOURCE.left <= left < right <= SOURCE.right
    assert SOURCE.top <= top < bottom <= SOURCE.bottom
    assert abs(left + right - 2 * x) <= 1.0
    assert abs(top + bottom - 2 * y) <= 2.0
    if kind == "element":
        (zigzag,) = shapes
        assert mirrored(shapes, x=x, y=y) or mirrored(shapes, x=x)
        assert even([px for px, _ in zigzag.points[1:-1]])
        assert zigzag.points[0][1] == zigzag.points[1][1] == zigzag.points[-2][1] == zigzag.points[-1][1] == y
        swings = [py - y for _, py in zigzag.points[2:-2]]
        assert all(one == -other != 0 for one, other in pairwise(swings))
        assert zigzag.points[1][0] > zigzag.points[0][0]
        assert len(zigzag.points) == 13
    elif kind in ("flame", "logs"):
        flame, inner = shapes[:2]
        assert mirrored([inner], x=x)
        assert flame.points[0][0] == inner.points[0][0] == x
        pairs = {round(py, 2): [] for _, py in flame.points}
        for px, py in flame.points:
            pairs[round(py, 2)].append(px - x)
        assert sum(sorted(sides) == [-max(sides), max(sides)] for sides in pairs.values() if len(sides) == 2) == 2
        assert flame.box[0] < inner.box[0] < inner.box[2] < flame.box[2]
        assert flame.box[1] < inner.box[1] < inner.box[3] < flame.box[3]
        assert flame.box[3] < shapes[2].box[3]
        assert mirrored(shapes[2:], x=x)
        assert len(shapes) == (4 if kind == "logs" else 3)
        assert all(flame.box[0] > one.box[0] and flame.box[2] < one.box[2] for one in shapes[2:])
        ups = [py for _, py in flame.points]
        assert ups[0] == min(ups)
        assert all(abs(px - x) <= 9 for px, _ in flame.points)
        assert ups[1] < ups[2] < ups[3] < ups[4] > ups[5] > ups[6] > ups[7] > ups[0]
        widths = [abs(px - x) for px, _ in flame.points]
        assert widths[1] < widths[2] > widths[3] > widths[4] == 0
        assert widths[7] < widths[6]
        assert flame.points[1][0] > x > flame.points[7][0]
    elif kind == "fan":
        assert mirrored(shapes[:2], x=x)
        ring, blades, *air = shapes
        assert ring.points == ((x, y),)
        assert all(0.85 * ring.radius < math.dist(one, (x, y)) < ring.radius for one in blades.points)
        for one in air:  # air goes in on one side and out on the other, in the same waves
            assert even([py for _, py in one.points])
            assert len({px for px, _ in one.points[::2]}) == len({px for px, _ in one.points[1::2]}) == 1
            assert mirrored([one], x=sum(one.box[::2]) / 2, y=y)
            assert one.points[0][0] < one.points[1][0]
            assert one.box[2] < ring.box[0] or one.box[0] > ring.box[2]
        widths = {one.box[2] - one.box[0] for one in air}
        assert len(widths) == 1
        assert x - air[0].box[2] == air[1].box[0] - x
    elif kind == "collector":
        assert len(shapes) == 6
        assert even([one.points[0][0] for one in shapes])
        assert {(one.points[1][0] - one.points[0][0], one.points[0][1], one.points[1][1]) for one in shapes} == {
            (10.0, SOURCE.bottom - 6.0, SOURCE.top + 6.0)
        }
    else:
        assert shapes[0].points == ((SOURCE.left, SOURCE.bottom), (SOURCE.right, SOURCE.top))


def test_a_label_says_where_its_letters_are() -> None:
    sheet, wide = Sheet(200.0), text_width("Tank", 10)
    for anchor in ("start", "middle", "end"):
        sheet.label(100, 50, "Tank", size=10, anchor=anchor)
    sheet.label(100, 50, "Tank", size=10, bold=True)
    lefts = [box.left for _, box in sheet.labels]
    assert lefts == pytest.approx([100, 100 - wide / 2, 100 - wide, 100])
    for _, box in sheet.labels:
        assert box.right - box.left == pytest.approx(wide)
        # capitals and tails of a print: about 0.7 and 0.2 of its size, with a little air
        assert 0.7 * 10 < 50 - box.top < 0.9 * 10
        assert 0.2 * 10 < box.bottom - 50 < 0.3 * 10
    assert ["bold" in part for part in sheet.parts] == [False, False, False, True]
    assert sheet.parts[1].startswith('<text x="100" y="50" font-size="10" text-anchor="middle">')


def test_a_text_is_cut_only_where_it_must_be_and_then_fits() -> None:
    text = "Condensing propane boiler"
    wide = text_width(text, 10)
    assert shortened(text, 10, wide) == text
    assert shortened(text, 10, wide - 0.01).endswith("…")
    for most in (20.0, 47.3, 90.0):
        cut = shortened(text, 10, most)
        assert text_width(cut, 10) <= most
        longer = text[: len(cut)] + "…"
        assert text_width(longer, 10) > most or longer.rstrip("…").endswith(" ")
    assert shortened("AB", 10, 1.0) == "…"
    assert text_width("A", 10) > text_width("é", 10) >= text_width("a", 10) > text_width(" ", 10) > 0
    assert text_width("ab", 20) == pytest.approx(2 * text_width("ab", 10))


def test_lines_dashes_and_numbers_are_written_as_meant() -> None:
    assert [number(one) for one in (2.0, 2.5, -0.001, 1.239, 10.0)] == ["2", "2.5", "0", "1.24", "10"]
    sheet = Sheet(40.0, 30.0)
    sheet.pipe([(0, 0), (10, 0), (10, 5)])
    sheet.pipe([(0, 9), (10, 9)], cold=True)
    sheet.line([(0, 20), (5, 20)])
    warm, cold, thin = shapes_of("".join(sheet.parts))
    assert sheet.pipes == [((0, 0), (10, 0)), ((10, 0), (10, 5)), ((0, 9), (10, 9))]
    assert (warm.dash, bool(cold.dash), thin.dash) == ("", True, "")
    assert warm.wide == cold.wide > 1.5 * thin.wide > 0
    sheet.rect(Box(1, 2, 5, 9), round_by=3)
    assert 'x="1" y="2" width="4" height="7" rx="3"' in sheet.parts[-1]
    sheet.circle(10, 12, 4)
    assert sheet.symbols[-1] == Box(6, 8, 14, 16)
    head = sheet.svg("a & b").split(">")[0]
    assert 'viewBox="0 0 40 30" width="40" height="30" role="img" aria-label="a &amp; b"' in head


def test_stems_are_of_one_width_and_thinner_than_pipes() -> None:
    stems = [drawn(name, X, Y)[0][0] for name in ("relief", "vessel", "fill")]
    sheet = Sheet(9.0)
    sheet.pipe([(0, 0), (9, 0)])
    assert len({one.wide for one in stems}) == 1
    assert stems[0].wide < shapes_of(sheet.parts[0])[0].wide
