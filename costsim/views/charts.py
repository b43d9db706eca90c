"""Figures: what is drawn from a result. Colours are told apart by the colour-blind; patterns and names repeat them."""

from __future__ import annotations

import html
import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import plotly.graph_objects as go

from costsim.analysis.capacity import OptionCapacity
from costsim.analysis.collector_sweep import CollectorStep
from costsim.analysis.uncertainty import UncertaintyResult
from costsim.results.clock import clock_time, day_labels, wall_times
from costsim.results.result import OptionResult, Result
from costsim.tariffs.calendar import short_months
from costsim.units.arrays import Floats
from costsim.units.quantity import HOUR_S, pretty_unit, to_display, unit_for
from costsim.views.answer import called
from costsim.views.hover import END, hovering, median_mark
from costsim.views.rounding import money
from costsim.views.tables import to_display_array
from costsim.weather import Weather
from costsim.words import tr

# Okabe and Ito's palette, which stays apart for most kinds of colour blindness.
COLOURS = ("#0072B2", "#E69F00", "#009E73", "#CC79A7", "#56B4E9", "#F0E442")
SHORT_COLOUR = "#D55E00"
TINTS = ("#9DB8C7", "#3F5F73")
"""Of a low and a high value: one grey blue, so that none is taken for an option."""
TITLE_LETTERS = 42
"""Of a line of a title: as many as a phone shows."""
PATTERNS = ("", "/", ".", "x", "-", "+")
MOST_POINTS = 600
SHORT_NAME = "not delivered"
NAMES_DOWN = {"type": "category", "autorange": "reversed", "automargin": True}  # "2024" is a name, no number
SHORT_SCALE = [[0.0, "#eeeeee"], [0.001, "#f6c9a8"], [1.0, SHORT_COLOUR]]


def as_typed(text: str) -> str:
    """Write a name so that plotly, which takes some markup, draws it letter by letter.

    Examples
    --------
    >>> as_typed("<b>Gas</b> & wood")
    '&lt;b&gt;Gas&lt;/b&gt; &amp; wood'
    """
    return html.escape(text, quote=False)


def figure_of(title: str, across: str, up: str, height: int = 360) -> go.Figure:
    """Begin a figure with title and axis titles, in the style of all of them."""
    figure, lines = go.Figure(), textwrap.wrap(title, TITLE_LETTERS)
    figure.update_layout(
        title={"text": "<br>".join(map(as_typed, lines)), "font": {"size": 16}, "yanchor": "top"},
        title_y=1 - 18 / height,
        xaxis_title=as_typed(across),
        yaxis_title=as_typed(up),
        height=height,
        margin={"l": 60, "r": 16, "t": 28 + 20 * len(lines), "b": 48},
        legend={"orientation": "h", "yanchor": "top", "y": -64 / max(height - 130 - 20 * len(lines), 64), "x": 0},
        barmode="stack",
        hovermode="x unified",
        hoverlabel_namelength=-1,
        separators=".,",
        xaxis_tickformat=",",
        yaxis_tickformat=",",
    )
    return figure


def _bar(name: str, x: Sequence[str], y: Sequence[float] | Floats, at: int, colour: str | None = None) -> go.Bar:
    return go.Bar(
        name=as_typed(name),
        x=[as_typed(label) for label in x],
        y=np.asarray(y, dtype=np.float32),
        marker={"color": colour or COLOURS[at % len(COLOURS)], "pattern": {"shape": PATTERNS[at % len(PATTERNS)]}},
    )


def _area(name: str, x0: float, step: float, y: Floats, at: int, colour: str | None = None) -> go.Scatter:
    return go.Scatter(
        name=as_typed(name),
        x0=x0,
        dx=step,
        y=np.asarray(y, dtype=np.float32),
        mode="lines",
        line={"width": 0.5, "color": colour or COLOURS[at % len(COLOURS)], "shape": "hv"},
        stackgroup="heat",
        fillpattern={"shape": PATTERNS[at % len(PATTERNS)], "solidity": 0.25},
    )


def cost_chart(result: Result) -> go.Figure:
    """Draw a year's cost of each option, fixed and energy in one bar; names stand at the left so that a phone has room."""
    names = [option.name for option in result.options]
    figure = figure_of(
        tr("Cost of a year's heating"), tr("{currency} a year", currency=result.currency), "", 160 + 45 * len(names)
    )
    for at, (label, values) in enumerate(
        (
            (tr("fixed charges"), [o.cost_fixed for o in result.options]),
            ("energy", [o.cost_energy for o in result.options]),
        )
    ):
        bar = _bar(label, names, values, at)
        figure.add_trace(bar.update(x=bar.y, y=bar.x, orientation="h"))
    figure.update_yaxes(**NAMES_DOWN)
    figure.update_layout(hovermode="y unified")
    return hovering(figure, result.currency, digits=0)


def monthly_chart(result: Result, option: OptionResult, system: str) -> go.Figure:
    """Draw heat by source and month, with what was not delivered on top."""
    unit = pretty_unit(unit_for("heat", system))
    figure = figure_of(tr("{name}: heat by month", name=option.name), "", unit)
    for i, source in enumerate(option.sources):
        figure.add_trace(_bar(source.name, short_months(), _by_month(result, option.hourly.heat_w[i], system), i))
    short = _by_month(result, option.hourly.unmet_w, system)
    if option.unmet.hours:
        figure.add_trace(_bar(tr(SHORT_NAME), short_months(), short, 5, SHORT_COLOUR))
    return hovering(figure, unit)


def _by_month(result: Result, watts: Floats, system: str) -> Floats:
    joule = np.bincount(result.months - 1, weights=watts, minlength=12) * HOUR_S
    return np.asarray(to_display_array(joule, "heat", system))


def duration_chart(option: OptionResult, system: str) -> go.Figure:
    """Draw the load-duration curve: hours ordered by demand, sources stacked."""
    order = np.argsort(-option.hourly.demand_w, kind="stable")
    order = order[: max(1, int(np.count_nonzero(option.hourly.demand_w > 0)))]
    bins = np.array_split(order, min(MOST_POINTS // 3, len(order)))
    unit = unit_for("power", system)
    figure = figure_of(
        tr("{name}: hours of the year, coldest first", name=option.name), tr("hours with at least this demand"), unit
    )
    step = len(order) / len(bins)
    for i, source in enumerate(option.sources):
        means = np.array([option.hourly.heat_w[i][chosen].mean() for chosen in bins])
        figure.add_trace(_area(source.name, 0.0, step, to_display_array(means, "power", system), i))
    if option.unmet.hours:
        means = np.array([option.hourly.unmet_w[chosen].mean() for chosen in bins])
        figure.add_trace(_area(tr(SHORT_NAME), 0.0, step, to_display_array(means, "power", system), 5, SHORT_COLOUR))
    return hovering(figure, unit, head=tr("{hours} h", hours="%{x:,.0f}"))


def week_chart(result: Result, option: OptionResult, first: int, system: str) -> go.Figure:
    """Draw seven days hour by hour on the house's clock: sources stacked, demand as a line, and what is not delivered."""
    chosen, calendar = slice(first, first + 168), result.lowered.calendar
    hours = range(first, min(first + 168, len(result.clock)))
    times = wall_times(calendar, hours)
    figure = figure_of(
        tr(
            "{name}: the week from {day}, hour by hour",
            name=option.name,
            day=day_labels(calendar, [first])[0].replace(" ", "\u00a0"),
        ),
        tr("clock time; each day begins at its mark, midnight"),
        unit_for("power", system),
    )

    def area(name: str, watts: Floats, at: int, colour: str | None = None) -> None:
        trace = _area(name, 0.0, 1.0, to_display_array(watts[chosen], "power", system), at, colour)
        figure.add_trace(trace.update(x0=None, dx=None, x=times))

    for i, source in enumerate(option.sources):
        area(source.name, option.hourly.heat_w[i], i)
    if (option.hourly.unmet_w[chosen] > 0.5).any():
        area(tr(SHORT_NAME), option.hourly.unmet_w, 5, SHORT_COLOUR)
    demand = np.asarray(to_display_array(option.hourly.demand_w[chosen], "power", system), dtype=np.float32)
    line = {"width": 2, "color": "#888888", "dash": "dot"}
    figure.add_trace(go.Scatter(name=tr("demand"), x=times, y=demand, mode="lines", line=line))
    begins = [hour for hour in hours if calendar.clock_hour[hour] < 1 and calendar.day[hour] != calendar.day[hour - 1]]
    figure.update_xaxes(
        type="date",
        tickvals=times[[hour - first for hour in begins]],
        ticktext=day_labels(calendar, begins),
        hoverformat="%b %-d, %-I %p" if system == "us" else "%b %-d, %H:%M",
    )
    return hovering(figure, unit_for("power", system))


def range_chart(uncertainty: UncertaintyResult, currency: str) -> go.Figure:
    """Draw the cost of each option over all scenarios: eight of ten, with the middle marked."""
    figure = figure_of(
        tr("Cost of a year: 80% range, median marked"),
        tr("{currency} a year", currency=currency),
        "",
        120 + 60 * len(uncertainty.options),
    )
    for at, option in enumerate(uncertainty.options):
        low, middle, high = option.band()
        width, name = np.float32(high - low), as_typed(option.name)
        figure.add_trace(
            go.Bar(
                name=name,
                y=[name],
                base=np.array([low], dtype=np.float32),
                x=np.array([width]),
                orientation="h",
                marker={"color": COLOURS[at % len(COLOURS)], "pattern": {"shape": PATTERNS[at % len(PATTERNS)]}},
                showlegend=False,
                customdata=[tr("{low} to {high}", low=money(low, currency), high=money(high, currency))],
                hovertemplate=f"%{{y}} · %{{customdata}}{END}",
            )
        )
        figure.add_trace(median_mark(middle, name, currency))
    figure.update_layout(barmode="overlay", hovermode="closest")
    figure.update_yaxes(**NAMES_DOWN)
    return figure


def sensitivity_chart(uncertainty: UncertaintyResult, currency: str) -> go.Figure:
    """Draw how far each thing alone moves what the first option saves against the second, widest on top."""
    names, (first, other) = [as_typed(each.what) for each in uncertainty.sensitivity], map(called, uncertainty.pair)
    figure = figure_of(
        tr("What {pair} saves against {pair_2} when one thing alone changes", pair=first, pair_2=other),
        tr("{currency} a year; left of zero it costs more", currency=currency),
        "",
        160 + 32 * len(names),
    )
    middle = uncertainty.sensitivity[0].middle if uncertainty.sensitivity else 0.0
    lows, highs = [bar.low for bar in uncertainty.sensitivity], [bar.high for bar in uncertainty.sensitivity]
    for at, (label, gaps, colour) in enumerate(
        ((tr("at its low value"), lows, TINTS[0]), (tr("at its high value"), highs, TINTS[1]))
    ):
        bar = _bar(label, [], [], at, colour)
        bar.update(
            x=np.array(gaps, dtype=np.float32) - np.float32(middle), y=names, base=np.float32(middle), orientation="h"
        )
        labels = [money(gap, currency) for gap in gaps]
        figure.add_trace(
            bar.update(customdata=labels, hovertemplate=f"%{{y}} %{{fullData.name}}: %{{customdata}}{END}")
        )
    figure.add_vline(x=0.0, line={"color": SHORT_COLOUR, "dash": "dash"})
    figure.update_layout(barmode="overlay", hovermode="closest")
    figure.update_yaxes(**NAMES_DOWN)
    return figure


def demand_chart(result: Result, weather: Weather, demand_w: Floats, system: str) -> go.Figure:
    """Draw how many hours have each outdoor temperature, and the heat wanted at it."""
    unit = pretty_unit(unit_for("temperature", system))
    outdoor = np.asarray(to_display_array(weather.outdoor_c, "temperature", system))
    width = 4.0 if system == "us" else 2.0
    at = np.floor(outdoor / width).astype(int)
    bins = np.arange(at.min(), at.max() + 1)
    middle = ((bins + 0.5) * width).astype(np.float32)
    hours = np.array([np.count_nonzero(at == step) for step in bins], dtype=float)
    heat = np.array([demand_w[at == step].mean() if (at == step).any() else np.nan for step in bins])
    figure = figure_of(
        tr("Outdoor temperatures of the year, and the heat needed at each"),
        tr("outdoor temperature, {unit}", unit=unit),
        tr("hours of the year"),
    )
    figure.add_trace(_bar(tr("hours of the year"), [], hours, 0).update(x=middle))
    line = {"color": COLOURS[1], "width": 3}
    wanted = np.asarray(to_display_array(heat, "power", system), dtype=np.float32)
    figure.add_trace(
        go.Scatter(name=tr("heat needed (right)"), x=middle, y=wanted, yaxis="y2", mode="lines", line=line)
    )
    design = to_display(result.design_outdoor_c, "temperature", system)
    figure.add_vline(
        x=design, line={"color": SHORT_COLOUR, "dash": "dash"}, name=tr("design temperature"), showlegend=True
    )
    figure.update_layout(yaxis2=_right(unit_for("power", system)), margin={"r": 64})
    return hovering(figure, "h", unit_for("power", system), head=f"%{{x:.0f}} {unit}", digits=0)


def _right(title: str) -> dict[str, object]:
    """A second axis on the right."""
    return {
        "title": title,
        "overlaying": "y",
        "side": "right",
        "rangemode": "tozero",
        "showgrid": False,
        "tickmode": "auto",
        "tickformat": ",.3~g",
    }


def collector_chart(steps: Sequence[CollectorStep], currency: str, system: str) -> go.Figure:
    """Draw useful and dumped solar heat over collector area, and what the next bit of area saves a year."""
    area_unit = pretty_unit(unit_for("area", system))
    area = np.asarray(to_display_array(np.array([step.area_m2 for step in steps]), "area", system), dtype=np.float32)
    figure = figure_of(tr("Heat from collectors over their area"), area_unit, unit_for("heat", system))
    for at, (label, joule) in enumerate(
        (("useful", [step.useful_j for step in steps]), ("dumped", [step.dumped_j for step in steps]))
    ):
        heat = np.asarray(to_display_array(np.array(joule), "heat", system), dtype=np.float32)
        line = {"color": COLOURS[at], "dash": ("solid", "dot")[at], "width": 2}
        figure.add_trace(go.Scatter(name=label, x=area, y=heat, mode="lines+markers", line=line))
    each = float(area[0]) / steps[0].area_m2
    saved = np.array(
        [np.nan if step.next_saved_m2 is None else step.next_saved_m2 / each for step in steps], dtype=np.float32
    )
    line = {"color": COLOURS[2], "dash": "dash", "width": 2}
    figure.add_trace(
        go.Scatter(
            name=tr("each one more saves a year (right)"), x=area, y=saved, yaxis="y2", mode="lines+markers", line=line
        )
    )
    figure.update_layout(yaxis2=_right(tr("{currency} a year", currency=currency)), margin={"r": 64})
    return hovering(figure, unit_for("heat", system), currency, head=f"%{{x:,.0f}} {area_unit}")


def homes_chart(summary: Mapping[str, Any]) -> go.Figure:
    """Draw what a year costs the homes: from the cheapest twentieth to the dearest, the middle marked."""
    options = [option for option in summary["options"] if option["cost"]["quantiles"]]
    figure = figure_of(
        tr("A year's cost among all homes, the median marked"),
        tr("{summary} a year", summary=summary["currency"]),
        "",
        140 + 60 * len(options),
    )
    for at, option in enumerate(options):
        low, first, middle, third, high = option["cost"]["quantiles"]
        name, coin = as_typed(option["name"]), summary["currency"]
        for width, (a, b) in ((0.25, (low, high)), (0.6, (first, third))):
            bar = _bar(option["name"], [], [], at)
            bar.update(y=[name], base=[a], x=[b - a], orientation="h", width=[width], showlegend=False)
            label = tr("{low} to {high}", low=money(a, coin), high=money(b, coin))
            figure.add_trace(bar.update(customdata=[label], hovertemplate=f"%{{y}} · %{{customdata}}{END}"))
        figure.add_trace(median_mark(middle, name, coin))
    figure.update_layout(barmode="overlay", hovermode="closest")
    figure.update_yaxes(**NAMES_DOWN)
    return figure


def capacity_chart(option: OptionCapacity, design_load_w: float, system: str) -> go.Figure:
    """Draw rated, remaining and delivered capacity of each source beside the design load."""
    figure = figure_of(
        tr("{option}: what each source really gives", option=option.option), "", unit_for("power", system)
    )
    names = [source.name for source in option.sources]
    for at, (label, values) in enumerate(
        (
            (tr("on the nameplate"), [s.rated_w for s in option.sources]),
            (tr("what it can deliver after altitude, flow, water and cold"), [s.derated_w for s in option.sources]),
            (tr("most that was called for"), [s.delivered_w for s in option.sources]),
        )
    ):
        figure.add_trace(_bar(label, names, to_display_array(np.array(values), "power", system), at))
    load = to_display(design_load_w, "power", system)
    figure.add_hline(y=load, line={"color": SHORT_COLOUR, "dash": "dash"}, name=tr("design load"), showlegend=True)
    figure.update_xaxes(type="category")
    figure.update_layout(barmode="group")
    return hovering(figure, unit_for("power", system))


def cooling_chart(option: OptionCapacity, system: str) -> go.Figure:
    """Draw the room temperature of the coldest week when a source, or the power, fails."""
    unit = pretty_unit(unit_for("temperature", system))
    figure = figure_of(
        tr("{option}: the coldest week when something fails", option=option.option),
        tr("hours after it fails"),
        tr("in the house, {unit}", unit=unit),
    )
    dashes = ("solid", "dash", "dot", "dashdot")
    for at, failure in enumerate(option.failures):
        values = np.asarray(to_display_array(failure.room_c, "temperature", system), dtype=np.float32)
        line = {"color": COLOURS[at % len(COLOURS)], "dash": dashes[at % len(dashes)], "width": 2}
        name = as_typed(tr("without {what}", what=failure.what))
        figure.add_trace(go.Scatter(name=name, x0=0, dx=1, y=values, mode="lines", line=line))
    if any(failure.lowest_c < 3.0 for failure in option.failures):
        frost = to_display(0.0, "temperature", system)
        figure.add_hline(
            y=frost, line={"color": SHORT_COLOUR, "dash": "dot"}, name=tr("water freezes"), showlegend=True
        )
    return hovering(figure, unit, head=tr("hour {hour}", hour="%{x:.0f}"))


def unmet_calendar_chart(result: Result, option: OptionResult, system: str) -> go.Figure:
    """Draw when an option falls short: days across, hours of the day up."""
    unit, calendar = unit_for("power", system), result.lowered.calendar
    days = len(option.hourly.unmet_w) // 24
    grid = (
        np.asarray(to_display_array(option.hourly.unmet_w[: days * 24], "power", system), dtype=np.float32)
        .reshape(days, 24)
        .T
    )
    labels = day_labels(calendar, range(days * 24))
    times = [f"{day}, {clock_time(float(hour))}" for day, hour in zip(labels, calendar.clock_hour, strict=False)]
    figure = figure_of(tr("{name}: hours too cold", name=option.name), "", tr("hour of the day"))
    figure.add_trace(
        go.Heatmap(
            z=grid, zmin=0.0, zmax=max(0.1, float(grid.max())), colorscale=SHORT_SCALE, colorbar={"title": unit},
            text=np.array(times).reshape(days, 24).T, hovertemplate=f"%{{text}} · {tr(SHORT_NAME)} %{{z:.1f}} {unit}{END}",
        )
    )  # fmt: skip
    firsts = [int(np.argmax(result.months == month)) // 24 for month in range(1, 13)]
    figure.update_xaxes(tickvals=firsts, ticktext=short_months())
    figure.update_layout(hovermode="closest")
    return figure
