"""The figure of bills over temperature: bills, fitted line with its band, and what is left over."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from costsim.bills.fit import Fit
from costsim.bills.house import HouseFit
from costsim.bills.model import ONE_DAY
from costsim.physics.fuels import FUELS, sold_amount
from costsim.units.arrays import Floats
from costsim.units.quantity import pretty_unit, show, unit_for
from costsim.units.table import DAY_S
from costsim.views.charts import COLOURS
from costsim.views.hover import END
from costsim.views.tables import to_display_array
from costsim.words import tr

POINTS = 81
BAND = "rgba(0, 114, 178, 0.18)"


def fit_chart(house_fit: HouseFit, system: str = "us") -> go.Figure:
    """Draw daily use of each bill over its mean outdoor temperature, the line with its band, and the residuals below.

    Parameters
    ----------
    house_fit : HouseFit
        Bills before a change are drawn hollow, with a line of their own where they suffice for one.
    system : str
        ``"us"`` or ``"si"``.
    """
    fit, unit = house_fit.now, sold_amount(house_fit.now.bills.fuel, 1.0, system)[1]
    figure = make_subplots(rows=2, cols=1, shared_xaxes=True, row_heights=[0.7, 0.3], vertical_spacing=0.06)
    _add_line(figure, fit, system, tr("fitted line"), 0, band=True)
    _add_bills(figure, fit, system, "bills", 0)
    if house_fit.before:
        _add_line(figure, house_fit.before, system, tr("line before the change"), 1, band=False)
        _add_bills(figure, house_fit.before, system, tr("bills before the change"), 1)
    balance = to_display_array(np.array([fit.line.balance_c]), "temperature", system)[0]
    label = tr("balance point {balance}", balance=show(fit.line.balance_c, "temperature", system))
    figure.add_vline(x=float(balance), line={"color": "#888888", "dash": "dot"}, annotation_text=label, row=1, col=1)
    figure.add_hline(y=0.0, line={"color": "#888888", "width": 1}, row=2, col=1)
    figure.update_yaxes(title_text=tr("{unit} a day", unit=unit), rangemode="tozero", row=1, col=1)
    figure.update_yaxes(title_text=tr("left over"), row=2, col=1)
    outdoor = tr(
        "mean outdoor temperature of the bill, {unit_for}", unit_for=pretty_unit(unit_for("temperature", system))
    )
    figure.update_xaxes(title_text=outdoor, row=2, col=1)
    figure.update_layout(
        title={
            "text": tr("{title}: bills over temperature", title=tr(FUELS[fit.bills.fuel].title)),
            "font": {"size": 16},
        },
        height=520,
        margin={"l": 60, "r": 16, "t": 48, "b": 48},
        legend={"orientation": "h", "yanchor": "top", "y": -0.16, "x": 0},
    )
    return figure


def _add_line(figure: go.Figure, fit: Fit, system: str, name: str, at: int, *, band: bool) -> None:
    across_c = np.linspace(fit.mean_c.min() - 1.0, max(fit.mean_c.max(), fit.line.balance_c) + 1.0, POINTS)
    use, half = (_a_day(fit, watts, system) for watts in fit.curve(across_c))
    x = _shown(across_c, system)
    if band:
        edge = np.concatenate((use + half, (use - half)[::-1]))
        outline = {"x": np.concatenate((x, x[::-1])), "y": edge, "fill": "toself", "fillcolor": BAND}
        figure.add_trace(
            go.Scatter(**outline, name=tr("band of nine in ten"), mode="lines", line={"width": 0}, hoverinfo="skip"),
            1,
            1,
        )
    line = {"color": COLOURS[at], "width": 2, "dash": ("solid", "dash")[at]}
    figure.add_trace(go.Scatter(x=x, y=use, mode="lines", name=name, line=line, hoverinfo="skip"), 1, 1)


def _add_bills(figure: go.Figure, fit: Fit, system: str, name: str, at: int) -> None:
    bills = fit.bills
    marker = {"color": COLOURS[at], "size": 9, "symbol": ("circle", "circle-open")[at]}
    dates = [tr("{a} to {b}", a=a, b=b - ONE_DAY) for a, b in zip(bills.start_day, bills.end_day, strict=True)]
    x, left = _shown(fit.mean_c, system), fit.residual_j / (bills.days * DAY_S)
    hover = "%{text}: %{y:.2f} " + tr("{unit} a day", unit=sold_amount(fit.bills.fuel, 1.0, system)[1]) + END
    shared = {"mode": "markers", "marker": marker, "text": dates, "hovertemplate": hover}
    figure.add_trace(go.Scatter(x=x, y=_a_day(fit, bills.mean_w, system), name=name, **shared), 1, 1)
    figure.add_trace(go.Scatter(x=x, y=_a_day(fit, left, system), name=name, showlegend=False, **shared), 2, 1)


def _a_day(fit: Fit, watts: Floats, system: str) -> Floats:
    return np.asarray(watts * DAY_S * sold_amount(fit.bills.fuel, 1.0, system)[0], dtype=np.float32)


def _shown(values_c: Floats, system: str) -> Floats:
    return np.asarray(to_display_array(values_c, "temperature", system), dtype=np.float32)
