"""A diagram of principle of a heating system, drawn from what a study says of it."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.physics.floor import SURFACE_LIMIT_C
from costsim.units.quantity import show
from costsim.views import symbols
from costsim.views.schematic_sources import draw_sources, fire_entries, row_of, separate_entries
from costsim.views.schematic_tank import TANK_RIGHT, draw_tank
from costsim.views.schematic_uses import UseMark, draw_use
from costsim.views.schematic_words import WARNING, words, zone_lines
from costsim.views.sheet import Box, Sheet, text_width
from costsim.words import each, tr

LEFT_OUT = (
    "Air separator, further check valves, isolating, purging and gas valves, controls and wiring are left out.",
    "Codes and makers decide.",
)
MIX_X, RISER_X = 448.0, 482.0
HOT_X, LIMIT_X, OWN_MIX_X, OWN_LIMIT_X = 428.0, 466.0, 500.0, 554.0
ZONE_X, MOST_DRAWN_LOOPS, LOOPS_OF_A_FLOOR = 542.0, 40, 3


@dataclass(frozen=True, slots=True)
class Frame:
    """Room that a drawing has: its width, where the return runs, rows of sources and zones, columns of the legend.

    `narrow` says whether what is said of a zone takes two lines.
    """

    width: float
    back_x: float
    top: float
    source_row: float
    zone_row: float
    columns: int
    narrow: bool = False

    @property
    def zone_most(self) -> float:
        """Width of a zone's labels."""
        return self.back_x - ZONE_X - 12.0


WIDE = Frame(960.0, 930.0, 84.0, 132.0, 118.0, 3)
NARROW = Frame(744.0, 722.0, 58.0, 104.0, 104.0, 2, narrow=True)
"""For paper: fewer units across, so that its letters stay legible."""


@dataclass(frozen=True, slots=True)
class SourceMark:
    """A source on the drawing: its symbol, rated heat and what is left of it [W], its flow where that is typed.

    One that stands outdoors may have a circuit of its own behind an exchanger: ``"glycol"`` or ``"drain_back"``, what about fills
    it [m³], and the coldest hour that it must stand [°C]. `burns_on` says that nothing puts its fire out, so that it needs a heat
    dump; `least_return_c`, how warm a loading unit keeps the water that comes back to it [°C].
    """

    name: str
    symbol: str
    rated_w: float
    delivered_w: float
    flow_m3_s: float | None = None
    circuit: str = ""
    filling_m3: float | None = None
    coldest_c: float | None = None
    burns_on: bool = False
    least_return_c: float | None = None


@dataclass(frozen=True, slots=True)
class ZoneMark:
    """A zone on the drawing. No loops stands for emitters, or a `floor`, that are not described.

    `water_c` is its supply at design where circuits differ [°C]; `valved`, whether a mixing valve and a high limit of its own make it.
    `load_w` is its design load, and `drop_k` what its water cools by, where emitters other than the floor have a circuit of their own.
    """

    name: str
    loops: int
    pumps: int
    speed: str
    flow_m3_s: float
    head_pa: float
    water_c: float | None = None
    valved: bool = False
    floor: bool = False
    load_w: float = 0.0
    drop_k: float = 0.0

    @property
    def drawn_loops(self) -> int:
        """Loops to draw: those that there are, some for a floor of which nothing is known, none for a panel."""
        return self.loops or (LOOPS_OF_A_FLOOR if self.floor else 0)


@dataclass(frozen=True, slots=True)
class ValveMark:
    """A level that takes cooler water through a mixing valve of its own: its water at design and its high limit [°C].

    Of a floor that is not described only its surface has a limit that is known, `surface_c`.
    """

    level: str
    water_c: float
    limit_c: float | None
    surface_c: float = SURFACE_LIMIT_C["occupied"]


@dataclass(frozen=True, slots=True)
class System:
    """All that is drawn.

    Parameters
    ----------
    title : str
        Name of the option.
    sources, zones : tuple
    tank_m3 : float or None
        None where there is no tank.
    open_circuit, mixing : bool
        A vented tank; a mixing valve before the floor.
    stratified : bool
        Whether the tank keeps a hot zone over a cold one.
    max_temperature_c, supply_c, return_c : float
        Highest tank temperature, and water at design [°C].
    load_w : float
    relief_pa, vessel_m3, limit_c : float or None
        Set pressure, volume that is needed, and the hottest water that the floor takes [°C].
    fluid : str
        What circulates.
    uses : tuple
        Hot water and other uses of the tank.
    valves : tuple
        Levels with a mixing valve and a high limit of their own.
    """

    title: str
    sources: tuple[SourceMark, ...]
    zones: tuple[ZoneMark, ...]
    tank_m3: float | None
    open_circuit: bool
    mixing: bool
    stratified: bool
    max_temperature_c: float
    supply_c: float
    return_c: float
    load_w: float
    relief_pa: float | None
    vessel_m3: float | None
    fluid: str
    uses: tuple[UseMark, ...] = ()
    limit_c: float | None = None
    valves: tuple[ValveMark, ...] = ()

    @property
    def checked(self) -> bool:
        """Whether sources stand side by side, so that the pump of one could push water backwards through another."""
        return len(self.sources) > 1


@dataclass(frozen=True, slots=True)
class Schematic:
    """A drawing: SVG, what it shows in words, and where labels, pipes and symbols are."""

    title: str
    svg: str
    about: str
    sheet: Sheet


def draw(system: System, units: str, frame: Frame = WIDE) -> Schematic:
    """Draw a system.

    Parameters
    ----------
    system : System
    units : str
        ``"us"`` or ``"si"``.
    frame : Frame
        `NARROW` for a page, where there is little width.

    Returns
    -------
    Schematic
        Black lines on white: supply full, return dashed. The height follows the number of sources and circuits.
    """
    sheet, top = Sheet(frame.width), frame.top
    circuits = len(system.zones) + len(system.uses)
    rows = max(
        sum(row_of(source, frame.source_row) for source in system.sources), circuits * frame.zone_row + 34.0, 150.0
    )
    bottom = top + rows
    back = bottom + 26.0
    warned = text_width(tr(WARNING), 11)
    sheet.label(16, 24, system.title, size=14, bold=True, most=frame.width - 64 - warned)
    sheet.label(frame.width - 16, 24, tr(WARNING), size=11, anchor="end", bold=True)
    draw_sources(sheet, system, units, frame, back)
    _zones(sheet, system, units, frame, back)
    draw_tank(sheet, system, units, top, bottom, back)
    _mains(sheet, system, units, frame, back)
    _legend(sheet, system, units, frame, back + 78.0)
    about = words(system, units)
    return Schematic(system.title, sheet.svg(about), about, sheet)


def _zones(sheet: Sheet, system: System, units: str, frame: Frame, back: float) -> None:
    """Zones one below the other: supply from the left, return to the right."""
    top, back_x = frame.top, frame.back_x
    lowest = highest = top + 20
    for at, zone in enumerate(system.zones):
        y = top + at * frame.zone_row + 84.0
        lowest, highest = y, (y + 44 if at == 0 else highest)
        first, last = _loops(sheet, zone, y, frame)
        sheet.pipe([(RISER_X, y), (last, y)])
        sheet.pipe([(OWN_MIX_X if zone.valved else first, y + 44), (back_x, y + 44)], cold=True)
        symbols.pump(sheet, 524, y, "right")
        if zone.valved:
            _own_mixing(sheet, y)
        else:
            sheet.arrow(502, y, "right")
        sheet.arrow(back_x - 12, y + 44, "right")
        sheet.circle(524, y - 32, 8)
        sheet.label(524, y - 28.8, "T", size=9, anchor="middle")
        sheet.line([(524, y - 24), (524, y - 10)], dash="2 2")
        if zone.pumps > 1:
            sheet.label(*((532, y + 38) if zone.valved else (524, y + 22)), f"{zone.pumps} ×", size=10, anchor="middle")
        water = "" if zone.water_c is None else show(zone.water_c, "temperature", units, 0)
        _circuit_words(sheet, zone.name, zone_lines(zone, units), y, frame, water)
    # uses take their water before the floor's mixing valve
    hot_x = HOT_X if system.mixing else RISER_X
    for at, use in enumerate(system.uses, len(system.zones)):
        y = top + at * frame.zone_row + 84.0
        draw_use(sheet, use, y, hot_x, back_x)
        _circuit_words(sheet, use.name, use.lines(units), y, frame)
        sheet.pipe([(hot_x, top + 20), (hot_x, y)])
    sheet.pipe([(TANK_RIGHT, top + 20), (RISER_X, top + 20), (RISER_X, lowest)])
    sheet.pipe([(back_x, highest), (back_x, back), (TANK_RIGHT - 22, back), (TANK_RIGHT - 22, back - 26)], cold=True)


def _own_mixing(sheet: Sheet, y: float) -> None:
    """A mixing valve and a high limit of one circuit: cool water comes up from its own return."""
    sheet.pipe([(OWN_MIX_X, y + 44), (OWN_MIX_X, y + 10)], cold=True)
    sheet.arrow(OWN_MIX_X, y + 28, "up")
    symbols.mixing(sheet, OWN_MIX_X, y)
    sheet.label(OWN_MIX_X + 4, y + 21, "MV", size=9)
    sheet.circle(OWN_LIMIT_X, y + 22, 10)
    sheet.label(OWN_LIMIT_X, y + 25.2, "HL", size=9, anchor="middle")
    sheet.line([(OWN_LIMIT_X, y + 12), (OWN_LIMIT_X, y)], dash="2 2")


def _circuit_words(sheet: Sheet, name: str, lines: list[str], y: float, frame: Frame, water: str = "") -> None:
    """The name of a zone or use, with its water where circuits differ, over what is said of it."""
    lines = lines if frame.narrow else [", ".join(lines)]
    level, most = y - 20 - 14 * len(lines), frame.zone_most
    if water:
        sheet.label(frame.back_x - 20, level, water, size=11, bold=True, anchor="end")
        most -= text_width(water, 11) + 16
    sheet.label(ZONE_X, level, name, size=11, bold=True, most=most)
    for below, line in enumerate(lines):
        sheet.label(ZONE_X, y - 6 - 14 * (len(lines) - below), line, size=10, most=frame.zone_most)


def _loops(sheet: Sheet, zone: ZoneMark, y: float, frame: Frame) -> tuple[float, float]:
    """Loops between their manifolds; gives where the return's begins and the supply's ends."""
    if zone.drawn_loops == 0:
        sheet.rect(Box(590, y - 8, 690, y + 36))
        for i in range(1, 10):
            sheet.line([(590 + 10 * i, y - 4), (590 + 10 * i, y + 32)])
        sheet.pipe([(690, y + 30), (700, y + 30), (700, y + 44)], cold=True)
        return 700.0, 590.0
    drawn = min(zone.drawn_loops, MOST_DRAWN_LOOPS)
    step = min(21.0, (frame.back_x - 594.0) / drawn)
    for i in range(drawn):
        symbols.loop(sheet, 578 + step * (i + 0.5), y, y + 44, step)
    return 578 + step / 2, 578 + step * (drawn - 0.5)


def _mains(sheet: Sheet, system: System, units: str, frame: Frame, back: float) -> None:
    """Temperatures of the mains, the mixing valve and the sensors."""
    y, most = frame.top + 20, min(420.0, frame.width - 516.0)
    sheet.circle(RISER_X, y - 22, 8)
    sheet.label(RISER_X, y - 18.8, "T", size=9, anchor="middle")
    sheet.line([(RISER_X, y - 14), (RISER_X, y)])
    carried = show(system.load_w, "power", units)
    sheet.label(
        500,
        y - 18,
        tr(
            "supply {supply} at design, {carried}",
            supply=show(system.supply_c, "temperature", units, 0),
            carried=carried,
        ),
        most=most,
    )
    back_words = tr("return {value}; {fluid}", value=show(system.return_c, "temperature", units, 0), fluid=system.fluid)
    sheet.label(500, back + 16, back_words, most=most)
    sheet.arrow(600, back, "left")
    if system.mixing:
        sheet.pipe([(MIX_X, back), (MIX_X, y + 10)], cold=True)
        sheet.arrow(MIX_X, back - 30, "up")
        symbols.mixing(sheet, MIX_X, y)
        sheet.label(MIX_X - 9, y - 11, "MV", size=9, anchor="end")
        sheet.circle(LIMIT_X, y + 30, 10)
        sheet.label(LIMIT_X, y + 33.2, "HL", size=9, anchor="middle")
        sheet.line([(LIMIT_X + 10, y + 30), (RISER_X, y + 30)], dash="2 2")
    else:
        sheet.arrow(MIX_X, y, "right")


def _own_valve(valve: ValveMark, units: str) -> str:
    if valve.limit_c is None:
        return tr(
            "own MV at {water}, HL: surface at most {limit}: {level}",
            level=valve.level,
            water=show(valve.water_c, "temperature", units, 0),
            limit=show(valve.surface_c, "temperature", units, 0),
        )
    return tr(
        "own MV at {water}, HL above {limit}: {level}",
        level=valve.level,
        water=show(valve.water_c, "temperature", units, 0),
        limit=show(valve.limit_c, "temperature", units, 0),
    )


def _legend(sheet: Sheet, system: System, units: str, frame: Frame, y: float) -> None:
    """What the letters and lines mean, in a grid, and the warning below it."""
    sealed = not system.open_circuit
    relief = (
        tr("{pressure}, or the weakest part", pressure=show(system.relief_pa, "pressure", units, 0))
        if system.relief_pa
        else tr("set pressure by the weakest part")
    )
    limit = (
        tr("HL high limit: stops the rooms' pumps above {limit}", limit=show(system.limit_c, "temperature", units, 0))
        if system.limit_c is not None
        else tr("HL high limit: stops the rooms' pumps")
    )
    vessel = (
        tr("{vessel} or more", vessel=show(system.vessel_m3, "volume", units))
        if system.vessel_m3
        else tr("not known: type water, pressures")
    )
    entries = [
        tr("RV relief valve, {relief}", relief=relief)
        if sealed
        else tr("RV relief valve of each source, piped to a safe place"),
        tr("ET expansion tank, {vessel}", vessel=vessel)
        if sealed
        else tr("expansion: into the vented tank, level kept below its top"),
        tr("BFP backflow preventer before the fill"),
        tr("T sensor or thermostat"),
        *([tr("MV mixing valve: keeps the rooms' supply down"), limit] if system.mixing else []),
        *(_own_valve(valve, units) for valve in system.valves),
        *separate_entries(system, units),
        *fire_entries(system, units),
        *([tr("CV check valve: none flows back through an idle source")] if system.checked else []),
        *([tr("TV tempering valve: keeps taps from scalding")] if any(use.taps for use in system.uses) else []),
        tr("circle with a triangle: pump, pointing along the flow"),
    ]
    columns = frame.columns
    wide = (frame.width - 24) / columns
    for at, text in enumerate(entries):
        sheet.label(16 + wide * (at % columns), y + 15 * (at // columns), text, size=9.5, most=wide - 12)
    y += 15 * (-(-len(entries) // columns)) + 2
    sheet.line([(16, y - 3), (52, y - 3)], wide=1.8)
    sheet.label(58, y, tr("supply"), size=9.5)
    sheet.line([(106, y - 3), (142, y - 3)], wide=1.8, dash="7 3.5")
    sheet.label(148, y, tr("return"), size=9.5)
    left_out = list(each(LEFT_OUT))
    for below, text in enumerate(left_out):
        sheet.label(196, y + 14 * below, text, size=9.5, most=frame.width - 212)
    sheet.height = y + 14 * len(left_out) - 2
