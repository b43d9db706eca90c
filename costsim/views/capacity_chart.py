"""What the sources of each option give against what the house asks for on a design day."""

from __future__ import annotations

import plotly.graph_objects as go

from costsim.analysis.sizing import named_option
from costsim.results.result import OptionResult, Result
from costsim.units.quantity import show, to_display, unit_for
from costsim.views.charts import COLOURS, as_typed
from costsim.views.cold_hours import gains_sentence, rule_sentence
from costsim.views.design_night import design_night_sentence, left_w
from costsim.views.stops import below_stop
from costsim.views.text_capacity import day_text
from costsim.views.verdict import carries
from costsim.words import tr, trn

DESIGN_COLOUR = "#D55E00"


def left_lines(result: Result, option: OptionResult, system: str) -> list[str]:
    """For each source of an option what is left of its size in the coldest hour, and over that day where it is another figure; empty where little is lost."""
    whole, lines = named_option(result.lowered.case, option.name), []
    for source, season, left in zip(whole.sources, option.sources, left_w(result, option), strict=True):
        if left.left_w > 0.99 * season.rated_w:
            lines.append("")
            continue
        hour = show(left.left_w, "power", system)
        stop, most = source.stops_below_c(), source.hottest_outlet_c()
        why = ", ".join(tr(why) for why, watts in season.derates if watts > 0)
        if (
            most is not None
            and dict(season.derates).get(tr("water temperature"))
            and left.left_w < 0.01 * season.rated_w
        ):
            text = tr(
                "nothing in the weather year's coldest hour: it makes no water above {most}",
                most=show(most, "temperature", system, 0),
            )
        elif stop is not None and left.left_w < 0.01 * season.rated_w:
            text = below_stop(result, whole, source, stop[0], system)
        elif why:
            text = tr("{left} in the weather year's coldest hour, less for {why}", left=hour, why=why)
        else:
            text = tr("{left} in the weather year's coldest hour", left=hour)
        day = show(left.day_w, "power", system)
        lines.append(text if day == hour else f"{text}; {tr('{mean} on average over that day', mean=day)}")
    return lines


def capacity_finding(result: Result, system: str) -> str:
    """Which options can carry a design day, in a sentence."""
    load = show(result.route.load_w, "power", system)
    head = " ".join(
        filter(
            None,
            [
                tr("On a design day the house loses {load}.", load=load),
                gains_sentence(result, system),
                design_night_sentence(result, system),
            ],
        )
    )
    if not any(option.unmet.hours for option in result.options):
        return tr("{head} Every option keeps it warm in this year's weather.", head=head)
    weak, nearly = (
        [
            trn(
                "{name} ({count} hour too cold)",
                "{name} ({count} hours too cold)",
                option.unmet.hours,
                name=option.name,
            )
            for option in result.options
            if option.unmet.hours and carries(option) == warm
        ]
        for warm in (False, True)
    )
    if weak:
        head = tr("{head} Too small in this year's weather: {weak}.", head=head, weak=", ".join(weak))
    if nearly:
        head = tr("{head} Nearly warm all year: {nearly}.", head=head, nearly=", ".join(nearly))
    return f"{head} {rule_sentence(result)}"


def capacity_against_load(result: Result, system: str) -> go.Figure:
    """Draw each option's sources end to end, with the design load as a dashed line."""
    figure, unit = go.Figure(), unit_for("power", system)
    for at, option in enumerate(result.options):
        for number, source_left in enumerate(left_w(result, option)):
            value = to_display(source_left.day_w, "power", system)
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
                    hovertemplate=f"{as_typed(source_left.name)}: {value:,.1f} {unit}<extra></extra>",
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
        xaxis={"title": tr("{unit}, coldest day", unit=unit), "showgrid": False},
    )
    figure.update_yaxes(type="category", autorange="reversed", automargin=True, showgrid=False)
    return figure


def capacity_rows(result: Result, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows: each source's nameplate and what is left of it."""
    rows = []
    for option in result.options:
        for season, left in zip(option.sources, left_w(result, option), strict=True):
            reasons = [f"{tr(why)} {show(lost, 'power', system)}" for why, lost in season.derates if lost > 0]
            reasons += [day_text(left.day_w, left.day_hours, system)] if left.day_hours < 24 else []
            figures = [show(watts, "power", system) for watts in (season.rated_w, left.left_w, left.day_w)]
            rows.append([option.name, season.name, *figures, ", ".join(reasons) or tr("nothing taken off")])
    headings = [
        tr("option"),
        tr("source"),
        tr("on the nameplate"),
        tr("available"),
        tr("over the coldest day"),
        tr("derates"),
    ]
    return headings, rows


def capacity_alt(result: Result, system: str) -> str:
    """The picture in a sentence."""
    parts = [
        f"{option.name} {show(sum(source_left.day_w for source_left in left_w(result, option)), 'power', system)}"
        for option in result.options
    ]
    return tr(
        "Capacity by option against the design load of {load}: {parts}.",
        load=show(result.route.load_w, "power", system),
        parts="; ".join(parts),
    )
