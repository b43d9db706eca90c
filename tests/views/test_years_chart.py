"""Lines of what each option has cost over the years, and where a higher first cost has come back."""

from __future__ import annotations

import copy
from itertools import pairwise
from typing import Any

import pytest

from costsim import load_weather
from costsim.analysis.lifecycle import Outlay, life_cycle, paid_so_far, single_present_value
from costsim.simulation import simulate
from costsim.study.case import Case, case_from
from costsim.views.charts import COLOURS
from costsim.views.figure_csv import figure_csv
from costsim.views.payback import extra_of
from costsim.views.years_chart import payback_year, years_alt, years_basis, years_chart, years_lines, years_rows

BURNER, HEATER = "Natural gas", "Electric"
START = 2026


def house(burner: str, heater: str = "1500 $") -> Case:
    """An invented house that asks what gas costs beside electric heat."""
    options: list[dict[str, Any]] = [
        {"name": HEATER, "source": [{"kind": "electric", "output": "12 kW"}]},
        {"name": BURNER, "source": [{"kind": "gas", "output": "40 kBtu/h", "efficiency": "92 %"}]},
    ]
    for option, cost in zip(options, (heater, burner), strict=True):
        if cost:
            option["first_cost"] = cost
    return case_from(
        {
            "title": "An invented house",
            "place": {"weather": "greensboro.csv"},
            "house": {
                "floor_area": "1800 ft2",
                "indoor_temperature": "70 degF",
                "heat_loss_rate": "400 Btu/(h degF)",
                "balance_point": "62 degF",
            },
            "prices": {"natural_gas": {"energy": "1.5 $/therm"}, "electricity": {"energy": "0.15 $/kWh"}},
            "option": options,
        }
    )


def drawn(case: Case) -> tuple[Any, Any, Any, Any]:
    result = simulate(case, load_weather(case))
    outlays, _ = life_cycle(case, result)
    lines, extra = years_lines(case, result, outlays), extra_of(result)
    return result, lines, extra, years_chart(result, lines, extra, START)


def test_what_is_paid_so_far_by_hand() -> None:
    case = house("5200 $")
    outlay = Outlay("any", 1000.0, (103.0, 106.09), 0.0, {})
    assert case.economics.discount_rate_share_per_year == 0.03
    # 103 / 1.03 = 100 and 106.09 / 1.03^2 = 100
    assert paid_so_far(case, outlay) == pytest.approx((1000.0, 1100.0, 1200.0))


def test_a_line_an_option_ends_at_its_life_cycle_cost_in_the_colour_it_has_everywhere() -> None:
    case = house("5200 $")
    result, lines, extra, figure = drawn(case)
    outlays, _ = life_cycle(case, result)
    for at, (outlay, line, trace) in enumerate(zip(outlays, lines, figure.data, strict=False)):
        assert trace.line.color == COLOURS[at]
        assert line.paid[0] == outlay.first
        assert line.paid[-1] == outlay.present_cost
        assert trace.y == pytest.approx(line.paid, rel=1e-6)
        assert list(trace.x) == list(range(START, START + 21))
        step = outlay.yearly[6] * single_present_value(rate=0.03, year=7)
        assert line.paid[7] - line.paid[6] == pytest.approx(step)
        assert trace.customdata[7] == f"${round(line.paid[7]):,}"
        assert "so far" in trace.hovertemplate
    ends = [one for one in figure.layout.annotations if one.x == START + 20]
    assert {one.text.split("<br>")[0] for one in ends} == {HEATER, BURNER}
    assert years_basis(case, result, lines, extra, START).count("3% a year beyond inflation") == 1


def test_the_payback_is_marked_where_the_lines_cross_and_stands_in_the_title() -> None:
    _, lines, extra, figure = drawn(house("5200 $"))
    heater, burner = (line.paid for line in lines)
    year = payback_year(extra)
    assert year is not None
    # the lines themselves cross in that year
    assert burner[year - 1] > heater[year - 1]
    assert burner[year] <= heater[year]
    title = figure.layout.title.text.replace("<br>", " ")
    assert title == f"{BURNER} has paid back its higher first cost by {START + year} (year {year})"
    ring = figure.data[-1]
    assert START + year - 1 < ring.x[0] <= START + year
    assert burner[year - 1] < ring.y[0] < burner[year]
    assert any(one.text == f"paid back {START + year}" for one in figure.layout.annotations)


def test_what_never_comes_back_or_needs_not_to_has_no_mark() -> None:
    _, _, extra, dear = drawn(house("90000 $"))
    assert payback_year(extra) is None
    assert "does not pay back its higher first cost within 20 years" in dear.layout.title.text.replace("<br>", " ")
    _, _, _, cheap = drawn(house("1000 $"))
    assert "costs no more to buy" in cheap.layout.title.text
    for figure in (dear, cheap):
        assert all(trace.mode == "lines" for trace in figure.data)


def test_an_option_without_a_first_cost_has_no_line_beside_one_that_has() -> None:
    case = house("")
    result, lines, extra, figure = drawn(case)
    assert [line.option for line in lines] == [HEATER]
    assert f"{BURNER} has no line: its first cost is not entered." in years_basis(case, result, lines, extra, START)
    case = house("", "")
    result, lines, extra, figure = drawn(case)
    assert [(line.option, line.paid[0]) for line in lines] == [(HEATER, 0.0), (BURNER, 0.0)]
    assert "first costs not counted" in figure.layout.title.text.replace("<br>", " ")
    assert "every line starts at zero" in years_basis(case, result, lines, extra, START)


def test_table_words_and_csv_hold_the_same_figures() -> None:
    result, lines, _, figure = drawn(house("5200 $"))
    headings, rows = years_rows(result, lines, START)
    assert headings == ["so far, as of today", HEATER, BURNER]
    assert len(rows) == 21
    assert rows[0] == ["2026, bought", "$1,500", "$5,200"]
    assert rows[-1] == ["2046 (year 20)", *(f"${round(line.paid[-1]):,}" for line in lines)]
    assert f"{BURNER} $5,200 at the start" in years_alt(result, lines, START)
    assert f"${round(lines[1].paid[20]):,} by 2046" in years_alt(result, lines, START)
    assert f"{BURNER},2026,5200" in figure_csv(figure)


def test_names_at_the_ends_do_not_lie_on_each_other() -> None:
    result, lines, extra, _ = drawn(house("5200 $"))
    near = [type(line)(line.option, (*lines[0].paid[:-1], 20000.0 + at), True) for at, line in enumerate(lines)]
    for narrow, size in ((False, 13), (True, 11)):
        figure = years_chart(result, near, extra, START, narrow=narrow)
        ends = [one for one in figure.layout.annotations if one.x == START + 20]
        # the two lines end a pixel apart: their labels by at least the height of their letters
        gap = abs(ends[0].yshift - ends[1].yshift)
        assert gap >= min(len(one.text.split("<br>")) for one in ends) * size


@pytest.mark.parametrize(("count", "narrow"), [(2, False), (7, False), (7, True)])
def test_many_names_make_the_picture_taller_and_stay_inside_the_plot(count: int, narrow: bool) -> None:
    study = copy.deepcopy(dict(house("5200 $").typed))
    study["option"] = [
        {**study["option"][1], "name": f"Boiler {at} beside an old wood stove in the cellar of the house"}
        for at in range(count)
    ]
    result, lines, extra, _ = drawn(case_from(study))
    figure = years_chart(result, lines, extra, START, narrow=narrow)
    layout, size = figure.layout, 11 if narrow else 13
    plot = layout.height - layout.margin.t - layout.margin.b
    low, top = layout.yaxis.range
    ends = []
    for one in (each for each in layout.annotations if each.x == START + 20):
        middle = plot * (top - one.y) / (top - low) - one.yshift
        half = len(one.text.split("<br>")) * 1.3 * size / 2
        ends.append((middle - half, middle + half))
    ends.sort()
    assert len(ends) == count
    assert ends[0][0] >= 0
    assert ends[-1][1] <= plot
    assert all(under[0] >= over[1] for over, under in pairwise(ends))
    assert (layout.height == 400) is (count == 2)
    assert (1 - layout.title.y) * layout.height == pytest.approx(18)  # pixels from the top, as in every picture
