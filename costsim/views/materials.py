"""The list of material of an option: what an installer buys, how many and how large, as far as the study tells."""

from __future__ import annotations

import csv
import io
import math
from collections import Counter
from collections.abc import Iterator, Sequence

from costsim.analysis.circulators import PumpDuty
from costsim.analysis.coils import COILS_M, coils_for
from costsim.analysis.entered import Entered
from costsim.analysis.layout_plan import LayoutResult
from costsim.study.ratings import Ratings
from costsim.units.quantity import show
from costsim.views.antifreeze_words import fill_words
from costsim.views.emitter_marks import TRIP_MARGIN_K
from costsim.views.material_water import Part, hot_water_parts, part_of_unit, pressure_parts
from costsim.views.schematic import System
from costsim.views.size_rows import (
    CONFIRM,
    circuit_rows,
    duty_text,
    entered_text,
    filling_row,
    gas_rows,
    valve_row,
)
from costsim.views.tables import safe_text
from costsim.views.text_circulators import flow_rule, source_pump
from costsim.words import tr, trn

NOTE = (
    "Quantities for an estimate, from the sizes in this study; no prices. Fittings, pipe between the parts, vents, insulation, hangers and"
    " control wiring are not counted. A licensed trade and the local code confirm every line."
)


def material_rows(entered: Entered, drawn: System, units: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the list of material of one option.

    Parameters
    ----------
    entered : Entered
        Of `analysis.entered`.
    drawn : System
        What its schematic shows, with which the list agrees.
    units : str
        ``"us"`` or ``"si"``.
    """
    parts = [
        *_tubes(entered, drawn, units),
        *_manifolds(entered),
        *_circulators(entered, units),
        *_mixing(drawn, units),
        *_controls(entered),
        *_tank(entered, drawn, units),
        *pressure_parts(entered, drawn, units),
        *_valves(entered, drawn),
        *hot_water_parts(entered.case.use, units),
        *_filling(entered, drawn, units),
        *_sources(entered, units),
    ]
    open_line = tr(CONFIRM)
    rows = [[cell.replace(open_line, tr("to be sized")) for cell in part] for part in parts]
    return [tr("material"), tr("number"), tr("size"), tr("basis")], rows


def material_text(option: str, headings: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """The list for a terminal: what, how many and how large; a star marks what common practice alone tells."""
    star = tr("common practice, no source")
    shown = [
        f"{number:>{max(len(row[1]) for row in rows)}}  {what}{' *' if star in rule else ''}{f': {size}' if size else ''}"
        for row in rows
        for what, number, size, rule in [row]
    ]
    title = tr("Material for {option}", option=option)
    return "\n".join([f"{title}\n{'-' * len(title)}", *shown, f"* {star}", tr(NOTE)])


def material_csv(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """The list as CSV, with the note under it."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerows([safe_text(cell) for cell in row] for row in (headings, *rows, [tr(NOTE)]))
    return stream.getvalue()


def _loops(entered: Entered) -> list[tuple[str, int, float, str]]:
    """Like loops: name, how many, how long each with its leads [m], and tube."""
    if entered.layout is not None:
        return [
            (plan.circuit.name, plan.fed.count, plan.circuit.length_m, entered.layout.tube)
            for plan in entered.layout.loops
        ]
    floor = entered.case.floor
    return [
        (group.name or tr("Loops, group {at}", at=at), group.count, group.length_m, group.tube)
        for at, group in enumerate(floor.loops if floor else (), 1)
    ]


def _tubes(entered: Entered, drawn: System, units: str) -> Iterator[Part]:
    loops = _loops(entered)
    how = tr("as laid out") if entered.layout is not None else tr("as entered")
    for name, count, length_m, tube in loops:
        size = tr("{length} each, leads included; {tube}", length=show(length_m, "length", units, 0), tube=tube)
        yield tr("floor tube: {name}", name=name), trn("{count} loop", "{count} loops", count), size, how
    for tube in dict.fromkeys(loop[3] for loop in loops):
        lengths = [length for _, count, length, own in loops if own == tube for _ in range(count)]
        yield _coils(lengths, tube, units)
    plan = entered.case.floor.layout if entered.case.floor else None
    if plan is not None:
        for level in (typed_level for typed_level in plan.level if typed_level.mains_m > 0):
            size = tr("{length} each; {tube}", length=show(level.mains_m, "length", units, 0), tube=plan.mains_tube)
            yield tr("mains: {name}", name=level.name), "2", size, tr("supply and return, as entered")
    if not loops:
        size = tr(
            "{load} with water at {supply}",
            load=show(drawn.load_w, "power", units),
            supply=show(drawn.supply_c, "temperature", units, 0),
        )
        yield (
            tr("emitters, all together"),
            tr("not entered"),
            size,
            tr("the heat loss at design; a floor with loops is counted"),
        )


def _coils(lengths_m: Sequence[float], tube: str, units: str) -> Part:
    """All tube of a kind, in coils."""
    part = tr("floor tube in all: {tube}", tube=tube)
    total = tr("{length} of tube", length=show(math.fsum(lengths_m), "length", units, 0))
    coils = coils_for(lengths_m, COILS_M[units])
    if coils is None:
        longest = show(max(lengths_m), "length", units, 0)
        return (
            part,
            tr("to be sized"),
            total,
            tr("the longest loop, {longest}, is longer than the coils sold", longest=longest),
        )
    number = trn(
        "{count} coil of {length}",
        "{count} coils of {length}",
        coils.count,
        length=show(coils.length_m, "length", units, 0),
    )
    sold = ", ".join(show(length_m, "length", units, 0) for length_m in COILS_M[units])
    rule = tr(
        "each loop whole from one coil, no joint in the floor; coils of {sold} ({practice})",
        sold=sold,
        practice=tr("common practice, no source"),
    )
    return part, number, total, rule


def _manifolds(entered: Entered) -> Iterator[Part]:
    """A pair of manifolds for each pump with several loops, and headers where a level's mains feed several pumps."""
    if entered.layout is not None:
        yield from _laid_manifolds(entered, entered.layout)
        return
    floor = entered.case.floor
    for (name, count, _, _), group in zip(_loops(entered), floor.loops if floor else (), strict=True):
        each = group.loops_per_pump or (floor.pump.loops_per_pump if floor and floor.pump else count)
        whole, rest = divmod(count, each)
        for ports, number in ((each, whole), (rest, 1)):
            if ports > 1 and number:
                yield _pair(name, number, ports)


def _laid_manifolds(entered: Entered, layout: LayoutResult) -> Iterator[Part]:
    plan = entered.case.floor.layout if entered.case.floor else None
    for level in plan.level if plan else ():
        pumps = [pump for pump in layout.pumps if pump.level == level.name]
        if level.mains_m > 0 and len(pumps) > 1:
            size = tr("{count} supply + {count} return connections", count=len(pumps))
            yield (
                tr("header pair on the mains: {name}", name=level.name),
                "1",
                size,
                tr("a pair of connections for each pump"),
            )
        for ports, number in sorted(Counter(len(pump.loops) for pump in pumps).items()):
            if ports > 1:
                yield _pair(level.name, number, ports)


def _pair(name: str, number: int, ports: int) -> Part:
    size = tr("{ports} supply + {ports} return ports", ports=ports)
    return tr("manifold pair: {name}", name=name), str(number), size, tr("one pair for each pump and its loops")


def _circulators(entered: Entered, units: str) -> Iterator[Part]:
    for pump in entered.pumps:
        rule = flow_rule(pump, units) or tr("flow through the loops, by Darcy and Weisbach")
        yield tr("circulator: {name}", name=pump.name), f"{pump.count:g}", _duty(pump, units), rule
    for pump in entered.choice.pumps:
        name = tr("circulator, where none is built in: {name}", name=pump.name)
        yield name, "1", _duty(pump, units), source_pump(pump, units)


def _duty(pump: PumpDuty, units: str) -> str:
    """The duty point, in which a flow may be known without its head."""
    if pump.flow_m3_s is None:
        return tr("flow and head: not entered")
    if pump.head_pa is None:
        return tr("{flow}; head: not entered", flow=show(pump.flow_m3_s, "flow", units, 2))
    return duty_text(pump, units)


def _mixing(drawn: System, units: str) -> Iterator[Part]:
    if drawn.mixing:
        yield tr("mixing valve"), "1", *_mixed(drawn, units)
    for valve in drawn.valves:
        yield (
            tr("mixing valve of its own"),
            "1",
            valve_row(valve, units),
            tr("its floor takes cooler water than the rest"),
        )
    rule = tr("behind its mixing valve, so that no floor overheats")
    if drawn.mixing:
        yield tr("high-limit thermostat"), "1", _limit_words(drawn.limit_c, drawn.supply_c, units), rule
    for valve in drawn.valves:
        if valve.limit_c is None:
            most = show(valve.surface_c, "temperature", units, 0)
            size = tr("keeps the floor's surface at {most} or less (EN 1264)", most=most)
        else:
            size = _limit_words(valve.limit_c, valve.water_c, units)
        yield tr("high-limit thermostat: {name}", name=valve.level), "1", size, rule


def _limit_words(limit_c: float | None, supply_c: float, units: str) -> str:
    """Where a high limit stops the pumps, and how that lies to the design supply."""
    if limit_c is None or not math.isfinite(limit_c):
        return tr("not entered")
    words = tr("stops the pumps above {limit}", limit=show(limit_c, "temperature", units, 0))
    margin = show(TRIP_MARGIN_K, "temperature_difference", units, 0)
    if limit_c < supply_c + TRIP_MARGIN_K - 0.05:
        return words + tr(
            ", the most that tube and floor may have; as that is less than {margin} above the design supply, it may trip on the"
            " coldest night: ask for a floor that needs cooler water",
            margin=margin,
        )
    return words + tr(
        ", {margin} or more above the design supply so that the coldest night does not trip it (common practice, no source)",
        margin=margin,
    )


def _mixed(drawn: System, units: str) -> tuple[str, str]:
    """What the mixing valve is set for and lets through, and why there is one."""
    flow = math.fsum(zone.flow_m3_s for zone in drawn.zones if not zone.valved)
    size = tr("set for {supply} at design", supply=show(drawn.supply_c, "temperature", units, 0))
    if flow > 0:
        size += tr(", {flow}", flow=show(flow, "flow", units, 1))
    most = show(drawn.max_temperature_c, "temperature", units, 0)
    return size, tr("the tank may be as hot as {most}", most=most)


def _controls(entered: Entered) -> Iterator[Part]:
    if entered.layout is None:
        yield tr("thermostats"), tr("not entered"), tr("not entered"), tr("known for a floor that is laid out by area")
        yield (
            tr("zone valves"),
            tr("not entered"),
            tr("not entered"),
            tr("none where each thermostat switches pumps of its own"),
        )
        return
    names = entered.layout.thermostats
    yield tr("thermostats"), str(len(names)), ", ".join(names), tr("as laid out")
    yield tr("zone valves"), "0", "", tr("each thermostat switches pumps of its own")


def _tank(entered: Entered, drawn: System, units: str) -> Iterator[Part]:
    tank, ratings = entered.case.tank, entered.case.ratings or Ratings()
    if tank is None:
        return
    volume = show(tank.volume_m3, "volume", units, 0)
    if drawn.open_circuit:
        size = tr("{volume}, vented", volume=volume)
    elif ratings.tank_pressure_pa is None:
        size = tr("{volume}; pressure rating: {unknown}", volume=volume, unknown=tr("not entered"))
    else:
        rated = show(ratings.tank_pressure_pa, "pressure", units, 0)
        size = tr("{volume}; rated for {rated}", volume=volume, rated=rated)
    rule = tr("as entered; it must withstand {hottest}", hottest=show(drawn.max_temperature_c, "temperature", units, 0))
    if not drawn.open_circuit:
        relief = show(entered.choice.circuit.relief_pa, "pressure", units, 0)
        rule = tr("{rule} and the relief valve's {relief}", rule=rule, relief=relief)
    yield tr("tank"), "1", size, rule
    if entered.layout is not None:
        floor, sources = entered.layout.tappings, 2 * len(entered.choice.sources)
        size = tr("{floor} for the floor, {sources} for sources", floor=floor, sources=sources)
        more = tr("expansion, relief, drain, fill and sensor wells come on top")
        yield tr("tank connections"), str(floor + sources), size, more


def _valves(entered: Entered, drawn: System) -> Iterator[Part]:
    """Check, isolation and purge valves."""
    rooms, units = int(sum(pump.count for pump in entered.pumps)), len(entered.choice.sources)
    checks = (rooms if rooms > 1 else 0) + (units if drawn.checked else 0)
    if checks:
        rule = tr("one for each pump and source beside others; many pumps have it built in")
        yield tr("check valves"), str(checks), tr("as the pipe"), rule
    rule = tr(
        "two on each pump and on each source, for service ({practice})", practice=tr("common practice, no source")
    )
    yield tr("isolation valves"), str(2 * (rooms + units)), tr("as the pipe"), rule
    rule = tr(
        "one for each pump's circuit and one at the bottom ({practice})", practice=tr("common practice, no source")
    )
    yield tr("purge and drain valves"), str(rooms + 1), tr("as the pipe"), rule


def _filling(entered: Entered, drawn: System, units: str) -> Iterator[Part]:
    if text := fill_words(entered.case, units):
        yield tr("antifreeze"), "–", text, tr("content of tank, tubes and mains")
    for source in drawn.sources:
        if source.circuit:
            yield (
                tr("{name}: outdoors", name=source.name),
                "1",
                filling_row(source, units),
                tr("so that it does not freeze"),
            )


def _sources(entered: Entered, units: str) -> Iterator[Part]:
    for source in entered.choice.sources:
        size = entered_text(source, units) if source.entered_w > 0 else tr("not entered")
        if source.kept:
            yield source.name, tr("stays"), size, tr("stands there today and stays")
        else:
            yield source.name, "1", size, tr("as entered")
        vent = tr("{name}: vent category", name=source.name)
        gas = gas_rows(source.name, source.entered_gas, units) if source.entered_gas else ()
        for row in (
            *list(circuit_rows(source))[:1],
            *gas,
        ):  # what the service carries is no material, nor is a category
            if row[0] != vent:
                yield part_of_unit(source, row)
