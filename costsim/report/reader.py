"""A report as its reader takes it: one system of units, and no value that rests on memory alone without a line to confirm it."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

from costsim.report.blocks import Block, Heading, Items, Report, Table, table
from costsim.views import wording
from costsim.views.size_rows import CONFIRM
from costsim.words import each, tr

LINE = "_" * 12
MEMORY = ("values from memory", "value from memory", "from memory")
"""Words by which a source says that nobody saw it; a language says them alike wherever they stand."""


@functools.cache
def _memory(*words: str) -> re.Pattern[str]:
    return re.compile("|".join(rf"\b{re.escape(word)}\b" for word in words))


def to_confirm(text: str) -> str:
    """Put a line to confirm it in the place of a value from memory.

    Examples
    --------
    >>> to_confirm("EN 12828 (value from memory)")
    'EN 12828 (to be confirmed by ____________)'
    """
    return _memory(*each(MEMORY)).sub(tr(CONFIRM), text)


def for_reader(report: Report) -> Report:
    """Put a report into its reader's units, and what rests on memory onto a list that is confirmed before anybody signs."""
    waiting = tuple(dict.fromkeys(_waiting(report.blocks)))

    def said(text: str) -> str:
        return to_confirm(wording.without_tables(wording.for_reader(text, report.system)))

    done: Report = _mapped(report, said)
    if not waiting:
        return done
    rows = [[*map(said, pair), ""] for pair in waiting]
    home = not report.inspect  # nobody signs a household's page
    listed = table(
        "", [tr("what"), tr("where it is said to stand"), tr("confirmed by, date")], rows, "wWw",
        tr("These values could not be checked against the source itself: your licensed trades know the local edition.")
        if home
        else tr("These values could not be checked against the source itself. Look each up in the locally adopted edition before you sign."),
    )  # fmt: skip
    head = tr("Values for your trades to check") if home else tr("To be confirmed before anybody signs")
    return replace(done, sheet=(*done.sheet, Heading(head), listed))


def count_to_confirm(blocks: tuple[Block, ...]) -> int:
    """Number of statements that wait to be confirmed."""
    return len(dict.fromkeys(_waiting(blocks)))


def _waiting(blocks: tuple[Block, ...]) -> Iterator[tuple[str, str]]:
    """What rests on memory, and its source: rows of tables and cautions."""
    memory = _memory(*each(MEMORY))
    heading = ""
    for block in blocks:
        heading = block.text if isinstance(block, Heading) else heading
        rows: tuple[tuple[str, ...], ...] = ()
        if isinstance(block, Table):
            rows = block.rows
            if memory.search(block.note):
                yield block.title or heading, block.note
        elif isinstance(block, Items):
            rows = tuple((lead, *rest) for lead, *rest in block.items)
        for row in rows:
            for cell in row:
                if match := memory.search(cell):
                    before, stop, _ = cell[: match.start()].rpartition(". ")
                    yield row[0], cell.removeprefix(f"{before}{stop}")
                    break


def _mapped(value: Any, change: Callable[[str], str]) -> Any:
    """Change every text of a report, but drawings."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, tuple):
        return tuple(_mapped(part, change) for part in value)
    if is_dataclass(value) and not isinstance(value, type):
        kept = ("kind", "svg", "aligned", "system", "paper")
        return replace(
            value, **{f.name: _mapped(getattr(value, f.name), change) for f in fields(value) if f.name not in kept}
        )
    return value
