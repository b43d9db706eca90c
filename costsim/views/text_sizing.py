"""What `costsim size` prints: the smallest that keeps the house warm, and what each more of a collector earns."""

from __future__ import annotations

from collections.abc import Sequence

from costsim.analysis.collector_sweep import CollectorStep
from costsim.analysis.sizing import Size
from costsim.study.case import Case
from costsim.units.quantity import pretty_unit, to_display, unit_for
from costsim.views.cold_hours import hours_too_cold
from costsim.views.tables import money, text_table
from costsim.words import tr


def printed_size(case: Case, size: Size, system: str) -> str:
    """Print the size found, and for a tank both the cheapest that does and the smallest."""
    if size.value is None:
        return _none_does(size)
    if size.value == 0.0:
        return _none_needed(case, size, system)
    if size.what == "breaker":
        return _breaker(case, size, system)
    if size.what == "tank":
        return _tank(case, size, system)
    return tr(
        "{option}: the smallest {what} is {system} ({today});\nit leaves {left} and costs {spent} a"
        " year.\nIt has no margin for winters colder than this weather year: take the next size sold,\nor the larger one that sizes"
        " off the shelf (costsim select) ask for.{bears}",
        option=size.option,
        what=size.what,
        system=size.shown(system),
        today=_today(case, size, system),
        left=_left(size),
        spent=money(size.cost, case.currency),
        bears=_bears(case, size),
    )


def _none_does(size: Size) -> str:
    why = f" ({size.ground})" if size.ground else ""
    return tr(
        "{option}: no {what} brings the {left_today} down to what is accepted;"
        " {unmet_hours} hours are left{why}. Something else is the limit: a breaker, curtailment"
        " hours, fuel or the floor.",
        option=size.option,
        what=size.what,
        left_today=hours_too_cold(size.unmet_hours_today),
        unmet_hours=f"{size.unmet_hours:,}",
        why=why,
    )


def _none_needed(case: Case, size: Size, system: str) -> str:
    return tr(
        "{option}: nothing of this {what} is needed in this weather year ({today}); the rest"
        " suffices, and the year costs {spent}, against {cost_today} today.",
        option=size.option,
        what=size.what,
        today=_today_alone(size, system),
        spent=money(size.cost, case.currency),
        cost_today=money(size.cost_today, case.currency),
    )


def _breaker(case: Case, size: Size, system: str) -> str:
    return tr(
        "{option}: the circuit takes a breaker of {system} ({ground}; {today}).\nWith it the year has"
        " {left} and costs {spent}. The wire, the unit's plate and the electrician decide (NEC"
        " 210.20, 240.6).",
        option=size.option,
        system=size.shown(system),
        ground=size.ground,
        today=_today(case, size, system),
        left=_left(size),
        spent=money(size.cost, case.currency),
    )


def _tank(case: Case, size: Size, system: str) -> str:
    coin = case.currency
    if size.smallest == 0.0:
        least = tr("none is needed")
    else:
        least = tr(
            "the smallest is {smallest} {dimension}",
            smallest=f"{to_display(size.smallest or 0.0, size.dimension, system):,.1f}",
            dimension=unit_for(size.dimension, system),
        )
    if size.tank_cost_known:
        priced = tr("the tank's own price in it.")
    else:
        priced = tr(
            'without the tank\'s own price:\nadd cost_per_volume = "{such}" to the tank, with what yours costs.',
            such=f"12 {coin}/gal" if system == "us" else f"3 {coin}/L",
        )
    return tr(
        "{option}: of tanks that leave at most {borne}, the one that costs least over {years} years is\n{system} ({today});"
        " it leaves {left} and costs {spent} a year. With no more hours too cold {least}, at {smallest_cost} a"
        " year.{bears}\nLife-cycle cost {present_cost}, against {present_cost_today} today, {priced}",
        option=size.option,
        years=size.years,
        borne=hours_too_cold(size.borne_hours),
        bears=_bears(case, size),
        system=size.shown(system),
        today=_today(case, size, system),
        left=_left(size),
        spent=money(size.cost, coin),
        least=least,
        smallest_cost=money(size.smallest_cost, coin),
        present_cost=money(size.present_cost, coin),
        present_cost_today=money(size.present_cost_today, coin),
        priced=priced,
    )


def _today_alone(size: Size, system: str) -> str:
    return tr(
        "today {today} {dimension}",
        today=f"{to_display(size.today, size.dimension, system):,.1f}",
        dimension=unit_for(size.dimension, system),
    )


def _today(case: Case, size: Size, system: str) -> str:
    """Today's size, with the hours that it leaves and what it costs."""
    return _today_alone(size, system) + tr(
        ": {left_today}, {cost_today} a year",
        left_today=hours_too_cold(size.unmet_hours_today),
        cost_today=money(size.cost_today, case.currency),
    )


def _left(size: Size) -> str:
    return hours_too_cold(size.unmet_hours)


def _bears(case: Case, size: Size) -> str:
    """Say where today's size counts as warm by the study, though more hours are missing with it than were asked for."""
    allowed = case.house.max_unmet_hours
    if not size.borne_hours < size.unmet_hours_today <= allowed:
        return ""
    return tr(
        " Today's size counts as warm in this study, which bears {allowed} hours a year.",
        allowed=f"{allowed:,}",
    )


def printed_collector(case: Case, steps: Sequence[CollectorStep], system: str) -> str:
    """Print a collector sweep with the worth of the next square metre."""
    return text_table(*collector_rows(case, steps, system))


def collector_rows(case: Case, steps: Sequence[CollectorStep], system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of a collector sweep; the last two tell what each bit of area since the row above gives."""
    area, heat = pretty_unit(unit_for("area", system)), unit_for("heat", system)
    each = to_display(1.0, "area", system)
    rows = []
    for step in steps:
        more = (
            "" if step.next_useful_j_m2 is None else f"{to_display(step.next_useful_j_m2, 'heat', system) / each:,.2f}"
        )
        saved = "" if step.next_saved_m2 is None else f"{case.currency}{step.next_saved_m2 / each:,.2f}"
        figures = [f"{to_display(joule, 'heat', system):,.1f}" for joule in (step.useful_j, step.dumped_j)]
        rows.append(
            [
                f"{to_display(step.area_m2, 'area', system):,.0f}",
                *figures,
                f"{step.share:.0%}",
                money(step.cost, case.currency),
                more,
                saved,
            ]
        )
    headings = [
        tr("area {area}", area=area),
        tr("useful {heat}", heat=heat),
        tr("dumped {heat}", heat=heat),
        tr("of the heat put in"),
        tr("cost a year"),
        tr("each {area} more: {heat}", area=area, heat=heat),
        tr("each {area} more: saved a year", area=area),
    ]
    return headings, rows
