"""The points of a figure as rows for a spreadsheet, for those who cannot see it or want to reckon on."""

from __future__ import annotations

import csv
import html
import io
from collections.abc import Iterator
from typing import Any

import numpy as np

from costsim.views.tables import safe_text

HEADINGS = ("series", "across", "up", "value", "begins at", "note")


def figure_csv(figure: Any) -> str:
    """All points of a figure as CSV: series, place across and up, the value of a map of colour, where a bar begins, what stands at a point.

    Parameters
    ----------
    figure : Figure
        Of bars, lines and maps of colour.

    Returns
    -------
    str
        With six significant figures. Axes are named in the heading; a series of an axis of its own names that beside itself.
    """
    layout, text = figure.layout, io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    bars = [getattr(trace, "colorbar", None) for trace in figure.data]
    value = next((bar.title.text for bar in bars if bar and bar.title.text), "")
    named = (_axis(layout, "xaxis"), _axis(layout, "yaxis"), value)
    heads = [f"{head}: {_words(name)}" if name else head for head, name in zip(HEADINGS[1:4], named, strict=True)]
    writer.writerow([HEADINGS[0], *heads, *HEADINGS[4:]])
    for trace in figure.data:
        own = str(trace.yaxis or "y").replace("y", "yaxis")
        beside = layout[own].title.text if own != "yaxis" else ""
        name = _words(f"{trace.name or ''} ({beside})" if beside else trace.name)
        writer.writerows([name, *row] for row in _rows(trace))
    return text.getvalue()


def _axis(layout: Any, which: str) -> str:
    """What the axis of that kind says, the first that says anything."""
    titles = (str(layout[axis].title.text or "") for axis in (which, f"{which}2") if axis in layout)
    return next(filter(None, titles), "")


def _rows(trace: Any) -> Iterator[list[str]]:
    if trace.type == "heatmap":
        across, up = (
            range(np.shape(trace.z)[1 - axis]) if at is None else at for axis, at in ((0, trace.x), (1, trace.y))
        )
        for i, a in enumerate(across):
            for j, b in enumerate(up):
                yield [_cell(a), _cell(b), _cell(trace.z[j][i]), "", _words(trace.text[j][i])]
    elif trace.hoverinfo != "skip":
        y = trace.y
        x = trace.x if trace.x is not None else [trace.x0 + at * trace.dx for at in range(len(y))]
        base, notes = getattr(trace, "base", None), trace.text
        for at, (a, b) in enumerate(zip(x, y, strict=True)):
            note = "" if notes is None else _words(notes if isinstance(notes, str) else notes[at])
            if base is None:
                yield [_cell(a), _cell(b), "", "", note]
            else:
                begin = float(np.atleast_1d(base)[0 if np.ndim(base) == 0 else at])
                yield [_cell(begin + a), _cell(b), "", _cell(begin), note]


def _words(text: Any) -> str:
    """A name without plotly's markup, which no spreadsheet runs."""
    return safe_text(html.unescape(str(text or "").replace("<br>", " ")))


def _cell(value: Any) -> str:
    if isinstance(value, str):
        return _words(value)
    if isinstance(value, np.datetime64):
        return str(value)[5:16].replace("T", " ")  # the year stands for any of its length
    return f"{float(value):.6g}"
