"""The report's charts: cost with its band, heat missing by month, and the load-duration curve against what sources give."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from costsim.report.basis import Basis
from costsim.report.blocks import Chart
from costsim.report.drawing import DASHES, GREY, INK, Drawing, ticks
from costsim.results.result import OptionResult
from costsim.tariffs.calendar import short_months
from costsim.units.quantity import HOUR_S, pretty_unit, to_display, unit_for
from costsim.views.charts import COLOURS
from costsim.views.rounding import above_zero
from costsim.views.tables import money
from costsim.words import tr

WIDE, LEFT, RIGHT, COST_ROW = 640.0, 46.0, 12.0, 36.0
CURVE_POINTS, MOST_LETTERS = 240, 42


def _short(name: str) -> str:
    """A name that fits beside a drawing."""
    return name if len(name) <= MOST_LETTERS else f"{name[: MOST_LETTERS - 1]}…"


def _legend(drawing: Drawing, names: Sequence[str], y: float, *, first: int = 0) -> float:
    """Boxes with names, as many on a line as fit; gives the height used."""
    x, top = LEFT, y
    for at, name in enumerate(names):
        wide = 24 + 5.6 * len(name)
        if x + wide > WIDE - RIGHT:
            x, y = LEFT, y + 15
        drawing.box(x, y - 8, 12, 9, at=first + at)
        drawing.text(x + 17, y, name, size=10.5)
        x += wide
    return y - top + 15


def cost_chart(basis: Basis) -> Chart:
    """Cost a year of every option, fixed and energy, and where eight of ten scenarios lie."""
    options, coin = basis.result.options, basis.case.currency
    bands = [basis.band(option.name) for option in options]
    marks = ticks(max([band[2] for band in bands] + [option.cost_total for option in options] + [1.0]))
    scale, foot = (WIDE - LEFT - RIGHT - 60) / marks[-1], 26 + COST_ROW * len(options)
    drawing = Drawing("cost", WIDE, foot + 18, tr("Yearly cost of each option with its 80% range"))
    _legend(drawing, (tr("fixed charges"), tr("energy")), 12)
    drawing.line(WIDE / 2, 8, WIDE / 2 + 26, 8, colour=INK, wide=1.6)
    drawing.text(WIDE / 2 + 32, 12, tr("80% range"), size=10.5)
    for mark in marks:
        x = LEFT + mark * scale
        drawing.line(x, 22, x, foot, colour="#d0d0d0")
        drawing.text(x, foot + 13, money(mark, coin), size=10, anchor="middle")
    for at, (option, band) in enumerate(zip(options, bands, strict=True)):
        _cost_row(drawing, option, band, y=36 + COST_ROW * at, scale=scale, coin=coin)
    about = "; ".join(
        tr(
            "{name}: {cost_total}, {band} to {band_2}",
            name=option.name,
            cost_total=money(option.cost_total, coin),
            band=money(band[0], coin),
            band_2=money(band[2], coin),
        )
        for option, band in zip(options, bands, strict=True)
    )
    words = tr("Yearly cost with its 80% range: {about}.", about=about)
    return Chart(tr("Yearly cost at the prices entered"), drawing.svg(), words)


def _cost_row(
    drawing: Drawing, option: OptionResult, band: tuple[float, float, float], *, y: float, scale: float, coin: str
) -> None:
    """One option: its name, its bar in two parts, the span of its scenarios, and its total."""
    drawing.text(LEFT, y, _short(option.name), size=11)
    fixed, energy = max(option.cost_fixed, 0.0) * scale, max(option.cost_energy, 0.0) * scale
    drawing.box(LEFT, y + 4, fixed, 13, at=0)
    drawing.box(LEFT + fixed, y + 4, energy, 13, at=1)
    low, top = (LEFT + max(end, 0.0) * scale for end in (band[0], band[2]))
    drawing.line(low, y + 10.5, top, y + 10.5, colour=INK, wide=1.6)
    for end in (low, top):
        drawing.line(end, y + 6, end, y + 15, colour=INK, wide=1.6)
    drawing.text(max(top, LEFT + fixed + energy) + 6, y + 14, money(option.cost_total, coin), size=11, bold=True)


def short_chart(basis: Basis) -> Chart | None:
    """Heat missing by month for the options that fall short; none where all carry the house."""
    short = [option for option in basis.result.options if option.unmet.hours]
    if not short:
        return None
    unit = unit_for("heat", basis.system)
    months = [
        [
            to_display(float(option.hourly.unmet_w[basis.result.months == month].sum()) * HOUR_S, "heat", basis.system)
            for month in range(1, 13)
        ]
        for option in short
    ]
    marks = ticks(max(max(row) for row in months), 4)
    drawing = Drawing("short", WIDE, 214, tr("Heat missing by month"))
    used = _legend(drawing, [_short(option.name) for option in short], 12, first=2)
    top, foot = 12 + used, 196.0
    scale, step = (foot - top) / marks[-1], (WIDE - LEFT - RIGHT) / 12
    for mark in marks:
        drawing.line(LEFT, foot - mark * scale, WIDE - RIGHT, foot - mark * scale, colour="#d0d0d0")
        drawing.text(LEFT - 6, foot - mark * scale + 4, f"{mark:,.3g}", size=10, anchor="end")
    wide = step * 0.8 / len(short)
    for month, name in enumerate(short_months()):
        drawing.text(LEFT + step * (month + 0.5), foot + 14, name, size=10, anchor="middle")
        for at, row in enumerate(months):
            if row[month] > 0:
                x = LEFT + step * (month + 0.1) + wide * at
                drawing.box(x, foot - row[month] * scale, wide, row[month] * scale, at=at + 2)
    about = "; ".join(
        tr("{name} {row} {unit} in the year", name=option.name, row=above_zero(sum(row), 2), unit=unit)
        for option, row in zip(short, months, strict=True)
    )
    return Chart(
        tr("Heat missing by month [{unit}]", unit=unit), drawing.svg(), tr("Heat missing: {about}.", about=about)
    )


def duration_chart(basis: Basis) -> Chart:
    """Hours of the year ordered by heat wanted, and what each option's sources can give together."""
    unit = pretty_unit(unit_for("power", basis.system))
    demand_w = np.sort(basis.common.demand_w)[::-1]
    given = {
        option.name: sum(source.day_w for source in basis.look(option.name).sources) for option in basis.case.options
    }
    load = basis.result.route.load_w
    most = to_display(max(float(demand_w[0]), load, *given.values()), "power", basis.system)
    marks = ticks(most)
    drawing = Drawing("load", WIDE, 254 + 15 * (len(given) // 2), tr("Load-duration curve and capacities"))
    top, foot = 14.0, 214.0
    up, across = (foot - top) / marks[-1], (WIDE - LEFT - RIGHT) / len(demand_w)
    for mark in marks:
        drawing.line(LEFT, foot - mark * up, WIDE - RIGHT, foot - mark * up, colour="#d0d0d0")
        drawing.text(LEFT - 6, foot - mark * up + 4, f"{mark:,.3g}", size=10, anchor="end")
    for hour in range(0, len(demand_w) + 1, 1000):
        drawing.line(LEFT + hour * across, foot, LEFT + hour * across, foot + 4, colour=GREY)
        drawing.text(LEFT + hour * across, foot + 15, f"{hour:,}", size=10, anchor="middle")
    at_hours = np.unique(np.round(np.geomspace(1, len(demand_w), CURVE_POINTS)).astype(int)) - 1
    drawing.curve(
        [(LEFT + int(h) * across, foot - to_display(float(demand_w[h]), "power", basis.system) * up) for h in at_hours],
        wide=2.0,
    )
    _capacities(drawing, basis, given, foot, up)
    about = ", ".join(f"{name} {to_display(watts, 'power', basis.system):,.1f}" for name, watts in given.items())
    return Chart(
        tr("Hours of the year by heat needed [{unit}]", unit=unit),
        drawing.svg(),
        tr(
            "Heat needed falls from {demand} {unit}; what the sources can deliver in the coldest hour: {about}.",
            demand=f"{to_display(float(demand_w[0]), 'power', basis.system):,.1f}",
            unit=unit,
            about=about,
        ),
    )


def _capacities(drawing: Drawing, basis: Basis, given: dict[str, float], foot: float, up: float) -> None:
    """What each option's sources can give, as dashed lines with a key below."""
    y = foot + 34
    drawing.line(LEFT, y - 4, LEFT + 26, y - 4, colour=INK, wide=2.0)
    drawing.text(LEFT + 32, y, tr("heat needed in each hour, sorted"), size=10.5)
    for at, (name, watts) in enumerate(given.items(), 1):
        level = foot - to_display(watts, "power", basis.system) * up
        colour, dash = COLOURS[(at - 1) % len(COLOURS)], DASHES[at % len(DASHES)] or "7 3"
        drawing.line(LEFT, level, WIDE - RIGHT, level, colour=colour, wide=1.8, dash=dash)
        x, row = (LEFT if at % 2 == 0 else WIDE / 2), y + 15 * (at // 2)
        drawing.line(x, row - 4, x + 26, row - 4, colour=colour, wide=1.8, dash=dash)
        drawing.text(x + 32, row, tr("{name} can deliver", name=_short(name)), size=10.5)
