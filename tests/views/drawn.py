"""Built plants, and their drawings with what was asked for where."""

from __future__ import annotations

import dataclasses
import functools
from typing import Any

import pytest
from views.geometry import Point, Shape, shapes_of

from costsim.views import symbols
from costsim.views.schematic import (
    NARROW,
    WIDE,
    Frame,
    Schematic,
    SourceMark,
    System,
    ValveMark,
    ZoneMark,
    draw,
)
from costsim.views.schematic_small import draw_small
from costsim.views.schematic_uses import UseMark
from costsim.views.sheet import Sheet

PLAIN = System(
    "One boiler", (SourceMark("Boiler", "flame", 2e4, 1.8e4, 3e-4),), (ZoneMark("Floor", 3, 1, "60%", 1e-4, 1e4),), 0.3,
    False, False, 1, 60.0, 45.0, 35.0, 1e4, 2.07e5, 0.02, "water",
)  # fmt: skip
FULL = dataclasses.replace(
    PLAIN,
    title="Everything",
    sources=(PLAIN.sources[0], SourceMark("Pump", "fan", 1e4, 0.0), SourceMark("Stove", "logs", 0.0, 5e3, 2e-4)),
    zones=(
        PLAIN.zones[0], ZoneMark("Loft", 1, 0, "", 1e-5, 5e3), ZoneMark("Hall", 60, 3, "60% and 80%", 1e-3, 2e4),
        ZoneMark("Radiators", 0, 2, "", 0.0, 0.0),
    ),
    open_circuit=True, mixing=True, stratified=True, limit_c=50.0,
    uses=tuple(UseMark(f"Use {kind}", kind, 55.0) for kind in ("hot_water", "pool_or_tub", "zone", "cylinder")),
    valves=(ValveMark("Ground", 40.0, 44.0),),
)  # fmt: skip
SYSTEMS = {
    "plain": PLAIN,
    "full": FULL,
    "header": dataclasses.replace(FULL, tank_m3=None, open_circuit=False, uses=FULL.uses[1:2]),
    "unmixed": dataclasses.replace(PLAIN, mixing=False, uses=FULL.uses[:2], zones=FULL.zones[:2], stratified=True),
    "outdoors": dataclasses.replace(
        FULL,
        open_circuit=False,
        sources=(
            SourceMark("Plates", "collector", 6e3, 0.0, None, "glycol", 0.019, -28.3),
            FULL.sources[0],
            SourceMark("Pump", "fan", 8e3, 4e3, 2e-4, "drain_back"),
        ),
        zones=tuple(
            dataclasses.replace(zone, water_c=water, valved=own)
            for zone, water, own in zip(FULL.zones, (40.0, 45.0, 36.0, 38.0), (True, False, True, True), strict=True)
        ),
    ),
    "wood": dataclasses.replace(
        FULL,
        open_circuit=False,
        sources=(
            SourceMark("Big stove", "logs", 3e4, 3e4, 2e-4, burns_on=True, least_return_c=60.0),
            PLAIN.sources[0],
            SourceMark("Pellets", "logs", 1e4, 1.2e4, 1e-4, least_return_c=60.0),
        ),
    ),
    "floor": dataclasses.replace(PLAIN, zones=(dataclasses.replace(FULL.zones[3], floor=True),)),
    "emitters": dataclasses.replace(PLAIN, zones=FULL.zones[3:], mixing=True),
}
DUMP = ("heat dump,", "by gravity")
FRAMES: dict[str, Frame | None] = {"wide": WIDE, "narrow": NARROW, "small": None}
EACH = pytest.mark.parametrize(("name", "size"), [(name, size) for name in SYSTEMS for size in FRAMES])
NEAR = 0.02
"""What writing two decimals loses."""


def tall(source: SourceMark) -> bool:
    """Whether a source takes a row higher than the usual one."""
    return bool(source.circuit) or source.burns_on or source.least_return_c is not None


@dataclasses.dataclass
class Seen:
    """A drawing, its shapes, and which symbols were asked for where."""

    drawing: Schematic
    shapes: list[Shape]
    calls: dict[str, list[tuple[Any, ...]]]

    @property
    def pipes(self) -> list[Shape]:
        """Its pipes, without the two samples of the legend."""
        told = {tuple(round(value, 2) for point in pair for value in point) for pair in self.drawing.sheet.pipes}
        lines = [one for one in self.shapes if one.kind == "polyline" and one.wide == 1.8]
        return [one for one in lines if all((*a, *b) in told for a, b in one.edges)]

    def on_pipe(self, at: Point) -> float:
        """Distance from the nearest pipe."""
        return min(one.away(at) for one in self.pipes)

    def labels(self, text: str) -> list[Any]:
        return [box for words, box in self.drawing.sheet.labels if words == text]


def told(calls: dict[str, list[tuple[Any, ...]]], key: str, real: Any, sheet: Sheet, *args: Any) -> None:
    """Take down what is asked for, then draw it."""
    calls[key].append(args)
    before = len(calls["arrow"])
    real(sheet, *args)
    del calls["arrow"][before:]  # a symbol's own


@functools.cache
def seen(name: str, size: str) -> Seen:
    calls: dict[str, list[tuple[Any, ...]]] = {
        key: []
        for key in (
            "open_valve",
            "radiator",
            "pump",
            "relief",
            "check",
            "vessel",
            "fill",
            "mixing",
            "vent",
            "drain_back",
            "loop",
            "glyph",
            "arrow",
            "return",
            "label",
        )
    }
    with pytest.MonkeyPatch.context() as patch:
        for key in [*calls][:-3]:
            patch.setattr(symbols, key, functools.partial(told, calls, key, getattr(symbols, key)))
        arrow, pipe, label = Sheet.arrow, Sheet.pipe, Sheet.label

        def flow(self: Sheet, *args: Any) -> None:
            calls["arrow"].append(args)
            arrow(self, *args)

        def run(self: Sheet, points: Any, *, cold: bool = False) -> None:
            calls["return"] += [tuple(one) for one in points]
            pipe(self, points, cold=cold)

        def say(self: Sheet, x: float, y: float, text: str, **how: Any) -> None:
            calls["label"].append((x, y, text, {"size": 10.5, "anchor": "start", "most": 1e9, "bold": False, **how}))
            label(self, x, y, text, **how)

        patch.setattr(Sheet, "label", say)
        patch.setattr(Sheet, "arrow", flow)
        patch.setattr(Sheet, "pipe", run)
        frame = FRAMES[size]
        drawing = draw(SYSTEMS[name], "us", frame) if frame else draw_small(SYSTEMS[name], "us")
    return Seen(drawing, shapes_of(drawing.svg), calls)
