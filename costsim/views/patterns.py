"""Patterns of bars and areas, for those who do not tell colors apart and for prints without color; names carry a picture without them."""

from __future__ import annotations

import plotly.graph_objects as go


def without_patterns(figure: go.Figure) -> go.Figure:
    """The same figure in plain color."""
    figure.update_traces(marker_pattern_shape="", selector={"type": "bar"})
    figure.update_traces(fillpattern_shape="", selector={"type": "scatter"})
    return figure
