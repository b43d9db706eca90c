"""Figures that must be read without colours and on a phone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from costsim import load_weather, read_study
from costsim.analysis.breakeven import PriceMap
from costsim.analysis.capacity import capacity_report
from costsim.analysis.uncertainty import uncertainty
from costsim.views.charts import cooling_chart, sensitivity_chart
from costsim.views.price_map import PriceAxis, map_chart

LINE_PX = 21
"""A line of a title of 16 px with its lead."""


@pytest.mark.long
def test_every_region_of_the_map_bears_its_letter() -> None:
    winner = np.array([[0, 0, 2], [0, 2, 2], [2, 2, 2]])
    factors = np.array([0.5, 1.0, 2.0])
    found = PriceMap("electricity", "wood", factors, factors, winner, ("Gas", "Never cheapest", "Wood"))
    figure = map_chart(found, PriceAxis("Electricity", 0.2, "$/kWh"), PriceAxis("Wood", 300.0, "$/cord"))
    letters = {one.text[0]: (one.x[0], one.y[0]) for one in figure.data[1:] if one.mode == "text"}
    assert {one.name for one in figure.data[1:] if one.mode == "markers"} == {"A: Gas", "C: Wood", "today"}
    for letter, at in (("A", 0), ("C", 2)):
        across, up = letters[letter]
        row, column = np.argmin(abs(factors * 300.0 - up)), np.argmin(abs(factors * 0.2 - across))
        assert winner[row, column] == at
        assert (row, column) != (1, 1)
    assert figure.layout.xaxis.title.text == "Electricity price, $/kWh"
    assert "0.2" in figure.layout.xaxis.ticktext


def test_a_long_title_has_its_room() -> None:
    case = read_study("net_loft")
    fewer = case.model_copy(update={"uncertainty": case.uncertainty.model_copy(update={"scenarios": 60})})
    layout = sensitivity_chart(uncertainty(fewer, load_weather(case)), "$").layout
    lines = layout.title.text.count("<br>") + 1
    assert lines == 4
    from_top = (1.0 - layout.title.y) * layout.height
    assert from_top + lines * LINE_PX <= layout.margin.t + LINE_PX / 2


def test_frost_is_drawn_where_the_house_freezes_and_nowhere_else() -> None:
    case = read_study("net_loft")
    weather = load_weather(case)
    look = capacity_report(case, weather).options[0]
    assert min(failure.lowest_c for failure in look.failures) < 0.0
    frost = cooling_chart(look, "us").layout.shapes[0]
    assert (frost.name, frost.y0, frost.y1) == ("water freezes", 32.0, 32.0)
    mild = replace(look, failures=tuple(replace(one, room_c=one.room_c + 30.0) for one in look.failures))
    assert not cooling_chart(mild, "us").layout.shapes
