"""Margins, print and names of the report's drawings, worked out by hand on paper 640 wide."""

from __future__ import annotations

import numpy as np
from report.drawn import MISSING, WIDE, basis, boxes, height_of, inside, option, texts, wide_of
from views.geometry import shapes_of

from costsim.report.figures import _short, cost_chart, duration_chart, short_chart


def test_a_name_is_cut_where_it_would_run_off_the_paper() -> None:
    """Beside the second column's line, from 352 on, 640 holds 54 letters of 10.5 points by half their size: 42 and " can deliver"."""
    for length in (42, 43):
        made = [option("n" * length, 1.0, 1.0, MISSING)]
        words = texts(shapes_of(duration_chart(basis(*made, given_w=(9e3,))).svg))
        (key,) = (one for one in words if one.words.endswith(" can deliver"))
        assert key.points[0][0] == 352.0
        assert key.words == f"{'n' * 42 if length == 42 else 'n' * 41 + '…'} can deliver"
        assert WIDE - 5.25 < key.points[0][0] + wide_of(key.words, 10.5) <= WIDE
    assert _short("n" * 42) == "n" * 42


def test_drawings_share_their_margins_and_their_sizes_of_print() -> None:
    """A figure of eight letters of 10 points ends left of the axis, a total of twelve of 11 points right of the longest bar."""
    one = basis(option("Gas", 200.0, 900.0, MISSING), bands=[(900.0, 1020.0, 1300.0)], given_w=(9e3,))
    short = short_chart(one)
    assert short is not None
    cost, missing, load = (shapes_of(chart.svg) for chart in (cost_chart(one), short, duration_chart(one)))
    lefts = [min(line.box[0] for line in found if line.kind == "line") for found in (cost, missing, load)]
    assert lefts == [6.0 + wide_of("x" * 8, 10)] * 3
    last = max(line.box[2] for line in cost if line.kind == "line" and line.box[1] == 22)
    assert last + 6.0 + wide_of("x" * 12, 11) == WIDE
    rights = [max(line.box[2] for line in found if line.kind == "line") for found in (missing, load)]
    assert rights == [WIDE - 12.0] * 2
    # names are larger than keys, and keys than the figures of an axis
    size = {word.words: word.size for found in (missing, load, cost) for word in texts(found)}
    assert (
        size["Gas"]
        > size["energy"]
        == size["Gas can deliver"]
        > size["$0"]
        == size["Jan"]
        == size["1,000"]
        == size["0"]
    )
    # the words of a key stand on one line
    assert (
        len({word.points[0][1] for word in texts(cost) if word.words in ("fixed charges", "energy", "80% range")}) == 1
    )
    # below the axis there is as much paper in both drawings of columns
    for chart, found in ((cost_chart(one), cost), (short, missing)):
        foot = max(line.box[3] for line in found if line.kind == "line")
        assert height_of(chart.svg) - foot == 18.0
    lines = [line for line in missing if line.kind == "line"]
    assert all(line.points[0][1] == line.points[1][1] for line in lines)


def test_a_name_is_nearer_to_its_own_bar_than_to_the_one_above() -> None:
    """Rows of 36: 4 between a name and its bar of 13, and twice as much over the name's 11 points."""
    made = [option(name, 200.0, 900.0) for name in ("Gas", "Pump")]
    found = shapes_of(cost_chart(basis(*made, bands=[(900.0, 1020.0, 1300.0)] * 2)).svg)
    (second,) = (word for word in texts(found) if word.words == "Pump")
    above, own = boxes(found)[2], boxes(found)[4]
    assert own.box[1] - second.points[0][1] == 4.0
    assert second.points[0][1] - 11.0 - above.box[3] == 8.0


def test_the_coldest_hour_stands_on_the_paper_though_nothing_carries_it() -> None:
    """A single hour of 12 kW over 4 kW of load and capacity: steps of 2.5 kW to 12.5 kW."""
    one = basis(option("Gas", 1.0, 1.0), given_w=(4e3,), load_w=4e3)
    one.common.demand_w[:] = np.minimum(one.common.demand_w, 3.5e3)
    one.common.demand_w[100] = 12e3
    chart = duration_chart(one)
    found = shapes_of(chart.svg)
    inside(found, height_of(chart.svg))
    assert [word.words for word in texts(found)][:6] == ["0", "2.5", "5", "7.5", "10", "12.5"]
    assert "Heat needed falls from 12.0 kW" in chart.about
