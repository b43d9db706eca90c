"""The map over two prices: which option is cheapest at each pair, with today's marked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import plotly.graph_objects as go

from costsim.analysis.breakeven import PriceMap
from costsim.units.arrays import Bools
from costsim.views.charts import COLOURS, as_typed, figure_of
from costsim.views.hover import END
from costsim.words import tr

LETTER = {"color": "#000000", "size": 20}


@dataclass(frozen=True, slots=True)
class PriceAxis:
    """One axis of the map: whose price it is, today's amount, and the unit that it is sold by, such as ``"$/therm"``."""

    name: str
    today: float
    unit: str


def map_chart(price_map: PriceMap, across: PriceAxis, up: PriceAxis, order: Sequence[str] = ()) -> go.Figure:
    """Draw which option is cheapest over two prices, today's marked; `order` of all options gives each its colour."""
    names = [f"{chr(65 + at)}: {as_typed(name)}" for at, name in enumerate(price_map.options)]
    count = len(names)
    places = [order.index(name) if name in order else at for at, name in enumerate(price_map.options)]
    colours = [COLOURS[place % len(COLOURS)] for place in places]
    scale = [[edge / count, colours[i]] for i in range(count) for edge in (i, i + 1)]
    titles = [tr("{name} price, {unit}", name=axis.name, unit=axis.unit) for axis in (across, up)]
    x, y = (np.asarray(f) * axis.today for f, axis in ((price_map.across_factors, across), (price_map.up_factors, up)))
    figure = figure_of(tr("Cheapest to run at each pair of prices; the cross marks today"), titles[0], titles[1], 420)
    prices = ", ".join(
        as_typed(f"{axis.name} %{{{letter}:.3g}} {axis.unit}") for axis, letter in ((across, "x"), (up, "y"))
    )
    figure.add_trace(
        go.Heatmap(
            x=x,
            y=y,
            z=price_map.winner,
            zmin=-0.5,
            zmax=count - 0.5,
            colorscale=scale,
            text=[[names[i] for i in row] for row in price_map.winner],
            hovertemplate=f"%{{text}}<br>{prices}{END}",
            showscale=False,
        )
    )
    for at in np.unique(price_map.winner):
        row, column = _inside(price_map.winner == at)
        square = {"color": colours[at], "size": 14, "symbol": "square"}
        figure.add_trace(
            go.Scatter(x=[None], y=[None], mode="markers", name=names[at], marker=square, hoverinfo="skip")
        )
        where = {"x": [x[column]], "y": [y[row]], "text": [names[at][0]]}
        figure.add_trace(go.Scatter(**where, mode="text", textfont=LETTER, showlegend=False, hoverinfo="skip"))
    mark = {"color": "#000000", "size": 14, "symbol": "x", "line": {"color": "#ffffff", "width": 2}}
    figure.add_trace(
        go.Scatter(
            x=[across.today],
            y=[up.today],
            mode="markers",
            name=tr("today"),
            marker=mark,
            showlegend=False,
            hovertemplate=f"%{{fullData.name}}<br>{prices}{END}",
        )
    )
    shares = np.array([0.5, 0.6, 0.8, 1.0, 1.25, 1.5, 2.0])
    for update, axis in ((figure.update_xaxes, across), (figure.update_yaxes, up)):
        update(type="log", tickvals=shares * axis.today, ticktext=[f"{one:.3g}" for one in shares * axis.today])
    figure.update_layout(hovermode="closest")
    return figure


def _inside(region: Bools) -> tuple[int, int]:
    """Row and column of a point inside a region, off the middle of the map where today's mark stands."""
    inside = np.argwhere(region)
    free = inside[(inside != np.array(region.shape) // 2).any(axis=1)]
    row, column = (free if len(free) else inside)[len(free) // 3]
    return int(row), int(column)
