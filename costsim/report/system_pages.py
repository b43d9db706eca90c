"""The calculation sheet's part on the system: the layout loop by loop, and the sizes off the shelf."""

from __future__ import annotations

from collections.abc import Iterator

from costsim.analysis.entered import entered
from costsim.analysis.select import OptionChoice
from costsim.report.basis import Basis
from costsim.report.blocks import Block, Heading, Items, Text, table
from costsim.units.quantity import show
from costsim.views.materials import NOTE, material_rows
from costsim.views.system import system_of
from costsim.views.text_circulators import head_lines, source_pump_lines
from costsim.views.text_circulators import pump_rows as duty_rows
from costsim.views.text_layout import (
    SHARING,
    fill_lines,
    half_rows,
    loop_rows,
    pump_rows,
    summary,
    supply_note,
    unserved_lines,
)
from costsim.views.text_select import entered_lines, head_line, pressure_lines, sold_text, step_rows
from costsim.words import tr


def layout_pages(basis: Basis) -> Iterator[Block]:
    """Loops, pumps and what to fill in, where the study has a layout."""
    plan, system = basis.signed.layout, basis.system
    if plan is None:
        return
    yield Heading(tr("{name}: layout, from areas to loops and pumps", name=basis.signed.name))
    yield Text(summary(plan, system))
    yield Text(supply_note(plan, system))
    headings, rows = loop_rows(plan, system)
    yield table("", headings, rows, "wrrrrlrrrrrr")
    headings, rows = half_rows(plan, system)
    yield table("", headings, rows, "wrrrrr", tr(SHARING))
    headings, rows = pump_rows(plan, system)
    yield table("", headings, rows, "wrrrrrr")
    lines = [
        *unserved_lines(plan, system),
        *fill_lines(plan, system),
        *(f"{note[:1].upper()}{note[1:]}." for note in plan.notes),
    ]
    yield Items(tuple(("", line, "") for line in lines))


def size_pages(basis: Basis) -> Iterator[Block]:
    """Sizes off the shelf of the option that is signed, of all where the study says what they are chosen by."""
    selection, system = basis.selection, basis.system
    target = show(selection.target_w, "power", system)
    yield Heading(tr("Sizes off the shelf"))
    yield Text(
        tr(
            "Each source carries the design load, no gains credited, with a margin of {margin_share} %"
            " ({target}) after its derates. Sizes from {values}.",
            margin_share=f"{selection.margin_share * 100:g}",
            target=target,
            values="; ".join(sorted(set(selection.size_sources.values()))),
        )
    )
    for option in selection.options:
        yield from _option(option, system, basis.case.currency)
    if selection.pumps:
        headings, rows = duty_rows(selection.pumps, system)
        yield table("", headings, rows, "wrrr", " ".join(head_lines(selection.pumps)))


def material_pages(basis: Basis) -> Iterator[Block]:
    """The list of material of the option that is signed: on the calculation sheet, so that the page to sign stays one."""
    option, weather = basis.signed.option, basis.common.weather
    plan = entered(basis.common, weather, option)
    drawn = system_of(basis.common, option, basis.look(option.name).sources, plan.layout)
    yield Heading(tr("{name}: list of material", name=option.name))
    yield table("", *material_rows(plan, drawn, basis.system), "wwWW", tr(NOTE))


def _option(option: OptionChoice, system: str, currency: str) -> Iterator[Block]:
    lines: list[str] = []
    for source in option.sources:
        if (head := head_line(source, system)) and source.steps:
            headings, rows = step_rows(source, system, currency)
            title = f"{option.option}: {source.name}"
            if source.chosen is not None:
                title += f", {sold_text(source.what, source.chosen, system)}"
            elif source.needed_w > 0:
                title += f", {tr('no listed size')}"
            yield table(
                title,
                [heading.strip() for heading in headings],
                [[row[0].strip(), *row[1:]] for row in rows],
                "wrrrrrr",
            )
        lines += [*([head] if head else []), *entered_lines(source, system)]
    yield Items(
        tuple(
            ("", line.strip(), "")
            for line in [*lines, *pressure_lines(option.circuit, system), *source_pump_lines(option.pumps, system)]
        )
    )
