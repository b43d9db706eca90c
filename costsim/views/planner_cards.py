"""What a planner reads first: the next square metre of collector, the next home, and the peak of all homes together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from costsim.analysis.collector_sweep import CollectorStep, marginal_collector_area
from costsim.errors import CostsimError
from costsim.results.peak import peak_hour
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.units.quantity import parse, show
from costsim.views.answer import about
from costsim.views.card import Card
from costsim.views.tables import money, when
from costsim.weather import Weather
from costsim.words import tr

CENTS_BELOW = 10.0
"""A saving under this is told with its cents; a choice of ours."""


def collector_card(case: Case, weather: Weather, system: str) -> Card:
    """What one more square metre (in US units, square foot) of collector saves in a year."""
    unit, word = ("ft2", "ft²") if system == "us" else ("m2", "m²")
    label, step = tr("Next {word} of collector", word=word), parse(f"1 {unit}", "area").value
    for option in case.options:
        for source in option.sources:
            area = (source.collector_area_m2() or 0.0) if source.collects_sun else 0.0
            if area <= 0.0:
                continue
            try:
                first, second = marginal_collector_area(case, weather, option=option.name, areas_m2=[area, area + step])
            except CostsimError:
                continue
            useful = show(second.useful_j - first.useful_j, "heat", system, 0 if system == "si" else 2)
            before, after, less = _spent((first, second), case.currency)
            saved = tr("{cost} a year", cost=less)
            return Card(
                "collector",
                label,
                saved,
                tr(
                    "{name} · {useful} more useful heat beyond {amount}",
                    name=option.name,
                    useful=useful,
                    amount=show(area, "area", system),
                ),
                math=_collector_math(option.name, (first, second), (before, after, saved), system),
            )
    return Card("collector", label, tr("no collectors"), tr("Add an option with collectors on the Sources page."))


def _spent(steps: tuple[CollectorStep, CollectorStep], coin: str) -> tuple[str, str, str]:
    """What both years cost, and what the second saves: without cents, unless it saves too little to be told so."""
    costs = [step.cost for step in steps]
    if abs(costs[0] - costs[1]) < CENTS_BELOW:
        costs = [round(cost, 2) for cost in costs]
        first, second, less = (
            f"{'-' if cost < 0 else ''}{coin}{abs(cost):,.2f}" for cost in (*costs, costs[0] - costs[1])
        )
    else:
        costs = [round(cost) for cost in costs]
        first, second, less = (money(cost, coin) for cost in (*costs, costs[0] - costs[1]))
    return first, second, less


def _collector_math(
    name: str, steps: tuple[CollectorStep, CollectorStep], spent: tuple[str, str, str], system: str
) -> tuple[tuple[str, str], ...]:
    """Two years that differ by one unit of area: what each costs, and the heat that the sun gives in each."""
    first, second = steps
    small, large = (show(step.area_m2, "area", system, 0) for step in steps)
    unit, digits = ("kBtu", 0) if system == "us" else ("kWh", 1)
    heat = [parse(f"1 {unit}", "heat").value, first.useful_j, second.useful_j]
    useful = [f"{joule / heat[0]:,.{digits}f}" for joule in heat[1:]]
    return (
        (
            tr(
                "{name}: {first} a year with {small} − {second} with {large} = {saved}",
                name=name,
                first=spent[0],
                second=spent[1],
                small=small,
                large=large,
                saved=spent[2],
            ),
            tr("two computed years, alike but for the collectors' area"),
        ),
        (
            tr(
                "Heat from the sun that is used: {second} − {first} = {more} {unit} a year",
                first=useful[0],
                second=useful[1],
                more=f"{(second.useful_j - first.useful_j) / heat[0]:,.{digits}f}",
                unit=unit,
            ),
            tr("heat collected less what the tank loses or cannot take; the Sources page holds the area"),
        ),
    )


def home_card(result: Result, best: OptionResult) -> Card:
    """What one more such home costs in a year, and adds to the grid's load in its highest hour."""
    power = np.zeros(len(best.hourly.demand_w))
    for at, source in enumerate(best.sources):
        power = power + (best.hourly.input_w[at] if source.fuel == "electricity" else 0.0)
    value = tr("{cost} a year", cost=money(about(result, best), result.currency))
    highest = peak_hour(power)
    if highest is None:
        text = tr("{name} · no electricity", name=best.name)
    else:
        peak = tr("{power} kW of electricity", power=f"{float(power[highest[0]]) / 1000.0:,.1f}")
        text = tr("{name} · up to {peak}, {time}", name=best.name, peak=peak, time=when(result, highest[0]))
    return Card("home", tr("Next home like this"), value, text)


def peak_card(summary: Mapping[str, Any] | None, best: OptionResult) -> Card:
    """The highest hour of all homes' electricity together, once a table of homes has been run."""
    entry = next((o for o in summary["options"] if o["name"] == best.name), None) if summary else None
    if summary is None or entry is None:
        return Card(
            "peak", tr("Coincident peak"), tr("not run yet"), tr("Upload a table of homes on the Many homes page.")
        )
    from costsim.views.homes_totals import peak_when  # of the portfolio, which no other card needs

    value = f"{entry['coincident_peak_kw']:,.1f} kW"
    return Card(
        "peak",
        tr("Coincident peak, all homes"),
        value,
        tr(
            "{name} · {homes} homes, {time}",
            name=best.name,
            homes=f"{summary['homes']:,}",
            time=peak_when(entry),
        ),
        math=(
            (
                tr(
                    "{power} kW ÷ {homes} homes = {each} kW a home, {time}",
                    power=f"{entry['coincident_peak_kw']:,.1f}",
                    homes=f"{summary['homes']:,}",
                    each=f"{entry['coincident_peak_kw'] / max(summary['homes'], 1):,.2f}",
                    time=peak_when(entry),
                ),
                tr("every home's electricity for heating added up hour by hour; the highest hour of the year"),
            ),
            (
                tr("Homes peak at different hours, so this is less than all their own highest hours together."),
                tr("the table and the chart of hours stand on the Many homes page"),
            ),
        ),
    )
