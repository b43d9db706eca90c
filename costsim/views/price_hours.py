"""What an hour of energy costs, hour by hour and month by month: a picture of a price table, and a sentence for it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import plotly.graph_objects as go

from costsim.engine.lower import LoweredStudy
from costsim.results.clock import clock_time
from costsim.study.case import Case
from costsim.study.services import ELECTRICITY
from costsim.tariffs.calendar import short_months
from costsim.units.arrays import Floats
from costsim.units.calendar_words import window_words
from costsim.views.charts import as_typed, figure_of
from costsim.words import tr

LOW_TO_HIGH = [[0.0, "#e8eef2"], [1.0, "#1f4e6b"]]
KINDS_OF_DAY = ("workdays", "weekends and holidays")


@dataclass(frozen=True, slots=True)
class PriceHours:
    """Mean price of an hour in the unit the service is sold in, (2, 12, 24): workdays and other days, months, hours.

    Not a number where a month has no such hour. `unit` is such as ``"$/kWh"``.
    """

    name: str
    unit: str
    mean: Floats

    @property
    def low(self) -> float:
        """Lowest of them."""
        return float(np.nanmin(self.mean))

    @property
    def high(self) -> float:
        """Highest of them."""
        return float(np.nanmax(self.mean))

    @property
    def flat(self) -> bool:
        """Whether all hours cost the same."""
        return self.high - self.low <= 1e-9 * abs(self.high)


def price_hours(common: LoweredStudy, key: str, system: str) -> PriceHours:
    """Average the hourly price of a table by month, hour of the day and kind of day.

    Parameters
    ----------
    common : LoweredStudy
    key : str
        Of the price table.
    system : str
        ``"us"`` or ``"si"``: unit that a fuel is sold in.

    Returns
    -------
    PriceHours
    """
    clock, price = common.surroundings.calendar, common.case.prices[key]
    per_j = common.surroundings.price_per_j[key]
    off = ((clock.weekday >= 5) | clock.is_holiday).astype(int)
    cell = (off * 12 + clock.month.astype(int) - 1) * 24 + clock.clock_hour.astype(int)
    count = np.bincount(cell, minlength=576)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.bincount(cell, weights=per_j, minlength=576) / count
    rate, unit = price.sold_price(key, 1.0, system)
    return PriceHours(key.replace("_", " "), f"{common.case.currency}/{unit}", (mean * rate).reshape(2, 12, 24))


def price_sentence(price_hours: PriceHours) -> str:
    """Say what the picture shows.

    Returns
    -------
    str
        Such as "The price is the same at every hour: 0.14 $/kWh." or "From 0.07 $/kWh (Jan, 10 pm) to 0.13 $/kWh (Jan, 7 am)."
    """
    if price_hours.flat:
        return tr(
            "The price is the same at every hour: {high} {unit}.", high=_figure(price_hours.high), unit=price_hours.unit
        )
    places = []
    for value in (price_hours.low, price_hours.high):
        day, month, hour = np.argwhere(price_hours.mean == value)[0]
        where = "" if day == 0 else tr(", weekends")
        places.append(f"{_figure(value)} {price_hours.unit} ({short_months()[month]}, {clock_time(int(hour))}{where})")
    return tr("From {places} to {places_2}.", places=places[0], places_2=places[1])


def used_sentence(case: Case, key: str, system: str) -> str:
    """In which hours a price is paid, where all that it bills runs only in the same hours; empty elsewhere.

    Empty too of the house's own electricity, which lights and pumps take at all hours.
    """
    if key == ELECTRICITY:
        return ""
    billed = [source for option in case.options for source in option.sources if source.price_key(case.prices) == key]
    hours = {source.windows for source in billed}
    if len(hours) != 1 or not (windows := next(iter(hours))):
        return ""
    return tr(
        "It is paid only in the hours of what it heats with: {hours}.",
        hours=", ".join(window_words(window, system) for window in windows),
    )


def _figure(value: float) -> str:
    """A price in four figures, with its cents where it has any.

    Examples
    --------
    >>> _figure(1.6), _figure(0.1045), _figure(300.0)
    ('1.60', '0.1045', '300')
    """
    text = f"{value:.4g}"
    return f"{value:.2f}" if len(text.partition(".")[2]) == 1 else text


def price_chart(price_hours: PriceHours) -> go.Figure:
    """Draw hours across and months down, workdays above other days where the two differ."""
    differ = not np.allclose(price_hours.mean[0], price_hours.mean[1], equal_nan=True)
    panels = 2 if differ else 1
    figure = figure_of("", "", "", 210 * panels + 40)
    figure.update_layout(title={"text": ""}, margin={"t": 26, "b": 30, "l": 40, "r": 8}, hovermode="closest")
    hours, shape = [clock_time(hour) for hour in range(24)], {"zmin": price_hours.low, "zmax": price_hours.high}
    for at in range(panels):
        text = [[f"{month}, {hour}" for hour in hours] for month in short_months()]
        axes = {"xaxis": f"x{at + 1}", "yaxis": f"y{at + 1}"} if at else {}
        figure.add_trace(
            go.Heatmap(
                z=price_hours.mean[at], x=list(range(24)), y=list(range(12)), text=text, colorscale=LOW_TO_HIGH, xgap=1, ygap=1,
                hovertemplate=f"%{{text}} · %{{z:.4g}} {as_typed(price_hours.unit)}<extra></extra>", showscale=at == 0,
                colorbar={"title": as_typed(price_hours.unit), "thickness": 12}, **shape, **axes,
            )
        )  # fmt: skip
        top = 1.0 - 0.54 * at
        domain = [max(0.0, top - (0.46 if differ else 1.0)), top]
        ticks = {
            "tickvals": [0, 6, 12, 18],
            "ticktext": [hours[hour] for hour in (0, 6, 12, 18)],
            "showgrid": False,
            "showticklabels": at == panels - 1,
        }
        months = {"tickvals": list(range(0, 12, 2)), "ticktext": short_months()[::2], "autorange": "reversed"}
        figure.update_layout({f"xaxis{at + 1 if at else ''}": ticks | ({"anchor": f"y{at + 1}"} if at else {}),
                              f"yaxis{at + 1 if at else ''}": months | {"domain": domain, "showgrid": False}})  # fmt: skip
        if differ:
            figure.add_annotation(
                text=tr(KINDS_OF_DAY[at]), xref="paper", yref="paper", x=0, y=top, xanchor="left", yanchor="bottom", showarrow=False
            )  # fmt: skip
    return figure
