"""Pictures of the first look, of capacities, growth and prices."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from views.loft import loft, many

from costsim.tariffs.calendar import short_months
from costsim.units.quantity import to_display
from costsim.views.capacity_chart import capacity_against_load, capacity_alt, capacity_finding, capacity_rows, left_w
from costsim.views.charts import COLOURS
from costsim.views.cost_chart import cost_alt, cost_by_option, cost_finding, example_prices
from costsim.views.growth_chart import Growth, growth_chart
from costsim.views.price_hours import PriceHours, price_chart, price_sentence
from costsim.views.tables import money
from costsim.views.verdict import Likelihood, carries

NEAR = pytest.approx


def test_bars_of_the_first_look_have_their_totals_whiskers_and_room() -> None:
    _, _, result = loft()
    bands = {one.name: one.band() for one in many().options}
    sure = Likelihood("a", "b", 0.5, (0.0, 1.0), bands)
    figure = cost_by_option(result, sure)
    left, right = figure.layout.xaxis.range
    assert left == 0.0
    for at, (option, bar, word) in enumerate(zip(result.options, figure.data, figure.layout.annotations, strict=True)):
        low, _, high = bands[option.name]
        assert (bar.x[0], bar.y[0]) == (option.cost_total, option.name)
        assert option.cost_total + bar.error_x.array[0] == NEAR(max(high, option.cost_total))
        assert option.cost_total - bar.error_x.arrayminus[0] == NEAR(min(low, option.cost_total))
        assert not bar.error_x.symmetric
        assert word.x == max(option.cost_total, high)
        assert (word.y, word.xanchor, word.showarrow) == (at, "left", False)
        assert word.x + 0.2 * (right - left) <= right  # room for the words
        assert (", too small" in word.text) == (not carries(option))
        assert word.text.startswith(money(option.cost_total, result.currency))
        assert bar.marker.opacity == (1.0 if carries(option) else 0.35)
        assert not bar.showlegend
        assert f"80% range {money(low, '$')} to {money(high, '$')}" in bar.hovertemplate
        assert word.xshift > 0
    plain = cost_by_option(result, None)
    assert plain.layout.xaxis.range[1] > max(one.cost_total for one in result.options) * 1.2
    assert all("80% range" not in bar.hovertemplate for bar in plain.data)
    assert plain.layout.annotations[0].x == result.options[0].cost_total
    # warm options alone need less room; one that earns money starts left of nothing
    warm = replace(result, options=result.options[1:])
    assert 1.2 < cost_by_option(warm, None).layout.xaxis.range[1] / max(o.cost_total for o in warm.options) < 1.4
    assert figure.layout.height > cost_by_option(warm, None).layout.height + 30
    low_y, high_y = figure.layout.yaxis.range
    assert low_y > len(result.options) - 1  # the last bar within the picture
    assert -1 < high_y < 0 < low_y < len(result.options)
    said = cost_alt(result, sure)
    for option in result.options:
        low, _, high = bands[option.name]
        text = f"{option.name} {money(option.cost_total, '$')} (80% range {money(low, '$')} to {money(high, '$')})"
        assert text in said
        assert (f"{text}, too small" in said) == (not carries(option))


@pytest.mark.parametrize(
    ("costs", "said"),
    [
        ((1000.0, 1030.0), "A and B cost nearly the same to run"),  # 2.9 % less
        ((970.1, 1000.0), "A and B cost nearly the same to run"),
        ((969.0, 1000.0), "A costs 3% less than B"),
        ((1000.0, 500.0), "B costs 50% less than A"),
        ((0.0, 500.0), "A costs least in a year"),
        ((-3.0, 500.0), "A costs least in a year"),
        ((0.5, 1.0), "A costs 50% less than B"),
    ],
)
def test_a_title_says_how_much_less_the_cheapest_costs(costs: tuple[float, float], said: str) -> None:
    _, _, result = loft()
    options = [replace(one, cost_total=cost) for one, cost in zip(result.options[1:], costs, strict=True)]
    result = replace(result, options=tuple(options))
    words = cost_finding(result)
    for letter, option in zip("AB", options, strict=True):
        words = words.replace(option.name, letter)
    assert words == said


def test_the_title_where_one_or_none_is_large_enough() -> None:
    _, _, result = loft()
    cold, warm = result.options[:2]
    assert cost_finding(replace(result, options=(cold, warm))) == f"{warm.name} is the one option that is large enough"
    assert cost_finding(replace(result, options=(cold,))) == "No option is large enough"


def test_what_is_left_of_each_source_stands_end_to_end_against_the_load() -> None:
    _, _, result = loft()
    figure = capacity_against_load(result, "us")
    at = 0
    for place, option in enumerate(result.options):
        for number, one in enumerate(left_w(result, option)):
            bar = figure.data[at]
            rated = option.sources[number]
            assert one.left_w == NEAR(max(0.0, rated.rated_w - sum(watts for _, watts in rated.derates)))
            assert 0 <= one.day_w <= one.left_w + 1e-6
            assert 0 <= one.day_hours <= 24
            assert bar.x[0] == NEAR(to_display(one.day_w, "power", "us"))
            assert (bar.y[0], bar.marker.color) == (option.name, COLOURS[place])
            assert 0.3 < bar.marker.opacity <= 1.0
            assert (bar.marker.opacity == 1.0) == (number == 0)
            at += 1
    assert len(figure.data) == at
    assert figure.layout.shapes[0].x0 == NEAR(to_display(result.route.load_w, "power", "us"))
    assert figure.layout.barmode == "stack"
    assert not figure.data[0].showlegend
    headings, rows = capacity_rows(result, "us")
    assert len(rows) == at
    assert all(len(row) == len(headings) for row in rows)
    said = capacity_alt(result, "us")
    for option in result.options:
        total = to_display(sum(one.day_w for one in left_w(result, option)), "power", "us")
        assert f"{option.name} {total:,.1f} kBtu/h" in said
        own = [row for row in rows if row[0] == option.name]
        for row, source, left in zip(own, option.sources, left_w(result, option), strict=True):
            figures = [f"{to_display(w, 'power', 'us'):,.1f}" for w in (source.rated_w, left.left_w, left.day_w)]
            assert [cell.split(" ")[0] for cell in row[2:5]] == figures
            assert (row[5] == "nothing taken off") == (
                not any(w > 0 for _, w in source.derates) and left.day_hours >= 24
            )
            for why, watts in source.derates:
                assert (why in row[5]) == (watts > 0)
    assert "Too small in this year's weather: The 10.5 kW electric alone (2,776 hours too cold)." in capacity_finding(
        result, "us"
    ).replace("2776", "2,776")
    one_hour = replace(result.options[0], unmet=replace(result.options[0].unmet, hours=1))
    assert "(1 hour too cold)" in capacity_finding(replace(result, options=(one_hour,)), "us")


def test_time_and_memory_over_the_number_of_homes() -> None:
    runs = {"a": [Growth(100, 2.0, 300.0), Growth(10_000, 50.0, 310.0)], "b": [Growth(1000, 9.0, 500.0)]}
    figure = growth_chart(runs, "t")
    time_a, memory_a, time_b, memory_b, line = figure.data
    assert (list(time_a.x), list(time_a.y), list(memory_a.y)) == ([100, 10_000], [2.0, 50.0], [300.0, 310.0])
    assert (list(time_b.y), list(memory_b.y)) == ([9.0], [500.0])
    assert [one.xaxis for one in figure.data] == ["x", "x2", "x", "x2", "x"]
    assert (list(line.x), list(line.y)) == (
        [100, 10_000],
        [0.5, 50.0],
    )  # a hundredth of the homes, a hundredth of the time
    assert [one.showlegend for one in figure.data[:4]] == [True, False, True, False]
    assert time_a.line.color == memory_a.line.color != time_b.line.color
    assert figure.layout.xaxis.type == figure.layout.xaxis2.type == figure.layout.yaxis.type == "log"
    assert figure.layout.yaxis2.type != "log"
    assert figure.layout.legend.y < 0
    assert figure.layout.yaxis.dtick == figure.layout.xaxis.dtick == 1  # powers of ten


def test_prices_by_the_hour_stand_at_their_month_and_hour() -> None:
    by_hand = np.full((2, 12, 24), 0.10)
    by_hand[0, 5:8, 17:21] = 0.30
    found = PriceHours("electricity", "$/kWh", by_hand)
    assert (found.low, found.high, found.flat) == (0.10, 0.30, False)
    assert price_sentence(found) == "From 0.10 $/kWh (Jan, 12 am) to 0.30 $/kWh (Jun, 5 pm)."
    figure = price_chart(found)
    assert len(figure.data) == 2
    work, other = figure.data
    assert np.array_equal(work.z, found.mean[0])
    assert np.array_equal(other.z, found.mean[1])
    assert list(work.x) == list(range(24))
    assert list(work.y) == list(range(12))
    assert (work.showscale, other.showscale) == (True, False)
    assert (work.zmin, work.zmax) == (other.zmin, other.zmax) == (found.low, found.high)
    assert (other.xaxis, other.yaxis) == ("x2", "y2")
    upper, lower = figure.layout.yaxis.domain, figure.layout.yaxis2.domain
    assert 0 <= lower[0] < lower[1] < upper[0] < upper[1] == 1.0
    assert upper[1] - upper[0] == NEAR(lower[1] - lower[0], abs=0.01)
    assert upper[0] - lower[1] > 0.05  # room for the words between them
    texts = [(one.text, one.y) for one in figure.layout.annotations]
    assert texts == [("workdays", upper[1]), ("weekends and holidays", lower[1])]
    assert not figure.layout.annotations[0].showarrow
    for axis, told in ((figure.layout.xaxis, False), (figure.layout.xaxis2, True)):
        assert list(axis.tickvals) == [0, 6, 12, 18]
        assert list(axis.ticktext) == ["12 am", "6 am", "12 pm", "6 pm"]
        assert axis.showticklabels is told
        assert axis.showgrid is False
    for axis in (figure.layout.yaxis, figure.layout.yaxis2):
        assert (
            [short_months()[at] for at in axis.tickvals]
            == list(axis.ticktext)
            == ["Jan", "Mar", "May", "Jul", "Sep", "Nov"]
        )
        assert axis.autorange == "reversed"
        assert axis.showgrid is False
    assert work.text[5][17] == "Jun, 5 pm"
    level = PriceHours("electricity", "$/kWh", np.full((2, 12, 24), 0.125))
    assert level.flat
    assert price_sentence(level) == "The price is the same at every hour: 0.125 $/kWh."
    single = price_chart(level)
    assert len(single.data) == 1
    assert tuple(single.layout.yaxis.domain) == (0.0, 1.0)
    assert single.layout.xaxis.showticklabels
    assert not single.layout.annotations
    assert single.layout.height < figure.layout.height < 2 * single.layout.height
    night = np.full((2, 12, 24), 0.125)
    night[1, 3, 0] = 1.5
    assert price_sentence(PriceHours("e", "$/kWh", night)) == (
        "From 0.125 $/kWh (Jan, 12 am) to 1.50 $/kWh (Apr, 12 am, weekends)."
    )


def test_prices_that_are_examples_are_told_with_whose_bills_rest_on_them() -> None:
    def option(name: str, *keys: str) -> Any:
        return SimpleNamespace(name=name, price_keys=lambda prices: list(keys))

    made: Any = SimpleNamespace(
        currency="$",
        prices={"electricity": 1, "propane": 2, "wood": 3},
        options=[option("A", "electricity", "propane"), option("B", "electricity")],
    )
    assert example_prices(made, {"propane"}, "us").startswith("Example prices, not yours: Propane $2.60/gal (A).")
    assert "Electricity $0.16/kWh (A, B); Propane $2.60/gal (A)." in example_prices(
        made, {"electricity", "propane"}, "us"
    )
    assert example_prices(made, {"wood"}, "us") == ""  # nobody burns it
    assert example_prices(made, set(), "us") == ""
