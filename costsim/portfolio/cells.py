"""Cells of numbers as people fill them in: "n/a" is empty, "1,850 sq ft" and "20 C" are numbers, in the unit of the cell."""

from __future__ import annotations

from costsim.portfolio.cell_units import AMOUNT
from costsim.portfolio.columns import Layout
from costsim.portfolio.rows import is_number, plain_cell
from costsim.portfolio.table import FIGURES
from costsim.study.case import Case
from costsim.units.fields import QuantityField
from costsim.units.quantity import UnitError, read_quantity
from costsim.units.reading import in_thousands, unit_words

_TEMPERATURES = {
    f"house.{key}": measured for key, (_, measured) in FIGURES.items() if measured.dimension == "temperature"
}
BLANK = {"n/a", "#n/a", "na", "unk", "-", "--", "–", "—", "unknown", "not known", "?", "none"}
"""What people write into a cell of which they know nothing; common practice, no source."""


def tidied(layout: Layout, row: tuple[str, ...], case: Case) -> tuple[str, ...]:
    """A row whose cells of numbers are empty or plain wherever they can be read in one way; others stay as they are."""
    units = {
        at: (column.unit, column.key) for at, column in layout.columns if column.measured and at not in layout.filled
    }
    units |= {at: ("" if use.by_row else use.unit, "") for at, use in layout.uses}
    changed = {
        at: _tidy(row[at].strip(), *unit, case) for at, unit in units.items() if row[at] and not is_number(row[at])
    }
    return tuple(changed.get(at, cell) for at, cell in enumerate(row)) if changed else row


def with_units(layout: Layout, row: tuple[str, ...]) -> tuple[str, ...]:
    """A row whose yearly use has the unit behind it that another column gives for it; one that has its own keeps that."""
    for at, use in layout.uses:
        unit = row[use.unit_at].strip() if use.unit_at >= 0 else ""
        if not unit or unit.lower() in BLANK:
            continue
        number = row[at].strip().rstrip(".")
        if (
            number[-1:] == "k" and is_number(number[:-1]) and unit[:1] not in ("k", "M")
        ):  # of 2k kWh nobody knows which it is
            number = in_thousands(number[:-1], "k")[0]
        if number[-1:].isdigit():
            row = (*row[:at], f"{number} {unit}", *row[at + 1 :])
    return row


def _tidy(cell: str, unit: str, key: str, case: Case) -> str:
    """A cell as a plain number in a unit; its own unit goes before that of the heading.

    Examples
    --------
    >>> from costsim import read_study
    >>> study = read_study("lantern_cottage")
    >>> [_tidy(text, "ft2", "house.floor_area", study) for text in ("n/a", "1,850 sq ft", "100 m2", "38k", "12 kW")]
    ['', '1850', '1076.391042', '38000', '12 kW']
    >>> _tidy("38 kBtu/h", "Btu/h", "house.design_heat_loss", study)
    '38000'
    >>> [_tidy(text, "degF", "house.indoor_temperature", study) for text in ("70F", "20 C", "67-70")]
    ['70', '68', '67-70']
    """
    if cell.lower() in BLANK:
        return ""
    plain = plain_cell(cell, case)
    match = AMOUNT.fullmatch(plain)
    number = plain_cell(match[1], case) if match else ""
    if match is None or not is_number(number):
        return plain
    number, rest = in_thousands(number, match[2].strip())
    if not rest:  # of 38k kBtu/h nobody knows which it is
        return plain if unit[:1] in ("", "k", "M") or "deg" in unit else number
    if not unit:  # each cell has its own
        return f"{number} {rest}"
    written = unit_words(rest)
    if written == unit_words(unit):
        return number
    if (temperature := _TEMPERATURES.get(key)) is not None:
        return _degrees(number, written, unit, temperature) or plain
    try:
        given, wanted = read_quantity(f"1 {written}"), read_quantity(f"1 {unit}")
    except (UnitError, ValueError):
        return plain
    if given.dims != wanted.dims or given.currency != wanted.currency or "deg" in unit:
        return plain
    return f"{float(number) * (given.value / wanted.value):.10g}"


def _degrees(number: str, written: str, unit: str, measured: QuantityField) -> str:
    """A temperature in another unit; empty where what is written is no unit of one."""
    try:
        here = measured.quantity(f"{number} {written}").value
        none, unity = (measured.quantity(f"{count} {unit}").value for count in (0, 1))
    except (UnitError, ValueError):
        return ""
    return f"{(here - none) / (unity - none):.10g}"
