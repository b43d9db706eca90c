"""A small helper for vector drawings: SVG text with fixed decimals, so that the same numbers give the same bytes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape, quoteattr

from costsim.views.charts import COLOURS
from costsim.views.sheet import number

FONT = "Libertinus Serif, Georgia, serif"
"""The first comes with the PDF maker; browsers that lack it take the next."""
INK, GREY = "#1a1a1a", "#8a8a8a"
DASHES = ("", "7 3", "2 3", "9 3 2 3", "4 2", "1 2")
HATCHES = (
    "",
    '<path d="M-1 7 L7 -1 M-1 1 L1 -1 M5 7 L7 5" {0}/>',
    '<circle cx="3" cy="3" r="1.1" fill="#ffffff"/>',
    '<path d="M0 0 L6 6 M6 0 L0 6" {0}/>',
    '<path d="M0 3 L6 3" {0}/>',
    '<path d="M3 0 L3 6 M0 3 L6 3" {0}/>',
)
"""Told apart in black and white as well as by colour."""


def ticks(most: float, wanted: int = 5) -> list[float]:
    """Round steps from zero to just above a value.

    Examples
    --------
    >>> ticks(1730.0)
    [0.0, 500.0, 1000.0, 1500.0, 2000.0]
    """
    if most <= 0:
        return [0.0, 1.0]
    raw = most / wanted
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(size * power for size in (1.0, 2.0, 2.5, 5.0, 10.0) if size * power >= raw * (1 - 1e-9))
    count = int(-(-most // step))
    return [step * at for at in range(count + 1)]


@dataclass(slots=True)
class Drawing:
    """Shapes on a sheet of `width` by `height`; all text is escaped. `key` keeps its names apart from those of other drawings."""

    key: str
    width: float
    height: float
    about: str
    parts: list[str] = field(default_factory=list)
    hatches: set[int] = field(default_factory=set)

    def text(
        self, x: float, y: float, words: str, *, size: float = 11, anchor: str = "start", bold: bool = False
    ) -> None:
        """Write words with their baseline at (x, y)."""
        weight = ' font-weight="bold"' if bold else ""
        self.parts.append(
            f'<text x="{number(x)}" y="{number(y)}" font-size="{number(size)}" text-anchor="{anchor}"{weight}>{escape(words)}</text>'
        )

    def line(
        self, x1: float, y1: float, x2: float, y2: float, *, colour: str = GREY, wide: float = 0.6, dash: str = ""
    ) -> None:
        """Draw a straight line."""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        ends = " ".join(f'{name}="{number(at)}"' for name, at in (("x1", x1), ("y1", y1), ("x2", x2), ("y2", y2)))
        self.parts.append(f'<line {ends} stroke="{colour}" stroke-width="{number(wide)}"{dashed}/>')

    def box(self, x: float, y: float, wide: float, high: float, *, at: int) -> None:
        """Fill a box with the colour and the hatching of a series."""
        ends = " ".join(
            f'{name}="{number(value)}"'
            for name, value in (("x", x), ("y", y), ("width", max(wide, 0.0)), ("height", max(high, 0.0)))
        )
        self.parts.append(f'<rect {ends} fill="{COLOURS[at % len(COLOURS)]}" stroke="{INK}" stroke-width="0.4"/>')
        if HATCHES[at % len(HATCHES)]:
            self.hatches.add(at % len(HATCHES))
            self.parts.append(f'<rect {ends} fill="url(#{self.key}-{at % len(HATCHES)})"/>')

    def curve(
        self, points: Sequence[tuple[float, float]], *, colour: str = INK, wide: float = 1.2, dash: str = ""
    ) -> None:
        """Draw a line through points."""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
        self.parts.append(
            f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="{number(wide)}"{dashed}/>'
        )

    def svg(self) -> str:
        """The drawing as one SVG element that names itself to readers who cannot see it."""
        stroke = 'stroke="#ffffff" stroke-width="1"'
        tile = 'width="6" height="6" patternUnits="userSpaceOnUse"'
        patterns = "".join(
            f'<pattern id="{self.key}-{at}" {tile}>{HATCHES[at].format(stroke)}</pattern>'
            for at in sorted(self.hatches)
        )
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(self.width)} {number(self.height)}"'
            f' width="{number(self.width)}" height="{number(self.height)}" role="img" aria-label={quoteattr(self.about)}'
            f' font-family="{FONT}" fill="{INK}">'
        )
        return f"{head}<defs>{patterns}</defs>{''.join(self.parts)}</svg>"
