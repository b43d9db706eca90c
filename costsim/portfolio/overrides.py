"""One home's cells put into the study's plain data, in place of what they override."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from typing import Any

from costsim.portfolio.columns import RIVALS, Column, Layout


def overridden(study: dict[str, Any], layout: Layout, texts: Sequence[str]) -> dict[str, Any]:
    """The study's plain data with one home's values in place.

    Parameters
    ----------
    study : dict
        As typed in the study; left as it is.
    layout : Layout
    texts : sequence of str
        What stands in each column of the table, one for each of `layout.columns`; an empty one leaves the study's own value. An
        output takes the place of the study's breaker too, which would hold another size.
    """
    changed = copy.deepcopy(study)
    given = {"", *(column.key for (_, column), text in zip(layout.columns, texts, strict=True) if text)}
    for (_, column), text in zip(layout.columns, texts, strict=True):
        if not text:
            continue
        node: Any = changed
        for part in column.path[:-1]:
            node = node[part]
        node[column.path[-1]] = column.text(text)
        for rival in RIVALS.get(column.key, ()):
            node.pop(rival.split(".")[1], None)
        if _breaker_of(column) not in given:
            node.pop("breaker", None)
    return changed


def _breaker_of(column: Column) -> str:
    """The breaker that goes with the output that a column gives: the study's belongs to another size; empty for other columns."""
    sizes = "source" in column.path and column.path[-1] == "output"
    return f"{column.key.removesuffix('output')}breaker" if sizes else ""


def breakers_left_out(study: Mapping[str, Any], layout: Layout) -> list[dict[str, str]]:
    """Columns of outputs that take the place of a breaker typed in the study: the heading, and that breaker."""
    breakers = []
    for _, column in layout.columns:
        if _breaker_of(column) not in ("", *layout.keys):
            node: Any = study
            for part in column.path[:-1]:
                node = node[part]
            if "breaker" in node:
                breakers.append({"column": column.heading, "key": column.key, "breaker": str(node["breaker"])})
    return breakers
