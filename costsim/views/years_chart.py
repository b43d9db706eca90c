"""Lines of what each option has cost by the end of each year, with the point at which a higher first cost has come back."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import plotly.graph_objects as go

from costsim.analysis.lifecycle import Outlay, paid_so_far
from costsim.results.result import Result
from costsim.study.case import Case
from costsim.views.answer import called
from costsim.views.charts import as_typed, figure_of
from costsim.views.cost_chart import TOO_SMALL, option_colour
from costsim.views.hover import END
from costsim.views.payback import Extra
from costsim.views.rounding import over_money, round_money
from costsim.views.tables import money
from costsim.views.verdict import carries
from costsim.words import tr, trn

HEIGHT = 400
"""Of the picture, in pixels; more where the labels at the ends need it."""
WIDE, NARROW = (24, 13), (12, 11)
"""Letters of a line of a label and their size in pixels, on a screen and on a phone."""


@dataclass(frozen=True, slots=True)
class YearsLine:
    """What an option has cost at the start and by the end of each year, as of today; without its first cost where none is `priced`."""

    option: str
    paid: tuple[float, ...]
    priced: bool


def years_lines(case: Case, result: Result, outlays: Sequence[Outlay]) -> list[YearsLine]:
    """Lines of the options whose first cost is known; of all of them, from nothing, where none is.

    Those that start at nothing would cross the others at years that mean nothing.
    """
    any_priced = any(outlay.priced for outlay in outlays)
    return [
        YearsLine(outlay.option, paid_so_far(case, outlay), outlay.priced)
        for outlay in outlays
        if outlay.priced or not any_priced
    ]


def year_name(start: int, year: int) -> str:
    """A year of the study period, bought in the calendar's year `start`.

    Examples
    --------
    >>> year_name(2026, 8)
    '2034 (year 8)'
    """
    return tr("{calendar} (year {year})", calendar=start + year, year=year)


def payback_year(extra: Extra | None) -> int | None:
    """By the end of which year what is paid more at the start has come back; None where nothing has to, or nothing does."""
    if extra is None or round_money(extra.investment) <= 0 or extra.payback is None:
        return None
    return max(1, math.ceil(extra.payback - 1e-9))


def years_title(result: Result, lines: Sequence[YearsLine], extra: Extra | None, start: int) -> str:
    """What the lines show."""
    if not any(carries(option) for option in result.options):
        return tr("None of these options keeps the house warm; the lines show what each would cost")
    if not any(line.priced for line in lines):
        best = _least(result, lines)
        cost = over_money(best.paid[-1], result.currency)
        words = {"name": called(best.option), "cost": cost, "years": len(best.paid) - 1}
        return tr("{name} costs least to run: {cost} over {years} years, first costs not counted", **words)
    if extra is None:
        best = _least(result, lines)
        words = {"name": called(best.option), "years": len(best.paid) - 1}
        if len(lines) == len(result.options):
            return tr("{name} costs least over {years} years", **words)
        if len(lines) == 1:
            return tr("What {name} costs over {years} years; no first cost is given for the others", **words)
        return tr("Of those with a first cost, {name} costs least over {years} years", **words)
    words = {"name": called(extra.first), "other": called(extra.second), "years": extra.years}
    if (year := payback_year(extra)) is not None:
        words["year"] = year_name(start, year)
        return tr("{name} has paid back its higher first cost by {year}", **words)
    if round_money(extra.investment) > 0:
        return tr("{name} does not pay back its higher first cost within {years} years", **words)
    return tr("{name} costs no more to buy than {other}, and less to run", **words)


def _least(result: Result, lines: Sequence[YearsLine]) -> YearsLine:
    """The line that ends lowest, of an option that is large enough where there is one."""
    return min(lines, key=lambda line: (not carries(result.option(line.option)), line.paid[-1]))


def years_chart(
    result: Result, lines: Sequence[YearsLine], extra: Extra | None, start: int, *, narrow: bool = False
) -> go.Figure:
    """Draw a line an option, named at its end, and mark the year by which a higher first cost has come back.

    Parameters
    ----------
    result : Result
    lines : sequence of YearsLine
    extra : Extra or None
        The two options that are compared, whose payback is marked.
    start : int
        Calendar year in which everything is bought.
    narrow : bool
        On a phone, where names are broken earlier.
    """
    coin, years = result.currency, len(lines[0].paid) - 1
    title = years_title(result, lines, extra, start)
    figure = figure_of(title, "", "" if narrow else tr("{currency} so far, as of today", currency=coin), HEIGHT)
    across = [start + year for year in range(years + 1)]
    for line in lines:
        weak = not carries(result.option(line.option))
        figure.add_trace(
            go.Scatter(
                name=as_typed(line.option),
                x=across,
                y=np.asarray(line.paid, dtype=np.float32),
                mode="lines",
                line={"color": option_colour(result, line.option), "width": 2 if weak else 3},
                opacity=0.5 if weak else 1.0,
                showlegend=False,
                customdata=[money(paid, coin) for paid in line.paid],
                hovertemplate=f"%{{x}} · %{{fullData.name}} {tr('{cost} so far', cost='%{customdata}')}{END}",
            )
        )
    _mark_payback(figure, lines, extra, start)
    # a browser gives the years below some 46 pixels whatever less is asked for
    figure.update_layout(hovermode="closest", showlegend=False, margin_b=48, margin_l=44 if narrow else 76)
    figure.update_xaxes(tickformat="d", range=[start, start + years], showgrid=False, nticks=5 if narrow else 11)
    figure.update_yaxes(
        rangemode="tozero", tickformat=",.3~s" if narrow else ",", tickprefix=coin if len(coin) == 1 else ""
    )
    _name_lines(figure, result, lines, start + years, *(NARROW if narrow else WIDE))
    return figure


def _mark_payback(figure: go.Figure, lines: Sequence[YearsLine], extra: Extra | None, start: int) -> None:
    year = payback_year(extra)
    line = next((drawn for drawn in lines if extra is not None and drawn.option == extra.first), None)
    if year is None or line is None or extra is None or extra.payback is None:
        return
    at = float(np.interp(extra.payback, range(len(line.paid)), line.paid))
    words = tr("paid back {year}", year=start + year)
    figure.add_trace(
        go.Scatter(
            name=words,
            x=[start + extra.payback],
            y=[at],
            mode="markers",
            marker={"color": "#ffffff", "size": 11, "line": {"color": "#808080", "width": 3}},
            showlegend=False,
            text=[as_typed(tr("{name} against {other}", name=called(extra.first), other=called(extra.second)))],
            hovertemplate=f"%{{fullData.name}} · %{{text}}{END}",
        )
    )
    rise = at < 0.6 * max(
        max(drawn.paid) for drawn in lines
    )  # above the lines where they are low, below them where they are high
    figure.add_annotation(
        x=start + extra.payback,
        y=at,
        text=words,
        ax=0,
        ay=-52 if rise else 52,
        yanchor="bottom" if rise else "top",
        arrowcolor="#808080",
        arrowwidth=1,
        font={"size": 13},
    )


def _name_lines(
    figure: go.Figure, result: Result, lines: Sequence[YearsLine], end: int, letters: int, size: int
) -> None:
    """Write each option and what it comes to at the end of its line, moved apart where lines end near each other."""
    top = 1.05 * (max(max(line.paid) for line in lines) or 1.0)
    low = min(0.0, *(min(line.paid) for line in lines))
    labels = [_label(result, line, letters) for line in sorted(lines, key=lambda drawn: -drawn.paid[-1])]
    halves = [(len(text) * 1.3 * size + 4) / 2 for _, text in labels]
    margins = figure.layout.margin.t + figure.layout.margin.b
    height = max(HEIGHT - margins, math.ceil(2 * sum(halves)))
    # the title, whose place is a share of the height, stays as far below the top
    figure.update_layout(height=height + margins, title_y=1 - (1 - figure.layout.title.y) * HEIGHT / (height + margins))
    ends = [height * (top - cost) / (top - low) for cost, _ in labels]
    for (cost, text), place, at in zip(labels, _spread(ends, halves, height), ends, strict=True):
        figure.add_annotation(
            x=end,
            y=cost,
            yshift=at - place,
            text="<br>".join(map(as_typed, text)),
            xanchor="left",
            yanchor="middle",
            align="left",
            xshift=6,
            showarrow=False,
            font={"size": size},
        )
    figure.update_yaxes(range=[low, top])
    figure.update_layout(margin_r=int(max(len(part) for _, text in labels for part in text) * 0.54 * size) + 14)


def _label(result: Result, line: YearsLine, letters: int) -> tuple[float, list[str]]:
    """Where a line ends, and what stands there, in lines of so many letters where its words allow."""
    words = textwrap.wrap(line.option, letters, break_long_words=False)
    cost = money(line.paid[-1], result.currency)
    small = [] if carries(result.option(line.option)) else [tr(TOO_SMALL)]
    return line.paid[-1], [*words, ", ".join([cost, *small])] if len(cost) + 11 <= letters else [*words, cost, *small]


def _spread(places: Sequence[float], halves: Sequence[float], height: float) -> list[float]:
    """Places of labels, from the top down and half as high as told, moved so that none lies on another or outside the plot.

    All of them together must not be higher than the plot.

    Examples
    --------
    >>> _spread([10.0, 12.0, 100.0], [15.0, 15.0, 15.0], 110.0)
    [15.0, 45.0, 95.0]
    """
    moved, limit = list(places), 0.0
    for at in range(len(moved)):
        moved[at] = max(moved[at], limit + halves[at])
        limit = moved[at] + halves[at]
    limit = height
    for at in reversed(range(len(moved))):
        moved[at] = min(moved[at], limit - halves[at])
        limit = moved[at] - halves[at]
    return moved


def years_basis(case: Case, result: Result, lines: Sequence[YearsLine], extra: Extra | None, start: int) -> str:
    """How the lines are counted, against what the payback is, and which options have no line."""
    rate = case.economics.discount_rate_share_per_year
    text = tr(
        "First cost, bills, maintenance and replacements added up, as if bought in {start}; each payment is counted as of today at"
        " {rate} a year beyond inflation, so a line ends at the option's life-cycle cost.",
        start=start,
        rate=f"{rate:.1%}".replace(".0%", "%"),
    )
    if not any(line.priced for line in lines):
        return tr("{text} No first cost is entered yet: every line starts at zero. Enter them below.", text=text)
    if payback_year(extra) is not None and extra is not None:
        both = {"name": called(extra.first), "other": called(extra.second)}
        text = tr(
            "{text} The ring: here {name} has paid back what it costs more to buy than {other}.", text=text, **both
        )
    drawn = {line.option for line in lines}
    missing = [called(option.name) for option in result.options if option.name not in drawn]
    if not missing:
        return text
    return trn(
        "{text} {names} has no line: its first cost is not entered.",
        "{text} {names} have no line: their first costs are not entered.",
        len(missing),
        text=text,
        names=", ".join(missing),
    )


def years_alt(result: Result, lines: Sequence[YearsLine], start: int) -> str:
    """The lines in a sentence, for those who hear it."""
    parts = []
    for line in lines:
        years = len(line.paid) - 1
        middle = years // 2
        amounts = [money(line.paid[at], result.currency) for at in (0, middle, years)]
        parts.append(
            tr(
                "{name} {first} at the start, {half} by {middle}, {whole} by {end}",
                name=called(line.option),
                first=amounts[0],
                half=amounts[1],
                middle=start + middle,
                whole=amounts[2],
                end=start + years,
            )
        )
    return tr("Lines of what each option has cost so far, as of today: {lines}.", lines="; ".join(parts))


def years_rows(result: Result, lines: Sequence[YearsLine], start: int) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the lines, a row a year."""
    rows = [
        [year_name(start, year) if year else tr("{start}, bought", start=start)]
        + [money(line.paid[year], result.currency) for line in lines]
        for year in range(len(lines[0].paid))
    ]
    return [tr("so far, as of today"), *(line.option for line in lines)], rows
