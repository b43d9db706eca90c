"""Columns that need a whole study of their own: one is made ready for each set of values that several homes share."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import replace

from costsim.errors import InputError
from costsim.portfolio.columns import Column
from costsim.portfolio.homes import Block
from costsim.portfolio.overrides import overridden
from costsim.portfolio.plan import PortfolioPlan, prepare
from costsim.portfolio.rows import not_a_value
from costsim.study.case import case_from

WORTH, KEPT = 6, 16
"""So many homes are worth making a study ready for them; so many studies are kept from block to block."""
MOST_BLANK, ONE_BY_ONE = 12, (-1,)
"""So many sets of empty columns have a study made ready for them in a block."""
_lock = threading.Lock()


def blank_groups(recipe: PortfolioPlan, block: Block) -> list[tuple[tuple[int, ...], list[int]]]:
    """Rows of a block by the columns they leave empty, which take the study's own values; whole rows first."""
    width = len(recipe.layout.headings)
    groups: dict[tuple[int, ...], list[int]] = {(): []}
    for place, row in enumerate(block.rows):
        blank: tuple[int, ...] = ()
        if not all(row) and len(row) == width:
            blank = tuple(at for at, _ in recipe.layout.columns if not row[at].strip())
        groups.setdefault(blank, []).append(place)
    by_blanks: list[tuple[tuple[int, ...], list[int]]] = []
    few: list[int] = []
    for blank, places in groups.items():
        if not blank or (len(places) >= WORTH and len(by_blanks) <= MOST_BLANK):
            by_blanks += [(blank, places)] if places else []
        else:
            few += places
    return [*by_blanks, *([(ONE_BY_ONE, sorted(few))] if few else [])]


def without(recipe: PortfolioPlan, blank: tuple[int, ...]) -> PortfolioPlan | None:
    """The study made ready for homes that leave some columns empty; None where that cannot be, or nothing is left out."""
    if not blank or blank == ONE_BY_ONE:
        return None
    key = ("", *map(str, blank))
    with _lock:
        if key not in recipe.variants:
            layout = recipe.layout
            rest = tuple(column for column in layout.columns if column[0] not in blank)
            plan = prepare(recipe.case, recipe.weather, replace(layout, columns=rest, kept=()))
            recipe.variants[key] = plan if plan.columns == recipe.columns else None
        return recipe.variants[key]


def shared_values(
    recipe: PortfolioPlan, block: Block, rows: Sequence[int]
) -> tuple[list[tuple[tuple[str, ...], list[int]]], list[int]]:
    """Rows of a block that have the same values in all columns that need a study of their own.

    Returns
    -------
    list of (values, places)
        Of at least `WORTH` rows each.
    list of int
        Places of all others.
    """
    columns = _columns(recipe)
    if not columns or set(recipe.slow) - {column.key for _, column in columns}:
        return [], list(rows)
    groups: dict[tuple[str, ...], list[int]] = {}
    others: list[int] = []
    for place in rows:
        row = block.rows[place]
        whole = len(row) == len(recipe.layout.headings)
        (groups.setdefault(tuple(row[at].strip() for at, _ in columns), []) if whole else others).append(place)
    shared = []
    for values, places in groups.items():
        if len(places) >= WORTH:
            shared.append((values, places))
        else:
            others += places
    return shared, sorted(others)


def variant(recipe: PortfolioPlan, values: Sequence[str]) -> PortfolioPlan | None:
    """The study with these values made ready for homes that differ in the other columns; None where that cannot be."""
    key = tuple(values)
    with _lock:
        if key not in recipe.variants:
            while len(recipe.variants) >= KEPT:
                recipe.variants.pop(next(iter(recipe.variants)))
            recipe.variants[key] = _prepared(recipe, key)
        return recipe.variants[key]


def _columns(recipe: PortfolioPlan) -> tuple[tuple[int, Column], ...]:
    return tuple((at, column) for at, column in recipe.layout.columns if column.key in recipe.slow)


def _prepared(recipe: PortfolioPlan, values: tuple[str, ...]) -> PortfolioPlan | None:
    layout, case = recipe.layout, recipe.case
    apart = _columns(recipe)
    if any(not_a_value(column, text, case) for (_, column), text in zip(apart, values, strict=True)):
        return None
    own = replace(layout, columns=apart, kept=())
    rest = tuple(column for column in layout.columns if column not in apart)
    try:
        changed = case_from(overridden(case.typed, own, values), file=case.file, files=case.files)
        plan = prepare(changed, recipe.weather, replace(layout, columns=rest, kept=()))
    except InputError:
        return None
    return None if plan.slow or plan.columns != recipe.columns else plan
