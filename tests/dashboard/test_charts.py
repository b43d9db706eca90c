"""Figures that must be read without colours and on a phone."""

from __future__ import annotations

from dataclasses import replace

from costsim import load_weather, read_study
from costsim.analysis.capacity import capacity_report
from costsim.analysis.uncertainty import uncertainty
from costsim.views.charts import cooling_chart, sensitivity_chart

LINE_PX = 21
"""A line of a title of 16 px with its lead."""


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
