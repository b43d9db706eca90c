"""The diagram of the first look: sources, tank and floor with their figures in large letters; valves are left to the full one."""

from __future__ import annotations

from costsim.units.quantity import show, to_display
from costsim.views import symbols
from costsim.views.schematic import Schematic, SourceMark, System, ZoneMark
from costsim.views.schematic_sources import own_fluid, rise_of
from costsim.views.schematic_words import WARNING, words
from costsim.views.sheet import Box, Sheet, text_width
from costsim.words import tr, trn

WIDTH, SIZE, SMALL = 480.0, 13.0, 11.5
RETURN_X, PUMP_X, BOX_LEFT, BOX_RIGHT, SUPPLY_X = 10.0, 26.0, 42.0, 156.0, 194.0
TANK_LEFT, TANK_RIGHT, MIX_X, FLOW_X, FLOOR_LEFT, FLOOR_RIGHT = 214.0, 290.0, 306.0, 330.0, 348.0, 470.0
MAIN_Y, LOOPS_HIGH, ROW, MOST_LOOPS, LEAST_W = 76.0, 62.0, 98.0, 6, 50.0
OWN_BACK, OWN_MORE, DUMP_RISE = 36.0, 36.0, 48.0
"""Where the supply runs, how high the loops are, room of a source, loops drawn at most, what counts as no heat [W]; where
the tank's water comes back to a source with a circuit of its own, the room that this takes beside, and that of a heat dump."""


def draw_small(system: System, units: str) -> Schematic:
    """Draw a system for a narrow place.

    Parameters
    ----------
    system : System
    units : str
        ``"us"`` or ``"si"``.

    Returns
    -------
    Schematic
        480 units wide, so that it can be read on a phone; supply full, return dashed.
    """
    sheet = Sheet(WIDTH)
    levels, row = [], MAIN_Y
    for source in system.sources:
        levels.append(row + rise_of(source, DUMP_RISE))
        row = levels[-1] + ROW + (OWN_MORE if source.circuit else 0.0)
    last, own = levels[-1], bool(system.sources[-1].circuit)
    bottom = max(last + 36.0 + OWN_MORE * own, MAIN_Y + 136.0)
    back = bottom + 20.0
    for y, source in zip(levels, system.sources, strict=True):
        _source(sheet, source, units, y)
    first = levels[0] + (OWN_BACK if system.sources[0].circuit else 0.0)
    sheet.pipe([(SUPPLY_X, last), (SUPPLY_X, MAIN_Y), (TANK_LEFT, MAIN_Y)])
    from_tank = [(TANK_LEFT + 18, bottom)] if system.tank_m3 is not None else []
    sheet.pipe([*from_tank, (TANK_LEFT + 18, back), (RETURN_X, back), (RETURN_X, first)], cold=True)
    sheet.arrow(120, back, "left")
    if system.tank_m3 is None:
        _header(sheet, back)
    else:
        _tank(sheet, system, units, system.tank_m3, bottom)
    _house(sheet, system, units, bottom, back)
    sheet.label(8, back + 22, WARNING, size=SMALL, bold=True)
    sheet.height = back + 28
    about = words(system, units)
    return Schematic(system.title, sheet.svg(about), about, sheet)


def in_lines(text: str, size: float, most: float) -> list[str]:
    """A text in at most two lines, broken between words.

    Examples
    --------
    >>> in_lines("Condensing propane boiler", 13, 150), in_lines("Propane", 13, 150)
    (['Condensing', 'propane boiler'], ['Propane'])
    """
    if text_width(text, size) <= most:
        return [text]
    parts = text.split(" ")
    for at in range(1, len(parts)):
        if text_width(" ".join(parts[at:]), size) <= most:
            return [" ".join(parts[:at]), " ".join(parts[at:])]
    return [text]


def _source(sheet: Sheet, source: SourceMark, units: str, y: float) -> None:
    box, over = Box(BOX_LEFT, y - 24, BOX_RIGHT, y + 24), y - rise_of(source, DUMP_RISE)
    most = SUPPLY_X - BOX_LEFT + (14 if over == MAIN_Y else -8)
    lines = in_lines(source.name, SIZE, most)
    for at, line in enumerate(lines):
        sheet.label(BOX_LEFT, over - 46 - 15 * (len(lines) - 1 - at), line, size=SIZE, most=most, bold=True)
    gives = _gives(source, units)
    sheet.label(BOX_LEFT, over - 31, gives, size=SIZE, most=most)
    if source.circuit:
        _behind_exchanger(sheet, source, y)
        return
    sheet.pipe([(RETURN_X, y), (BOX_LEFT, y)], cold=True)
    sheet.pipe([(BOX_RIGHT, y), (SUPPLY_X, y)])
    sheet.rect(box)
    symbols.glyph(sheet, source.symbol, box)
    symbols.pump(sheet, PUMP_X, y, "right")
    sheet.arrow(178, y, "right")
    if source.burns_on:
        _heat_dump(sheet, box, y)


def _heat_dump(sheet: Sheet, box: Box, y: float) -> None:
    """The radiator above a fire that nothing puts out, which takes its heat by gravity through a valve that opens without power."""
    above, riser, back = Box(104.0, y - 72, 136.0, y - 50), 146.0, box.left - 4
    symbols.gravity_loop(sheet, above, y - 62, riser=(riser, box.top), back=(back, y), valve=y - 40)
    sheet.label(riser + 21, y - 36, "NO", size=SMALL, most=22)
    sheet.label(box.left + 2, y - 36, tr("heat dump"), size=SMALL, most=96)


def _gives(source: SourceMark, units: str) -> str:
    """What is left when it is coldest, of what was bought."""
    if source.delivered_w < LEAST_W:
        return tr("no heat when coldest")
    gives = show(source.delivered_w, "power", units)
    if source.rated_w <= 1.005 * source.delivered_w:
        return gives
    return tr(
        "{left} of {rated}",
        left=f"{to_display(source.delivered_w, 'power', units):,.1f}",
        rated=show(source.rated_w, "power", units),
    )


def _behind_exchanger(sheet: Sheet, source: SourceMark, y: float) -> None:
    """A source outdoors with its own fluid, and the exchanger that gives its heat to the tank's water."""
    box, exchanger, low = Box(BOX_LEFT, y - 24, 124.0, y + 24), Box(148.0, y - 18, 172.0, y + 20), y + OWN_BACK
    sheet.pipe([(box.right, y - 8), (exchanger.left, y - 8)])
    sheet.pipe([(exchanger.left, y + 10), (box.right, y + 10)], cold=True)
    sheet.pipe([(RETURN_X, low), (160.0, low), (160.0, exchanger.bottom)], cold=True)
    sheet.pipe([(exchanger.right, y), (SUPPLY_X, y)])
    sheet.rect(box)
    symbols.glyph(sheet, source.symbol, box)
    sheet.rect(exchanger)
    sheet.line([(exchanger.left, exchanger.bottom), (exchanger.right, exchanger.top)], wide=1.4)
    symbols.pump(sheet, PUMP_X, low, "right")
    sheet.arrow(182, y, "right")
    sheet.label(BOX_LEFT, low + 15, tr("{fluid}, exchanger", fluid=own_fluid(source)), size=SMALL, most=146)


def _header(sheet: Sheet, back: float) -> None:
    """Pipes alone: a bridge between supply and return, no vessel."""
    middle = (TANK_LEFT + TANK_RIGHT) / 2
    sheet.pipe([(TANK_LEFT, MAIN_Y), (TANK_RIGHT, MAIN_Y)])
    sheet.pipe([(middle, MAIN_Y), (middle, back)])
    sheet.pipe([(TANK_LEFT + 18, back), (TANK_RIGHT - 18, back)], cold=True)
    sheet.label(middle + 5, MAIN_Y + 45, tr("no"), size=SIZE)
    sheet.label(middle + 5, MAIN_Y + 62, tr("tank"), size=SIZE)


def _tank(sheet: Sheet, system: System, units: str, volume_m3: float, bottom: float) -> None:
    box, middle, high = Box(TANK_LEFT, MAIN_Y - 22, TANK_RIGHT, bottom), (TANK_LEFT + TANK_RIGHT) / 2, MAIN_Y + 40
    sheet.rect(box, round_by=3 if system.open_circuit else 14, wide=2.0)
    lines = [
        tr("tank"),
        show(volume_m3, "volume", units, 0),
        tr("up to"),
        show(system.max_temperature_c, "temperature", units, 0),
    ]
    for at, line in enumerate(lines):
        sheet.label(middle, high + 17 * at, line, size=SIZE, anchor="middle", most=70)


def _house(sheet: Sheet, system: System, units: str, bottom: float, back: float) -> None:
    """The floor with what it needs: supply on top, return below, and how much of it there is."""
    low, most = MAIN_Y + LOOPS_HIGH, FLOOR_RIGHT - FLOOR_LEFT
    supply, cool = (show(value, "temperature", units, 0) for value in (system.supply_c, system.return_c))
    sheet.label(FLOOR_LEFT, MAIN_Y - 46, tr("House needs"), size=SIZE, bold=True, most=most)
    sheet.label(FLOOR_LEFT, MAIN_Y - 31, show(system.load_w, "power", units), size=SIZE, most=most)
    sheet.label(FLOOR_LEFT, MAIN_Y - 9, tr("supply {supply}", supply=supply), size=SIZE, most=most)
    sheet.label(FLOOR_LEFT, low + 17, tr("return {cool}", cool=cool), size=SIZE, most=most)
    for at, line in enumerate(_counts(system, units)):
        sheet.label(FLOOR_LEFT, low + 36 + 16 * at, line, size=SIZE, most=most)
    loops = sum(zone.drawn_loops for zone in system.zones)
    sheet.pipe([(TANK_RIGHT, MAIN_Y), (FLOOR_RIGHT - 4, MAIN_Y)])
    sheet.pipe(
        [
            (FLOOR_RIGHT - 4 if loops else FLOOR_LEFT, low),
            (FLOW_X, low),
            (FLOW_X, back),
            (TANK_RIGHT - 18, back),
            *([(TANK_RIGHT - 18, bottom)] if system.tank_m3 is not None else []),
        ],
        cold=True,
    )
    sheet.arrow(FLOW_X, back - 20, "down")
    symbols.pump(sheet, FLOW_X, MAIN_Y, "right")
    if system.mixing or (_apart(system) and any(zone.valved for zone in system.zones)):
        sheet.pipe([(MIX_X, back), (MIX_X, MAIN_Y + 10)], cold=True)
        sheet.arrow(MIX_X, back - 30, "up")
        symbols.mixing(sheet, MIX_X, MAIN_Y)
    if not loops:  # a panel
        sheet.rect(Box(FLOOR_LEFT + 10, MAIN_Y + 12, FLOOR_RIGHT - 22, low - 12))
        for at in range(1, 9):
            sheet.line([(FLOOR_LEFT + 10 + 10 * at, MAIN_Y + 16), (FLOOR_LEFT + 10 + 10 * at, low - 16)])
        sheet.line(
            [(FLOOR_RIGHT - 4, MAIN_Y), (FLOOR_RIGHT - 4, MAIN_Y + 20), (FLOOR_RIGHT - 22, MAIN_Y + 20)], wide=1.4
        )
        sheet.line([(FLOOR_LEFT, low), (FLOOR_LEFT, low - 20), (FLOOR_LEFT + 10, low - 20)], wide=1.4)
        return
    drawn = min(loops, MOST_LOOPS)
    step = most / drawn
    for at in range(drawn):
        symbols.loop(sheet, FLOOR_LEFT - 2 + step * (at + 0.5), MAIN_Y, low, min(step, 40.0))


def _apart(system: System) -> list[ZoneMark]:
    """Circuits of emitters beside others that have water of their own."""
    return [zone for zone in system.zones if zone.water_c is not None and not zone.loops]


def _counts(system: System, units: str) -> list[str]:
    loops, pumps = (sum(getattr(zone, name) for zone in system.zones) for name in ("loops", "pumps"))
    uses = [tr("and {name}", name=", ".join(use.name.lower() for use in system.uses))] if system.uses else []
    if apart := _apart(system):
        warm = [
            (system.supply_c if zone.water_c is None else zone.water_c, zone.name.rpartition(": ")[2]) for zone in apart
        ]
        floors = [system.supply_c if zone.water_c is None else zone.water_c for zone in system.zones if zone.loops]
        warm += [(max(floors), tr("floor"))] if floors else []
        temperatures = (f"{name} {show(water, 'temperature', units, 0)}" for water, name in sorted(warm, reverse=True))
        return [*(line for text in temperatures for line in in_lines(text, SIZE, FLOOR_RIGHT - FLOOR_LEFT)), *uses]
    if not loops:
        floor = any(zone.floor for zone in system.zones)
        return [tr("radiant floor") if floor else tr("emitters"), *uses]
    counted = [trn("{count} loop", "{count} loops", loops)]
    return counted + ([trn("{count} pump", "{count} pumps", pumps)] if pumps else []) + uses
