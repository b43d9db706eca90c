"""Columns that hold the same use twice: as a copy, as the sum of the others, or as the register beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from costsim.bills.numbers import MOST_AMOUNT, decimal_mark, split_amount, to_number
from costsim.bills.parts import total_among
from costsim.units.arrays import Floats

if TYPE_CHECKING:
    from costsim.bills.columns import Table

LEAST_NUMBER, LEAST_WHOLE = 1e4, 10.0


def numbers_at(table: Table, at: int) -> Floats:
    """Numbers of a column by its place (n,); 0 where a cell holds none, at most what a meter counts."""
    amounts = [split_amount(cell) for cell in table.at(at)]
    points = all("." in text for text in table.column("start" if "start" in table.places else "date"))
    mark, _ = decimal_mark([amount[0] for amount in amounts if amount], table.comma or points)
    numbers = [to_number(amount[0], "." if mark == "?" else mark) if amount else 0.0 for amount in amounts]
    return np.clip(np.nan_to_num(np.array(numbers, dtype=np.float64)), -MOST_AMOUNT, MOST_AMOUNT)


def distinct(table: Table, named: list[int]) -> list[int]:
    """Columns without those that hold nothing or repeat another one; alone the total, where one is the sum of the rest."""
    values = {at: numbers_at(table, at) for at in named}
    kept: list[int] = []
    several = sum(bool(np.ptp(values[at])) for at in named)
    for at in named:
        if several and len(table.rows) > 2 and not np.ptp(values[at]) and values[at][0] >= LEAST_NUMBER:
            continue  # the same number in each row is that of a meter
        if values[at].any() and not any(np.allclose(values[at], values[other]) for other in kept):
            kept.append(at)
    kept = [at for at in kept if not any(_counts(values[at], values[other]) for other in kept)]
    for at in kept:
        rest = sum(values[other] for other in kept if other != at)
        if len(kept) > 2 and np.allclose(values[at], rest, rtol=1e-3, atol=1e-6):
            table.notes.append(f"'{table.headings[at]}' is the sum of the other columns of use")
            return [at]
    total = total_among({at: table.headings[at] for at in kept}, values) if len(kept) > 1 else None
    if total is not None:
        table.notes.append(f"'{table.headings[total]}' holds the other columns of use, by its heading and amounts")
        return [total]
    return kept or named[:1]


def _counts(states: np.ndarray, use: np.ndarray) -> bool:
    """Whether a column is the register beside the use: from row to row it rises, or falls, by what was used."""
    whole = bool((states == np.round(states)).all())  # whole numbers are off by one at most
    off = 1.01 if whole and np.median(use) > LEAST_WHOLE else 0.011
    steps = np.diff(states)
    return len(states) > 3 and any(
        bool((moved >= 0).all() and used.any() and np.allclose(moved, used, rtol=1e-3, atol=off))
        for moved, used in ((steps, use[1:]), (-steps, use[:-1]))
    )
