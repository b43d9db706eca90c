"""How a portfolio's time and memory grow with the number of homes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import plotly.graph_objects as go
from plotly.subplots import make_subplots

from costsim.views.charts import COLOURS
from costsim.words import tr


@dataclass(frozen=True, slots=True)
class Growth:
    """One run of the command: homes, processor time of all its processes [s], highest memory of one of them [MB], the clock's time [s]."""

    homes: int
    processor_s: float
    memory_mb: float
    clock_s: float = 0.0


def growth_chart(runs: Mapping[str, Sequence[Growth]], title: str) -> go.Figure:
    """Draw processor time and memory over the number of homes, both to scales of powers of ten, a line a study.

    A straight time line that rises as steeply as the dotted one is time in proportion to homes; level memory is memory that does
    not grow with the table.
    """
    figure = make_subplots(
        rows=1,
        cols=2,
        subplot_titles=(tr("Processor time [s]"), tr("Highest memory of a process [MB]")),
        horizontal_spacing=0.1,
    )
    for at, (study, rows) in enumerate(runs.items()):
        homes, colour = [row.homes for row in rows], COLOURS[at % len(COLOURS)]
        for column, values in ((1, [row.processor_s for row in rows]), (2, [row.memory_mb for row in rows])):
            figure.add_trace(
                go.Scatter(
                    x=homes, y=values, name=study, mode="lines+markers", line_color=colour, showlegend=column == 1
                ),
                row=1,
                col=column,
            )
    last = max((row for rows in runs.values() for row in rows), key=lambda row: (row.homes, row.processor_s))
    figure.add_trace(
        go.Scatter(
            x=[last.homes / 100, last.homes], y=[last.processor_s / 100, last.processor_s], name=tr("in proportion to homes"),
            mode="lines", line={"dash": "dot", "color": "#808080"},
        ),
        row=1, col=1,
    )  # fmt: skip
    figure.update_xaxes(type="log", title="homes", dtick=1, tickformat=",d")
    figure.update_yaxes(type="log", dtick=1, row=1, col=1)
    figure.update_yaxes(rangemode="tozero", row=1, col=2)
    figure.update_layout(
        title=title, width=1100, height=460, template="plotly_white", legend={"orientation": "h", "y": -0.22}
    )
    return figure
