"""What keeps the pressure, fills the system and heats drinking water, in the list of material."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from costsim.analysis.entered import Entered
from costsim.analysis.select import CircuitChoice, SourceChoice
from costsim.study.uses import AnyUse, HotWater
from costsim.units.quantity import show
from costsim.views.schematic import System
from costsim.views.size_rows import Row, expansion_row, pressure_size_rows, relief_rows
from costsim.words import tr

Part = tuple[str, str, str, str]
"""What, how many, how large, and by which rule."""


def part_of_unit(source: SourceChoice, row: Row) -> Part:
    """A part that comes with a source: with one that is there today it stays, so that nobody buys it again."""
    part, size, rule = row
    if source.kept:
        return part, tr("stays"), size, tr("stays with the unit; {rule}", rule=rule)
    return part, "1", size, rule


def pressure_parts(entered: Entered, drawn: System, units: str) -> Iterator[Part]:
    """Expansion tank, air separator, filling, and every relief valve."""
    circuit = entered.choice.circuit
    yield _expansion(circuit, units)
    if not circuit.open_circuit:
        flow = math.fsum(zone.flow_m3_s for zone in drawn.zones)
        size = tr("for {flow}", flow=show(flow, "flow", units, 1)) if flow > 0 else tr("not entered")
        rule = tr("on the hottest main ({practice})", practice=tr("common practice, no source"))
        yield tr("air separator"), "1", size, rule
    yield from _fill(circuit, units, mixed=drawn.fluid != tr("water"))
    yield from _relief(entered, units)


def _expansion(circuit: CircuitChoice, units: str) -> Part:
    """The tank, or tanks; none is bought where an open store has the room."""
    part, size, rule = expansion_row(circuit, units)
    if circuit.open_circuit:
        return part, "–", size, rule
    if circuit.needed_m3 is None:
        return part, "1", tr("to be sized") if circuit.known else tr("not entered"), rule
    return part, "1" if circuit.sold_m3 else tr("as sized"), size, rule


def _fill(circuit: CircuitChoice, units: str, *, mixed: bool) -> Iterator[Part]:
    """What fills the system: by hand where it is open or holds antifreeze, which a valve that fills by itself would thin unseen."""
    keeps = tr("keeps heating water out of drinking water; the plumbing code says which kind")
    if circuit.open_circuit:
        rule = tr("filled by hand; the plumbing code says which kind")
        yield tr("fill connection with backflow preventer"), "1", "", rule
        return
    size = tr("set to {fill}, cold", fill=show(circuit.fill_pa, "pressure", units, 0))
    if not mixed:
        yield tr("fill valve with backflow preventer"), "1", size, keeps
        return
    rule = tr(
        "filled with ready mix: plain water that comes in by itself would thin the antifreeze, and nobody would see it"
    )
    yield tr("hand fill or feed tank, no automatic make-up"), "1", size, rule
    rule = tr("keeps antifreeze out of drinking water; the plumbing code says which kind")
    yield tr("backflow preventer wherever drinking water can be connected"), "1", "", rule


def _relief(entered: Entered, units: str) -> Iterator[Part]:
    """A valve for each source and one for all of them on the tank; open where an output that it must blow off is not known."""
    choice = entered.choice
    unknown = [source for source in choice.sources if source.entered_w <= 0 and not source.fire]
    own = [(source, row) for source in choice.sources for row in relief_rows(source, choice, units)]
    for source, row in own:
        yield part_of_unit(source, row)
    for source in unknown:
        part, rule = (
            tr("{name}: relief valve of its own", name=source.name),
            tr("not less than its output (ASME BPVC IV)"),
        )
        yield part_of_unit(source, (part, tr("to be sized"), rule))
    if entered.case.tank is not None and not choice.circuit.open_circuit:
        for part, size, rule in list(pressure_size_rows(choice, units))[1 + len(own) :]:
            yield part, "1", tr("to be sized") if unknown else size, rule


def hot_water_parts(uses: Sequence[AnyUse], units: str) -> Iterator[Part]:
    """Exchanger or cylinder, relief and tempering valve of each hot water; a schematic may draw several uses as one."""
    plumber = tr("a licensed plumber sizes it, as the plumbing code says")
    for use in uses:
        if not isinstance(use, HotWater):
            continue
        if use.exchanger == "stored":
            kept = show(use.storage_temperature_c, "temperature", units, 0)
            rule = tr("with an exchanger of its own, kept at {kept}, as entered", kept=kept)
            yield tr("{name}: cylinder of drinking water", name=use.name), "1", tr("as bought"), rule
            relief = tr("{name}: temperature-and-pressure relief valve", name=use.name)
        else:
            rule = tr("the plumbing code says whether its wall must be double")
            yield tr("{name}: exchanger to drinking water", name=use.name), "1", tr("as bought"), rule
            relief = tr("{name}: temperature-and-pressure relief valve, if a cylinder is bought", name=use.name)
        yield relief, "1", tr("to be sized"), plumber
        rule = tr("before the taps, so that nobody is scalded; {plumber}", plumber=plumber)
        yield tr("{name}: tempering valve", name=use.name), "1", tr("to be sized"), rule
