"""Columns whose heading has no unit while their cells have: "Design load" over "38 kBtu/h"."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial

from costsim.portfolio.columns import MOST_COLUMNS, UnitOfCells
from costsim.portfolio.fuel_columns import may_be_use, use_in_unit, use_without_unit
from costsim.portfolio.headings import is_path, known_words, parted, plain_heading, reads
from costsim.portfolio.own_columns import is_own
from costsim.portfolio.rows import is_number, plain_cell
from costsim.study.case import Case
from costsim.units.reading import unit_words

AMOUNT = re.compile(r"([-+]?\d[\d.,']*)\s*([^\d\s].*)")
"""A number and what stands behind it."""


@dataclass(slots=True)
class _Found:
    """What one column's cells have: units, and numbers without one."""

    able: Mapping[str, Callable[[str], bool]]
    lacks: str = ""
    units: dict[str, None] = field(default_factory=dict)
    amounts: int = 0
    bare: int = 0
    first_bare: str = ""

    def add(self, row: int, cell: str, case: Case) -> None:
        """Note a cell."""
        match = AMOUNT.fullmatch(plain_cell(cell, case))
        if is_number(plain_cell(cell, case)):
            self.bare += 1
            self.first_bare = self.first_bare or f"row {row}: {cell.strip()}"
        elif match:
            unit = unit_words(match[2])
            if unit in self.units or any(reads_it(unit) for reads_it in self.able.values()):
                self.units[unit] = None
                self.amounts += 1

    def told(self) -> UnitOfCells:
        """The unit, where every number has one and all are of one kind; else how many have none."""
        kinds = [key for key, reads_it in self.able.items() if all(map(reads_it, self.units))]
        if self.amounts and not self.bare and len(kinds) == 1:
            return UnitOfCells(next(iter(self.units)), several=len(self.units) > 1)
        return UnitOfCells(
            "",
            f", and {self.bare} of its cells have none either, first {self.first_bare}"
            * bool(self.bare and self.amounts),
            next(iter(self.units), self.lacks) if self.bare else "",
        )


def units_of_cells(
    headings: Sequence[str], rows: Iterable[tuple[int, Sequence[str]]], case: Case
) -> dict[int, UnitOfCells]:
    """Units that stand in the cells of columns whose heading has none, by number of the column.

    Parameters
    ----------
    headings : sequence of str
        Of a table with more than may be read (`MOST_COLUMNS`), which is refused, none is looked at.
    rows : iterable of (number, cells)
        Read only where there is such a column.
    case : Case
    """
    known = dict(known_words(case))
    units: dict[int, _Found] = {}
    for at, heading in enumerate(headings if len(headings) <= MOST_COLUMNS else ()):
        if is_path(heading) or parted(heading)[1]:
            continue
        able: dict[str, Callable[[str], bool]] = {
            key: partial(reads, measured)
            for (key, word), measured in known.items()
            if word == plain_heading(heading) and measured is not None
        }
        if able:
            units[at] = _Found(able)
        elif is_own(heading, case) and may_be_use(heading, case):
            units[at] = _Found({"use": partial(use_in_unit, heading, case=case)}, use_without_unit(heading, case))
    for number, (line, row) in enumerate(rows, 2) if units else ():
        for at, unit in units.items():
            if at < len(row) and row[at].strip():
                unit.add(line or number, row[at], case)
    return {at: unit.told() for at, unit in units.items()}
