"""The one picture of the first look: what a year costs with each option, its range, and which cannot carry the house."""

from __future__ import annotations

from collections.abc import Collection

import plotly.graph_objects as go

from costsim.results.result import Result
from costsim.study.case import Case
from costsim.units.fields import in_words
from costsim.views.answer import pair, ranked
from costsim.views.charts import COLOURS, as_typed
from costsim.views.tables import money
from costsim.views.templates import example_words
from costsim.views.verdict import Likelihood, able, carries
from costsim.words import tr

TOO_SMALL = "too small"
INK, ROW = "#808080", 52


def option_colour(result: Result, name: str) -> str:
    """The colour that an option has in every picture, by its place in the study."""
    names = [option.name for option in result.options]
    return COLOURS[names.index(name) % len(COLOURS)]


def cost_finding(result: Result) -> str:
    """What the picture shows, in a title.

    Returns
    -------
    str
        Such as "Natural gas costs half of Propane".
    """
    warm = able(result)
    if len(warm) < 2:
        return (
            tr("{name} is the one option that is large enough", name=warm[0].name)
            if warm
            else tr("No option is large enough")
        )
    best, second = pair(result) or warm[:2]
    if best.cost_total <= 0:
        return tr("{name} costs least in a year", name=best.name)
    less = 1.0 - best.cost_total / second.cost_total
    if less < 0.03:
        return tr("{name} and {other} cost nearly the same to run", name=best.name, other=second.name)
    return tr("{name} costs {less} less than {other}", name=best.name, less=f"{less:.0%}", other=second.name)


def example_prices(case: Case, keys: Collection[str], system: str) -> str:
    """Say which prices are examples and whose bills rest on them; empty where all are the reader's own."""
    parts = []
    for key in case.prices:
        users = [option.name for option in case.options if key in option.price_keys(case.prices)]
        if key in keys and users:
            parts.append(f"{tr(in_words(key))} {example_words(key, system, case.currency)} ({', '.join(users)})")
    return (
        tr("Example prices, not yours: {prices}. Put yours on the Prices page.", prices="; ".join(parts))
        if parts
        else ""
    )


def cost_by_option(result: Result, sure: Likelihood | None) -> go.Figure:
    """Draw one bar an option: total on the bar, 80 % range as whiskers, the option that is too small marked.

    Parameters
    ----------
    result : Result
    sure : Likelihood or None
        Ranges of the whiskers; none are drawn without it.
    """
    figure = go.Figure()
    names = [option.name for option in result.options]
    small = not all(map(carries, result.options))
    most = max([option.cost_total for option in result.options] + [b[2] for b in (sure.bands if sure else {}).values()])
    for at, option in enumerate(result.options):
        weak = not carries(option)
        low, _, high = sure.bands[option.name] if sure else (option.cost_total,) * 3
        label = money(option.cost_total, result.currency) + (f", {tr(TOO_SMALL)}" if weak else "")
        figure.add_trace(
            go.Bar(
                y=[as_typed(option.name)],
                x=[float(option.cost_total)],
                orientation="h",
                showlegend=False,
                marker={
                    "color": option_colour(result, option.name),
                    "opacity": 0.35 if weak else 1.0,
                    "line": {"color": option_colour(result, option.name), "width": 1},
                },
                error_x={
                    "type": "data",
                    "symmetric": False,
                    "array": [max(0.0, high - option.cost_total)],
                    "arrayminus": [max(0.0, option.cost_total - low)],
                    "color": INK,
                    "thickness": 2,
                    "width": 6,
                }
                if sure
                else None,
                hovertemplate=f"{as_typed(option.name)}<br>{as_typed(label)}"
                + (
                    tr(
                        "<br>80% range {cost} to {cost2}",
                        cost=money(low, result.currency),
                        cost2=money(high, result.currency),
                    )
                    if sure
                    else ""
                )
                + "<extra></extra>",
            )
        )
        # by its place, since a name such as 2024 would be taken for a number
        figure.add_annotation(
            x=max(option.cost_total, high),
            y=at,
            text=as_typed(label),
            xanchor="left",
            yanchor="middle",
            showarrow=False,
            xshift=8,
            font={"size": 14},
        )
    figure.update_layout(
        height=20 + ROW * len(names),
        margin={"l": 8, "r": 8, "t": 4, "b": 8},
        bargap=0.6,
        separators=".,",
        hovermode="closest",
        xaxis={
            "range": [min(0.0, *(o.cost_total for o in result.options)), most * (1.5 if small else 1.28)],
            "showticklabels": False,  # each bar bears its amount
            "showgrid": False,
            "zeroline": True,
        },
    )
    # names stand above their bars, so that the bars have the whole width of a phone
    figure.update_yaxes(type="category", range=[len(names) - 0.55, -0.85], showgrid=False, layer="above traces")
    figure.update_yaxes(ticklabelposition="inside", ticklabelshift=ROW // 2 - 7, tickfont={"size": 14})
    return figure


def cost_alt(result: Result, sure: Likelihood | None) -> str:
    """The same picture in one sentence, for those who hear it."""
    parts = []
    for option in ranked(result):
        text = f"{option.name} {money(option.cost_total, result.currency)}"
        if sure:
            low, _, high = sure.bands[option.name]
            text += tr(
                " (80% range {cost} to {cost2})", cost=money(low, result.currency), cost2=money(high, result.currency)
            )
        parts.append(text + ("" if carries(option) else f", {tr(TOO_SMALL)}"))
    return tr("Bars of a year's cost by option: {bars}.", bars="; ".join(parts))
