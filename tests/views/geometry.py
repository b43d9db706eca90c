"""Reads a drawing's shapes back from its SVG, to ask of it what a reader would: what touches what, what lies where."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from itertools import pairwise

Point = tuple[float, float]


@dataclass(frozen=True)
class Shape:
    """One shape of a drawing. A circle has its centre as its only point."""

    kind: str
    points: tuple[Point, ...]
    radius: float = 0.0
    wide: float = 0.0
    dash: str = ""
    fill: str = ""
    words: str = ""
    size: float = 0.0

    @property
    def edges(self) -> list[tuple[Point, Point]]:
        """Its straight edges; a closed shape's last one too."""
        closed = self.kind in ("polygon", "rect")
        return list(pairwise([*self.points, *(self.points[:1] if closed else ())]))

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom."""
        across, down = zip(*self.points, strict=True)
        r = self.radius
        return min(across) - r, min(down) - r, max(across) + r, max(down) + r

    def away(self, at: Point) -> float:
        """Distance of a point from its outline."""
        if self.kind == "circle":
            return abs(math.dist(at, self.points[0]) - self.radius)
        return min(off(at, one, other) for one, other in self.edges)


def off(at: Point, one: Point, other: Point) -> float:
    """Distance of a point from a straight piece."""
    dx, dy = other[0] - one[0], other[1] - one[1]
    long = dx * dx + dy * dy
    share = max(0.0, min(1.0, ((at[0] - one[0]) * dx + (at[1] - one[1]) * dy) / long)) if long else 0.0
    return math.dist(at, (one[0] + share * dx, one[1] + share * dy))


def shapes_of(svg: str) -> list[Shape]:
    """All shapes of an SVG, in the order in which they are drawn."""
    if not svg.lstrip().startswith("<svg"):
        svg = f"<svg>{svg}</svg>"
    return [shape for node in ET.fromstring(svg).iter() if (shape := _shape(node)) is not None]


def _shape(node: ET.Element) -> Shape | None:
    kind, get = node.tag.rpartition("}")[2], node.attrib.get
    more = {"wide": float(get("stroke-width", "0")), "dash": get("stroke-dasharray", ""), "fill": get("fill", "")}
    if kind in ("polyline", "polygon"):
        points = [tuple(map(float, pair.split(","))) for pair in node.attrib["points"].split()]
        return Shape(kind, tuple(points), **more)  # type: ignore[arg-type]
    if kind == "rect":
        x, y, wide, high = (float(node.attrib[key]) for key in ("x", "y", "width", "height"))
        corners = ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))
        return Shape(kind, corners, radius=0.0, **more)
    if kind == "circle":
        return Shape(kind, ((float(get("cx", "0")), float(get("cy", "0"))),), radius=float(get("r", "0")), **more)
    if kind == "line":
        ends = ((float(get("x1", "0")), float(get("y1", "0"))), (float(get("x2", "0")), float(get("y2", "0"))))
        return Shape(kind, ends, **more)
    if kind == "text":
        return Shape(
            kind,
            ((float(get("x", "0")), float(get("y", "0"))),),
            words=node.text or "",
            size=float(get("font-size", "0")),
            **more,
        )
    return None


def mirrored(shapes: list[Shape], *, x: float | None = None, y: float | None = None) -> bool:
    """Whether shapes are the same when turned over about an upright line, a level one, or both (half a turn)."""

    def key(shape: Shape, turn: bool) -> tuple[object, ...]:
        points = [(2 * x - px if turn and x is not None else px, 2 * y - py if turn and y is not None else py)
                  for px, py in shape.points]  # fmt: skip
        return (
            shape.kind,
            round(shape.radius, 2),
            tuple(sorted((round(a, 2) + 0.0, round(b, 2) + 0.0) for a, b in points)),
        )

    return sorted(key(one, False) for one in shapes) == sorted(key(one, True) for one in shapes)


def even(values: list[float], near: float = 0.02) -> bool:
    """Whether values go up or down by even steps."""
    steps = [after - before for before, after in pairwise(values)]
    return not steps or (max(steps) - min(steps) <= near and abs(steps[0]) > near)
