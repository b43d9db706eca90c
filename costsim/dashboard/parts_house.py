"""The part of the page on the house itself: its load and where it comes from, the weather, water and floor."""

from __future__ import annotations

import streamlit as st

from costsim.analysis.capacity import capacity_report
from costsim.dashboard import state
from costsim.dashboard.explanations import how_needs
from costsim.dashboard.widgets import chart, explain, say, table
from costsim.results.result import Result
from costsim.study.case import Case
from costsim.units.quantity import show
from costsim.views import charts
from costsim.views.routes_chart import route_titles, routes_alt, routes_chart
from costsim.views.text_capacity import loop_rows
from costsim.views.text_season import route_rows
from costsim.views.text_weather import weather_lines
from costsim.weather import Weather, design_temperature
from costsim.weather.report import report
from costsim.words import tr

COLDER_K = 1.0
"""By how much a typed design temperature may be colder than the weather's own before that is told."""


def finding(case: Case, result: Result, system: str) -> None:
    """The design load with its band, in a sentence."""
    route = result.route
    low, high = (show(route.load_w * (1.0 + sign * route.band), "power", system) for sign in (-1, 1))
    low = low.partition(" ")[0]  # the unit stands behind the other
    say(
        tr(
            "On a design day, at {design_outdoor} outside, the house loses {load} ({words}; nine"
            " houses in ten lie between {low} and {high}). People, appliances and the sun supply part of that heat.",
            design_outdoor=show(result.design_outdoor_c, "temperature", system),
            load=show(route.load_w, "power", system),
            words=route.words,
            low=low,
            high=high,
        )
    )


def load_at(result: Result, now_c: float, other_c: float) -> float:
    """The design load at another indoor temperature [W]: it rises with the difference to outdoors.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> load_at(SimpleNamespace(route=SimpleNamespace(load_w=8000.0), design_outdoor_c=-20.0), 20.0, 21.0)
    8200.0
    """
    outside = result.design_outdoor_c
    return result.route.load_w * (other_c - outside) / (now_c - outside)


def _told_of_temperatures(case: Case, weather: Weather, result: Result, system: str) -> list[str]:
    """What a typed temperature does that nobody would look for: at another thermostat, or colder than the weather's own."""
    house, lines = case.house, []
    if house.balance_point_c is not None and house.found_at_c != house.indoor_temperature_c:
        lines.append(
            tr(
                "Heating starts below {now} outdoors with the thermostat at {indoor}; the {typed} of the field are for {found}.",
                now=show(float(result.lowered.balance_c.mean()), "temperature", system),
                indoor=show(house.indoor_temperature_c, "temperature", system),
                typed=show(house.balance_point_c, "temperature", system),
                found=show(house.found_at_c, "temperature", system),
            )
        )
    if house.design_indoor_c is not None and house.found_at_c != house.indoor_temperature_c:
        lines.append(
            tr(
                "The design load of {load} is at the thermostat's {indoor}; at the indoor design temperature of {found} it would be {then}.",
                load=show(result.route.load_w, "power", system),
                indoor=show(house.indoor_temperature_c, "temperature", system),
                found=show(house.found_at_c, "temperature", system),
                then=show(load_at(result, house.indoor_temperature_c, house.found_at_c), "power", system),
            )
        )
    typed_c, own_c = case.place.design_outdoor_c, design_temperature(weather)[0]
    if typed_c is not None and typed_c < own_c - COLDER_K:
        lines.append(
            tr(
                "The design temperature typed is colder than that of the weather, {own}. Water is at its hottest at the design"
                " temperature alone, so every milder hour gets cooler water, which makes a heat pump cheaper to run."
                " Do not type the coldest night you remember; empty the field if you do not know.",
                own=show(own_c, "temperature", system),
            )
        )
    return lines


def _routes(result: Result, system: str) -> None:
    """Every route to the design load side by side, and which of those that have an answer counts; the others keep theirs."""
    chart(routes_chart(result, system), "routes", routes_alt(result, system))
    keys, titles = [route.key for route in result.load_routes], route_titles()
    if len(keys) < 2:
        return
    widget = f"house/route/{state.revision()}"
    st.radio(
        tr("Which one counts"),
        keys,
        index=keys.index(result.route.key),
        format_func=lambda key: titles[key],
        key=widget,
        horizontal=True,
        on_change=_count_by,
        args=(widget,),
        help=tr("What the others rest on stays in the study."),
    )
    table(*route_rows(result, system))


def _count_by(widget: str) -> None:
    chosen = st.session_state[widget]
    state.change(lambda study: study["house"].update(load_from=chosen))


def needs(case: Case, weather: Weather, result: Result, system: str) -> None:
    """Design load with its band, demand over the temperature, and what the floor can give."""
    _routes(result, system)
    say(tr("Outdoor design temperature: {design_outdoor_source}.", design_outdoor_source=result.design_outdoor_source))
    for line in _told_of_temperatures(case, weather, result, system):
        say(line)
    say(
        tr(
            "The heat loss is {loss}; over this year the house needs {demand} of heat.",
            loss=show(result.loss_w_k, "heat_loss_rate", system),
            demand=show(result.options[0].demand_j, "heat", system),
        )
    )
    chart(charts.demand_chart(result, weather, result.lowered.demand_w, system), "demand")
    with st.expander(tr("The weather file")):
        for line in weather_lines(report(weather), system):
            say(line)
    if case.floor is not None:
        st.markdown(tr("**What the floor can deliver**"))
        table(*loop_rows(capacity_report(case, weather), system))
    explain(how_needs(case, result, system))
