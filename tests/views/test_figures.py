"""Pictures on the screen: bars and lines are the result's figures, axes span them, months and hours stand in order."""

from __future__ import annotations

import json
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from views.loft import by_name, loft, many, shown

from costsim.analysis.capacity import capacity_report
from costsim.analysis.collector_sweep import CollectorStep
from costsim.tariffs.calendar import HourCalendar, short_months
from costsim.units.quantity import to_display
from costsim.views import charts
from costsim.views.charts import COLOURS, PATTERNS, SHORT_COLOUR, TITLE_LETTERS

NEAR = pytest.approx


@pytest.mark.parametrize("height", [200, 360, 700])
@pytest.mark.parametrize("lines", [1, 3])
def test_a_title_and_a_legend_stand_clear_of_the_picture(height: int, lines: int) -> None:
    title = " ".join(["w" * 30] * lines)
    layout = charts.figure_of(title, "<x>", "y & z", height).layout
    assert layout.title.text.count("<br>") == lines - 1
    assert (layout.xaxis.title.text, layout.yaxis.title.text) == ("&lt;x&gt;", "y &amp; z")
    from_top = (1 - layout.title.y) * height
    assert from_top == NEAR(18)  # the same whatever the height
    # a line of 16 px takes 20; the words end within the margin
    assert from_top + 20 * lines - 10 <= layout.margin.t <= from_top + 20 * lines + 12
    inner = height - layout.margin.t - layout.margin.b
    assert -3 < layout.legend.y < 0  # below the picture
    if inner > 150:
        assert 60 <= -layout.legend.y * inner <= 100  # below two lines, its axis's labels and title, and near them
    assert (layout.legend.orientation, layout.legend.x, layout.height) == ("h", 0, height)


def test_a_title_breaks_where_its_line_is_full() -> None:
    full = "x" * (TITLE_LETTERS - 2) + " y"
    assert "<br>" not in charts.figure_of(full, "", "").layout.title.text
    assert "<br>" in charts.figure_of(full + "z", "", "").layout.title.text
    assert charts.figure_of("", "", "").layout.hoverlabel.namelength == -1  # names in full


@pytest.mark.parametrize("system", ["us", "si"])
def test_cost_and_heat_by_month_are_those_of_the_result(system: str) -> None:
    _, _, result = loft()
    names = [one.name for one in result.options]
    figure = charts.cost_chart(result)
    fixed, energy = figure.data
    assert list(fixed.y) == list(energy.y) == names
    assert list(fixed.x) == NEAR([one.cost_fixed for one in result.options], rel=1e-6)
    assert list(energy.x) == NEAR([one.cost_energy for one in result.options], rel=1e-6)
    assert (fixed.orientation, energy.orientation, figure.layout.barmode) == ("h", "h", "stack")
    assert figure.layout.yaxis.autorange == "reversed"  # the first on top
    assert figure.layout.height - 45 * len(names) == charts.cost_chart(replace(result, options=())).layout.height
    for option in result.options:
        figure = charts.monthly_chart(result, option, system)
        bars, places = by_name(figure), {one.name: at for at, one in enumerate(option.sources)}
        for source, hours in zip(option.sources, option.hourly.heat_w, strict=True):
            bar = bars[source.name]
            assert list(bar.x) == list(short_months())
            wanted = [
                to_display(float(hours[result.months == month].sum()) * 3600, "heat", system) for month in range(1, 13)
            ]
            assert list(bar.y) == NEAR(wanted, rel=1e-5, abs=1e-4)
            assert bar.marker.color == COLOURS[places[source.name]]
            assert (bar.marker.pattern.shape or "") == PATTERNS[places[source.name]]
        assert ("not delivered" in bars) == (option.unmet.hours > 0)
        if option.unmet.hours:
            bar = figure.data[-1]
            assert bar.marker.color == SHORT_COLOUR
            assert sum(bar.y) == NEAR(to_display(option.unmet.energy_j, "heat", system), rel=1e-4)


def test_hours_in_order_of_demand_hold_all_heat() -> None:
    _, _, result = loft()
    for option in result.options:
        figure = charts.duration_chart(option, "si")
        heating = np.count_nonzero(option.hourly.demand_w > 0)
        first = figure.data[0]
        assert first.x0 == 0.0
        assert first.dx * len(first.y) == NEAR(heating)
        assert 100 <= len(first.y) <= 200
        wanted = option.hourly.demand_w > 0
        for source, trace in zip(option.hourly.heat_w, figure.data, strict=False):
            assert np.sum(trace.y) * trace.dx == NEAR(source[wanted].sum() / 1000, rel=0.02, abs=0.5)
        short = [one for one in figure.data if one.name == "not delivered"]
        assert len(short) == (option.unmet.hours > 0)
        for one in short:
            assert np.sum(one.y) * one.dx == NEAR(option.hourly.unmet_w.sum() / 1000, rel=0.02)
            assert one.y[0] > one.y[-1]  # the coldest hours first
            assert one.line.color == SHORT_COLOUR
        assert {one.stackgroup for one in figure.data} == {"heat"}
    for count in (1, 0):  # one hour of heating, or none, is a picture too
        hourly = SimpleNamespace(demand_w=np.arange(9.0) * 0, heat_w=np.ones((1, 9)), unmet_w=np.zeros(9))
        hourly.demand_w[4] = count
        few = SimpleNamespace(
            name="o", hourly=hourly, sources=[SimpleNamespace(name="s")], unmet=SimpleNamespace(hours=0)
        )
        (trace,) = charts.duration_chart(few, "si").data  # type: ignore[arg-type]
        assert (len(trace.y), trace.dx) == (1, 1.0)


@pytest.mark.parametrize("first", [0, 24 * 40, 8760 - 48])
def test_a_week_is_seven_days_hour_by_hour(first: int) -> None:
    _, _, result = loft()
    option = result.options[0]
    figure = charts.week_chart(result, option, first, "si")
    hours = min(168, 8760 - first)
    demand = by_name(figure)["demand"]
    assert list(demand.y) == NEAR(option.hourly.demand_w[first : first + hours] / 1000, rel=1e-5)
    assert list(figure.data[0].y) == NEAR(option.hourly.heat_w[0][first : first + hours] / 1000, rel=1e-5, abs=1e-4)
    for one in figure.data:
        assert len(one.x) == hours
        assert set(np.diff(one.x).astype(int).tolist()) == {60}  # minutes
    assert {str(one)[11:] for one in figure.layout.xaxis.tickvals} == {"00:00"}
    assert len(figure.layout.xaxis.ticktext) == hours // 24
    assert figure.layout.xaxis.ticktext[0] in figure.layout.title.text.replace("<br>", " ").replace("\u00a0", " ")
    missing = option.hourly.unmet_w[first : first + hours]
    assert ("not delivered" in by_name(figure)) == bool((missing > 0.5).any())
    assert demand.line.dash == "dot"


@pytest.mark.parametrize(
    "first", [24 * 40, 24 * 40 + 10, 24 * 66 + 5]
)  # the last one runs over the clock change of 9 March
def test_what_is_off_from_4_to_9_pm_stands_there_whenever_the_week_begins(first: int) -> None:
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=-6.0, timezone="America/Chicago", year=2025)
    off = (clock.clock_hour >= 16) & (clock.clock_hour < 21)
    hourly = SimpleNamespace(heat_w=np.where(off, 0.0, 5e3)[None], demand_w=np.full(8760, 5e3), unmet_w=np.zeros(8760))
    option = SimpleNamespace(name="o", hourly=hourly, sources=[SimpleNamespace(name="s")])
    result = SimpleNamespace(lowered=SimpleNamespace(calendar=clock), clock=range(8760))
    figure = charts.week_chart(result, option, first, "us")  # type: ignore[arg-type]
    heat = figure.data[0]
    drawn = [str(at)[11:] for at, value in zip(heat.x, heat.y, strict=True) if value == 0]
    assert set(drawn) == {f"{hour}:00" for hour in range(16, 21)}
    assert len(drawn) == 35  # seven evenings of five hours
    marks = dict(zip(map(str, figure.layout.xaxis.tickvals), figure.layout.xaxis.ticktext, strict=True))
    assert len(marks) == 7
    day = np.datetime64("2023-01-01") + np.timedelta64((first + 23) // 24, "D")
    month, number = ("Feb", "Mar")[first > 24 * 60 - 25], int(str(day)[8:])
    assert marks[f"{day}T00:00"] == f"{month} {number}"
    assert json.loads(figure.to_json())["layout"]["xaxis"]["type"] == "date"


def test_ranges_stand_at_their_quantiles_and_the_widest_cause_on_top() -> None:
    found = many()
    figure = charts.range_chart(found, "$")
    bars, middles = figure.data[::2], figure.data[1::2]
    for at, (option, bar, mark) in enumerate(zip(found.options, bars, middles, strict=True)):
        low, middle, high = option.band()
        assert (bar.base[0], bar.base[0] + bar.x[0]) == NEAR((low, high), rel=1e-6)
        assert (mark.x[0], mark.y[0], bar.y[0]) == (NEAR(middle), option.name, option.name)
        assert bar.marker.color == COLOURS[at]
        assert not bar.showlegend
        assert not mark.showlegend
    assert figure.layout.barmode == "overlay"
    assert figure.layout.height > charts.range_chart(replace(found, options=found.options[:1]), "$").layout.height + 100
    figure = charts.sensitivity_chart(found, "$")
    lows, highs = figure.data
    for at, one in enumerate(found.sensitivity):
        assert (lows.y[at], highs.y[at]) == (one.what, one.what)
        assert float(lows.base) + float(lows.x[at]) == NEAR(one.low, rel=1e-4, abs=0.01)
        assert float(highs.base) + float(highs.x[at]) == NEAR(one.high, rel=1e-4, abs=0.01)
        assert float(lows.base) == NEAR(one.middle, rel=1e-6)
    assert figure.layout.shapes[0].x0 == figure.layout.shapes[0].x1 == 0.0
    assert (lows.name, highs.name) == ("at its low value", "at its high value")
    assert lows.marker.color != highs.marker.color
    assert len(charts.sensitivity_chart(replace(found, sensitivity=()), "$").data[0].x) == 0


@pytest.mark.parametrize(("system", "width"), [("us", 4.0), ("si", 2.0)])
def test_every_hour_of_the_year_stands_in_one_step_of_temperature(system: str, width: float) -> None:
    _, weather, result = loft()
    figure = charts.demand_chart(result, weather, result.lowered.demand_w, system)
    hours, heat = figure.data
    assert sum(hours.y) == 8760
    outdoor = np.array(shown(weather.outdoor_c, "temperature", system))
    for middle, count, wanted in zip(hours.x, hours.y, heat.y, strict=True):
        inside = (outdoor >= middle - width / 2) & (outdoor < middle + width / 2)
        assert count == np.count_nonzero(inside)
        if count:
            mean = float(result.lowered.demand_w[inside].mean())
            assert wanted == NEAR(to_display(mean, "power", system), rel=1e-5, abs=1e-4)
        else:
            assert np.isnan(wanted)
    assert np.diff(hours.x) == NEAR(width)
    assert list(heat.x) == list(hours.x)
    assert heat.yaxis == "y2"
    (line,) = figure.layout.shapes
    assert line.x0 == line.x1 == NEAR(to_display(result.design_outdoor_c, "temperature", system))
    assert line.showlegend
    assert figure.layout.yaxis2.side == "right"
    assert not figure.layout.yaxis2.showgrid
    assert figure.layout.yaxis2.rangemode == "tozero"
    assert figure.layout.margin.r > charts.figure_of("", "", "").layout.margin.r  # room for the second axis


def test_collector_areas_and_what_one_more_saves() -> None:
    steps = [
        CollectorStep(2.0, 3.6e9, 0.0, 0.1, 900.0, None, None),
        CollectorStep(4.0, 5.4e9, 1.8e9, 0.2, 850.0, 0.0, 25.0),
    ]
    figure = charts.collector_chart(steps, "$", "us")
    useful, dumped, saved = figure.data
    assert list(useful.x) == list(dumped.x) == list(saved.x) == NEAR([2 / 0.3048**2, 4 / 0.3048**2], rel=1e-6)
    assert list(useful.y) == NEAR(shown([3.6e9, 5.4e9], "heat", "us"), rel=1e-6)
    assert list(dumped.y) == NEAR(shown([0.0, 1.8e9], "heat", "us"), rel=1e-6)
    assert np.isnan(saved.y[0])
    assert saved.y[1] == NEAR(25.0 * 0.3048**2, rel=1e-5)  # a square foot is so much of a square metre
    assert (useful.line.dash, dumped.line.dash) == ("solid", "dot")
    assert len({one.line.color for one in figure.data}) == 3
    assert saved.yaxis == "y2"


def test_homes_are_drawn_from_the_lowest_twentieth_to_the_highest() -> None:
    made = [
        {"name": f"o{at}", "cost": {"quantiles": [100 + at, 200, 350, 500, 900] if at < 2 else None}} for at in range(3)
    ]
    figure = charts.homes_chart({"options": made, "currency": "€"})
    for at, row in enumerate((figure.data[:3], figure.data[3:])):
        outer, inner, middle = row
        assert (outer.base[0], outer.base[0] + outer.x[0]) == (100 + at, 900)
        assert (inner.base[0], inner.base[0] + inner.x[0]) == (200, 500)
        assert middle.x[0] == 350
        assert 0 < outer.width[0] < inner.width[0] <= 1
        assert outer.marker.color == inner.marker.color == COLOURS[at]
        assert not outer.showlegend
        assert not inner.showlegend
    assert len(figure.data) == 6
    assert "€" in figure.layout.xaxis.title.text


def test_capacity_failures_and_hours_too_cold() -> None:
    case, weather, result = loft()
    report = capacity_report(case, weather)
    look = report.options[1]
    figure = charts.capacity_chart(look, report.design_load_w, "us")
    for bar, key in zip(figure.data, ("rated_w", "derated_w", "delivered_w"), strict=True):
        assert list(bar.y) == NEAR(shown([getattr(one, key) for one in look.sources], "power", "us"), rel=1e-5)
    assert figure.layout.shapes[0].y0 == NEAR(to_display(report.design_load_w, "power", "us"))
    assert figure.layout.shapes[0].showlegend
    assert figure.layout.barmode == "group"
    for system, frost in (("us", 32.0), ("si", 0.0)):
        failures = [replace(look.failures[0], room_c=np.linspace(20.0, low, 5)) for low in (3.0, 2.99)]
        for one, drawn in zip(failures, (False, True), strict=True):
            figure = charts.cooling_chart(replace(look, failures=(one,)), system)
            assert list(figure.data[0].y) == NEAR(shown(one.room_c, "temperature", system), rel=1e-5)
            assert [line.y0 for line in figure.layout.shapes] == ([frost] if drawn else [])
            assert (figure.data[0].x0, figure.data[0].dx) == (0, 1)
    option = result.options[0]
    figure = charts.unmet_calendar_chart(result, option, "si")
    (grid,) = figure.data
    assert np.shape(grid.z) == (24, 365)
    for hour in (0, 30, int(np.argmax(option.hourly.unmet_w))):
        assert grid.z[hour % 24][hour // 24] == NEAR(option.hourly.unmet_w[hour] / 1000, rel=1e-5, abs=1e-5)
    assert (grid.zmin, grid.zmax) == (0.0, NEAR(option.hourly.unmet_w.max() / 1000, rel=1e-5))
    assert list(figure.layout.xaxis.tickvals) == NEAR(
        [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334], abs=1
    )  # summer time begins a month an hour early
    assert (
        charts.unmet_calendar_chart(result, result.options[1], "si").data[0].zmax > 0
    )  # no step of colour of no height


# Converted by hand, with the factors of NIST SP 811, appendix B.8: 1 kWh is 3,412.14 Btu (International Table), 1 W 3.41214 Btu/h, 1 ft²
# 0.092 903 04 m²; °F is 1.8 °C + 32.


@pytest.mark.parametrize(("system", "january", "unit"), [("si", 744.0, "kWh"), ("us", 2.53863, "MMBtu")])
def test_a_kilowatt_all_january_is_744_kilowatt_hours(system: str, january: float, unit: str) -> None:
    months = np.repeat([1, 2], [744, 672])
    hourly = SimpleNamespace(heat_w=np.where(months == 1, 1000.0, 0.0)[None], unmet_w=np.where(months == 2, 500.0, 0.0))
    option = SimpleNamespace(
        name="o", hourly=hourly, sources=[SimpleNamespace(name="s")], unmet=SimpleNamespace(hours=672)
    )
    figure = charts.monthly_chart(SimpleNamespace(months=months), option, system)  # type: ignore[arg-type]
    heat, short = figure.data
    assert list(heat.y[:2]) == NEAR([january, 0.0], rel=1e-5)
    # half a kilowatt in 672 hours of February: 336 kWh, or 1.14648 million Btu
    assert list(short.y[:2]) == NEAR([0.0, 336.0 if system == "si" else 1.14648], rel=1e-5)
    assert figure.layout.yaxis.title.text == unit


@pytest.mark.parametrize(("system", "at", "power", "design"), [("si", -9.0, 5.0, -15.0), ("us", 14.0, 17.0607, 5.0)])
def test_ten_below_zero_stands_at_fourteen_fahrenheit(system: str, at: float, power: float, design: float) -> None:
    weather, result = SimpleNamespace(outdoor_c=np.full(24, -10.0)), SimpleNamespace(design_outdoor_c=-15.0)
    figure = charts.demand_chart(result, weather, np.full(24, 5000.0), system)  # type: ignore[arg-type]
    hours, heat = figure.data
    # steps of 2 °C from -10 to -8, of 4 °F from 12 to 16
    assert (list(hours.x), list(hours.y), list(heat.y)) == ([at], [24], NEAR([power], rel=1e-5))
    assert figure.layout.shapes[0].x0 == NEAR(design)


@pytest.mark.parametrize(
    ("system", "powers", "load", "room"),
    [("si", (12.0, 9.0, 6.0), 8.0, (20.0, 0.0)), ("us", (40.9457, 30.7093, 20.4728), 27.2971, (68.0, 32.0))],
)
def test_capacity_and_cold_rooms_in_both_systems(
    system: str, powers: tuple[float, ...], load: float, room: tuple[float, ...]
) -> None:
    source = SimpleNamespace(name="s", rated_w=12e3, derated_w=9e3, delivered_w=6e3)
    failure = SimpleNamespace(what="s", room_c=np.array([20.0, 0.0]), lowest_c=0.0)
    option = SimpleNamespace(option="o", sources=[source], failures=[failure])
    figure = charts.capacity_chart(option, 8000.0, system)  # type: ignore[arg-type]
    assert [bar.y[0] for bar in figure.data] == NEAR(list(powers), rel=1e-5)
    assert figure.layout.shapes[0].y0 == NEAR(load, rel=1e-5)
    figure = charts.cooling_chart(option, system)  # type: ignore[arg-type]
    assert list(figure.data[0].y) == NEAR(list(room))
    assert figure.layout.shapes[0].y0 == NEAR(room[1])  # water freezes


def test_ten_square_metres_are_108_square_feet() -> None:
    steps = [CollectorStep(10.0, 3.6e9, 1.8e9, 0.1, 900.0, None, 10.0)]
    useful, dumped, saved = charts.collector_chart(steps, "$", "us").data
    assert useful.x[0] == NEAR(107.639, rel=1e-5)
    # 1,000 kWh useful, 500 dumped
    assert (useful.y[0], dumped.y[0]) == (NEAR(3.41214, rel=1e-5), NEAR(1.70607, rel=1e-5))
    assert saved.y[0] == NEAR(0.929030, rel=1e-5)  # 10 $ a square metre
