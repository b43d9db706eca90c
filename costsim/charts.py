"""Figures: what is drawn from a result. Colours are told apart by the colour-blind; patterns and names repeat them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray

from costsim.result import OptionResult, Result
from costsim.tables import to_display_array
from costsim.units import pretty_unit, unit_for

Floats = NDArray[np.float64]

# Okabe and Ito's palette, which stays apart for most kinds of colour blindness.
COLOURS = ("#0072B2", "#E69F00", "#009E73", "#CC79A7", "#56B4E9", "#F0E442")
SHORT_COLOUR = "#D55E00"
PATTERNS = ("", "/", ".", "x", "-", "+")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
MOST_POINTS = 600
SHORT_NAME = "not delivered"


def _figure(title: str, across: str, up: str, height: int = 360) -> go.Figure:
    figure = go.Figure()
    figure.update_layout(
        title={"text": title, "font": {"size": 16}},
        xaxis_title=across,
        yaxis_title=up,
        height=height,
        margin={"l": 60, "r": 16, "t": 48, "b": 48},
        legend={"orientation": "h", "yanchor": "top", "y": -0.22, "x": 0},
        barmode="stack",
        hovermode="x unified",
    )
    return figure


def _bar(name: str, x: Sequence[str], y: Sequence[float] | Floats, at: int, colour: str | None = None) -> go.Bar:
    return go.Bar(
        name=name,
        x=list(x),
        y=np.asarray(y, dtype=np.float32),
        marker={"color": colour or COLOURS[at % len(COLOURS)], "pattern": {"shape": PATTERNS[at % len(PATTERNS)]}},
    )


def _area(name: str, x0: float, step: float, y: Floats, at: int, colour: str | None = None) -> go.Scatter:
    return go.Scatter(
        name=name,
        x0=x0,
        dx=step,
        y=np.asarray(y, dtype=np.float32),
        mode="lines",
        line={"width": 0.5, "color": colour or COLOURS[at % len(COLOURS)], "shape": "hv"},
        stackgroup="heat",
        fillpattern={"shape": PATTERNS[at % len(PATTERNS)], "solidity": 0.25},
    )


def cost_chart(result: Result) -> go.Figure:
    """Draw a year's cost of each option, fixed and energy stacked."""
    names = [option.name for option in result.options]
    figure = _figure("Cost of a year's heating", "", f"{result.currency} a year")
    figure.add_trace(_bar("fixed charges", names, [o.cost_fixed for o in result.options], 0))
    figure.add_trace(_bar("energy", names, [o.cost_energy for o in result.options], 1))
    return figure


def monthly_chart(result: Result, option: OptionResult, system: str) -> go.Figure:
    """Draw heat by source and month, with what was not delivered on top."""
    unit = pretty_unit(unit_for("heat", system))
    figure = _figure(f"{option.name}: heat by month", "", unit)
    for i, source in enumerate(option.sources):
        figure.add_trace(_bar(source.name, MONTHS, _by_month(result, option.hourly.heat_w[i], system), i))
    short = _by_month(result, option.hourly.short_w, system)
    if option.shortfall.hours:
        figure.add_trace(_bar(SHORT_NAME, MONTHS, short, 5, SHORT_COLOUR))
    return figure


def _by_month(result: Result, watts: Floats, system: str) -> Floats:
    joule = np.bincount(result.months - 1, weights=watts, minlength=12) * 3600.0
    return np.asarray(to_display_array(joule, "heat", system))


def duration_chart(option: OptionResult, system: str) -> go.Figure:
    """Draw the load-duration curve: hours ordered by demand, sources stacked."""
    order = np.argsort(-option.hourly.demand_w, kind="stable")
    order = order[: max(1, int(np.count_nonzero(option.hourly.demand_w > 0)))]
    bins = np.array_split(order, min(MOST_POINTS // 3, len(order)))
    unit = unit_for("power", system)
    figure = _figure(f"{option.name}: hours of the year, coldest first", "hours with at least this demand", unit)
    step = len(order) / len(bins)
    for i, source in enumerate(option.sources):
        means = np.array([option.hourly.heat_w[i][chosen].mean() for chosen in bins])
        figure.add_trace(_area(source.name, 0.0, step, to_display_array(means, "power", system), i))
    if option.shortfall.hours:
        means = np.array([option.hourly.short_w[chosen].mean() for chosen in bins])
        figure.add_trace(_area(SHORT_NAME, 0.0, step, to_display_array(means, "power", system), 5, SHORT_COLOUR))
    return figure


def coldest_week(outdoor_c: Floats) -> int:
    """First hour of the seven days with the lowest mean temperature.

    Examples
    --------
    >>> coldest_week(np.r_[np.zeros(200), np.full(168, -5.0), np.zeros(100)])
    200
    """
    sums = np.concatenate(([0.0], np.cumsum(outdoor_c)))
    return int(np.argmin(sums[168:] - sums[:-168])) if len(outdoor_c) > 168 else 0


def week_chart(result: Result, option: OptionResult, first: int, system: str) -> go.Figure:
    """Draw seven days hour by hour: sources stacked, demand as a line, and what is not delivered."""
    chosen = slice(first, first + 168)
    days = [result.clock[hour].rsplit(",", 1)[0] for hour in range(first, min(first + 168, len(result.clock)), 24)]
    figure = _figure(f"{option.name}: the coldest week", "", unit_for("power", system))
    for i, source in enumerate(option.sources):
        figure.add_trace(
            _area(source.name, 0.0, 1.0, to_display_array(option.hourly.heat_w[i][chosen], "power", system), i)
        )
    if (option.hourly.short_w[chosen] > 0.5).any():
        figure.add_trace(
            _area(
                SHORT_NAME, 0.0, 1.0, to_display_array(option.hourly.short_w[chosen], "power", system), 5, SHORT_COLOUR
            )
        )
    demand = np.asarray(to_display_array(option.hourly.demand_w[chosen], "power", system), dtype=np.float32)
    figure.add_trace(
        go.Scatter(
            name="demand", x0=0.0, dx=1.0, y=demand, mode="lines", line={"width": 2, "color": "#888888", "dash": "dot"}
        )
    )
    figure.update_xaxes(tickvals=[24 * i for i in range(len(days))], ticktext=days)
    return figure
