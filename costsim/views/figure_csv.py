"""The points of a figure as rows for a spreadsheet, for those who cannot see it or want to reckon on."""

from __future__ import annotations

import csv
import html
import io
from collections.abc import Iterator
from typing import Any

import numpy as np

from costsim.views.tables import safe_text


def figure_csv(figure: Any) -> str:
    """All points of a figure as CSV: series and places, the columns named by the axes.

    Parameters
    ----------
    figure : Figure
        Of bars, lines and maps of colour, the latter with a text for each cell.

    Returns
    -------
    str
        With six significant figures, in the units of the axes; a bar that does not begin at zero has its begin behind its end.
    """
    layout, text = figure.layout, io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    bars = [getattr(trace, "colorbar", None) for trace in figure.data]
    value = next((bar.title.text for bar in bars if bar and bar.title.text), "")
    writer.writerow(["", _words(layout.xaxis.title.text), _words(layout.yaxis.title.text), _words(value)])
    for trace in figure.data:
        writer.writerows(_rows(trace))
    return text.getvalue()


def _rows(trace: Any) -> Iterator[list[str]]:
    name = _words(trace.name)
    if trace.type == "heatmap":
        for words, values in zip(np.asarray(trace.text).T, np.asarray(trace.z).T, strict=True):
            yield from ([name, _words(word), "", _cell(z)] for word, z in zip(words, values, strict=True))
    elif trace.hoverinfo != "skip":
        y = trace.y
        x = trace.x if trace.x is not None else [trace.x0 + at * trace.dx for at in range(len(y))]
        base = getattr(trace, "base", None)
        for at, (a, b) in enumerate(zip(x, y, strict=True)):
            if base is None:
                yield [name, _cell(a), _cell(b), ""]
            else:
                begin = float(np.atleast_1d(base)[0 if np.ndim(base) == 0 else at])
                yield [name, _cell(begin + a), _cell(b), _cell(begin)]


def _words(text: Any) -> str:
    """A name without plotly's markup, which no spreadsheet runs."""
    return safe_text(html.unescape(str(text or "").replace("<br>", " ")))


def _cell(value: Any) -> str:
    if isinstance(value, str):
        return _words(value)
    if isinstance(value, np.datetime64):
        return str(value)[5:16].replace("T", " ")  # the year stands for any of its length
    return f"{float(value):.6g}"
