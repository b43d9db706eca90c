"""A sheet for line drawings in SVG that keeps account of its labels and pipes, so that a test can see that none collide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from xml.sax.saxutils import escape, quoteattr

FONT = "Libertinus Serif, Georgia, serif"
INK, PAPER = "#1a1a1a", "#ffffff"
_WIDE = {"upper": 0.74, "digit": 0.56, "lower": 0.56, "space": 0.32, "other": 0.62}
"""Width of a letter in sizes of its print, on the safe side of the fonts above."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle that something fills."""

    left: float
    top: float
    right: float
    bottom: float


def text_width(text: str, size: float) -> float:
    """Width that a text may take.

    Examples
    --------
    >>> round(text_width("MV 4", 10), 1)
    23.6
    """
    kinds = (
        "upper" if letter.isupper() else "digit" if letter.isdigit() else "lower" if letter.islower() else
        "space" if letter in " .,:;'|il" else "other"
        for letter in text
    )  # fmt: skip
    return size * sum(_WIDE[kind] for kind in kinds)


def shortened(text: str, size: float, most: float) -> str:
    """A text that fits a width, cut with an ellipsis where it must be.

    Examples
    --------
    >>> shortened("Condensing propane boiler", 10, 60)
    'Condensin…'
    """
    if text_width(text, size) <= most:
        return text
    while text and text_width(text + "…", size) > most:
        text = text[:-1]
    return text.rstrip() + "…"


def number(value: float) -> str:
    """Write a coordinate with fixed decimals, so that the same drawing gives the same bytes.

    Examples
    --------
    >>> number(1.0), number(2.345), number(-0.0001)
    ('1', '2.35', '0')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@dataclass(slots=True)
class Sheet:
    """Shapes and labels on a sheet; `labels`, `pipes` and `symbols` say where they are."""

    width: float
    height: float = 0.0
    parts: list[str] = field(default_factory=list)
    labels: list[tuple[str, Box]] = field(default_factory=list)
    pipes: list[tuple[Point, Point]] = field(default_factory=list)
    symbols: list[Box] = field(default_factory=list)

    def label(
        self, x: float, y: float, text: str, *, size: float = 10.5, anchor: str = "start", most: float = 1e9,
        bold: bool = False,
    ) -> None:  # fmt: skip
        """Write a text with its baseline at (x, y), cut to a width."""
        text = shortened(text, size, most)
        wide = text_width(text, size)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        self.labels.append((text, Box(left, y - 0.78 * size, left + wide, y + 0.24 * size)))
        weight = ' font-weight="bold"' if bold else ""
        self.parts.append(
            f'<text x="{number(x)}" y="{number(y)}" font-size="{number(size)}" text-anchor="{anchor}"{weight}>{escape(text)}</text>'
        )

    def pipe(self, points: Sequence[Point], *, cold: bool = False) -> None:
        """Draw a pipe through points: a full line for supply, a dashed one for return."""
        self.pipes += list(pairwise(points))
        dash = ' stroke-dasharray="7 3.5"' if cold else ""
        self._path(points, wide=1.8, more=dash)

    def line(self, points: Sequence[Point], *, wide: float = 0.9, dash: str = "") -> None:
        """Draw a thin line, such as a signal or a part of a symbol."""
        self._path(points, wide=wide, more=f' stroke-dasharray="{dash}"' if dash else "")

    def _path(self, points: Sequence[Point], *, wide: float, more: str = "") -> None:
        path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
        self.parts.append(f'<polyline points="{path}" fill="none" stroke="{INK}" stroke-width="{number(wide)}"{more}/>')

    def shape(self, points: Sequence[Point], *, filled: bool = False, wide: float = 1.2) -> None:
        """Draw a closed shape on white, or filled with ink."""
        path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
        self.parts.append(
            f'<polygon points="{path}" fill="{INK if filled else PAPER}" stroke="{INK}" stroke-width="{number(wide)}"/>'
        )

    def circle(self, x: float, y: float, radius: float) -> None:
        """Draw a circle on white."""
        self.symbols.append(Box(x - radius, y - radius, x + radius, y + radius))
        self.parts.append(
            f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(radius)}" fill="{PAPER}" stroke="{INK}" stroke-width="1.2"/>'
        )

    def rect(self, box: Box, *, round_by: float = 0.0, wide: float = 1.4) -> None:
        """Draw a rectangle on white."""
        self.symbols.append(box)
        self.parts.append(
            f'<rect x="{number(box.left)}" y="{number(box.top)}" width="{number(box.right - box.left)}"'
            f' height="{number(box.bottom - box.top)}" rx="{number(round_by)}" fill="{PAPER}" stroke="{INK}"'
            f' stroke-width="{number(wide)}"/>'
        )

    def arrow(self, x: float, y: float, towards: str) -> None:
        """Put a flow arrow on a pipe."""
        dx, dy = {"right": (1, 0), "left": (-1, 0), "up": (0, -1), "down": (0, 1)}[towards]
        tip = (x + 5 * dx, y + 5 * dy)
        base = [(x - 4 * dx + 3.6 * s * dy, y - 4 * dy + 3.6 * s * dx) for s in (1, -1)]
        self.shape([tip, *base], filled=True, wide=0.4)

    def svg(self, about: str) -> str:
        """The sheet as one SVG element that tells its content to readers who cannot see it."""
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(self.width)} {number(self.height)}"'
            f' width="{number(self.width)}" height="{number(self.height)}" role="img" aria-label={quoteattr(about)}'
            f' font-family="{FONT}" fill="{INK}">'
        )
        return f"{head}<desc>{escape(about)}</desc>{''.join(self.parts)}</svg>"
