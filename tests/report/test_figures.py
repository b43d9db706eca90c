"""The report's drawings from made-up figures: every bar, span, curve, tick, month and key where its figure puts it."""

from __future__ import annotations

import re
from itertools import pairwise

import numpy as np
import pytest
from report.drawn import MISSING, NEAR, WIDE, alike, basis, boxes, height_of, inside, option, texts, wide_of
from views.geometry import Shape, even, shapes_of

from costsim.report.drawing import DASHES, ticks
from costsim.report.figures import cost_chart, duration_chart, short_chart
from costsim.tariffs.calendar import short_months
from costsim.views.charts import COLOURS
from costsim.views.tables import money

COSTS = {
    "plain": ([("Gas", 120.0, 900.0), ("Pump", 0.0, 1610.0)], [(900.0, 1020.0, 1300.0), (1400.0, 1600.0, 1700.0)]),
    "one": ([("Only", 55.0, 40.0)], [(80.0, 95.0, 120.0)]),
    "earns": ([("Sun", 30.0, -200.0), ("Gas", -10.0, 400.0), ("Oil", 1.0, 2.0)], [(-250.0, -170.0, 20.0), (300.0, 390.0, 500.0), (0.0, 3.0, 4.0)]),
    "small": ([("Tiny", 0.1, 0.2)], [(0.1, 0.3, 0.4)]),
    "dearer than likely": ([("Gas", 110.0, 900.0)], [(700.0, 800.0, 900.0)]),
}  # fmt: skip


@pytest.mark.parametrize("name", COSTS)
def test_costs_stand_on_one_axis_from_nothing(name: str) -> None:
    made, bands = COSTS[name]
    chart = cost_chart(basis(*(option(*one) for one in made), bands=bands))
    found, height = shapes_of(chart.svg), height_of(chart.svg)
    inside(found, height)
    words = texts(found)
    marks = [one for one in words if one.points[0][1] == height - 5]  # a line of figures at the foot
    values = ticks(
        max(max(f + e, band[2]) for (_, f, e), band in zip(made, bands, strict=True)) if name != "small" else 1.0
    )
    assert [one.words for one in marks] == [money(value, "$") for value in values]
    at = [one.points[0][0] for one in marks]
    assert even(at, 0.03)
    scale = (at[-1] - at[0]) / values[-1]
    assert scale > 0
    assert at[-1] + wide_of(marks[-1].words, 10) / 2 < WIDE - 12  # the last figure is on the paper
    lines = [one for one in found if one.kind == "line"]
    grid = [one for one in lines if one.points[0][0] == one.points[1][0] and one.box[3] - one.box[1] > 20]
    assert [one.points[0][0] for one in grid] == at
    assert {one.box[3] for one in grid} == {height - 18}
    legend, bars = boxes(found)[:2], boxes(found)[2:]
    spans = [one for one in lines if one.wide == 1.6 and one.points[0][1] == one.points[1][1]]
    stops = [one for one in lines if one.wide == 1.6 and one.points[0][0] == one.points[1][0]]
    key, *spans = spans
    rows = []
    for place, ((title, fixed, energy), band) in enumerate(zip(made, bands, strict=True)):
        one, two = bars[2 * place : 2 * place + 2]
        assert one.box[0] == at[0]  # starts at the axis
        assert one.box[2] - one.box[0] == NEAR(max(fixed, 0) * scale, abs=0.02)
        assert two.box[0] == NEAR(one.box[2], abs=0.02)
        assert two.box[2] - two.box[0] == NEAR(max(energy, 0) * scale, abs=0.02)
        assert (one.box[1], one.box[3]) == (two.box[1], two.box[3])
        assert (one.fill, two.fill) == (COLOURS[0], COLOURS[1]) == (legend[0].fill, legend[1].fill)
        low, high = (at[0] + max(end, 0.0) * scale for end in (band[0], band[2]))
        assert [x for x, _ in spans[place].points] == NEAR([low, high], abs=0.02)
        middle = (one.box[1] + one.box[3]) / 2
        assert spans[place].points[0][1] == middle
        ends = stops[2 * place : 2 * place + 2]
        assert [stop.points[0][0] for stop in ends] == NEAR([low, high], abs=0.02)
        for stop in ends:
            assert sum(y for _, y in stop.points) / 2 == middle
            assert one.box[1] < stop.box[1] < stop.box[3] < one.box[3]
        rows.append(one.box[1])
        (label,) = (word for word in words if word.words == title)
        assert label.points[0][0] == at[0]
        assert 2 <= one.box[1] - label.points[0][1] <= 6  # its name right above it
        (total,) = (
            word
            for word in words
            if word.words == money(fixed + energy, "$") and one.box[1] < word.points[0][1] <= one.box[3] + 1
        )
        assert total.points[0][0] - max(high, two.box[2]) == NEAR(6.0, abs=0.02)  # right behind what is drawn
        assert one.box[3] - total.points[0][1] == 3.0  # its digits in the middle of the bar's height
        assert total.points[0][0] + wide_of(total.words, 11) <= WIDE
        assert total.size == label.size
        assert label.points[0][1] - 11 > (rows[-2] + 13 if len(rows) > 1 else 22)  # clear of the row above
    assert even(rows)
    # the key: box, box and span, each before its word
    for sign, word in zip([*legend, key], ("fixed charges", "energy", "80% range"), strict=True):
        (found_word,) = (one for one in words if one.words == word)
        assert found_word.points[0][0] - sign.box[2] == (6 if sign is key else 5)
        assert found_word.points[0][1] - 8 <= sign.box[1] <= sign.box[3] <= found_word.points[0][1] + 1
    assert legend[1].box[0] - legend[0].box[0] == NEAR(24 + 5.6 * len("fixed charges"), abs=0.02)
    assert grid[0].box[3] - bars[-1].box[3] == 9.0  # the axis ends right below the last bar
    assert bars[0].box[1] - grid[0].box[1] == 18.0  # and begins over the first name
    assert key.box[0] > legend[1].box[2] + wide_of("energy", 10.5)
    assert key.box[2] - key.box[0] == legend[0].box[2] - legend[0].box[0] + 14
    alike(
        found,
        ("fixed charges", "energy", "80% range"),
        [one.words for one in marks if name != "small"] or ["energy"],
        [one[0] for one in made],
    )
    for (title, fixed, energy), band in zip(made, bands, strict=True):
        assert f"{title}: {money(fixed + energy, '$')}, {money(band[0], '$')} to {money(band[2], '$')}" in chart.about
    assert chart.about.startswith("Yearly cost with its 80% range: ")
    assert 'aria-label="Yearly cost of each option with its 80% range"' in chart.svg


@pytest.mark.parametrize("count", [1, 2, 5])
def test_heat_missing_stands_over_its_month(count: int) -> None:
    made = [option(f"Option {at} of a longer name", 1.0, 1.0, [w * (at + 1) for w in MISSING]) for at in range(count)]
    chart = short_chart(basis(option("Warm", 1.0, 1.0), *made))
    assert chart is not None
    found, height = shapes_of(chart.svg), height_of(chart.svg)
    inside(found, height)
    words = texts(found)
    values = ticks(5.0 * count, 4)  # 5 kW for an hour, in kWh
    figures = [one for one in words if one.words in {f"{value:,.3g}" for value in values}]
    assert [one.words for one in figures] == [f"{value:,.3g}" for value in values]
    grid = [one for one in found if one.kind == "line"]
    ys = [one.points[0][1] for one in grid]
    assert even(ys, 0.03)
    assert ys[0] > ys[-1]
    left, right = grid[0].box[0], grid[0].box[2]
    assert {(one.box[0], one.box[2]) for one in grid} == {(left, right)}
    for word, y in zip(figures, ys, strict=True):
        assert left - word.points[0][0] == NEAR(6.0)  # ends just before the axis
        assert word.points[0][1] - y == NEAR(4.0, abs=0.02)  # level with its line
    scale = (ys[0] - ys[-1]) / values[-1]
    month_words = [next(one for one in words if one.words == name) for name in short_months()]
    middles = [one.points[0][0] for one in month_words]
    step = (right - left) / 12
    assert middles == NEAR([left + step * (month + 0.5) for month in range(12)], abs=0.02)
    assert {one.points[0][1] for one in month_words} == {ys[0] + 14}
    legend, bars = boxes(found)[:count], boxes(found)[count:]
    assert len(bars) == 6 * count  # none where nothing is missing
    drawn: dict[tuple[str, int], Shape] = {}
    for one in bars:
        month = int(((one.box[0] + one.box[2]) / 2 - left) // step)
        assert one.box[3] == NEAR(ys[0], abs=0.02)  # stands on the axis
        assert left + month * step - 0.01 <= one.box[0] < one.box[2] <= left + (month + 1) * step + 0.01
        assert (one.fill, month) not in drawn
        drawn[one.fill, month] = one
    for at in range(count):
        colour = COLOURS[(at + 2) % len(COLOURS)]
        assert legend[at].fill == colour
        for month, watts in enumerate(MISSING):
            if watts:
                high = drawn[colour, month].box[3] - drawn[colour, month].box[1]
                assert high == NEAR(watts * (at + 1) / 1000 * scale, abs=0.03)
    for month in (0, 11):  # bars of a month touch and do not overlap, in the middle of it
        row = sorted((one for (_, m), one in drawn.items() if m == month), key=lambda one: one.box[0])
        for one, other in pairwise(row):
            assert other.box[0] == NEAR(one.box[2], abs=0.03)
        assert (row[0].box[0] + row[-1].box[2]) / 2 == NEAR(middles[month], abs=0.03)
        assert row[-1].box[2] - row[0].box[0] == NEAR(0.8 * step, abs=0.05)
        colours = [one.fill for one in row]
        assert colours == [COLOURS[(at + 2) % len(COLOURS)] for at in range(count)]
    last = None
    for sign, one in zip(legend, made, strict=True):
        (word,) = (text for text in words if text.words == one.name)
        assert word.points[0][0] - sign.box[2] == 5
        assert sign.box[1] == word.points[0][1] - 8
        assert word.points[0][0] + wide_of(word.words, 10.5) <= right + 12
        if last is not None and last[1] == sign.box[1]:
            assert sign.box[0] == NEAR(last[0] - 17 + 24 + 5.6 * len(one.name), abs=0.02)
        elif last is not None:
            assert sign.box[0] == left
            assert sign.box[1] == last[1] + 15
        last = (word.points[0][0], sign.box[1])
    assert legend[0].box[0] == left
    assert ys[-1] - last[1] == 8 + 15  # the picture begins a line below its key
    for at, one in enumerate(made):
        assert f"{one.name} {sum(MISSING) * (at + 1) / 1000:,.2f} kWh in the year" in chart.about
    assert "Warm" not in chart.svg
    alike(found, [one.name for one in made], [*short_months(), *(one.words for one in figures)])
    assert chart.title == "Heat missing by month [kWh]"
    assert short_chart(basis(option("Warm", 1.0, 1.0))) is None


def test_many_names_take_a_new_line_only_when_one_is_full() -> None:
    # 24 and 5.6 a letter: five of 13 letters take 484 of 582; of those cut to 42 letters, 259 each, two go on a line
    for letters, lines in ((12, 1), (60, 3)):
        made = [option("n" * letters + str(at), 1.0, 1.0, MISSING) for at in range(5)]
        chart = short_chart(basis(*made))
        assert chart is not None
        found = shapes_of(chart.svg)
        assert len({one.box[1] for one in boxes(found)[:5]}) == lines
        below = [one.box[1] for one in boxes(found)[5:]]
        assert min(below) > max(one.box[3] for one in boxes(found)[:5])  # no bar on a name
        inside(found, height_of(chart.svg))
    # 72 and 5.6 for each of 91 letters are 581.6, of 92 letters 587.2
    for lengths, on_first in (((30, 30, 31), 3), ((30, 31, 31), 2), ((42, 42), 2)):
        made = [option("n" * length, 1.0, 1.0, MISSING) for length in lengths]
        chart = short_chart(basis(*made))
        assert chart is not None
        legend = boxes(shapes_of(chart.svg))[: len(lengths)]
        assert [one.box[1] for one in legend].count(legend[0].box[1]) == on_first


@pytest.mark.parametrize(
    ("given", "load"), [((9e3,), 7e3), ((4e3, 12e3, 7e3), 9e3), ((2e3, 3e3, 4e3, 5e3, 6e3, 7e3, 1e3), 15e3)]
)
def test_the_curve_falls_from_the_coldest_hour_and_each_option_has_its_line(
    given: tuple[float, ...], load: float
) -> None:
    made = [option(f"Option {at}", 1.0, 1.0) for at in range(len(given))]
    one = basis(*made, given_w=given, load_w=load)
    chart = duration_chart(one)
    found, height = shapes_of(chart.svg), height_of(chart.svg)
    inside(found, height)
    words, lines = texts(found), [shape for shape in found if shape.kind == "line"]
    values = ticks(max(8.0, load / 1000, *(watts / 1000 for watts in given)))
    grid = lines[: len(values)]
    ys = [shape.points[0][1] for shape in grid]
    assert even(ys, 0.03)
    left, right = grid[0].box[0], grid[0].box[2]
    assert all(shape.points[0][1] == shape.points[1][1] for shape in grid)
    scale, foot = (ys[0] - ys[-1]) / values[-1], ys[0]
    for value, y, word in zip(values, ys, words, strict=False):
        assert word.words == f"{value:,.3g}"
        assert word.points[0][1] - y == NEAR(4.0, abs=0.02)
        assert left - word.points[0][0] == NEAR(6.0)
    # the axis of hours: 3,000 of them, a mark each thousand
    hours = [word for word in words if word.points[0][1] == foot + 15]
    assert [word.words for word in hours] == ["0", "1,000", "2,000", "3,000"]
    assert [word.points[0][0] for word in hours] == NEAR([left + at * (right - left) / 3 for at in range(4)], abs=0.02)
    small = [shape for shape in lines if shape.points[0][0] == shape.points[1][0]]
    assert [shape.points[0][0] for shape in small] == [word.points[0][0] for word in hours]
    assert {(shape.box[1], shape.box[3]) for shape in small} == {(foot, foot + 4)}
    (curve,) = (shape for shape in found if shape.kind == "polyline")
    demand = np.sort(one.common.demand_w)[::-1]
    assert curve.points[0] == (left, NEAR(foot - 8.0 * scale, abs=0.02))
    at = [(x - left) / (right - left) * 3000 for x, _ in curve.points]
    assert at[-1] == NEAR(2999, abs=0.1)
    assert at == sorted(at)
    assert at[1] == NEAR(1.0, abs=0.1)  # the coldest hours one by one
    assert 100 < len(at) <= 240
    for hour, (_, y) in zip(at, curve.points, strict=True):
        assert y == NEAR(foot - demand[round(hour)] / 1000 * scale, abs=0.02)
    dashed = [shape for shape in lines if shape.dash]
    across, keys = dashed[::2], dashed[1::2]
    assert len(across) == len(keys) == len(given)
    (solid,) = (shape for shape in lines if shape.wide == 2.0)
    name = next(word for word in words if word.words == "heat needed in each hour, sorted")
    signs = [(solid, name)]
    assert curve.wide == solid.wide
    assert solid.points[0][1] - hours[0].points[0][1] == 15.0
    strokes = [one for one in re.findall(r'stroke="(#\w+)" stroke-width="1.8"', chart.svg)][::2]
    assert strokes == [COLOURS[place % len(COLOURS)] for place in range(len(given))]
    for place, (watts, line, key) in enumerate(zip(given, across, keys, strict=True)):
        assert [y for _, y in line.points] == NEAR([foot - watts / 1000 * scale] * 2, abs=0.02)
        assert (line.box[0], line.box[2]) == (left, right)
        assert (line.dash, line.wide) == (key.dash, key.wide)
        signs.append((key, next(word for word in words if word.words == f"Option {place} can deliver")))
    assert len({line.dash for line in across}) == min(len(given), len({*DASHES} - {""}))
    for sign, word in signs:
        assert sign.points[0][1] == sign.points[1][1]
        assert word.points[0][1] - sign.points[0][1] == 4.0
        assert word.points[0][0] - sign.box[2] == 6.0
        assert sign.box[2] - sign.box[0] == 26
        assert sign.box[1] > foot + 15  # below the axis
    places = [(sign.box[0], sign.box[1]) for sign, _ in signs]
    assert len(set(places)) == len(places)
    assert {x for x, _ in places} == ({left, WIDE / 2} if given else {left})
    rows = sorted({y for _, y in places})
    assert {after - before for before, after in pairwise(rows)} <= {15.0}
    assert places == sorted(places, key=lambda place: (place[1], place[0]))
    alike(found, [word.words for _, word in signs], [word.words for word in [*hours, *words[: len(values)]]])
    lowest = max(word.points[0][1] for word in words)
    assert height - lowest == 6.0  # no line of the key is cut off, and none is empty
    assert "Heat needed falls from 8.0 kW" in chart.about
    assert ", ".join(f"Option {at} {watts / 1000:,.1f}" for at, watts in enumerate(given)) in chart.about
    assert chart.title == "Hours of the year by heat needed [kW]"
