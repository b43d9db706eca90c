"""What a planner reads first: the next square metre of collector, the next home, and the peak of all homes together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from costsim.analysis.sizing import marginal_collector_area
from costsim.errors import CostsimError
from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.units.quantity import parse, show
from costsim.views.answer import round_money
from costsim.views.card import Card
from costsim.views.tables import money, when
from costsim.weather import Weather


def collector_card(case: Case, weather: Weather, system: str) -> Card:
    """What one more square metre (in US units, square foot) of collector saves in a year."""
    unit, word = ("ft2", "ft²") if system == "us" else ("m2", "m²")
    label, step = f"Next {word} of collector", parse(f"1 {unit}", "area").value
    for option in case.options:
        for source in option.sources:
            area = float(getattr(source, "area_m2", 0.0)) if source.collects_sun else 0.0
            if area <= 0.0:
                continue
            try:
                first, second = marginal_collector_area(case, weather, option=option.name, areas_m2=[area, area + step])
            except CostsimError:
                continue
            useful = show(second.useful_j - first.useful_j, "heat", system)
            saved = f"{case.currency}{first.cost - second.cost:,.2f} a year"
            return Card(
                "collector",
                label,
                saved,
                f"{option.name} · {useful} more useful heat beyond {show(area, 'area', system)}",
            )
    return Card("collector", label, "no collectors", "Add an option with collectors on the Sources page.")


def home_card(result: Result, best: OptionResult) -> Card:
    """What one more such home costs in a year, and adds to the grid's load in its highest hour."""
    power = np.zeros(len(best.hourly.demand_w))
    for at, source in enumerate(best.sources):
        power = power + (best.hourly.input_w[at] if source.fuel == "electricity" else 0.0)
    hour = int(power.argmax())
    value = f"{money(round_money(best.cost_total), result.currency)} a year"
    peak = f"{float(power[hour]) / 1e3:,.1f} kW of electricity"
    return Card("home", "Next home like this", value, f"{best.name} · up to {peak}, {when(result, hour)}")


def peak_card(summary: Mapping[str, Any] | None, best: OptionResult) -> Card:
    """The highest hour of all homes' electricity together, once a table of homes has been run."""
    one = next((o for o in summary["options"] if o["name"] == best.name), None) if summary else None
    if summary is None or one is None:
        return Card("peak", "Coincident peak", "not run yet", "Upload a table of homes on the Many homes page.")
    value = f"{one['coincident_peak_kw']:,.1f} kW"
    return Card(
        "peak", "Coincident peak", value, f"{best.name} · {summary['homes']:,} homes, {one['coincident_peak_at']}"
    )
