"""Whoever points at a figure reads rounded figures with their unit: a rule for all pictures of the views."""

from __future__ import annotations

import csv
import io
import re
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from views.loft import loft

from costsim.analysis.breakeven import PriceMap
from costsim.analysis.collector_sweep import CollectorStep
from costsim.views import charts
from costsim.views.capacity_chart import capacity_against_load
from costsim.views.cost_chart import cost_by_option
from costsim.views.figure_csv import figure_csv
from costsim.views.hover import number_in
from costsim.views.price_map import PriceAxis, map_chart

HOMES = {
    "currency": "$",
    "options": [{"name": "Oil", "cost": {"quantiles": [900.04, 1000.3, 1200.0, 1500.0, 2000.0]}}],
}
AREAS = [CollectorStep(4.0, 1e10, 1e9, 0.2, 500.0, 3e8, 3.0), CollectorStep(8.0, 2e10, 2e9, 0.3, 480.0, None, None)]

SURE: Any = SimpleNamespace(
    options=[SimpleNamespace(name="Oil", band=lambda: (900.04, 1000.3, 1200.0))],
    sensitivity=[SimpleNamespace(what="winter", low=-120.5, middle=10.0, high=300.25)],
    pair=("Oil", "Gas"),
)
LOOK: Any = SimpleNamespace(
    option="Oil",
    sources=[SimpleNamespace(name="Boiler", rated_w=2e4, derated_w=1.8e4, delivered_w=1.5e4)],
    failures=[SimpleNamespace(what="Boiler", room_c=np.linspace(20.0, 2.0, 168), lowest_c=2.0)],
)


def _figures(system: str) -> dict[str, Any]:
    _, weather, result = loft()
    option = result.options[0]
    factors = np.array([0.5, 1.0, 2.0])
    found = PriceMap(
        "electricity",
        "wood",
        factors,
        factors,
        np.eye(3, dtype=int),
        ("Gas", "Wood"),
        np.stack([np.eye(3), 1 - np.eye(3)]),
    )
    return {
        "cost": charts.cost_chart(result),
        "months": charts.monthly_chart(result, option, system),
        "duration": charts.duration_chart(option, system),
        "week": charts.week_chart(result, option, 24 * 20, system),
        "range": charts.range_chart(SURE, "$"),
        "sensitivity": charts.sensitivity_chart(SURE, "$"),
        "demand": charts.demand_chart(result, weather, result.lowered.demand_w, system),
        "collectors": charts.collector_chart(AREAS, "$", system),
        "homes": charts.homes_chart(HOMES),
        "capacity": charts.capacity_chart(LOOK, result.route.load_w, system),
        "cooling": charts.cooling_chart(LOOK, system),
        "calendar": charts.unmet_calendar_chart(result, option, system),
        "against load": capacity_against_load(result, system),
        "by option": cost_by_option(result, None),
        "map": map_chart(found, PriceAxis("Electricity", 0.2, "$/kWh"), PriceAxis("Wood", 300.0, "$/cord")),
    }


RAW = re.compile(r"%\{[xyz]\}")
UNIT = re.compile(r"[$]|kBtu/h|MMBtu|kW|MWh|°[FC]| h<")


@pytest.mark.parametrize("system", ["us", "si"])
def test_every_point_is_told_in_rounded_figures_with_a_unit(system: str) -> None:
    for name, figure in _figures(system).items():
        for trace in figure.data:
            if trace.hoverinfo == "skip":
                continue
            told = trace.hovertemplate
            assert (told or "").endswith("<extra></extra>"), (name, trace.name)
            words = [told.replace("%{customdata}", str(one)) for one in trace.customdata] if trace.customdata is not None else [told]  # fmt: skip
            assert all(UNIT.search(one) for one in words), (name, words[0])
            by_name = figure.layout.yaxis.type == "category" or getattr(trace, "orientation", None) == "h"
            assert not RAW.search(told.replace("%{y}", "") if by_name else told), (name, told)


def test_what_stands_over_the_figures_is_a_name_a_time_or_rounded() -> None:
    for name, figure in _figures("us").items():
        axis, across = figure.layout.xaxis, figure.data[0].x
        if figure.layout.hovermode != "x unified" or axis.type == "date":
            continue
        named = across is not None and all(isinstance(one, str) for one in across)
        assert named or re.search(r"%\{x:,?\.0f\}", axis.unifiedhovertitle.text or ""), name


def test_a_cold_hour_is_named_by_its_day_and_clock() -> None:
    _, _, result = loft()
    (heat,) = charts.unmet_calendar_chart(result, result.options[0], "us").data
    assert heat.text.shape == np.shape(heat.z) == (24, 365)
    assert (heat.text[0, 0], heat.text[6, 11]) == ("Jan 1, 12 am", "Jan 12, 6 am")
    assert heat.hovertemplate == "%{text} · not delivered %{z:.1f} kBtu/h<extra></extra>"


def test_a_currency_stands_before_its_figure_and_a_unit_behind() -> None:
    assert number_in("€", "x", 0) == "€%{x:,.0f}"
    assert number_in("$/kWh", digits=3) == "%{y:,.3f} $/kWh"
    assert number_in("°F") == "%{y:,.1f} °F"


@pytest.mark.long
def test_every_figure_is_rows_for_a_spreadsheet_with_its_units() -> None:
    for name, figure in _figures("us").items():
        heads, *rows = list(csv.reader(io.StringIO(figure_csv(figure))))
        assert {len(row) for row in rows} == {len(heads)} == {6}, name
        assert len(rows) >= len([one for one in figure.data if one.hoverinfo != "skip"]), name
        if name != "by option":  # each of whose sums carries its unit
            assert re.search(r"[$]|kBtu/h|MMBtu|°F", " ".join(heads)), (name, heads)


def test_rows_of_a_figure_are_its_points() -> None:
    figures = _figures("us")

    def rows(name: str) -> list[list[str]]:
        return list(csv.reader(io.StringIO(figure_csv(figures[name]))))

    found = rows("cooling")
    assert found[0] == ["series", "across: hours after it fails", "up: in the house, °F", "value", "begins at", "note"]
    assert found[1] == ["without Boiler", "0", "68", "", "", ""]  # 20 °C
    assert found[168][:3] == ["without Boiler", "167", "35.6"]  # 2 °C
    assert rows("range")[1][:5] == ["Oil", "1200", "Oil", "", "900.04"]
    found = rows("calendar")
    assert (found[0][3], len(found), found[1][5], found[25][5]) == (
        "value: kBtu/h",
        1 + 8760,
        "Jan 1, 12 am",
        "Jan 2, 12 am",
    )
    assert [row[1] for row in rows("week")[1:3]] == ["01-21 00:00", "01-21 01:00"]
    # a break-even line has both prices of each point: Gas costs least off the diagonal, so that lines run beside it; then today's
    found = rows("map")
    assert {row[0] for row in found[1:-1]} <= {"Wood and Gas cost the same", "Gas and Wood cost the same"}
    assert found[1][1:3] == ["0.3", "600"]  # halfway between a corner and its neighbor
    assert found[-1][:3] == ["today", "0.2", "300"]
    # what goes by an axis of its own names that
    assert {row[0] for row in rows("collectors")[1:]} >= {"useful", "dumped"}
    assert any("$" in row[0] for row in rows("collectors")[1:])
    assert any("kBtu/h" in row[0] for row in rows("demand")[1:])
