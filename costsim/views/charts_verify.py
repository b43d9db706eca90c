"""The picture of a study held against a meter: metered beside predicted use of each bill, and what it shows."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from costsim.analysis.verify import Verification, monthly_rows
from costsim.physics.fuels import FUELS, sold_amount
from costsim.views.charts import COLOURS, PATTERNS, figure_of
from costsim.views.hover import END
from costsim.views.text_fit import sold
from costsim.words import tr

EVEN = 0.005


def verify_finding(verification: Verification) -> str:
    """What the picture shows, in a title.

    Returns
    -------
    str
        Such as "The study predicts 12% less than was metered, most of it in Jan 2023".
    """
    metered, predicted = verification.bills.energy_j, verification.predicted_j
    off = float(predicted.sum() / metered.sum()) - 1.0
    if abs(off) < EVEN:
        return tr("Over all bills the study predicts what was metered")
    worst = _months(verification)[int(np.argmax((predicted - metered) * np.sign(off)))]
    return tr(
        "The study predicts {off} {value} than was metered, most of it in {worst}",
        off=f"{abs(off):.0%}",
        value=tr("more") if off > 0 else tr("less"),
        worst=worst,
    )


def verify_chart(verification: Verification, system: str) -> go.Figure:
    """Draw two bars for each bill, in the unit that the fuel is sold in.

    Parameters
    ----------
    verification : Verification
    system : str
        ``"us"`` or ``"si"``.
    """
    factor, unit = sold_amount(verification.bills.fuel, 1.0, system)
    figure = figure_of(verify_finding(verification), "", f"{tr(FUELS[verification.bills.fuel].title).lower()}, {unit}")
    names, days = (
        _months(verification),
        [tr("{a} to {b}", a=a, b=b) for a, b, _, _ in zip(*monthly_rows(verification), strict=True)],
    )
    for at, (name, joule) in enumerate(
        (("metered", verification.bills.energy_j), ("predicted", verification.predicted_j))
    ):
        figure.add_trace(
            go.Bar(
                name=name,
                x=names,
                y=np.asarray(joule * factor, dtype=np.float32),
                customdata=days,
                marker={"color": COLOURS[at], "pattern": {"shape": PATTERNS[at]}},
                hovertemplate=f"%{{customdata}} · %{{fullData.name}} %{{y:,.0f}} {unit}{END}",
            )
        )
    figure.update_layout(barmode="group")
    figure.update_xaxes(type="category")
    return figure


def verify_alt(verification: Verification, system: str) -> str:
    """The same picture in a sentence or two, for those who hear it."""
    fuel, names = verification.bills.fuel, _months(verification)
    metered, predicted = verification.bills.energy_j, verification.predicted_j
    worst = int(np.argmax(np.abs(predicted - metered)))
    return tr(
        "Bars of metered and predicted {title} for {names} bills, {names_2} to {names_3}. {found}."
        " Furthest apart in {names_4}: metered {fuel}, predicted {fuel_2}.",
        title=tr(FUELS[fuel].title).lower(),
        names=len(names),
        names_2=names[0],
        names_3=names[-1],
        found=verify_finding(verification),
        names_4=names[worst],
        fuel=sold(fuel, float(metered[worst]), system),
        fuel_2=sold(fuel, float(predicted[worst]), system),
    )


def _months(verification: Verification) -> list[str]:
    """The month of the middle of each bill; of two in one month the second is told by its first day."""
    bills, names = verification.bills, list[str]()
    for start, end in zip(bills.start_day, bills.end_day, strict=True):
        name = (start + (end - start) // 2).astype(object).strftime("%b %Y")
        names.append(name if name not in names else str(start))
    return names
