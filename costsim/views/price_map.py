"""Break-even lines over two prices: where the cheapest option changes, named at each line, with today's prices marked."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import plotly.graph_objects as go

from costsim.analysis.breakeven import PriceMap
from costsim.units.arrays import Floats
from costsim.views.answer import called
from costsim.views.charts import COLOURS, as_typed, figure_of
from costsim.views.hover import END
from costsim.words import tr, trn

INK = "#6b6b6b"
LETTERS, ALONE = 20, 28
"""Of a line of a label: a phone's picture holds two of the first beside each other, nearly, or one of the second alone."""
STEEP = 3.0
"""A line that rises over more than so many times its width, both as shares of the picture, has a left and a right side."""
SHORT, LEVEL, EDGE = 0.3, 0.1, 0.4
"""Shares of the picture: a line too short for two labels, a rise too small to make room, and how near an edge cuts a label off."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class PriceAxis:
    """One axis of the picture: whose price it is, today's amount, and the unit that it is sold by, such as ``"$/therm"``."""

    name: str
    today: float
    unit: str


@dataclass(frozen=True, slots=True)
class BreakEvenLine:
    """Pairs of factors on both prices at which two options cost the same and no other costs less.

    `above` costs least above the line, `below` below it; of a `steep` line, to the right and to the left.
    """

    points: tuple[Point, ...]
    above: str
    below: str
    steep: bool

    def at(self, share: float) -> Point:
        """The point at a share of its way."""
        points = np.array(self.points)
        way = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
        x, y = (float(np.interp(way[-1] * share, way, points[:, axis])) for axis in (0, 1))
        return x, y


def break_even_lines(price_map: PriceMap) -> list[BreakEvenLine]:
    """Lines between the options that are cheapest at neighbouring pairs of prices, by straight lines between the costs there."""
    segments: dict[tuple[int, int], list[tuple[Point, Point]]] = {}
    rows, columns = price_map.winner.shape
    for row in range(rows - 1):
        for column in range(columns - 1):
            corners = [(row, column), (row, column + 1), (row + 1, column + 1), (row + 1, column), (row, column)]
            met: dict[tuple[int, int], list[Point]] = {}
            for corner, other in pairwise(corners):
                a, b = int(price_map.winner[corner]), int(price_map.winner[other])
                if a != b:
                    met.setdefault((min(a, b), max(a, b)), []).append(_crossing(price_map, *sorted((corner, other))))
            every = [point for points in met.values() for point in points]
            for both, points in met.items():
                if len(points) == 1:  # three options meet in this square
                    points.append((sum(x for x, _ in every) / len(every), sum(y for _, y in every) / len(every)))
                segments.setdefault(both, []).extend(zip(points[::2], points[1::2], strict=False))
    return [_sided(price_map, both, chain) for both, pieces in segments.items() for chain in _chained(pieces)]


def _crossing(price_map: PriceMap, corner: tuple[int, int], other: tuple[int, int]) -> Point:
    """Where the costs of the two that are cheapest at two neighbouring pairs of prices are the same between them."""
    a, b = price_map.winner[corner], price_map.winner[other]
    here, there = (float(price_map.costs[a][at] - price_map.costs[b][at]) for at in (corner, other))
    share = 0.5 if here == there else here / (here - there)
    (x, y), (x2, y2) = (
        (float(price_map.across_factors[at[1]]), float(price_map.up_factors[at[0]])) for at in (corner, other)
    )
    return x + share * (x2 - x), y + share * (y2 - y)


def _chained(pieces: list[tuple[Point, Point]]) -> list[list[Point]]:
    """Pieces that share ends as whole lines."""
    left, chains = [piece for piece in pieces if piece[0] != piece[1]], []
    while left:
        chain = list(left.pop())
        for _ in range(2):  # first onward, then from the other end
            while piece := next((piece_left for piece_left in left if chain[-1] in piece_left), None):
                left.remove(piece)
                chain.append(piece[1] if piece[0] == chain[-1] else piece[0])
            chain.reverse()
        chains.append(chain)
    return chains


def _sided(price_map: PriceMap, both: tuple[int, int], chain: list[Point]) -> BreakEvenLine:
    """A line with the names of its sides, by which of the two is cheaper on the side of the higher price at its middle."""
    across, up = np.array(price_map.across_factors), np.array(price_map.up_factors)
    points = np.array(sorted(chain))
    wide = np.ptp(points[:, 0]) / np.ptp(across)
    high = np.ptp(points[:, 1]) / np.ptp(up)
    steep = bool(high > STEEP * wide)
    line = BreakEvenLine(tuple(chain), "", "", steep)
    x, y = line.at(0.5)
    column, row = int(np.argmin(abs(across - x))), int(np.argmin(abs(up - y)))
    gap = price_map.costs[both[0]] - price_map.costs[both[1]]
    rise = gap[row, -1] - gap[row, 0] if steep else gap[-1, column] - gap[0, column]
    above, below = (both[1], both[0]) if rise > 0 else both
    return BreakEvenLine(line.points, price_map.options[above], price_map.options[below], steep)


def map_chart(price_map: PriceMap, across: PriceAxis, up: PriceAxis, order: Sequence[str] = ()) -> go.Figure:
    """Draw break-even lines over two prices, each named on both its sides, and today's prices.

    `order` of all options gives the mark of today the colour of the option that is cheapest there.
    """
    lines = break_even_lines(price_map)
    middle = tuple(size // 2 for size in price_map.winner.shape)
    best = price_map.options[int(price_map.winner[middle])]
    words = {"name": called(best)}
    title = (
        tr("{name} costs least to run today; beyond a line another does", **words)
        if lines
        else tr("{name} costs least to run at every price drawn", **words)
    )
    titles = [tr("{name} price, {unit}", name=side.name, unit=side.unit) for side in (across, up)]
    figure = figure_of(title, titles[0], titles[1], 420)
    prices = ", ".join(_pointed(axis, letter) for axis, letter in ((across, "x"), (up, "y")))
    for line in lines:
        same = tr("{one} and {other} cost the same", one=called(line.above), other=called(line.below))
        points = np.array(line.points) * (across.today, up.today)
        figure.add_trace(
            go.Scatter(
                x=points[:, 0],
                y=points[:, 1],
                name=as_typed(same),
                mode="lines",
                line={"color": INK, "width": 3},
                hovertemplate=f"%{{fullData.name}}<br>{prices}{END}",
            )
        )
        _name_sides(figure, line, price_map, (across.today, up.today))
    place = order.index(best) if best in order else price_map.options.index(best)
    mark = {"color": COLOURS[place % len(COLOURS)], "size": 15, "line": {"color": "#000000", "width": 2}}
    figure.add_trace(
        go.Scatter(
            x=[across.today],
            y=[up.today],
            mode="markers+text",
            name=tr("today"),
            text=[tr("today")],
            textposition="top center" if lines and max(line.at(0.5)[1] for line in lines) < 1.0 else "bottom center",
            textfont={"size": 13},
            marker=mark,
            hovertemplate=f"{as_typed(tr('today: {name}', name=best))}<br>{prices}{END}",
        )
    )
    for update, axis, factors in (
        (figure.update_xaxes, across, price_map.across_factors),
        (figure.update_yaxes, up, price_map.up_factors),
    ):
        update(range=[axis.today * min(factors), axis.today * max(factors)], tickformat=".3~g", nticks=7)
    figure.update_layout(hovermode="closest", showlegend=False)
    return figure


def _pointed(axis: PriceAxis, letter: str) -> str:
    """A price that is pointed at, as plotly fills it in: ``"Gas $%{x:,.3r}/therm"``."""
    coin, _, sold_by = axis.unit.partition("/")
    return as_typed(f"{axis.name} {coin}%{{{letter}:,.3r}}/{sold_by}")


def left_out_of_map(axes: Sequence[PriceAxis]) -> str:
    """Say of which fuels no map can be drawn: half and twice a price of 0 are 0; empty where there are none."""
    names = [called(axis.name) for axis in axes if axis.today == 0]
    if not names:
        return ""
    return trn(
        "{names} has a price of 0, so the picture of two prices leaves it out.",
        "{names} have a price of 0, so the picture of two prices leaves them out.",
        len(names),
        names=", ".join(names),
    )


def _name_sides(figure: go.Figure, line: BreakEvenLine, price_map: PriceMap, today: Point) -> None:
    """Write beside a line who costs least on either side, where it is far from today's mark and a slanted line leaves room."""
    lows = [float(min(factors)) for factors in (price_map.across_factors, price_map.up_factors)]
    spans = [float(np.ptp(factors)) or 1.0 for factors in (price_map.across_factors, price_map.up_factors)]

    def placed(point: Point) -> Floats:
        """A point as shares of the picture."""
        return np.array([(coordinate - low) / span for coordinate, low, span in zip(point, lows, spans, strict=True)])

    point = max(map(line.at, (0.5, 0.3, 0.7)), key=lambda place: float(np.hypot(*(placed(place) - placed((1.0, 1.0))))))
    x, y = placed(point)
    first, last = placed(min(line.points)), placed(max(line.points))
    wide = {"above": line.above, "below": line.below}
    slope = float(last[1] - first[1])
    edge, slanted = not EDGE < x < 1.0 - EDGE, abs(slope) >= LEVEL and not line.steep
    if (short := np.hypot(*(last - first)) < SHORT) or (edge and slanted):  # both in one label, where there is room
        sides = ("left" if x < 0.5 else "right", "bottom" if y < 0.5 else "top")
        if not short:
            sides = (sides[0], "top" if (slope > 0) == (x < 0.5) else "bottom")
        text = (
            tr("right of this line {above} costs least, left of it {below}", **wide)
            if line.steep
            else tr("above this line {above} costs least, below it {below}", **wide)
        )
        _label(figure, text, point, today, ALONE, sides)
        return
    if line.steep:
        _label(figure, tr("right of this line {above} costs least", **wide), point, today, LETTERS, ("left", "middle"))
        _label(figure, tr("left of this line {below} costs least", **wide), point, today, LETTERS, ("right", "middle"))
        return
    sides = ("right", "left") if slope > 0 else ("left", "right")
    if not slanted:
        sides = ("center", "center") if not edge else ("left", "left") if x < 0.5 else ("right", "right")
    letters = LETTERS if slanted else ALONE
    _label(figure, tr("above this line {above} costs least", **wide), point, today, letters, (sides[0], "bottom"))
    _label(figure, tr("below this line {below} costs least", **wide), point, today, letters, (sides[1], "top"))


def _label(figure: go.Figure, text: str, point: Point, today: Point, letters: int, anchors: tuple[str, str]) -> None:
    """Write a few words at a point of factors, off it by a few pixels on the side to which they are anchored."""
    figure.add_annotation(
        x=point[0] * today[0],
        y=point[1] * today[1],
        text="<br>".join(map(as_typed, textwrap.wrap(text, letters))),
        xanchor=anchors[0],
        yanchor=anchors[1],
        xshift={"left": 6, "right": -6}.get(anchors[0], 0),
        yshift={"bottom": 5, "top": -5}.get(anchors[1], 0),
        align=anchors[0],
        showarrow=False,
        font={"size": 13},
    )
