"""What is bought of the option that is signed: loops, pumps, what fills them, heaters and circuits."""

from __future__ import annotations

from costsim.analysis.layout_plan import LayoutResult
from costsim.report.basis import Basis
from costsim.report.blocks import Block, Facts
from costsim.units.quantity import show
from costsim.views.antifreeze_words import fill_words
from costsim.views.size_rows import entered_rows, filling_row, valve_row
from costsim.views.system import system_of
from costsim.words import tr, trn


def bought(basis: Basis) -> tuple[Block, ...]:
    """Loops and pumps of the option that is drawn, where the study lays it out, and its sources with circuits and gas lines, as entered."""
    rows, name, layout_plan = [], basis.signed.name, basis.signed.layout
    if layout_plan is not None:
        speeds = " and ".join(f"{speed:.0%}" for speed in sorted({pump.speed_share for pump in layout_plan.pumps}))
        rows.append(
            (
                tr("loops and pumps"),
                tr(
                    "{loop_count} loops of {tube}, {tube_2}; {pumps} at {speeds}; {antifreeze}",
                    loop_count=layout_plan.loop_count,
                    tube=layout_plan.tube,
                    tube_2=show(layout_plan.tube_m, "length", basis.system, 0),
                    pumps=trn("{count} pump", "{count} pumps", len(layout_plan.pumps)),
                    speeds=speeds,
                    antifreeze=_antifreeze(basis, layout_plan),
                ),
            )
        )
    if fill := fill_words(basis.signed.case, basis.system):
        rows.append((tr("antifreeze"), fill))
    drawn = system_of(basis.common, basis.signed.option, basis.look(name).sources, layout_plan)
    rows += [(tr("mixing valve of its own"), valve_row(valve, basis.system)) for valve in drawn.valves]
    rows += [
        (tr("{name}: outdoors", name=source.name), filling_row(source, basis.system))
        for source in drawn.sources
        if source.circuit
    ]
    chosen = next(choice for choice in basis.selection.options if choice.option == name)
    rows += entered_rows(chosen, basis.system)
    return (Facts(tuple(rows)),)


def _antifreeze(basis: Basis, layout: LayoutResult) -> str:
    """What floor and tank take of antifreeze."""
    if layout.fluid.antifreeze == "none":
        return tr("no antifreeze in floor and tank")
    return tr("{antifreeze} of antifreeze", antifreeze=show(layout.fluid.antifreeze_m3, "volume", basis.system, 0))
