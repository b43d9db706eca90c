"""The household's page: what it costs, whether the house stays warm, cautions and open items; no ratings of parts."""

from __future__ import annotations

from costsim.report.basis import Basis
from costsim.report.blocks import Block, Facts, Heading, Items, Signatures, Table, Text, table
from costsim.report.figures import cost_chart
from costsim.report.sheet import household_sheet
from costsim.report.sign import assumed, costs, crowded, open_rows, verdicts
from costsim.units.quantity import show
from costsim.views.tables import when
from costsim.words import each, tr

SIGNERS = (("Owner", "I have read the answer, its uncertainty, the cautions and the open items."),)


def household_page(basis: Basis, waiting: int = 0) -> tuple[Block, ...]:
    """Give the blocks of the household's page; `waiting` is the number of sources that wait to be confirmed."""
    return (
        Text(basis.sentence, "answer"),
        costs(basis),
        *(() if crowded(basis) else (cost_chart(basis),)),
        verdicts(basis),
        warmth(basis),
        Heading(tr("Cautions: ask the licensed trades who do the work")),
        Items(tuple((one.title, one.short, "") for one in basis.cautions), columns=2),
        Heading(tr("Assumptions and sources")),
        Facts(assumed(basis)),
        Heading(tr("Open items")),
        Facts(open_rows(basis, waiting, parts=False)),
        Signatures(each(SIGNERS)),
    )


def warmth(basis: Basis) -> Table:
    """Hours too cold of each option, when the worst is, and how cold the house gets."""
    rows = []
    most = basis.case.house.max_unmet_hours
    for option in basis.result.options:
        hours = option.unmet.hours
        kept = tr("yes") if not hours else tr("nearly") if option.keeps_warm else tr("no")
        worst = when(basis.result, option.unmet.worst_hour) if hours else "–"
        lack = show(option.unmet.worst_w, "power", basis.system) if hours else "–"
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
        ),
        (tr("no"),),
    )


__all__ = ["household_page", "household_sheet"]
