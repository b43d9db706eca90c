"""What the sources of each option give against what the house asks for on a design day."""

from __future__ import annotations

import plotly.graph_objects as go

from costsim.results.result import OptionResult, Result
from costsim.study.case import Case
from costsim.units.quantity import show, to_display, unit_for
from costsim.views.charts import COLOURS, as_typed
from costsim.views.cold_hours import rule_sentence
from costsim.views.verdict import carries
from costsim.words import tr, trn

DESIGN_COLOUR = "#D55E00"


def left_w(option: OptionResult) -> list[tuple[str, float]]:
    """What is left of each source's nameplate after its derates, by name [W]."""
    return [(one.name, max(0.0, one.rated_w - sum(watts for _, watts in one.derates))) for one in option.sources]


def capacity_finding(result: Result, system: str) -> str:
    """Which options can carry a design day, in a sentence."""
    load = show(result.route.load_w, "power", system)
    head = tr("On a design day the house loses {load}.", load=load)
    if not any(option.unmet.hours for option in result.options):
        return tr("{head} Every option keeps it warm in this year's weather.", head=head)
    weak, nearly = (
        [
            trn("{name} ({count} hour too cold)", "{name} ({count} hours too cold)", one.unmet.hours, name=one.name)
            for one in result.options
            if one.unmet.hours and carries(one) == warm
        ]
        for warm in (False, True)
    )
    if weak:
        head = tr("{head} Too small in this year's weather: {weak}.", head=head, weak=", ".join(weak))
    if nearly:
        head = tr("{head} Nearly warm all year: {nearly}.", head=head, nearly=", ".join(nearly))
    return f"{head} {rule_sentence(result)}"


def capacity_against_load(case: Case, result: Result, system: str) -> go.Figure:
    """Draw each option's sources end to end, with the design load as a dashed line."""
    figure, unit = go.Figure(), unit_for("power", system)
    for at, option in enumerate(result.options):
        for number, (name, watts) in enumerate(left_w(option)):
            value = to_display(watts, "power", system)
            figure.add_trace(
                go.Bar(
                    y=[as_typed(option.name)],
                    x=[value],
                    orientation="h",
                    showlegend=False,
                    marker={
                        "color": COLOURS[at % len(COLOURS)],
                        "opacity": 1.0 - 0.28 * number,
                        "line": {"color": "#ffffff", "width": 1},
                    },
                    hovertemplate=f"{as_typed(name)}: {value:,.1f} {unit}<extra></extra>",
                )
            )
    load = to_display(result.route.load_w, "power", system)
    figure.add_vline(
        x=load,
        line={"color": DESIGN_COLOUR, "dash": "dash", "width": 2},
        annotation={"text": tr("design load"), "yanchor": "bottom"},
        annotation_position="top",
    )
    figure.update_layout(
        barmode="stack",
        height=96 + 36 * len(result.options),
        margin={"l": 8, "r": 8, "t": 26, "b": 40},
        bargap=0.35,
        hovermode="closest",
        xaxis={"title": tr("Heat it can really deliver, {unit}", unit=unit), "showgrid": False},
    )
    figure.update_yaxes(type="category", autorange="reversed", automargin=True, showgrid=False)
    return figure


def capacity_rows(result: Result, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows: each source's nameplate and what is left of it."""
    rows = []
    for option in result.options:
        for one, (_, watts) in zip(option.sources, left_w(option), strict=True):
            reasons = ", ".join(f"{tr(why)} {show(lost, 'power', system)}" for why, lost in one.derates if lost > 0)
            rows.append(
                [option.name, one.name, show(one.rated_w, "power", system), show(watts, "power", system), reasons]
            )
    return [tr("option"), tr("source"), tr("on the nameplate"), tr("available"), tr("derates")], rows


def capacity_alt(result: Result, system: str) -> str:
    """The picture in a sentence."""
    parts = [f"{option.name} {show(sum(w for _, w in left_w(option)), 'power', system)}" for option in result.options]
    return tr(
        "Capacity by option against the design load of {load}: {parts}.",
        load=show(result.route.load_w, "power", system),
        parts="; ".join(parts),
    )
