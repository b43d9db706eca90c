"""What `costsim size` prints: the smallest that keeps the house warm, and what each more of a collector earns."""

from __future__ import annotations

from collections.abc import Sequence

from costsim.analysis.collector_sweep import CollectorStep
from costsim.analysis.sizing import Size
from costsim.study.case import Case
from costsim.units.quantity import pretty_unit, to_display, unit_for
from costsim.views.tables import money, text_table
from costsim.words import tr


def printed_size(case: Case, found: Size, system: str) -> str:
    """Print the size found, and for a tank both the cheapest that does and the smallest."""
    if found.value is None:
        why = f" ({found.ground})" if found.ground else ""
        return tr(
            "{option}: no {what} brings the {unmet_hours_today} unmet hours down to what is accepted;"
            " {unmet_hours} hours are left{why}. Something else is the limit: a breaker, curtailment"
            " hours, fuel or the floor.",
            option=found.option,
            what=found.what,
            unmet_hours_today=f"{found.unmet_hours_today:,}",
            unmet_hours=f"{found.unmet_hours:,}",
            why=why,
        )
    today = tr(
        "today {today} {dimension}",
        today=f"{to_display(found.today, found.dimension, system):,.1f}",
        dimension=unit_for(found.dimension, system),
    )
    spent, coin = money(found.cost, case.currency), case.currency
    if found.value == 0.0:
        return tr(
            "{option}: nothing of this {what} is needed in this weather year ({today}); the rest"
            " suffices, and the year costs {spent}, against {cost_today} today.",
            option=found.option,
            what=found.what,
            today=today,
            spent=spent,
            cost_today=money(found.cost_today, coin),
        )
    today += tr(
        ": {unmet_hours_today} unmet hours, {cost_today} a year",
        unmet_hours_today=f"{found.unmet_hours_today:,}",
        cost_today=money(found.cost_today, coin),
    )
    left = tr("{unmet_hours} unmet hours", unmet_hours=f"{found.unmet_hours:,}")
    if found.what == "breaker":
        return tr(
            "{option}: the circuit takes a breaker of {system} ({ground}; {today}).\nWith it the year has"
            " {left} and costs {spent}. The wire, the unit's plate and the electrician decide (NEC"
            " 210.20, 240.6).",
            option=found.option,
            system=found.shown(system),
            ground=found.ground,
            today=today,
            left=left,
            spent=spent,
        )
    if found.what == "tank":
        least = (
            tr("none is needed")
            if found.smallest == 0.0
            else tr(
                "the smallest is {smallest} {dimension}",
                smallest=f"{to_display(found.smallest or 0.0, found.dimension, system):,.1f}",
                dimension=unit_for(found.dimension, system),
            )
        )
        priced = (
            tr("the tank's own price in it.")
            if found.tank_cost_known
            else tr(
                'without the tank\'s own price:\nadd cost_per_volume = "12 {coin}/gal" to the tank, with what'
                " yours costs.",
                coin=coin,
            )
        )
        return tr(
            "{option}: of tanks that leave at most {borne} unmet hours, the one that costs least over {years} years is\n{system} ({today});"
            " it leaves {left} and costs {spent} a year. With no more unmet hours {least}, at {smallest_cost} a"
            " year.{bears}\nLife-cycle cost {present_cost}, against {present_cost_today} today, {priced}",
            option=found.option,
            years=found.years,
            borne=f"{found.borne_hours:,}",
            bears=_bears(case, found),
            system=found.shown(system),
            today=today,
            left=left,
            spent=spent,
            least=least,
            smallest_cost=money(found.smallest_cost, coin),
            present_cost=money(found.present_cost, coin),
            present_cost_today=money(found.present_cost_today, coin),
            priced=priced,
        )
    return tr(
        "{option}: the smallest {what} is {system} ({today});\nit leaves {left} and costs {spent} a"
        " year.\nIt has no margin for winters colder than this weather year: take the next size sold,\nor the larger one that sizes"
        " off the shelf (costsim select) ask for.{bears}",
        option=found.option,
        what=found.what,
        system=found.shown(system),
        today=today,
        left=left,
        spent=spent,
        bears=_bears(case, found),
    )


def _bears(case: Case, found: Size) -> str:
    """Say where today's size counts as warm by the study, though more hours are missing with it than were asked for."""
    allowed = case.house.max_unmet_hours
    if not found.borne_hours < found.unmet_hours_today <= allowed:
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
