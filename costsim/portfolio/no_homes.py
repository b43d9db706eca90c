"""Rows of a table that are no homes: a line of totals below it, and rows without a figure."""

from __future__ import annotations

import re
from collections.abc import Sequence

from costsim.portfolio.columns import Layout

_TOTALS = re.compile(
    r"(?:(?:grand|sub)[ -]?)?(?:totals?|sums?|averages?|avg|means?|medians?|minimum|maximum|min|max|summe|gesamt)"
    r"(?: (?:of|for))?(?: all)?(?: (?:homes|houses|rows))?[\s.:]*(?:\([^()]*\))?"
    r"|.+ (?:sub-?)?totals?[\s.:]*",
    re.IGNORECASE,
)
"""Names of lines that spreadsheets add below their rows, and below each group of them; common practice, no source."""


def no_home(layout: Layout, cells: Sequence[str]) -> tuple[str, str, str] | None:
    """Column, value and reason where a row is no home; None where it is one, or has more or fewer cells than the heading.

    Parameters
    ----------
    layout : Layout
        Of the whole table.
    cells : sequence of str
        One row; what `costsim.portfolio.loads` filled in may stand behind it.

    Examples
    --------
    >>> layout = Layout(("home", "house.gains [W]"), 0, None, ())
    >>> [no_home(layout, (name, "5")) is None for name in ("TOTAL", "Average:", "Valley Total", "Sumner St", "Total Ave 3")]
    [False, False, False, True, True]
    """
    if len(cells) != len(layout.headings):
        return None
    name = cells[layout.home].strip()
    if _TOTALS.fullmatch(name):
        return layout.headings[layout.home], name, "is a line of totals, not a home; give it another name if it is one"
    if all(cells):
        return None
    figures = [at for at, _ in layout.columns if at not in layout.filled] + [at for at, _ in layout.uses]
    if not figures or any(cells[at].strip() for at in figures):
        return None
    why = "has no figure of its own, and would be counted as the study's house; fill in one of them"
    return ", ".join(layout.headings[at] for at in figures[:4]) + ", …" * (len(figures) > 4), "", why
