"""Circuits of hot water and other uses of the tank on a schematic: below the zones, on the same mains."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.units.quantity import show
from costsim.views import symbols
from costsim.views.sheet import Box, Sheet
from costsim.words import tr

BOX_LEFT, BOX_RIGHT, VALVE_X, END_X = 560.0, 606.0, 640.0, 672.0
WORDS = {
    "hot_water": ("exchanger to drinking water", "taps"),
    "cylinder": ("cylinder of drinking water", "taps"),
    "pool_or_tub": ("exchanger to pool water", "pool"),
    "snow_melt": ("exchanger to antifreeze", "slab"),
    "zone": ("emitters of its own", ""),
    "profile": ("heat by the hour from a file", ""),
}
"""What stands between tank and use, and where the water behind an exchanger goes."""


@dataclass(frozen=True, slots=True)
class UseMark:
    """A use of the tank on the drawing: its name, what kind of circuit, and the tank it needs [°C]."""

    name: str
    kind: str
    needs_c: float

    @property
    def taps(self) -> bool:
        """Whether people draw it."""
        return WORDS[self.kind][1] == "taps"

    def lines(self, units: str) -> list[str]:
        """What is said of it."""
        return [
            tr(WORDS[self.kind][0]),
            tr("tank at {needs} or more", needs=show(self.needs_c, "temperature", units, 0)),
        ]


def draw_use(sheet: Sheet, use: UseMark, y: float, riser_x: float, back_x: float) -> None:
    """Draw the circuit of a use: pump, exchanger or emitters, return; behind an exchanger its own water."""
    box, behind = Box(BOX_LEFT, y - 10, BOX_RIGHT, y + 34), WORDS[use.kind][1]
    sheet.pipe([(riser_x, y), (box.left, y)])
    sheet.pipe([(box.left + 12, box.bottom), (box.left + 12, y + 44), (back_x, y + 44)], cold=True)
    symbols.pump(sheet, 524, y, "right")
    sheet.arrow(502, y, "right")
    sheet.arrow(back_x - 12, y + 44, "right")
    sheet.rect(box)
    if not behind:
        for i in range(1, 5):
            sheet.line([(box.left + 9 * i, box.top + 5), (box.left + 9 * i, box.bottom - 5)])
        return
    sheet.line([(box.left, box.bottom), (box.right, box.top)], wide=1.4)
    sheet.pipe([(box.right, y), (END_X, y)])
    sheet.pipe([(END_X, y + 26), (box.right, y + 26)], cold=True)
    sheet.arrow(END_X - 8, y, "right")
    sheet.arrow(box.right + 12, y + 26, "left")
    sheet.label(END_X + 5, y + 3.5, behind, size=10, most=44)
    if use.taps:
        sheet.pipe([(VALVE_X, y + 26), (VALVE_X, y + 10)], cold=True)
        symbols.mixing(sheet, VALVE_X, y)
        sheet.label(VALVE_X + 8, y - 9, "TV", size=9)
        sheet.label(END_X + 5, y + 29.5, "cold", size=10, most=44)
