"""The design heat loss by each of the five routes, side by side, with what is missing for those that have no answer."""

from __future__ import annotations

import plotly.graph_objects as go

from costsim.results.result import Result
from costsim.study.heat_loss import ROUTES
from costsim.units.quantity import pretty_unit, to_display, unit_for
from costsim.views.charts import COLOURS
from costsim.words import tr

NEEDED_COLOUR, IDLE_COLOUR = "#595959", "#8C8C8C"


def route_titles() -> dict[str, str]:
    """A short name of each route, from weak to strong."""
    return {
        "area": tr("Rule of thumb"),
        "entered": tr("Typed"),
        "envelope": tr("From surfaces"),
        "rooms": tr("Room by room"),
        "bills": tr("From bills"),
    }


def route_needs() -> dict[str, str]:
    """What each route is made from, said where it has no answer yet."""
    return {
        "area": tr("needs a heat loss per floor area"),
        "entered": tr("needs a design heat loss"),
        "envelope": tr("needs walls, roof, windows or a file of them"),
        "rooms": tr("needs surfaces room by room"),
        "bills": tr("needs a winter of bills, better 12 months"),
    }


def routes_chart(result: Result, system: str) -> go.Figure:
    """Draw a dot with its band for each route, the one in use in color; the others say what they need."""
    titles, unit = route_titles(), pretty_unit(unit_for("power", system))
    known = {load_route.key: load_route for load_route in result.load_routes}
    figure = go.Figure()
    for key in ROUTES:
        if key not in known:
            figure.add_annotation(
                x=0, y=titles[key], text=route_needs()[key], showarrow=False, xanchor="left", font_color=NEEDED_COLOUR
            )
            continue
        route, used = known[key], key == result.route.key
        load = to_display(route.load_w, "power", system)
        colour = COLOURS[0] if used else IDLE_COLOUR
        figure.add_scatter(
            x=[load], y=[titles[key]], mode="markers+text", text=[f"{load:,.1f}"], textposition="top center",
            marker={"color": colour, "size": 11}, error_x={"array": [load * route.band], "color": colour, "thickness": 2},
            name=tr("{title}, in use", title=titles[key]) if used else titles[key],
            hovertemplate=f"{load:,.1f} {unit} ±{route.band:.0%}<extra></extra>",
        )  # fmt: skip
    most = max(
        to_display(load_route.load_w * (1.0 + load_route.band), "power", system) for load_route in result.load_routes
    )
    order = [titles[key] for key in reversed(ROUTES)]
    figure.update_layout(
        title_text=tr("Design heat loss by each route"),
        showlegend=False,
        height=300,
        margin={"l": 10, "r": 10, "t": 50, "b": 45},
    )
    figure.update_xaxes(range=[0.0, most * 1.1], title_text=tr("design heat loss, {unit}", unit=unit))
    figure.update_yaxes(categoryorder="array", categoryarray=order, range=[-0.6, len(order) - 0.4], automargin=True)
    return figure


def routes_alt(result: Result, system: str) -> str:
    """The picture in words."""
    titles, unit = route_titles(), pretty_unit(unit_for("power", system))
    known = {load_route.key: load_route for load_route in result.load_routes}
    return " ".join(
        tr(
            "{title}: {load} {unit}, give or take {band}.",
            title=titles[key], load=f"{to_display(known[key].load_w, 'power', system):,.1f}", unit=unit, band=f"{known[key].band:.0%}",
        )
        if key in known
        else tr("{title}: {needs}.", title=titles[key], needs=route_needs()[key])
        for key in ROUTES
    )  # fmt: skip
