"""One row of the table: a home that can be computed, or the reasons why it is set aside."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from costsim.errors import InputError
from costsim.portfolio.columns import BY_FUEL, NO_LOSS, Column, Layout
from costsim.portfolio.headings import known_words
from costsim.portfolio.impossible import impossible_cells
from costsim.portfolio.overrides import overridden
from costsim.portfolio.plan import PortfolioPlan
from costsim.study.case import Case, case_from
from costsim.study.prices import Price
from costsim.units.fields import QuantityField
from costsim.units.quantity import parse, split_text, to_display, unit_for
from costsim.units.reading import number_readings
from costsim.units.system import default_units
from costsim.units.table import DIMENSIONS

OTHER = {"us": "si", "si": "us"}
MOST_WEIGHT, MOST_DIGITS = 1e6, 60
NUMBER = re.compile(r"[-+]?(\d++\.?\d*+|\.\d++)([eE][-+]?\d++)?")
PRICE_FIELDS: dict[str, QuantityField] = {
    str(field.alias): item
    for field in Price.model_fields.values()
    for item in field.metadata
    if isinstance(item, QuantityField)
}


@dataclass(frozen=True, slots=True)
class RejectedRow:
    """One cell that keeps a row out: number of the row, the home's name, column, value and reason."""

    row: int
    home: str
    column: str
    value: str
    reason: str


@dataclass(frozen=True, slots=True)
class Home:
    """One home; `case` is the study with its values."""

    row: int
    name: str
    weight: float
    case: Case


class RowError(Exception):
    """A row that cannot be computed, with every reason."""

    def __init__(self, reasons: Sequence[RejectedRow]) -> None:
        self.reasons = tuple(reasons)
        super().__init__("; ".join(reason.reason for reason in reasons))


def read_row(recipe: PortfolioPlan, number: int, cells: Sequence[str]) -> Home:
    """Read one row of the table.

    Parameters
    ----------
    recipe : PortfolioPlan
    number : int
        Of the home, from 1.
    cells : sequence of str

    Returns
    -------
    Home

    Raises
    ------
    RowError
        With every cell that cannot be used.
    """
    layout = recipe.layout
    reason = _misshapen(layout, cells)
    if reason:
        raise RowError([RejectedRow(number, "", "", shown_cell(" ".join(cells).replace("\n", " ")), reason)])
    cells = tidy_cells(layout, cells, recipe.case)
    reasons = _plain_faults(layout, cells, recipe.case)
    if reasons:
        raise RowError([RejectedRow(number, shown_cell(cells[layout.home]), *reason) for reason in reasons])
    texts = [cells[at] for at, _ in layout.columns]
    weight = float(cells[layout.weight]) if layout.weight is not None else 1.0
    try:
        case = case_from(overridden(recipe.case.typed, layout, texts), file=recipe.case.file, files=recipe.case.files)
    except InputError as error:
        raise row_error(recipe, number, cells, error) from None
    if reasons := [*impossible_cells(recipe, cells, case)]:
        raise RowError([RejectedRow(number, shown_cell(cells[layout.home]), *reason) for reason in reasons])
    return Home(number, cells[layout.home], weight, case)


def tidy_cells(layout: Layout, cells: Sequence[str], case: Case) -> list[str]:
    """Cells without spaces around them, those of numbers in plain writing."""
    numbers = {at for at, column in layout.columns if column.measured} | {layout.weight}
    return [plain_cell(cell, case) if at in numbers else cell.strip() for at, cell in enumerate(cells)]


def _misshapen(layout: Layout, cells: Sequence[str]) -> str:
    """What is wrong with the row as a whole; empty where nothing is."""
    if any("\n" in cell for cell in cells):
        return "a cell holds a line break; a quotation mark may not be closed, and the rows after it lie in this cell"
    if len(cells) != len(layout.headings):
        more = len(layout.filled)
        return f"the row has {len(cells) - more} cells, but the heading has {len(layout.headings) - more}"
    return ""


def row_error(recipe: PortfolioPlan, number: int, cells: Sequence[str], error: InputError) -> RowError:
    """Say of each fault in which column it stands; one that no column alone makes keeps its key path."""
    layout = recipe.layout
    at = {column.key: (column.heading, shown_cell(cells[place])) for place, column in layout.columns}
    home, system = shown_cell(cells[layout.home]), default_units(recipe.case.typed)
    # what stands in no column follows from what does, such as a price that a faulty source no longer uses
    faults = [fault for fault in error.faults if fault.field in at] or error.faults
    return RowError(
        [
            RejectedRow(
                number,
                home,
                *at.get(fault.field, (fault.field, "")),
                f"{fault.problem}; {_in_system(fault.remedy, system)}",
            )
            for fault in faults
        ]
    )


_SAMPLE = re.compile(r'"([^"]+)"')


def _in_system(remedy: str, system: str) -> str:
    """A remedy whose example is an amount in the other system of units, with that amount in the table's own.

    Examples
    --------
    >>> _in_system('write it like "7.6 kW"', "us"), _in_system('write it like "1180 ft2"', "si")
    ('write it like "25.9 kBtu/h"', 'write it like "110 m2"')
    >>> _in_system('write it like "1180 ft2"', "us"), _in_system('such as windows = ["22:00-06:00"]', "us")
    ('write it like "1180 ft2"', 'such as windows = ["22:00-06:00"]')
    """

    def turned(match: re.Match[str]) -> str:
        unit = split_text(match[1])[1]
        dimension = next(
            (name for name, sample in DIMENSIONS.items() if unit and unit == getattr(sample, OTHER[system])), ""
        )
        if not dimension or unit == unit_for(dimension, system):
            return match[0]
        value = to_display(parse(match[1], dimension).value, dimension, system)
        return f'"{value:.3g} {unit_for(dimension, system)}"'

    return _SAMPLE.sub(turned, remedy)


_MARKED = re.compile(r"[-+]?[\d.][\d.,' ]*")
"""Digits with marks between them, which `number_readings` reads as a typed number of a study is read."""


_RANGE = re.compile(r"[\d.,]+\s*(?:-|–|to)\s*[\d.,]+[^\d]*")


def marked_number(cell: str, case: Case) -> list[str]:
    """What a cell with commas may be as a plain number: one reading, several of which none is guessed, or none.

    Examples
    --------
    >>> from costsim import read_study
    >>> [marked_number(one, read_study("lantern_cottage")) for one in ("1,700", "12,00", "7.6 kW")]
    [['1700'], ['12.00', '1200'], []]
    """
    if len(cell) > MOST_DIGITS or not _MARKED.fullmatch(cell):
        return []
    readings = number_readings(cell, default_units(case.typed))
    return readings if all(map(NUMBER.fullmatch, readings)) else []


def plain_cell(cell: str, case: Case) -> str:
    """A cell without spaces around it, a number with commas in plain writing where it can be read in one way."""
    cell = cell.strip()
    if NUMBER.fullmatch(cell) or not cell:
        return cell
    number = marked_number(cell, case)
    return number[0] if len(number) == 1 else cell


def is_number(text: str) -> bool:
    """Whether a cell is a plain number, with a point for decimals."""
    return NUMBER.fullmatch(text) is not None


def shown_cell(cell: str) -> str:
    """A cell as messages show it, cut where it is long."""
    return cell if len(cell) <= 80 else cell[:79] + "…"


def _plain_faults(layout: Layout, cells: Sequence[str], case: Case) -> list[tuple[str, str, str]]:
    """What can be said of each cell before its field reads it: column, value and reason."""
    faults = [] if cells[layout.home] else [("home", "", "is empty; give each home a name or number")]
    if layout.weight is not None:
        cell = cells[layout.weight]
        if not NUMBER.fullmatch(cell) or not 0.0 <= float(cell) <= MOST_WEIGHT:
            faults.append(("weight", shown_cell(cell), f"must be a number from 0 to {MOST_WEIGHT:g}"))
    for at, column in layout.columns:
        if column.heading == BY_FUEL:
            faults += _fuel_faults(layout, cells, cells[at], case)
        elif reason := not_a_value(column, cells[at], case):
            faults.append((column.heading, shown_cell(cells[at]), reason))
    faults += [
        (layout.headings[at], shown_cell(cell), "is not UTF-8 text; save the table as UTF-8")
        for at, cell in enumerate(cells)
        if "\ufffd" in cell
    ]
    return faults


def _fuel_faults(layout: Layout, cells: Sequence[str], price_key: str, case: Case) -> Iterator[tuple[str, str, str]]:
    """Why a year's fuel gives no heat loss: the cells that are no amount, else all of that row together."""
    if not price_key or NUMBER.fullmatch(price_key):
        return
    given = [(use, cells[at]) for at, use in layout.uses if cells[at]]
    if price_key.startswith(NO_LOSS):
        yield (
            ", ".join(use.heading for use, _ in given),
            ", ".join(cell for _, cell in given),
            price_key.removeprefix(NO_LOSS),
        )
        return
    odd = False
    for use, cell in given:
        amount = NUMBER.fullmatch(cell) is not None
        if not amount or float(cell) < 0:
            odd, readings = True, marked_number(cell, case)
            why = "is less than nothing" if amount else "is not a number"
            remedy = f"write the year's use as a number of {use.unit}, or leave the cell empty"
            if len(readings) > 1:
                why, remedy = "can be read two ways", f"write {' or '.join(readings)}"
            yield use.heading, shown_cell(cell), f"{why}; {remedy}"
    if not odd:
        headings, values = (
            ", ".join(texts) for texts in zip(*((use.heading, cell) for use, cell in given), strict=True)
        )
        remedy = "correct the cell, or leave it empty and give the home its heat loss or floor area"
        yield headings, shown_cell(values), f"is no year's fuel of a house in this weather; {remedy}"


def not_a_value(column: Column, cell: str, case: Case) -> str:
    """Why a cell is no value of its column, before its field reads it; empty where it may be one or is empty: the study's own."""
    if not cell or not column.measured or NUMBER.fullmatch(cell):
        return ""
    if readings := marked_number(cell, case):
        return f"can be read two ways; write {' or '.join(readings)}"
    if column.in_cells:
        measured = next((field for (key, _), field in known_words(case) if key == column.key and field), None)
        sample = measured.sample if measured is not None else f"38 {column.unit}"
        return "is no number with its unit; " + _in_system(f'write it like "{sample}"', default_units(case.typed))
    if _RANGE.fullmatch(cell):
        return f"is a range; write one number, in {column.unit} or with its own unit behind it"
    return f"is not a number; write a number alone, its unit [{column.unit}] stands in the heading"
