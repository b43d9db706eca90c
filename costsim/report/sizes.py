"""Sizes off the shelf of the option that is signed, each with the rule it is taken by and a line to confirm it."""

from __future__ import annotations

from costsim.report.basis import Basis
from costsim.report.blocks import Table, table
from costsim.report.reader import LINE
from costsim.views.size_rows import CONFIRM, duty_text, pressure_size_rows, source_rows
from costsim.views.text_circulators import flow_rule, run_rule, source_pump
from costsim.words import tr


def sizes_table(basis: Basis) -> Table:
    """Breaker, wire, gas pipe, vent, propane, expansion, relief and circulators, for the sizes that the option is entered with."""
    selection, system = basis.selection, basis.system
    choice = next(sized for sized in selection.options if sized.option == basis.signed.name)
    rows = [*source_rows(choice, system), *pressure_size_rows(choice, system)]
    for pump in selection.pumps:
        duty = f"{pump.count:g} × {duty_text(pump, system)}"
        rule = (
            "; ".join([flow_rule(pump, system), run_rule(pump.head_pa)])
            if pump.drop_k
            else tr("Darcy and Weisbach, by loop")
        )
        rows.append((tr("circulators, {name}", name=pump.name), duty, rule))
    for pump in choice.pumps:
        duty = duty_text(pump, system) if pump.head_pa is not None else tr(CONFIRM)
        rows.append((tr("{name}: circulator, where none is built in", name=pump.name), duty, source_pump(pump, system)))
    return table(
        "",
        [tr("part"), tr("size"), tr("by which rule"), tr("confirmed by")],
        [[*row, LINE] for row in rows],
        "wWWw",
        tr(
            "Circuits and gas lines are those of the sizes entered; another unit's plate changes them. Breakers,"
            " wire, gas pipe and vents by North American tables: the locally adopted code decides."
        ),
    )
