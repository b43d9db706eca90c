"""The middle of a schematic: the tank, or pipes where there is none, with what keeps its pressure and what fills it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costsim.units.quantity import show
from costsim.views import symbols
from costsim.views.schematic_sources import TANK_LEFT
from costsim.views.sheet import Box, Sheet
from costsim.words import tr

if TYPE_CHECKING:
    from costsim.views.schematic import System

TANK_RIGHT, IN_BY = 408.0, 22.0
"""The tank's right side, and how far from its sides returns meet it."""


def draw_tank(sheet: Sheet, system: System, units: str, top: float, bottom: float, back: float) -> None:
    """Draw the tank, or pipes with a bridge in its place; sources come from the left, the floor from the right."""
    middle = (TANK_LEFT + TANK_RIGHT) / 2
    if system.tank_m3 is None:
        high, bridge = (top + bottom) / 2, TANK_LEFT + IN_BY
        sheet.pipe([(TANK_LEFT, top + 20), (TANK_RIGHT, top + 20)])
        sheet.pipe([(bridge, top + 20), (bridge, bottom)])
        sheet.pipe([(TANK_RIGHT - IN_BY, bottom), (bridge, bottom)], cold=True)
        sheet.label(bridge + 8, high - 8, tr("pipes only,"), most=76)
        sheet.label(bridge + 8, high + 6, tr("no tank"), most=76)
    else:
        _vessel(sheet, system, units, Box(TANK_LEFT, top, TANK_RIGHT, bottom))
    if system.open_circuit:
        symbols.vent(sheet, middle, top)
        sheet.label(middle + 16, top - 14, tr("open vent"), size=9)
    else:
        symbols.vessel(sheet, 232, back)
        sheet.label(249, back + 29, "ET", size=9)
    symbols.fill(sheet, 120, back)
    sheet.label(136, back + 24, "BFP", size=9)
    sheet.label(136, back + 40, tr("drinking water"), size=9, most=76)


def _vessel(sheet: Sheet, system: System, units: str, box: Box) -> None:
    """The tank with its temperatures, size and zones, and a relief valve of its own where it is sealed."""
    top, bottom = box.top, box.bottom
    middle, high = (box.left + box.right) / 2, (top + bottom) / 2
    sheet.rect(box, round_by=3 if system.open_circuit else 16, wide=2.0)
    sheet.label(middle, top + 44, show(system.supply_c, "temperature", units, 0), anchor="middle", bold=True)
    sheet.label(middle, high - 8, show(system.tank_m3 or 0.0, "volume", units, 0), anchor="middle", bold=True)
    sheet.label(middle, high + 6, tr("open, vented") if system.open_circuit else tr("sealed"), anchor="middle")
    sheet.label(
        middle,
        high + 20,
        tr("up to {max_temperature}", max_temperature=show(system.max_temperature_c, "temperature", units, 0)),
        anchor="middle",
        size=10,
    )
    sheet.label(middle, bottom - 30, show(system.return_c, "temperature", units, 0), anchor="middle", bold=True)
    if system.stratified:
        for left, right in ((box.left, box.left + 16), (box.right - 16, box.right)):
            sheet.line([(left, high), (right, high)], dash="3 3")
    if system.open_circuit:
        sheet.line([(box.left + 3, top + 10), (box.right - 3, top + 10)], dash="5 3")
    else:
        symbols.relief(sheet, middle, top)
        sheet.label(middle + 13, top - 10, "RV", size=9)
