"""The picture of a study held against a meter: metered beside predicted use of each bill, and what it shows."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from costsim.analysis.verify import Verification, monthly_rows
from costsim.physics.fuels import FUELS, sold_amount
from costsim.views.charts import COLOURS, PATTERNS, figure_of
from costsim.views.text_fit import sold
from costsim.words import tr

EVEN = 0.005


def verify_finding(found: Verification) -> str:
    """What the picture shows, in a title.

    Returns
    -------
    str
        Such as "The study predicts 12% less than was metered, most of it in Jan 2023".
    """
    metered, predicted = found.bills.energy_j, found.predicted_j
    off = float(predicted.sum() / metered.sum()) - 1.0
    if abs(off) < EVEN:
        return tr("Over all bills the study predicts what was metered")
    worst = _months(found)[int(np.argmax((predicted - metered) * np.sign(off)))]
    return tr(
        "The study predicts {off} {value} than was metered, most of it in {worst}",
        off=f"{abs(off):.0%}",
        value=tr("more") if off > 0 else tr("less"),
        worst=worst,
    )


def verify_chart(found: Verification, system: str) -> go.Figure:
    """Draw two bars for each bill, in the unit that the fuel is sold in.

    Parameters
    ----------
    found : Verification
    system : str
        ``"us"`` or ``"si"``.
    """
    factor, unit = sold_amount(found.bills.fuel, 1.0, system)
    figure = figure_of(verify_finding(found), "", f"{tr(FUELS[found.bills.fuel].title).lower()}, {unit}")
    names, days = _months(found), [tr("{a} to {b}", a=a, b=b) for a, b, _, _ in zip(*monthly_rows(found), strict=True)]
    for at, (name, joule) in enumerate((("metered", found.bills.energy_j), ("predicted", found.predicted_j))):
        figure.add_trace(
            go.Bar(
                name=name,
                x=names,
                y=np.asarray(joule * factor, dtype=np.float32),
                customdata=days,
                marker={"color": COLOURS[at], "pattern": {"shape": PATTERNS[at]}},
                hovertemplate="%{customdata}: %{y:,.0f} " + unit,
            )
        )
    figure.update_layout(barmode="group")
    figure.update_xaxes(type="category")
    return figure


def verify_alt(found: Verification, system: str) -> str:
    """The same picture in a sentence or two, for those who hear it."""
    fuel, names = found.bills.fuel, _months(found)
    metered, predicted = found.bills.energy_j, found.predicted_j
    worst = int(np.argmax(np.abs(predicted - metered)))
    return tr(
        "Bars of metered and predicted {title} for {names} bills, {names_2} to {names_3}. {found}."
        " Furthest apart in {names_4}: metered {fuel}, predicted {fuel_2}.",
        title=tr(FUELS[fuel].title).lower(),
        names=len(names),
        names_2=names[0],
        names_3=names[-1],
        found=verify_finding(found),
        names_4=names[worst],
        fuel=sold(fuel, float(metered[worst]), system),
        fuel_2=sold(fuel, float(predicted[worst]), system),
    )


def _months(found: Verification) -> list[str]:
    """The month of the middle of each bill; of two in one month the second is told by its first day."""
    bills, names = found.bills, list[str]()
    for start, end in zip(bills.start_day, bills.end_day, strict=True):
        name = (start + (end - start) // 2).astype(object).strftime("%b %Y")
        names.append(name if name not in names else str(start))
    return names
