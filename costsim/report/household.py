"""The household's page: what it costs, whether the house stays warm, cautions and open items; no ratings of parts."""

from __future__ import annotations

from costsim.analysis.lifecycle import life_cycle
from costsim.report.basis import Basis
from costsim.report.blocks import Block, Facts, Heading, Items, Table, Text, table
from costsim.report.figures import cost_chart
from costsim.report.sheet import household_sheet
from costsim.report.sign import assumed, costs, crowded, open_rows, verdicts
from costsim.sources import HeatSource
from costsim.study.case import Option
from costsim.units.quantity import BTU_J, HOUR_S, show
from costsim.views.answer import called
from costsim.views.bought_anew import replaced_text
from costsim.views.design_night import design_night_sentence
from costsim.views.rounding import over_money, show_missing, years_text
from costsim.views.tables import money, when
from costsim.words import tr

TON_W = 12_000 * BTU_J / HOUR_S
"""A ton of a heat pump: 12,000 Btu in an hour."""


def household_page(basis: Basis, waiting: int) -> tuple[Block, ...]:
    """Give the blocks of the household's page; `waiting` is the number of sources that wait to be confirmed."""
    return (
        Text(basis.sentence, "answer"),
        offered(basis),
        costs(basis),
        *(() if crowded(basis) else (cost_chart(basis),)),
        *over_years(basis),
        sure(basis),
        warmth(basis),
        *(Text(sentence) for sentence in (design_night_sentence(basis.result, basis.system),) if sentence),
        Heading(tr("Cautions: ask the licensed trades who do the work")),
        Items(tuple((caution.title, caution.short, "") for caution in basis.cautions), columns=2),
        Heading(tr("Assumptions and sources")),
        Facts(assumed(basis, parts=False)),
        Heading(tr("Open items")),
        Facts(open_rows(basis, waiting, parts=False)),
    )


def offered(basis: Basis) -> Facts:
    """What each option is made of, for whoever makes an offer."""
    return Facts(tuple((option.name, machines(basis, option)) for option in basis.case.options))


def machines(basis: Basis, option: Option) -> str:
    """Each machine of an option with its size as quotes name it, and the tank."""
    parts = [f"{source.label} {size_of(source, basis.system)}" for source in option.sources]
    tank = option.tank_of(basis.case)
    parts += [tr("tank {volume}", volume=show(tank.volume_m3, "volume", basis.system, 0))] if tank else []
    return "; ".join(parts)


def size_of(source: HeatSource, system: str) -> str:
    """A machine's size in the words of a quote: area of collectors, kilowatts of electric heat, tons beside a heat pump's heat."""
    area = source.collector_area_m2()
    if area is not None:
        return show(area, "area", system, 0)
    watts = source.nameplate_w()
    if source.continuous_load and source.plate_efficiency() is not None:
        return show(watts, "power", "si", 1)
    text = show(watts, "power", system)
    if source.feels_cold and system == "us":
        text = tr("{text}, {tons} tons", text=text, tons=f"{watts / TON_W:.1f}")
    return f"{text} {source.rated_at}".rstrip()


def sure(basis: Basis) -> Table:
    """Who wins by each question and how likely that is; the figures stand in the tables above."""
    whole = verdicts(basis)
    note = tr(
        "By {scenarios} scenarios of winters, prices and efficiencies.", scenarios=f"{basis.decision.scenarios:,}"
    )
    return table(
        whole.title, list(whole.headings[:-1]), [list(row[:-1]) for row in whole.rows], whole.aligned[:-1], note
    )


def over_years(basis: Basis) -> tuple[Block, ...]:
    """First cost, cost over the study period and payback of each option, where its first cost is known."""
    coin, years = basis.case.currency, basis.case.economics.study_period
    outlays, steps = life_cycle(basis.case, basis.result)
    back = {step.option: step for step in steps}
    against = steps[0].against if steps else ""
    rows = []
    for outlay in outlays:
        if not outlay.priced:
            rows.append([outlay.option, tr("not given"), tr("not known"), "–"])
            continue
        step, text = back.get(outlay.option), "–"
        if step is not None and step.investment > 0:
            paid = step.discounted_payback
            text = tr("never") if paid is None else years_text(paid, basis.case.economics.discount_rate_share_per_year)
        rows.append([outlay.option, money(outlay.first, coin), over_money(outlay.present_cost, coin), text])
    again = [text for option in basis.case.options if (text := replaced_text(basis.case, option))]
    headings = [tr("option"), tr("first cost"), tr("{years} years in all", years=years), tr("pays for itself in")]
    note = tr(
        "First cost and every payment of {years} years at the prices typed, in today's money. Pays for itself:"
        " by what it saves against {name}, in today's money too.",
        years=years,
        name=called(against),
    )
    note = " ".join([note, *again])
    return (table(tr("Over {years} years", years=years), headings, rows, "wrrr", note),) if steps else ()


def warmth(basis: Basis) -> Table:
    """Hours too cold of each option, when the worst is, and how cold the house gets."""
    rows = []
    most = basis.case.house.max_unmet_hours
    for option in basis.result.options:
        hours = option.unmet.hours
        kept = tr("yes") if not hours else tr("nearly") if option.keeps_warm else tr("no")
        worst = when(basis.result, option.unmet.worst_hour) if hours else "–"
        lack = show_missing(option.unmet.worst_w, "power", basis.system) if hours else "–"
        rows.append([option.name, kept, f"{hours:,}", worst, lack])
    headings = [tr("option"), tr("warm?"), tr("hours too cold"), tr("worst hour"), tr("heat missing then")]
    return table(
        tr("Does it keep the house warm?"),
        headings,
        rows,
        "wrrrr",
        tr(
            "In this year's weather. “Nearly” means too cold in no more than {most} hours of the year.",
            most=f"{most:,}",
        )
        if any(row[1] == tr("nearly") for row in rows)
        else tr("In this year's weather."),
        (tr("no"),),
    )


__all__ = ["household_page", "household_sheet"]
