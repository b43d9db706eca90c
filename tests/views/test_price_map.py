"""Break-even lines over two prices, held against lines by hand."""

from __future__ import annotations

import numpy as np
import pytest
from views.made import price_map

from costsim.views.charts import COLOURS
from costsim.views.figure_csv import figure_csv
from costsim.views.price_map import PriceAxis, break_even_lines, left_out_of_map, map_chart

GAS, WOOD = PriceAxis("Gas", 1.2, "$/therm"), PriceAxis("Wood", 300.0, "$/cord")
FACTORS = 2.0 ** np.linspace(-1, 1, 11)
ACROSS, UP = np.meshgrid(FACTORS, FACTORS)


def test_a_line_lies_where_both_cost_the_same() -> None:
    # the first costs 500 times the gas price's factor, the second 300 + 100 times the wood price's: x = 0.6 + 0.2 y
    (line,) = break_even_lines(price_map([500 * ACROSS, 300 + 100 * UP], ("Gas", "Wood"), FACTORS, FACTORS))
    for x, y in line.points:
        assert x == pytest.approx(0.6 + 0.2 * y)
    assert min(y for _, y in line.points) == pytest.approx(0.5)
    assert max(y for _, y in line.points) == pytest.approx(2.0)
    assert line.steep  # it goes from 0.7 to 1.0 across while it goes the whole way up
    assert (line.above, line.below) == ("Wood", "Gas")  # right of it gas is dear


def test_a_level_line_names_both_its_sides_and_today() -> None:
    # what burns wood costs 800 times its factor, gas 1,200 whatever wood costs: the same at 1.5
    figure = map_chart(
        price_map([1200 + 0 * UP, 800 * UP], ("Gas", "Wood"), FACTORS, FACTORS), GAS, WOOD, ["Gas", "Wood"]
    )
    line, today = figure.data
    assert line.mode == "lines"
    assert line.y == pytest.approx(np.full(len(line.y), 450.0))
    assert (min(line.x), max(line.x)) == pytest.approx((0.6, 2.4))
    words = {one.text.replace("<br>", " "): one for one in figure.layout.annotations}
    assert set(words) == {"above this line Gas costs least", "below this line Wood costs least"}
    for one, side in zip(figure.layout.annotations, ("bottom", "top"), strict=True):
        assert (one.y, one.yanchor) == (pytest.approx(450.0), side)
    assert (today.x[0], today.y[0], today.text[0]) == (1.2, 300.0, "today")
    assert today.marker.color == COLOURS[1]  # Wood is the cheaper one today
    assert figure.layout.title.text.replace("<br>", " ") == "Wood costs least to run today; beyond a line another does"
    assert figure.layout.xaxis.title.text == "Gas price, $/therm"
    assert list(figure.layout.yaxis.range) == pytest.approx([150.0, 600.0])
    assert not [trace for trace in figure.data if trace.type == "heatmap"]
    rows = figure_csv(figure).splitlines()
    assert rows[0].startswith("series,across: Gas price, $/therm") or "Gas price" in rows[0]
    assert "Gas and Wood cost the same,0.6,450,,," in rows or "Gas and Wood cost the same,2.4,450,,," in rows


def test_three_options_have_three_lines_that_meet() -> None:
    costs = [1000 * ACROSS, 1000 * UP, 1000 + 0 * UP]
    lines = break_even_lines(price_map(costs, ("Gas", "Wood", "Pump"), FACTORS, FACTORS))
    assert {frozenset((one.above, one.below)) for one in lines} == {
        frozenset(both) for both in (("Gas", "Wood"), ("Gas", "Pump"), ("Wood", "Pump"))
    }
    ends = [np.array(end) for one in lines for end in (one.points[0], one.points[-1])]
    # one end of each lies near the point where all three cost the same
    assert sum(np.hypot(*(end - 1.0)) < 0.15 for end in ends) == 3


def test_without_a_line_the_title_says_that_nothing_changes() -> None:
    figure = map_chart(price_map([0 * UP, 1 + UP], ("Gas", "Wood"), FACTORS, FACTORS), GAS, WOOD)
    assert figure.layout.title.text.replace("<br>", " ") == "Gas costs least to run at every price drawn"
    assert len(figure.data) == 1
    assert not figure.layout.annotations


def test_a_price_that_is_pointed_at_is_written_as_elsewhere() -> None:
    figure = map_chart(price_map([0 * UP, 1 + UP], ("Gas", "Wood"), FACTORS, FACTORS), GAS, WOOD)
    assert figure.data[-1].hovertemplate == "today: Gas<br>Gas $%{x:,.3r}/therm, Wood $%{y:,.3r}/cord<extra></extra>"


def test_a_fuel_that_costs_nothing_is_said_to_have_no_map() -> None:
    # half and twice nothing are nothing: an axis from 0 to 0
    free = PriceAxis("Wood, own", 0.0, "$/cord")
    assert left_out_of_map([GAS, WOOD]) == ""
    assert left_out_of_map([GAS, free]) == "“Wood, own” has a price of 0, so the picture of two prices leaves it out."
    assert "Oil have a price of 0" in left_out_of_map([PriceAxis("Oil", 0.0, "$/gal"), free][::-1])
