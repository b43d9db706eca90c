"""Sources on a schematic, one below the other; one that stands outdoors has a circuit of its own behind an exchanger."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costsim.units.quantity import show, to_display
from costsim.views import symbols
from costsim.views.sheet import Box, Point, Sheet
from costsim.words import tr

if TYPE_CHECKING:
    from costsim.views.schematic import Frame, SourceMark, System

RETURN_X, SUPPLY_X, TANK_LEFT, PUMP_X = 24.0, 258.0, 300.0, 44.0
BOX_LEFT, BOX_RIGHT, NARROW_RIGHT, EXCHANGER_LEFT, EXCHANGER_RIGHT = 64.0, 178.0, 146.0, 190.0, 218.0
RELIEF_X, CHECK_X, ARROW_X = 190.0, 228.0, 246.0
"""The relief valve stands on the unit itself, before its check valve."""
OWN_ROW, DUMP_RISE, OWN_BACK, TANK_BACK = 144.0, 60.0, 36.0, 72.0
"""Room of a source with a circuit of its own, and over one for its heat dump; where that circuit and the tank's water come back, below its supply."""
LOAD_X, LOAD_PUMP_X, LOADED_LEFT, BYPASS_X, BYPASS = 44.0, 72.0, 96.0, 210.0, 34.0
"""A loading unit: its valve, its pump, the box of its source, where its bypass leaves the supply, and how low that runs."""


def row_of(source: SourceMark, usual: float) -> float:
    """Room that a source takes on the drawing."""
    loaded = source.flow_m3_s is not None and source.least_return_c is not None
    return rise_of(source, DUMP_RISE) + (max(usual, OWN_ROW) if source.circuit or loaded else usual)


def rise_of(source: SourceMark, dump: float) -> float:
    """Room between a source and its name, for the heat dump of one whose fire nothing puts out."""
    return dump if source.burns_on and not source.circuit else 0.0


def draw_sources(sheet: Sheet, system: System, units: str, frame: Frame, back: float) -> None:
    """Sources one below the other: return from the left, supply to the right."""
    outlets: list[float] = []
    inlets: list[float] = []
    row = frame.top
    for source in system.sources:
        y = row + 70.0 + rise_of(source, DUMP_RISE)
        row += row_of(source, frame.source_row)
        outlets.append(y)
        if source.circuit:
            _separate(sheet, source, y)
            inlets.append(y + TANK_BACK)
        else:
            _direct(sheet, source, y)
            inlets.append(y)
        sheet.arrow(ARROW_X, y, "right")
        if system.checked:
            symbols.check(sheet, CHECK_X, y)
            sheet.label(CHECK_X, y - 10, "CV", size=9, anchor="middle", most=16)
        _words(sheet, source, y, units)
    top = frame.top + 20
    sheet.pipe([(SUPPLY_X, max(outlets)), (SUPPLY_X, top), (TANK_LEFT, top)])
    coming: list[Point] = [
        (TANK_LEFT + 22, back - 26),
        (TANK_LEFT + 22, back),
        (RETURN_X, back),
        (RETURN_X, min(inlets)),
    ]
    sheet.pipe(coming, cold=True)
    sheet.arrow(180, back, "left")
    sheet.arrow(280, top, "right")


def _direct(sheet: Sheet, source: SourceMark, y: float) -> None:
    """A source that the tank's own water runs through."""
    loaded = source.least_return_c is not None
    box = Box(LOADED_LEFT if loaded else BOX_LEFT, y - 26, BOX_RIGHT, y + 26)
    sheet.pipe([(RETURN_X, y), (box.left, y)], cold=True)
    sheet.pipe([(box.right, y), (SUPPLY_X, y)])
    sheet.rect(box)
    symbols.glyph(sheet, source.symbol, box)
    symbols.pump(sheet, LOAD_PUMP_X if loaded else PUMP_X, y, "right")
    symbols.relief(sheet, RELIEF_X, y)
    sheet.label(RELIEF_X + 13, y - 10, "RV", size=9, most=17)
    if source.burns_on:
        _heat_dump(sheet, box, y)
    if loaded:
        low = y + BYPASS
        sheet.pipe([(BYPASS_X, y), (BYPASS_X, low), (LOAD_X, low), (LOAD_X, y + 10)])
        symbols.mixing(sheet, LOAD_X, y)
        sheet.label(LOAD_X + 8, y + 24, "LU", size=9, most=30)
        sheet.arrow(140, low, "left")


def _heat_dump(sheet: Sheet, box: Box, y: float) -> None:
    """A radiator above the boiler that water rises to and sinks from by itself, between boiler and pump, past no check valve."""
    above, riser, back = Box(98.0, y - 84, 146.0, y - 60), 166.0, box.left - 8
    symbols.gravity_loop(sheet, above, y - 72, riser=(riser, box.top), back=(back, y), valve=y - 44)
    sheet.label(riser + 22, y - 41, "NO", size=9, most=30)
    sheet.arrow(back, y - 46, "down")
    sheet.label(riser + 10, y - 74, tr("heat dump,"), size=10, bold=True, most=76)
    sheet.label(riser + 10, y - 62, tr("by gravity"), size=10, bold=True, most=76)


def _separate(sheet: Sheet, source: SourceMark, y: float) -> None:
    """A source outdoors: its own fluid, pump, relief valve and vessel on one side of an exchanger, the tank's water on the other."""
    box, exchanger = Box(BOX_LEFT, y - 26, NARROW_RIGHT, y + 26), Box(EXCHANGER_LEFT, y - 14, EXCHANGER_RIGHT, y + 30)
    middle, own, low = (exchanger.left + exchanger.right) / 2, y + OWN_BACK, y + TANK_BACK
    sheet.pipe([(box.right, y), (exchanger.left, y)])
    out = [(exchanger.left, y + 22), (178.0, y + 22), (178.0, own)]
    sheet.pipe([*out, (PUMP_X, own), (PUMP_X, y), (box.left, y)], cold=True)
    sheet.pipe([(RETURN_X, low), (middle, low), (middle, exchanger.bottom)], cold=True)
    sheet.pipe([(exchanger.right, y), (SUPPLY_X, y)])
    sheet.rect(box)
    symbols.glyph(sheet, source.symbol, box)
    sheet.rect(exchanger)
    sheet.line([(exchanger.left, exchanger.bottom), (exchanger.right, exchanger.top)], wide=1.4)
    sheet.label(middle, y - 18, "HX", size=9, anchor="middle")
    symbols.relief(sheet, 158, y)
    sheet.label(171, y - 10, "RV", size=9, most=17)
    symbols.pump(sheet, 96, own, "left")
    symbols.pump(sheet, PUMP_X, low, "right")
    sheet.arrow(middle - 20, low, "right")
    if source.circuit == "drain_back":
        symbols.drain_back(sheet, 150, own)
        sheet.label(165, own + 19, "DB", size=9)
    else:
        symbols.vessel(sheet, 150, own, 10.0)
        sheet.label(163, own + 19, "ET", size=9)


def _words(sheet: Sheet, source: SourceMark, y: float, units: str) -> None:
    """Name, heat and flow of a source, and what fills a circuit of its own."""
    over = y - rise_of(source, DUMP_RISE)
    sheet.label(40, over - 46, source.name, size=11, bold=True, most=210)
    rated = ""
    if source.rated_w > 0:
        rated = tr("rated {rated}, ", rated=f"{to_display(source.rated_w, 'power', units):,.1f}")
    gives = show(source.delivered_w, "power", units)
    sheet.label(40, over - 33, tr("{rated}gives {delivered}", rated=rated, delivered=gives), size=10, most=210)
    low, most = (68, 80) if source.circuit else (39 if source.least_return_c is None else 49, 150)
    if source.circuit:
        sheet.label(58, y + 56, own_fluid(source), size=10, bold=True, most=most)
    if source.flow_m3_s is not None:
        at = 58 if source.circuit else 64
        sheet.label(at, y + low, tr("flow {flow}", flow=show(source.flow_m3_s, "flow", units)), size=10, most=most)


def own_fluid(source: SourceMark) -> str:
    """What fills a circuit of its own."""
    return tr("glycol") if source.circuit == "glycol" else tr("water, drains")


def separate_entries(system: System, units: str) -> list[str]:
    """Lines of the legend on circuits behind an exchanger."""
    apart = [source for source in system.sources if source.circuit]
    if not apart:
        return []
    lines = [tr("HX exchanger; the circuit outdoors has an RV of its own")]
    if any(source.circuit == "drain_back" for source in apart):
        lines.append(tr("DB drain-back tank indoors: holds what comes down"))
    return lines + [tr("{filling}: {name}", filling=filling_words(source, units), name=source.name) for source in apart]


def fire_entries(system: System, units: str) -> list[str]:
    """Lines of the legend on heat dumps, and on what keeps the return of a boiler warm."""
    dumps = [
        tr("heat dump: radiator above the boiler, runs by gravity"),
        tr("NO valve normally open: opens when the power fails"),
    ]
    least = {
        source.least_return_c for source in system.sources if source.least_return_c is not None and not source.circuit
    }
    return (dumps if any(source.burns_on and not source.circuit for source in system.sources) else []) + [
        tr(
            "LU loading unit: holds the boiler's return at {least} or more",
            least=show(value, "temperature", units, 0),
        )
        for value in sorted(least)
    ]


def filling_words(source: SourceMark, units: str) -> str:
    """What fills the circuit outdoors, and about how much of it."""
    if source.circuit == "drain_back":
        return tr("water that drains indoors at each stop")
    cold = "" if source.coldest_c is None else show(source.coldest_c, "temperature", units, 0)
    mix = tr("glycol, good to {cold}", cold=cold) if cold else tr("glycol")
    if source.filling_m3 is None:
        return mix
    return tr("about {about} of {mix}", about=show(source.filling_m3, "volume", units, 0), mix=mix)
