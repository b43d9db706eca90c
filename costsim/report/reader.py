"""A report as its reader takes it: one system of units, and no value that rests on memory alone without a line to confirm it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

from costsim.report.blocks import Block, Heading, Items, Report, Table, table

LINE = "_" * 12
CONFIRM = f"to be confirmed by {LINE}"
_MEMORY = re.compile(r"\b(?:values? )?from memory\b")
_NUMBER = r"(?<![\w.,])(-?\d[\d,]*+(?:\.\d++)?+(?:[ ×x]|(?=°)))"
_SI = r"(?:kW|W|°C|K d|K|W/K|W/m²|W/\(m² K\)|kWh/m³|kWh|L|m|mm|m²|m³|m³/h|bar|kPa|kg|kg/m²)"
_US = r"(?:ft|ft²|ft³|°F|in|gal|gpm|psi|lb|lb/ft²|therms?|kBtu/h|Btu/h|kBtu|MMBtu|[kM]*Btu/[^\s()]++|Btu/\([^()]*+\)|°F d)"
_INSIDE = r"\((-?\d[\d,]*+(?:\.\d++)?+ ?+[^()]*+(?:\([^()]*+\)[^()]*+)?+)\)"
_SI_FIRST = re.compile(rf"{_NUMBER}({_SI}) {_INSIDE}")
_US_FIRST = re.compile(rf"{_NUMBER}({_US}) {_INSIDE}")


def one_system(text: str, system: str) -> str:
    """Leave one of two figures for the same thing: that of the reader's units.

    Examples
    --------
    >>> one_system("7.60 kW (25.9 kBtu/h); entered", "us"), one_system("7.60 kW (25.9 kBtu/h)", "si")
    ('25.9 kBtu/h; entered', '7.60 kW')
    >>> one_system("4 % less for each 1,000 ft (305 m)", "si"), one_system("248.7 W/K (471.5 Btu/(h °F))", "us")
    ('4 % less for each 305 m', '471.5 Btu/(h °F)')
    """
    first, second = (_SI_FIRST, _US_FIRST) if system == "us" else (_US_FIRST, _SI_FIRST)
    text = first.sub(lambda found: found[3], text)
    return second.sub(lambda found: f"{found[1]}{found[2]}", text)


def to_confirm(text: str) -> str:
    """Put a line to confirm it in the place of a value from memory.

    Examples
    --------
    >>> to_confirm("EN 12828 (value from memory)")
    'EN 12828 (to be confirmed by ____________)'
    """
    return _MEMORY.sub(CONFIRM, text)


def for_reader(report: Report) -> Report:
    """Put a report into its reader's units, and what rests on memory onto a list that is confirmed before anybody signs."""
    waiting = tuple(dict.fromkeys(_waiting(report.blocks)))
    done: Report = _mapped(report, lambda text: to_confirm(one_system(text, report.system)))
    if not waiting:
        return done
    rows = [[*(to_confirm(one_system(cell, report.system)) for cell in pair), ""] for pair in waiting]
    listed = table(
        "", ["what", "where it is said to stand", "confirmed by, date"], rows, "wWw",
        "Nobody of this program saw these sources themselves. Look each up in the locally adopted edition before you sign for it.",
    )  # fmt: skip
    return replace(done, sheet=(*done.sheet, Heading("To be confirmed before anybody signs"), listed))


def count_to_confirm(blocks: tuple[Block, ...]) -> int:
    """Number of statements that wait to be confirmed."""
    return len(dict.fromkeys(_waiting(blocks)))


def _waiting(blocks: tuple[Block, ...]) -> Iterator[tuple[str, str]]:
    """What rests on memory, and its source: rows of tables and cautions."""
    heading = ""
    for block in blocks:
        heading = block.text if isinstance(block, Heading) else heading
        rows: tuple[tuple[str, ...], ...] = ()
        if isinstance(block, Table):
            rows = block.rows
            if _MEMORY.search(block.note):
                yield block.title or heading, block.note
        elif isinstance(block, Items):
            rows = tuple((lead, *rest) for lead, *rest in block.items)
        for row in rows:
            for cell in row:
                if found := _MEMORY.search(cell):
                    start = max(cell.rfind(". ", 0, found.start()) + 2, 0)
                    yield row[0], cell[start:] if start > 1 else cell
                    break


def _mapped(value: Any, change: Callable[[str], str]) -> Any:
    """Change every text of a report, but drawings and columns that are in SI by their heading."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, tuple):
        return tuple(_mapped(one, change) for one in value)
    if isinstance(value, Table) and "SI" in value.headings:
        return value
    if is_dataclass(value) and not isinstance(value, type):
        kept = ("kind", "svg", "aligned", "system", "paper")
        return replace(
            value, **{f.name: _mapped(getattr(value, f.name), change) for f in fields(value) if f.name not in kept}
        )
    return value
