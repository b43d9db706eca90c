"""Round ticks, and shapes written as they are asked for."""

from __future__ import annotations

import math

import pytest
from views.geometry import shapes_of

from costsim.report.drawing import HATCHES, Drawing, ticks
from costsim.views.charts import COLOURS
from costsim.views.sheet import number

NEAR = pytest.approx


@pytest.mark.parametrize("wanted", [4, 5])
@pytest.mark.parametrize(
    "most", [0.003, 0.1, 0.5, 1.0, 2.0, 4.99, 5.0, 5.01, 7.0, 10.0, 12.5, 12.6, 99.0, 1730.0, 25000.0]
)
def test_ticks_are_round_start_at_nothing_and_just_cover_the_value(most: float, wanted: int) -> None:
    marks = ticks(most, wanted)
    step = marks[1]
    assert marks[0] == 0.0
    assert marks == NEAR([step * at for at in range(len(marks))])
    assert marks[-1] >= most * (1 - 1e-9)
    assert marks[-2] <= most
    size = step / 10.0 ** math.floor(math.log10(step * (1 + 1e-9)))
    assert min(abs(size - one) for one in (1.0, 2.0, 2.5, 5.0)) < 1e-6
    assert wanted / 2.5 <= len(marks) - 1 <= wanted + 1
    # the next finer round step would take more than asked for
    finer = {1.0: 0.5, 2.0: 1.0, 2.5: 2.0, 5.0: 2.5}[round(size, 1)] * step / size
    assert most / finer > wanted * (1 + 1e-9)


def test_five_steps_or_fewer_are_taken_where_nothing_is_said() -> None:
    """Eleven would be six steps of 2."""
    assert ticks(11.0) == [0.0, 2.5, 5.0, 7.5, 10.0, 12.5]


def test_ticks_of_nothing() -> None:
    assert ticks(0.0) == ticks(-3.0) == [0.0, 1.0]


def test_a_drawing_writes_what_it_is_asked_for() -> None:
    drawing = Drawing("key", 100.0, 50.0, "A < B")
    drawing.text(1, 2, "a & b", size=9.5, anchor="end", bold=True)
    drawing.text(3, 4, "c")
    drawing.line(1, 2, 3, 4, dash="2 1")
    drawing.line(1, 2, 3, 4)
    drawing.box(1, 2, 3, 4, at=0)
    drawing.box(1, 2, -3, -4, at=7)
    drawing.curve([(0, 0), (1.234, 2.5)], dash="7 3")
    drawing.curve([(0, 0), (1, 2)])
    first, second, *_ = drawing.parts
    assert first == '<text x="1" y="2" font-size="9.5" text-anchor="end" font-weight="bold">a &amp; b</text>'
    assert second == '<text x="3" y="4" font-size="11" text-anchor="start">c</text>'
    found = shapes_of(drawing.svg())
    lines = [one for one in found if one.kind == "line"]
    assert [one.wide for one in lines] == [0.6, 0.6]
    assert [one.wide for one in found if one.kind == "polyline"] == [1.2, 1.2]
    assert [one.wide for one in found if one.kind == "rect"][:2] == [0.4, 0.4]
    assert [one.dash for one in lines] == ["2 1", ""]
    assert lines[0].points == ((1, 2), (3, 4))
    plain, turned, hatched = (one for one in found if one.kind == "rect")
    assert plain.box == (1, 2, 4, 6)
    assert turned.box == hatched.box == (1, 2, 1, 2)  # never less than nothing
    assert (plain.fill, turned.fill, hatched.fill) == (
        COLOURS[0],
        COLOURS[7 % len(COLOURS)],
        f"url(#key-{7 % len(HATCHES)})",
    )
    assert drawing.svg().count("<pattern ") == 1
    assert f'<pattern id="key-{7 % len(HATCHES)}"' in drawing.svg()
    curves = [one for one in found if one.kind == "polyline"]
    assert curves[0].points == ((0, 0), (1.23, 2.5))
    assert [one.dash for one in curves] == ["7 3", ""]
    assert 'viewBox="0 0 100 50" width="100" height="50" role="img" aria-label="A &lt; B"' in drawing.svg()
    assert [number(one) for one in (3.0, -0.004, 2.999, 1.5, 100.0)] == ["3", "0", "3", "1.5", "100"]
