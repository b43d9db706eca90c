"""Our own symbols for parts of a heating system, plain shapes in the manner of ISO 14617 and EN 12792."""

from __future__ import annotations

from costsim.views.sheet import Box, Sheet

PUMP_RADIUS = 9.5


def pump(sheet: Sheet, x: float, y: float, towards: str) -> None:
    """A circle with a triangle that points the way of the flow."""
    sheet.circle(x, y, PUMP_RADIUS)
    r = PUMP_RADIUS - 1
    dx, dy = {"right": (1, 0), "left": (-1, 0), "up": (0, -1), "down": (0, 1)}[towards]
    side = [(x - 0.55 * r * dx + 0.8 * r * s * dy, y - 0.55 * r * dy + 0.8 * r * s * dx) for s in (1, -1)]
    sheet.shape([(x + r * dx, y + r * dy), *side], filled=True, wide=0.4)


def relief(sheet: Sheet, x: float, y: float) -> None:
    """An angle valve with its spring, standing on a pipe at (x, y)."""
    sheet.line([(x, y), (x, y - 8)], wide=1.4)
    sheet.shape([(x, y - 15), (x - 5, y - 7), (x + 5, y - 7)])
    sheet.shape([(x, y - 15), (x + 8, y - 20), (x + 8, y - 10)])
    sheet.line([(x, y - 15), (x - 3, y - 18), (x + 3, y - 21), (x - 3, y - 24), (x, y - 26)])
    sheet.symbols.append(Box(x - 5, y - 26, x + 8, y))


def check(sheet: Sheet, x: float, y: float) -> None:
    """A check valve on a pipe at (x, y): a triangle against a bar, which water passes to the right only."""
    sheet.shape([(x + 6, y), (x - 6, y - 6), (x - 6, y + 6)])
    sheet.line([(x + 6, y - 6), (x + 6, y + 6)], wide=1.4)


def vessel(sheet: Sheet, x: float, y: float, radius: float = 14.0) -> None:
    """An expansion tank with its diaphragm, hanging on a pipe at (x, y)."""
    middle, wave = y + radius + (12 if radius == 14.0 else 6), 3 * radius / 14.0
    sheet.line([(x, y), (x, middle - radius)], wide=1.4)
    sheet.circle(x, middle, radius)
    points = [(-1.0, 0.0), (-0.5, wave), (0.0, 0.0), (0.5, -wave), (1.0, 0.0)]
    sheet.line([(x + radius * across, middle + up) for across, up in points])


def drain_back(sheet: Sheet, x: float, y: float) -> None:
    """A tank below a pipe at (x, y), part air and part water, that takes what drains from above."""
    sheet.line([(x, y), (x, y + 6)], wide=1.4)
    box = Box(x - 12, y + 6, x + 12, y + 26)
    sheet.rect(box, round_by=2)
    sheet.line([(box.left + 2, y + 13), (box.right - 2, y + 13)], dash="3 2")


def fill(sheet: Sheet, x: float, y: float) -> None:
    """Filling from drinking water through a backflow preventer, below a pipe at (x, y)."""
    sheet.line([(x, y), (x, y + 12)], wide=1.4)
    box = Box(x - 13, y + 12, x + 13, y + 30)
    sheet.rect(box)
    sheet.shape([(x - 8, y + 25), (x + 8, y + 25), (x, y + 16)])
    sheet.line([(x - 8, y + 16), (x + 8, y + 16)])
    sheet.line([(x, y + 30), (x, y + 40)], wide=1.4)
    sheet.arrow(x, y + 35, "up")


def mixing(sheet: Sheet, x: float, y: float) -> None:
    """A three-way valve with its motor at (x, y), the third way from below."""
    sheet.shape([(x, y), (x - 10, y - 6), (x - 10, y + 6)])
    sheet.shape([(x, y), (x + 10, y - 6), (x + 10, y + 6)], filled=True)
    sheet.shape([(x, y), (x - 6, y + 10), (x + 6, y + 10)])
    sheet.line([(x, y), (x, y - 8)])
    sheet.rect(Box(x - 5, y - 17, x + 5, y - 8))


def open_valve(sheet: Sheet, x: float, y: float) -> None:
    """A zone valve on an upright pipe at (x, y), open while its motor has no power."""
    sheet.shape([(x, y), (x - 6, y - 8), (x + 6, y - 8)])
    sheet.shape([(x, y), (x - 6, y + 8), (x + 6, y + 8)])
    sheet.line([(x, y), (x + 8, y)])
    sheet.rect(Box(x + 8, y - 5, x + 18, y + 5))


def gravity_loop(
    sheet: Sheet, above: Box, level: float, *, riser: tuple[float, float], back: tuple[float, float], valve: float
) -> None:
    """A radiator above a boiler that water rises to at a level, through a valve at a height, and sinks from by itself, 6 lower."""
    sheet.pipe([riser, (riser[0], level), (above.right, level)])
    sheet.pipe([(above.left, level + 6), (back[0], level + 6), back], cold=True)
    radiator(sheet, above)
    open_valve(sheet, riser[0], valve)


def radiator(sheet: Sheet, box: Box) -> None:
    """A radiator with its fins."""
    sheet.rect(box)
    for at in range(1, round((box.right - box.left) / 8)):
        sheet.line([(box.left + 8 * at, box.top + 4), (box.left + 8 * at, box.bottom - 4)])


def vent(sheet: Sheet, x: float, y: float) -> None:
    """An open vent that bends over, from the top of a tank at (x, y)."""
    sheet.line([(x, y), (x, y - 22), (x + 10, y - 22), (x + 10, y - 15)], wide=1.4)
    sheet.symbols.append(Box(x - 1, y - 23, x + 11, y))


def loop(sheet: Sheet, x: float, top: float, bottom: float, wide: float) -> None:
    """One loop of tube between two manifolds."""
    steps, out = 4, 0.32 * wide
    high = (bottom - top) / (steps + 1)
    points = [(x, top), (x, top + high / 2)]
    for step in range(steps):
        side = x + out if step % 2 == 0 else x - out
        y = top + high / 2 + step * high
        points += [(side, y), (side, y + high)]
    points += [(x, bottom - high / 2), (x, bottom)]
    sheet.line(points)


def glyph(sheet: Sheet, kind: str, box: Box) -> None:
    """What makes the heat, inside the box of a source, by its `symbol`."""
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    reach = min(44.0, (box.right - box.left) / 2 - 6)
    if kind == "element":
        zigzag = [(x - 30 + 6 * i, y + (0 if i in (0, 10) else 8 if i % 2 else -8)) for i in range(11)]
        sheet.line([(x - min(42.0, reach), y), *zigzag, (x + min(42.0, reach), y)], wide=1.4)
    elif kind in ("flame", "logs"):
        _flame(sheet, x, y)
        if kind == "logs":
            sheet.line([(x - 16, y + 18), (x + 16, y + 13)], wide=2.4)
            sheet.line([(x - 16, y + 13), (x + 16, y + 18)], wide=2.4)
        else:
            sheet.line([(x - 14, y + 16), (x + 14, y + 16)], wide=2.0)
    elif kind == "fan":
        sheet.circle(x, y, 13)
        sheet.shape([(x - 11, y + 6), (x + 11, y + 6), (x, y - 12)])
        for side in (-reach, reach - 14):
            sheet.line([(x + side + out, y + up) for out, up in ((0, -12), (14, -4), (0, 4), (14, 12))])
    elif kind == "collector":
        step = (box.right - box.left - 24) / 6
        for i in range(6):
            sheet.line([(box.left + 14 + step * i, box.bottom - 6), (box.left + 24 + step * i, box.top + 6)])
    else:
        sheet.line([(box.left, box.bottom), (box.right, box.top)])


def _flame(sheet: Sheet, x: float, y: float) -> None:
    sheet.shape(
        [(x, y - 17), (x + 5, y - 8), (x + 9, y + 2), (x + 7, y + 9), (x, y + 13), (x - 7, y + 9), (x - 9, y + 2), (x - 3, y - 5)]
    )  # fmt: skip
    sheet.shape([(x, y - 1), (x + 3.5, y + 6), (x, y + 10), (x - 3.5, y + 6)])
