"""What a reader is told who points at a figure."""

from __future__ import annotations

import html

import plotly.graph_objects as go

from costsim.views.rounding import money
from costsim.words import tr

END = "<extra></extra>"
"""Keeps plotly from adding the name a second time."""
MIDDLE = {"color": "#888888", "size": 12, "symbol": "diamond"}


def number_in(unit: str, axis: str = "y", digits: int = 1) -> str:
    """A rounded figure of an axis with its unit, as plotly fills it in.

    Examples
    --------
    >>> number_in("kW"), number_in("$", "x", 0)
    ('%{y:,.1f} kW', '$%{x:,.0f}')
    """
    figure = f"%{{{axis}:,.{digits}f}}"
    return (
        f"{unit}{figure}" if len(unit.rstrip("$€£¥")) < len(unit) and "/" not in unit else f"{figure} {unit}".rstrip()
    )


def hovering(figure: go.Figure, unit: str, right: str = "", head: str = "", digits: int = 1) -> go.Figure:
    """Tell of each point its series and a rounded figure with its unit; a trace that has its own words keeps them.

    Parameters
    ----------
    figure : Figure
    unit, right : str
        Of the value axis, and of the second one at the right.
    head : str
        What stands over them, such as ``"%{x:,.0f} h"``; without it the place on the axis as it is ticked.
    digits : int
        Decimals.
    """
    unit, right = (html.escape(text, quote=False) for text in (unit, right))
    for trace in figure.data:
        if trace.hovertemplate or trace.hoverinfo == "skip":
            continue
        number = number_in(right if trace.yaxis == "y2" else unit, "x" if trace.orientation == "h" else "y", digits)
        trace.hovertemplate = f"%{{fullData.name}} {number}{END}"
    if head:
        figure.update_xaxes(unifiedhovertitle_text=head)
    return figure


def median_mark(at: float, name: str, currency: str) -> go.Scatter:
    """Mark the median on the bar of an option's range."""
    return go.Scatter(
        name=tr("median"),
        x=[at],
        y=[name],
        mode="markers",
        marker=MIDDLE,
        showlegend=False,
        customdata=[money(at, currency)],
        hovertemplate=f"%{{y}} · %{{fullData.name}} %{{customdata}}{END}",
    )
